//! What changed, analyte by analyte: which readings are set beside which.

use std::collections::BTreeMap;

use serde::Serialize;
use swardbook_agronomy::{
    analyte::Scale, comparison::Comparison, expected_change::KeptFraction, reading::Reading,
    spread::OwnScatter,
};
use swardbook_stats::regression_to_mean::Population;
use ts_rs::TS;

use super::{CompareRequest, Side, change, conversion, expected::PutOn, verdict};
use crate::{Problem, dto::WorkingDto};

/// A range.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, TS)]
pub struct IntervalView {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// What the applications in between should have done, in the unit of the values.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct ExpectedView {
    /// If the least is kept.
    pub low: f64,
    /// The middle.
    pub likely: f64,
    /// If the most is kept.
    pub high: f64,
    /// Share of the dose that the test found again, where a rise was seen: observed over whole.
    pub kept: Option<f64>,
    /// How it came about.
    pub working: WorkingDto,
}

/// One analyte, before and after.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct CompareRow {
    /// Analyte id.
    pub analyte: String,
    /// The analyte's name.
    pub analyte_name: String,
    /// The name of the row: the analyte's, with the method where one analyte was read by several.
    pub name: String,
    /// The method's name; both where they differ.
    pub method_name: String,
    /// The unit of the values.
    pub unit: String,
    /// Decimals worth showing.
    pub decimals: u32,
    /// `linear`, `log` or `logit`: the scale on which the change was taken.
    pub scale: String,
    /// The earlier value, with `<` or `>` before it where it is only a bound.
    pub before: Option<f64>,
    /// Its sign.
    pub before_sign: String,
    /// The later value.
    pub after: Option<f64>,
    /// Its sign.
    pub after_sign: String,
    /// 90 % (or as asked) interval of the earlier value.
    pub before_interval: Option<IntervalView>,
    /// And of the later.
    pub after_interval: Option<IntervalView>,
    /// The change: in the unit on the linear scale, in % on the others.
    pub change: Option<f64>,
    /// Its unit: the unit of the values, or `%`.
    pub change_unit: String,
    /// Its interval.
    pub change_interval: Option<IntervalView>,
    /// Probability of a true rise.
    pub rise: Option<f64>,
    /// Probability of a true fall.
    pub fall: Option<f64>,
    /// Two-sided p of no change, corrected for the number of analytes.
    pub p: Option<f64>,
    /// Smallest change that counts as real here, upwards.
    pub least_significant: Option<f64>,
    /// The margin within which it counts as the same.
    pub margin: Option<f64>,
    /// How the retest was brought to the method of the baseline; empty where both were read alike.
    pub conversion: String,
    /// `rise`, `fall`, `same`, `cannot-tell` or `not-compared`.
    pub verdict: String,
    /// The verdict in a sentence.
    pub sentence: String,
    /// What the applications in between should have done.
    pub expected: Option<ExpectedView>,
    /// How it came about.
    pub working: Option<WorkingDto>,
}

/// What the rows are worked out from.
pub(super) struct Question<'a> {
    pub(super) baseline: &'a Side,
    pub(super) retest: &'a Side,
    pub(super) level: f64,
    pub(super) request: &'a CompareRequest,
    pub(super) applied: &'a [PutOn],
    pub(super) population: Option<&'a (String, Population)>,
    /// The zone's own scatter, where it has replicate samples.
    pub(super) own: &'a [OwnScatter],
    /// The share of a dose that this ground's test finds again, by analyte and method; the published
    /// one where there is none.
    pub(super) kept: &'a BTreeMap<(String, String), KeptFraction>,
}

