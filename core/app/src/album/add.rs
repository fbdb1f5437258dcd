//! Keeping photos as observations of zones.

use std::{collections::BTreeMap, fs, io::Read, panic::resume_unwind, path::Path, thread};

use serde::{Deserialize, Serialize};
use swardbook_imaging::side_by_side::side_by_side;
use swardbook_journal::records::{Observation, ObservationKind};
use swardbook_store::BlobHash;
use swardbook_units::Id;
use ts_rs::TS;

use super::pictures::PictureCache;
use crate::{
    Code, Notebook, Problem, Watch,
    notebook::zone_document,
    photo::{self, PhotoInfo},
    progress::{Course, Part, Step},
    record::RecordView,
    turns::Turns,
};

/// One photo to keep.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct PhotoToAdd {
    /// Path of a JPEG, PNG or WebP file.
    pub path: String,
    /// The zone, by id or name.
    pub zone: String,
    /// The day; the camera's when left out, else today.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub date: Option<String>,
    /// The strip it shows; empty: the whole zone.
    #[serde(default)]
    pub strip: String,
    /// Words.
    #[serde(default)]
    pub note: String,
}

/// Photos to keep, all in one action.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct AddPhotos {
    /// The photos.
    pub photos: Vec<PhotoToAdd>,
}

/// A photo that was not kept, and why.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct SkippedPhoto {
    /// Its path.
    pub path: String,
    /// Why.
    pub why: String,
    /// The record that already keeps this very file; empty where the file cannot be read.
    pub known_as: String,
}

/// What became of the photos.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct PhotosAdded {
    /// The observations.
    pub added: Vec<RecordView>,
    /// What was left, with the reason; the others were kept.
    pub skipped: Vec<SkippedPhoto>,
    /// It was stopped: photos in neither list were not looked at.
    pub stopped: bool,
}

/// A photo's file, read and looked at.
pub(super) struct ReadIn {
    pub(super) bytes: Vec<u8>,
    pub(super) info: PhotoInfo,
}

/// Reads a file and what it says of itself.
pub(super) fn read_in(path: &Path) -> Result<ReadIn, Problem> {
    let bytes = read_within(path)?;
    let info = photo::read_photo(&bytes).map_err(|problem| problem.at("path"))?;
    Ok(ReadIn { bytes, info })
}

/// Photos that are read and looked at while the ones before them are put on the disk.
const AT_ONCE: usize = 4;

/// A photo's file, ready to be kept.
struct Prepared {
    bytes: Vec<u8>,
    info: PhotoInfo,
    hash: String,
    /// None of a photo whose pixels cannot be read; it is kept all the same.
    thumbnail: Option<Vec<u8>>,
}

fn prepared(photo: &PhotoToAdd, cache: &PictureCache) -> Result<Prepared, Problem> {
    let ReadIn { bytes, info } = read_in(Path::new(&photo.path))?;
    let hash = BlobHash::of(&bytes).to_string();
    let thumbnail = match cache.thumbnail(&hash, &bytes) {
        Ok(thumbnail) => Some(thumbnail),
        Err(problem) if problem.code == Code::BadFile => None,
        Err(problem) => return Err(problem),
    };
    Ok(Prepared { bytes, info, hash, thumbnail })
}

