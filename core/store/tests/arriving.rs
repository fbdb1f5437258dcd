//! Files that arrive from another device, and files that are let go.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use std::time::Duration;

use swardbook_store::{
    Access, Batch, BlobHash, CheckedPart, PlacedPart, Randomness, Store, StoreError,
};

const WRITE: Access = Access::Write { patience: Duration::from_secs(5) };

fn random(seed: u8) -> Randomness {
    Randomness { nonce: [seed; 16], actor: [seed ^ 0xff; 16] }
}

fn photo() -> (Vec<u8>, BlobHash) {
    let photo: Vec<u8> = (0..100_000_u32).flat_map(u32::to_le_bytes).collect();
    let hash = BlobHash::from_bytes(*blake3::hash(&photo).as_bytes());
    (photo, hash)
}

fn record(store: &mut Store, placed: &[PlacedPart]) {
    let mut batch = Batch::new();
    placed.iter().for_each(|part| batch.file(part));
    store.commit(&batch).unwrap();
}

#[test]
fn a_file_that_arrived_in_two_parts_is_recorded_once_it_is_whole() {
    let folder = tempfile::tempdir().unwrap();
    let (photo, hash) = photo();
    let store = Store::create(folder.path(), random(1)).unwrap();
    let path = store.arriving(hash).unwrap().path().to_owned();
    std::fs::write(&path, &photo[..1000]).unwrap();
    store.close().unwrap();
    // What is unfinished is no file yet, and outlives a restart.
    let mut store = Store::open(folder.path(), WRITE, random(2)).unwrap().store;
    assert_eq!(store.blobs().unwrap(), [], "not recorded");
    let arriving = store.arriving(hash).unwrap();
    assert_eq!(arriving.path(), path, "and still there");
    assert_eq!(std::fs::read(&path).unwrap().len(), 1000, "with what had come");
    std::fs::write(&path, &photo).unwrap();
    let placed = CheckedPart::place(vec![arriving.check().unwrap()]).unwrap();
    assert_eq!(store.blobs().unwrap(), [], "a name is no record");
    record(&mut store, &placed);
    store.verify_blob(hash).unwrap();
    assert!(!path.exists(), "it has its name now");
    assert_eq!(store.blobs().unwrap(), [(hash, photo.len() as u64)], "recorded");
}

#[test]
fn several_files_are_named_and_recorded_in_one_go() {
    let folder = tempfile::tempdir().unwrap();
    let mut store = Store::create(folder.path(), random(1)).unwrap();
    let known = store.add_blob(&mut [1_u8, 2].as_slice(), 10).unwrap();
    let mut parts = Vec::new();
    for bytes in [[1_u8, 2].as_slice(), &[3], &[4, 5, 6]] {
        let arriving =
            store.arriving(BlobHash::from_bytes(*blake3::hash(bytes).as_bytes())).unwrap();
        std::fs::write(arriving.path(), bytes).unwrap();
        let written = std::fs::File::open(arriving.path()).unwrap();
        parts.push(arriving.finish(&written, bytes.len() as u64).unwrap());
    }
    record(&mut store, &CheckedPart::place(parts).unwrap());
    let recorded = store.blobs().unwrap();
    let mut sizes: Vec<u64> = recorded.iter().map(|(_, size)| *size).collect();
    sizes.sort_unstable();
    assert_eq!(sizes, [1, 2, 3], "each is recorded once, the one that was here too");
    for (hash, _) in recorded {
        store.verify_blob(hash).unwrap();
    }
    // Opened for reading, nothing can arrive.
    store.close().unwrap();
    let reading = Store::open(folder.path(), Access::Read, random(2)).unwrap().store;
    let refused = reading.arriving(known.hash);
    assert!(matches!(refused, Err(StoreError::ReadAccess)), "{refused:?}");
}

#[test]
fn a_file_with_a_wrong_byte_is_not_taken_and_not_kept() {
    let folder = tempfile::tempdir().unwrap();
    let (mut photo, hash) = photo();
    let store = Store::create(folder.path(), random(1)).unwrap();
    let arriving = store.arriving(hash).unwrap();
    let path = arriving.path().to_owned();
    photo[777] ^= 1;
    std::fs::write(&path, &photo).unwrap();
    let refused = arriving.check();
    assert!(matches!(refused, Err(StoreError::BlobDamaged { .. })), "{refused:?}");
    assert!(!path.exists(), "it is fetched anew");
}

#[test]
fn files_that_are_let_go_are_gone_and_off_the_record() {
    let folder = tempfile::tempdir().unwrap();
    let mut store = Store::create(folder.path(), random(1)).unwrap();
    let kept = store.add_blob(&mut [1_u8, 2].as_slice(), 10).unwrap().hash;
    let gone = store.add_blob(&mut [3_u8, 4].as_slice(), 10).unwrap().hash;
    let never = BlobHash::from_bytes([9; 32]);
    store.release_blobs(&[gone, never]).unwrap();
    assert_eq!(store.blobs().unwrap(), [(kept, 2)], "the other stays");
    assert!(!store.blob_path(gone).exists(), "its bytes are gone");
}
