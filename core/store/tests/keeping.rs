//! What is committed is read back, through every door of the store.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use std::{io::Read as _, path::Path, time::Duration};

use swardbook_store::{
    Access, ActorBytes, Batch, BlobHash, Change, Day, DocumentName, IndexTable, LocalTable, Opened,
    Randomness, Span, Store, StoreError, StoreSequence, StoredDocument,
};
use swardbook_units::Id;

const ZONES: IndexTable = IndexTable(1);
const UNDO: LocalTable = LocalTable(1);
const WRITE: Access = Access::Write { patience: Duration::ZERO };

fn random(seed: u8) -> Randomness {
    Randomness { nonce: [seed; 16], actor: [seed ^ 0xff; 16] }
}

fn document(number: u8) -> DocumentName {
    DocumentName { kind: 2, id: Id::from_random([number; 10]) }
}

fn change(actor: u8, sequence: u64, text: &str) -> Change {
    let actor = ActorBytes::new(&[actor; 16]).unwrap();
    Change { actor, sequence, bytes: text.as_bytes().to_vec() }
}

fn open(folder: &Path) -> Opened {
    Store::open(folder, WRITE, random(99)).unwrap()
}

fn texts(document: &StoredDocument) -> Vec<&str> {
    document.tail.iter().map(|c| std::str::from_utf8(c).unwrap()).collect()
}

#[test]
fn documents_come_back_actor_by_actor() {
    let folder = tempfile::tempdir().unwrap();
    let mut store = Store::create(folder.path(), random(1)).unwrap();
    let mut batch = Batch::new();
    batch.change(document(1), vec![change(2, 1, "b1"), change(1, 1, "a1")], b"h1".to_vec());
    assert_eq!(store.commit(&batch).unwrap(), StoreSequence(1), "the first commit");
    let mut batch = Batch::new();
    batch.change(document(1), vec![change(1, 2, "a2")], b"h2".to_vec());
    store.commit(&batch).unwrap();
    store.close().unwrap();

    let opened = open(folder.path());
    assert!(!opened.was_copy, "the same folder");
    let store = opened.store;
    let read = store.read_document(document(1)).unwrap().unwrap();
    assert_eq!(texts(&read), ["a1", "a2", "b1"], "actor by actor, in order");
    assert_eq!((read.snapshot.as_ref(), read.heads.as_slice()), (None, b"h2".as_slice()), "rest");
    assert_eq!(store.read_document(document(2)).unwrap(), None, "there never was one");
    assert_eq!(store.sequence().unwrap(), StoreSequence(2), "commits are counted");
    let actor = ActorBytes::new(&[1; 16]).unwrap();
    let after = store.changes_after(document(1), &actor, 1).unwrap();
    assert_eq!(after, [b"a2".to_vec()], "one actor's changes after a number");
}

#[test]
fn a_snapshot_replaces_the_tail() {
    let folder = tempfile::tempdir().unwrap();
    let mut store = Store::create(folder.path(), random(1)).unwrap();
    let mut batch = Batch::new();
    batch.change(document(1), vec![change(1, 1, "a1")], b"h1".to_vec());
    batch.change(document(2), vec![change(1, 1, "other")], b"h1".to_vec());
    store.commit(&batch).unwrap();
    let mut batch = Batch::new();
    batch.change(document(1), vec![change(1, 2, "a2")], b"h2".to_vec());
    batch.snapshot(document(1), b"state".to_vec(), b"h2".to_vec());
    store.commit(&batch).unwrap();
    let mut batch = Batch::new();
    batch.change(document(1), vec![change(1, 3, "a3")], b"h3".to_vec());
    store.commit(&batch).unwrap();

    let read = store.read_document(document(1)).unwrap().unwrap();
    assert_eq!(read.snapshot.as_deref(), Some(b"state".as_slice()), "the state");
    assert_eq!(texts(&read), ["a3"], "only what came after it");
    let other = store.read_document(document(2)).unwrap().unwrap();
    assert_eq!(texts(&other), ["other"], "another document keeps its tail");
    let changed: Vec<_> = store.changed_after(StoreSequence(1)).unwrap();
    assert_eq!(changed, [(StoreSequence(3), document(1))], "one line a document, the last");
    let heads: Vec<_> = store.documents().unwrap().into_iter().map(|d| (d.name, d.heads)).collect();
    let expected = [(document(1), b"h3".to_vec()), (document(2), b"h1".to_vec())];
    assert_eq!(heads, expected, "the list of documents");
}

