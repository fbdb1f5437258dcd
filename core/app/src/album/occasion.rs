//! Photos of one ground on one day, taken together: one value with one uncertainty.
//!
//! Photos of one day are not independent trials of the ground; they are averaged, and what they
//! scatter tells how well one photo can be repeated.

use std::collections::BTreeMap;

use serde::Serialize;
use swardbook_imaging::{ImagingError, alike::Apart};
use swardbook_journal::{
    Entry,
    records::{CardKind, Measurement, Observation, ObservationKind},
};
use swardbook_stats::uncertainty::{Uncertainty, combine};
use swardbook_units::{Id, NaiveDate};
use ts_rs::TS;

use super::{
    kept::{is_evidence, newest, why_not},
    series::Quantity,
    shown::LEVEL,
};
use crate::{Problem, dto::day_text};

/// One measured photo.
#[derive(Debug, Clone)]
pub(super) struct Shot {
    pub(super) id: Id,
    pub(super) date: NaiveDate,
    pub(super) strip: String,
    pub(super) record: Measurement,
}

/// What must be the same for two photos to be compared.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Manner {
    pub(super) strip: String,
    pub(super) card: String,
    algorithm: String,
    mask: String,
    sheet: String,
    exposure: String,
}

impl Manner {
    pub(super) fn of(shot: &Shot) -> Self {
        let record = &shot.record;
        let range = |from: Option<f64>, to: Option<f64>| {
            format!("{} to {}", from.unwrap_or_default(), to.unwrap_or_default())
        };
        let exposure = match (&record.card, record.reflectance) {
            (Some(CardKind::Grey), None) => "the photo's own exposure".to_owned(),
            (Some(CardKind::Grey), Some(share)) => format!("brought to a reflectance of {share}"),
            _ => String::new(),
        };
        Self {
            strip: shot.strip.clone(),
            card: record.card.as_ref().unwrap_or(&CardKind::None).word().to_owned(),
            algorithm: record.algorithm.clone(),
            mask: format!(
                "hue {} degrees, saturation {}",
                range(record.hue_from, record.hue_to),
                range(record.saturation_from, record.saturation_to)
            ),
            sheet: record.sheet.clone(),
            exposure,
        }
    }

    /// What stands between two photos, in words; empty when they may be compared.
    pub(super) fn against(&self, other: &Self) -> Vec<String> {
        let or_whole = |strip: &str| {
            if strip.is_empty() { "the whole zone".to_owned() } else { strip.to_owned() }
        };
        let mut why = Vec::new();
        let mut check = |what: &str, one: String, two: String| {
            if one != two {
                why.push(format!("{what} differs: {one} and {two}"));
            }
        };
        check("the ground", or_whole(&self.strip), or_whole(&other.strip));
        check("the card", self.card.clone(), other.card.clone());
        check("the way of measuring", self.algorithm.clone(), other.algorithm.clone());
        check("what counts as green", self.mask.clone(), other.mask.clone());
        check("the exposure", self.exposure.clone(), other.exposure.clone());
        if self.sheet != other.sheet {
            why.push("the chart's own colours differ: another print, or measured anew".to_owned());
        }
        why
    }
}

/// The measured photos of a zone's journal, in the order of days.
pub(super) fn shots(entries: &[Entry]) -> Vec<Shot> {
    let mut measured = newest(entries);
    let mut shots: Vec<Shot> = entries
        .iter()
        .filter(|entry| entry.voided().is_none())
        .filter_map(|entry| {
            let seen = entry.read::<Observation>()?;
            (seen.sort == Some(ObservationKind::Photo)).then_some(())?;
            let id: Id = entry.key.parse().ok()?;
            let (_, record) = measured.remove(&id)?;
            let (date, strip) = (seen.date?, seen.strip.trim().to_owned());
            Some(Shot { id, date, strip, record })
        })
        .collect();
    shots.sort_by_key(|shot| (shot.date, shot.id));
    shots
}

