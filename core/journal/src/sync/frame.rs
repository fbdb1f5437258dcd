//! What the two devices say to each other, as bytes.
//!
//! A frame is one byte for its kind and then its fields. A kind that this version does not know is
//! left out and counted; fields that a newer version added at the end are not read.

use std::{
    collections::BTreeSet,
    io::{Read as _, Write as _},
};

use super::{
    bytes::{Malformed, Reader, Writer},
    held::{DocumentId, Held, ID_LEN},
    hello::Hello,
    reconcile::{Range, Root, read_ranges, write_ranges},
};

/// A frame with more bytes than this is refused before room is made for it.
pub const MAX_FRAME: usize = 16 << 20;

/// The most that a frame's changes may grow to when they are unpacked.
const MAX_UNPACKED: u64 = 64 << 20;

/// How a frame is told from the next on a stream: its length, in as few bytes as that takes.
#[must_use]
pub fn frame_length(length: usize) -> Vec<u8> {
    let mut out = Writer::default();
    out.count(length);
    out.0
}

/// The longest name of a writer that is read.
const MAX_WRITER: usize = 64;

/// Changes of one document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Parcel {
    pub(super) id: DocumentId,
    pub(super) changes: Vec<u8>,
}

/// Why a document of a batch was not taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Refused {
    /// For good.
    ForGood,
    /// It is to be sent again without short names.
    Unclear,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Frame {
    Hello(Hello),
    /// The dialler asks whether all is equal.
    Check {
        pass: u64,
        root: Root,
    },
    /// It is.
    Equal {
        pass: u64,
    },
    /// It is not, and what changed since we last agreed is on its way.
    Pushing {
        pass: u64,
    },
    /// Ranges of names and what is said of them; none at all ends the talk.
    Ranges {
        pass: u64,
        round: u64,
        ranges: Vec<Range>,
    },
    /// What is held here of some documents, and what is held there of each?
    Clocks {
        documents: Vec<(DocumentId, Held)>,
    },
    /// What is held here of documents that were asked about, in the order of the question; none of
    /// a kind that is not known here.
    Answers {
        documents: Vec<Option<Held>>,
    },
    /// Changes, to be acknowledged under this number.
    Changes {
        batch: u64,
        parcels: Vec<Parcel>,
    },
    /// They are safe on the disk, but for those at these places of the batch.
    Ack {
        batch: u64,
        refused: Vec<(usize, Refused)>,
    },
    /// The dialler has sent all it has; the other answers when it has too.
    Flush {
        pass: u64,
    },
    /// It has.
    Flushed {
        pass: u64,
    },
    /// This document is not exchanged: one writer wrote it in two places.
    Forked {
        id: DocumentId,
    },
}

/// A frame, or the kind of one that this version does not know.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Heard {
    Frame(Frame),
    Unknown(u8),
}

const HELLO: u8 = 1;
const CHECK: u8 = 2;
const EQUAL: u8 = 3;
const PUSHING: u8 = 4;
const RANGES: u8 = 5;
const CLOCKS: u8 = 6;
const CHANGES: u8 = 7;
const ACK: u8 = 8;
const FLUSH: u8 = 9;
const FLUSHED: u8 = 10;
const FORKED: u8 = 11;
const ANSWERS: u8 = 12;

impl Frame {
    pub(super) fn encode(&self) -> Vec<u8> {
        let mut out = Writer::default();
        match self {
            Self::Hello(hello) => {
                out.fixed(&[HELLO]);
                hello.write(&mut out);
            }
            Self::Check { pass, root } => {
                out.fixed(&[CHECK]);
                out.number(*pass);
                out.fixed(&root.0);
            }
            Self::Equal { pass } => numbered(&mut out, EQUAL, *pass),
            Self::Pushing { pass } => numbered(&mut out, PUSHING, *pass),
            Self::Flush { pass } => numbered(&mut out, FLUSH, *pass),
            Self::Flushed { pass } => numbered(&mut out, FLUSHED, *pass),
            Self::Forked { id } => {
                out.fixed(&[FORKED]);
                id.write(&mut out);
            }
            Self::Ranges { pass, round, ranges } => {
                numbered(&mut out, RANGES, *pass);
                out.number(*round);
                write_ranges(&mut out, ranges);
            }
            Self::Clocks { documents } => {
                out.fixed(&[CLOCKS]);
                let writers = Writers::of(documents.iter().map(|(_, held)| held));
                writers.write(&mut out);
                out.count(documents.len());
                for (id, held) in documents {
                    id.write(&mut out);
                    writers.write_held(&mut out, held);
                }
            }
            Self::Answers { documents } => {
                out.fixed(&[ANSWERS]);
                let writers = Writers::of(documents.iter().flatten());
                writers.write(&mut out);
                out.count(documents.len());
                for held in documents {
                    match held {
                        None => out.number(0),
                        Some(held) => {
                            out.number(1);
                            writers.write_held(&mut out, held);
                        }
                    }
                }
            }
            Self::Changes { batch, parcels } => {
                numbered(&mut out, CHANGES, *batch);
                write_parcels(&mut out, parcels);
            }
            Self::Ack { batch, refused } => {
                numbered(&mut out, ACK, *batch);
                out.count(refused.len());
                for (place, why) in refused {
                    out.count(*place);
                    out.fixed(&[u8::from(*why == Refused::Unclear)]);
                }
            }
        }
        out.0
    }

