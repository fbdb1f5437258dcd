//! Measuring many photos in one act: those that were not measured yet, or those that an earlier way
//! of measuring measured.

use std::collections::{BTreeMap, btree_map::Entry};

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
    asked::{CardAsked, ways},
    kept::{Circumstances, choices_of, is_evidence, newest, record_of, why_not},
    list::line_of,
    measure::measure_ways,
};
use crate::{
    Notebook, Problem, Watch,
    notebook::zone_document,
    photo::{self, CardInFrame, MeasureChoices},
    progress::{Course, Part, Step},
    turns::Turns,
};

/// Which photos to measure; of the whole notebook when neither zone nor property is named.
#[derive(Debug, Clone, Default, Deserialize, TS)]
pub struct MeasureMany {
    /// One zone, by id or name.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub zone: Option<String>,
    /// Every zone of one property, by id or name.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub property: Option<String>,
    /// Those whose standing measurement is of an earlier way, by what was chosen then; otherwise
    /// those that were not measured yet, by what is chosen here.
    #[serde(default)]
    pub again: bool,
    /// Card, mask and region of those not measured yet.
    #[serde(flatten)]
    pub asked: CardAsked,
    /// Words of their measurements.
    #[serde(default)]
    pub note: String,
}

/// What a measurement says, as far as a list shows it.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Says {
    /// Way of measuring; empty where none was kept.
    pub algorithm: String,
    /// `none`, `grey-card` or `chart`; empty where none was kept.
    pub card: String,
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
            card: record.card.as_ref().map_or_else(String::new, |card| card.word().to_owned()),
            index: record.index,
            cover: record.cover,
            is_evidence: is_evidence(record),
            why_not: why_not(record),
        }
    }
}

/// A photo that was measured.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct PhotoMeasured {
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
    /// What the earlier one says; none where there was none.
    pub then: Option<Says>,
    /// What the new one says.
    pub now: Says,
}

/// A photo that could not be measured; what stood stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct NotMeasured {
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
pub struct MeasuredMany {
    /// Measured; newest day first in each zone.
    pub photos: Vec<PhotoMeasured>,
    /// Not measured, each with the reason.
    pub without: Vec<NotMeasured>,
    /// It was stopped: so many photos are left as they were.
    pub left: u32,
}

/// Whether a measurement was made by an earlier way, or by none that was kept.
pub(super) fn is_earlier(record: &Measurement) -> bool {
    record.algorithm.is_empty() || EARLIER.contains(&record.algorithm.as_str())
}

/// Photos that are read before the next ones are.
const AT_ONCE: usize = 4;

/// A photo with the measurement that stands, by its key.
struct Standing {
    zone: Id,
    zone_name: String,
    photo: Id,
    seen: Observation,
    then: Option<(String, Measurement)>,
}

impl Standing {
    fn not(&self, why: String) -> NotMeasured {
        let line = line_of(&self.photo.to_string(), &self.seen, None, false);
        NotMeasured {
            photo: line.id,
            name: line.name,
            date: line.date,
            zone_name: self.zone_name.clone(),
            why,
        }
    }

    fn done(&self, measurement: String, now: &Measurement) -> PhotoMeasured {
        let line = line_of(&self.photo.to_string(), &self.seen, None, false);
        PhotoMeasured {
            photo: line.id,
            name: line.name,
            date: line.date,
            zone_name: self.zone_name.clone(),
            measurement,
            then: self.then.as_ref().map(|(_, then)| Says::of(then)),
            now: Says::of(now),
        }
    }

    /// Measures it by what was chosen for its earlier measurement, or by what is asked.
    fn measured(
        &self,
        bytes: &[u8],
        request: &MeasureMany,
        today: NaiveDate,
    ) -> Result<Measurement, Problem> {
        let (ways, was_found, note) = match &self.then {
            Some((_, then)) => (vec![choices_again(then)?], then.corners_found, &then.note),
            None => (ways(&request.asked)?, false, &request.note),
        };
        let (pixels, profile) = photo::decode_with_profile(bytes)?;
        let outcome = measure_ways(ways, pixels, &profile)?;
        record_of(
            Circumstances {
                photo: self.photo,
                original: self.seen.photo.clone(),
                date: today,
                size: (outcome.pixels.width, outcome.pixels.height),
                camera: photo::read_photo(bytes)?.camera,
                corners_found: outcome.corners_found || was_found,
                note: note.trim().to_owned(),
            },
            &outcome.choices,
            &outcome.measured,
        )
    }
}

