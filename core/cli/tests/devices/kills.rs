//! Either device is killed at any moment; nothing that was acknowledged is lost.

use serde_json::json;

use crate::{
    device::{Device, ground, pair},
    network::joined,
};

/// How many times a device is killed.
const KILLS: usize = 4;

/// `SWARDBOOK_SYNC_KILLS=100` kills so many times.
fn kills() -> usize {
    let asked = std::env::var("SWARDBOOK_SYNC_KILLS").ok().map(|text| text.parse().unwrap());
    asked.unwrap_or(KILLS)
}

#[test]
fn devices_killed_during_sync_lose_no_entry_and_no_photo() {
    let Some(joined) = joined("kills::devices_killed_during_sync_lose_no_entry_and_no_photo")
    else {
        return;
    };
    let scratch = tempfile::tempdir().unwrap();
    let office = Device::new(scratch.path(), "office", "office", 1, &joined);
    let phone = Device::new(scratch.path(), "phone", "field", 2, &joined);
    ground(&office);
    pair(&office, &phone);
    let (mut notes, mut photos) = (Vec::new(), Vec::new());
    for round in 0..kills() {
        for (device, name) in [(&office, "office"), (&phone, "phone")] {
            let note = format!("{name}-{round:03}");
            device.note(&note);
            notes.push(note);
        }
        let (seed, size) = (u8::try_from(round % 250).unwrap(), (1 << 20) + round * 1_013);
        phone.photo(seed, size);
        photos.push((seed, size));
        let mut keeping = office.start(&["keep", "--json"]);
        keeping.hear("\"sync\"");
        let mut live = phone.start(&["sync", "--live", "--json"]);
        live.hear("\"sync\"");
        // Somewhere between the meeting and the end of the photo; where differs by round.
        let before = u64::try_from(round % 5).unwrap() << 17;
        office.until("it has begun", |office| {
            office.arriving() > before || office.has_whole(seed, size)
        });
        let (victim, other) =
            if round % 2 == 0 { (&mut keeping, &mut live) } else { (&mut live, &mut keeping) };
        victim.kill();
        other.kill();
    }
    let mut keeping = office.start(&["keep", "--json"]);
    keeping.hear("\"sync\"");
    let pass = phone.json(&["sync"]);
    assert_eq!(pass["done"], json!(true), "{pass}");
    keeping.stop().done();
    notes.sort();
    for device in [&office, &phone] {
        assert_eq!(device.notes(), notes, "every acknowledged entry");
        for (seed, size) in &photos {
            assert!(device.has_whole(*seed, *size), "photo {seed} of {size} bytes");
        }
        let damaged = device.json(&["status"])["damaged"].clone();
        assert_eq!(damaged, json!([]), "and no damage");
    }
}
