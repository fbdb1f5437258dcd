//! Changes without what the receiver can work out for itself.
//!
//! A change as the document library writes it begins with a mark, the beginning of its own hash,
//! and the whole hash, 32 bytes, of each change it follows. The receiver holds those changes, or
//! is given them just before, so a run of changes is sent with short names for them, and each is
//! put together again byte for byte.
//! A check over the hashes of all changes of the run shows that they are the ones that were packed.
//!
//! The layout of a change is that of the published binary format of Automerge, "chunk" and "change
//! chunk": mark, 4 bytes of the hash, the kind, the length, and then the hashes of what it follows,
//! the writer, and the rest.

use std::{collections::HashMap, ops::Range};

use sha2::{Digest as _, Sha256};

use super::bytes::{Malformed, Reader, Writer};

/// What every chunk begins with.
const MARK: [u8; 4] = [0x85, 0x6f, 0x4a, 0x83];
/// The kind of chunk that is one change, not compressed.
const CHANGE: u8 = 1;
/// Bytes of a hash that name a change among those of one document.
const NAME: usize = 5;
/// The most bytes that a run may grow to when it is put together.
const MOST: usize = 64 << 20;

/// The first byte of a run that is sent as it is.
const PLAIN: u8 = 0;
/// The first byte of a run in short form.
const PACKED: u8 = 1;

/// What a change follows: the one before it in the run.
const BEFORE_IT: u8 = 0;
/// What a change follows: one that the receiver looks up by its name.
const NAMED: u8 = 1;

/// The writer is that of the change before it in the run.
const SAME: u8 = 0;
/// The writer is said.
const OTHER: u8 = 1;

type Hash = [u8; 32];

/// Changes of one document as they are sent, in the shorter of the two forms.
pub(crate) fn pack(changes: &[Vec<u8>]) -> Vec<u8> {
    let plain_length: usize = changes.iter().map(Vec::len).sum();
    if let Some(packed) = shorten(changes)
        && packed.len() < plain_length
    {
        return packed;
    }
    plain(changes)
}

/// Changes of one document as they are.
pub(crate) fn plain(changes: &[Vec<u8>]) -> Vec<u8> {
    let mut out = vec![PLAIN];
    changes.iter().for_each(|change| out.extend_from_slice(change));
    out
}

/// A run put together again.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Unpacked {
    /// As the document library reads them, one after the other.
    pub(crate) bytes: Vec<u8>,
    /// Where each of them lies, by its hash; none of a run that was sent as it is.
    each: HashMap<Hash, Range<usize>>,
}

impl Unpacked {
    /// A change of the run, byte for byte; none when the run was sent as it is.
    pub(crate) fn change(&self, hash: &Hash) -> Option<&[u8]> {
        self.bytes.get(self.each.get(hash)?.clone())
    }
}

/// The changes of a run as the document library reads them.
///
/// `find` gives the hash of a change that is here, by its beginning.
///
/// # Errors
/// [`Unpackable`]
pub(crate) fn unpack(
    run: &[u8],
    find: impl FnMut(&[u8]) -> Option<Hash>,
) -> Result<Unpacked, Unpackable> {
    match run.split_first() {
        Some((&PLAIN, changes)) => Ok(Unpacked { bytes: changes.to_vec(), ..Unpacked::default() }),
        Some((&PACKED, rest)) => lengthen(rest, find),
        _ => Err(Malformed("changes in an unknown form").into()),
    }
}

/// Why a run could not be put together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub(crate) enum Unpackable {
    #[error(transparent)]
    Malformed(#[from] Malformed),
    /// It follows something that is not here, or that another change is named like.
    #[error("the changes follow others that are not here")]
    Unclear,
}

fn shorten(changes: &[Vec<u8>]) -> Option<Vec<u8>> {
    let mut out = Writer::default();
    out.fixed(&[PACKED]);
    let mut check = blake3::Hasher::new();
    let mut before: Option<Hash> = None;
    let mut writer: &[u8] = &[];
    out.count(changes.len());
    for change in changes {
        let body = body_of(change)?;
        let mut from = Reader(body);
        let follows = from.count(32).ok()?;
        out.count(follows);
        for _ in 0..follows {
            let hash: Hash = from.fixed().ok()?;
            if before == Some(hash) {
                out.fixed(&[BEFORE_IT]);
            } else {
                out.fixed(&[NAMED]);
                out.fixed(&hash[..NAME]);
            }
        }
        let actor = from.string().ok()?;
        if actor == writer {
            out.fixed(&[SAME]);
        } else {
            out.fixed(&[OTHER]);
            out.string(actor);
            writer = actor;
        }
        out.string(from.0);
        let hash = hash_of(body);
        check.update(&hash);
        before = Some(hash);
        // Whatever is written in another way than we would put it together goes as it is.
        if chunk(body, &hash) != *change {
            return None;
        }
    }
    out.fixed(&check.finalize().as_bytes()[..4]);
    Some(out.0)
}