#[test]
fn a_number_is_given_to_one_change_only_and_nothing_of_a_refused_batch_is_seen() {
    let folder = tempfile::tempdir().unwrap();
    let mut store = Store::create(folder.path(), random(1)).unwrap();
    let mut batch = Batch::new();
    batch.change(document(1), vec![change(1, 1, "a1")], b"h1".to_vec());
    store.commit(&batch).unwrap();
    store.commit(&batch).unwrap();
    let read = store.read_document(document(1)).unwrap().unwrap();
    assert_eq!(texts(&read), ["a1"], "the same change again is not a second one");

    let mut batch = Batch::new();
    batch.change(document(0), vec![change(1, 1, "new")], b"h".to_vec());
    batch.change(document(1), vec![change(1, 1, "different")], b"h".to_vec());
    batch.put_index(ZONES, b"k", b"v".to_vec());
    let refused = store.commit(&batch).unwrap_err();
    assert!(matches!(refused, StoreError::SequenceTaken { sequence: 1, .. }), "{refused}");
    assert_eq!(store.read_document(document(0)).unwrap(), None, "nothing of it is seen");
    assert_eq!(store.get_index(ZONES, b"k").unwrap(), None, "nothing of it is seen");
    let mut batch = Batch::new();
    batch.change(document(1), vec![change(1, 2, "a2")], b"h".to_vec());
    store.commit(&batch).unwrap();
    let read = store.read_document(document(1)).unwrap().unwrap();
    assert_eq!(texts(&read), ["a1", "a2"], "the store goes on");
}

#[test]
fn a_long_tail_asks_for_a_snapshot() {
    let folder = tempfile::tempdir().unwrap();
    let mut store = Store::create(folder.path(), random(1)).unwrap();
    let fill = |store: &mut Store, from: u64, until: u64, text: &str| {
        let mut batch = Batch::new();
        let changes = (from..=until).map(|n| change(1, n, text)).collect();
        batch.change(document(1), changes, b"h".to_vec());
        store.commit(&batch).unwrap();
        store.needs_snapshot(document(1)).unwrap()
    };
    assert!(!store.needs_snapshot(document(1)).unwrap(), "no document, no snapshot");
    assert!(!fill(&mut store, 1, 200, "short"), "200 changes are not too many");
    assert!(fill(&mut store, 201, 201, "short"), "201 are");
    let mut batch = Batch::new();
    batch.snapshot(document(1), vec![0; 20_000], b"h".to_vec());
    store.commit(&batch).unwrap();
    assert!(!store.needs_snapshot(document(1)).unwrap(), "just saved");
    assert!(!fill(&mut store, 202, 203, &"x".repeat(9_900)), "smaller than the state");
    assert!(fill(&mut store, 204, 204, &"x".repeat(9_900)), "larger than the state");
}