    pub(super) fn decode(bytes: &[u8]) -> Result<Heard, Malformed> {
        if bytes.len() > MAX_FRAME {
            return Err(Malformed("a frame is too long"));
        }
        let mut from = Reader(bytes);
        let kind = from.byte()?;
        let frame = match kind {
            HELLO => Self::Hello(Hello::read(&mut from)?),
            CHECK => Self::Check { pass: from.number()?, root: Root(from.fixed()?) },
            EQUAL => Self::Equal { pass: from.number()? },
            PUSHING => Self::Pushing { pass: from.number()? },
            FLUSH => Self::Flush { pass: from.number()? },
            FLUSHED => Self::Flushed { pass: from.number()? },
            FORKED => Self::Forked { id: DocumentId::read(&mut from)? },
            RANGES => {
                let (pass, round) = (from.number()?, from.number()?);
                Self::Ranges { pass, round, ranges: read_ranges(&mut from)? }
            }
            CLOCKS => {
                let writers = Writers::read(&mut from)?;
                let mut documents = Vec::new();
                for _ in 0..from.count(ID_LEN + 1)? {
                    documents.push((DocumentId::read(&mut from)?, writers.read_held(&mut from)?));
                }
                Self::Clocks { documents }
            }
            ANSWERS => {
                let writers = Writers::read(&mut from)?;
                let mut documents = Vec::new();
                for _ in 0..from.count(1)? {
                    documents.push(match from.byte()? {
                        0 => None,
                        _ => Some(writers.read_held(&mut from)?),
                    });
                }
                Self::Answers { documents }
            }
            CHANGES => {
                let batch = from.number()?;
                Self::Changes { batch, parcels: read_parcels(&mut from)? }
            }
            ACK => {
                let batch = from.number()?;
                let mut refused = Vec::new();
                for _ in 0..from.count(2)? {
                    let place = usize::try_from(from.number()?);
                    let place = place.map_err(|_| Malformed("a place in a batch"))?;
                    let is_unclear = from.byte()? == 1;
                    let why = if is_unclear { Refused::Unclear } else { Refused::ForGood };
                    refused.push((place, why));
                }
                Self::Ack { batch, refused }
            }
            unknown => return Ok(Heard::Unknown(unknown)),
        };
        Ok(Heard::Frame(frame))
    }
}

/// The writers that a frame speaks of, each said once.
struct Writers<'a>(Vec<&'a [u8]>);

impl<'a> Writers<'a> {
    fn of(held: impl Iterator<Item = &'a Held>) -> Self {
        let all: BTreeSet<&[u8]> = held.flat_map(|held| held.keys().map(Vec::as_slice)).collect();
        Self(all.into_iter().collect())
    }

    fn write(&self, out: &mut Writer) {
        out.count(self.0.len());
        self.0.iter().for_each(|writer| out.string(writer));
    }

    fn read(from: &mut Reader<'a>) -> Result<Self, Malformed> {
        let mut all = Vec::new();
        for _ in 0..from.count(1)? {
            let writer = from.string()?;
            if writer.len() > MAX_WRITER {
                return Err(Malformed("a writer's name is too long"));
            }
            all.push(writer);
        }
        Ok(Self(all))
    }

    fn write_held(&self, out: &mut Writer, held: &Held) {
        out.count(held.len());
        for (writer, (last, hash)) in held {
            let place = self.0.binary_search(&writer.as_slice());
            out.count(place.expect("every writer of the frame is listed"));
            out.number(*last);
            out.fixed(hash);
        }
    }

    fn read_held(&self, from: &mut Reader<'a>) -> Result<Held, Malformed> {
        let mut held = Held::new();
        for _ in 0..from.count(6)? {
            let place = usize::try_from(from.number()?).ok();
            let writer = place.and_then(|place| self.0.get(place));
            let writer = writer.ok_or(Malformed("a writer that was not listed"))?;
            held.insert(writer.to_vec(), (from.number()?, from.fixed()?));
        }
        Ok(held)
    }
}

fn numbered(out: &mut Writer, kind: u8, number: u64) {
    out.fixed(&[kind]);
    out.number(number);
}

/// Changes repeat every key, so all of a frame are packed in one stream, where that is shorter.
fn write_parcels(out: &mut Writer, parcels: &[Parcel]) {
    let mut plain = Writer::default();
    plain.count(parcels.len());
    for parcel in parcels {
        parcel.id.write(&mut plain);
        plain.string(&parcel.changes);
    }
    let mut packer = flate2::write::DeflateEncoder::new(Vec::new(), flate2::Compression::default());
    let packed = packer.write_all(&plain.0).and_then(|()| packer.finish());
    let packed = packed.expect("a list of bytes takes every write");
    if packed.len() < plain.0.len() {
        out.fixed(&[1]);
        out.fixed(&packed);
    } else {
        out.fixed(&[0]);
        out.fixed(&plain.0);
    }
}