/// How well a photo can be repeated: from photos of the same ground on the same day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Repeatability {
    pub(super) deviation: f64,
    pub(super) df: f64,
    pub(super) photos: usize,
    pub(super) occasions: usize,
}

/// Pooled within-day standard deviation; `None` without a day of two photos.
///
/// # Source  pooled variance of groups: sum of squares within over its degrees of freedom.
pub(super) fn repeatability(occasions: &[Occasion]) -> Option<Repeatability> {
    let repeated: Vec<&Occasion> = occasions.iter().filter(|o| o.values.len() > 1).collect();
    let squares: f64 = repeated
        .iter()
        .map(|o| o.values.iter().map(|value| (value - o.mean).powi(2)).sum::<f64>())
        .sum();
    let photos: usize = repeated.iter().map(|o| o.values.len()).sum();
    let df = (photos - repeated.len()) as f64;
    (df > 0.0).then(|| Repeatability {
        deviation: (squares / df).sqrt(),
        df,
        photos,
        occasions: repeated.len(),
    })
}

/// Photos of one day, taken in one manner.
#[derive(Debug, Clone)]
pub(super) struct Occasion {
    pub(super) date: NaiveDate,
    pub(super) ids: Vec<Id>,
    pub(super) values: Vec<f64>,
    pub(super) mean: f64,
    /// Of the frames: card and fine detail, which the photos of a day share.
    frame: Uncertainty,
    /// Of a frame as one for the turf around it, from the scatter within the frames.
    turf_u: Option<f64>,
    /// What of the frames' uncertainty photos taken in the same way share; or why that is not known.
    alike: Result<(Way, Apart), &'static str>,
}

/// How photos were taken, as far as it makes their errors alike; card and colours of the card are
/// the manner's.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Way {
    /// Maker, model and lens.
    camera: String,
    /// Longer and shorter side, pixels.
    sides: (i64, i64),
}

/// The way of all photos of an occasion with the mean of what they share, or why there is none.
fn alike(shots: &[&Shot], quantity: Quantity) -> Result<(Way, Apart), &'static str> {
    let way = |shot: &Shot| {
        let (width, height) = (shot.record.width?, shot.record.height?);
        let sides = (width.max(height), width.min(height));
        (!shot.record.camera.is_empty()).then(|| Way { camera: shot.record.camera.clone(), sides })
    };
    let mut ways = shots.iter().map(|shot| way(shot));
    let first = ways.next().flatten().ok_or("the photos do not say what camera took them")?;
    if ways.any(|other| other.as_ref() != Some(&first)) {
        return Err("photos of one day are of several cameras or sizes");
    }
    let parts: Option<Vec<Apart>> = shots.iter().map(|shot| quantity.apart(&shot.record)).collect();
    let mean = parts.and_then(|parts| Apart::mean(&parts));
    Ok((first, mean.ok_or("they were measured before its parts were kept")?))
}

/// What two occasions share, or why nothing is taken as shared.
fn both_alike<'a>(
    before: &'a Occasion,
    after: &'a Occasion,
) -> Result<(&'a Way, [&'a Apart; 2]), &'static str> {
    let (one, first) = before.alike.as_ref().map_err(|why| *why)?;
    let (two, last) = after.alike.as_ref().map_err(|why| *why)?;
    if one.camera != two.camera {
        return Err("the two days were taken with different cameras or lenses");
    }
    if one.sides != two.sides {
        return Err("the pictures of the two days differ in size");
    }
    Ok((one, [first, last]))
}

/// In what way two occasions were taken, and what that does to their difference.
pub(super) fn alike_words(before: &Occasion, after: &Occasion) -> String {
    match both_alike(before, after) {
        Ok((way, _)) => format!(
            "both days were taken in one way ({}, {} x {} pixels, the same card), so what camera \
             and card do to both alike drops out of the difference and its interval is the narrower.",
            way.camera, way.sides.0, way.sides.1
        ),
        Err(why) => format!(
            "{why}, so the difference carries the uncertainty of both in full; one camera, lens \
             and size of picture on every visit makes it narrower."
        ),
    }
}

