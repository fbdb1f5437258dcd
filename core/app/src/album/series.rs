//! Colour or cover of a zone over time.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use swardbook_agronomy::growth::{GrassSeason, growth_potential};
use swardbook_imaging::alike::Apart;
use swardbook_journal::records::{Grass, Measurement, Zone};
use swardbook_units::{Datelike, Id, NaiveDate};
use ts_rs::TS;

use super::{
    kept::{apart_of, is_evidence},
    occasion::{
        DifferenceView, OccasionView, RepeatabilityView, Shot, alike_words, difference, occasions,
        repeatability, shots,
    },
};
use crate::{
    Notebook, Problem,
    dto::day_text,
    notebook::{property_document, zone_document},
};

/// What a series is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Quantity {
    /// Dark green colour index.
    Index,
    /// Green cover.
    Cover,
}

impl Quantity {
    pub(crate) fn of(word: Option<&str>) -> Result<Self, Problem> {
        match word {
            None | Some("index") => Ok(Self::Index),
            Some("cover") => Ok(Self::Cover),
            Some(other) => Err(Problem::bad(
                "quantity",
                format!("\"{other}\" is no quantity of a photo; there are index and cover"),
            )),
        }
    }

    pub(crate) const fn word(self) -> &'static str {
        match self {
            Self::Index => "index",
            Self::Cover => "cover",
        }
    }

    pub(crate) const fn words(self) -> &'static str {
        match self {
            Self::Index => "Dark green colour index",
            Self::Cover => "Green cover",
        }
    }

    /// The number as it is written: an index, or a share in percent.
    pub(crate) fn shown(self, value: f64) -> String {
        match self {
            Self::Index => format!("{value:.3}"),
            Self::Cover => format!("{:.1} %", 100.0 * value),
        }
    }

    /// A difference as it is written: of shares in points of a percent.
    pub(crate) fn shown_difference(self, value: f64) -> String {
        match self {
            Self::Index => format!("{value:.3}"),
            Self::Cover => format!("{:.1} points", 100.0 * value),
        }
    }

    /// Ends of a difference's interval, as far as the quantity goes.
    pub(super) fn difference_within(self, low: f64, high: f64) -> (f64, f64) {
        match self {
            Self::Index => (low, high),
            Self::Cover => (low.max(-1.0), high.min(1.0)),
        }
    }

    /// Ends of an interval, as far as the quantity goes.
    pub(super) fn within(self, low: f64, high: f64) -> (f64, f64) {
        match self {
            Self::Index => (low, high),
            Self::Cover => (low.max(0.0), high.min(1.0)),
        }
    }

    /// Value, standard uncertainty in its frame, degrees of freedom, and standard uncertainty as
    /// one for the turf around the frame.
    pub(super) fn read(self, record: &Measurement) -> Option<(f64, f64, f64, Option<f64>)> {
        let (value, u, df, turf) = match self {
            Self::Index => (record.index, record.index_u, record.index_df, record.index_turf_u),
            Self::Cover => (record.cover, record.cover_u, record.cover_df, record.cover_turf_u),
        };
        Some((value?, u?, df.unwrap_or(f64::INFINITY), turf))
    }

    /// What of its uncertainty photos taken in one way share, where that was kept.
    pub(super) fn apart(self, record: &Measurement) -> Option<Apart> {
        apart_of(match self {
            Self::Index => &record.index_apart,
            Self::Cover => &record.cover_apart,
        })
    }

    pub(super) const fn value(self, record: &Measurement) -> Option<f64> {
        match self {
            Self::Index => record.index,
            Self::Cover => record.cover,
        }
    }
}

/// Which series.
#[derive(Debug, Clone, Default, Deserialize, TS)]
pub struct SeriesRequest {
    /// The zone.
    pub zone: String,
    /// `index` or `cover`; `index` when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub quantity: Option<String>,
}

/// One line of a series: photos taken in one manner.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct SeriesLineView {
    /// Its name: strip and card.
    pub name: String,
    /// The strip; empty: the whole zone.
    pub strip: String,
    /// The card.
    pub card: String,
    /// Days in order.
    pub occasions: Vec<OccasionView>,
    /// How well a photo can be repeated; none before some day has two photos.
    pub repeatability: Option<RepeatabilityView>,
    /// The last day against the first; none with one day only.
    pub change: Option<DifferenceView>,
}

/// Growth potential of one week, from temperature alone.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct GrowthWeek {
    /// Its first day, a Monday.
    pub first: String,
    /// Days of it with a temperature.
    pub days: u32,
    /// Mean air temperature, degrees Celsius.
    pub mean_c: f64,
    /// Growth potential, 0 to 1.
    pub potential: f64,
}

/// A series.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct SeriesView {
    /// The zone.
    pub zone: String,
    /// Its name.
    pub zone_name: String,
    /// `index` or `cover`.
    pub quantity: String,
    /// Lines of evidence.
    pub lines: Vec<SeriesLineView>,
    /// Photos that are shown and no evidence.
    pub hollow: Vec<OccasionView>,
    /// Photos that were not measured.
    pub unmeasured: u32,
    /// Growth potential by week, where temperatures and the kind of grass are known.
    pub growth: Vec<GrowthWeek>,
    /// What to mind.
    pub notes: Vec<String>,
}

