//! Interval rows: one analyte a row, its marks with their intervals on the row's own scale, the
//! published limits as hatched edges, and the verdict in words at the side.
//!
//! The same rows serve before and after, with controls or without, and the reading of one panel
//! against several guidelines.

mod paint;
mod table;

use crate::figure::{Figure, FigureError, finite};
use crate::look::Look;

/// What interval rows are drawn from.
#[derive(Debug, Clone, PartialEq)]
pub struct IntervalRows {
    /// The figure's name: "Before and after".
    pub title: String,
    /// What is compared, in a line: dates, depth, laboratory, cores.
    pub context: String,
    /// The rows, in the order they are drawn.
    pub rows: Vec<AnalyteRow>,
}

/// One analyte.
#[derive(Debug, Clone, PartialEq)]
pub struct AnalyteRow {
    /// The record behind the row, or nothing.
    pub id: String,
    /// The analyte and its method: "Calcium, Mehlich-3".
    pub name: String,
    /// Unit of every number in the row.
    pub unit: String,
    /// How the row's scale is spaced.
    pub scale: Scale,
    /// The marks, in the order they are drawn from the top.
    pub marks: Vec<Estimate>,
    /// The published limits.
    pub limits: Vec<Limit>,
    /// The verdict in words.
    pub verdict: String,
}

/// How a row's scale is spaced.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Scale {
    /// Equal factors take equal room: concentrations.
    Log,
    /// Equal differences take equal room: acidity, percentages.
    Linear {
        /// The least the scale spans, in the row's unit, so that noise does not fill the row.
        least_span: f64,
    },
}

/// One mark of a row.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimate {
    /// Whose reading it is.
    pub role: Role,
    /// Where it lies.
    pub reading: Reading,
    /// The reading as it is written, without its unit: "310", "<0.5".
    pub shown: String,
    /// Its interval, if one is known.
    pub interval: Option<Interval>,
}

/// Whose reading a mark is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// The earlier one: an open clay circle.
    Before,
    /// The later one: a filled moss circle.
    After,
    /// The control's earlier one: an open slate square.
    ControlBefore,
    /// The control's later one: a filled slate square.
    ControlAfter,
    /// A reading by itself: an ink diamond.
    Alone,
}

/// Where a reading lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reading {
    /// At a number.
    At(f64),
    /// Somewhere below a number, reported as "<".
    Below(f64),
    /// Somewhere above a number, reported as ">".
    Above(f64),
}

/// The range a true value is taken to lie in.
#[derive(Debug, Clone, PartialEq)]
pub struct Interval {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// The range as it is written: "250 to 380".
    pub shown: String,
}

/// A published limit.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// What it asks for.
    pub bounds: Bounds,
    /// Its number or numbers as they are written: "37", "5.5 to 6.5".
    pub shown: String,
    /// Where it comes from, short: "Woods and others 2014".
    pub source: String,
    /// What the reading says against this one limit, or nothing.
    pub verdict: String,
}

/// What a limit asks for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bounds {
    /// The value or more.
    AtLeast(f64),
    /// The value or less.
    AtMost(f64),
    /// From the first to the second.
    Between(f64, f64),
}

/// Draws the rows.
///
/// # Errors
/// When a number is not finite, a range ends before it begins, or a least span is not above zero.
pub fn draw(rows: &IntervalRows, look: &Look) -> Result<Figure, FigureError> {
    for row in &rows.rows {
        check(row)?;
    }
    let table = table::table(rows, &look.words);
    let description = table::description(rows, &look.words);
    Ok(paint::paint(rows, look, &description, table))
}

fn check(row: &AnalyteRow) -> Result<(), FigureError> {
    let upside_down = |field| Err(FigureError::UpsideDown { row: row.name.clone(), field });
    if let Scale::Linear { least_span } = row.scale
        && finite(least_span, &row.name, "least span")? <= 0.0
    {
        let (field, must_be) = ("least span", "above zero");
        return Err(FigureError::OutOfRange { row: row.name.clone(), field, must_be });
    }
    for estimate in &row.marks {
        finite(estimate.reading.number(), &row.name, "reading")?;
        if let Some(interval) = &estimate.interval {
            let low = finite(interval.low, &row.name, "interval")?;
            if low > finite(interval.high, &row.name, "interval")? {
                return upside_down("interval");
            }
        }
    }
    for limit in &row.limits {
        let (low, high) = limit.bounds.ends();
        let low = low.map_or(Ok(f64::NEG_INFINITY), |v| finite(v, &row.name, "limit"))?;
        let high = high.map_or(Ok(f64::INFINITY), |v| finite(v, &row.name, "limit"))?;
        if low > high {
            return upside_down("limit");
        }
    }
    Ok(())
}

impl Reading {
    const fn number(self) -> f64 {
        match self {
            Self::At(value) | Self::Below(value) | Self::Above(value) => value,
        }
    }
}

impl Bounds {
    /// The lower and the upper end, where there is one.
    const fn ends(self) -> (Option<f64>, Option<f64>) {
        match self {
            Self::AtLeast(low) => (Some(low), None),
            Self::AtMost(high) => (None, Some(high)),
            Self::Between(low, high) => (Some(low), Some(high)),
        }
    }
}