/// The occasions of each manner, evidence only.
pub(super) fn occasions(
    shots: &[Shot],
    quantity: Quantity,
) -> Result<BTreeMap<Manner, Vec<Occasion>>, Problem> {
    let mut groups: BTreeMap<(Manner, NaiveDate), Vec<&Shot>> = BTreeMap::new();
    for shot in shots.iter().filter(|shot| is_evidence(&shot.record)) {
        groups.entry((Manner::of(shot), shot.date)).or_default().push(shot);
    }
    let mut by_manner: BTreeMap<Manner, Vec<Occasion>> = BTreeMap::new();
    for ((manner, date), shots) in groups {
        let shots: Vec<&Shot> =
            shots.into_iter().filter(|shot| quantity.read(&shot.record).is_some()).collect();
        let read: Vec<(Id, f64, Uncertainty, Option<f64>)> = shots
            .iter()
            .filter_map(|shot| {
                let (value, u, df, turf_u) = quantity.read(&shot.record)?;
                Some((shot.id, value, Uncertainty { u, df }, turf_u))
            })
            .collect();
        if read.is_empty() {
            continue;
        }
        let n = read.len() as f64;
        let values: Vec<f64> = read.iter().map(|(_, value, _, _)| *value).collect();
        // One card in one light: the frames' own errors go the same way, so they are averaged and
        // not made smaller by their number.
        let u = (read.iter().map(|(_, _, u, _)| u.u * u.u).sum::<f64>() / n).sqrt();
        let df = read.iter().map(|(_, _, u, _)| u.df).fold(f64::INFINITY, f64::min);
        let turf: Vec<f64> = read.iter().filter_map(|(_, _, _, turf_u)| *turf_u).collect();
        let turf_u = (!turf.is_empty())
            .then(|| (turf.iter().map(|u| u * u).sum::<f64>() / turf.len() as f64).sqrt());
        by_manner.entry(manner).or_default().push(Occasion {
            date,
            ids: read.iter().map(|(id, _, _, _)| *id).collect(),
            mean: values.iter().sum::<f64>() / n,
            values,
            frame: Uncertainty { u, df },
            turf_u,
            alike: alike(&shots, quantity),
        });
    }
    Ok(by_manner)
}

impl Occasion {
    /// The uncertainty of its mean as one for the ground: card and detail, and the scatter of
    /// repeated photos over their number; without repeats the scatter within the frames.
    pub(super) fn uncertainty(
        &self,
        repeated: Option<Repeatability>,
    ) -> Result<Uncertainty, Problem> {
        Ok(combine(&[self.frame, self.repeat_part(repeated)]).map_err(ImagingError::from)?)
    }

    fn repeat_part(&self, repeated: Option<Repeatability>) -> Uncertainty {
        match repeated {
            Some(known) => {
                Uncertainty { u: known.deviation / (self.values.len() as f64).sqrt(), df: known.df }
            }
            None => {
                // What the frame's tiles add to its own uncertainty; never known to be nothing.
                let within = self.turf_u.map_or(0.0, |turf| {
                    (turf * turf - self.frame.u * self.frame.u).max(0.0).sqrt()
                });
                Uncertainty { u: within, df: 63.0 }
            }
        }
    }
}

/// What repeated photos, or the scatter within the frames, add to a difference.
///
/// One estimate of repeatability stands behind both days, so it enters once.
fn repeat_parts(
    before: &Occasion,
    after: &Occasion,
    repeated: Option<Repeatability>,
) -> Vec<Uncertainty> {
    match repeated {
        Some(known) => {
            let share = |day: &Occasion| 1.0 / day.values.len() as f64;
            let u = known.deviation * (share(before) + share(after)).sqrt();
            vec![Uncertainty { u, df: known.df }]
        }
        None => vec![before.repeat_part(None), after.repeat_part(None)],
    }
}

