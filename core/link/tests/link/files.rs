//! Photos and papers between paired devices on loopback.

use swardbook_link::{DeviceRole, KeepRule, LinkEvent};

use crate::device::{Device, bytes, pair};

async fn two() -> (tempfile::TempDir, Device, Device) {
    let folder = tempfile::tempdir().unwrap();
    let office = Device::start(&folder.path().join("office"), "office", DeviceRole::Office).await;
    let phone = Device::start(&folder.path().join("phone"), "phone", DeviceRole::Field).await;
    (folder, office, phone)
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn photos_follow_their_entries_previews_first() {
    let (_folder, mut office, mut phone) = two().await;
    let mut previews = Vec::new();
    let mut photos = Vec::new();
    for number in 0..6 {
        let preview = bytes(100 + number, 9_000);
        let photo = bytes(number, 700_000 + usize::from(number) * 100_001);
        photos.push((phone.photo(&format!("photo-{number}"), &photo, &preview), photo));
        previews.push(*blake3::hash(&preview).as_bytes());
    }
    pair(&mut office, &mut phone).await;
    let mut order = Vec::new();
    while order.len() < 12 {
        let arrived = office.event(|event| matches!(event, LinkEvent::FileArrived { .. })).await;
        let LinkEvent::FileArrived { hash, .. } = arrived else { unreachable!("waited for") };
        order.push(hash);
    }
    // Three come at one time, so the last previews may cross the first photos.
    let last_preview = order.iter().rposition(|hash| previews.contains(hash)).unwrap();
    assert!(last_preview < 6 + 3, "small pictures come first: {last_preview}");
    for (hash, photo) in photos {
        assert_eq!(office.file(hash).unwrap(), photo, "byte for byte");
    }
    // And live.
    let hash = phone.photo("live", &bytes(50, 400_000), &[]);
    office.until("a photo taken while connected", |office| office.file(hash).is_some()).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_phone_frees_room_only_after_the_office_promised_to_keep_its_photos() {
    let (_folder, mut office, mut phone) = two().await;
    phone.link.set_keep_rule(KeepRule::OwnUntilOffice).unwrap();
    let preview = bytes(9, 5_000);
    let photo = phone.photo("of the verge", &bytes(1, 500_000), &preview);
    let small = *blake3::hash(&preview).as_bytes();
    let theirs = office.photo("of the office", &bytes(2, 300_000), &[]);
    assert!(phone.file(photo).is_some(), "nobody has it yet");
    pair(&mut office, &mut phone).await;
    office.until("the office has it", |office| office.file(photo).is_some()).await;
    // The office's own news wakes the phone, which then asks.
    office.note("thank you");
    phone.event(|event| matches!(event, LinkEvent::FilesReleased { count: 1 })).await;
    assert_eq!(phone.file(photo), None, "gone from the phone");
    assert!(phone.file(small).is_some(), "the small picture stays");
    assert!(office.file(photo).is_some(), "and the office keeps the photo");
    assert_eq!(phone.file(theirs), None, "others' photos are not fetched");
    // The office may not let it go now, whatever its own rule becomes: nobody else keeps it.
    office.link.set_keep_rule(KeepRule::Previews).unwrap();
    phone.note("and then");
    office.event(|event| matches!(event, LinkEvent::FilesArrived { .. })).await;
    assert!(office.file(photo).is_some(), "the last copy stays");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_photo_that_went_bad_on_one_disk_is_not_passed_on() {
    let (_folder, mut office, mut phone) = two().await;
    let good = phone.photo("good", &bytes(1, 300_000), &[]);
    let bad = phone.photo("bad", &bytes(2, 300_000), &[]);
    let path = phone.store().blob_path(swardbook_store::BlobHash::from_bytes(bad));
    let mut rotten = std::fs::read(&path).unwrap();
    rotten[150_000] ^= 1;
    std::fs::write(&path, rotten).unwrap();
    pair(&mut office, &mut phone).await;
    office.until("the good one", |office| office.file(good).is_some()).await;
    office.event(|event| matches!(event, LinkEvent::FilesArrived { .. })).await;
    assert_eq!(office.file(bad), None, "the bad one is not taken");
    assert!(office.has("bad"), "its entry is");
}
