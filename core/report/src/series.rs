//! A measured quantity over time, a line for each zone or strip: filled points are corrected,
//! hollow ones are not and are joined to nothing; applications stand below on the same axis.

mod lines;
mod paint;
mod table;

use crate::figure::{Figure, FigureError, finite};
use crate::look::Look;
pub use crate::season::{Card, Track};
pub use crate::time_axis::Span;
use swardbook_units::NaiveDate;

/// What a series is drawn from.
#[derive(Debug, Clone, PartialEq)]
pub struct SeriesRows {
    /// The figure's name: "Colour of the back terrace".
    pub title: String,
    /// The quantity: "dark green colour index".
    pub quantity: String,
    /// Its unit, or nothing.
    pub unit: String,
    /// The days shown.
    pub span: Span,
    /// The least the scale spans, in the quantity's unit, so that noise does not fill the figure.
    pub least_span: f64,
    /// The lines.
    pub lines: Vec<SeriesLine>,
    /// What was put down meanwhile.
    pub applications: Vec<SeriesApplication>,
    /// What else went on that the quantity hangs on, such as how much the weather let grass grow.
    pub context: Option<SeriesContext>,
}

/// A lane of bars below the lines.
#[derive(Debug, Clone, PartialEq)]
pub struct SeriesContext {
    /// Its name: "growth potential".
    pub name: String,
    /// What it is, in a sentence.
    pub detail: String,
    /// Its bars, in any order.
    pub bars: Vec<SeriesBar>,
}

/// One stretch of days with a share.
#[derive(Debug, Clone, PartialEq)]
pub struct SeriesBar {
    /// Its first day.
    pub first: NaiveDate,
    /// Its last day.
    pub last: NaiveDate,
    /// From 0 to 1: the height of its bar.
    pub share: f64,
    /// The share as it is written.
    pub shown: String,
    /// The rest of it in a sentence.
    pub detail: String,
}

/// One zone's or strip's points.
#[derive(Debug, Clone, PartialEq)]
pub struct SeriesLine {
    /// Its name: "treated strip".
    pub name: String,
    /// Its role.
    pub track: Track,
    /// Its points, in any order.
    pub points: Vec<SeriesPoint>,
}

/// One measurement.
#[derive(Debug, Clone, PartialEq)]
pub struct SeriesPoint {
    /// The record it came from, or nothing.
    pub id: String,
    /// Its day.
    pub date: NaiveDate,
    /// The value.
    pub value: f64,
    /// The value as it is written, without its unit.
    pub shown: String,
    /// Lower and upper end of its interval, if one is known.
    pub interval: Option<(f64, f64)>,
    /// Whether it was corrected by a card.
    pub card: Card,
    /// The rest of it in a sentence.
    pub detail: String,
}

/// Something put down while the line ran.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SeriesApplication {
    /// The record it came from, or nothing.
    pub id: String,
    /// Its day.
    pub date: NaiveDate,
    /// A word beside its mark.
    pub label: String,
    /// The rest of it in a sentence.
    pub detail: String,
}

/// Draws the series.
///
/// # Errors
/// When the span, an interval or a bar ends before it begins, a number is not finite, the least span
/// is not above zero, or a bar's share does not lie from 0 to 1.
pub fn draw(rows: &SeriesRows, look: &Look) -> Result<Figure, FigureError> {
    rows.span.check()?;
    if finite(rows.least_span, &rows.title, "least span")? <= 0.0 {
        let (field, must_be) = ("least span", "above zero");
        return Err(FigureError::OutOfRange { row: rows.title.clone(), field, must_be });
    }
    for line in &rows.lines {
        for point in &line.points {
            finite(point.value, &line.name, "value")?;
            if let Some((low, high)) = point.interval
                && finite(low, &line.name, "interval")? > finite(high, &line.name, "interval")?
            {
                let field = "interval";
                return Err(FigureError::UpsideDown { row: line.name.clone(), field });
            }
        }
    }
    for bar in rows.context.iter().flat_map(|context| &context.bars) {
        if !(0.0..=1.0).contains(&finite(bar.share, &bar.shown, "share")?) {
            let (field, must_be) = ("share", "from 0 to 1");
            return Err(FigureError::OutOfRange { row: bar.shown.clone(), field, must_be });
        }
        if bar.first > bar.last {
            return Err(FigureError::UpsideDown { row: bar.shown.clone(), field: "bar" });
        }
    }
    let entries = table::entries(rows);
    let table = table::table(rows, &entries, &look.words);
    let description = table::description(rows, &look.words);
    Ok(paint::paint(rows, &entries, look, &description, table))
}
