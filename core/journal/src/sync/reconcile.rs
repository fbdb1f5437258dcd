//! Which documents differ, at a cost that grows with how many do.
//!
//! Both devices list what they hold in the order of names. One sends a digest of a range of names;
//! where the other's digest differs it splits the range and sends the digests of the parts, or, when
//! few are left, a digest of each document. Ranges that agree are never mentioned again.
//! The number of bytes grows with the number of differences times the logarithm of the notebook.
//!
//! Digests on the way are short, and taken with the number of the pass: two that are equal by chance
//! in one pass are not in the next, and a pass ends with a longer digest of everything.

use super::{
    bytes::{Malformed, Reader, Writer},
    held::{Digest, DocumentId, ID_LEN},
};

/// A document and its state.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Holding {
    /// Which document.
    pub id: DocumentId,
    /// Its state.
    pub digest: Digest,
}

/// A digest of everything, in one pass.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Root(pub [u8; 8]);

/// A digest of some of it.
pub type Short = [u8; 4];

/// What is said of the names from the end of the range before up to `until`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Range {
    /// A name between the last of this range and the first of the next; none for the last one.
    pub until: Option<DocumentId>,
    /// What is said.
    pub said: Said,
}

/// What is said of a range.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Said {
    /// Nothing more: it agrees or is being dealt with.
    Settled,
    /// The digest of everything in it.
    Digest(Short),
    /// The digest of each document in it, in order.
    Each(Vec<Short>),
    /// Of those that were listed, the ones at these places are not here like that.
    Lacking(Vec<u8>),
}

/// A range with no more documents than these is listed.
const LISTED: usize = 16;
/// A longer one is split into so many parts.
const PARTS: usize = 8;

/// The digest of everything in a list of holdings, which must be in order, in one pass.
#[must_use]
pub fn root(holdings: &[Holding], pass: u64) -> Root {
    Root(digest(holdings, pass))
}

fn short(holdings: &[Holding], pass: u64) -> Short {
    digest(holdings, pass)
}

fn digest<const N: usize>(holdings: &[Holding], pass: u64) -> [u8; N] {
    let mut bytes = Vec::with_capacity(8 + holdings.len() * (ID_LEN + 16));
    bytes.extend_from_slice(&pass.to_le_bytes());
    for holding in holdings {
        bytes.extend_from_slice(&holding.id.to_bytes());
        bytes.extend_from_slice(&holding.digest.0);
    }
    *blake3::hash(&bytes)
        .as_bytes()
        .first_chunk()
        .expect("a hash is longer than what is sent of it")
}

/// What is said first where everything together differs.
///
/// # Shape  `mine` in order of names.
#[must_use]
pub fn begin(mine: &[Holding], pass: u64) -> Vec<Range> {
    let mut first = Vec::new();
    say(mine, None, pass, &mut first);
    first
}

/// Answers what was said of some ranges, and names the documents now known to differ.
///
/// An empty answer ends the talk.
/// Documents are named on one side only, by which the other hears of them.
///
/// # Shape  `mine` in order of names.
#[must_use]
pub fn answer(mine: &[Holding], said: &[Range], pass: u64) -> (Vec<Range>, Vec<DocumentId>) {
    let mut reply: Vec<Range> = Vec::new();
    let mut differing = Vec::new();
    let mut from = DocumentId::FIRST;
    for range in said {
        let here = within(mine, from, range.until);
        match &range.said {
            Said::Settled => settle(&mut reply, range.until),
            Said::Digest(digest) if *digest == short(here, pass) => {
                settle(&mut reply, range.until);
            }
            Said::Digest(_) => say(here, range.until, pass, &mut reply),
            Said::Each(theirs) => {
                let lacking = compare(here, theirs, pass, &mut differing);
                if lacking.is_empty() {
                    settle(&mut reply, range.until);
                } else {
                    reply.push(Range { until: range.until, said: Said::Lacking(lacking) });
                }
            }
            Said::Lacking(places) => {
                let named = places.iter().filter_map(|place| here.get(usize::from(*place)));
                differing.extend(named.map(|held| held.id));
                settle(&mut reply, range.until);
            }
        }
        match range.until {
            Some(until) => from = from.max(until),
            None => break,
        }
    }
    if reply.iter().all(|range| range.said == Said::Settled) {
        reply.clear();
    }
    (reply, differing)
}

fn within(mine: &[Holding], from: DocumentId, until: Option<DocumentId>) -> &[Holding] {
    let start = mine.partition_point(|held| held.id < from);
    let end = until.map_or(mine.len(), |until| mine.partition_point(|held| held.id < until));
    mine.get(start..end).unwrap_or_default()
}

