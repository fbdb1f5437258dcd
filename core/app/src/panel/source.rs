//! Where a panel's cells come from: a file or pasted text.

use std::path::Path;

use serde::Deserialize;
use ts_rs::TS;

use crate::{
    Code, Problem,
    panel_file::{self, PanelFileError, Sheets},
};

/// A file on this machine, or pasted text.
#[derive(Debug, Clone, Default, Deserialize, TS)]
pub struct PanelSource {
    /// Path of a CSV, TSV or XLSX file.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub path: Option<String>,
    /// Pasted text, two to five columns.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub text: Option<String>,
}

impl From<PanelFileError> for Problem {
    fn from(error: PanelFileError) -> Self {
        Self::new(Code::BadFile, error.to_string()).at("path")
    }
}

impl PanelSource {
    /// The cells.
    pub(super) fn open(&self) -> Result<Sheets, Problem> {
        match (&self.path, &self.text) {
            (Some(path), None) => Ok(panel_file::open(Path::new(path))?),
            (None, Some(text)) => Ok(panel_file::paste(text)?),
            (None, None) => Err(Problem::missing("path", "name a file, or give pasted text")),
            (Some(_), Some(_)) => Err(Problem::bad("text", "give a file or pasted text, not both")),
        }
    }

    /// The original bytes as they are kept.
    pub(super) fn original(&self) -> Result<Box<dyn std::io::Read + '_>, Problem> {
        match (&self.path, &self.text) {
            (Some(path), _) => std::fs::File::open(path)
                .map(|file| Box::new(file) as Box<dyn std::io::Read>)
                .map_err(|e| Problem::new(Code::BadFile, format!("{path}: {e}")).at("path")),
            (None, Some(text)) => Ok(Box::new(text.as_bytes())),
            (None, None) => Err(Problem::missing("path", "name a file, or give pasted text")),
        }
    }
}
