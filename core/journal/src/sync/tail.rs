//! What another copy lacks, told from the changes after the last saved state alone.
//!
//! Opening a document takes a hundred times as long as reading its last changes. Nearly always
//! those are all that another copy lacks, and whether they are can be seen from what they follow.

use std::collections::BTreeSet;

use super::{
    held::{Held, Piece},
    pack::{Head, head_of},
};

/// The changes that a copy holding `theirs` lacks, in an order in which they can be applied; none
/// when that cannot be told without the document.
///
/// Every change of the document is one of the tail, or came before one of the tail or before a
/// head. So when all that the tail follows, and every head, is either of the tail or a last change
/// that the other copy holds, then the other copy lacks nothing but changes of the tail.
///
/// # Shape  `heads`: of the document, 32 bytes each, one after the other; `tail`: in any order.
#[must_use]
pub fn pieces_of_tail(heads: &[u8], tail: &[Vec<u8>], theirs: &Held) -> Option<Vec<Piece>> {
    let read: Option<Vec<Head>> = tail.iter().map(|change| head_of(change)).collect();
    let read = read?;
    let own: BTreeSet<[u8; 32]> = read.iter().map(|change| change.hash).collect();
    let is_known = |hash: &[u8; 32]| {
        own.contains(hash) || theirs.values().any(|(_, last)| hash.starts_with(last))
    };
    let (heads, rest) = heads.as_chunks::<32>();
    let follows = read.iter().flat_map(|change| &change.follows);
    if theirs.is_empty()
        || heads.is_empty()
        || !rest.is_empty()
        || !heads.iter().chain(follows).all(is_known)
    {
        return None;
    }
    let mut lacking: Vec<(Head, &Vec<u8>)> = read
        .into_iter()
        .zip(tail)
        .filter(|(change, _)| {
            theirs.get(&change.actor).is_none_or(|(last, _)| change.sequence > *last)
        })
        .collect();
    lacking.sort_by_key(|(change, _)| (change.begins, change.sequence));
    let piece = |(change, bytes): (Head, &Vec<u8>)| {
        let hash = *change.hash.first_chunk().expect("a hash has 32 bytes");
        Piece { bytes: bytes.clone(), gives: Held::from([(change.actor, (change.sequence, hash))]) }
    };
    Some(lacking.into_iter().map(piece).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Clock, Document, DocumentKind, Stamp, records::Observation};

    fn write(document: &mut Document, key: &str) -> Vec<u8> {
        document.put(key, &Observation::default()).unwrap();
        let note = Stamp { device: "d".into(), person: "T".into(), action: "a".into(), at: 1 };
        document.commit(&note).unwrap().bytes
    }

    fn exchange(from: &mut Document, to: &mut Document) {
        let missing = from.missing(&to.clock());
        to.receive(&missing.bytes).unwrap();
    }

    fn bytes(pieces: Vec<Piece>) -> BTreeSet<Vec<u8>> {
        pieces.into_iter().map(|piece| piece.bytes).collect()
    }

    #[test]
    fn what_can_be_told_is_what_the_document_tells_and_the_rest_is_not_guessed() {
        // Two copies write in turns and apart; at every moment, and for every length of the tail,
        // the tail tells what the document does or nothing.
        let mut one = Document::new(DocumentKind::Zone, &[1; 16]);
        let mut other = Document::new(DocumentKind::Zone, &[2; 16]);
        let mut told = 0;
        for round in 0..24_u32 {
            write(&mut one, &format!("one-{round}"));
            if round % 2 == 0 {
                write(&mut other, &format!("other-{round}"));
            }
            if round % 5 == 0 {
                exchange(&mut other, &mut one);
            }
            if round % 7 == 0 {
                exchange(&mut one, &mut other);
            }
            let theirs = other.held().0;
            let all = one.changes_beyond(&Clock::new());
            for length in 0..=all.len() {
                let tail: Vec<Vec<u8>> =
                    all[all.len() - length..].iter().rev().map(|c| c.bytes.clone()).collect();
                let heads = one.heads().concat();
                let Some(pieces) = pieces_of_tail(&heads, &tail, &theirs) else { continue };
                told += 1;
                let run: Vec<u8> = pieces.iter().flat_map(|piece| piece.bytes.clone()).collect();
                assert_eq!(bytes(pieces), bytes(one.pieces_for(&theirs)), "{round}, {length}");
                let whole = other.save();
                let mut copy =
                    Document::load(DocumentKind::Zone, &[3; 16], Some(&whole), []).unwrap();
                copy.receive(&run).unwrap();
                let heads = one.heads();
                let all_there = heads.iter().all(|head| {
                    copy.changes_beyond(&Clock::new()).iter().any(|change| change.hash == *head)
                });
                assert!(all_there, "they can be applied: {round}, {length}");
            }
        }
        assert!(told > 30, "it can often be told: {told}");
    }

    #[test]
    fn of_a_copy_that_holds_nothing_nothing_is_told() {
        let mut one = Document::new(DocumentKind::Zone, &[1; 16]);
        let change = write(&mut one, "a");
        assert_eq!(pieces_of_tail(&one.heads().concat(), &[change], &Held::new()), None);
    }
}
