//! Interval rows: a panel against its guidelines, or two panels against each other.

use serde::Deserialize;
use swardbook_report::intervals::{
    AnalyteRow, Bounds, Estimate, Interval, IntervalRows, Limit, Reading, Role, Scale, draw,
};
use ts_rs::TS;

use super::{FigureLook, FigureView};
use crate::{
    Notebook, Problem,
    compare::{CompareRequest, CompareRow, IntervalView},
    standing::StandingRow,
};

/// Two panels to draw.
#[derive(Debug, Clone, Default, Deserialize, TS)]
pub struct IntervalsFigureRequest {
    /// What is compared.
    pub compare: CompareRequest,
    /// Width and theme.
    #[serde(flatten)]
    pub look: FigureLook,
}

/// One panel to draw.
#[derive(Debug, Clone, Default, Deserialize, TS)]
pub struct StandingFigureRequest {
    /// The panel.
    pub panel: String,
    /// Width and theme.
    #[serde(flatten)]
    pub look: FigureLook,
}

/// The least an acidity scale spans, so that noise does not fill the row.
const LEAST_PH_SPAN: f64 = 1.5;

impl Notebook {
    /// Draws before and after.
    ///
    /// # Errors
    /// [`Problem`] as the comparison; refused where the comparison is.
    pub fn compare_figure(
        &mut self,
        request: &IntervalsFigureRequest,
    ) -> Result<FigureView, Problem> {
        let compared = self.compare(&request.compare)?;
        if compared.refused {
            let why: Vec<&str> = compared
                .checks
                .iter()
                .filter(|check| check.outcome == "refused")
                .map(|check| check.words.as_str())
                .collect();
            return Err(Problem::refused(why.join("; ")));
        }
        let look = self.look("intervals", &request.look)?;
        let day = |day: &Option<String>| day.clone().unwrap_or_else(|| "no date".to_owned());
        let rows = IntervalRows {
            title: format!("Before and after, {}", compared.zone_name),
            context: look.words.with_dates(&format!(
                "{} against {}, {:.0} % intervals",
                day(&compared.baseline.sampled),
                day(&compared.retest.sampled),
                compared.level * 100.0
            )),
            rows: compared.rows.iter().filter_map(compare_row).collect(),
        };
        Ok(draw(&rows, &look)?.into())
    }

    /// Draws a panel against its guidelines.
    ///
    /// # Errors
    /// [`Problem`] when there is none of that id.
    pub fn standing_figure(
        &mut self,
        request: &StandingFigureRequest,
    ) -> Result<FigureView, Problem> {
        let standing = self.standing(&request.panel)?;
        let look = self.look("reading", &request.look)?;
        let rows = IntervalRows {
            title: format!("Reading of the panel, {}", standing.zone_name),
            context: look.words.with_dates(&format!(
                "{}, 90 % intervals",
                standing.sampled.clone().unwrap_or_else(|| "no date".to_owned())
            )),
            rows: standing
                .rows
                .iter()
                .filter(|row| !row.verdicts.is_empty())
                .filter_map(standing_row)
                .collect(),
        };
        if rows.rows.is_empty() {
            return Err(Problem::refused(
                "no reading of this panel has a guideline of its method to be drawn against",
            ));
        }
        Ok(draw(&rows, &look)?.into())
    }
}

fn number(value: f64, decimals: u32) -> String {
    let places = usize::try_from(decimals).unwrap_or(2);
    format!("{value:.places$}")
}

fn reading(sign: &str, value: f64) -> Reading {
    match sign {
        "<" => Reading::Below(value),
        ">" => Reading::Above(value),
        _ => Reading::At(value),
    }
}

fn interval(range: Option<IntervalView>, decimals: u32) -> Option<Interval> {
    let IntervalView { low, high } = range?;
    let shown = format!("{} to {}", number(low, decimals), number(high, decimals));
    Some(Interval { low, high, shown })
}