/// Keeps photos as observations, the originals untouched; each with its small pictures.
///
/// A file that its zone already keeps is left out, and one that is no photo; the rest is kept in
/// one action.
/// Stopped half-way, those that were looked at are kept.
///
/// # Errors
/// [`Problem`] when no zone of that name is there, a day cannot be read, or the disk refuses:
/// nothing is recorded then.
/// When there was one photo only, the reason it was not kept.
pub(crate) fn add_photos(
    turns: &mut Turns<'_>,
    request: &AddPhotos,
    watch: &mut dyn Watch,
) -> Result<PhotosAdded, Problem> {
    for date in request.photos.iter().filter_map(|photo| photo.date.as_deref()) {
        swardbook_units::parse_date(date)?;
    }
    let (zones, cache, stopwatch) = turns.with(|notebook| {
        let mut zones: BTreeMap<&str, Id> = BTreeMap::new();
        for photo in &request.photos {
            if !zones.contains_key(photo.zone.as_str()) {
                zones.insert(&photo.zone, notebook.find_zone("zone", &photo.zone)?);
            }
        }
        Ok((zones, notebook.picture_cache()?, notebook.stopwatch()))
    })?;
    let known = turns.with(|notebook| notebook.known_photos(zones.values()))?;
    let mut taking = Taking { zones, known, records: Vec::new(), skipped: Vec::new() };
    let mut course = Course::begin(watch, stopwatch, String::new());
    let begun = course.step(Step::Placing, Part::Photos, request.photos.len());
    let mut stopped = begun.is_err() || course.is_stopped();
    // A few at a time, so that a large folder needs no more memory than a small one; the next few
    // are looked at while these go to the disk.
    let look = |some: &[PhotoToAdd]| side_by_side(some, |photo| prepared(photo, &cache));
    let mut chunks = request.photos.chunks(AT_ONCE);
    let mut these = if stopped { &[] } else { chunks.next().unwrap_or_default() };
    let mut read = look(these);
    let mut looked_at = 0;
    while !these.is_empty() {
        let next = chunks.next().unwrap_or_default();
        let ahead = thread::scope(|scope| {
            let ahead = scope.spawn(|| look(next));
            for (photo, read) in these.iter().zip(read) {
                match read {
                    Ok(read) => taking.take(turns, photo, &read)?,
                    Err(problem) if request.photos.len() == 1 => {
                        let message = format!("{}: {}", photo.path, problem.message);
                        return Err(Problem { message, ..problem });
                    }
                    Err(problem) => taking.skip(photo, problem.message, String::new()),
                }
            }
            Ok(ahead.join().unwrap_or_else(|broken| resume_unwind(broken)))
        })?;
        looked_at += these.len();
        stopped = course.did(these.len()).is_err() || course.is_stopped();
        (these, read) = if stopped { Default::default() } else { (next, ahead) };
    }
    let added = turns.with(|notebook| {
        // Another window or device may have kept some of them meanwhile.
        let known = notebook.known_photos(taking.zones.values())?;
        taking.drop_known(&known);
        notebook.keep_photos(&taking.records)
    })?;
    let stopped = looked_at < request.photos.len();
    Ok(PhotosAdded { added, skipped: taking.skipped, stopped })
}

/// The photos of each zone by the file they keep.
type Known = BTreeMap<Id, BTreeMap<String, String>>;

/// Photos on their way into the notebook.
struct Taking<'r> {
    /// Zones by how the request names them.
    zones: BTreeMap<&'r str, Id>,
    known: Known,
    /// What will be recorded, with the path it came from.
    records: Vec<(Id, &'r PhotoToAdd, Observation)>,
    skipped: Vec<SkippedPhoto>,
}

impl<'r> Taking<'r> {
    /// Puts a photo on the disk, before the record that points to it, unless it is there.
    fn take(
        &mut self,
        turns: &mut Turns<'_>,
        photo: &'r PhotoToAdd,
        read: &Prepared,
    ) -> Result<(), Problem> {
        let zone = self.zones[photo.zone.as_str()];
        let of_zone = self.known.entry(zone).or_default();
        match of_zone.get(&read.hash).cloned() {
            Some(known_as) if known_as.is_empty() => {
                self.skip(photo, "the same file was given twice".to_owned(), known_as);
            }
            Some(known_as) => self.skip(photo, KEPT_ALREADY.to_owned(), known_as),
            None => {
                of_zone.insert(read.hash.clone(), String::new());
                let record = turns.with(|notebook| notebook.observation_of(photo, read))?;
                self.records.push((zone, photo, record));
            }
        }
        Ok(())
    }

    fn skip(&mut self, photo: &PhotoToAdd, why: String, known_as: String) {
        self.skipped.push(SkippedPhoto { path: photo.path.clone(), why, known_as });
    }

