//! How the notebook stands: where it lies, what it holds, what was damaged.

use serde::Serialize;
use ts_rs::TS;

use super::Notebook;
use crate::Problem;

/// How the notebook stands.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct NotebookStatus {
    /// Its folder.
    pub folder: String,
    /// Whether it is open for writing here.
    pub writable: bool,
    /// This device's mark in the history.
    pub device: String,
    /// Properties.
    pub properties: u32,
    /// Zones.
    pub zones: u32,
    /// Photos and files kept.
    pub files: u32,
    /// Their size, MB.
    pub files_mb: f64,
    /// What was found damaged when it was opened.
    pub damaged: Vec<String>,
    /// The day here.
    pub today: String,
}

impl Notebook {
    /// How the notebook stands.
    ///
    /// # Errors
    /// [`Problem`]
    pub fn status(&self) -> Result<NotebookStatus, Problem> {
        let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        let files = self.store.blobs()?;
        let bytes: u64 = files.iter().map(|(_, size)| size).sum();
        #[expect(clippy::cast_precision_loss, reason = "shown in megabytes")]
        let files_mb = bytes as f64 / 1e6;
        Ok(NotebookStatus {
            folder: self.folder().display().to_string(),
            writable: self.writable,
            device: self.device.clone(),
            properties: count(self.property_rows()?.len()),
            zones: count(self.zone_rows(None)?.len()),
            files: count(files.len()),
            files_mb,
            damaged: self.damage(),
            today: self.today().format("%Y-%m-%d").to_string(),
        })
    }
}
