//! What another device wrote: documents in memory are let go, and the lists follow.
//!
//! The cost is that of the documents that something arrived for, not of the notebook.

use swardbook_store::{Batch, DocumentName, IndexTable, Store, StoreSequence};

use super::{Notebook, index::LISTED_AT_ONCE};
use crate::{Problem, Unwatched, progress::Course};

/// The commit up to which the lists are known to say what the documents say.
const AS_OF: IndexTable = IndexTable(7);

impl Notebook {
    /// Lends the store to the link; what it writes to documents is noted, so that no later command
    /// works on what was in memory before.
    ///
    /// For whoever holds the notebook alone: between this and the next command nobody may come.
    pub(crate) fn lend_store<T>(&mut self, work: impl FnOnce(&mut Store) -> T) -> T {
        let before = self.store.sequence();
        let done = work(&mut self.store);
        let after = self.store.sequence();
        if let (Ok(before), Ok(after)) = (&before, &after)
            && before == after
        {
            return done;
        }
        // A store that cannot tell what changed lets go of everything.
        match before.and_then(|before| self.store.changed_after(before)) {
            Ok(changed) => {
                for (_, name) in changed {
                    self.open.forget(name);
                    self.behind.insert(name);
                }
            }
            Err(_) => self.open.forget_all(),
        }
        done
    }

    /// After something broke in the middle: nothing in memory is relied on.
    pub(crate) fn forget_memory(&mut self) {
        self.open.forget_all();
        // Told by the disk, which only knows whole commits.
        let _behind = self.find_what_arrived();
    }

    /// Brings the lists up to what arrived.
    ///
    /// # Errors
    /// [`Problem`]; it is done with the next command then.
    pub(crate) fn catch_up(&mut self) -> Result<(), Problem> {
        if !self.writable {
            return Ok(());
        }
        let mut nobody = Unwatched;
        let mut course = Course::begin(&mut nobody, self.stopwatch(), String::new());
        while !self.behind.is_empty() {
            let some: Vec<DocumentName> =
                self.behind.iter().take(LISTED_AT_ONCE).copied().collect();
            let mut batch = Batch::new();
            self.list_documents(&mut batch, &some, &mut course)?;
            if some.len() == self.behind.len() {
                self.lists_stand_after_next(&mut batch)?;
            }
            if !batch.is_empty() {
                self.store.commit(&batch)?;
            }
            for name in some {
                self.behind.remove(&name);
            }
        }
        Ok(())
    }

    /// Adds to a batch that the lists stand once it is written. Nothing may be behind then.
    pub(super) fn lists_stand_after_next(&self, batch: &mut Batch) -> Result<(), Problem> {
        let next = self.store.sequence()?.0.saturating_add(1);
        batch.put_index(AS_OF, b"", next.to_le_bytes().to_vec());
        Ok(())
    }

    /// Finds documents that were written when the lists were not: the program ended between.
    pub(super) fn find_what_arrived(&mut self) -> Result<(), Problem> {
        let row = self.store.get_index(AS_OF, b"")?;
        let known = row.and_then(|row| row.try_into().ok()).map_or(0, u64::from_le_bytes);
        let changed = self.store.changed_after(StoreSequence(known))?;
        self.behind.extend(changed.into_iter().map(|(_, name)| name));
        self.catch_up()
    }

    /// Documents written here since this was last asked.
    pub(crate) fn take_written(&mut self) -> Vec<DocumentName> {
        std::mem::take(&mut self.written).into_iter().collect()
    }
}