fn lengthen(
    run: &[u8],
    mut find: impl FnMut(&[u8]) -> Option<Hash>,
) -> Result<Unpacked, Unpackable> {
    let mut from = Reader(run);
    let mut out = Unpacked::default();
    let mut check = blake3::Hasher::new();
    let mut before: Option<Hash> = None;
    let mut writer: &[u8] = &[];
    let mut run: Vec<Hash> = Vec::new();
    for _ in 0..from.count(3)? {
        let mut body = Writer::default();
        let follows = from.count(1)?;
        body.count(follows);
        for _ in 0..follows {
            let hash = match from.byte()? {
                BEFORE_IT => before,
                NAMED => {
                    let name = from.fixed::<NAME>()?;
                    let given = run.iter().rev().find(|hash| hash.starts_with(&name)).copied();
                    given.or_else(|| find(&name))
                }
                _ => return Err(Malformed("a change follows something unknown").into()),
            };
            body.fixed(&hash.ok_or(Unpackable::Unclear)?);
            if body.0.len() > MOST {
                return Err(Malformed("a change is too large").into());
            }
        }
        match from.byte()? {
            SAME => {}
            OTHER => writer = from.string()?,
            _ => return Err(Malformed("a writer in an unknown form").into()),
        }
        body.string(writer);
        body.fixed(from.string()?);
        let hash = hash_of(&body.0);
        check.update(&hash);
        let begins = out.bytes.len();
        out.bytes.extend_from_slice(&chunk(&body.0, &hash));
        out.each.insert(hash, begins..out.bytes.len());
        if out.bytes.len() > MOST {
            return Err(Malformed("changes are too large").into());
        }
        before = Some(hash);
        run.push(hash);
    }
    if from.fixed::<4>()? == check.finalize().as_bytes()[..4] {
        Ok(out)
    } else {
        Err(Unpackable::Unclear)
    }
}

/// What a change says of itself and of its place among the others.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Head {
    pub(super) hash: Hash,
    pub(super) follows: Vec<Hash>,
    pub(super) actor: Vec<u8>,
    pub(super) sequence: u64,
    /// Larger than that of every change it follows.
    pub(super) begins: u64,
}

/// Reads the head of a change; none of anything else.
pub(super) fn head_of(change: &[u8]) -> Option<Head> {
    let body = body_of(change)?;
    let mut from = Reader(body);
    let mut follows = Vec::new();
    for _ in 0..from.count(32).ok()? {
        follows.push(from.fixed().ok()?);
    }
    let actor = from.string().ok()?.to_vec();
    let (sequence, begins) = (from.number().ok()?, from.number().ok()?);
    Some(Head { hash: hash_of(body), follows, actor, sequence, begins })
}

/// What is inside a chunk that is one change.
fn body_of(change: &[u8]) -> Option<&[u8]> {
    let rest = change.strip_prefix(&MARK)?;
    let (_, rest) = rest.split_first_chunk::<4>()?;
    let mut from = Reader(rest);
    (from.byte().ok()? == CHANGE).then_some(())?;
    let body = from.string().ok()?;
    from.0.is_empty().then_some(body)
}

fn hash_of(body: &[u8]) -> Hash {
    let mut head = Writer::default();
    head.fixed(&[CHANGE]);
    head.count(body.len());
    Sha256::new().chain_update(&head.0).chain_update(body).finalize().into()
}

