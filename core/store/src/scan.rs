//! Reading rows from a damaged file page by page, without its trees.
//!
//! Every row carries a checksum that covers its table and key, so a row found lying anywhere in the
//! file is known for what it is. Rows that were replaced or deleted may lie about as well; which
//! ones count is decided by what a document's own row says of its changes and saved state.
//!
//! # Source
//! The layout of a leaf page is that of redb's file format 3, `docs/design.md` of its source:
//! type byte 1, a byte of padding, the number of pairs in two bytes, the ends of the keys and the
//! ends of the values in four bytes each, counted from the start of the page, then keys and values.

use std::{
    collections::{BTreeMap, BTreeSet},
    fs::File,
    io::{self, Read as _, Seek as _},
    path::Path,
};

use crate::{
    DocumentName, frame,
    table::{
        self, DOCUMENT, DocumentRow, LOOSE, LOOSE_KEY_LEN, META, NOTEBOOK_KEY, Notebook, SNAPSHOT,
        TAIL, Table,
    },
};

/// Smallest page of the database, and the distance of possible page starts.
const PAGE: usize = 4096;
const LEAF: u8 = 1;

/// What was found of one document; several versions of its row and saved state may lie about.
#[derive(Debug, Clone, Default)]
pub(crate) struct Found {
    /// Versions of its row by the commit that wrote them.
    pub(crate) rows: BTreeMap<u64, DocumentRow>,
    /// Saved states, stamped, by the commit that wrote them.
    pub(crate) snapshots: BTreeMap<u64, Vec<u8>>,
    /// Stamped changes by key.
    pub(crate) tail: BTreeMap<Vec<u8>, Vec<u8>>,
    /// Loose changes.
    pub(crate) loose: BTreeSet<Vec<u8>>,
}

/// What was found in a file.
#[derive(Debug, Default)]
pub(crate) struct Scan {
    pub(crate) documents: BTreeMap<DocumentName, Found>,
    /// The newest version of the notebook's own row.
    pub(crate) notebook: Option<Notebook>,
}

/// Everything of documents that can be read from a file.
pub(crate) fn scan(path: &Path) -> io::Result<Scan> {
    let bytes = read_around_faults(path)?;
    let mut found = Scan::default();
    for start in (0..bytes.len()).step_by(PAGE) {
        each_pair(&bytes[start..], |key, stored| {
            if key == NOTEBOOK_KEY {
                let row = frame::open(META.name, key, stored).ok().and_then(Notebook::decode);
                if row.is_some_and(|row| found.notebook.is_none_or(|n| n.sequence < row.sequence)) {
                    found.notebook = row;
                }
            } else if let Some((name, row)) = recognise(key, stored) {
                found.documents.entry(name).or_default().take(row);
            }
        });
    }
    Ok(found)
}

/// One row and what it is.
enum Recognised {
    Row(DocumentRow),
    Snapshot(u64, Vec<u8>),
    Change(Vec<u8>, Vec<u8>),
    Loose(Vec<u8>),
}

impl Found {
    fn take(&mut self, row: Recognised) {
        match row {
            Recognised::Row(row) => {
                self.rows.insert(row.changed, row);
            }
            Recognised::Snapshot(at, stamped) => {
                self.snapshots.insert(at, stamped);
            }
            Recognised::Change(key, stamped) => {
                self.tail.insert(key, stamped);
            }
            Recognised::Loose(change) => {
                self.loose.insert(change);
            }
        }
    }
}

fn recognise(key: &[u8], stored: &[u8]) -> Option<(DocumentName, Recognised)> {
    let name = DocumentName::from_key(key)?;
    let open = |table: Table| frame::open(table.name, key, stored).ok();
    let row = if key.len() == DocumentName::LEN {
        if let Some(row) = open(DOCUMENT) {
            Recognised::Row(DocumentRow::decode(row)?)
        } else {
            let stamped = open(SNAPSHOT)?;
            Recognised::Snapshot(table::split_stamped(stamped)?.0, stamped.to_vec())
        }
    } else if table::is_tail_key(key) {
        Recognised::Change(key.to_vec(), open(TAIL)?.to_vec())
    } else if key.len() == LOOSE_KEY_LEN {
        Recognised::Loose(open(LOOSE)?.to_vec())
    } else {
        return None;
    };
    Some((name, row))
}

/// Goes through the pairs of what may be a leaf page at the start of `page`.
///
/// Nothing read here is trusted: what is no leaf page gives pairs that no checksum fits, or none.
fn each_pair(page: &[u8], mut take: impl FnMut(&[u8], &[u8])) {
    let number = |place: usize| -> Option<usize> {
        let bytes = page.get(place..)?.first_chunk()?;
        usize::try_from(u32::from_le_bytes(*bytes)).ok()
    };
    let [LEAF, _, low, high, ..] = *page else { return };
    let pairs = usize::from(u16::from_le_bytes([low, high]));
    let ends = 4;
    let keys = ends + 8 * pairs;
    for pair in 0..pairs {
        let key_end = |n: usize| number(ends + 4 * n);
        let value_end = |n: usize| number(ends + 4 * (pairs + n));
        let before = |n: usize, end: &dyn Fn(usize) -> Option<usize>, first| match n {
            0 => first,
            n => end(n - 1),
        };
        let bounds = || {
            let key = before(pair, &key_end, Some(keys))?..key_end(pair)?;
            let value = before(pair, &value_end, key_end(pairs - 1))?..value_end(pair)?;
            Some((page.get(key)?, page.get(value)?))
        };
        // One pair out of place says nothing about the next.
        if let Some((key, value)) = bounds() {
            take(key, value);
        }
    }
}

/// Reads a file whole, with zeros where the disk cannot.
fn read_around_faults(path: &Path) -> io::Result<Vec<u8>> {
    let mut file = File::open(path)?;
    let length = usize::try_from(file.metadata()?.len()).map_err(io::Error::other)?;
    let mut bytes = vec![0; length];
    for (index, piece) in bytes.chunks_mut(16 * PAGE).enumerate() {
        file.seek(io::SeekFrom::Start((index * 16 * PAGE) as u64))?;
        if file.read_exact(piece).is_err() {
            piece.fill(0);
        }
    }
    Ok(bytes)
}
