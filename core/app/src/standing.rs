//! The reading of a panel: every reading against every guideline of its method, and what acidity,
//! salt and sodium say.

mod facts;
mod guidelines;
mod own_scatter;
mod rows;
mod soil;

use serde::Serialize;
use swardbook_agronomy::{
    guideline::TurfKind,
    interpret::{Interpretation, Sampling, Surroundings, Thresholds, interpret},
    reading::Reading,
    spread::OwnScatter,
    texture::Texture,
};
use ts_rs::TS;

pub use facts::FactView;
pub(crate) use facts::interval as interval_of;
pub use guidelines::{GuidelineLine, LimitLine};
pub use rows::{ChanceView, GuidelineVerdict, NotAppliedView, StandingRow};
pub(crate) use soil::Soil;

use crate::{Notebook, Problem, dto::day_text, panel::PanelContext};

/// What a panel says.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct StandingView {
    /// The panel.
    pub panel: String,
    /// The zone.
    pub zone: String,
    /// The zone's name.
    pub zone_name: String,
    /// The day the cores were pulled.
    pub sampled: Option<String>,
    /// Cores in the composite; none where nobody recorded them.
    pub cores: Option<u32>,
    /// What was assumed about the composite, in words; empty where nothing was.
    pub assumed: String,
    /// The answer in one sentence.
    pub headline: String,
    /// Readings against guidelines.
    pub rows: Vec<StandingRow>,
    /// Acidity, salt, sodium, cations and organic matter.
    pub facts: Vec<FactView>,
}

/// A panel with its interpretation.
#[derive(Debug)]
pub(crate) struct Read {
    pub(crate) readings: Vec<Reading>,
    /// Place of each reading in the panel's own list.
    pub(crate) places: Vec<usize>,
    pub(crate) interpretation: Interpretation,
    pub(crate) cores: Option<u32>,
    /// The zone's own scatter, where it has replicate samples.
    pub(crate) own: Vec<OwnScatter>,
}

impl Read {
    pub(crate) fn sampling(&self) -> Sampling {
        Sampling { cores: self.cores.unwrap_or(1), repeats: 1 }
    }
}

/// Said where the number of cores is not known.
const ONE_CORE: &str = "nobody recorded how many cores are in the bag: it is read as one, which \
                        makes every interval as wide as it can be";

impl Notebook {
    /// Reads a panel.
    ///
    /// # Errors
    /// [`Problem`] when there is none of that id.
    pub fn standing(&mut self, panel: &str) -> Result<StandingView, Problem> {
        let context = self.panel_context("panel", panel)?;
        let read = self.read_panel(&context)?;
        let rows = rows::rows(&context, &read);
        let soil = Soil::new(&read.readings, &context.ground());
        let texture = texture_of(&context);
        let facts = facts::facts(&soil, texture);
        Ok(StandingView {
            panel: panel.to_owned(),
            zone: context.zone_id.to_string(),
            zone_name: context.zone.name.clone(),
            sampled: context.sample.date.map(day_text),
            cores: read.cores,
            assumed: if read.cores.is_none() { ONE_CORE.to_owned() } else { String::new() },
            headline: headline(&rows, &facts),
            rows,
            facts,
        })
    }

    /// Interprets a panel's readings.
    pub(crate) fn read_panel(&mut self, context: &PanelContext) -> Result<Read, Problem> {
        let (readings, places) = context.usable();
        let cores = self.cores_of(context.zone_id, context.panel.sample, &context.sample)?;
        let own = self.own_scatter(context.zone_id)?;
        let surroundings = Surroundings {
            texture: texture_of(context),
            turf: context.zone.turf.as_ref().and_then(|turf| TurfKind::from_id(turf.word())),
            ground: context.ground(),
            sampling: Sampling { cores: cores.unwrap_or(1), repeats: 1 },
            own: &own,
            thresholds: Thresholds::COMMON,
        };
        let interpretation = interpret(&readings, &surroundings)?;
        Ok(Read { readings, places, interpretation, cores, own })
    }
}

/// The zone's texture for the arithmetic.
pub(crate) fn texture_of(context: &PanelContext) -> Option<Texture> {
    context.zone.texture.as_ref().and_then(|texture| Texture::from_id(texture.word()))
}

/// The verdicts that matter, in one sentence.
fn headline(rows: &[StandingRow], facts: &[FactView]) -> String {
    let named = |word: &str| -> Vec<String> {
        rows.iter()
            .filter(|row| row.verdict == word && !row.is_acidity())
            .map(|row| row.name.to_lowercase())
            .collect()
    };
    let mut parts = Vec::new();
    for id in ["acidity", "sodicity", "salinity"] {
        if let Some(fact) = facts.iter().find(|fact| fact.id == id && !fact.words.is_empty()) {
            parts.push(fact.words.clone());
        }
    }
    for (word, say) in
        [("short", "short of"), ("cannot-tell", "cannot tell for"), ("high", "high in")]
    {
        let names = named(word);
        if !names.is_empty() {
            parts.push(format!("{say} {}", listed(&names)));
        }
    }
    let text = parts.join("; ");
    let mut letters = text.chars();
    match letters.next() {
        None => "Nothing in this panel can be read against a guideline of its method.".to_owned(),
        Some(first) => format!("{}{}.", first.to_uppercase(), letters.as_str()),
    }
}

fn listed(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}
