//! Whether the notebook's folder is still where it was opened.
//!
//! A folder can be taken away under an open notebook: a disk is pulled out, or somebody moves it.
//! What is open can still be read then, and what is written would be lost, which the next writing
//! says; this says it before anybody writes.

use std::{
    path::{Path, PathBuf},
    sync::{Arc, Weak},
    thread,
    time::Duration,
};

use super::linked::Hearers;

/// How often it is looked.
const LOOK: Duration = Duration::from_secs(1);

/// The folder of an open notebook.
#[derive(Debug, Clone)]
pub(super) struct Folder(Arc<PathBuf>);

impl Folder {
    pub(super) fn new(path: &Path) -> Self {
        Self(Arc::new(path.to_owned()))
    }

    pub(super) fn path(&self) -> &Path {
        &self.0
    }

    pub(super) fn is_here(&self) -> bool {
        is_here(&self.0)
    }

    /// Looks from now on until the last copy of this is gone, and tells when it went or came back.
    pub(super) fn watch(&self, hearers: Hearers) {
        let watched = Arc::downgrade(&self.0);
        // Without a thread it is said at the next writing.
        let _no_thread = thread::Builder::new()
            .name("swardbook-folder".to_owned())
            .spawn(move || look(&watched, &hearers));
    }
}

fn look(watched: &Weak<PathBuf>, hearers: &Hearers) {
    let mut was_here = true;
    while let Some(path) = watched.upgrade() {
        let now = is_here(&path);
        drop(path);
        if now != was_here {
            was_here = now;
            hearers.devices();
        }
        thread::sleep(LOOK);
    }
}

fn is_here(folder: &Path) -> bool {
    // A folder that may not be looked into just now is not gone.
    folder.try_exists().unwrap_or(true)
}