    /// Leaves out what is known by now.
    fn drop_known(&mut self, known: &Known) {
        for (zone, photo, record) in std::mem::take(&mut self.records) {
            match known[&zone].get(&record.photo) {
                Some(known_as) => self.skip(photo, KEPT_ALREADY.to_owned(), known_as.clone()),
                None => self.records.push((zone, photo, record)),
            }
        }
    }
}

const KEPT_ALREADY: &str = "this very file is already kept in this zone";

impl Notebook {
    /// The photos of each zone by the file they keep.
    fn known_photos<'z>(
        &mut self,
        zones: impl IntoIterator<Item = &'z Id>,
    ) -> Result<Known, Problem> {
        zones.into_iter().map(|zone| Ok((*zone, self.photos_by_file(*zone)?))).collect()
    }

    /// Writes the observations as one action.
    fn keep_photos(
        &mut self,
        records: &[(Id, &PhotoToAdd, Observation)],
    ) -> Result<Vec<RecordView>, Problem> {
        let what = match records {
            [] => return Ok(Vec::new()),
            [(.., one)] => format!("added photo {}", one.photo_name),
            many => format!("added {} photos", many.len()),
        };
        let mut action = self.begin_action(what);
        let mut ids = Vec::new();
        for (zone, _, record) in records {
            ids.push(action.add(zone_document(*zone), record)?.to_string());
        }
        action.keep()?;
        ids.iter().map(|id| self.record(id)).collect()
    }

    fn observation_of(
        &mut self,
        photo: &PhotoToAdd,
        read: &Prepared,
    ) -> Result<Observation, Problem> {
        let date = match &photo.date {
            Some(text) => swardbook_units::parse_date(text)?,
            None => read.info.taken.map_or_else(|| self.today(), |taken| taken.local.date()),
        };
        let mut keep = |mut bytes: &[u8]| self.store.add_blob(&mut bytes, photo::MOST_BYTES as u64);
        let original = keep(&read.bytes)?;
        let preview = match &read.thumbnail {
            Some(thumbnail) => keep(thumbnail)?.hash.to_string(),
            None => String::new(),
        };
        let name = Path::new(&photo.path).file_name();
        Ok(Observation {
            sort: Some(ObservationKind::Photo),
            date: Some(date),
            time: read.info.taken.map(|taken| taken.local.time()),
            photo: original.hash.to_string(),
            preview,
            photo_name: name.map_or_else(String::new, |name| name.to_string_lossy().into_owned()),
            media_type: read.info.kind.media_type().to_owned(),
            size: i64::try_from(original.size).ok(),
            strip: photo.strip.trim().to_owned(),
            note: photo.note.trim().to_owned(),
            ..Observation::default()
        })
    }

    /// The observations of a zone by the file they keep.
    pub(super) fn photos_by_file(&mut self, zone: Id) -> Result<BTreeMap<String, String>, Problem> {
        let entries = self.document(zone_document(zone))?.entries();
        Ok(entries
            .iter()
            .filter(|entry| entry.voided().is_none())
            .filter_map(|entry| Some((entry.read::<Observation>()?.photo, entry.key.clone())))
            .filter(|(photo, _)| !photo.is_empty())
            .collect())
    }
}

/// Reads a file that may be no larger than a photo.
pub(super) fn read_within(path: &Path) -> Result<Vec<u8>, Problem> {
    let failed = |e: std::io::Error| {
        Problem::new(Code::BadFile, format!("{}: {e}", path.display())).at("path")
    };
    let mut file = fs::File::open(path).map_err(failed)?;
    let limit = photo::MOST_BYTES as u64;
    let size = file.metadata().map_err(failed)?.len();
    if size > limit {
        return Err(Problem::new(
            Code::BadFile,
            format!(
                "{}: {} MB is more than the {} MB a photo may have",
                path.display(),
                size.div_ceil(1_000_000),
                limit / 1_000_000
            ),
        )
        .at("path"));
    }
    let mut bytes = Vec::new();
    file.by_ref().take(limit).read_to_end(&mut bytes).map_err(failed)?;
    Ok(bytes)
}
