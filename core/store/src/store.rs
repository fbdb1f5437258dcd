//! One open notebook.

use std::{
    path::Path,
    sync::{
        OnceLock,
        atomic::{AtomicBool, AtomicU64, Ordering},
    },
};

use redb::ReadTransaction;

use crate::{
    ActorBytes, Batch, DocumentHead, DocumentName, IndexTable, LocalTable, Row, Span, StoreError,
    StoreSequence, StoredDocument, closed, commit,
    device::Device,
    document::Reading,
    handle::{self, Handle, Trouble},
    layout::Layout,
    lock::WriterLock,
    table::{INDEX, INDEX_STAMP_KEY, LOCAL, META, Notebook},
};

/// One open notebook: documents, lists and files in a folder.
///
/// Nothing is kept in memory but the database's own pages and, while it is open to write, its
/// view of them as of the last commit.
/// After an error for which [`StoreError::closes`] holds, every call answers
/// [`StoreError::Closed`]; drop the store and open the notebook again.
#[derive(Debug)]
pub struct Store {
    pub(crate) layout: Layout,
    /// There is one until the store is closed.
    pub(crate) handle: Option<Handle>,
    /// The notebook's row as of the last commit; kept by a writer only.
    pub(crate) notebook: Notebook,
    pub(crate) device: Device,
    /// What a writer reads until its next commit: nobody else writes meanwhile, and beginning a
    /// read takes and gives back four locks on the file.
    view: OnceLock<ReadTransaction>,
    pub(crate) failed: AtomicBool,
    /// Damage was met, so that the next opening must look at everything.
    pub(crate) damaged: AtomicBool,
    index_rows_read: AtomicU64,
    // Last, so that it is given back after the database is closed.
    pub(crate) lock: Option<WriterLock>,
}

impl Store {
    pub(crate) fn new(
        layout: Layout,
        handle: Handle,
        notebook: Notebook,
        device: Device,
        lock: Option<WriterLock>,
    ) -> Self {
        Self {
            layout,
            handle: Some(handle),
            notebook,
            device,
            view: OnceLock::new(),
            failed: AtomicBool::new(false),
            damaged: AtomicBool::new(false),
            index_rows_read: AtomicU64::new(0),
            lock,
        }
    }

    /// The notebook's folder.
    #[must_use]
    pub fn folder(&self) -> &Path {
        self.layout.folder()
    }

    /// The name under which this device writes changes of this notebook, 16 random bytes.
    ///
    /// # Errors
    /// [`StoreError::ReadAccess`] for a store that was opened for reading.
    pub fn actor(&self) -> Result<[u8; 16], StoreError> {
        if self.lock.is_none() {
            return Err(StoreError::ReadAccess);
        }
        Ok(self.device.actor)
    }

    /// What tells this store file from any other, for the devices it syncs with.
    ///
    /// It is minted anew whenever the actor is, which is when the notebook was copied or restored
    /// after damage; what was remembered of an exchange under the old one, here or there, no longer
    /// holds.
    ///
    /// # Errors
    /// [`StoreError`] when the notebook cannot be read.
    pub fn nonce(&self) -> Result<[u8; 16], StoreError> {
        self.read("reading the notebook's entry", |reading| Ok(reading.notebook()?.nonce))
    }

    /// A folder for things that can be made again.
    ///
    /// # Errors
    /// [`StoreError`] when it cannot be made.
    pub fn cache_folder(&self) -> Result<std::path::PathBuf, StoreError> {
        let folder = self.layout.cache();
        crate::layout::make_folder(&folder)?;
        Ok(folder)
    }

    /// A folder for what belongs to this device alone and must not be copied with the notebook, for
    /// example its network key.
    #[must_use]
    pub fn device_folder(&self) -> std::path::PathBuf {
        self.layout.device()
    }

    /// Writes a batch: all of it is safe on the disk when this returns, or none of it is seen.
    ///
    /// # Errors
    /// [`StoreError`]; unless [`StoreError::closes`] holds, the store can be used on as it was.
    pub fn commit(&mut self, batch: &Batch) -> Result<StoreSequence, StoreError> {
        self.write("saving", |handle, notebook| commit::commit(handle, notebook, batch))?;
        Ok(self.notebook.last())
    }