#[test]
fn rows_are_listed_by_span() {
    let folder = tempfile::tempdir().unwrap();
    let mut store = Store::create(folder.path(), random(1)).unwrap();
    let mut batch = Batch::new();
    for key in ["a1", "a2", "a3", "b1"] {
        batch.put_index(ZONES, key.as_bytes(), key.to_uppercase().into_bytes());
        batch.put_local(UNDO, key.as_bytes(), b"mine".to_vec());
    }
    batch.put_index(IndexTable(0), b"z", b"other list".to_vec());
    batch.put_index(IndexTable(2), b"a", b"other list".to_vec());
    batch.put_index(IndexTable(255), b"a", b"last list".to_vec());
    batch.stamp_index(b"v1".to_vec());
    store.commit(&batch).unwrap();
    let keys = |span: Span| -> Vec<String> {
        let rows = store.range_index(ZONES, &span).unwrap();
        rows.into_iter().map(|row| String::from_utf8(row.key).unwrap()).collect()
    };
    assert_eq!(keys(Span::all()), ["a1", "a2", "a3", "b1"], "all of one list");
    assert_eq!(keys(Span::beginning(b"a")), ["a1", "a2", "a3"], "by prefix");
    assert_eq!(keys(Span::all().from(b"a2").until(b"b1")), ["a2", "a3"], "from and until");
    assert_eq!(keys(Span::all().backwards().at_most(2)), ["b1", "a3"], "the last two");
    assert_eq!(keys(Span::all().from(b"x").until(b"a")), Vec::<String>::new(), "empty span");
    assert_eq!(store.range_index(IndexTable(255), &Span::all()).unwrap().len(), 1, "last list");
    assert_eq!(store.get_index(ZONES, b"a2").unwrap(), Some(b"A2".to_vec()), "one row");

    let mut batch = Batch::new();
    batch.delete_index(ZONES, b"a1");
    batch.delete_index(ZONES, b"never there");
    batch.delete_local(UNDO, b"a1");
    store.commit(&batch).unwrap();
    assert_eq!(store.get_index(ZONES, b"a1").unwrap(), None, "taken out");
    assert_eq!(store.range_local(UNDO, &Span::all()).unwrap().len(), 3, "taken out");
    assert_eq!(store.index_stamp().unwrap(), Some(b"v1".to_vec()), "the stamp");

    store.clear_index().unwrap();
    assert_eq!(store.range_index(ZONES, &Span::all()).unwrap(), [], "cleared");
    assert_eq!(store.index_stamp().unwrap(), None, "to be made anew");
    assert_eq!(store.get_local(UNDO, b"a2").unwrap(), Some(b"mine".to_vec()), "not cleared");
}

#[test]
fn files_are_kept_once_under_their_hash() {
    let folder = tempfile::tempdir().unwrap();
    let mut store = Store::create(folder.path(), random(1)).unwrap();
    let bytes = b"a photo of the back terrace".repeat(30_000);
    let added = store.add_blob(&mut bytes.as_slice(), 1 << 20).unwrap();
    assert_eq!(added.hash.as_bytes(), blake3::hash(&bytes).as_bytes(), "named by its hash");
    assert_eq!((added.size, added.was_new), (bytes.len() as u64, true), "its size");
    let again = store.add_blob(&mut bytes.as_slice(), 1 << 20).unwrap();
    assert_eq!((again.hash, again.was_new), (added.hash, false), "kept once");
    let mut read = Vec::new();
    store.open_blob(added.hash).unwrap().read_to_end(&mut read).unwrap();
    assert_eq!(read, bytes, "the same bytes");
    store.verify_blob(added.hash).unwrap();
    assert_eq!(store.blobs().unwrap(), [(added.hash, added.size)], "recorded");

    let refused = store.add_blob(&mut bytes.as_slice(), 1_000).unwrap_err();
    assert!(matches!(refused, StoreError::BlobTooLarge { limit: 1_000 }), "{refused}");
    assert_eq!(std::fs::read_dir(folder.path().join("blobs")).unwrap().count(), 1, "no rest");

    let mut altered = bytes.clone();
    altered[5] ^= 1;
    std::fs::write(store.blob_path(added.hash), &altered).unwrap();
    let refused = store.verify_blob(added.hash).unwrap_err();
    assert!(matches!(refused, StoreError::BlobDamaged { .. }), "{refused}");
    let healed = store.add_blob(&mut bytes.as_slice(), 1 << 20).unwrap();
    assert!(healed.was_new, "a damaged one is replaced");
    store.verify_blob(added.hash).unwrap();
    let missing = store.open_blob(BlobHash::from_bytes([0; 32])).unwrap_err();
    assert!(matches!(missing, StoreError::BlobMissing { .. }), "{missing}");
}

#[test]
fn an_interrupted_file_leaves_nothing_that_counts() {
    struct Cut(usize);
    impl std::io::Read for Cut {
        fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
            if self.0 == 0 {
                return Err(std::io::Error::other("the camera was unplugged"));
            }
            self.0 -= 1;
            into.fill(7);
            Ok(into.len())
        }
    }
    let folder = tempfile::tempdir().unwrap();
    let mut store = Store::create(folder.path(), random(1)).unwrap();
    let refused = store.add_blob(&mut Cut(3), 1 << 30).unwrap_err();
    assert!(matches!(refused, StoreError::BlobSource(_)), "{refused}");
    assert_eq!(store.blobs().unwrap(), [], "not recorded");
    // As a killed process would leave it.
    let part = folder.path().join("blobs").join("incoming.part");
    std::fs::write(&part, b"half").unwrap();
    let added = store.add_blob(&mut b"whole".as_slice(), 1 << 30).unwrap();
    store.verify_blob(added.hash).unwrap();
    assert!(!part.exists(), "what was left over is gone");
}

