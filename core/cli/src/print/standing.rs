//! What a panel's readings say by published guidelines, and the guidelines themselves.

use serde_json::Value as Json;

use super::{Column, Page, list, number, quantity, text, worked, worked_quantity, working::Behind};

/// The reading of a panel.
pub(crate) fn standing(page: &mut Page, view: &Json) {
    let mut behind = Behind::default();
    page.say(&format!("{}: {}", text(view, "zone_name"), text(view, "headline")));
    page.pairs(&[
        ("Pulled", text(view, "sampled").to_owned()),
        ("Cores", quantity(&view["cores"], "")),
        ("Assumed", text(view, "assumed").to_owned()),
        ("Panel", text(view, "panel").to_owned()),
    ]);
    facts(page, list(view, "facts"), &mut behind);
    let rows = list(view, "rows");
    if !rows.is_empty() {
        page.heading("Against published guidelines");
    }
    for row in rows {
        page.hang("  ", &reading_line(row));
        for verdict in list(row, "verdicts") {
            one_verdict(page, row, verdict, &mut behind);
        }
        for other in list(row, "not_applied") {
            let words = format!("{}: {}", text(other, "title"), text(other, "because"));
            page.hang("      not applied: ", &words);
        }
    }
    behind.finish(page);
}

fn fixed(value: &Json, decimals: &Json) -> Option<String> {
    let decimals = decimals.as_u64().and_then(|d| usize::try_from(d).ok()).unwrap_or(2);
    value.as_f64().map(|value| format!("{value:.decimals$}"))
}

fn reading_line(row: &Json) -> String {
    let unit = text(row, "unit");
    let value = fixed(&row["value"], &row["decimals"]).unwrap_or_else(|| "no number".to_owned());
    let method = text(row, "method_name");
    let mut line = format!("{}: {}{value} {unit}", text(row, "name"), text(row, "qualifier"));
    line = line.trim_end().to_owned();
    if let (Some(low), Some(high)) =
        (fixed(&row["low"], &row["decimals"]), fixed(&row["high"], &row["decimals"]))
    {
        line.push_str(&format!(", truly {low} to {high} with 90 % confidence"));
    }
    if !method.is_empty() {
        line.push_str(&format!(" ({method})"));
    }
    line
}

fn one_verdict(page: &mut Page, row: &Json, verdict: &Json, behind: &mut Behind) {
    let unit = text(row, "unit");
    let mut limits = format!(
        "short below {}, enough from {}",
        quantity(&verdict["short_below"], unit),
        quantity(&verdict["enough_from"], unit),
    );
    let high = quantity(&verdict["high_above"], unit);
    if !high.is_empty() {
        limits.push_str(&format!(", high above {high}"));
    }
    let class = text(verdict, "class");
    if !class.is_empty() {
        limits.push_str(&format!("; printed class: {class}"));
    }
    let title = text(verdict, "title");
    page.hang("      ", &format!("{}: {title}: {limits}", text(verdict, "words")));
    let chances: Vec<String> = [("short", "below"), ("enough", "enough"), ("high", "high")]
        .iter()
        .filter_map(|(words, name)| chance(words, &verdict[*name]))
        .collect();
    if !chances.is_empty() {
        page.hang("          ", &format!("chances: {}", chances.join(", ")));
    }
    let settle = text(verdict, "settle");
    if !settle.is_empty() {
        page.hang("          to settle it: ", settle);
    }
    behind.source(&verdict["source"]);
    behind.working(page, &format!("{} by {title}", text(row, "name")), &verdict["working"]);
}

fn chance(words: &str, chance: &Json) -> Option<String> {
    let percent = number((chance["value"].as_f64()? * 100.0).round());
    let bound = text(chance, "bound");
    let space = if bound.is_empty() { "" } else { " " };
    Some(format!("{words} {bound}{space}{percent} %"))
}

fn facts(page: &mut Page, facts: &[Json], behind: &mut Behind) {
    if facts.is_empty() {
        return;
    }
    page.heading("What the readings say together");
    let pairs: Vec<(String, String)> =
        facts.iter().map(|fact| (text(fact, "title").to_owned(), fact_words(fact))).collect();
    page.pairs(&pairs);
    for fact in facts {
        behind.working(page, text(fact, "title"), &fact["working"]);
    }
}

fn fact_words(fact: &Json) -> String {
    let value = &fact["value"];
    let mut words = worked_quantity(&value["value"], text(value, "unit"));
    if let (Some(low), Some(high)) = (fact["range"][0].as_f64(), fact["range"][1].as_f64()) {
        words.push_str(&format!(" ({} to {})", worked(low), worked(high)));
    }
    let said = text(fact, "words");
    match (words.is_empty(), said.is_empty()) {
        (_, true) => words,
        (true, false) => said.to_owned(),
        (false, false) => format!("{words}: {said}"),
    }
}

/// Every guideline with its limits.
pub(crate) fn guidelines(page: &mut Page, guidelines: &Json) {
    let guidelines = guidelines.as_array().map_or(&[][..], Vec::as_slice);
    for guideline in guidelines {
        page.heading(&format!(
            "{} ({}, version {})",
            text(guideline, "title"),
            text(guideline, "id"),
            text(guideline, "version")
        ));
        let source = &guideline["source"];
        let caveat = text(source, "caveat");
        let caveat = if caveat.is_empty() { String::new() } else { format!(" [{caveat}]") };
        page.hang("  source: ", &format!("{}{caveat}", text(source, "citation")));
        for caution in list(guideline, "cautions").iter().filter_map(Json::as_str) {
            page.hang("  mind: ", caution);
        }
        let rows: Vec<Vec<String>> = list(guideline, "limits").iter().map(limit_row).collect();
        page.table(
            &[
                Column::Left("Analyte"),
                Column::Right("Short below"),
                Column::Right("Enough from"),
                Column::Right("High above"),
                Column::Left("Unit"),
                Column::Left("Only on"),
                Column::Left("Methods"),
            ],
            &rows,
        );
    }
}

fn limit_row(limit: &Json) -> Vec<String> {
    let methods: Vec<&str> = list(limit, "methods").iter().filter_map(Json::as_str).collect();
    vec![
        text(limit, "name").to_owned(),
        quantity(&limit["short_below"], ""),
        quantity(&limit["enough_from"], ""),
        quantity(&limit["high_above"], ""),
        text(limit, "unit").to_owned(),
        text(limit, "only_on").to_owned(),
        methods.join(", "),
    ]
}