    /// The number of the last commit.
    ///
    /// # Errors
    /// [`StoreError`] when the notebook cannot be read.
    pub fn sequence(&self) -> Result<StoreSequence, StoreError> {
        if let Handle::Writer(_) = self.usable()? {
            return Ok(self.notebook.last());
        }
        self.read("reading the notebook's entry", |reading| Ok(reading.notebook()?.last()))
    }

    /// A document, whole and checked; none when there never was one.
    ///
    /// # Errors
    /// [`StoreError::DamagedDocument`] when its bytes are not those written.
    pub fn read_document(&self, name: DocumentName) -> Result<Option<StoredDocument>, StoreError> {
        self.read("reading a document", |reading| reading.document(name))
    }

    /// Every document's name and state, by kind and then by id.
    ///
    /// # Errors
    /// [`StoreError`] when one cannot be told.
    pub fn documents(&self) -> Result<Vec<DocumentHead>, StoreError> {
        self.read("listing documents", |reading| reading.documents())
    }

    /// Documents changed after a commit, in the order of their last change.
    ///
    /// # Errors
    /// [`StoreError`] when the list cannot be read.
    pub fn changed_after(
        &self,
        after: StoreSequence,
    ) -> Result<Vec<(StoreSequence, DocumentName)>, StoreError> {
        self.read("listing changed documents", |reading| reading.changed_after(after))
    }

    /// The changes of one actor after a number, as far as they are still kept one by one.
    ///
    /// Those that a saved state stands for are not among them; whether the first one follows on is
    /// the caller's to check.
    ///
    /// # Errors
    /// [`StoreError::DamagedDocument`] when one is not what was written.
    pub fn changes_after(
        &self,
        document: DocumentName,
        actor: &ActorBytes,
        after: u64,
    ) -> Result<Vec<Vec<u8>>, StoreError> {
        self.read("reading changes", |reading| reading.changes_after(document, actor, after))
    }

    /// Whether a document's state should be saved, because there are many changes after the last
    /// saved one, or they are larger than it, or loose ones wait to be taken up.
    ///
    /// # Errors
    /// [`StoreError`] when its entry cannot be read.
    pub fn needs_snapshot(&self, name: DocumentName) -> Result<bool, StoreError> {
        self.read("reading a document's entry", |reading| reading.needs_snapshot(name))
    }

    /// A row of the index.
    ///
    /// # Errors
    /// [`StoreError::DamagedIndex`] when it is not what was written.
    pub fn get_index(&self, table: IndexTable, key: &[u8]) -> Result<Option<Vec<u8>>, StoreError> {
        self.index_rows_read.fetch_add(1, Ordering::Relaxed);
        self.read("reading the index", |reading| reading.value(INDEX, table.0, key))
    }

    /// Rows of the index.
    ///
    /// # Errors
    /// [`StoreError::DamagedIndex`] when one is not what was written.
    pub fn range_index(&self, table: IndexTable, span: &Span) -> Result<Vec<Row>, StoreError> {
        let rows = self.read("reading the index", |reading| reading.span(INDEX, table.0, span))?;
        self.index_rows_read.fetch_add(rows.len() as u64, Ordering::Relaxed);
        Ok(rows)
    }

    /// Rows of the index that were read or looked for since the store was opened, so that a test
    /// can tell what a question costs.
    #[must_use]
    pub fn index_rows_read(&self) -> u64 {
        self.index_rows_read.load(Ordering::Relaxed)
    }

    /// What the index was made by, as the caller last stamped it; none when it must be made anew.
    ///
    /// # Errors
    /// [`StoreError::DamagedIndex`] when it is not what was written.
    pub fn index_stamp(&self) -> Result<Option<Vec<u8>>, StoreError> {
        self.read("reading the index", |reading| {
            reading.get(META, INDEX_STAMP_KEY, || StoreError::DamagedIndex)
        })
    }

