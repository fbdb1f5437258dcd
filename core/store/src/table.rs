//! The tables of `notebook.redb`, their keys and their fixed rows.
//!
//! Keys and values are plain bytes; every value is sealed by [`crate::frame`].

use redb::TableDefinition;

use crate::{ActorBytes, DocumentName};

/// Bytes to bytes, the one shape every table has.
pub(crate) type Bytes = TableDefinition<'static, &'static [u8], &'static [u8]>;

/// One table: its name goes into each checksum.
#[derive(Clone, Copy)]
pub(crate) struct Table {
    pub(crate) name: &'static str,
    pub(crate) definition: Bytes,
}

macro_rules! tables {
    ($($(#[$doc:meta])* $constant:ident = $name:literal;)*) => {
        $($(#[$doc])* pub(crate) const $constant: Table =
            Table { name: $name, definition: TableDefinition::new($name) };)*
        /// Every table, in the order in which they are checked.
        pub(crate) const ALL: &[Table] = &[$($constant),*];
    };
}

tables! {
    /// One row for the file as a whole, see [`Notebook`], and the format number.
    META = "meta";
    /// Document -> [`DocumentRow`].
    DOCUMENT = "document";
    /// (document, actor, sequence) -> one change, [`stamped`].
    TAIL = "tail";
    /// Document -> its saved state, [`stamped`].
    SNAPSHOT = "snapshot";
    /// (document, number) -> a change that outlived damage but not its predecessors.
    LOOSE = "loose";
    /// (store sequence, document) -> nothing; one row a document.
    CHANGED = "changed";
    /// (list, key) -> a row worked out from documents.
    INDEX = "index";
    /// (list, key) -> a value of this device.
    LOCAL = "local";
    /// Hash -> [`BlobRow`].
    BLOB = "blob";
}

/// Key of the format number in [`META`].
pub(crate) const FORMAT_KEY: &[u8] = b"format";
/// Key of [`Notebook`] in [`META`].
pub(crate) const NOTEBOOK_KEY: &[u8] = b"notebook";
/// Key of the index's stamp in [`META`].
pub(crate) const INDEX_STAMP_KEY: &[u8] = b"index";

/// The newest format this version reads, and the one it writes.
pub(crate) const FORMAT: u32 = 1;

/// What the file says of itself as a whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Notebook {
    /// Ties the file to one device's folder.
    pub(crate) nonce: [u8; 16],
    /// Commits so far.
    pub(crate) sequence: u64,
    /// Bytes of all other rows, keys included.
    pub(crate) content: u64,
    /// How many documents there are.
    pub(crate) documents: u64,
    /// The names of all documents, summed by exclusive or, so that a lost row is seen.
    pub(crate) names: [u8; 16],
}

impl Notebook {
    pub(crate) fn encode(&self) -> Vec<u8> {
        let mut out = Vec::with_capacity(56);
        out.extend_from_slice(&self.nonce);
        out.extend_from_slice(&self.sequence.to_le_bytes());
        out.extend_from_slice(&self.content.to_le_bytes());
        out.extend_from_slice(&self.documents.to_le_bytes());
        out.extend_from_slice(&self.names);
        out
    }

    pub(crate) fn decode(bytes: &[u8]) -> Option<Self> {
        let mut from = Fields(bytes);
        Some(Self {
            nonce: from.take()?,
            sequence: u64::from_le_bytes(from.take()?),
            content: u64::from_le_bytes(from.take()?),
            documents: u64::from_le_bytes(from.take()?),
            names: from.take()?,
        })
    }

    pub(crate) fn count(&mut self, name: DocumentName) {
        self.documents += 1;
        fold(&mut self.names, &name.to_key());
    }
}

/// What is known of a document without reading it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct DocumentRow {
    /// Store sequence of its last change.
    pub(crate) changed: u64,
    /// How many changes are in its tail.
    pub(crate) tail_count: u64,
    /// Their bytes.
    pub(crate) tail_bytes: u64,
    /// Their digests, summed by exclusive or, so that a lost one is seen.
    pub(crate) tail_sum: [u8; 16],
    /// Bytes of the saved state; meaningless without one.
    pub(crate) snapshot_bytes: u64,
    /// Store sequence at which the state was saved; 0 when there is none.
    pub(crate) snapshot_at: u64,
    /// Digest of the saved state.
    pub(crate) snapshot_check: [u8; 16],
    /// How many loose changes it has.
    pub(crate) loose_count: u32,
    /// What the caller says about the document's newest state.
    pub(crate) heads: Vec<u8>,
}

impl DocumentRow {
    pub(crate) fn encode(&self) -> Vec<u8> {
        let mut out = Vec::with_capacity(76 + self.heads.len());
        out.extend_from_slice(&self.changed.to_le_bytes());
        out.extend_from_slice(&self.tail_count.to_le_bytes());
        out.extend_from_slice(&self.tail_bytes.to_le_bytes());
        out.extend_from_slice(&self.tail_sum);
        out.extend_from_slice(&self.snapshot_bytes.to_le_bytes());
        out.extend_from_slice(&self.snapshot_at.to_le_bytes());
        out.extend_from_slice(&self.snapshot_check);
        out.extend_from_slice(&self.loose_count.to_le_bytes());
        out.extend_from_slice(&self.heads);
        out
    }

    pub(crate) fn decode(bytes: &[u8]) -> Option<Self> {
        let mut from = Fields(bytes);
        Some(Self {
            changed: u64::from_le_bytes(from.take()?),
            tail_count: u64::from_le_bytes(from.take()?),
            tail_bytes: u64::from_le_bytes(from.take()?),
            tail_sum: from.take()?,
            snapshot_bytes: u64::from_le_bytes(from.take()?),
            snapshot_at: u64::from_le_bytes(from.take()?),
            snapshot_check: from.take()?,
            loose_count: u32::from_le_bytes(from.take()?),
            heads: from.0.to_vec(),
        })
    }

    pub(crate) fn count(&mut self, key: &[u8], stamped: &[u8]) {
        self.tail_count += 1;
        self.tail_bytes += stamped.len() as u64;
        fold_digest(&mut self.tail_sum, &change_digest(key, stamped));
    }

    pub(crate) const fn has_snapshot(&self) -> bool {
        self.snapshot_at > 0
    }
}

/// What is known of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct BlobRow {
    pub(crate) size: u64,
}

