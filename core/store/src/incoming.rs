//! Files that arrive piece by piece from another device, and files that are let go.
//!
//! An unfinished file lies beside the finished ones under a name that is none of theirs, and may
//! stay there over any number of interruptions.
//! It becomes a file in four steps, and only the first and the last need the store, so that nothing
//! waits for a slow disk: a place is asked for ([`Store::arriving`]), its bytes are made safe
//! ([`Arriving::check`], [`Arriving::finish`]), it is given its name ([`CheckedPart::place`]), and it
//! is recorded ([`crate::Batch::file`]).
//! The last two take any number of files at once: names and records cost a wait for the disk each
//! time, and hardly more for ten than for one.

use std::{
    collections::BTreeSet,
    fs::{self, File},
    io,
    path::{Path, PathBuf},
};

use crate::{
    BlobHash, Store, StoreError, commit,
    layout::{self, make_folder},
    table::BlobRow,
};

/// Pieces in which a file is read through.
const PIECE: usize = 256 << 10;

/// A file on its way here.
#[derive(Debug, Clone)]
pub struct Arriving {
    hash: BlobHash,
    part: PathBuf,
    place: PathBuf,
}

/// A file that arrived whole: its bytes were compared with its name and are safe on the disk.
#[derive(Debug)]
pub struct CheckedPart {
    arriving: Arriving,
    size: u64,
}

/// A file that has its name, and is not recorded yet.
#[derive(Debug)]
pub struct PlacedPart {
    hash: BlobHash,
    size: u64,
}

impl PlacedPart {
    pub(crate) const fn row(&self) -> (BlobHash, BlobRow) {
        (self.hash, BlobRow { size: self.size })
    }
}

impl Arriving {
    /// Where its bytes are put; what is there already is a beginning of it.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.part
    }

    /// Makes a file safe of which the caller has compared every byte with its name as it came.
    ///
    /// `written` is the open file, of so many bytes.
    ///
    /// # Errors
    /// [`StoreError`] when the disk does not take it.
    pub fn finish(self, written: &File, size: u64) -> Result<CheckedPart, StoreError> {
        written.sync_all().map_err(|error| StoreError::io(&self.part, error))?;
        Ok(CheckedPart { arriving: self, size })
    }

    /// Reads a file through and makes it safe: part of it was there before.
    ///
    /// A file that is not what its name says is deleted, so that it is fetched anew.
    ///
    /// # Errors
    /// [`StoreError::BlobDamaged`] when it is not what its name says.
    pub fn check(self) -> Result<CheckedPart, StoreError> {
        let failed = |error| StoreError::io(&self.part, error);
        let file = File::open(&self.part).map_err(failed)?;
        let mut hasher = blake3::Hasher::new();
        let mut reader = io::BufReader::with_capacity(PIECE, &file);
        let size = io::copy(&mut reader, &mut hasher).map_err(failed)?;
        if hasher.finalize().as_bytes() != self.hash.as_bytes() {
            fs::remove_file(&self.part).map_err(failed)?;
            return Err(StoreError::BlobDamaged { hash: self.hash });
        }
        self.finish(&file, size)
    }
}

impl CheckedPart {
    /// Gives checked files their names, which are safe on the disk when this returns.
    ///
    /// # Errors
    /// [`StoreError`]; each of the files can be taken again then.
    pub fn place(parts: Vec<Self>) -> Result<Vec<PlacedPart>, StoreError> {
        let mut folders = BTreeSet::new();
        let mut placed = Vec::new();
        for Self { arriving: Arriving { hash, part, place }, size } in parts {
            let folder = place.parent().expect("a file lies in a folder").to_owned();
            make_folder(&folder)?;
            fs::rename(&part, &place).map_err(|error| StoreError::io(&place, error))?;
            placed.push(PlacedPart { hash, size });
            // The folder may be new in the one above it.
            folders.extend(folder.parent().map(Path::to_owned));
            folders.insert(folder);
        }
        folders.iter().try_for_each(|folder| layout::sync_folder(folder))?;
        Ok(placed)
    }
}

impl Store {
    /// Where a file is put while it arrives.
    ///
    /// # Errors
    /// [`StoreError::ReadAccess`] when it is open for reading only; others when the folder cannot
    /// be made.
    pub fn arriving(&self, hash: BlobHash) -> Result<Arriving, StoreError> {
        if self.lock.is_none() {
            return Err(StoreError::ReadAccess);
        }
        let folder = self.layout.blobs().join("arriving");
        make_folder(&folder)?;
        let part = folder.join(format!("{hash}.part"));
        Ok(Arriving { hash, part, place: self.layout.blob(hash) })
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
