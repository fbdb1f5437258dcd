//! What a device holds of a document, said shortly enough to be sent.

use std::collections::{BTreeMap, BTreeSet};

use automerge::{ChangeHash, legacy};
use swardbook_units::Id;

use super::{
    bytes::{Malformed, Reader, Writer},
    pack::{self, Unpackable, Unpacked},
};
use crate::{Clock, ClockError, Committed, Document, DocumentKind, genesis::founding_changes};

/// A document's name as devices tell it to each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct DocumentId {
    /// Its kind, as the notebook numbers them.
    pub kind: u8,
    /// Which one.
    pub id: Id,
}

/// Length of a [`DocumentId`] in a frame.
pub(super) const ID_LEN: usize = 11;

impl DocumentId {
    /// Smaller than, or equal to, every other.
    pub(super) const FIRST: Self = Self { kind: 0, id: Id::from_random([0; 10]) };

    pub(super) fn to_bytes(self) -> [u8; ID_LEN] {
        let mut bytes = [self.kind; ID_LEN];
        bytes[1..].copy_from_slice(self.id.as_bytes());
        bytes
    }

    pub(super) fn from_bytes([kind, id @ ..]: [u8; ID_LEN]) -> Self {
        Self { kind, id: Id::from_random(id) }
    }

    pub(super) fn write(self, out: &mut Writer) {
        out.fixed(&self.to_bytes());
    }

    pub(super) fn read(from: &mut Reader<'_>) -> Result<Self, Malformed> {
        Ok(Self::from_bytes(from.fixed()?))
    }
}

/// A digest of a document's state: equal on two devices exactly when they hold the same changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Digest(pub [u8; 16]);

impl Digest {
    /// Of a document's heads, sorted and one after the other.
    #[must_use]
    pub fn of_heads(heads: &[u8]) -> Self {
        Self::of(heads)
    }

    pub(super) fn of(bytes: &[u8]) -> Self {
        let hash = blake3::hash(bytes);
        Self(*hash.as_bytes().first_chunk().expect("a hash has 32 bytes"))
    }
}

/// Each writer's last number, and the beginning of that change's hash.
///
/// A writer's changes are an unbroken chain, so this says exactly what is held; the hash shows when
/// one writer wrote in two places. One that this much of it misses is seen when changes are applied.
pub type Held = BTreeMap<Vec<u8>, Last>;

/// A writer's last number, and the beginning of that change's hash.
pub type Last = (u64, [u8; 4]);

/// What is held by whoever gave these changes.
#[must_use]
pub fn held_by(changes: &[Committed]) -> Held {
    let mut held = Held::new();
    for change in changes {
        let hash = *change.hash.first_chunk().expect("a hash has 32 bytes");
        let last = held.entry(change.actor.clone()).or_insert((change.sequence, hash));
        if change.sequence > last.0 {
            *last = (change.sequence, hash);
        }
    }
    held
}

/// Whether everything in `theirs` is in `mine`.
#[must_use]
pub fn covers(mine: &Held, theirs: &Held) -> bool {
    theirs.iter().all(|(actor, (last, _))| mine.get(actor).is_some_and(|(held, _)| held >= last))
}

/// Adds what `more` says to what is known.
pub(super) fn merge(known: &mut Held, more: &Held) {
    for (actor, last) in more {
        let entry = known.entry(actor.clone()).or_insert(*last);
        if last.0 > entry.0 {
            *entry = *last;
        }
    }
}

pub(super) fn write_held(out: &mut Writer, held: &Held) {
    out.count(held.len());
    for (actor, (last, hash)) in held {
        out.string(actor);
        out.number(*last);
        out.fixed(hash);
    }
}

pub(super) fn read_held(from: &mut Reader<'_>) -> Result<Held, Malformed> {
    let mut held = Held::new();
    for _ in 0..from.count(6)? {
        let actor = from.string()?.to_vec();
        held.insert(actor, (from.number()?, from.fixed()?));
    }
    Ok(held)
}

/// What is held as bytes, to be remembered.
#[must_use]
pub fn encode_held(held: &Held) -> Vec<u8> {
    let mut out = Writer::default();
    write_held(&mut out, held);
    out.0
}

/// Reads what [`encode_held`] wrote.
///
/// # Errors
/// [`Malformed`] for anything else.
pub fn decode_held(bytes: &[u8]) -> Result<Held, Malformed> {
    let mut from = Reader(bytes);
    read_held(&mut from)
}