/// The later value less the earlier, with its interval.
///
/// Of two days taken in one way, what camera and card do to both drops out as far as
/// [`Apart::difference`] says; otherwise both uncertainties count in full.
pub(super) fn difference(
    quantity: Quantity,
    before: &Occasion,
    after: &Occasion,
    repeated: Option<Repeatability>,
) -> Result<DifferenceView, Problem> {
    let mut parts = repeat_parts(before, after, repeated);
    match both_alike(before, after) {
        Ok((_, [one, two])) => parts.push(two.difference(one)?),
        Err(_) => parts.extend([before.frame, after.frame]),
    }
    let u = combine(&parts).map_err(ImagingError::from)?;
    let value = after.mean - before.mean;
    let half = u.expanded(LEVEL).map_err(ImagingError::from)?;
    let (low, high) = quantity.difference_within(value - half, value + half);
    let name = quantity.words();
    let shown = |number: f64| quantity.shown_difference(number);
    let interval = format!("{} to {}", shown(low), shown(high));
    let sentence = if low > 0.0 {
        format!("{name} rose by {} ({interval})", shown(value))
    } else if high < 0.0 {
        format!("{name} fell by {} ({interval})", shown(-value))
    } else {
        format!("{name}: cannot be told from no change; {} ({interval})", shown(value))
    };
    Ok(DifferenceView {
        quantity: quantity.word().to_owned(),
        before: before.mean,
        after: after.mean,
        before_photos: count(before.values.len()),
        after_photos: count(after.values.len()),
        value,
        low,
        high,
        u: u.u,
        sentence,
    })
}

fn count(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

/// One day's value.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct OccasionView {
    /// The day.
    pub date: String,
    /// The photos.
    pub photos: Vec<String>,
    /// Their mean, or the one photo's value.
    pub value: f64,
    /// Lower end of its 95 % interval; none where it is no evidence.
    pub low: Option<f64>,
    /// Upper end.
    pub high: Option<f64>,
    /// It may speak in a comparison.
    pub is_evidence: bool,
    /// Why not, in words.
    pub why_not: Vec<String>,
}

impl OccasionView {
    pub(super) fn of(
        occasion: &Occasion,
        quantity: Quantity,
        repeated: Option<Repeatability>,
    ) -> Result<Self, Problem> {
        let u = occasion.uncertainty(repeated)?;
        let half = u.expanded(LEVEL).map_err(ImagingError::from)?;
        let (low, high) = quantity.within(occasion.mean - half, occasion.mean + half);
        Ok(Self {
            date: day_text(occasion.date),
            photos: occasion.ids.iter().map(Id::to_string).collect(),
            value: occasion.mean,
            low: Some(low),
            high: Some(high),
            is_evidence: true,
            why_not: Vec::new(),
        })
    }

    /// A photo that is shown and no evidence.
    pub(super) fn hollow(shot: &Shot, value: f64) -> Self {
        Self {
            date: day_text(shot.date),
            photos: vec![shot.id.to_string()],
            value,
            low: None,
            high: None,
            is_evidence: false,
            why_not: why_not(&shot.record),
        }
    }
}

/// How well a photo of this zone can be repeated.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct RepeatabilityView {
    /// Standard deviation between photos of one ground on one day.
    pub deviation: f64,
    /// Its degrees of freedom.
    pub df: f64,
    /// Photos behind it.
    pub photos: u32,
    /// Days behind it.
    pub occasions: u32,
}

impl From<Repeatability> for RepeatabilityView {
    fn from(known: Repeatability) -> Self {
        Self {
            deviation: known.deviation,
            df: known.df,
            photos: count(known.photos),
            occasions: count(known.occasions),
        }
    }
}

/// A difference between two occasions.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct DifferenceView {
    /// `index` or `cover`.
    pub quantity: String,
    /// The earlier value.
    pub before: f64,
    /// The later value.
    pub after: f64,
    /// Photos of the earlier day.
    pub before_photos: u32,
    /// Photos of the later day.
    pub after_photos: u32,
    /// Later less earlier.
    pub value: f64,
    /// Lower end of the 95 % interval.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Standard uncertainty of the difference.
    pub u: f64,
    /// The verdict in words.
    pub sentence: String,
}
