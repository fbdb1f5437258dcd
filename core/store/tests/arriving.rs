//! Files that arrive from another device, and files that are let go.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use std::time::Duration;

use swardbook_store::{Access, BlobHash, CheckedPart, Randomness, Store, StoreError};

const WRITE: Access = Access::Write { patience: Duration::from_secs(5) };

fn random(seed: u8) -> Randomness {
    Randomness { nonce: [seed; 16], actor: [seed ^ 0xff; 16] }
}

fn photo() -> (Vec<u8>, BlobHash) {
    let photo: Vec<u8> = (0..100_000_u32).flat_map(u32::to_le_bytes).collect();
    let hash = BlobHash::from_bytes(*blake3::hash(&photo).as_bytes());
    (photo, hash)
}

#[test]
fn a_file_that_arrived_in_two_parts_is_recorded_once_it_is_whole() {
    let folder = tempfile::tempdir().unwrap();
    let (photo, hash) = photo();
    let store = Store::create(folder.path(), random(1)).unwrap();
    let path = store.part_path(hash).unwrap();
    std::fs::write(&path, &photo[..1000]).unwrap();
    store.close().unwrap();
    // What is unfinished is no file yet, and outlives a restart.
    let mut store = Store::open(folder.path(), WRITE, random(2)).unwrap().store;
    assert_eq!(store.blobs().unwrap(), [], "not recorded");
    assert_eq!(store.part_path(hash).unwrap(), path, "and still there");
    assert_eq!(std::fs::read(&path).unwrap().len(), 1000, "with what had come");
    std::fs::write(&path, &photo).unwrap();
    let added = store.take_part(CheckedPart::check(path.clone(), hash).unwrap()).unwrap();
    assert_eq!((added.hash, added.size, added.was_new), (hash, photo.len() as u64, true));
    store.verify_blob(hash).unwrap();
    assert!(!path.exists(), "it has its name now");
    assert_eq!(store.blobs().unwrap(), [(hash, photo.len() as u64)], "recorded");
}

#[test]
fn a_file_with_a_wrong_byte_is_not_taken_and_not_kept() {
    let folder = tempfile::tempdir().unwrap();
    let (mut photo, hash) = photo();
    let store = Store::create(folder.path(), random(1)).unwrap();
    let path = store.part_path(hash).unwrap();
    photo[777] ^= 1;
    std::fs::write(&path, &photo).unwrap();
    let refused = CheckedPart::check(path.clone(), hash);
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
