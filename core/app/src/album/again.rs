//! Measuring again, in one go, the photos that an earlier way of measuring measured.
//!
//! What was chosen then is chosen again; the earlier measurement stays in the journal.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};
use swardbook_imaging::{
    chart::Sheet,
    correction::grey::GreyTarget,
    measure::{ALGORITHM, EARLIER},
    side_by_side::side_by_side,
};
use swardbook_journal::{
    Record as _,
    records::{CardKind, Measurement, Observation, ObservationKind},
};
use swardbook_units::{Id, NaiveDate};
use ts_rs::TS;

use super::{
    kept::{Circumstances, choices_of, is_evidence, newest, record_of, why_not},
    list::line_of,
};
use crate::{
    Notebook, Problem, Watch,
    notebook::zone_document,
    photo::{self, CardInFrame, MeasureChoices},
    progress::{Course, Part, Step},
    turns::Turns,
};

/// Where to measure again; the whole notebook when both are left out.
#[derive(Debug, Clone, Default, Deserialize, TS)]
pub struct MeasureAgain {
    /// One zone, by id or name.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub zone: Option<String>,
    /// Every zone of one property, by id or name.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub property: Option<String>,
}

/// What a measurement says, as far as a list shows it.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Says {
    /// Way of measuring; empty where none was kept.
    pub algorithm: String,
    /// Dark green colour index.
    pub index: Option<f64>,
    /// Green cover, a ratio.
    pub cover: Option<f64>,
    /// It may speak in a comparison.
    pub is_evidence: bool,
    /// Why not, in words.
    pub why_not: Vec<String>,
}

impl Says {
    fn of(record: &Measurement) -> Self {
        Self {
            algorithm: record.algorithm.clone(),
            index: record.index,
            cover: record.cover,
            is_evidence: is_evidence(record),
            why_not: why_not(record),
        }
    }
}

/// A photo that was measured again.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct PhotoAgain {
    /// The observation that keeps it.
    pub photo: String,
    /// The file's name.
    pub name: String,
    /// Its day; empty while not known.
    pub date: String,
    /// Its zone's name.
    pub zone_name: String,
    /// The new measurement.
    pub measurement: String,
    /// What the earlier one says.
    pub then: Says,
    /// What the new one says.
    pub now: Says,
}

/// A photo that could not be measured again; its earlier measurement stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct NotMeasuredAgain {
    /// The observation that keeps it.
    pub photo: String,
    /// The file's name.
    pub name: String,
    /// Its day; empty while not known.
    pub date: String,
    /// Its zone's name.
    pub zone_name: String,
    /// Why.
    pub why: String,
}

/// What became of the photos.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct MeasuredAgain {
    /// Measured again; newest day first in each zone.
    pub photos: Vec<PhotoAgain>,
    /// Not measured again, each with the reason.
    pub without: Vec<NotMeasuredAgain>,
    /// It was stopped: so many photos are left as they were.
    pub left: u32,
}

/// Whether a measurement was made by an earlier way, or by none that was kept.
pub(super) fn is_earlier(record: &Measurement) -> bool {
    record.algorithm.is_empty() || EARLIER.contains(&record.algorithm.as_str())
}

/// Photos that are read before the next ones are.
const AT_ONCE: usize = 4;

/// One photo to measure again.
struct Waiting {
    zone: Id,
    zone_name: String,
    photo: Id,
    seen: Observation,
    /// The measurement that stands, by its key.
    key: String,
    then: Measurement,
}

impl Waiting {
    fn not(&self, why: String) -> NotMeasuredAgain {
        let line = line_of(&self.photo.to_string(), &self.seen, None, false);
        NotMeasuredAgain {
            photo: line.id,
            name: line.name,
            date: line.date,
            zone_name: self.zone_name.clone(),
            why,
        }
    }

    fn done(&self, measurement: String, now: &Measurement) -> PhotoAgain {
        let line = line_of(&self.photo.to_string(), &self.seen, None, false);
        PhotoAgain {
            photo: line.id,
            name: line.name,
            date: line.date,
            zone_name: self.zone_name.clone(),
            measurement,
            then: Says::of(&self.then),
            now: Says::of(now),
        }
    }
}

/// Measures again, from the kept originals, every photo whose standing measurement is of an earlier
/// way, and keeps the new measurements in one action.
///
/// Photos are measured while nobody is held up.
/// Stopped half-way, those that were measured are kept.
///
/// # Errors
/// [`Problem`] when there is no such zone or property, or the disk refuses: nothing is kept then.
pub(crate) fn measure_again(
    turns: &mut Turns<'_>,
    request: &MeasureAgain,
    watch: &mut dyn Watch,
) -> Result<MeasuredAgain, Problem> {
    let (waiting, mut without, today, stopwatch) = turns.with(|notebook| {
        let (waiting, without) = notebook.measured_earlier(request)?;
        Ok((waiting, without, notebook.today(), notebook.stopwatch()))
    })?;
    let mut course = Course::begin(watch, stopwatch, String::new());
    let mut stopped = course.step(Step::Measuring, Part::Photos, waiting.len()).is_err();
    let (mut measured, mut looked_at) = (Vec::new(), 0);
    for some in waiting.chunks(AT_ONCE) {
        if stopped {
            break;
        }
        let originals: Vec<(&Waiting, Result<Vec<u8>, Problem>)> = turns.with(|notebook| {
            Ok(some.iter().map(|one| (one, notebook.original(&one.seen.photo))).collect())
        })?;
        let done = side_by_side(&originals, |(one, bytes)| match bytes {
            Ok(bytes) => measured_now(one, bytes, today),
            Err(problem) => Err(problem.clone()),
        });
        for (one, done) in some.iter().zip(done) {
            match done {
                Ok(record) => measured.push((one, record)),
                Err(problem) => without.push(one.not(problem.message)),
            }
        }
        looked_at += some.len();
        stopped = course.did(some.len()).is_err() || course.is_stopped();
    }
    let left = u32::try_from(waiting.len() - looked_at).unwrap_or(u32::MAX);
    let (photos, overtaken) = turns.with(|notebook| notebook.keep_again(&measured))?;
    without.extend(overtaken);
    Ok(MeasuredAgain { photos, without, left })
}

