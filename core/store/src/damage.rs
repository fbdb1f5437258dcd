//! What was found damaged at opening, and what was done about it.

use std::{fmt, path::PathBuf};

use crate::{Day, DocumentName, Fault};

/// One damaged thing and its remedy.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Damage {
    /// What was damaged.
    pub part: Part,
    /// What was done about it.
    pub remedy: Remedy,
}

/// A thing that can be damaged.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Part {
    /// The notebook's file as a whole.
    File {
        /// What is wrong with it, as the database says.
        why: String,
    },
    /// One document.
    Document {
        /// Which.
        name: DocumentName,
        /// What is wrong with it.
        fault: Fault,
    },
    /// Documents of which not even the name could be read.
    Documents {
        /// How many; none when that could not be read either, and there may be none of them.
        count: Option<u64>,
    },
    /// Documents that are whole as far as they go, while nothing shows whether they go to the end.
    Unconfirmed {
        /// How many.
        documents: u64,
    },
    /// Values of this device, for example what can be undone.
    Local,
}

/// What was done about a damaged thing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Remedy {
    /// A new file was made from what could be read; the old one was kept.
    MadeAnew {
        /// The old file; none when there was none to keep.
        kept: Option<PathBuf>,
    },
    /// Restored to what its copy of that day holds; later changes that were still readable are
    /// its loose changes.
    FromCopy {
        /// When the copy was written.
        day: Day,
        /// Later changes that were still readable.
        loose: usize,
    },
    /// Restored to the last state that was whole; later changes that were still readable are its
    /// loose changes.
    FromEarlier {
        /// Changes that were still readable.
        loose: usize,
    },
    /// No saved state and no copy could be read.
    Lost {
        /// Single changes that were still readable.
        loose: usize,
    },
    /// Some values are gone; the rest was kept.
    PartlyKept {
        /// How many values could be read.
        kept: usize,
    },
    /// Nothing was changed, because the folder cannot be written; what is shown is what could be read.
    OnlyShown,
}

impl fmt::Display for Damage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.part {
            Part::File { why } => write!(f, "the notebook's file was damaged ({why}): ")?,
            Part::Document { name, fault } => write!(f, "document {name} was damaged ({fault}): ")?,
            Part::Documents { count: Some(count) } => {
                write!(f, "{count} more documents were damaged: ")?;
            }
            Part::Documents { count: None } => {
                f.write_str("there may have been more documents: ")?;
            }
            Part::Unconfirmed { documents } => {
                write!(f, "the last changes of {documents} documents may be missing: ")?;
            }
            Part::Local => f.write_str("values of this device were damaged: ")?,
        }
        match &self.remedy {
            Remedy::MadeAnew { kept: Some(kept) } => {
                write!(f, "it was made anew, and the old one kept as {}", kept.display())
            }
            Remedy::MadeAnew { kept: None } => f.write_str("it was made anew"),
            Remedy::FromCopy { day, loose } => write!(
                f,
                "restored from its copy of day {}, with {loose} later changes still to be tried; \
                 sync with a paired device to get the rest",
                day.0
            ),
            Remedy::FromEarlier { loose } => write!(
                f,
                "restored to its last whole state, with {loose} later changes still to be tried; \
                 sync with a paired device to get the rest"
            ),
            Remedy::Lost { loose } => write!(
                f,
                "it is lost here but for {loose} single changes; sync with a paired device"
            ),
            Remedy::PartlyKept { kept } => write!(f, "{kept} could be kept"),
            Remedy::OnlyShown => f.write_str(
                "what can be read is shown; nothing was repaired, because the folder cannot be \
                 written",
            ),
        }
    }
}
