//! Where things lie in a notebook's folder, and how a small file is put there for good.

use std::{
    fs::{self, File},
    io::Write as _,
    path::{Path, PathBuf},
};

use crate::{BlobHash, StoreError};

/// The paths of one notebook.
#[derive(Debug, Clone)]
pub(crate) struct Layout {
    folder: PathBuf,
}

impl Layout {
    pub(crate) fn new(folder: &Path) -> Self {
        Self { folder: folder.to_owned() }
    }

    pub(crate) fn folder(&self) -> &Path {
        &self.folder
    }

    pub(crate) fn notebook(&self) -> PathBuf {
        self.folder.join("notebook.redb")
    }

    /// A notebook's file while it is being made; becomes [`Self::notebook`] when it is whole.
    pub(crate) fn unfinished(&self) -> PathBuf {
        self.folder.join("notebook.redb.part")
    }

    /// The first unused name for a copy of a damaged notebook's file.
    pub(crate) fn damaged(&self) -> PathBuf {
        (1_u32..)
            .map(|n| self.folder.join(format!("notebook.redb.damaged-{n}")))
            .find(|path| !path.exists())
            .expect("a folder holds fewer than four milliard files")
    }

    pub(crate) fn closed(&self) -> PathBuf {
        self.folder.join("notebook.closed")
    }

    pub(crate) fn device(&self) -> PathBuf {
        self.folder.join("device")
    }

    pub(crate) fn copies(&self) -> PathBuf {
        self.folder.join("copies")
    }

    pub(crate) fn cache(&self) -> PathBuf {
        self.folder.join("cache")
    }

    pub(crate) fn blobs(&self) -> PathBuf {
        self.folder.join("blobs")
    }

    pub(crate) fn blob(&self, hash: BlobHash) -> PathBuf {
        let name = hash.to_string();
        self.blobs().join(&name[..2]).join(name)
    }
}

/// Makes a folder and those above it.
pub(crate) fn make_folder(path: &Path) -> Result<(), StoreError> {
    fs::create_dir_all(path).map_err(|e| StoreError::io(path, e))
}

/// Writes a file so that, whatever happens, either the old or the new one is there.
pub(crate) fn write_durably(path: &Path, bytes: &[u8]) -> Result<(), StoreError> {
    let part = path.with_extension("part");
    let write = || {
        let mut file = File::create(&part)?;
        file.write_all(bytes)?;
        file.sync_all()
    };
    write().map_err(|e| StoreError::io(&part, e))?;
    rename_durably(&part, path)
}

/// Renames a file whose bytes are safe already, and waits until its name is.
pub(crate) fn rename_durably(from: &Path, to: &Path) -> Result<(), StoreError> {
    fs::rename(from, to).map_err(|e| StoreError::io(to, e))?;
    sync_folder(to.parent().expect("a file lies in a folder"))
}

/// Waits until the names in a folder are safe.
pub(crate) fn sync_folder(folder: &Path) -> Result<(), StoreError> {
    // Windows has no such call for folders and keeps names in a journal of its own.
    if cfg!(unix) {
        File::open(folder).and_then(|f| f.sync_all()).map_err(|e| StoreError::io(folder, e))?;
    }
    Ok(())
}
