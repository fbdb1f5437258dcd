//! Damaged notebooks: what is whole is read, what is not is named, and the damaged file is kept.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use std::{
    collections::BTreeMap,
    fs,
    path::{Path, PathBuf},
    time::Duration,
};

use swardbook_store::{
    Access, ActorBytes, Batch, Change, Day, DocumentName, Fault, IndexTable, LocalTable, Part,
    Randomness, Remedy, Span, Store, StoreError,
};
use swardbook_units::Id;

const LIST: IndexTable = IndexTable(1);
const OWN: LocalTable = LocalTable(1);
const WRITE: Access = Access::Write { patience: Duration::ZERO };

/// Numbers that look random and are the same at each run (splitmix64).
struct Numbers(u64);

impl Numbers {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn below(&mut self, end: usize) -> usize {
        usize::try_from(self.next() % u64::try_from(end).unwrap()).unwrap()
    }

    fn bytes(&mut self, length: usize) -> Vec<u8> {
        (0..length).map(|_| self.next().to_le_bytes()[0]).collect()
    }
}

fn random(seed: u8) -> Randomness {
    Randomness { nonce: [seed; 16], actor: [seed ^ 0xff; 16] }
}

fn name(number: u8) -> DocumentName {
    DocumentName { kind: number % 3, id: Id::from_random([number; 10]) }
}

/// A folder in memory where there is one: what is tested here is not the disk.
fn folder_in_memory() -> tempfile::TempDir {
    tempfile::tempdir_in("/dev/shm").or_else(|_| tempfile::tempdir()).unwrap()
}

/// What was written to a document: its saved state and every change, in order of writing.
#[derive(Debug, Clone, Default)]
struct Written {
    snapshot: Option<Vec<u8>>,
    tail: Vec<Vec<u8>>,
    before: Vec<Vec<u8>>,
}

/// A notebook of 20 documents of several shapes, and what is in it.
struct Notebook {
    folder: tempfile::TempDir,
    written: BTreeMap<DocumentName, Written>,
    /// The file as it was before it was closed, which is as a kill would leave it.
    killed: Vec<u8>,
}

impl Notebook {
    fn new(copies: bool) -> Self {
        let folder = folder_in_memory();
        let mut store = Store::create(folder.path(), random(1)).unwrap();
        let mut numbers = Numbers(42);
        let mut written: BTreeMap<DocumentName, Written> = BTreeMap::new();
        let actor = ActorBytes::new(&[1; 16]).unwrap();
        for round in 1..=30_u64 {
            for document in 0..20_u8 {
                if numbers.below(3) == 0 {
                    continue;
                }
                let bytes = numbers.bytes(40 + usize::from(document) * 20);
                let change = Change { actor: actor.clone(), sequence: round, bytes: bytes.clone() };
                let mut batch = Batch::new();
                batch.change(name(document), vec![change], vec![1, document]);
                let kept = written.entry(name(document)).or_default();
                kept.tail.push(bytes);
                if numbers.below(12) == 0 {
                    let state = numbers.bytes(300 * usize::from(document) + 10);
                    batch.snapshot(name(document), state.clone(), vec![1, document]);
                    kept.before.append(&mut kept.tail);
                    kept.snapshot = Some(state);
                }
                batch.put_index(LIST, &[document], vec![document; 50]);
                batch.put_local(OWN, &[document], round.to_le_bytes().to_vec());
                store.commit(&batch).unwrap();
            }
            if copies && round == 20 {
                store.copy_documents(Day(20_000)).unwrap();
            }
        }
        let killed = fs::read(folder.path().join("notebook.redb")).unwrap();
        store.close().unwrap();
        Self { folder, written, killed }
    }

    fn file(&self) -> PathBuf {
        self.folder.path().join("notebook.redb")
    }

    /// The folder with other bytes in place of the notebook's file.
    fn with(&self, bytes: &[u8]) -> tempfile::TempDir {
        let folder = folder_in_memory();
        for part in ["copies", "device"] {
            if self.folder.path().join(part).is_dir() {
                fs::create_dir(folder.path().join(part)).unwrap();
                for entry in fs::read_dir(self.folder.path().join(part)).unwrap() {
                    let entry = entry.unwrap();
                    let to = folder.path().join(part).join(entry.file_name());
                    fs::copy(entry.path(), to).unwrap();
                }
            }
        }
        let note = self.folder.path().join("notebook.closed");
        fs::copy(note, folder.path().join("notebook.closed")).unwrap();
        fs::write(folder.path().join("notebook.redb"), bytes).unwrap();
        folder
    }
}

/// How an opening of a damaged notebook went.
#[derive(Debug, Default, PartialEq, Eq, PartialOrd, Ord, Clone, Copy)]
struct Tally {
    untouched: usize,
    repaired: usize,
    refused: usize,
    whole: usize,
    named: usize,
    /// Documents without the last commit, after a kill.
    behind: usize,
}