/// A change, or a whole document, on its way to another copy.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Piece {
    /// As the document library writes it.
    pub bytes: Vec<u8>,
    /// What the other copy holds with it.
    pub gives: Held,
}

/// Why a run of changes was not taken.
#[derive(Debug, thiserror::Error)]
pub enum TakeError {
    /// The bytes are no run of changes.
    #[error(transparent)]
    Malformed(#[from] Malformed),
    /// It cannot be told which changes it follows.
    #[error("the changes follow others that are not here")]
    Unclear,
    /// The changes are refused.
    #[error(transparent)]
    Refused(#[from] ClockError),
}

impl From<Unpackable> for TakeError {
    fn from(error: Unpackable) -> Self {
        match error {
            Unpackable::Malformed(error) => Self::Malformed(error),
            Unpackable::Unclear => Self::Unclear,
        }
    }
}

/// A document with more bytes than this is sent change by change, so that it can be interrupted.
const WHOLE: usize = 1 << 20;

impl Document {
    /// What this copy holds, and the digest of its state.
    pub fn held(&mut self) -> (Held, Digest) {
        let held = shorten(&self.clock());
        (held, Digest::of_heads(&self.heads().concat()))
    }

    /// The changes that a copy holding `theirs` lacks, in an order in which they can be applied;
    /// the whole document as one piece for a copy that holds nothing.
    pub fn pieces_for(&mut self, theirs: &Held) -> Vec<Piece> {
        if theirs.is_empty() {
            let bytes = self.save();
            if bytes.len() <= WHOLE {
                return vec![Piece { bytes, gives: self.held().0 }];
            }
        }
        self.beyond(|actor| theirs.get(actor).map_or(0, |last| last.0))
            .into_iter()
            .map(|change| Piece {
                gives: held_by(std::slice::from_ref(&change)),
                bytes: change.bytes,
            })
            .collect()
    }

    /// Takes a run of changes as [`super::Incoming`] brings it, and says which of them were new.
    ///
    /// # Errors
    /// [`TakeError`]; the document is unchanged then.
    pub fn take_in(&mut self, run: &[u8]) -> Result<Vec<Committed>, TakeError> {
        let before = self.doc.get_heads();
        let mut all: Vec<[u8; 32]> = Vec::new();
        let find = |name: &[u8]| {
            // Nearly always what was written last.
            if let Some(head) = before.iter().find(|hash| hash.0.starts_with(name)) {
                return Some(head.0);
            }
            if all.is_empty() {
                let metas = self.doc.get_changes_meta(&[]);
                all = metas.into_iter().map(|meta| meta.hash.0).collect();
            }
            all.iter().find(|hash| hash.starts_with(name)).copied()
        };
        let arrived = pack::unpack(run, find)?;
        self.receive(&arrived.bytes)?;
        Ok(self.since(&before, &arrived))
    }

    /// Opens a document as it is stored and takes a run of changes, all in one go, which takes the
    /// document library hardly longer than opening it; says which of the changes were new.
    ///
    /// # Shape  `heads`: of the stored document, 32 bytes each, one after the other.
    ///
    /// # Errors
    /// [`TakeError`] when it does not go in one; [`Self::load`] and [`Self::take_in`] then tell why,
    /// or go where this does not.
    pub fn load_with(
        kind: DocumentKind,
        actor: &[u8],
        snapshot: Option<&[u8]>,
        tail: &[Vec<u8>],
        heads: &[u8],
        run: &[u8],
    ) -> Result<(Self, Vec<Committed>), TakeError> {
        let (heads, rest) = heads.as_chunks::<32>();
        if heads.is_empty() || !rest.is_empty() {
            return Err(TakeError::Unclear);
        }
        // What is written apart follows a last change of either side, or one that these follow.
        let mut of_tail: Option<Vec<[u8; 32]>> = None;
        let arrived = pack::unpack(run, |name| {
            let is_named = |hash: &&[u8; 32]| hash.starts_with(name);
            heads.iter().find(is_named).copied().or_else(|| {
                let read = || tail.iter().filter_map(|change| pack::head_of(change));
                let all = || read().flat_map(|head| head.follows.into_iter().chain([head.hash]));
                of_tail.get_or_insert_with(|| all().collect()).iter().find(is_named).copied()
            })
        })?;
        let changes = tail.iter().map(Vec::as_slice).chain([arrived.bytes.as_slice()]);
        let mut document = Self::load(kind, actor, snapshot, changes).map_err(ClockError::Load)?;
        let before: Vec<ChangeHash> = heads.iter().copied().map(ChangeHash).collect();
        if before.iter().any(|hash| document.doc.get_change_meta_by_hash(hash).is_none()) {
            return Err(TakeError::Unclear);
        }
        let new = document.since(&before, &arrived);
        Ok((document, new))
    }

    /// The changes that came after these heads, but for those that every document is opened with.
    fn since(&mut self, heads: &[ChangeHash], arrived: &Unpacked) -> Vec<Committed> {
        let founding = &founding_changes(self.kind()).hashes;
        let metas: Vec<_> = self
            .doc
            .get_changes_meta(heads)
            .into_iter()
            .filter(|meta| !founding.contains(&meta.hash))
            .map(|meta| (meta.actor.to_bytes().to_vec(), meta.seq, meta.hash))
            .collect();
        let committed = |(actor, sequence, hash): (Vec<u8>, u64, ChangeHash)| {
            // Asking the document for a change it holds has it written anew.
            let bytes = match arrived.change(&hash.0) {
                Some(bytes) => bytes.to_vec(),
                None => self.doc.get_change_by_hash(&hash)?.raw_bytes().to_vec(),
            };
            Some(Committed { actor, sequence, hash: hash.0, bytes })
        };
        metas.into_iter().filter_map(committed).collect()
    }

    /// Whether one writer wrote two changes of one number, here and in a copy that holds `theirs`.
    ///
    /// Where the other copy's chain is longer, only the other can tell.
    pub fn is_forked(&mut self, theirs: &Held) -> bool {
        self.doc.get_changes_meta(&[]).into_iter().any(|meta| {
            theirs
                .get(meta.actor.to_bytes())
                .is_some_and(|(last, hash)| *last == meta.seq && !meta.hash.0.starts_with(hash))
        })
    }

    /// The changes that a copy with `clock` lacks, one by one.
    pub fn changes_beyond(&mut self, clock: &Clock) -> Vec<Committed> {
        self.beyond(|actor| clock.get(actor).map_or(0, |last| last.0))
    }

    /// The entries that changes beyond `theirs` wrote to: what a copy that holds `theirs` has not
    /// seen as it is here.
    pub fn entries_beyond(&mut self, theirs: &Held) -> BTreeSet<String> {
        let metas = self.doc.get_changes_meta(&[]);
        let last = |actor: &[u8]| theirs.get(actor).map_or(0, |last| last.0);
        let new: Vec<_> = metas.iter().filter(|m| m.seq > last(m.actor.to_bytes())).collect();
        if new.is_empty() {
            return BTreeSet::new();
        }
        // Every founding change is in every copy, so a copy that holds nothing lacks all entries.
        if new.len() == metas.len() {
            return self.entries().into_iter().map(|entry| entry.key).collect();
        }
        let new: Vec<_> = new.into_iter().map(|meta| meta.hash).collect();
        let mut written: BTreeSet<(u64, Vec<u8>)> = BTreeSet::new();
        for change in new.iter().filter_map(|hash| self.doc.get_change_by_hash(hash)) {
            for op in change.decode().operations {
                if let legacy::ObjectId::Id(object) = &op.obj {
                    written.insert((object.counter(), object.actor().to_bytes().to_vec()));
                }
            }
        }
        self.entries()
            .into_iter()
            .filter(|entry| written.contains(&(entry.order.counter, entry.order.actor.clone())))
            .map(|entry| entry.key)
            .collect()
    }

    fn beyond(&mut self, last: impl Fn(&[u8]) -> u64) -> Vec<Committed> {
        let metas = self.doc.get_changes_meta(&[]);
        let wanted: Vec<_> = metas
            .into_iter()
            .filter(|meta| meta.seq > last(meta.actor.to_bytes()))
            .map(|meta| meta.hash)
            .collect();
        wanted
            .into_iter()
            .filter_map(|hash| {
                let change = self.doc.get_change_by_hash(&hash)?;
                Some(Committed {
                    actor: change.actor_id().to_bytes().to_vec(),
                    sequence: change.seq(),
                    hash: hash.0,
                    bytes: change.raw_bytes().to_vec(),
                })
            })
            .collect()
    }
}

fn shorten(clock: &Clock) -> Held {
    clock
        .iter()
        .map(|(actor, (last, hash))| {
            (actor.clone(), (*last, *hash.first_chunk().expect("a hash has 32 bytes")))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Stamp, records::Observation};

    fn write(document: &mut Document, key: &str) -> Vec<u8> {
        document.put(key, &Observation::default()).unwrap();
        let note = Stamp { device: "d".into(), person: "T".into(), action: "a".into(), at: 1 };
        document.commit(&note).unwrap().bytes
    }

    /// What a copy that is stored as a state and the changes after it would do with a run, opened
    /// with it or first opened and then given it.
    fn both_ways(snapshot: &[u8], tail: &[Vec<u8>], run: &[u8]) -> [Option<(Document, Held)>; 2] {
        let load = || {
            let changes = tail.iter().map(Vec::as_slice);
            Document::load(DocumentKind::Zone, &[3; 16], Some(snapshot), changes).unwrap()
        };
        let heads = load().heads().concat();
        let (kind, actor) = (DocumentKind::Zone, [3; 16]);
        let together = Document::load_with(kind, &actor, Some(snapshot), tail, &heads, run).ok();
        let mut apart = load();
        let taken = apart.take_in(run).ok();
        [
            together.map(|(document, new)| (document, held_by(&new))),
            taken.map(|new| (apart, held_by(&new))),
        ]
    }

    #[test]
    fn opening_with_a_run_is_opening_and_then_taking_it() {
        let mut one = Document::new(DocumentKind::Zone, &[1; 16]);
        let mut other = Document::new(DocumentKind::Zone, &[2; 16]);
        let snapshot = {
            (0..4).for_each(|n| drop(write(&mut one, &format!("before-{n}"))));
            one.save()
        };
        other.receive(&snapshot).unwrap();
        let mut tail = Vec::new();
        let mut went = 0;
        for round in 0..12_u32 {
            tail.push(write(&mut one, &format!("one-{round}")));
            write(&mut other, &format!("other-{round}"));
            let theirs = one.held().0;
            let pieces = other.pieces_for(&theirs);
            let changes: Vec<Vec<u8>> = pieces.into_iter().map(|piece| piece.bytes).collect();
            for run in [pack::pack(&changes), pack::plain(&changes)] {
                let [together, apart] = both_ways(&snapshot, &tail, &run);
                let (mut apart, apart_new) = apart.expect("honest changes");
                // Where it cannot be told what a run follows, it is first opened.
                let Some((mut together, together_new)) = together else { continue };
                assert_eq!(together.heads(), apart.heads(), "round {round}");
                assert_eq!(together_new, apart_new, "round {round}: the same are new");
                assert_eq!(
                    together.entries(),
                    apart.entries(),
                    "round {round}: all that is written"
                );
                went += 1;
                let mut cut = run.clone();
                cut.truncate(run.len() - 5);
                let [together, apart] = both_ways(&snapshot, &tail, &cut);
                assert!(together.is_none(), "round {round}: a run that was cut does not go in one");
                let cut_short = apart.is_none_or(|(mut apart, _)| apart.heads() != other.heads());
                assert!(cut_short, "round {round}: nor is it taken for the whole");
            }
            if round % 3 == 2 {
                for change in changes {
                    one.receive(&change).unwrap();
                    tail.push(change);
                }
            }
        }
        assert!(went >= 20, "nearly every round goes in one, in both forms: {went}");
    }

    #[test]
    fn what_every_document_is_opened_with_is_not_new() {
        // As version 1 left it: the second founding change comes with opening it.
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("../../fixtures/journal/v1-zone.automerge");
        let snapshot = std::fs::read(path).unwrap();
        let mut other = Document::load(DocumentKind::Zone, &[2; 16], Some(&snapshot), []).unwrap();
        let change = write(&mut other, "a");
        for run in [pack::pack(std::slice::from_ref(&change)), pack::plain(&[change])] {
            let [together, apart] = both_ways(&snapshot, &[], &run).map(Option::unwrap);
            assert_eq!(together.1, apart.1, "the same are new");
            let writers: Vec<&[u8]> = apart.1.keys().map(Vec::as_slice).collect();
            assert_eq!(writers, [[2; 16]], "and only what was written");
        }
    }
}
