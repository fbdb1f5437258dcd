//! Ratings and readings on the spot over time: each rater and each instrument by itself.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use swardbook_journal::records::{Observation, ObservationKind};
use swardbook_units::NaiveDate;
use ts_rs::TS;

use crate::{Notebook, Problem, dto::day_text, notebook::zone_document};

/// Which ratings or readings.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct ObservedRequest {
    /// The zone.
    pub zone: String,
    /// Trait rated, or quantity read: `colour`, `quality`, `density`, `moisture`, `ph-probe`.
    pub what: String,
}

/// One rating or reading.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct ObservedPoint {
    /// The observation.
    pub id: String,
    /// Its day.
    pub date: String,
    /// The value.
    pub value: f64,
    /// The instrument's last calibration; empty: not said.
    pub calibrated: String,
}

/// Ratings of one rater, or readings of one instrument, on one ground.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct ObservedLine {
    /// `rating` or `spot`.
    pub sort: String,
    /// Who rated; empty for a reading.
    pub rater: String,
    /// What it was read with; empty for a rating.
    pub instrument: String,
    /// The strip; empty: the whole zone.
    pub strip: String,
    /// Unit of the readings.
    pub unit: String,
    /// In the order of days.
    pub points: Vec<ObservedPoint>,
    /// The last less the first; none with one only, or where nobody said who rated.
    pub change: Option<f64>,
    /// What that can tell, in words.
    pub sentence: String,
}

/// Ratings or readings of a zone.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct ObservedView {
    /// The zone.
    pub zone: String,
    /// What was rated or read.
    pub what: String,
    /// Each rater and each instrument by itself.
    pub lines: Vec<ObservedLine>,
    /// What is not compared, and what to mind.
    pub notes: Vec<String>,
}

/// A change of one rater's ratings on one plot that is noise.
///
/// # Source  common practice, no source: half a point.
const RATING_NOISE: f64 = 0.5;

#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Hand {
    sort: String,
    rater: String,
    instrument: String,
    strip: String,
    unit: String,
}

impl Notebook {
    /// Ratings or readings of one kind over time, never across raters, instruments or units, and
    /// never mixed with what a laboratory reported.
    ///
    /// # Errors
    /// [`Problem`] when there is no such zone, or nothing of that kind was ever observed.
    pub fn observed(&mut self, request: &ObservedRequest) -> Result<ObservedView, Problem> {
        let zone = self.find_zone("zone", &request.zone)?;
        let wanted = request.what.trim().to_lowercase();
        let mut hands: BTreeMap<Hand, Vec<(NaiveDate, ObservedPoint)>> = BTreeMap::new();
        for entry in self.document(zone_document(zone))?.entries() {
            if entry.voided().is_some() {
                continue;
            }
            let Some(seen) = entry.read::<Observation>() else { continue };
            let is_kind =
                matches!(seen.sort, Some(ObservationKind::Rating | ObservationKind::Spot));
            let (Some(date), Some(value)) = (seen.date, seen.value) else { continue };
            if !is_kind || seen.what.trim().to_lowercase() != wanted {
                continue;
            }
            let hand = Hand {
                sort: seen.sort.as_ref().map_or_else(String::new, |sort| sort.word().to_owned()),
                rater: seen.rater.trim().to_owned(),
                instrument: seen.instrument.trim().to_owned(),
                strip: seen.strip.trim().to_owned(),
                unit: seen.unit.trim().to_owned(),
            };
            let point = ObservedPoint {
                id: entry.key.clone(),
                date: day_text(date),
                value,
                calibrated: seen.calibrated.map_or_else(String::new, day_text),
            };
            hands.entry(hand).or_default().push((date, point));
        }
        if hands.is_empty() {
            return Err(Problem::not_found(
                "what",
                format!("nothing called \"{wanted}\" was rated or read on the spot in this zone"),
            ));
        }
        let lines: Vec<ObservedLine> = hands.into_iter().map(line_of).collect();
        let notes = notes(&wanted, &lines);
        Ok(ObservedView { zone: zone.to_string(), what: wanted, lines, notes })
    }
}

fn line_of((hand, mut points): (Hand, Vec<(NaiveDate, ObservedPoint)>)) -> ObservedLine {
    points.sort_by(|a, b| (a.0, &a.1.id).cmp(&(b.0, &b.1.id)));
    let points: Vec<ObservedPoint> = points.into_iter().map(|(_, point)| point).collect();
    let is_rating = hand.sort == "rating";
    let by = if is_rating { &hand.rater } else { &hand.instrument };
    let ends = match points.as_slice() {
        [first, .., last] if first.date != last.date => Some(last.value - first.value),
        _ => None,
    };
    let (change, sentence) = match ends {
        None => (None, "One day only: nothing to compare with.".to_owned()),
        Some(_) if by.is_empty() => {
            let who = if is_rating { "who rated" } else { "what it was read with" };
            (None, format!("Nobody said {who}, so the values are not compared."))
        }
        Some(change) if is_rating && change.abs() <= RATING_NOISE => {
            (Some(change), format!("{change:+.1} by {by}: half a point by one rater is noise."))
        }
        Some(change) if is_rating => (
            Some(change),
            format!(
                "{change:+.1} by {by}. A rater knows what was done; ratings carry no interval."
            ),
        ),
        Some(change) => (
            Some(change),
            format!(
                "{change:+} {} with {by}. One reading on a spot carries no interval.",
                hand.unit
            ),
        ),
    };
    ObservedLine {
        sort: hand.sort,
        rater: hand.rater,
        instrument: hand.instrument,
        strip: hand.strip,
        unit: hand.unit,
        points,
        change,
        sentence,
    }
}

fn notes(what: &str, lines: &[ObservedLine]) -> Vec<String> {
    let mut notes = Vec::new();
    let differ = |of: fn(&ObservedLine) -> &str| lines.iter().any(|line| of(line) != of(&lines[0]));
    if differ(|line| &line.rater) {
        notes.push("Ratings of two raters are not mixed in one comparison.".to_owned());
    }
    if differ(|line| &line.instrument) {
        notes.push("Readings of two instruments are not mixed in one comparison.".to_owned());
    }
    if differ(|line| &line.unit) {
        notes.push("Readings in two units are not mixed in one comparison.".to_owned());
    }
    if what.starts_with("ph") {
        notes.push(
            "pH on the spot is never mixed with the laboratory's, which stands in panels: other \
             water, other depth, other instrument."
                .to_owned(),
        );
    }
    notes
}