/// Opens a folder whose file was damaged and holds the store to its word.
fn hold_to_word(folder: &Path, damaged: &[u8], notebook: &Notebook, case: &str) -> Tally {
    let mut tally = Tally::default();
    let opened = match Store::open(folder, WRITE, random(7)) {
        Ok(opened) => opened,
        Err(StoreError::Unreadable { .. }) => {
            assert!(!folder.join("copies").is_dir(), "{case}: there were copies to restore from");
            let left = fs::read(folder.join("notebook.redb")).unwrap();
            assert!(left == damaged, "{case}: left as it was");
            tally.refused += 1;
            return tally;
        }
        Err(error) => panic!("{case}: {error}"),
    };
    let mut named: BTreeMap<DocumentName, Remedy> = BTreeMap::new();
    let mut unconfirmed = 0;
    let mut nameless = Some(0);
    for damage in &opened.findings {
        match &damage.part {
            Part::File { .. } => {
                let Remedy::MadeAnew { kept: Some(kept) } = &damage.remedy else {
                    panic!("{case}: the damaged file is kept, not {:?}", damage.remedy)
                };
                assert!(fs::read(kept).unwrap() == damaged, "{case}: kept as it was");
            }
            Part::Document { name, .. } => drop(named.insert(*name, damage.remedy.clone())),
            Part::Unconfirmed { documents } => unconfirmed += documents,
            Part::Documents { count } => nameless = *count,
            Part::Local => {}
        }
    }
    let store = opened.store;
    let opened_clean = opened.findings.is_empty();
    if opened_clean {
        tally.untouched += 1;
    } else {
        tally.repaired += 1;
        assert_eq!(store.actor().unwrap(), random(7).actor, "{case}: a new name to write under");
    }
    let listed: Vec<_> = store.documents().unwrap().into_iter().map(|head| head.name).collect();
    let lost = notebook.written.keys().filter(|name| !listed.contains(name)).count();
    if let Some(count) = nameless {
        assert_eq!(lost as u64, count, "{case}: lost documents are counted");
    }
    for name in listed {
        let written = &notebook.written[&name];
        let read = store.read_document(name).unwrap().unwrap();
        let whole = read.snapshot == written.snapshot && read.tail == written.tail;
        if named.contains_key(&name) {
            tally.named += 1;
            // Every byte that is shown was written once.
            let ever: Vec<_> = written.before.iter().chain(&written.tail).collect();
            for change in read.tail.iter().chain(&read.loose) {
                assert!(ever.contains(&change), "{case}: {name} shows what was never written");
            }
            assert!(read.heads.is_empty(), "{case}: {name} has no heads to be trusted");
        } else if whole {
            tally.whole += 1;
            assert!(read.loose.is_empty(), "{case}: {name} is whole");
            assert_eq!(read.heads.len(), 2, "{case}: {name} has its heads");
        } else if !folder.join("notebook.closed").exists() && opened_clean {
            // The one thing that cannot be seen: the damage looks like an unfinished last commit.
            let (_, all_but_last) = written.tail.split_last().unwrap();
            assert!(read.tail == all_but_last, "{case}: {name} lacks more than the last commit");
            tally.behind += 1;
        } else {
            assert!(unconfirmed > 0, "{case}: {name} is not what was written and is not named");
            tally.named += 1;
        }
    }
    for row in store.range_local(OWN, &Span::all()).unwrap() {
        assert_eq!(row.value.len(), 8, "{case}: a value as it was written");
    }
    if !opened.findings.is_empty() {
        assert_eq!(store.index_stamp().unwrap(), None, "{case}: the index is to be made anew");
    }
    store.close().unwrap();
    let again = Store::open(folder, WRITE, random(8)).unwrap();
    assert_eq!(again.findings, [], "{case}: repaired once");
    tally
}

#[test]
fn flipped_bytes_are_never_passed_on() {
    for copies in [true, false] {
        let notebook = Notebook::new(copies);
        let bytes = fs::read(notebook.file()).unwrap();
        let mut numbers = Numbers(7);
        let mut sum = Tally::default();
        for case in 0..100 {
            let mut flipped = bytes.clone();
            // Half of them where the database keeps its own things.
            let end = if case % 4 == 0 { 8 * 4096 } else { bytes.len() };
            let place = numbers.below(end);
            flipped[place] ^= 1 << numbers.below(8);
            let folder = notebook.with(&flipped);
            let label = format!("byte {place} of {}", bytes.len());
            let tally = hold_to_word(folder.path(), &flipped, &notebook, &label);
            sum = add(sum, tally);
        }
        println!("flipped, copies: {copies}: {sum:?}");
        assert!(sum.repaired > 20, "the flips hit something: {sum:?}");
        assert!(sum.named <= 2 * sum.repaired, "a flip costs what it hit: {sum:?}");
    }
}

