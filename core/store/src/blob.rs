//! Files of any kind, named by the hash of their bytes.
//!
//! A file is safe under its name before it is recorded, so a recorded file is there.
//! What refers to a file, and the bytes' meaning, is the caller's.

use std::{
    fs::{self, File},
    io::{self, Read, Write as _},
    path::PathBuf,
    time::{Duration, SystemTime},
};

use redb::{ReadableTable as _, ReadableTableMetadata as _};

use crate::{
    BlobHash, Store, StoreError, commit, frame,
    layout::{self, make_folder},
    table::{BLOB, BlobRow},
};

/// Pieces in which files are read and written.
const PIECE: usize = 256 << 10;

/// A file that was kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BlobAdded {
    /// Its name.
    pub hash: BlobHash,
    /// Its length in bytes.
    pub size: u64,
    /// It was not here before.
    pub was_new: bool,
}

/// What a sweep did.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Swept {
    /// The files deleted.
    pub deleted: Vec<BlobHash>,
    /// Their bytes.
    pub bytes: u64,
}

impl Store {
    /// Keeps a file: its bytes are hashed on the way, and safe and recorded when this returns.
    ///
    /// # Errors
    /// [`StoreError::BlobTooLarge`] when there are more than `limit` bytes; nothing is kept then.
    pub fn add_blob(
        &mut self,
        source: &mut impl Read,
        limit: u64,
    ) -> Result<BlobAdded, StoreError> {
        if self.lock.is_none() {
            return Err(StoreError::ReadAccess);
        }
        make_folder(&self.layout.blobs())?;
        // There is one writer, and it keeps one file at a time; what an interrupted one left
        // behind is overwritten.
        let part = self.layout.blobs().join("incoming.part");
        let (hash, size) = match write_hashed(source, &part, limit) {
            Ok(written) => written,
            Err(error) => {
                // The error matters; an unfinished file does not.
                let _ = fs::remove_file(&part);
                return Err(error);
            }
        };
        let path = self.layout.blob(hash);
        let was_new = !path.exists() || self.verify_blob(hash).is_err();
        if was_new {
            let folder = path.parent().expect("a file lies in a folder");
            make_folder(folder)?;
            layout::rename_durably(&part, &path)?;
            layout::sync_folder(&self.layout.blobs())?;
        } else {
            fs::remove_file(&part).map_err(|e| StoreError::io(&part, e))?;
        }
        if self.blob_size(hash)? != Some(size) {
            self.write("recording a file", |handle, notebook| {
                commit::record_blobs(handle, notebook, &[(hash, BlobRow { size })])
            })?;
        }
        Ok(BlobAdded { hash, size, was_new })
    }

    /// Where a file lies; it may not be there.
    #[must_use]
    pub fn blob_path(&self, hash: BlobHash) -> PathBuf {
        self.layout.blob(hash)
    }

    /// A file's length, if it is recorded here.
    ///
    /// # Errors
    /// [`StoreError`] when the record cannot be read.
    pub fn blob_size(&self, hash: BlobHash) -> Result<Option<u64>, StoreError> {
        self.read("reading the record of files", |reading| {
            let damaged = || StoreError::DamagedValue { what: "the record of a file" };
            let Some(row) = reading.get(BLOB, hash.as_bytes(), damaged)? else { return Ok(None) };
            Ok(Some(BlobRow::decode(&row).ok_or_else(damaged)?.size))
        })
    }

    /// Every recorded file and its length.
    ///
    /// # Errors
    /// [`StoreError`] when the record cannot be read.
    pub fn blobs(&self) -> Result<Vec<(BlobHash, u64)>, StoreError> {
        self.read("reading the record of files", |reading| {
            let damaged = || StoreError::DamagedValue { what: "the record of files" };
            let rows = reading.rows(BLOB)?;
            let mut blobs = Vec::new();
            for row in rows.iter()? {
                let (key, stored) = row?;
                let hash: [u8; 32] = key.value().try_into().map_err(|_| damaged())?;
                let row = frame::open(BLOB.name, key.value(), stored.value())
                    .ok()
                    .and_then(BlobRow::decode)
                    .ok_or_else(damaged)?;
                blobs.push((BlobHash::from_bytes(hash), row.size));
            }
            if blobs.len() as u64 != rows.len()? {
                return Err(damaged().into());
            }
            Ok(blobs)
        })
    }

    /// Opens a file to be read; its bytes are not checked, see [`Self::verify_blob`].
    ///
    /// # Errors
    /// [`StoreError::BlobMissing`] when it is not here.
    pub fn open_blob(&self, hash: BlobHash) -> Result<File, StoreError> {
        let path = self.layout.blob(hash);
        File::open(&path).map_err(|e| match e.kind() {
            io::ErrorKind::NotFound => StoreError::BlobMissing { hash },
            _ => StoreError::io(path, e),
        })
    }