fn scale(word: &str) -> Scale {
    if word == "linear" { Scale::Linear { least_span: LEAST_PH_SPAN } } else { Scale::Log }
}

/// A value that has a place on the row's scale.
fn drawable(word: &str, value: Option<f64>) -> Option<f64> {
    value.filter(|value| value.is_finite() && (word == "linear" || *value > 0.0))
}

fn compare_row(row: &CompareRow) -> Option<AnalyteRow> {
    let mark = |role, value: Option<f64>, sign: &str, range: Option<IntervalView>| {
        let value = drawable(&row.scale, value)?;
        Some(Estimate {
            role,
            reading: reading(sign, value),
            shown: format!("{sign}{}", number(value, row.decimals)),
            interval: interval(range, row.decimals),
        })
    };
    let marks: Vec<Estimate> = [
        mark(Role::Before, row.before, &row.before_sign, row.before_interval),
        mark(Role::After, row.after, &row.after_sign, row.after_interval),
    ]
    .into_iter()
    .flatten()
    .collect();
    if marks.is_empty() {
        return None;
    }
    Some(AnalyteRow {
        id: row.analyte.clone(),
        name: row.name.clone(),
        unit: shown_unit(&row.unit),
        scale: scale(&row.scale),
        marks,
        limits: Vec::new(),
        verdict: verdict_words(row),
    })
}

/// pH is its own unit and is not written twice.
fn shown_unit(unit: &str) -> String {
    if unit == "pH" { String::new() } else { unit.to_owned() }
}

fn verdict_words(row: &CompareRow) -> String {
    let change = row.change.unwrap_or_default();
    let amount =
        if row.change_unit == "%" { format!("{change:+.0} %") } else { format!("{change:+.2}") };
    match row.verdict.as_str() {
        "rise" => format!("rise, {amount}"),
        "fall" => format!("fall, {amount}"),
        "same" => "same within the margin".to_owned(),
        "not-compared" => "not compared".to_owned(),
        _ => "cannot tell".to_owned(),
    }
}

fn standing_row(row: &StandingRow) -> Option<AnalyteRow> {
    let word = if row.analyte.contains("ph") && row.unit == "pH" { "linear" } else { "log" };
    let value = drawable(word, row.value)?;
    let limits = row
        .verdicts
        .iter()
        .filter_map(|verdict| {
            let low = drawable(word, Some(verdict.enough_from));
            let bounds = match (low, verdict.high_above) {
                (Some(low), Some(high)) if high > low => Bounds::Between(low, high),
                (Some(low), _) => Bounds::AtLeast(low),
                (None, Some(high)) if high > 0.0 => Bounds::AtMost(high),
                _ => return None,
            };
            let decimals = row.decimals;
            let shown = match bounds {
                Bounds::AtLeast(low) => number(low, decimals),
                Bounds::AtMost(high) => number(high, decimals),
                Bounds::Between(low, high) => {
                    format!("{} to {}", number(low, decimals), number(high, decimals))
                }
            };
            let caveat = if verdict.source.caveat.is_empty() {
                String::new()
            } else {
                format!(" ({})", verdict.source.caveat)
            };
            Some(Limit {
                bounds,
                shown,
                source: format!("{}{caveat}", verdict.title),
                verdict: verdict.words.clone(),
            })
        })
        .collect();
    Some(AnalyteRow {
        id: row.key.clone(),
        name: format!("{}, {}", row.name, row.method_name),
        unit: shown_unit(&row.unit),
        scale: scale(word),
        marks: vec![Estimate {
            role: Role::Alone,
            reading: reading(&row.qualifier, value),
            shown: format!("{}{}", row.qualifier, number(value, row.decimals)),
            interval: row
                .low
                .zip(row.high)
                .and_then(|(low, high)| interval(Some(IntervalView { low, high }), row.decimals)),
        }],
        limits,
        verdict: row.verdicts.first().map_or_else(String::new, |verdict| verdict.words.clone()),
    })
}
