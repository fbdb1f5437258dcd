//! Files that arrive piece by piece from another device, and files that are let go.
//!
//! An unfinished file lies beside the finished ones under a name that is none of theirs, and may
//! stay there over any number of interruptions.

use std::{
    fs::{self, File},
    io,
    path::PathBuf,
};

use crate::{
    BlobAdded, BlobHash, Store, StoreError, commit,
    layout::{self, make_folder},
    table::BlobRow,
};

/// A file that arrived whole: its bytes were compared with its name and are safe on the disk.
#[derive(Debug)]
pub struct CheckedPart {
    path: PathBuf,
    hash: BlobHash,
    size: u64,
}

impl CheckedPart {
    /// Reads an unfinished file through; this takes no store, so that nothing waits for it.
    ///
    /// A file that is not what its name says is deleted, so that it is fetched anew.
    ///
    /// # Errors
    /// [`StoreError::BlobDamaged`] when it is not what its name says.
    pub fn check(path: PathBuf, hash: BlobHash) -> Result<Self, StoreError> {
        let failed = |error| StoreError::io(&path, error);
        let mut file = File::open(&path).map_err(failed)?;
        let mut hasher = blake3::Hasher::new();
        let size = io::copy(&mut file, &mut hasher).map_err(failed)?;
        if hasher.finalize().as_bytes() != hash.as_bytes() {
            fs::remove_file(&path).map_err(failed)?;
            return Err(StoreError::BlobDamaged { hash });
        }
        file.sync_all().map_err(failed)?;
        Ok(Self { path, hash, size })
    }
}

impl Store {
    /// Where a file's bytes are put while it arrives; what is there already is a beginning of it.
    ///
    /// # Errors
    /// [`StoreError`] when the folder cannot be made.
    pub fn part_path(&self, hash: BlobHash) -> Result<PathBuf, StoreError> {
        let folder = self.layout.blobs().join("arriving");
        make_folder(&folder)?;
        Ok(folder.join(format!("{hash}.part")))
    }

    /// Gives a checked file its name and records it.
    ///
    /// # Errors
    /// [`StoreError`]; the file can be taken again then.
    pub fn take_part(&mut self, part: CheckedPart) -> Result<BlobAdded, StoreError> {
        if self.lock.is_none() {
            return Err(StoreError::ReadAccess);
        }
        let CheckedPart { path, hash, size } = part;
        let place = self.layout.blob(hash);
        let was_new = !place.exists();
        make_folder(place.parent().expect("a file lies in a folder"))?;
        layout::rename_durably(&path, &place)?;
        layout::sync_folder(&self.layout.blobs())?;
        if self.blob_size(hash)? != Some(size) {
            self.write("recording a file", |handle, notebook| {
                commit::record_blobs(handle, notebook, &[(hash, BlobRow { size })])
            })?;
        }
        Ok(BlobAdded { hash, size, was_new })
    }

    /// Lets files go that the caller knows to be kept elsewhere; one that is not here is no error.
    ///
    /// # Errors
    /// [`StoreError`]; some may be gone then.
    pub fn release_blobs(&mut self, hashes: &[BlobHash]) -> Result<(), StoreError> {
        if hashes.is_empty() {
            return Ok(());
        }
        // Off the record first: see `sweep_blobs`.
        self.write("letting files go", |handle, notebook| {
            commit::forget_blobs(handle, notebook, hashes)
        })?;
        for hash in hashes {
            let path = self.layout.blob(*hash);
            match fs::remove_file(&path) {
                Err(error) if error.kind() != io::ErrorKind::NotFound => {
                    return Err(StoreError::io(path, error));
                }
                _ => {}
            }
        }
        Ok(())
    }
}