fn settle(reply: &mut Vec<Range>, until: Option<DocumentId>) {
    match reply.last_mut() {
        Some(Range { until: end, said: Said::Settled }) => *end = until,
        _ => reply.push(Range { until, said: Said::Settled }),
    }
}

/// What is in a range that differs.
fn say(here: &[Holding], until: Option<DocumentId>, pass: u64, reply: &mut Vec<Range>) {
    if here.len() > LISTED {
        split(here, until, pass, reply);
    } else {
        let each = here.chunks(1).map(|one| short(one, pass)).collect();
        reply.push(Range { until, said: Said::Each(each) });
    }
}

fn split(here: &[Holding], until: Option<DocumentId>, pass: u64, reply: &mut Vec<Range>) {
    let size = here.len().div_ceil(PARTS);
    let mut parts = here.chunks(size).peekable();
    while let Some(part) = parts.next() {
        let end = match (part.last(), parts.peek().and_then(|next| next.first())) {
            (Some(last), Some(next)) => Some(between(last.id, next.id)),
            _ => until,
        };
        reply.push(Range { until: end, said: Said::Digest(short(part, pass)) });
    }
}

/// The name with the fewest bytes that is larger than `last` and not larger than `next`.
fn between(last: DocumentId, next: DocumentId) -> DocumentId {
    let (last, next) = (last.to_bytes(), next.to_bytes());
    let same = last.iter().zip(&next).take_while(|(a, b)| a == b).count();
    let mut border = [0; ID_LEN];
    let length = (same + 1).min(ID_LEN);
    border[..length].copy_from_slice(&next[..length]);
    DocumentId::from_bytes(border)
}

/// Names the documents here that are not among theirs, and gives the places of theirs that are not
/// here, where there are more of them than those named can stand for.
fn compare(
    here: &[Holding],
    theirs: &[Short],
    pass: u64,
    differing: &mut Vec<DocumentId>,
) -> Vec<u8> {
    let mine: Vec<Short> = here.chunks(1).map(|one| short(one, pass)).collect();
    let before = differing.len();
    let known = here.iter().zip(&mine).filter(|(_, short)| !theirs.contains(short));
    differing.extend(known.map(|(held, _)| held.id));
    let places = theirs.iter().enumerate().filter(|(_, short)| !mine.contains(short));
    let lacking: Vec<u8> = places.filter_map(|(place, _)| u8::try_from(place).ok()).collect();
    if lacking.len() > differing.len() - before { lacking } else { Vec::new() }
}

const SETTLED: u8 = 0;
const DIGEST: u8 = 1;
const EACH: u8 = 2;
const LACKING: u8 = 3;

pub(super) fn write_ranges(out: &mut Writer, ranges: &[Range]) {
    out.count(ranges.len());
    for range in ranges {
        let border = range.until.map(DocumentId::to_bytes);
        let border = border.as_ref().map_or(&[][..], |bytes| {
            let end = bytes.iter().rposition(|byte| *byte != 0).map_or(1, |last| last + 1);
            &bytes[..end]
        });
        // The length of the border, none for no border, above what is said.
        let length = u8::try_from(border.len()).expect("a name has eleven bytes") << 4;
        let said = match &range.said {
            Said::Settled => SETTLED,
            Said::Digest(_) => DIGEST,
            Said::Each(_) => EACH,
            Said::Lacking(_) => LACKING,
        };
        out.fixed(&[length | said]);
        out.fixed(border);
        match &range.said {
            Said::Settled => {}
            Said::Digest(digest) => out.fixed(digest),
            Said::Each(each) => {
                out.count(each.len());
                each.iter().for_each(|short| out.fixed(short));
            }
            Said::Lacking(places) => out.string(places),
        }
    }
}

pub(super) fn read_ranges(from: &mut Reader<'_>) -> Result<Vec<Range>, Malformed> {
    let mut ranges = Vec::new();
    for _ in 0..from.count(1)? {
        let tag = from.byte()?;
        let length = usize::from(tag >> 4);
        let until = match length {
            0 => None,
            1..=ID_LEN => {
                let mut border = [0; ID_LEN];
                for byte in &mut border[..length] {
                    *byte = from.byte()?;
                }
                Some(DocumentId::from_bytes(border))
            }
            _ => return Err(Malformed("a name with too many bytes")),
        };
        let said = match tag & 0x0f {
            SETTLED => Said::Settled,
            DIGEST => Said::Digest(from.fixed()?),
            EACH => {
                let mut each = Vec::new();
                for _ in 0..from.count(4)? {
                    each.push(from.fixed()?);
                }
                Said::Each(each)
            }
            LACKING => Said::Lacking(from.string()?.to_vec()),
            _ => return Err(Malformed("a range of an unknown sort")),
        };
        ranges.push(Range { until, said });
    }
    Ok(ranges)
}
