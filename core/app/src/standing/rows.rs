//! Readings against guidelines.

use serde::Serialize;
use swardbook_agronomy::interpret::{Chance, Judged, Verdict};
use ts_rs::TS;

use super::Read;
use crate::{
    dto::{SourceDto, WorkingDto},
    panel::PanelContext,
};

/// A probability, or a bound of one where the reading is only a bound.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct ChanceView {
    /// The number, from 0 to 1.
    pub value: f64,
    /// `at least`, `at most` or empty.
    pub bound: String,
}

impl From<Chance> for ChanceView {
    fn from(chance: Chance) -> Self {
        Self { value: chance.number(), bound: chance.words().to_owned() }
    }
}

/// One reading against one guideline.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct GuidelineVerdict {
    /// The guideline.
    pub guideline: String,
    /// Its title.
    pub title: String,
    /// Its source.
    pub source: SourceDto,
    /// Short below this, in the unit of the row.
    pub short_below: f64,
    /// Enough from this.
    pub enough_from: f64,
    /// High above this.
    pub high_above: Option<f64>,
    /// The printed class of the reading; empty where the guideline has none.
    pub class: String,
    /// Probability that the true value is below the lower limit.
    pub below: Option<ChanceView>,
    /// Probability that it is at or above the limit from which it is enough.
    pub enough: Option<ChanceView>,
    /// Probability that it is above the upper end.
    pub high: Option<ChanceView>,
    /// `short`, `marginal`, `enough`, `high` or `cannot-tell`.
    pub verdict: String,
    /// The verdict in words.
    pub words: String,
    /// What would settle it; empty where it is settled.
    pub settle: String,
    /// How it came about.
    pub working: WorkingDto,
}

/// A guideline that was not applied.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct NotAppliedView {
    /// Its title.
    pub title: String,
    /// Why not.
    pub because: String,
}

/// One reading with its verdicts.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct StandingRow {
    /// Its short name in the panel.
    pub key: String,
    /// Analyte id.
    pub analyte: String,
    /// Analyte's name.
    pub name: String,
    /// Method's name.
    pub method_name: String,
    /// `<`, `>` or empty.
    pub qualifier: String,
    /// The value in the unit it is kept in.
    pub value: Option<f64>,
    /// That unit.
    pub unit: String,
    /// Decimals worth showing.
    pub decimals: u32,
    /// Lower end of the 90 % interval of the true value; none where the scatter is unknown.
    pub low: Option<f64>,
    /// Upper end.
    pub high: Option<f64>,
    /// Verdict of the first guideline; empty where none applies.
    pub verdict: String,
    /// Verdicts, confirmed guidelines first.
    pub verdicts: Vec<GuidelineVerdict>,
    /// Guidelines that were not applied.
    pub not_applied: Vec<NotAppliedView>,
}

impl StandingRow {
    /// Whether it is about acidity, which has a sentence of its own.
    pub(super) fn is_acidity(&self) -> bool {
        self.analyte.starts_with("ph-")
    }
}

/// The stored word of a verdict.
pub(crate) const fn verdict_word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Short => "short",
        Verdict::Marginal => "marginal",
        Verdict::Enough => "enough",
        Verdict::High => "high",
        Verdict::CannotTell => "cannot-tell",
    }
}

const fn verdict_words(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Short => "short",
        Verdict::Marginal => "in the margin",
        Verdict::Enough => "enough",
        Verdict::High => "high",
        Verdict::CannotTell => "cannot tell",
    }
}

fn verdict_view(judged: &Judged) -> GuidelineVerdict {
    GuidelineVerdict {
        guideline: judged.guideline.id.clone(),
        title: judged.guideline.title.clone(),
        source: SourceDto::from(&judged.guideline.source),
        short_below: judged.values.short_below,
        enough_from: judged.values.enough_from,
        high_above: judged.values.high_above,
        class: judged.class.unwrap_or_default().to_owned(),
        below: judged.below.map(ChanceView::from),
        enough: judged.enough.map(ChanceView::from),
        high: judged.high.map(ChanceView::from),
        verdict: verdict_word(judged.verdict).to_owned(),
        words: verdict_words(judged.verdict).to_owned(),
        settle: judged.settle.map_or_else(String::new, |settle| settle.words()),
        working: WorkingDto::from(&judged.working),
    }
}

/// Every usable reading of the panel with its verdicts.
pub(super) fn rows(context: &PanelContext, read: &Read) -> Vec<StandingRow> {
    let ground = context.ground();
    read.readings
        .iter()
        .enumerate()
        .map(|(at, reading)| {
            let analyte = reading.analyte();
            let value = reading.canonical(&ground).ok().map(|worked| worked.value);
            let verdicts: Vec<GuidelineVerdict> = read
                .interpretation
                .judged
                .iter()
                .filter(|judged| judged.reading == at)
                .map(verdict_view)
                .collect();
            let sampling = read.sampling();
            let level = super::facts::NINE_IN_TEN;
            let (low, high) = super::facts::interval(reading, value, sampling, &read.own, level)
                .map_or((None, None), |(low, high)| (Some(low), Some(high)));
            StandingRow {
                key: context.readings[read.places[at]].key.clone(),
                analyte: analyte.id.clone(),
                name: analyte.name.clone(),
                method_name: reading.method().name.clone(),
                qualifier: reading.qualifier().sign().to_owned(),
                value,
                unit: reading.by().unit.symbol.to_owned(),
                decimals: crate::dto::decimals(analyte, reading.by().unit),
                low,
                high,
                verdict: verdicts.first().map_or_else(String::new, |v| v.verdict.clone()),
                verdicts,
                not_applied: read
                    .interpretation
                    .not_applied
                    .iter()
                    .filter(|not| not.reading == at)
                    .map(|not| NotAppliedView {
                        title: not.guideline.title.clone(),
                        because: not.because.words(),
                    })
                    .collect(),
            }
        })
        .collect()
}