#[test]
fn damage_after_a_kill_is_named_or_looks_like_the_unfinished_last_commit() {
    let notebook = Notebook::new(true);
    let mut numbers = Numbers(8);
    let mut sum = Tally::default();
    for case in 0..100 {
        let mut flipped = notebook.killed.clone();
        let end = if case % 4 == 0 { 8 * 4096 } else { flipped.len() };
        let place = numbers.below(end);
        flipped[place] ^= 1 << numbers.below(8);
        let folder = notebook.with(&flipped);
        fs::remove_file(folder.path().join("notebook.closed")).unwrap();
        let label = format!("byte {place} of {}", flipped.len());
        let tally = hold_to_word(folder.path(), &flipped, &notebook, &label);
        assert!(tally.behind <= 1, "{label}: one commit wrote one document");
        sum = add(sum, tally);
    }
    println!("flipped after a kill: {sum:?}");
    assert!(sum.repaired > 20, "the flips hit something: {sum:?}");
    assert!(sum.behind <= 10, "it is rare: {sum:?}");
}

#[test]
fn a_truncated_file_is_made_anew() {
    for copies in [true, false] {
        let notebook = Notebook::new(copies);
        let bytes = fs::read(notebook.file()).unwrap();
        let mut lengths = vec![0, 1, 9, 64, 319, 320, 4095, 4096, 4097, 12_288, bytes.len() - 1];
        lengths.extend((1..20).map(|n| bytes.len() * n / 20 / 4096 * 4096));
        lengths.extend((1..20).map(|n| bytes.len() * n / 20 + 13));
        let mut sum = Tally::default();
        for length in lengths {
            let folder = notebook.with(&bytes[..length]);
            let label = format!("{length} of {} bytes", bytes.len());
            sum = add(sum, hold_to_word(folder.path(), &bytes[..length], &notebook, &label));
        }
        println!("truncated, copies: {copies}: {sum:?}");
        assert_eq!(sum.untouched, 0, "each cut is noticed: {sum:?}");
        assert!(sum.whole > 0 && sum.named > 0, "some of it is read: {sum:?}");
    }
}

#[test]
fn a_torn_page_costs_no_more_than_what_was_on_it() {
    let notebook = Notebook::new(true);
    let bytes = fs::read(notebook.file()).unwrap();
    let mut sum = Tally::default();
    for page in 0..bytes.len() / 4096 {
        let mut torn = bytes.clone();
        torn[page * 4096 + 512..(page + 1) * 4096].fill(0);
        if torn == bytes {
            continue;
        }
        let folder = notebook.with(&torn);
        let tally = hold_to_word(folder.path(), &torn, &notebook, &format!("page {page}"));
        sum = add(sum, tally);
    }
    println!("torn pages: {sum:?}");
    assert!(sum.whole > 5 * sum.named, "most of it is read: {sum:?}");
}

#[test]
fn a_file_of_something_else_is_restored_from_copies() {
    let notebook = Notebook::new(true);
    let other = b"this was a shopping list".repeat(1_000);
    let folder = notebook.with(&other);
    let opened = Store::open(folder.path(), WRITE, random(7)).unwrap();
    let restored = |damage: &&swardbook_store::Damage| {
        matches!(damage.part, Part::Document { fault: Fault::RowMissing, .. })
            && matches!(damage.remedy, Remedy::FromCopy { day: Day(20_000), loose: 0 })
    };
    assert_eq!(opened.findings.iter().filter(restored).count(), 20, "{:?}", opened.findings);
    let read = opened.store.read_document(name(5)).unwrap().unwrap();
    assert!(!read.tail.is_empty() || read.snapshot.is_some(), "there is something in it");
    let words = opened.findings[1].to_string();
    assert!(words.contains("restored from its copy of day 20000"), "in words: {words}");
}

#[test]
fn a_missing_file_is_restored_from_copies_and_without_any_there_is_no_notebook() {
    let notebook = Notebook::new(true);
    fs::remove_file(notebook.file()).unwrap();
    let opened = Store::open(notebook.folder.path(), WRITE, random(7)).unwrap();
    assert_eq!(opened.store.documents().unwrap().len(), 20, "all of them");
    assert_eq!(opened.findings[0].remedy, Remedy::MadeAnew { kept: None }, "nothing to keep");
    drop(opened);
    fs::remove_dir_all(notebook.folder.path().join("copies")).unwrap();
    fs::remove_file(notebook.file()).unwrap();
    let none = Store::open(notebook.folder.path(), WRITE, random(7)).unwrap_err();
    assert!(matches!(none, StoreError::NotANotebook { .. }), "{none}");
}

