//! A writer is killed at a random moment, a hundred times: every entry it acknowledged is there.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use std::{
    collections::BTreeSet,
    io::{BufRead as _, BufReader, Write as _},
    path::Path,
    process::{Command, Stdio},
    sync::mpsc,
    time::Duration,
};

use swardbook_store::{
    Access, ActorBytes, Batch, BlobHash, Change, Day, DocumentName, IndexTable, LocalTable,
    Randomness, Store,
};
use swardbook_units::Id;

/// Names the folder to the writer, which is this same program.
const FOLDER: &str = "SWARDBOOK_STORE_CRASH_FOLDER";
const ROUNDS: u64 = 100;
const WRITE: Access = Access::Write { patience: Duration::from_secs(5) };

fn random(seed: u8) -> Randomness {
    Randomness { nonce: [seed; 16], actor: [seed ^ 0xff; 16] }
}

fn name() -> DocumentName {
    DocumentName { kind: 1, id: Id::from_random([5; 10]) }
}

/// The numbers of the entries that a store holds.
fn entries(store: &Store) -> BTreeSet<u64> {
    let Some(read) = store.read_document(name()).unwrap() else { return BTreeSet::new() };
    assert!(read.loose.is_empty(), "nothing was damaged");
    let number = |bytes: &[u8]| u64::from_le_bytes(*bytes.first_chunk().unwrap());
    let mut entries: BTreeSet<u64> =
        read.snapshot.iter().flat_map(|state| state.chunks(8).map(number)).collect();
    entries.extend(read.tail.iter().map(|change| number(change)));
    let heads = entries.last().map_or(0, |last| *last).to_le_bytes().to_vec();
    assert_eq!(read.heads, heads, "the heads belong to the changes");
    entries
}

/// The writer: acknowledges each entry after its commit, until it is killed.
#[test]
fn writer() {
    let Ok(folder) = std::env::var(FOLDER) else { return };
    let mut out = std::io::stdout();
    let mut store = Store::open(Path::new(&folder), WRITE, random(9)).unwrap().store;
    let mut known = entries(&store);
    loop {
        let number = known.last().map_or(1, |last| last + 1);
        let mut bytes = number.to_le_bytes().to_vec();
        bytes.resize(150, 7);
        let actor = ActorBytes::new(&store.actor().unwrap()).unwrap();
        let mut batch = Batch::new();
        let heads = number.to_le_bytes().to_vec();
        let change = Change { actor, sequence: number, bytes };
        batch.change(name(), vec![change], heads.clone());
        batch.put_index(IndexTable(1), b"newest", number.to_le_bytes().to_vec());
        batch.put_local(LocalTable(1), b"newest", number.to_le_bytes().to_vec());
        known.insert(number);
        if number.is_multiple_of(20) {
            let state = known.iter().flat_map(|number| number.to_le_bytes()).collect();
            batch.snapshot(name(), state, heads);
        }
        store.commit(&batch).unwrap();
        writeln!(out, "kept {number}").unwrap();
        out.flush().unwrap();
        if number.is_multiple_of(15) {
            let added = store.add_blob(&mut number.to_le_bytes().as_slice(), 100).unwrap();
            writeln!(out, "file {}", added.hash).unwrap();
            store.copy_documents(Day(u32::try_from(number).unwrap())).unwrap();
        }
    }
}

#[test]
fn what_was_acknowledged_outlives_a_kill() {
    let folder = tempfile::tempdir().unwrap();
    drop(Store::create(folder.path(), random(1)).unwrap());
    let mut acknowledged = BTreeSet::new();
    let mut files: Vec<BlobHash> = Vec::new();
    let mut one_more = 0;
    let mut seed = 11_u64;
    for round in 0..ROUNDS {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let moment = Duration::from_micros(20_000 + (seed >> 33) % 120_000);
        for line in run_for(folder.path(), moment) {
            if let Some(number) = line.strip_prefix("kept ") {
                acknowledged.insert(number.parse::<u64>().unwrap());
            } else if let Some(hash) = line.strip_prefix("file ") {
                files.push(hash.parse().unwrap());
            }
        }
        let opened = Store::open(folder.path(), WRITE, random(2)).unwrap();
        assert_eq!(opened.findings, [], "round {round}: a kill damages nothing");
        assert!(!opened.was_copy, "round {round}: and makes no copy of the notebook");
        let found = entries(&opened.store);
        let lost: Vec<_> = acknowledged.difference(&found).collect();
        assert!(lost.is_empty(), "round {round}: acknowledged and lost: {lost:?}");
        for hash in &files {
            opened.store.verify_blob(*hash).unwrap();
            assert!(opened.store.blob_size(*hash).unwrap().is_some(), "recorded");
        }
        let extra = found.len() - acknowledged.len();
        assert!(extra <= 1, "round {round}: at most the one that was being acknowledged");
        one_more += extra;
        acknowledged = found;
    }
    println!(
        "{ROUNDS} kills, {} entries and {} files acknowledged, 0 lost; {one_more} times one entry \
         more than was acknowledged",
        acknowledged.len(),
        files.len()
    );
    assert!(acknowledged.len() > 500, "the writer was at work");
}

/// Starts the writer, kills it after a while, and returns what it said.
fn run_for(folder: &Path, moment: Duration) -> Vec<String> {
    let mut child = Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "writer", "--nocapture"])
        .env(FOLDER, folder)
        .stdout(Stdio::piped())
        .stderr(Stdio::inherit())
        .spawn()
        .unwrap();
    let out = BufReader::new(child.stdout.take().unwrap());
    let (said, hears) = mpsc::channel();
    let listener = std::thread::spawn(move || {
        for line in out.lines() {
            let _ = said.send(line.unwrap());
        }
    });
    // The moment counts from the first entry, so that starting up is not all that is interrupted.
    let mut lines = vec![hears.recv_timeout(Duration::from_secs(20)).unwrap()];
    while !lines.iter().any(|line| line.starts_with("kept")) {
        lines.push(hears.recv_timeout(Duration::from_secs(20)).unwrap());
    }
    let (never, waits) = mpsc::channel::<()>();
    let _ = waits.recv_timeout(moment);
    drop(never);
    child.kill().unwrap();
    child.wait().unwrap();
    listener.join().unwrap();
    lines.extend(hears.try_iter());
    lines
}