impl BlobRow {
    pub(crate) fn encode(self) -> Vec<u8> {
        self.size.to_le_bytes().to_vec()
    }

    pub(crate) fn decode(bytes: &[u8]) -> Option<Self> {
        Some(Self { size: u64::from_le_bytes(Fields(bytes).take()?) })
    }
}

/// Key of one change in [`TAIL`]: an actor's changes lie together, in order.
pub(crate) fn tail_key(document: DocumentName, actor: &ActorBytes, sequence: u64) -> Vec<u8> {
    let actor = actor.as_bytes();
    let mut key = document.to_key().to_vec();
    key.push(u8::try_from(actor.len()).expect("an actor's name has at most 255 bytes"));
    key.extend_from_slice(actor);
    key.extend_from_slice(&sequence.to_be_bytes());
    key
}

/// Whether a key has the shape that [`tail_key`] makes.
pub(crate) fn is_tail_key(key: &[u8]) -> bool {
    let actor = key.get(DocumentName::LEN).map(|length| usize::from(*length));
    actor.is_some_and(|actor| key.len() == DocumentName::LEN + 1 + actor + 8)
}

/// Key of a row in [`CHANGED`].
pub(crate) fn changed_key(sequence: u64, document: DocumentName) -> Vec<u8> {
    let mut key = sequence.to_be_bytes().to_vec();
    key.extend_from_slice(&document.to_key());
    key
}

/// Length of a key in [`LOOSE`].
pub(crate) const LOOSE_KEY_LEN: usize = DocumentName::LEN + 4;

/// Key of a row in [`LOOSE`].
pub(crate) fn loose_key(document: DocumentName, number: u32) -> Vec<u8> {
    let mut key = document.to_key().to_vec();
    key.extend_from_slice(&number.to_be_bytes());
    key
}

