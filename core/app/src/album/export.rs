//! A photo given out: without its position unless that was asked for.

use std::{fs, path::Path};

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::{
    Code, Notebook, Problem,
    photo::{self, PREVIEW_SIDE},
};

/// A photo to give out.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct ExportPhoto {
    /// The observation that keeps it.
    pub photo: String,
    /// The file to write; nothing is written over.
    pub out: String,
    /// `original` or `small` (1600 px); `original` when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub what: Option<String>,
    /// Leave in where it was taken, and everything else that the camera wrote.
    #[serde(default)]
    pub with_location: bool,
}

/// A photo that was given out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct ExportedPhoto {
    /// The file.
    pub file: String,
    /// Its size, bytes.
    pub bytes: u32,
    /// The camera had written a position.
    pub had_position: bool,
    /// It is in the file.
    pub has_position: bool,
}

impl Notebook {
    /// Writes a copy of a kept photo.
    ///
    /// # Errors
    /// [`Problem`] when the original is not here, or the file is there already or cannot be
    /// written.
    pub fn export_photo(&mut self, request: &ExportPhoto) -> Result<ExportedPhoto, Problem> {
        let kept = self.kept_photo("photo", &request.photo)?;
        let original = self.original(&kept.seen.photo)?;
        let had_position = photo::read_photo(&original)?.position.is_some();
        let bytes = match (request.what.as_deref(), request.with_location) {
            (None | Some("original"), true) => original,
            (None | Some("original"), false) => photo::without_location(&original)?,
            // A small picture is made from pixels and never holds a note.
            (Some("small"), _) => {
                self.small_picture(&kept.seen.photo, &PREVIEW_SIDE.to_string())?
            }
            (Some(other), _) => {
                return Err(Problem::bad(
                    "what",
                    format!("\"{other}\" is nothing to give out; there are original and small"),
                ));
            }
        };
        write_new(Path::new(&request.out), &bytes, "out")?;
        Ok(ExportedPhoto {
            file: request.out.clone(),
            bytes: u32::try_from(bytes.len()).unwrap_or(u32::MAX),
            had_position,
            has_position: photo::read_photo(&bytes)?.position.is_some(),
        })
    }
}

/// Writes a file that is not there yet.
pub(super) fn write_new(path: &Path, bytes: &[u8], field: &str) -> Result<(), Problem> {
    use std::io::Write as _;
    let failed = |e: std::io::Error| {
        Problem::new(Code::Storage, format!("{} cannot be written: {e}", path.display())).at(field)
    };
    let mut file = fs::File::create_new(path).map_err(failed)?;
    file.write_all(bytes).map_err(failed)
}