impl Notebook {
    /// Colour or cover of a zone over time, by day, evidence apart from what is only shown.
    ///
    /// # Errors
    /// [`Problem`] when there is no such zone or quantity.
    pub fn photo_series(&mut self, request: &SeriesRequest) -> Result<SeriesView, Problem> {
        let quantity = Quantity::of(request.quantity.as_deref())?;
        let zone = self.find_zone("zone", &request.zone)?;
        let entries = self.document(zone_document(zone))?.entries();
        let shots = shots(&entries);
        let photos = entries
            .iter()
            .filter(|entry| entry.voided().is_none())
            .filter_map(|entry| entry.read::<swardbook_journal::records::Observation>())
            .filter(|seen| !seen.photo.is_empty())
            .count();
        let (lines, alike) = lines(&shots, quantity)?;
        let hollow: Vec<OccasionView> = shots
            .iter()
            .filter(|shot| !is_evidence(&shot.record))
            .filter_map(|shot| Some(OccasionView::hollow(shot, quantity.value(&shot.record)?)))
            .collect();
        let (growth, growth_note) = self.growth(zone)?;
        let mut notes = vec![
            "Photos of one day are averaged: they repeat the photo, not the ground.".to_owned(),
        ];
        if lines.iter().any(|line| line.repeatability.is_none()) {
            notes.push(
                "No day has two photos taken the same way, so how well one can be repeated is \
                 taken from the scatter within the frames, which is rather too small: take three \
                 photos of the same spot on one day."
                    .to_owned(),
            );
        }
        if lines.len() > 1 {
            notes.push(
                "Photos with another card, mask or strip stand on a line of their own and are not \
                 compared with each other."
                    .to_owned(),
            );
        }
        notes.extend(alike);
        notes.extend(growth_note);
        let zone_name = self.zone_row(zone)?.map_or_else(String::new, |row| row.name);
        Ok(SeriesView {
            zone: zone.to_string(),
            zone_name,
            quantity: quantity.word().to_owned(),
            lines,
            hollow,
            unmeasured: u32::try_from(photos.saturating_sub(shots.len())).unwrap_or(u32::MAX),
            growth,
            notes,
        })
    }

    /// Growth potential by week, and what is lacking for it, if something is.
    fn growth(&mut self, zone: Id) -> Result<(Vec<GrowthWeek>, Option<String>), Problem> {
        let row = self.zone_row(zone)?.expect("found by its row");
        let property = self.find_property("property", &row.property)?;
        let days = self.daily_temperatures(property)?;
        if days.is_empty() {
            return Ok((Vec::new(), None));
        }
        let record: Option<Zone> =
            self.document(property_document(property))?.entry(&row.id).and_then(|e| e.read());
        let grass = match record.and_then(|zone| zone.grass) {
            Some(Grass::CoolSeason) => GrassSeason::Cool,
            Some(Grass::WarmSeason) => GrassSeason::WarmHeld,
            _ => {
                let lacking = "Temperatures are known, but not whether the grass is cool-season or \
                               warm-season: fill it in for the growth potential.";
                return Ok((Vec::new(), Some(lacking.to_owned())));
            }
        };
        Ok((weeks(&days, grass)?, None))
    }
}

/// Weeks of the series view with their ends, for the figure.
pub(crate) fn growth_bars(weeks: &[GrowthWeek]) -> Vec<(NaiveDate, NaiveDate, f64, f64)> {
    weeks
        .iter()
        .filter_map(|week| {
            let first = swardbook_units::parse_date(&week.first).ok()?;
            let last = first.checked_add_days(chrono::Days::new(6))?;
            Some((first, last, week.potential, week.mean_c))
        })
        .collect()
}

fn weeks(days: &BTreeMap<NaiveDate, f64>, grass: GrassSeason) -> Result<Vec<GrowthWeek>, Problem> {
    let mut weeks: BTreeMap<NaiveDate, Vec<f64>> = BTreeMap::new();
    for (day, mean) in days {
        let back = u64::from(day.weekday().num_days_from_monday());
        let monday = day.checked_sub_days(chrono::Days::new(back)).unwrap_or(*day);
        weeks.entry(monday).or_default().push(*mean);
    }
    weeks
        .into_iter()
        // Of half a week the mean may be another's.
        .filter(|(_, means)| means.len() >= 4)
        .map(|(monday, means)| {
            let mean_c = means.iter().sum::<f64>() / means.len() as f64;
            Ok(GrowthWeek {
                first: day_text(monday),
                days: u32::try_from(means.len()).unwrap_or(7),
                mean_c,
                potential: growth_potential(mean_c, grass)?.value,
            })
        })
        .collect()
}

/// The lines, and of each that has a change in what way its two days were taken.
fn lines(
    shots: &[Shot],
    quantity: Quantity,
) -> Result<(Vec<SeriesLineView>, Vec<String>), Problem> {
    let by_manner = occasions(shots, quantity)?;
    let (mut lines, mut alike) = (Vec::new(), Vec::new());
    for (manner, days) in &by_manner {
        let repeated = repeatability(days);
        let ground = if manner.strip.is_empty() { "whole zone" } else { manner.strip.as_str() };
        let name = format!("{ground}, {}", manner.card);
        let change = match days.as_slice() {
            [first, .., last] => {
                alike.push(format!("{name}: {}", alike_words(first, last)));
                Some(difference(quantity, first, last, repeated)?)
            }
            _ => None,
        };
        lines.push(SeriesLineView {
            name,
            strip: manner.strip.clone(),
            card: manner.card.clone(),
            occasions: days
                .iter()
                .map(|day| OccasionView::of(day, quantity, repeated))
                .collect::<Result<_, _>>()?,
            repeatability: repeated.map(RepeatabilityView::from),
            change,
        });
    }
    Ok((lines, alike))
}
