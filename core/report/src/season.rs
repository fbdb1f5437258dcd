//! The season line: samples, panels, applications and observations on one time axis, a strip for
//! each season, with clear-to-sample windows, renovation days and the present day.

mod days;
mod lane;
mod paint;
mod rating;
mod table;

use crate::figure::{Figure, FigureError, finite};
use crate::look::Look;
pub use crate::time_axis::Span;
pub(crate) use rating::{draw_point, ink_of};
use swardbook_units::NaiveDate;

/// What a season line is drawn from.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonRows {
    /// The figure's name: "Season of the back terrace".
    pub title: String,
    /// One strip each, in the order they are drawn; at least one.
    pub spans: Vec<Span>,
    /// The present day, if it is to be marked.
    pub today: Option<NaiveDate>,
    /// Renovation days.
    pub renovations: Vec<Renovation>,
    /// When the ground is clear to sample.
    pub clear: Vec<ClearWindow>,
    /// What happened, in any order.
    pub events: Vec<SeasonEvent>,
}

/// A renovation day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Renovation {
    /// The record it came from, or nothing.
    pub id: String,
    /// The day.
    pub date: NaiveDate,
    /// What is done, short: "hollow coring".
    pub label: String,
}

/// A stretch in which the ground is clear to sample.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClearWindow {
    /// Its first day.
    pub first: NaiveDate,
    /// Its last day; `None` while nothing ends it.
    pub last: Option<NaiveDate>,
    /// Why: "last granular feed was 16 Jun".
    pub reason: String,
}

/// One record on the line.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonEvent {
    /// The record it came from, or nothing.
    pub id: String,
    /// Its day.
    pub date: NaiveDate,
    /// What it is.
    pub what: What,
    /// A word or two beside its mark: "lime", "retest". Ratings show none.
    pub label: String,
    /// The rest of it in a sentence: "0.4 kg/m2, watered in".
    pub detail: String,
}

/// What a record is.
#[derive(Debug, Clone, PartialEq)]
pub enum What {
    /// A composite of cores.
    Sample(Stage),
    /// A laboratory's readings.
    Panel(Stage),
    /// Something that was put down.
    Application,
    /// Something that is planned to be put down: drawn hollow.
    Planned,
    /// A visual rating.
    Rating {
        /// From 1 to 9.
        value: f64,
        /// What was rated.
        track: Track,
        /// Who rated; ratings of two people are not joined by a line.
        rater: String,
    },
    /// A photo.
    Photo(Card),
    /// A note.
    Note,
    /// A reading on the spot.
    SpotReading,
}

/// Which side of a comparison a sample or panel stands on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stage {
    /// The earlier one.
    Before,
    /// The later one.
    After,
    /// Neither yet.
    Alone,
}

/// What a rating or a measured line belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Track {
    /// The whole zone.
    Whole,
    /// A treated strip.
    Treated,
    /// A control strip.
    Control,
}

/// Whether a photo's colour was corrected by a card in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Card {
    /// A card was found: drawn filled.
    Corrected,
    /// No card: drawn hollow.
    Uncorrected,
}

/// Draws the season line.
///
/// # Errors
/// Without a span; when a span or a window ends before it begins; when a rating is not a number
/// from 1 to 9.
pub fn draw(rows: &SeasonRows, look: &Look) -> Result<Figure, FigureError> {
    if rows.spans.is_empty() {
        return Err(FigureError::Missing("the season's first and last day"));
    }
    for span in &rows.spans {
        span.check()?;
    }
    for window in &rows.clear {
        if window.last.is_some_and(|last| last < window.first) {
            let field = "clear-to-sample window";
            return Err(FigureError::UpsideDown { row: window.reason.clone(), field });
        }
    }
    for event in &rows.events {
        if let What::Rating { value, .. } = event.what
            && !(1.0..=9.0).contains(&finite(value, &event.label, "rating")?)
        {
            let (field, must_be) = ("rating", "from 1 to 9");
            return Err(FigureError::OutOfRange { row: event.label.clone(), field, must_be });
        }
    }
    let entries = table::entries(rows, &look.words);
    let table = table::table(rows, &entries, &look.words);
    let description = table::description(rows, &look.words);
    Ok(paint::paint(rows, &entries, look, &description, table))
}
