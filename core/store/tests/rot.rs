//! Bytes that change while nothing looks: large files are not read through at opening, and yet
//! nothing wrong is passed on.

#![cfg(unix)]
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use std::{
    fs::{self, File},
    os::unix::fs::FileExt as _,
    time::Duration,
};

use swardbook_store::{
    Access, ActorBytes, Batch, Change, DocumentName, IndexTable, Randomness, Span, Store,
    StoreError,
};
use swardbook_units::Id;

const RANDOM: Randomness = Randomness { nonce: [1; 16], actor: [2; 16] };
const DOCUMENTS: u8 = 60;

fn name(number: u8) -> DocumentName {
    DocumentName { kind: 1, id: Id::from_random([number; 10]) }
}

fn bytes(number: u8, change: u8) -> Vec<u8> {
    let mut seed = u64::from(number) << 8 | u64::from(change);
    (0..300)
        .map(|_| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(99);
            seed.to_be_bytes()[0]
        })
        .collect()
}

#[test]
fn a_flip_that_left_no_trace_is_never_passed_on() {
    let folder = tempfile::tempdir_in("/dev/shm").or_else(|_| tempfile::tempdir()).unwrap();
    let mut store = Store::create(folder.path(), RANDOM).unwrap();
    // In one commit, so that few pages with nothing of worth on them lie about.
    let mut batch = Batch::new();
    for number in 0..DOCUMENTS {
        let actor = ActorBytes::new(&[number; 16]).unwrap();
        let change = |n: u8| Change {
            actor: actor.clone(),
            sequence: u64::from(n),
            bytes: bytes(number, n),
        };
        batch.change(name(number), (0..20).map(change).collect(), vec![number]);
        batch.put_index(IndexTable(1), &[number], vec![number; 100]);
    }
    // One large state makes the file too large to be read through at opening.
    batch.snapshot(name(255), vec![5; 17 << 20], vec![255]);
    store.commit(&batch).unwrap();
    store.close().unwrap();
    let path = folder.path().join("notebook.redb");
    let length = fs::metadata(&path).unwrap().len();
    assert!(length > 17 << 20, "too large to be read through");
    let clean = fs::read(&path).unwrap();
    let note = fs::read(folder.path().join("notebook.closed")).unwrap();
    // The pages that are neither empty nor a piece of the large state.
    let pages: Vec<usize> = clean
        .chunks(4096)
        .enumerate()
        .filter(|(_, page)| page.iter().any(|byte| *byte != page[0]))
        .map(|(page, _)| page)
        .collect();

    println!("{} pages", pages.len());
    let mut seed = 3_u64;
    let mut random = move |below: usize| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        usize::try_from(seed >> 33).unwrap() % below
    };
    let (mut noticed, mut right) = (0, 0);
    for _ in 0..150 {
        // Put the clean file back in place, with the time of the last write it had.
        let file = File::options().write(true).open(&path).unwrap();
        file.set_len(length).unwrap();
        file.write_all_at(&clean, 0).unwrap();
        let place = pages[random(pages.len())] * 4096 + random(4096);
        let flipped = clean[place] ^ (1 << random(8));
        file.write_all_at(&[flipped], u64::try_from(place).unwrap()).unwrap();
        let noted = String::from_utf8(note.clone()).unwrap();
        let nanos: u64 =
            noted.lines().find_map(|l| l.strip_prefix("modified ")).unwrap().parse().unwrap();
        file.set_modified(std::time::UNIX_EPOCH + Duration::from_nanos(nanos)).unwrap();
        drop(file);
        fs::write(folder.path().join("notebook.closed"), &note).unwrap();

        let case = format!("byte {place} of {length}");
        let opened = match Store::open(folder.path(), Access::Read, RANDOM) {
            Ok(opened) => opened,
            Err(error) => panic!("{case}: {error}"),
        };
        if !opened.findings.is_empty() {
            noticed += 1;
            continue;
        }
        let store = opened.store;
        for number in 0..DOCUMENTS {
            match store.read_document(name(number)) {
                Ok(Some(read)) => {
                    let expected: Vec<_> = (0..20).map(|n| bytes(number, n)).collect();
                    assert!(read.tail == expected, "{case}: wrong bytes of {number}");
                    right += 1;
                }
                Ok(None) => panic!("{case}: document {number} is said never to have been"),
                Err(StoreError::Closed) => break,
                Err(_) => noticed += 1,
            }
        }
        match store.range_index(IndexTable(1), &Span::all()) {
            Ok(rows) => {
                assert!(rows.iter().all(|row| row.value == vec![row.key[0]; 100]), "{case}");
            }
            Err(_) => noticed += 1,
        }
    }
    println!("150 flips: noticed {noticed} times, {right} documents read, all right");
    assert!(noticed > 50 && right > 1_000, "both happened: {noticed}, {right}");
}

#[test]
fn what_was_met_while_reading_is_put_right_at_the_next_opening() {
    let folder = tempfile::tempdir_in("/dev/shm").or_else(|_| tempfile::tempdir()).unwrap();
    let mut store = Store::create(folder.path(), RANDOM).unwrap();
    let mut batch = Batch::new();
    for number in [1, 2] {
        batch.snapshot(name(number), bytes(number, 1).repeat(10), vec![number]);
    }
    batch.snapshot(name(255), vec![5; 17 << 20], vec![255]);
    store.commit(&batch).unwrap();
    store.close().unwrap();
    let path = folder.path().join("notebook.redb");
    let file = fs::read(&path).unwrap();
    let modified = fs::metadata(&path).unwrap().modified().unwrap();
    let open = File::options().write(true).open(&path).unwrap();
    let state = bytes(1, 1);
    for place in (0..file.len() - state.len()).filter(|place| file[*place..].starts_with(&state)) {
        open.write_all_at(&[state[0] ^ 1], u64::try_from(place).unwrap()).unwrap();
    }
    open.set_modified(modified).unwrap();
    drop(open);

    let write = Access::Write { patience: Duration::ZERO };
    let opened = Store::open(folder.path(), write, RANDOM).unwrap();
    assert_eq!(opened.findings, [], "nothing shows yet");
    let met = opened.store.read_document(name(1)).unwrap_err();
    assert!(matches!(met, StoreError::DamagedDocument { .. }), "{met}");
    assert!(opened.store.read_document(name(2)).is_ok(), "the other one can be read");
    opened.store.close().unwrap();
    let opened = Store::open(folder.path(), write, RANDOM).unwrap();
    assert!(!opened.findings.is_empty(), "looked through and named");
    assert!(opened.store.read_document(name(2)).unwrap().unwrap().snapshot.is_some(), "whole");
}