    /// Reads a file through and compares it with its name.
    ///
    /// # Errors
    /// [`StoreError::BlobDamaged`] when it is not what its name says.
    pub fn verify_blob(&self, hash: BlobHash) -> Result<(), StoreError> {
        let mut file = self.open_blob(hash)?;
        let mut hasher = blake3::Hasher::new();
        io::copy(&mut file, &mut hasher).map_err(|e| StoreError::io(self.layout.blob(hash), e))?;
        if hasher.finalize().as_bytes() != hash.as_bytes() {
            return Err(StoreError::BlobDamaged { hash });
        }
        Ok(())
    }

    /// Deletes the files that nothing refers to and that are older than `age` at `now`.
    ///
    /// Call it only while nothing is being received.
    ///
    /// # Errors
    /// [`StoreError::SweepRefused`] when a document cannot be read, because it may refer to any of
    /// them; nothing is deleted then.
    pub fn sweep_blobs(
        &mut self,
        now: SystemTime,
        age: Duration,
        referenced: impl Fn(BlobHash) -> bool,
    ) -> Result<Swept, StoreError> {
        if self.lock.is_none() {
            return Err(StoreError::ReadAccess);
        }
        let unreadable = self.count_unreadable()?;
        if unreadable > 0 {
            return Err(StoreError::SweepRefused { unreadable });
        }
        let mut unused = Vec::new();
        for (hash, path) in self.stored_blobs()? {
            if !referenced(hash) {
                let metadata = fs::metadata(&path).map_err(|e| StoreError::io(&path, e))?;
                // A file from the future is new.
                let old = metadata
                    .modified()
                    .ok()
                    .and_then(|at| now.duration_since(at).ok())
                    .is_some_and(|old| old >= age);
                if old {
                    unused.push((hash, path, metadata.len()));
                }
            }
        }
        if unused.is_empty() {
            return Ok(Swept::default());
        }
        // Off the record first: a file without a record is found again, a record without a file is
        // a file that is missing.
        let hashes: Vec<BlobHash> = unused.iter().map(|(hash, ..)| *hash).collect();
        self.write("deleting unused files", |handle, notebook| {
            commit::forget_blobs(handle, notebook, &hashes)
        })?;
        let mut swept = Swept::default();
        for (hash, path, size) in unused {
            fs::remove_file(&path).map_err(|e| StoreError::io(&path, e))?;
            swept.deleted.push(hash);
            swept.bytes += size;
        }
        Ok(swept)
    }

    /// The files in the folder, recorded or not.
    pub(crate) fn stored_blobs(&self) -> Result<Vec<(BlobHash, PathBuf)>, StoreError> {
        list_blobs(&self.layout)
    }

    fn count_unreadable(&self) -> Result<usize, StoreError> {
        let mut unreadable = 0;
        for head in self.documents()? {
            match self.read_document(head.name) {
                Ok(Some(document)) if document.loose.is_empty() && !document.heads.is_empty() => {}
                Ok(_) | Err(StoreError::DamagedDocument { .. }) => unreadable += 1,
                Err(error) => return Err(error),
            }
        }
        Ok(unreadable)
    }
}

/// The files in the folder under their names.
pub(crate) fn list_blobs(layout: &layout::Layout) -> Result<Vec<(BlobHash, PathBuf)>, StoreError> {
    let root = layout.blobs();
    let mut blobs = Vec::new();
    if !root.is_dir() {
        return Ok(blobs);
    }
    for folder in read_folder(&root)?.into_iter().filter(|path| path.is_dir()) {
        for path in read_folder(&folder)? {
            let name = path.file_name().and_then(|name| name.to_str());
            if let Some(Ok(hash)) = name.map(str::parse::<BlobHash>) {
                blobs.push((hash, path));
            }
        }
    }
    blobs.sort();
    Ok(blobs)
}

fn read_folder(folder: &std::path::Path) -> Result<Vec<PathBuf>, StoreError> {
    fs::read_dir(folder)
        .and_then(|entries| entries.map(|entry| entry.map(|e| e.path())).collect())
        .map_err(|e| StoreError::io(folder, e))
}

fn write_hashed(
    source: &mut impl Read,
    part: &std::path::Path,
    limit: u64,
) -> Result<(BlobHash, u64), StoreError> {
    let failed = |e| StoreError::io(part, e);
    let mut file = File::create(part).map_err(failed)?;
    let mut hasher = blake3::Hasher::new();
    let mut size = 0;
    let mut piece = vec![0; PIECE];
    loop {
        let length = match source.read(&mut piece) {
            Ok(0) => break,
            Ok(length) => length,
            Err(e) if e.kind() == io::ErrorKind::Interrupted => continue,
            Err(e) => return Err(StoreError::BlobSource(e)),
        };
        size += length as u64;
        if size > limit {
            return Err(StoreError::BlobTooLarge { limit });
        }
        hasher.update(&piece[..length]);
        file.write_all(&piece[..length]).map_err(failed)?;
    }
    file.sync_all().map_err(failed)?;
    Ok((BlobHash::from_bytes(*hasher.finalize().as_bytes()), size))
}
