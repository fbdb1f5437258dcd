//! One thing a person does: everything it writes is kept together, or nothing is.

use std::collections::{BTreeMap, BTreeSet};

use swardbook_journal::{Entry, Fields, Record, Stamp};
use swardbook_store::{ActorBytes, Batch, Change, DocumentName};
use swardbook_units::Id;

use super::{Notebook, due::DueChanges, undo};
use crate::{
    Problem, Unwatched,
    progress::{Course, Part, Step, Stopwatch},
};

/// One action under way; nothing is on the disk before [`Action::keep`].
#[derive(Debug)]
pub(crate) struct Action<'a> {
    pub(super) notebook: &'a mut Notebook,
    what: String,
    touched: BTreeMap<DocumentName, BTreeSet<String>>,
    kept: bool,
}

/// What an action kept.
#[derive(Debug)]
pub(crate) struct Kept {
    /// The entries it wrote on, as they are now, with their documents.
    pub(crate) entries: Vec<(DocumentName, Entry)>,
    /// Who did it, where and when.
    pub(crate) stamp: Stamp,
}

impl Notebook {
    /// Begins an action, named as the undo list shows it.
    pub(crate) fn begin_action(&mut self, what: impl Into<String>) -> Action<'_> {
        Action { notebook: self, what: what.into(), touched: BTreeMap::new(), kept: false }
    }

    /// The time since now, for telling how far work is.
    pub(crate) fn stopwatch(&self) -> Stopwatch {
        self.surroundings.stopwatch()
    }
}

impl Action<'_> {
    /// Writes a record under its own name.
    ///
    /// # Errors
    /// [`Problem`]
    pub(crate) fn put<R: Record>(
        &mut self,
        document: DocumentName,
        key: &str,
        record: &R,
    ) -> Result<(), Problem> {
        self.touch(document, key);
        self.notebook.document(document)?.put(key, record)?;
        Ok(())
    }

    /// Writes some fields of a record and takes others away; the record is made when there is
    /// none.
    ///
    /// # Errors
    /// [`Problem`]
    pub(crate) fn write_fields(
        &mut self,
        document: DocumentName,
        key: &str,
        kind: &str,
        wanted: Fields,
        removed: Vec<String>,
    ) -> Result<(), Problem> {
        self.touch(document, key);
        self.notebook.document(document)?.write_fields(key, kind, wanted, removed)?;
        Ok(())
    }

    /// Writes a new record and gives it a name.
    ///
    /// # Errors
    /// [`Problem`]
    pub(crate) fn add<R: Record>(
        &mut self,
        document: DocumentName,
        record: &R,
    ) -> Result<Id, Problem> {
        let id = self.notebook.new_id();
        self.put(document, &id.to_string(), record)?;
        Ok(id)
    }

    /// Writes on a document by hand.
    ///
    /// # Errors
    /// [`Problem`]
    pub(crate) fn write(
        &mut self,
        document: DocumentName,
        key: &str,
        write: impl FnOnce(&mut swardbook_journal::Document) -> Result<(), Problem>,
    ) -> Result<(), Problem> {
        self.touch(document, key);
        write(self.notebook.document(document)?)
    }

    /// A document that stays in memory until the action ends, to look at what will be written.
    ///
    /// # Errors
    /// [`Problem`] when its bytes are damaged.
    pub(super) fn hold(
        &mut self,
        document: DocumentName,
    ) -> Result<&mut swardbook_journal::Document, Problem> {
        self.notebook.open.hold(document);
        self.notebook.document(document)
    }

    /// Says that an entry is about to be written, before the document is asked for.
    pub(super) fn touch(&mut self, document: DocumentName, key: &str) {
        self.notebook.open.hold(document);
        self.touched.entry(document).or_default().insert(key.to_owned());
    }

    /// Makes everything durable; it is acknowledged when this returns.
    ///
    /// # Errors
    /// [`Problem`]; nothing of the action is kept then, in memory or on the disk.
    pub(crate) fn keep(self) -> Result<Kept, Problem> {
        let stopwatch = self.notebook.stopwatch();
        self.keep_on_course(&mut Course::begin(&mut Unwatched, stopwatch, String::new()))
    }

    /// The same while somebody waits; it can be stopped until the disk is written.
    ///
    /// # Errors
    /// [`Problem`]; nothing of the action is kept then, in memory or on the disk.
    pub(crate) fn keep_on_course(mut self, course: &mut Course<'_>) -> Result<Kept, Problem> {
        let touched = std::mem::take(&mut self.touched);
        let names: Vec<DocumentName> = touched.keys().copied().collect();
        let result = self.keep_touched(touched, course);
        self.notebook.open.release();
        if result.is_err() {
            // What is in memory went further than the disk: read it again when it is needed.
            for name in names {
                self.notebook.open.forget(name);
            }
        }
        self.kept = true;
        result
    }

    fn keep_touched(
        &mut self,
        touched: BTreeMap<DocumentName, BTreeSet<String>>,
        course: &mut Course<'_>,
    ) -> Result<Kept, Problem> {
        course.step(Step::Preparing, Part::Journals, touched.len())?;
        let notebook = &mut *self.notebook;
        let stamp = Stamp {
            device: notebook.device.clone(),
            person: notebook.person.clone(),
            action: self.what.clone(),
            at: notebook.surroundings.now(),
        };
        let mut batch = Batch::new();
        let mut due = DueChanges::default();
        let mut hashes = Vec::new();
        let mut kept = Vec::new();
        for (name, keys) in touched {
            let needs_snapshot = notebook.store.needs_snapshot(name)?;
            let document = notebook.document(name)?;
            let Some(change) = document.commit(&stamp) else { continue };
            hashes.push((name, change.hash));
            let heads: Vec<u8> = document.heads().concat();
            if needs_snapshot {
                let bytes = document.save();
                batch.snapshot(name, bytes, heads);
            } else {
                let actor = ActorBytes::new(&change.actor)
                    .map_err(|e| Problem::new(crate::Code::Storage, e.to_string()))?;
                let change = Change { actor, sequence: change.sequence, bytes: change.bytes };
                batch.change(name, vec![change], heads);
            }
            let entries: Vec<Entry> = keys.iter().filter_map(|key| document.entry(key)).collect();
            notebook.index_entries(&mut batch, &mut due, name, &entries)?;
            kept.extend(entries.into_iter().map(|entry| (name, entry)));
            course.did(1)?;
        }
        let kept = Kept { entries: kept, stamp };
        if hashes.is_empty() {
            return Ok(kept);
        }
        notebook.list_due(&mut batch, &due)?;
        notebook.list_totals(&mut batch, &due)?;
        undo::remember(notebook, &mut batch, &self.what, &hashes)?;
        notebook.lists_stand_after_next(&mut batch)?;
        course.step(Step::Keeping, Part::Whole, 0)?;
        notebook.store.commit(&batch)?;
        notebook.written.extend(hashes.into_iter().map(|(name, _)| name));
        Ok(kept)
    }
}

impl Drop for Action<'_> {
    fn drop(&mut self) {
        if !self.kept {
            self.notebook.open.release();
            for name in self.touched.keys() {
                self.notebook.open.forget(*name);
            }
        }
    }
}