#[test]
fn unused_files_are_deleted_when_they_are_old() {
    let folder = tempfile::tempdir().unwrap();
    let mut store = Store::create(folder.path(), random(1)).unwrap();
    let kept = store.add_blob(&mut b"kept".as_slice(), 100).unwrap().hash;
    let unused = store.add_blob(&mut b"unused".as_slice(), 100).unwrap().hash;
    let written = std::fs::metadata(store.blob_path(unused)).unwrap().modified().unwrap();
    let month = Duration::from_secs(30 * 86_400);
    let early = store.sweep_blobs(written + month / 2, month, |hash| hash == kept).unwrap();
    assert_eq!(early.deleted, [], "too young");
    let swept = store.sweep_blobs(written + month * 2, month, |hash| hash == kept).unwrap();
    assert_eq!((swept.deleted, swept.bytes), (vec![unused], 6), "the unused one");
    assert_eq!(store.blobs().unwrap(), [(kept, 4)], "off the record");
    assert!(store.open_blob(kept).is_ok() && store.open_blob(unused).is_err(), "off the disk");
}

#[test]
fn opening_the_wrong_place_says_what_is_wrong() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path();
    let nowhere = Store::open(&path.join("nowhere"), WRITE, random(1)).unwrap_err();
    assert!(matches!(nowhere, StoreError::NoFolder { .. }), "{nowhere}");
    let empty = Store::open(path, WRITE, random(1)).unwrap_err();
    assert!(matches!(empty, StoreError::NotANotebook { .. }), "{empty}");
    assert_eq!(std::fs::read_dir(path).unwrap().count(), 0, "looking leaves nothing behind");
    drop(Store::create(path, random(1)).unwrap());
    let twice = Store::create(path, random(1)).unwrap_err();
    assert!(matches!(twice, StoreError::AlreadyThere { .. }), "{twice}");
    assert!(twice.to_string().contains(path.to_str().unwrap()), "names the folder: {twice}");
}

#[test]
fn a_copied_notebook_gets_a_new_identity_and_the_original_keeps_its_own() {
    let folder = tempfile::tempdir().unwrap();
    let (here, there) = (folder.path().join("here"), folder.path().join("there"));
    let store = Store::create(&here, random(1)).unwrap();
    let (actor, nonce) = (store.actor().unwrap(), store.nonce().unwrap());
    store.close().unwrap();
    std::fs::create_dir(&there).unwrap();
    std::fs::copy(here.join("notebook.redb"), there.join("notebook.redb")).unwrap();

    let copy = Store::open(&there, WRITE, random(2)).unwrap();
    assert!(copy.was_copy, "a file without its device folder is a copy");
    assert_eq!(copy.store.actor().unwrap(), random(2).actor, "a new name to write under");
    assert_eq!(copy.store.nonce().unwrap(), random(2).nonce, "a new file");
    drop(copy);
    let again = Store::open(&there, WRITE, random(3)).unwrap();
    assert!(!again.was_copy, "once is enough");
    assert_eq!(again.store.actor().unwrap(), random(2).actor, "and it stays");
    let original = Store::open(&here, WRITE, random(3)).unwrap();
    assert!(!original.was_copy, "the original is none");
    assert_eq!(
        (original.store.actor().unwrap(), original.store.nonce().unwrap()),
        (actor, nonce),
        "unchanged"
    );
}

#[test]
fn a_folder_copied_whole_loses_the_keys_of_the_original() {
    let folder = tempfile::tempdir().unwrap();
    let (here, there) = (folder.path().join("here"), folder.path().join("there"));
    let store = Store::create(&here, random(1)).unwrap();
    std::fs::write(store.device_folder().join("network.key"), b"secret").unwrap();
    store.close().unwrap();
    std::fs::create_dir_all(there.join("device")).unwrap();
    for name in ["notebook.redb", "notebook.closed", "device/identity", "device/network.key"] {
        std::fs::copy(here.join(name), there.join(name)).unwrap();
    }
    let copy = Store::open(&there, WRITE, random(2)).unwrap();
    assert!(copy.was_copy, "although all files are the same");
    assert_eq!(copy.store.actor().unwrap(), random(2).actor, "a new name to write under");
    assert!(!there.join("device/network.key").exists(), "the key was the original's");
    drop(Store::open(&here, WRITE, random(3)).unwrap());
    assert!(here.join("device/network.key").exists(), "and stays with it");
}

