//! The open notebook, held so that the shell's threads and the link's take turns.

use std::sync::{Mutex, MutexGuard};

use swardbook_link::StoreHolder;
use swardbook_store::{DocumentName, Store};

use crate::Notebook;

/// The open notebook; whoever needs it waits for its turn.
#[derive(Debug)]
pub(super) struct Holder(Mutex<Notebook>);

impl Holder {
    pub(super) const fn new(notebook: Notebook) -> Self {
        Self(Mutex::new(notebook))
    }

    /// The notebook, for as long as the guard lives.
    pub(super) fn lock(&self) -> MutexGuard<'_, Notebook> {
        self.0.lock().unwrap_or_else(|poisoned| {
            // Something broke while it was held: what is on the disk is whole, memory may not be.
            self.0.clear_poison();
            let mut notebook = poisoned.into_inner();
            notebook.forget_memory();
            notebook
        })
    }

    pub(super) fn into_notebook(self) -> Notebook {
        self.0.into_inner().unwrap_or_else(|poisoned| {
            let mut notebook = poisoned.into_inner();
            notebook.forget_memory();
            notebook
        })
    }
}

impl StoreHolder for Holder {
    fn with_store<T>(&self, work: impl FnOnce(&mut Store) -> T) -> T {
        self.lock().lend_store(work)
    }

    fn documents_arrived(&self, _documents: &[DocumentName]) {
        // Which they are was noted when they were written; what cannot be done now is done before
        // the next command, which says why if it cannot.
        let _later = self.lock().catch_up();
    }
}