pub(super) fn rows(question: &Question<'_>) -> Result<Vec<CompareRow>, Problem> {
    let (before, _) = question.baseline.context.usable();
    let (after, _) = question.retest.context.usable();
    let asked = &question.request.analytes;
    if let Some(unknown) = asked.iter().find(|id| !before.iter().any(|b| b.analyte().id == **id)) {
        return Err(Problem::bad(
            "analytes",
            format!("the baseline has no reading of \"{unknown}\""),
        ));
    }
    let mut rows = Vec::new();
    let mut changes: Vec<Option<Comparison>> = Vec::new();
    for earlier in before.iter().filter(|b| asked.is_empty() || asked.contains(&b.analyte().id)) {
        let same = |later: &&Reading| {
            later.analyte().id == earlier.analyte().id && later.method().id == earlier.method().id
        };
        let (row, change) = match after.iter().find(same) {
            Some(later) => change::compared(question, earlier, later, None)?,
            None if let Some((later, how)) = conversion::other_scale(earlier, &before, &after)? => {
                change::compared(question, earlier, &later, Some(how))?
            }
            None => {
                let other = after.iter().find(|later| later.analyte().id == earlier.analyte().id);
                let Some(other) = other else { continue };
                // An analyte that another earlier reading already pairs with has its own row.
                if before.iter().any(|b| {
                    b.analyte().id == other.analyte().id && b.method().id == other.method().id
                }) {
                    continue;
                }
                (other_method(earlier, other), None)
            }
        };
        rows.push(row);
        changes.push(change);
    }
    name_methods(&mut rows);
    verdict::decide(question.level, &mut rows, &changes)?;
    Ok(rows)
}

/// Puts the method into the name where one analyte was read by several; without what stands in
/// brackets behind a method's name, which the row says elsewhere, unless only that tells them apart.
fn name_methods(rows: &mut [CompareRow]) {
    fn short(row: &CompareRow) -> &str {
        row.method_name.split_once(" (").map_or(row.method_name.as_str(), |(name, _)| name)
    }
    let names: Vec<Option<String>> = rows
        .iter()
        .map(|row| {
            let alike: Vec<&CompareRow> =
                rows.iter().filter(|other| other.analyte == row.analyte).collect();
            let is_told = alike.iter().filter(|other| short(other) == short(row)).count() == 1;
            let method = if is_told { short(row) } else { &row.method_name };
            (alike.len() > 1).then(|| format!("{} ({method})", row.name))
        })
        .collect();
    for (row, name) in rows.iter_mut().zip(names) {
        if let Some(name) = name {
            row.name = name;
        }
    }
}

fn other_method(earlier: &Reading, later: &Reading) -> CompareRow {
    let name = &earlier.analyte().name;
    let mut row = blank(earlier);
    row.method_name = format!("{} against {}", earlier.method().name, later.method().name);
    "not-compared".clone_into(&mut row.verdict);
    row.sentence = format!(
        "{name} is not compared: {} and {} read different parts of the soil; ask for the same \
         method next time.",
        earlier.method().name,
        later.method().name
    );
    row
}

pub(super) fn blank(reading: &Reading) -> CompareRow {
    let analyte = reading.analyte();
    CompareRow {
        analyte: analyte.id.clone(),
        analyte_name: analyte.name.clone(),
        name: analyte.name.clone(),
        method_name: reading.method().name.clone(),
        unit: reading.by().unit.symbol.to_owned(),
        decimals: crate::dto::decimals(analyte, reading.by().unit),
        scale: match analyte.scale {
            Scale::Linear => "linear",
            Scale::Log => "log",
            Scale::Logit => "logit",
        }
        .to_owned(),
        before: None,
        before_sign: String::new(),
        after: None,
        after_sign: String::new(),
        before_interval: None,
        after_interval: None,
        change: None,
        change_unit: if analyte.scale == Scale::Linear {
            reading.by().unit.symbol.to_owned()
        } else {
            "%".to_owned()
        },
        change_interval: None,
        rise: None,
        fall: None,
        p: None,
        least_significant: None,
        margin: None,
        conversion: String::new(),
        verdict: String::new(),
        sentence: String::new(),
        expected: None,
        working: None,
    }
}

/// Names of what only one of the two samples was read for, the baseline's first.
pub(super) fn read_once(question: &Question<'_>, rows: &[CompareRow]) -> [Vec<String>; 2] {
    [question.baseline, question.retest].map(|side| {
        let mut names: Vec<String> = Vec::new();
        for reading in side.context.usable().0 {
            let analyte = reading.analyte();
            let compared = rows.iter().any(|row| row.analyte == analyte.id);
            let asked = &question.request.analytes;
            let wanted = asked.is_empty() || asked.contains(&analyte.id);
            if wanted && !compared && !names.contains(&analyte.name) {
                names.push(analyte.name.clone());
            }
        }
        names
    })
}