#[test]
fn a_damaged_copy_is_not_restored_from() {
    let notebook = Notebook::new(true);
    for entry in fs::read_dir(notebook.folder.path().join("copies")).unwrap() {
        let path = entry.unwrap().path();
        let mut bytes = fs::read(&path).unwrap();
        let middle = bytes.len() / 2;
        bytes[middle] ^= 4;
        fs::write(&path, bytes).unwrap();
    }
    let folder = notebook.with(b"nothing");
    let opened = Store::open(folder.path(), WRITE, random(7)).unwrap();
    let lost = |damage: &&swardbook_store::Damage| {
        matches!(damage.part, Part::Document { .. }) && damage.remedy == Remedy::Lost { loose: 0 }
    };
    assert_eq!(opened.findings.iter().filter(lost).count(), 20, "{:?}", opened.findings);
}

#[test]
fn an_older_file_put_back_is_noticed() {
    let notebook = Notebook::new(false);
    let older = fs::read(notebook.file()).unwrap();
    let path = notebook.folder.path();
    let mut store = Store::open(path, WRITE, random(2)).unwrap().store;
    let mut batch = Batch::new();
    let actor = ActorBytes::new(&[9; 16]).unwrap();
    let change = Change { actor, sequence: 1, bytes: b"later".to_vec() };
    batch.change(name(3), vec![change], b"later".to_vec());
    store.commit(&batch).unwrap();
    store.copy_documents(Day(20_001)).unwrap();
    let before = store.actor().unwrap();
    store.close().unwrap();

    fs::write(notebook.file(), older).unwrap();
    let opened = Store::open(path, WRITE, random(3)).unwrap();
    let words: Vec<String> = opened.findings.iter().map(ToString::to_string).collect();
    assert!(words[0].contains("older than when it was last closed"), "{words:?}");
    assert_ne!(opened.store.actor().unwrap(), before, "its numbers are not given out again");
    let read = opened.store.read_document(name(3)).unwrap().unwrap();
    let all: Vec<_> = read.tail.iter().chain(&read.loose).collect();
    assert!(all.contains(&&b"later".to_vec()), "the copy had it");
}

#[test]
fn loose_changes_wait_until_a_state_is_saved() {
    let notebook = Notebook::new(true);
    let bytes = fs::read(notebook.file()).unwrap();
    // A document with changes that lie on a page that survives while its row does not.
    let found = (0..bytes.len() / 4096).find_map(|page| {
        let mut torn = bytes.clone();
        torn[page * 4096..(page + 1) * 4096].fill(0);
        let folder = notebook.with(&torn);
        let opened = Store::open(folder.path(), WRITE, random(7)).ok()?;
        let name =
            opened.findings.iter().find_map(|damage| match (&damage.part, &damage.remedy) {
                (Part::Document { name, .. }, Remedy::FromCopy { loose: 1.., .. }) => Some(*name),
                _ => None,
            })?;
        Some((folder, opened.store, name))
    });
    let (_folder, mut store, name) = found.unwrap();
    let read = store.read_document(name).unwrap().unwrap();
    assert!(!read.loose.is_empty(), "later changes than the copy's");
    assert!(store.needs_snapshot(name).unwrap(), "they are to be taken up");
    let now = std::time::SystemTime::UNIX_EPOCH;
    let refused = store.sweep_blobs(now, Duration::ZERO, |_| false).unwrap_err();
    assert!(matches!(refused, StoreError::SweepRefused { unreadable: 1.. }), "{refused}");
    let mut batch = Batch::new();
    batch.snapshot(name, b"all of it".to_vec(), b"heads".to_vec());
    store.commit(&batch).unwrap();
    let read = store.read_document(name).unwrap().unwrap();
    assert_eq!(read.loose, Vec::<Vec<u8>>::new(), "taken up");
}

#[test]
fn a_check_on_demand_names_what_is_wrong() {
    let notebook = Notebook::new(false);
    let path = notebook.folder.path();
    let mut store = Store::open(path, WRITE, random(7)).unwrap().store;
    let kept = store.add_blob(&mut b"a photo".as_slice(), 100).unwrap().hash;
    let gone = store.add_blob(&mut b"another".as_slice(), 100).unwrap().hash;
    assert!(store.check().unwrap().is_clean(), "all is well");
    fs::write(store.blob_path(kept), b"a phota").unwrap();
    fs::remove_file(store.blob_path(gone)).unwrap();
    let report = store.check().unwrap();
    assert_eq!((report.files_damaged, report.files_missing), (vec![kept], vec![gone]), "named");
}

fn add(a: Tally, b: Tally) -> Tally {
    Tally {
        untouched: a.untouched + b.untouched,
        repaired: a.repaired + b.repaired,
        refused: a.refused + b.refused,
        whole: a.whole + b.whole,
        named: a.named + b.named,
        behind: a.behind + b.behind,
    }
}
