//! What is to be written in one go.

use std::collections::BTreeMap;

use crate::{BlobHash, Change, DocumentName, PlacedPart, table, table::BlobRow};

/// Names one list of index rows; numbered by the caller.
///
/// Rows of the index are worked out from documents and may be thrown away at any time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct IndexTable(pub u8);

/// Names one list of values that belong to this device and are never synced; numbered by the caller.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LocalTable(pub u8);

/// One row of a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// Its key within the list.
    pub key: Vec<u8>,
    /// Its value.
    pub value: Vec<u8>,
}

/// Everything one user action writes: all of it is kept, or nothing.
#[derive(Debug, Clone, Default)]
pub struct Batch {
    pub(crate) documents: BTreeMap<DocumentName, DocumentWrite>,
    pub(crate) index: BTreeMap<Vec<u8>, Put>,
    pub(crate) local: BTreeMap<Vec<u8>, Put>,
    pub(crate) index_stamp: Option<Vec<u8>>,
    pub(crate) files: Vec<(BlobHash, BlobRow)>,
}

/// What happens to one key.
#[derive(Debug, Clone)]
pub(crate) enum Put {
    Value(Vec<u8>),
    Nothing,
}

/// What happens to one document.
#[derive(Debug, Clone, Default)]
pub(crate) struct DocumentWrite {
    pub(crate) changes: Vec<Change>,
    pub(crate) snapshot: Option<Vec<u8>>,
    pub(crate) heads: Vec<u8>,
}

impl Batch {
    /// Nothing yet.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds changes to a document; `heads` describes its state after them.
    ///
    /// A document begins to exist with its first write.
    /// `heads` must not be empty: a document without them is one that was restored after damage and
    /// has not been written since.
    pub fn change(&mut self, document: DocumentName, changes: Vec<Change>, heads: Vec<u8>) {
        let write = self.documents.entry(document).or_default();
        write.changes.extend(changes);
        write.heads = heads;
    }

    /// Saves a document's whole state, which then stands for all its changes so far, those of this
    /// batch and any loose ones included.
    pub fn snapshot(&mut self, document: DocumentName, bytes: Vec<u8>, heads: Vec<u8>) {
        let write = self.documents.entry(document).or_default();
        write.snapshot = Some(bytes);
        write.heads = heads;
    }

    /// Writes a row of the index.
    pub fn put_index(&mut self, table: IndexTable, key: &[u8], value: Vec<u8>) {
        self.index.insert(prefixed(table.0, key), Put::Value(value));
    }

    /// The value that this batch writes to a row of the index; none when it writes none.
    #[must_use]
    pub fn index_row(&self, table: IndexTable, key: &[u8]) -> Option<&[u8]> {
        match self.index.get(&prefixed(table.0, key))? {
            Put::Value(value) => Some(value),
            Put::Nothing => None,
        }
    }

    /// Takes a row out of the index; a missing one is no error.
    pub fn delete_index(&mut self, table: IndexTable, key: &[u8]) {
        self.index.insert(prefixed(table.0, key), Put::Nothing);
    }

    /// Says what the index is made by, see [`crate::Store::index_stamp`].
    pub fn stamp_index(&mut self, stamp: Vec<u8>) {
        self.index_stamp = Some(stamp);
    }

    /// Writes a value of this device.
    pub fn put_local(&mut self, table: LocalTable, key: &[u8], value: Vec<u8>) {
        self.local.insert(prefixed(table.0, key), Put::Value(value));
    }

    /// Takes out a value of this device; a missing one is no error.
    pub fn delete_local(&mut self, table: LocalTable, key: &[u8]) {
        self.local.insert(prefixed(table.0, key), Put::Nothing);
    }

    /// Records a file that arrived and has its name.
    pub fn file(&mut self, placed: &PlacedPart) {
        self.files.push(placed.row());
    }

    /// Whether there is nothing to write.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.documents.is_empty()
            && self.index.is_empty()
            && self.local.is_empty()
            && self.index_stamp.is_none()
            && self.files.is_empty()
    }
}

pub(crate) fn prefixed(list: u8, key: &[u8]) -> Vec<u8> {
    let mut prefixed = Vec::with_capacity(1 + key.len());
    prefixed.push(list);
    prefixed.extend_from_slice(key);
    prefixed
}

/// Which rows of a list are wanted, and how many.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Span {
    /// From this key on.
    from: Vec<u8>,
    /// Up to, and without, this key; to the end when there is none.
    until: Option<Vec<u8>>,
    backwards: bool,
    limit: usize,
}

impl Span {
    /// Every row, smallest key first.
    #[must_use]
    pub fn all() -> Self {
        Self { from: Vec::new(), until: None, backwards: false, limit: usize::MAX }
    }

    /// Rows whose key begins so.
    #[must_use]
    pub fn beginning(prefix: &[u8]) -> Self {
        Self { from: prefix.to_vec(), until: table::after_prefix(prefix), ..Self::all() }
    }

    /// Rows from a key on.
    #[must_use]
    pub fn from(mut self, key: &[u8]) -> Self {
        self.from = key.to_vec();
        self
    }

    /// Rows before a key.
    #[must_use]
    pub fn until(mut self, key: &[u8]) -> Self {
        self.until = Some(key.to_vec());
        self
    }

    /// Largest key first.
    #[must_use]
    pub fn backwards(mut self) -> Self {
        self.backwards = true;
        self
    }

    /// No more rows than these.
    #[must_use]
    pub fn at_most(mut self, rows: usize) -> Self {
        self.limit = rows;
        self
    }

    /// The keys of the stored table that hold these rows of one list.
    pub(crate) fn keys(&self, list: u8) -> (Vec<u8>, Option<Vec<u8>>) {
        let until = match &self.until {
            Some(until) => Some(prefixed(list, until)),
            None => table::after_prefix(&[list]),
        };
        (prefixed(list, &self.from), until)
    }

    pub(crate) const fn is_backwards(&self) -> bool {
        self.backwards
    }

    pub(crate) const fn limit(&self) -> usize {
        self.limit
    }
}
