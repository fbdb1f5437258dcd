//! Which documents differ, at a cost that grows with how many do.
//!
//! Both devices list what they hold in the order of names. One sends a digest of a range of names;
//! where the other's digest differs it splits the range and sends the digests of the parts, or, when
//! few are left, the documents themselves. Ranges that agree are never mentioned again.
//! The number of bytes grows with the number of differences times the logarithm of the notebook.

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

/// What is said of the names from the end of the range before up to `until`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Range {
    /// The first name after the range; none for the last one.
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
    Digest(Digest),
    /// Each document in it, with the beginning of its digest.
    Each(Vec<(DocumentId, [u8; 8])>),
}

/// A range with no more documents than these is listed.
const LISTED: usize = 16;
/// A longer one is split into so many parts.
const PARTS: usize = 16;

/// The digest of everything in a list of holdings, which must be in order.
#[must_use]
pub fn root(holdings: &[Holding]) -> Digest {
    let mut bytes = Vec::with_capacity(holdings.len() * (ID_LEN + 16));
    for holding in holdings {
        bytes.push(holding.id.kind);
        bytes.extend_from_slice(holding.id.id.as_bytes());
        bytes.extend_from_slice(&holding.digest.0);
    }
    Digest::of(&bytes)
}

/// Answers what was said of some ranges, and names the documents now known to differ.
///
/// An empty answer ends the talk.
/// Documents are named on one side only, by which the other hears of them.
///
/// # Shape  `mine` in order of names.
#[must_use]
pub fn answer(mine: &[Holding], said: &[Range]) -> (Vec<Range>, Vec<DocumentId>) {
    let mut reply: Vec<Range> = Vec::new();
    let mut differing = Vec::new();
    let mut from = DocumentId::FIRST;
    for range in said {
        let here = within(mine, from, range.until);
        match &range.said {
            Said::Settled => settle(&mut reply, range.until),
            Said::Digest(digest) if *digest == root(here) => settle(&mut reply, range.until),
            Said::Digest(_) if here.len() <= LISTED => {
                let each = here.iter().map(|held| (held.id, held.digest.short())).collect();
                reply.push(Range { until: range.until, said: Said::Each(each) });
            }
            Said::Digest(_) => split(here, range.until, &mut reply),
            Said::Each(theirs) => {
                compare(here, theirs, &mut differing);
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

fn split(here: &[Holding], until: Option<DocumentId>, reply: &mut Vec<Range>) {
    let size = here.len().div_ceil(PARTS);
    let mut parts = here.chunks(size).peekable();
    while let Some(part) = parts.next() {
        let end = parts.peek().map_or(until, |next| next.first().map(|held| held.id));
        reply.push(Range { until: end, said: Said::Digest(root(part)) });
    }
}

fn compare(here: &[Holding], theirs: &[(DocumentId, [u8; 8])], differing: &mut Vec<DocumentId>) {
    let theirs: std::collections::BTreeMap<_, _> = theirs.iter().copied().collect();
    for held in here {
        if theirs.get(&held.id) != Some(&held.digest.short()) {
            differing.push(held.id);
        }
    }
    let known = |id: &DocumentId| here.binary_search_by_key(id, |held| held.id).is_ok();
    differing.extend(theirs.keys().filter(|id| !known(id)));
}

pub(super) fn write_ranges(out: &mut Writer, ranges: &[Range]) {
    out.count(ranges.len());
    for range in ranges {
        let end = u8::from(range.until.is_none()) << 2;
        match &range.said {
            Said::Settled => out.fixed(&[end]),
            Said::Digest(_) => out.fixed(&[end | 1]),
            Said::Each(_) => out.fixed(&[end | 2]),
        }
        if let Some(until) = range.until {
            until.write(out);
        }
        match &range.said {
            Said::Settled => {}
            Said::Digest(digest) => out.fixed(&digest.0),
            Said::Each(each) => {
                out.count(each.len());
                for (id, short) in each {
                    id.write(out);
                    out.fixed(short);
                }
            }
        }
    }
}

pub(super) fn read_ranges(from: &mut Reader<'_>) -> Result<Vec<Range>, Malformed> {
    let mut ranges = Vec::new();
    for _ in 0..from.count(1)? {
        let tag = from.byte()?;
        let until = if tag & 4 == 0 { Some(DocumentId::read(from)?) } else { None };
        let said = match tag & !4 {
            0 => Said::Settled,
            1 => Said::Digest(Digest(from.fixed()?)),
            2 => {
                let mut each = Vec::new();
                for _ in 0..from.count(ID_LEN + 8)? {
                    each.push((DocumentId::read(from)?, from.fixed()?));
                }
                Said::Each(each)
            }
            _ => return Err(Malformed("a range of an unknown sort")),
        };
        ranges.push(Range { until, said });
    }
    Ok(ranges)
}