fn read_parcels(from: &mut Reader<'_>) -> Result<Vec<Parcel>, Malformed> {
    let packing = from.byte()?;
    let mut unpacked = Vec::new();
    let mut plain = match packing {
        0 => *from,
        1 => {
            let unpacking = flate2::read::DeflateDecoder::new(from.0).take(MAX_UNPACKED + 1);
            let mut unpacking = unpacking;
            unpacking
                .read_to_end(&mut unpacked)
                .map_err(|_| Malformed("packed changes are damaged"))?;
            if unpacked.len() as u64 > MAX_UNPACKED {
                return Err(Malformed("packed changes are too large"));
            }
            Reader(&unpacked)
        }
        _ => return Err(Malformed("changes in an unknown packing")),
    };
    let mut parcels = Vec::new();
    for _ in 0..plain.count(ID_LEN + 1)? {
        let id = DocumentId::read(&mut plain)?;
        parcels.push(Parcel { id, changes: plain.string()?.to_vec() });
    }
    Ok(parcels)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sync::reconcile::Said;

    fn id(number: u8) -> DocumentId {
        DocumentId { kind: 2, id: swardbook_units::Id::from_random([number; 10]) }
    }

    fn every_frame() -> Vec<Frame> {
        let held = Held::from([(vec![1; 16], (300, [7; 4])), (vec![2], (1, [8; 4]))]);
        vec![
            Frame::Hello(Hello {
                oldest: 1,
                newest: 3,
                kinds: [0, 1, 2].into(),
                schema: 2,
                nonce: [5; 8],
                remembers: [0; 4],
                program: "0.1.0".into(),
            }),
            Frame::Check { pass: 9, root: Root([3; 8]) },
            Frame::Equal { pass: 1 },
            Frame::Pushing { pass: 1 },
            Frame::Flush { pass: 1 },
            Frame::Flushed { pass: 1 },
            Frame::Forked { id: id(6) },
            Frame::Ranges {
                pass: 1,
                round: 2,
                ranges: vec![
                    Range { until: Some(id(4)), said: Said::Settled },
                    Range { until: Some(id(9)), said: Said::Digest([4; 4]) },
                    Range { until: Some(id(20)), said: Said::Lacking(vec![3, 9]) },
                    Range { until: None, said: Said::Each(vec![[1; 4], [2; 4]]) },
                ],
            },
            Frame::Clocks { documents: vec![(id(1), held.clone())] },
            Frame::Answers { documents: vec![Some(held), None, Some(Held::new())] },
            Frame::Changes {
                batch: 4,
                parcels: vec![
                    Parcel { id: id(1), changes: vec![9; 400] },
                    Parcel { id: id(2), changes: vec![1, 2, 3] },
                ],
            },
            Frame::Ack { batch: 3, refused: Vec::new() },
            Frame::Ack { batch: 4, refused: vec![(1, Refused::ForGood), (300, Refused::Unclear)] },
        ]
    }

    #[test]
    fn every_frame_round_trips() {
        for frame in every_frame() {
            assert_eq!(
                Frame::decode(&frame.encode()),
                Ok(Heard::Frame(frame)),
                "decode(encode(x))"
            );
        }
    }

    /// Neither a panic nor a large allocation, whatever arrives.
    #[test]
    fn a_frame_cut_or_altered_anywhere_is_an_error_or_another_frame() {
        for frame in every_frame() {
            let bytes = frame.encode();
            for end in 0..bytes.len() {
                assert_ne!(
                    Frame::decode(&bytes[..end]),
                    Ok(Heard::Frame(frame.clone())),
                    "a cut frame is not the whole one"
                );
            }
            for place in 0..bytes.len() {
                let mut altered = bytes.clone();
                altered[place] ^= 0xff;
                let _either = Frame::decode(&altered);
            }
        }
    }

    #[test]
    fn what_a_newer_version_adds_is_left_out() {
        let mut bytes = Frame::Equal { pass: 3 }.encode();
        bytes.extend_from_slice(b"more");
        assert_eq!(Frame::decode(&bytes), Ok(Heard::Frame(Frame::Equal { pass: 3 })), "a field");
        assert_eq!(Frame::decode(&[200, 1, 2]), Ok(Heard::Unknown(200)), "a kind");
    }

    #[test]
    fn a_frame_that_unpacks_to_more_than_allowed_is_refused() {
        let mut packer =
            flate2::write::DeflateEncoder::new(Vec::new(), flate2::Compression::best());
        let zeros = vec![0; 1 << 20];
        for _ in 0..=MAX_UNPACKED >> 20 {
            packer.write_all(&zeros).unwrap();
        }
        let mut bytes = vec![CHANGES, 1, 1];
        bytes.extend_from_slice(&packer.finish().unwrap());
        assert!(bytes.len() < MAX_FRAME, "small on the way");
        assert_eq!(
            Frame::decode(&bytes),
            Err(Malformed("packed changes are too large")),
            "and large here"
        );
    }
}
