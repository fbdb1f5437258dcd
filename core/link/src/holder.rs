//! Who holds the open notebook, and what is told about it.

use std::sync::Mutex;

use swardbook_store::{DocumentName, Store};

/// Whoever holds the open store and lends it out, one at a time.
///
/// The link calls it from its own threads and holds it no longer than one read or one commit.
pub trait StoreHolder: Send + Sync + 'static {
    /// Lends the store.
    fn with_store<T>(&self, work: impl FnOnce(&mut Store) -> T) -> T;

    /// Another device's changes are on the disk: what was kept in memory of these documents is old.
    fn documents_arrived(&self, documents: &[DocumentName]) {
        let _ = documents;
    }
}

impl StoreHolder for Mutex<Store> {
    fn with_store<T>(&self, work: impl FnOnce(&mut Store) -> T) -> T {
        // A panic elsewhere leaves the store whole: every commit is one transaction.
        let mut store = self.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        work(&mut store)
    }
}
