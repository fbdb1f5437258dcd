//! Photos attached to a zone as observations.

use std::{fs, io::Read, path::Path};

use serde::{Deserialize, Serialize};
use swardbook_journal::records::{Observation, ObservationKind};
use swardbook_store::BlobHash;
use ts_rs::TS;

use crate::{
    Code, Notebook, Problem,
    notebook::zone_document,
    photo::{self, THUMBNAIL_SIDE},
    record::RecordView,
};

/// A photo to keep.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct AddPhoto {
    /// The zone.
    pub zone: String,
    /// Path of a JPEG, PNG or WebP file.
    pub path: String,
    /// The day; the camera's when left out, else today.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub date: Option<String>,
    /// Words.
    #[serde(default)]
    pub note: String,
}

/// A photo that was kept.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct PhotoAdded {
    /// The observation.
    pub record: RecordView,
    /// blake3 hash of the original, which is kept untouched.
    pub photo: String,
    /// Columns, upright.
    pub width: u32,
    /// Rows, upright.
    pub height: u32,
    /// What the camera said of its colours.
    pub profile: String,
    /// Whether this very file was kept before.
    pub was_known: bool,
}

impl Notebook {
    /// Keeps a photo as an observation of a zone.
    ///
    /// # Errors
    /// [`Problem`] when it is no photo within the limits; nothing is kept then.
    pub fn add_photo(&mut self, request: &AddPhoto) -> Result<PhotoAdded, Problem> {
        let zone = self.find_zone("zone", &request.zone)?;
        let path = Path::new(&request.path);
        let bytes = read_within(path)?;
        let info = photo::read_photo(&bytes).map_err(|problem| problem.at("path"))?;
        let date = match &request.date {
            Some(text) => swardbook_units::parse_date(text)?,
            None => info.taken.map_or_else(|| self.today(), |taken| taken.local.date()),
        };
        // The photo is on the disk before the record that points to it.
        let kept = self.store.add_blob(&mut bytes.as_slice(), photo::MOST_BYTES as u64)?;
        let hash = kept.hash.to_string();
        let record = Observation {
            sort: Some(ObservationKind::Photo),
            date: Some(date),
            time: info.taken.map(|taken| taken.local.time()),
            photo: hash.clone(),
            photo_name: path
                .file_name()
                .map_or_else(String::new, |name| name.to_string_lossy().into_owned()),
            media_type: info.kind.media_type().to_owned(),
            size: i64::try_from(kept.size).ok(),
            note: request.note.trim().to_owned(),
            ..Observation::default()
        };
        let mut action = self.begin_action(format!("added photo {}", record.photo_name));
        let id = action.add(zone_document(zone), &record)?.to_string();
        action.keep()?;
        Ok(PhotoAdded {
            record: self.record(&id)?,
            photo: hash,
            width: info.width,
            height: info.height,
            profile: info.profile.words().to_owned(),
            was_known: !kept.was_new,
        })
    }

    /// A small picture of a kept photo, made once and remembered; it can be thrown away.
    ///
    /// # Errors
    /// [`Problem`] when it is no photo, or has not arrived here.
    pub fn small_picture(&self, hash: &str) -> Result<Vec<u8>, Problem> {
        let name: BlobHash = hash
            .parse()
            .map_err(|_| Problem::bad("hash", format!("\"{hash}\" names no kept file")))?;
        let folder = self.store.cache_folder()?.join("small");
        let path = folder.join(format!("{name}-{THUMBNAIL_SIDE}.jpg"));
        if let Ok(bytes) = fs::read(&path) {
            return Ok(bytes);
        }
        let mut bytes = Vec::new();
        self.store
            .open_blob(name)?
            .read_to_end(&mut bytes)
            .map_err(|e| Problem::new(Code::Storage, format!("a kept photo is unreadable: {e}")))?;
        let small = photo::thumbnail(&bytes, THUMBNAIL_SIDE)?;
        // The picture is shown even where it cannot be remembered: on a read-only disk, or a full one.
        let _remembered = fs::create_dir_all(&folder).and_then(|()| fs::write(&path, &small));
        Ok(small)
    }
}

/// Reads a file that may be no larger than a photo.
fn read_within(path: &Path) -> Result<Vec<u8>, Problem> {
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
