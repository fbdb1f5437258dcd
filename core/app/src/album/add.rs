//! Keeping photos as observations of zones.

use std::{collections::BTreeMap, fs, io::Read, path::Path};

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
    let info = photo::read_photo(&bytes).map_err(|problem| Problem {
        message: format!("{}: {}", path.display(), problem.message),
        ..problem.at("path")
    })?;
    Ok(ReadIn { bytes, info })
}

/// Photos that are read and looked at before the next ones are.
const AT_ONCE: usize = 8;

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
    let thumbnail = match cache.both(&hash, &bytes) {
        Ok(made) => Some(made.thumbnail),
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
    let mut known = turns.with(|notebook| notebook.known_photos(zones.values()))?;
    let mut course = Course::begin(watch, stopwatch, String::new());
    let mut stopped = course.step(Step::Placing, Part::Photos, request.photos.len()).is_err();
    let (mut records, mut skipped, mut looked_at) = (Vec::new(), Vec::new(), 0);
    // A few at a time, so that a large folder needs no more memory than a small one.
    for some in request.photos.chunks(AT_ONCE) {
        if stopped {
            break;
        }
        let read = side_by_side(some, |photo| prepared(photo, &cache));
        for (photo, read) in some.iter().zip(read) {
            let read = match read {
                Ok(read) => read,
                Err(problem) if request.photos.len() == 1 => return Err(problem),
                Err(problem) => {
                    let (path, why) = (photo.path.clone(), problem.message);
                    skipped.push(SkippedPhoto { path, why, known_as: String::new() });
                    continue;
                }
            };
            let zone = zones[photo.zone.as_str()];
            let of_zone = known.entry(zone).or_default();
            if let Some(known_as) = of_zone.get(&read.hash) {
                skipped.push(SkippedPhoto::known(photo.path.clone(), known_as.clone()));
                continue;
            }
            of_zone.insert(read.hash.clone(), String::new());
            // The photo is on the disk before the record that points to it.
            let record = turns.with(|notebook| notebook.observation_of(photo, &read))?;
            records.push((zone, photo.path.as_str(), record));
        }
        looked_at += some.len();
        stopped = course.did(some.len()).is_err() || course.is_stopped();
    }
    let added = turns.with(|notebook| {
        // Another window or device may have kept some of them meanwhile.
        let known = notebook.known_photos(zones.values())?;
        records.retain(|(zone, path, record)| match known[zone].get(&record.photo) {
            Some(known_as) => {
                skipped.push(SkippedPhoto::known((*path).to_owned(), known_as.clone()));
                false
            }
            None => true,
        });
        notebook.keep_photos(&records)
    })?;
    Ok(PhotosAdded { added, skipped, stopped: looked_at < request.photos.len() })
}

impl SkippedPhoto {
    /// A file that is kept already, or, where no record is named, that was given before.
    fn known(path: String, known_as: String) -> Self {
        let why = if known_as.is_empty() {
            "the same file was given twice"
        } else {
            "this very file is already kept in this zone"
        };
        Self { path, why: why.to_owned(), known_as }
    }
}

impl Notebook {
    /// The photos of each zone by the file they keep.
    fn known_photos<'z>(
        &mut self,
        zones: impl IntoIterator<Item = &'z Id>,
    ) -> Result<BTreeMap<Id, BTreeMap<String, String>>, Problem> {
        zones.into_iter().map(|zone| Ok((*zone, self.photos_by_file(*zone)?))).collect()
    }

    /// Writes the observations as one action.
    fn keep_photos(
        &mut self,
        records: &[(Id, &str, Observation)],
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