    /// Throws the index and its stamp away.
    ///
    /// # Errors
    /// As [`Self::commit`].
    pub fn clear_index(&mut self) -> Result<(), StoreError> {
        self.write("clearing the index", commit::clear_index)
    }

    /// A value of this device.
    ///
    /// # Errors
    /// [`StoreError::DamagedValue`] when it is not what was written.
    pub fn get_local(&self, table: LocalTable, key: &[u8]) -> Result<Option<Vec<u8>>, StoreError> {
        self.read("reading a value of this device", |reading| reading.value(LOCAL, table.0, key))
    }

    /// Values of this device.
    ///
    /// # Errors
    /// [`StoreError::DamagedValue`] when one is not what was written.
    pub fn range_local(&self, table: LocalTable, span: &Span) -> Result<Vec<Row>, StoreError> {
        self.read("reading values of this device", |reading| reading.span(LOCAL, table.0, span))
    }

    /// Closes the notebook, so that it opens without a check next time.
    ///
    /// Dropping the store does the same and keeps quiet about what goes wrong.
    ///
    /// # Errors
    /// [`StoreError`] when the last bytes could not be written; every commit is safe all the same.
    pub fn close(mut self) -> Result<(), StoreError> {
        self.shut()
    }

    pub(crate) fn shut(&mut self) -> Result<(), StoreError> {
        self.let_go_of_view();
        let Some(handle) = self.handle.take() else { return Ok(()) };
        if self.failed.load(Ordering::Relaxed) {
            handle::discard(handle);
            return Ok(());
        }
        let Handle::Writer(database) = handle else {
            handle::discard(handle);
            return Ok(());
        };
        handle::guard(&self.layout.notebook(), "closing", || Ok(database.close()?))?;
        if self.damaged.load(Ordering::Relaxed) {
            return Ok(());
        }
        closed::write(&self.layout, self.notebook.sequence)
    }

    /// Before anything is written: pages that a view holds would not be used again.
    pub(crate) fn let_go_of_view(&mut self) {
        handle::discard(self.view.take());
    }

    /// Reads in one transaction.
    pub(crate) fn read<T>(
        &self,
        during: &'static str,
        work: impl FnOnce(&Reading<'_>) -> Result<T, Trouble>,
    ) -> Result<T, StoreError> {
        let handle = self.usable()?;
        self.note(handle::guard(&self.layout.notebook(), during, || {
            if !matches!(handle, Handle::Writer(_)) {
                return work(&Reading::new(&handle.begin_read()?));
            }
            let view = match self.view.get() {
                Some(view) => view,
                None => {
                    let begun = handle.begin_read()?;
                    self.view.get_or_init(|| begun)
                }
            };
            work(&Reading::new(view))
        }))
    }

    /// Writes in one transaction.
    pub(crate) fn write(
        &mut self,
        during: &'static str,
        work: impl FnOnce(&Handle, Notebook) -> Result<Notebook, Trouble>,
    ) -> Result<(), StoreError> {
        self.let_go_of_view();
        let handle = self.usable()?;
        let notebook = self
            .note(handle::guard(&self.layout.notebook(), during, || work(handle, self.notebook)))?;
        self.notebook = notebook;
        Ok(())
    }

    fn usable(&self) -> Result<&Handle, StoreError> {
        if self.failed.load(Ordering::Relaxed) {
            return Err(StoreError::Closed);
        }
        self.handle.as_ref().ok_or(StoreError::Closed)
    }

    fn note<T>(&self, answer: Result<T, StoreError>) -> Result<T, StoreError> {
        if let Err(error) = &answer {
            if error.closes() {
                self.failed.store(true, Ordering::Relaxed);
            }
            if matches!(error, StoreError::DamagedDocument { .. } | StoreError::DamagedValue { .. })
            {
                self.damaged.store(true, Ordering::Relaxed);
            }
        }
        answer
    }
}

impl Drop for Store {
    fn drop(&mut self) {
        // Whoever wants to know calls `close`; every commit is safe already.
        let _ = self.shut();
    }
}
