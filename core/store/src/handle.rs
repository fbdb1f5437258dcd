//! The database, with its panics and errors turned into answers.

use std::{
    fmt,
    panic::{AssertUnwindSafe, catch_unwind},
    path::{Path, PathBuf},
};

use redb::{
    Builder, ConcurrencyMode, Database, ReadOnlyDatabase, ReadTransaction, ReadableDatabase as _,
    WriteTransaction,
};

use crate::StoreError;

/// Memory the database may use for pages.
const CACHE_BYTES: usize = 32 << 20;

/// What a piece of work inside the database can end in.
#[derive(Debug)]
pub(crate) enum Trouble {
    Database(redb::Error),
    Store(StoreError),
}

impl From<StoreError> for Trouble {
    fn from(error: StoreError) -> Self {
        Self::Store(error)
    }
}

macro_rules! trouble_from {
    ($($error:ident),*) => {
        $(impl From<redb::$error> for Trouble {
            fn from(error: redb::$error) -> Self {
                Self::Database(error.into())
            }
        })*
    };
}

trouble_from!(
    Error,
    DatabaseError,
    StorageError,
    TableError,
    TransactionError,
    CommitError,
    CompactionError
);

/// An open database file.
pub(crate) enum Handle {
    /// The one writer.
    Writer(Database),
    /// A reader, beside a writer or not.
    Reader(ReadOnlyDatabase),
    /// Something in memory that stands in for the file and is only read.
    Image(Database),
}

impl fmt::Debug for Handle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Writer(_) => "Writer",
            Self::Reader(_) => "Reader",
            Self::Image(_) => "Image",
        })
    }
}

impl Handle {
    pub(crate) fn begin_read(&self) -> Result<ReadTransaction, redb::TransactionError> {
        match self {
            Self::Writer(database) | Self::Image(database) => database.begin_read(),
            Self::Reader(database) => database.begin_read(),
        }
    }

    pub(crate) fn begin_write(&self) -> Result<WriteTransaction, Trouble> {
        match self {
            Self::Writer(database) => Ok(database.begin_write()?),
            Self::Reader(_) | Self::Image(_) => Err(StoreError::ReadAccess.into()),
        }
    }
}

impl Handle {
    /// The same, only to be read from now on.
    pub(crate) fn into_image(self) -> Self {
        match self {
            Self::Writer(database) => Self::Image(database),
            other => other,
        }
    }

    /// Gives space back to the disk, unless someone is reading.
    pub(crate) fn compact(&mut self) -> Result<(), Trouble> {
        let Self::Writer(database) = self else { return Ok(()) };
        match database.compact() {
            Ok(_) | Err(redb::CompactionError::TransactionInProgress) => Ok(()),
            Err(error) => Err(error.into()),
        }
    }
}

/// How processes share the file: one writes while others read, where the system can do that.
const fn mode() -> ConcurrencyMode {
    if cfg!(any(target_os = "linux", target_vendor = "apple", windows)) {
        ConcurrencyMode::SingleWriter
    } else {
        ConcurrencyMode::ExclusiveWriter
    }
}

/// The settings every open uses.
pub(crate) fn builder() -> Builder {
    let mut builder = Builder::new();
    builder.set_cache_size(CACHE_BYTES).set_concurrency_mode(mode());
    builder
}

/// Settings for something in memory that stands in for the file.
pub(crate) fn image_builder() -> Builder {
    let mut builder = Builder::new();
    builder.set_cache_size(CACHE_BYTES);
    builder
}

/// Settings to look through a file of which nothing may be written, every page checked.
pub(crate) fn inspection_builder() -> Builder {
    let mut builder = Builder::new();
    builder.set_cache_size(CACHE_BYTES).set_check_integrity_on_open(true);
    builder
}

/// Settings to read from a damaged file: nothing is remembered, so that going in circles is noticed.
pub(crate) fn salvage_builder() -> Builder {
    let mut builder = Builder::new();
    builder.set_cache_size(0);
    builder
}

/// Runs work inside the database.
///
/// A panic in the database becomes [`StoreError::Broken`]; its other errors are sorted by what a
/// person can do about them.
pub(crate) fn guard<T>(
    path: &Path,
    during: &'static str,
    work: impl FnOnce() -> Result<T, Trouble>,
) -> Result<T, StoreError> {
    // Nothing that the work touched is used after a panic: the caller closes the store.
    match catch_unwind(AssertUnwindSafe(work)) {
        Ok(Ok(value)) => Ok(value),
        Ok(Err(Trouble::Store(error))) => Err(error),
        Ok(Err(Trouble::Database(error))) => Err(sort(path, during, error)),
        Err(panic) => Err(StoreError::Broken { during, message: message_of(&*panic) }),
    }
}

fn sort(path: &Path, during: &'static str, error: redb::Error) -> StoreError {
    let folder = || path.parent().map_or_else(PathBuf::new, Path::to_owned);
    match error {
        redb::Error::Io(source) => match StoreError::io(path, source) {
            StoreError::Io { source, .. } => {
                StoreError::Database { during, source: Box::new(redb::Error::Io(source)) }
            }
            sorted => sorted,
        },
        redb::Error::DatabaseAlreadyOpen | redb::Error::LockProtocolMismatch => {
            StoreError::InUse { path: folder() }
        }
        redb::Error::Unsupported => StoreError::NoLocks { path: folder() },
        other => StoreError::Database { during, source: Box::new(other) },
    }
}

fn message_of(panic: &(dyn std::any::Any + Send)) -> String {
    let text = panic.downcast_ref::<&str>().map(|s| (*s).to_owned());
    text.or_else(|| panic.downcast_ref::<String>().cloned())
        .unwrap_or_else(|| "no message".to_owned())
}

/// Lets go of something of the database; where the database broke, that may panic once more.
pub(crate) fn discard<T>(held: T) {
    let _ = catch_unwind(AssertUnwindSafe(|| drop(held)));
}