/// Bytes with the store sequence at which they were written in front.
///
/// It tells, without the rest of the database, which changes a saved state stands for.
pub(crate) fn stamped(at: u64, bytes: &[u8]) -> Vec<u8> {
    let mut out = Vec::with_capacity(8 + bytes.len());
    out.extend_from_slice(&at.to_le_bytes());
    out.extend_from_slice(bytes);
    out
}

/// The parts of what [`stamped`] made.
pub(crate) fn split_stamped(stamped: &[u8]) -> Option<(u64, &[u8])> {
    let (at, bytes) = stamped.split_first_chunk()?;
    Some((u64::from_le_bytes(*at), bytes))
}

/// Digest of a change in its place, for [`DocumentRow::tail_sum`].
pub(crate) fn change_digest(key: &[u8], change: &[u8]) -> blake3::Hash {
    crate::frame::digest(TAIL.name, key, change)
}

/// Digest of a saved state in its place, for [`DocumentRow::snapshot_check`].
pub(crate) fn snapshot_digest(key: &[u8], snapshot: &[u8]) -> [u8; 16] {
    let mut check = [0; 16];
    fold_digest(&mut check, &crate::frame::digest(SNAPSHOT.name, key, snapshot));
    check
}

fn fold(sum: &mut [u8; 16], bytes: &[u8]) {
    fold_digest(sum, &blake3::hash(bytes));
}

/// Adds a digest to a sum that does not depend on order.
pub(crate) fn fold_digest(sum: &mut [u8; 16], digest: &blake3::Hash) {
    for (place, byte) in sum.iter_mut().zip(digest.as_bytes()) {
        *place ^= byte;
    }
}

/// The smallest key after all that begin with `prefix`; none when there is no larger key.
pub(crate) fn after_prefix(prefix: &[u8]) -> Option<Vec<u8>> {
    let last = prefix.iter().rposition(|byte| *byte != u8::MAX)?;
    let mut key = prefix[..=last].to_vec();
    key[last] += 1;
    Some(key)
}

/// Fixed fields, taken one by one from the front.
pub(crate) struct Fields<'a>(pub(crate) &'a [u8]);

impl<'a> Fields<'a> {
    pub(crate) fn take<const N: usize>(&mut self) -> Option<[u8; N]> {
        let (field, rest) = self.0.split_first_chunk()?;
        self.0 = rest;
        Some(*field)
    }

    pub(crate) fn take_slice(&mut self, length: usize) -> Option<&'a [u8]> {
        let (field, rest) = self.0.split_at_checked(length)?;
        self.0 = rest;
        Some(field)
    }
}

#[cfg(test)]
mod tests {
    use swardbook_units::Id;

    use super::*;

    #[test]
    fn rows_round_trip() {
        let mut notebook =
            Notebook { nonce: [7; 16], sequence: 9, content: 10, ..Notebook::default() };
        notebook.count(DocumentName { kind: 1, id: Id::from_random([3; 10]) });
        assert_eq!(Notebook::decode(&notebook.encode()), Some(notebook), "the notebook's row");
        let mut row =
            DocumentRow { changed: 1, heads: b"heads".to_vec(), ..DocumentRow::default() };
        row.count(b"key", b"change");
        assert_eq!(DocumentRow::decode(&row.encode()), Some(row), "a document's row");
    }

    #[test]
    fn an_actors_changes_lie_together_in_order() {
        let document = DocumentName { kind: 1, id: Id::from_random([3; 10]) };
        let key =
            |actor: &[u8], sequence| tail_key(document, &ActorBytes::new(actor).unwrap(), sequence);
        let keys = [key(b"a", 1), key(b"a", 2), key(b"a", 256), key(b"b", 1), key(b"ab", 1)];
        assert!(keys.is_sorted(), "by actor, then by sequence");
        assert!(keys.iter().all(|key| is_tail_key(key)), "known by their shape");
        assert!(!is_tail_key(&loose_key(document, 1)), "and others are not");
    }

    #[test]
    fn the_end_of_a_prefix() {
        assert_eq!(after_prefix(b"ab"), Some(b"ac".to_vec()), "next letter");
        assert_eq!(after_prefix(&[1, 255, 255]), Some(vec![2]), "carried");
        assert_eq!(after_prefix(&[255]), None, "nothing is larger");
    }
}