fn chunk(body: &[u8], hash: &Hash) -> Vec<u8> {
    let mut out = Writer::default();
    out.fixed(&MARK);
    out.fixed(&hash[..4]);
    out.fixed(&[CHANGE]);
    out.string(body);
    out.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Document, DocumentKind, Stamp, Value, records::Observation};

    fn note(at: i64) -> Stamp {
        Stamp { device: "phone".into(), person: "Tamsin".into(), action: "added".into(), at }
    }

    /// A document that two writers wrote in turns and apart, and its changes one by one.
    fn written() -> (Document, Vec<Vec<u8>>) {
        let mut one = Document::new(DocumentKind::Zone, &[1; 16]);
        let mut other = Document::new(DocumentKind::Zone, &[2; 16]);
        for round in 0..6 {
            for (document, key) in [(&mut one, "a"), (&mut other, "b")] {
                document.put(&format!("{key}{round}"), &Observation::default()).unwrap();
                document.commit(&note(round)).unwrap();
                document
                    .set(&format!("{key}{round}"), "value", Some(Value::Integer(round)))
                    .unwrap();
                document.commit(&note(round)).unwrap();
            }
            if round % 2 == 0 {
                let missing = other.missing(&one.clock());
                one.receive(&missing.bytes).unwrap();
                let missing = one.missing(&other.clock());
                other.receive(&missing.bytes).unwrap();
            }
        }
        let missing = other.missing(&one.clock());
        one.receive(&missing.bytes).unwrap();
        let all = one.changes_beyond(&crate::Clock::new());
        (one, all.into_iter().map(|change| change.bytes).collect())
    }

    fn finder(document: &mut Document) -> impl Fn(&[u8]) -> Option<Hash> + use<> {
        let known: Vec<Hash> =
            document.changes_beyond(&crate::Clock::new()).into_iter().map(|c| c.hash).collect();
        move |name| known.iter().find(|hash| hash.starts_with(name)).copied()
    }

    #[test]
    fn every_part_of_a_history_comes_back_byte_for_byte() {
        let (mut document, changes) = written();
        let find = finder(&mut document);
        for from in 0..changes.len() {
            for to in from..=changes.len() {
                let part = &changes[from..to];
                let unpacked = unpack(&pack(part), &find).unwrap();
                assert_eq!(unpacked.bytes, part.concat(), "{from}..{to}");
                for change in part {
                    let hash = head_of(change).unwrap().hash;
                    assert_eq!(unpacked.change(&hash), Some(change.as_slice()), "each by itself");
                }
            }
        }
    }

    #[test]
    fn a_run_is_shorter_by_what_the_receiver_can_work_out() {
        let (_, changes) = written();
        let plain = changes.concat().len();
        let packed = pack(&changes).len();
        // Mark and hash, the hash of what it follows, the writer; the lengths stay.
        assert!(packed + changes.len() * 40 < plain, "{packed} bytes for {plain}");
    }

    #[test]
    fn what_follows_another_change_of_the_run_needs_nothing_from_the_receiver_for_it() {
        let (mut document, changes) = written();
        let known: Vec<Hash> =
            document.changes_beyond(&crate::Clock::new()).into_iter().map(|c| c.hash).collect();
        // Both writers' last changes, as they lie in the document's order.
        let begun = known.len() - 6;
        let find = |name: &[u8]| known[..begun].iter().find(|hash| hash.starts_with(name)).copied();
        let run = &changes[begun..];
        let unpacked = unpack(&pack(run), find).map(|unpacked| unpacked.bytes);
        assert_eq!(unpacked, Ok(run.concat()), "only what was there before");
    }

    #[test]
    fn what_follows_something_that_is_not_here_is_unclear_and_nothing_else() {
        let (_, changes) = written();
        let packed = pack(&changes[4..8]);
        assert_eq!(packed[0], PACKED, "in short form");
        assert_eq!(unpack(&packed, |_| None), Err(Unpackable::Unclear), "nothing is here");
        let wrong = unpack(&packed, |_| Some([9; 32]));
        assert_eq!(wrong, Err(Unpackable::Unclear), "another change of that name");
    }

    #[test]
    fn a_run_cut_or_altered_anywhere_is_refused() {
        let (mut document, changes) = written();
        let find = finder(&mut document);
        let packed = pack(&changes);
        for end in 0..packed.len() {
            assert!(unpack(&packed[..end], &find).is_err(), "cut at {end}");
        }
        for place in 1..packed.len() {
            let mut altered = packed.clone();
            altered[place] ^= 1;
            let unpacked = unpack(&altered, &find).map(|unpacked| unpacked.bytes);
            assert_ne!(unpacked, Ok(changes.concat()), "altered at {place}");
        }
    }

    #[test]
    fn what_is_no_plain_change_goes_as_it_is() {
        let (mut document, _) = written();
        let whole = document.save();
        assert_eq!(pack(std::slice::from_ref(&whole))[0], PLAIN, "a whole document");
        let carried = unpack(&pack(std::slice::from_ref(&whole)), |_| None);
        assert_eq!(carried.unwrap().bytes, whole, "and comes back");
    }
}