/// Measures from the kept originals every photo that was not measured yet, or whose standing
/// measurement is of an earlier way, and keeps the measurements in one action; earlier ones stay in
/// the journal.
///
/// Photos are measured while nobody is held up.
/// Stopped half-way, those that were measured are kept.
///
/// # Errors
/// [`Problem`] when there is no such zone or property, what is asked cannot be, or the disk refuses:
/// nothing is kept then.
pub(crate) fn measure_many(
    turns: &mut Turns<'_>,
    request: &MeasureMany,
    watch: &mut dyn Watch,
) -> Result<MeasuredMany, Problem> {
    // A wrong request is refused once, not for each photo.
    ways(&request.asked)?;
    let (waiting, mut without, today, stopwatch) = turns.with(|notebook| {
        let (waiting, without) = notebook.photos_to_measure(request)?;
        Ok((waiting, without, notebook.today(), notebook.stopwatch()))
    })?;
    let mut course = Course::begin(watch, stopwatch, String::new());
    let begun = course.step(Step::Measuring, Part::Photos, waiting.len());
    let mut stopped = begun.is_err() || course.is_stopped();
    let (mut measured, mut looked_at) = (Vec::new(), 0);
    for some in waiting.chunks(AT_ONCE) {
        if stopped {
            break;
        }
        let originals: Vec<(&Standing, Result<Vec<u8>, Problem>)> = turns.with(|notebook| {
            Ok(some.iter().map(|one| (one, notebook.original(&one.seen.photo))).collect())
        })?;
        let done = side_by_side(&originals, |(one, bytes)| match bytes {
            Ok(bytes) => one.measured(bytes, request, today),
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
    let (photos, overtaken) = turns.with(|notebook| notebook.keep_many(&measured))?;
    without.extend(overtaken);
    Ok(MeasuredMany { photos, without, left })
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
    /// The photos to measure, and those that only a later version can measure again.
    fn photos_to_measure(
        &mut self,
        request: &MeasureMany,
    ) -> Result<(Vec<Standing>, Vec<NotMeasured>), Problem> {
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
            let mut found = self.standing_photos(zone, &zone_name)?;
            found.sort_by(|a, b| {
                let when = |one: &Standing| (one.seen.date, one.seen.time);
                when(b).cmp(&when(a)).then_with(|| a.seen.photo_name.cmp(&b.seen.photo_name))
            });
            for one in found {
                match &one.then {
                    None if !request.again => waiting.push(one),
                    Some((_, then)) if request.again && is_earlier(then) => waiting.push(one),
                    Some((_, then)) if request.again && then.algorithm != ALGORITHM => {
                        let why = format!(
                            "a later version of Swardbook measured it ({}); update this device \
                             instead",
                            then.algorithm
                        );
                        without.push(one.not(why));
                    }
                    _ => {}
                }
            }
        }
        Ok((waiting, without))
    }

    /// The photos of a zone that are not hidden.
    fn standing_photos(&mut self, zone: Id, name: &str) -> Result<Vec<Standing>, Problem> {
        let document = self.document(zone_document(zone))?;
        let mut measured = newest(&document.entries_of(Measurement::KIND));
        let mut found = Vec::new();
        for entry in document.entries_of(Observation::KIND) {
            let (Ok(photo), Some(seen)) = (entry.key.parse(), entry.read::<Observation>()) else {
                continue;
            };
            if seen.sort == Some(ObservationKind::Photo) && !seen.photo.is_empty() {
                let then = measured.remove(&photo);
                found.push(Standing { zone, zone_name: name.to_owned(), photo, seen, then });
            }
        }
        Ok(found)
    }

    /// Keeps what was measured, but for photos that somebody measured or hid meanwhile.
    fn keep_many(
        &mut self,
        measured: &[(&Standing, Measurement)],
    ) -> Result<(Vec<PhotoMeasured>, Vec<NotMeasured>), Problem> {
        let key = |one: &Standing| one.then.as_ref().map(|(key, _)| key.clone());
        let (mut to_keep, mut without) = (Vec::new(), Vec::new());
        let mut now_standing: BTreeMap<Id, BTreeMap<Id, Option<String>>> = BTreeMap::new();
        for (one, now) in measured {
            let standing = match now_standing.entry(one.zone) {
                Entry::Occupied(known) => known.into_mut(),
                Entry::Vacant(new) => {
                    let found = self.standing_photos(one.zone, &one.zone_name)?;
                    new.insert(found.iter().map(|one| (one.photo, key(one))).collect())
                }
            };
            if standing.get(&one.photo) == Some(&key(one)) {
                to_keep.push((*one, now));
            } else {
                without.push(one.not("it was measured or hidden by somebody meanwhile".to_owned()));
            }
        }
        if to_keep.is_empty() {
            return Ok((Vec::new(), without));
        }
        let again = if to_keep[0].0.then.is_some() { " again" } else { "" };
        let what = match to_keep[..] {
            [(one, _)] => format!("measured photo {}{again}", one.seen.photo_name),
            ref many => format!("measured {} photos{again}", many.len()),
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
