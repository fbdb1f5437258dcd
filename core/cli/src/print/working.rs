//! What stands behind a number: what to mind always, the arithmetic and its sources when asked.

use serde_json::Value as Json;

use super::{Page, kept_quantity, list, text};

/// Several workings on one page: each is shown where it stands, and what to mind is said once.
#[derive(Debug, Default)]
pub(crate) struct Behind {
    caveats: Vec<String>,
    cautions: Vec<String>,
    sources: Vec<Json>,
    hides_arithmetic: bool,
}

impl Behind {
    /// Takes note of a working, and shows it when workings were asked for.
    pub(crate) fn working(&mut self, page: &mut Page, of: &str, working: &Json) {
        for caution in list(working, "cautions").iter().filter_map(Json::as_str) {
            self.caution(caution);
        }
        self.stands_on(page, of, working);
    }

    /// The same for a working whose cautions were said with what they are about.
    pub(crate) fn stands_on(&mut self, page: &mut Page, of: &str, working: &Json) {
        if working.is_null() {
            return;
        }
        let caveat = text(working, "caveat");
        if !caveat.is_empty() {
            self.note_caveat(&format!("{of}: {caveat}"));
        }
        for source in list(working, "sources") {
            self.source(source);
        }
        if page.shows_workings() {
            arithmetic(page, of, working);
        } else {
            self.hides_arithmetic = true;
        }
    }

    /// Something to mind.
    pub(crate) fn caution(&mut self, caution: &str) {
        if !caution.is_empty() && !self.cautions.iter().any(|known| known == caution) {
            self.cautions.push(caution.to_owned());
        }
    }

    fn note_caveat(&mut self, caveat: &str) {
        if !self.caveats.iter().any(|known| known == caveat) {
            self.caveats.push(caveat.to_owned());
        }
    }

    /// A source by itself.
    pub(crate) fn source(&mut self, source: &Json) {
        let key = text(source, "key");
        if !key.is_empty() && !self.sources.iter().any(|known| text(known, "key") == key) {
            self.sources.push(source.clone());
        }
    }

    /// Says what to mind and on whose word.
    pub(crate) fn finish(self, page: &mut Page) {
        let minded: Vec<&String> = self.caveats.iter().chain(&self.cautions).collect();
        if !minded.is_empty() {
            page.heading("Mind");
        }
        for words in minded {
            page.hang("  - ", words);
        }
        sources(page, &self.sources);
        if self.hides_arithmetic {
            page.gap();
            page.say("With --working the arithmetic behind each number is shown.");
        }
    }
}

/// On whose word.
pub(crate) fn sources(page: &mut Page, sources: &[Json]) {
    if sources.is_empty() {
        return;
    }
    page.heading("Sources");
    for source in sources {
        let caveat = text(source, "caveat");
        let caveat = if caveat.is_empty() { String::new() } else { format!(" [{caveat}]") };
        page.hang("  - ", &format!("{}{caveat}", text(source, "citation")));
    }
}

fn arithmetic(page: &mut Page, of: &str, working: &Json) {
    page.say(&format!("    Working of {of}"));
    for input in list(working, "inputs") {
        let why = text(input, "why");
        let why = if why.is_empty() { String::new() } else { format!(": {why}") };
        let amount = kept_quantity(&input["value"], text(input, "unit"));
        let words = format!("{} = {amount} ({}{why})", text(input, "name"), text(input, "origin"));
        page.hang("      ", &words);
    }
    for equation in list(working, "equation").iter().filter_map(Json::as_str) {
        page.hang("      ", equation);
    }
    for step in list(working, "steps") {
        let amount = kept_quantity(&step["value"], text(step, "unit"));
        let words = format!("{}: {} = {amount}", text(step, "what"), text(step, "arithmetic"));
        page.hang("      ", &words);
    }
}