#[test]
fn a_newer_notebook_is_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    drop(Store::create(folder.path(), random(1)).unwrap());
    let identity = folder.path().join("device/identity");
    let text = std::fs::read_to_string(&identity).unwrap();
    std::fs::write(&identity, text.replacen("device 1", "device 2", 1)).unwrap();
    // However the file of a newer format may look, it is not taken for a damaged one.
    std::fs::write(folder.path().join("notebook.redb"), b"a format of next year").unwrap();
    let refused = Store::open(folder.path(), WRITE, random(2)).unwrap_err();
    assert!(matches!(refused, StoreError::NewerFormat { found: 2, known: 1, .. }), "{refused}");
    let refused = Store::open(folder.path(), Access::Read, random(2)).unwrap_err();
    assert!(matches!(refused, StoreError::NewerFormat { .. }), "to read as well: {refused}");
    let left = std::fs::read(folder.path().join("notebook.redb")).unwrap();
    assert_eq!(left, b"a format of next year", "untouched");
}

#[test]
fn an_interrupted_creation_can_be_done_again() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("device")).unwrap();
    std::fs::write(folder.path().join("device/identity"), b"swardbook dev").unwrap();
    std::fs::write(folder.path().join("notebook.redb.part"), b"redb half of it").unwrap();
    let none = Store::open(folder.path(), WRITE, random(1)).unwrap_err();
    assert!(matches!(none, StoreError::NotANotebook { .. }), "{none}");
    let store = Store::create(folder.path(), random(1)).unwrap();
    assert_eq!(store.documents().unwrap(), [], "a new notebook");
    assert!(!folder.path().join("notebook.redb.part").exists(), "nothing is left over");
}

#[test]
fn a_file_that_is_mostly_empty_is_compacted_at_opening() {
    let folder = tempfile::tempdir().unwrap();
    let mut store = Store::create(folder.path(), random(1)).unwrap();
    for size in (1..=30).rev() {
        let mut batch = Batch::new();
        batch.snapshot(document(1), vec![7; size * 200_000], b"h".to_vec());
        store.commit(&batch).unwrap();
    }
    store.close().unwrap();
    let length = || std::fs::metadata(folder.path().join("notebook.redb")).unwrap().len();
    let before = length();
    let store = open(folder.path()).store;
    let read = store.read_document(document(1)).unwrap().unwrap();
    assert_eq!(read.snapshot.map(|s| s.len()), Some(200_000), "what is in it");
    store.close().unwrap();
    assert!(length() < before / 4, "{} of {before} bytes", length());
}

#[test]
fn copies_of_the_newest_two_days_are_kept_of_what_changed() {
    let folder = tempfile::tempdir().unwrap();
    let mut store = Store::create(folder.path(), random(1)).unwrap();
    let write = |store: &mut Store, number: u8, sequence| {
        let mut batch = Batch::new();
        batch.change(document(number), vec![change(1, sequence, "a")], b"h".to_vec());
        store.commit(&batch).unwrap();
    };
    write(&mut store, 1, 1);
    write(&mut store, 2, 1);
    assert_eq!(store.copy_documents(Day(10)).unwrap(), 2, "both are new");
    assert_eq!(store.copy_documents(Day(10)).unwrap(), 0, "nothing changed");
    for (day, sequence) in [(10, 2), (11, 3), (12, 4), (12, 5)] {
        write(&mut store, 1, sequence);
        assert_eq!(store.copy_documents(Day(day)).unwrap(), 1, "only what changed");
    }
    let names = std::fs::read_dir(folder.path().join("copies")).unwrap();
    let mut names: Vec<_> =
        names.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    let (one, two) = (document(1), document(2));
    let expected =
        [format!("{one}.11.4.copy"), format!("{one}.12.6.copy"), format!("{two}.10.2.copy")];
    assert_eq!(names, expected, "two days each");
}
