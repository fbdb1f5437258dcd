//! Small pictures and pictures worked out, kept in the cache: all of them can be thrown away.

use std::{fs, io::Read, path::PathBuf};

use image::RgbImage;
use serde::{Deserialize, Serialize};
use swardbook_journal::records::{Observation, ObservationKind};
use swardbook_store::{BlobHash, StoreError};
use ts_rs::TS;

use crate::{
    Code, Notebook, Problem,
    notebook::zone_document,
    photo::{self, PREVIEW_SIDE, THUMBNAIL_SIDE},
};

/// The small pictures of one zone's photos.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct PicturesRequest {
    /// The zone.
    pub zone: String,
}

/// What was made anew.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct PicturesMade {
    /// Photos looked at.
    pub photos: u32,
    /// Photos whose small pictures were missing and are there now.
    pub made: u32,
    /// Photos whose original is not here, or cannot be read, with the reason.
    pub without: Vec<String>,
}

/// Where pictures worked out from photos are remembered.
#[derive(Debug, Clone)]
pub(super) struct PictureCache {
    folder: PathBuf,
}

impl PictureCache {
    /// The place of a picture.
    ///
    /// # Errors
    /// [`Problem`] for a name that is none: no path is made of one.
    fn path(&self, hash: &str, name: &str) -> Result<PathBuf, Problem> {
        let hash = blob_name(hash)?;
        let is_name = !name.is_empty()
            && name.len() <= 80
            && name.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-');
        if !is_name {
            return Err(Problem::bad("hash", format!("\"{name}\" names no picture")));
        }
        Ok(self.folder.join(format!("{hash}-{name}.jpg")))
    }

    fn read(&self, hash: &str, name: &str) -> Option<Vec<u8>> {
        fs::read(self.path(hash, name).ok()?).ok()
    }

    /// Remembers a picture; where it cannot be, on a full or read-only disk, nothing is lost.
    pub(super) fn remember(&self, hash: &str, name: &str, bytes: &[u8]) -> Result<(), Problem> {
        let path = self.path(hash, name)?;
        let part = path.with_extension("part");
        let _not_remembered = fs::create_dir_all(&self.folder)
            .and_then(|()| fs::write(&part, bytes))
            .and_then(|()| fs::rename(&part, &path));
        Ok(())
    }

    /// The picture for a list of a file that may not be kept yet, remembered or made now.
    pub(super) fn thumbnail(&self, hash: &str, bytes: &[u8]) -> Result<Vec<u8>, Problem> {
        match self.read(hash, &THUMBNAIL_SIDE.to_string()) {
            Some(thumbnail) => Ok(thumbnail),
            None => self.thumbnail_of(hash, &photo::preview_pixels(bytes)?),
        }
    }

    /// The pixels of the preview; the picture for a list is remembered on the way, so that keeping
    /// the photo needs no second decoding.
    pub(super) fn preview_pixels(&self, hash: &str, bytes: &[u8]) -> Result<RgbImage, Problem> {
        let preview = photo::preview_pixels(bytes)?;
        self.thumbnail_of(hash, &preview)?;
        Ok(preview)
    }

    fn thumbnail_of(&self, hash: &str, preview: &RgbImage) -> Result<Vec<u8>, Problem> {
        let thumbnail = photo::thumbnail_of(preview)?;
        self.remember(hash, &THUMBNAIL_SIDE.to_string(), &thumbnail)?;
        Ok(thumbnail)
    }

    /// Both small pictures, made now and remembered.
    fn both(&self, hash: &str, bytes: &[u8]) -> Result<photo::SmallPictures, Problem> {
        let made = photo::small_pictures(bytes)?;
        self.remember(hash, &PREVIEW_SIDE.to_string(), &made.preview)?;
        self.remember(hash, &THUMBNAIL_SIDE.to_string(), &made.thumbnail)?;
        Ok(made)
    }
}

impl Notebook {
    pub(super) fn picture_cache(&self) -> Result<PictureCache, Problem> {
        Ok(PictureCache { folder: self.store.cache_folder()?.join("small") })
    }

    /// A picture worked out from a kept photo: `256`, `1600`, or one that a command named.
    ///
    /// The first two are made when they are missing.
    ///
    /// # Errors
    /// [`Problem`] when there is none, or the photo has not arrived here.
    pub fn small_picture(&self, hash: &str, name: &str) -> Result<Vec<u8>, Problem> {
        let cache = self.picture_cache()?;
        if let Ok(bytes) = fs::read(cache.path(hash, name)?) {
            return Ok(bytes);
        }
        let (is_preview, is_thumbnail) =
            (name == PREVIEW_SIDE.to_string(), name == THUMBNAIL_SIDE.to_string());
        if !is_preview && !is_thumbnail {
            return Err(Problem::not_found("hash", format!("there is no picture \"{name}\" now")));
        }
        let original = self.original(hash)?;
        if is_thumbnail {
            return cache.thumbnail(hash, &original);
        }
        Ok(cache.both(hash, &original)?.preview)
    }

    /// The bytes of a kept photo.
    ///
    /// # Errors
    /// [`Problem`] when it has not arrived here.
    pub(super) fn original(&self, hash: &str) -> Result<Vec<u8>, Problem> {
        let mut bytes = Vec::new();
        self.store
            .open_blob(blob_name(hash)?)
            .map_err(|problem| match problem {
                StoreError::BlobMissing { .. } => Problem::not_found(
                    "photo",
                    "the original of this photo is not on this device yet; sync with a device that \
                     has it",
                ),
                problem => Problem::from(problem).at("photo"),
            })?
            .read_to_end(&mut bytes)
            .map_err(|e| Problem::new(Code::Storage, format!("a kept photo is unreadable: {e}")))?;
        Ok(bytes)
    }

    /// Makes the small pictures of a zone's photos that are missing from the cache.
    ///
    /// # Errors
    /// [`Problem`]
    pub fn make_pictures(&mut self, request: &PicturesRequest) -> Result<PicturesMade, Problem> {
        let zone = self.find_zone("zone", &request.zone)?;
        let cache = self.picture_cache()?;
        let mut made = PicturesMade { photos: 0, made: 0, without: Vec::new() };
        for entry in self.document(zone_document(zone))?.entries() {
            let Some(seen) = entry.read::<Observation>() else { continue };
            if seen.sort != Some(ObservationKind::Photo) {
                continue;
            }
            made.photos += 1;
            let is_there = cache
                .path(&seen.photo, &THUMBNAIL_SIDE.to_string())
                .is_ok_and(|path| path.exists());
            if is_there {
                continue;
            }
            match self.small_picture(&seen.photo, &THUMBNAIL_SIDE.to_string()) {
                Ok(_) => made.made += 1,
                Err(problem) => made.without.push(format!("{}: {problem}", seen.photo_name)),
            }
        }
        Ok(made)
    }
}

fn blob_name(hash: &str) -> Result<BlobHash, Problem> {
    hash.parse().map_err(|_| Problem::bad("hash", format!("\"{hash}\" names no kept file")))
}