/// Measures one photo by what was chosen for its earlier measurement.
fn measured_now(one: &Waiting, bytes: &[u8], today: NaiveDate) -> Result<Measurement, Problem> {
    let choices = choices_again(&one.then)?;
    let measured = photo::measure_photo(bytes, &choices)?;
    let info = photo::read_photo(bytes)?;
    let is_found =
        matches!(choices.card, CardInFrame::FindGrey { .. } | CardInFrame::FindChart { .. });
    record_of(
        Circumstances {
            photo: one.photo,
            original: one.seen.photo.clone(),
            date: today,
            size: (info.width, info.height),
            camera: info.camera,
            corners_found: is_found || one.then.corners_found,
            note: one.then.note.clone(),
        },
        &choices,
        &measured,
    )
}

/// What was chosen then; a card whose corners were not kept is looked for.
fn choices_again(then: &Measurement) -> Result<MeasureChoices, Problem> {
    if !then.corners.is_empty() {
        return choices_of(then);
    }
    let without_card = Measurement { card: None, ..then.clone() };
    let card = match &then.card {
        Some(CardKind::Grey) => CardInFrame::FindGrey {
            target: then.reflectance.map_or(GreyTarget::KeepGreen, GreyTarget::Reflectance),
        },
        Some(CardKind::Chart) if then.sheet.is_empty() => {
            CardInFrame::FindChart { sheet: Sheet::as_drawn() }
        }
        _ => return choices_of(then),
    };
    Ok(MeasureChoices { card, ..choices_of(&without_card)? })
}

impl Notebook {
    /// The photos whose standing measurement is of an earlier way, and those that only a later
    /// version can measure again.
    fn measured_earlier(
        &mut self,
        request: &MeasureAgain,
    ) -> Result<(Vec<Waiting>, Vec<NotMeasuredAgain>), Problem> {
        let zones: Vec<(Id, String)> = match (&request.zone, &request.property) {
            (Some(zone), _) => {
                let id = self.find_zone("zone", zone)?;
                vec![(id, self.zone_row(id)?.map_or_else(String::new, |row| row.name))]
            }
            (None, property) => {
                let property = property.as_deref();
                let of = property.map(|name| self.find_property("property", name)).transpose()?;
                let rows = self.zone_rows(of)?;
                rows.into_iter().filter_map(|row| Some((row.id.parse().ok()?, row.name))).collect()
            }
        };
        let (mut waiting, mut without) = (Vec::new(), Vec::new());
        for (zone, zone_name) in zones {
            let mut found = self.measured_earlier_in(zone, &zone_name)?;
            found.sort_by(|a, b| {
                let when = |one: &Waiting| (one.seen.date, one.seen.time);
                when(b).cmp(&when(a)).then_with(|| a.seen.photo_name.cmp(&b.seen.photo_name))
            });
            for one in found {
                if is_earlier(&one.then) {
                    waiting.push(one);
                } else {
                    let way = &one.then.algorithm;
                    without.push(one.not(format!(
                        "a later version of Swardbook measured it ({way}); update this device \
                         instead"
                    )));
                }
            }
        }
        Ok((waiting, without))
    }

    fn measured_earlier_in(&mut self, zone: Id, name: &str) -> Result<Vec<Waiting>, Problem> {
        let document = self.document(zone_document(zone))?;
        let measurements = document.entries_of(Measurement::KIND);
        let mut found = Vec::new();
        for (photo, (key, then)) in newest(&measurements) {
            if then.algorithm == ALGORITHM {
                continue;
            }
            let entry = document.entry(&photo.to_string());
            let Some(seen) = entry.and_then(|entry| entry.read::<Observation>()) else { continue };
            if seen.sort == Some(ObservationKind::Photo) {
                found.push(Waiting { zone, zone_name: name.to_owned(), photo, seen, key, then });
            }
        }
        Ok(found)
    }

    /// Keeps what was measured, but for photos that somebody measured or hid meanwhile.
    fn keep_again(
        &mut self,
        measured: &[(&Waiting, Measurement)],
    ) -> Result<(Vec<PhotoAgain>, Vec<NotMeasuredAgain>), Problem> {
        let (mut to_keep, mut without) = (Vec::new(), Vec::new());
        let mut standing: BTreeMap<Id, BTreeSet<String>> = BTreeMap::new();
        for (one, now) in measured {
            if !standing.contains_key(&one.zone) {
                let found = self.measured_earlier_in(one.zone, &one.zone_name)?;
                standing.insert(one.zone, found.into_iter().map(|one| one.key).collect());
            }
            if standing[&one.zone].contains(&one.key) {
                to_keep.push((*one, now));
            } else {
                without.push(one.not("it was measured or hidden by somebody meanwhile".to_owned()));
            }
        }
        if to_keep.is_empty() {
            return Ok((Vec::new(), without));
        }
        let what = match to_keep[..] {
            [(one, _)] => format!("measured photo {} again", one.seen.photo_name),
            ref many => format!("measured {} photos again", many.len()),
        };
        let mut action = self.begin_action(what);
        let mut photos = Vec::new();
        for (one, now) in to_keep {
            let id = action.add(zone_document(one.zone), now)?.to_string();
            photos.push(one.done(id, now));
        }
        action.keep()?;
        Ok((photos, without))
    }
}
