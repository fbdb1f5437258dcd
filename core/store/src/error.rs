//! Why the store could not do something, in words a person can act on.

use std::{fmt, io, path::PathBuf};

use crate::{BlobHash, DocumentName};

/// Why the store refused or failed.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    // Opening and creating.
    /// Nothing is there.
    #[error("there is no folder {}; check the path, or connect the disk it is on", path.display())]
    NoFolder {
        /// Where it was looked for.
        path: PathBuf,
    },
    /// A folder without a notebook.
    #[error("{} holds no notebook; choose another folder, or create a notebook there", path.display())]
    NotANotebook {
        /// The folder.
        path: PathBuf,
    },
    /// A notebook is there already.
    #[error("{} already holds a notebook; open it, or choose another folder", path.display())]
    AlreadyThere {
        /// The folder.
        path: PathBuf,
    },
    /// Another process writes here.
    #[error(
        "the notebook in {} is open for writing in another program; close it there, then try again",
        path.display()
    )]
    InUse {
        /// The notebook's folder.
        path: PathBuf,
    },
    /// The folder, its disk or a file in it cannot be written.
    #[error(
        "{} cannot be written; open the notebook for reading only, or change its permissions",
        path.display()
    )]
    ReadOnly {
        /// What could not be written.
        path: PathBuf,
    },
    /// No room.
    #[error(
        "the disk is full and this change was not saved; free some space on the disk of {}, \
         then open the notebook again",
        path.display()
    )]
    DiskFull {
        /// Where there was no room.
        path: PathBuf,
    },
    /// Two writers could not be told apart there.
    #[error("the disk of {} has no file locks; move the notebook to a disk of this device", path.display())]
    NoLocks {
        /// The notebook's folder.
        path: PathBuf,
    },
    /// A newer version of the program wrote this notebook.
    #[error(
        "the notebook in {} was written by a newer Swardbook (format {found}, this one knows \
         {known}); update this one",
        path.display()
    )]
    NewerFormat {
        /// The notebook's folder.
        path: PathBuf,
        /// The format found.
        found: u32,
        /// The newest format this version reads.
        known: u32,
    },
    /// Nothing in the file could be read and there were no copies of documents.
    #[error(
        "nothing in {} can be read ({why}), and it was left as it is; restore the folder from a \
         backup, or pair this device again with one that holds the notebook",
        path.display()
    )]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What the database says.
        why: String,
    },

    // Reading.
    /// A document's stored bytes are not what was written.
    #[error(
        "document {document} is damaged ({fault}); open the notebook again to have it restored from \
         its copy"
    )]
    DamagedDocument {
        /// Which.
        document: DocumentName,
        /// What is wrong with it.
        fault: Fault,
    },
    /// A row of the index is not what was written.
    #[error("the list cache is damaged; it must be made anew from the documents")]
    DamagedIndex,
    /// A value of this device's own, or the notebook's own settings, is not what was written.
    #[error("{what} is damaged; open the notebook again to have it restored")]
    DamagedValue {
        /// What it was.
        what: &'static str,
    },

    // Writing.
    /// The store was opened for reading.
    #[error("this notebook was opened for reading only")]
    ReadAccess,
    /// Another change was stored under this number: one actor wrote in two places.
    #[error(
        "document {document} already holds another change number {sequence} of this writer; the \
         notebook was copied, and this device must take a new writer's name"
    )]
    SequenceTaken {
        /// The document.
        document: DocumentName,
        /// The number.
        sequence: u64,
    },
    /// An earlier failure closed the store.
    #[error("an earlier failure closed this notebook; open it again")]
    Closed,

    // Files.
    /// A file over the limit.
    #[error("the file is larger than {limit} bytes; choose a smaller one")]
    BlobTooLarge {
        /// The limit.
        limit: u64,
    },
    /// A file that is not on this device.
    #[error("file {hash} is not on this device; sync with a device that has it")]
    BlobMissing {
        /// Its name.
        hash: BlobHash,
    },
    /// A file whose bytes are not what its name says.
    #[error("file {hash} is damaged; sync with a device that has it")]
    BlobDamaged {
        /// Its name.
        hash: BlobHash,
    },
    /// The bytes to be kept could not be read.
    #[error("the file to be kept could not be read: {0}")]
    BlobSource(io::Error),
    /// Not every document can be read, so what is still used is not known.
    #[error("no unused file was deleted, because {unreadable} documents cannot be read")]
    SweepRefused {
        /// How many documents.
        unreadable: usize,
    },

    // The machine.
    /// The operating system refused.
    #[error("{}: {source}", path.display())]
    Io {
        /// The file or folder.
        path: PathBuf,
        /// What it said.
        source: io::Error,
    },
    /// The database refused.
    #[error("the notebook's file could not be used while {during}: {source}; open it again")]
    Database {
        /// What was being done.
        during: &'static str,
        /// What it said.
        source: Box<redb::Error>,
    },
    /// The database stopped in the middle.
    #[error("the notebook's file broke while {during} ({message}); open it again")]
    Broken {
        /// What was being done.
        during: &'static str,
        /// What it said.
        message: String,
    },
}

/// What is wrong with a stored document.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fault {
    /// A flipped or torn value.
    Checksum,
    /// Changes that were stored are gone.
    ChangesMissing,
    /// The snapshot that was stored is gone.
    SnapshotMissing,
    /// The document's own row is gone.
    RowMissing,
    /// The database could not read the rows at all.
    Unreadable,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Checksum => "stored bytes were altered",
            Self::ChangesMissing => "some stored changes are gone",
            Self::SnapshotMissing => "its stored state is gone",
            Self::RowMissing => "its entry in the list of documents is gone",
            Self::Unreadable => "its place in the file cannot be read",
        })
    }
}

impl StoreError {
    /// Sorts an operating system's answer about `path`.
    pub(crate) fn io(path: impl Into<PathBuf>, source: io::Error) -> Self {
        let path = path.into();
        match source.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => Self::DiskFull { path },
            io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
                Self::ReadOnly { path }
            }
            _ => Self::Io { path, source },
        }
    }

    /// Whether this says that stored bytes are not what was written.
    pub(crate) const fn is_damage(&self) -> bool {
        matches!(
            self,
            Self::Database { .. }
                | Self::Broken { .. }
                | Self::DamagedDocument { .. }
                | Self::DamagedIndex
                | Self::DamagedValue { .. }
        )
    }

    /// Whether the store must be opened again before it can be used.
    #[must_use]
    pub const fn closes(&self) -> bool {
        matches!(
            self,
            Self::DiskFull { .. }
                | Self::Closed
                | Self::Io { .. }
                | Self::Database { .. }
                | Self::Broken { .. }
        )
    }
}
