//! Pairing, syncing both ways, by way of a third, over new addresses, and with the cable pulled.

use serde_json::json;

use crate::{
    device::{Device, ground, invite, pair},
    network::{joined, with_cables},
};

const SIZE: usize = 40 << 20;

/// An office with some ground and a phone, paired over cables; none where cables cannot be laid.
fn paired_by_cables(test: &str) -> Option<(tempfile::TempDir, Device, Device)> {
    if !with_cables(test) {
        return None;
    }
    let joined = crate::network::Joined::Switch;
    let scratch = tempfile::tempdir().unwrap();
    let office = Device::new(scratch.path(), "office", "office", 1, &joined);
    let phone = Device::new(scratch.path(), "phone", "field", 2, &joined);
    ground(&office);
    pair(&office, &phone);
    Some((scratch, office, phone))
}

#[test]
fn two_devices_pair_and_sync_both_ways() {
    let Some(joined) = joined("sync::two_devices_pair_and_sync_both_ways") else { return };
    let scratch = tempfile::tempdir().unwrap();
    let office = Device::new(scratch.path(), "office", "office", 1, &joined);
    let phone = Device::new(scratch.path(), "phone", "field", 2, &joined);
    ground(&office);
    office.note("before the pairing");

    // As two people do it: the words are read and answered.
    let mut inviting = office.start(&["invite"]);
    let code = inviting.hear("sward1-");
    let mut joining = phone.start(&["join", code.trim()]);
    let asked = inviting.hear("wants to be paired");
    assert!(asked.contains("phone"), "{asked}");
    joining.hear("wants to be paired");
    let words = |line: String| line.split_whitespace().map(str::to_owned).collect::<Vec<_>>();
    let (_, _) = (inviting.hear(""), joining.hear(""));
    let (there, here) = (words(inviting.hear("    ")), words(joining.hear("    ")));
    assert_eq!((there.len(), &there), (4, &here), "four words, the same on both");
    inviting.type_in("yes");
    joining.type_in("yes");
    let said = joining.end().done();
    assert!(said.contains("Paired with office"), "{said}");
    inviting.end().done();
    assert_eq!(phone.notes(), ["before the pairing"], "the past is there");

    phone.note("from the yard");
    office.note("from the desk");
    let status = phone.run(&["status"]).done();
    assert!(status.contains("1 entry not yet at office"), "{status}");
    let mut keeping = office.start(&["keep", "--json"]);
    keeping.hear("\"sync\"");
    let pass = phone.json(&["sync"]);
    assert_eq!((&pass["done"], &pass["met"]), (&json!(true), &json!(["office"])), "{pass}");
    for device in [&office, &phone] {
        assert_eq!(device.notes(), ["before the pairing", "from the desk", "from the yard"]);
    }
    let ended = keeping.stop().json();
    assert_eq!(ended["waiting"][0]["words"], "", "{ended}");
    let list = phone.run(&["devices", "list"]).done();
    for words in ["office", "phone", "this one", "nothing"] {
        assert!(list.contains(words), "{words} in {list}");
    }
    // Nobody is there now: it says so and loses nothing.
    let alone = phone.json(&["sync", "--patience", "1"]);
    assert_eq!((&alone["done"], &alone["away"]), (&json!(false), &json!(["office"])), "{alone}");
}

#[test]
fn a_phone_and_an_office_that_never_meet_sync_by_way_of_the_one_that_is_always_on() {
    let test =
        "sync::a_phone_and_an_office_that_never_meet_sync_by_way_of_the_one_that_is_always_on";
    let Some(joined) = joined(test) else { return };
    let scratch = tempfile::tempdir().unwrap();
    let office = Device::new(scratch.path(), "office", "office", 1, &joined);
    let phone = Device::new(scratch.path(), "phone", "field", 2, &joined);
    let shed = Device::new(scratch.path(), "shed", "always-on", 3, &joined);
    ground(&office);
    pair(&office, &shed);
    pair(&office, &phone);
    // The shed has heard of the phone from the office.
    let mut keeping = shed.start(&["keep", "--only-keep", "--json"]);
    keeping.hear("\"sync\"");
    office.json(&["sync", "--patience", "2"]);
    let photo = phone.photo(5, 3 << 20);
    phone.note("from the yard");
    phone.json(&["sync", "--patience", "5"]);
    shed.until("the photo in the shed", |shed| shed.has_whole(5, 3 << 20));
    // Phone off, office on.
    let pass = office.json(&["sync", "--patience", "5"]);
    assert!(pass["met"].to_string().contains("shed"), "{pass}");
    assert_eq!(office.notes(), ["from the yard"]);
    assert!(office.has_whole(5, 3 << 20), "{photo} came over");
    keeping.stop().done();
    let refused = shed.run(&["property", "add", "--name", "x", "--json"]).refused();
    assert!(refused.contains("only keeps"), "{refused}");
    shed.run(&["devices", "this", "--edits"]).done();
    shed.run(&["property", "add", "--name", "Shed's own"]).done();
}

#[test]
fn a_device_with_a_new_address_is_found_by_local_discovery_alone() {
    let test = "sync::a_device_with_a_new_address_is_found_by_local_discovery_alone";
    let Some((_scratch, office, phone)) = paired_by_cables(test) else { return };
    // Every address that either remembers is gone: the phone's hotspot gives others.
    for device in [&office, &phone] {
        device.place.as_ref().unwrap().take_address("10.88.0");
    }
    let found_without = {
        office.run(&["devices", "this", "--discovery", "off"]).done();
        phone.run(&["devices", "this", "--discovery", "off"]).done();
        let mut keeping = office.start(&["keep", "--json"]);
        keeping.hear("\"sync\"");
        let pass = phone.json(&["sync", "--patience", "1"]);
        keeping.stop().done();
        pass["met"] != json!([])
    };
    assert!(!found_without, "remembered addresses are of no use: the test tests discovery");
    office.run(&["devices", "this", "--discovery", "on"]).done();
    phone.run(&["devices", "this", "--discovery", "on"]).done();
    phone.note("over the hotspot");
    let mut keeping = office.start(&["keep", "--json"]);
    keeping.hear("\"sync\"");
    let pass = phone.json(&["sync"]);
    assert_eq!((&pass["done"], &pass["met"]), (&json!(true), &json!(["office"])), "{pass}");
    assert_eq!(office.notes(), ["over the hotspot"]);
    keeping.stop().done();
}

#[test]
fn a_cable_pulled_in_the_middle_of_a_photo_costs_nothing_that_was_there() {
    let test = "sync::a_cable_pulled_in_the_middle_of_a_photo_costs_nothing_that_was_there";
    let Some((_scratch, office, phone)) = paired_by_cables(test) else { return };
    phone.photo(7, SIZE);
    let mut keeping = office.start(&["keep", "--json"]);
    keeping.hear("\"sync\"");
    let mut live = phone.start(&["sync", "--live", "--json"]);
    office.until("it is on its way", |office| office.arriving() > 1 << 20);
    phone.place.as_ref().unwrap().pull();
    // Both have noticed.
    live.hear("\"apart\"");
    keeping.hear("\"apart\"");
    let there = office.arriving();
    assert!(there > 0 && there < SIZE as u64, "cut in the middle: {there} bytes");
    phone.place.as_ref().unwrap().plug_in();
    office.until("all of it", |office| {
        let now = office.arriving();
        // What was there is not fetched again, but for the last part of 16 KiB.
        assert!(now == 0 || now + (16 << 10) >= there, "{now} bytes where there were {there}");
        office.has_whole(7, SIZE)
    });
    keeping.stop().done();
    live.stop().done();
    assert_eq!(office.notes().len(), phone.notes().len(), "the same on both");
}

#[test]
fn a_removed_device_is_refused_and_told_so() {
    let Some(joined) = joined("sync::a_removed_device_is_refused_and_told_so") else { return };
    let scratch = tempfile::tempdir().unwrap();
    let office = Device::new(scratch.path(), "office", "office", 1, &joined);
    let phone = Device::new(scratch.path(), "phone", "field", 2, &joined);
    ground(&office);
    pair(&office, &phone);
    office.run(&["devices", "remove", "phone", "--why", "lost"]).done();
    office.note("after the removal");
    let mut keeping = office.start(&["keep", "--json"]);
    let refused = keeping.hear("");
    assert!(refused.contains("no other device"), "nobody is left to keep it for: {refused}");
    keeping.end().refused();
    // Invited once more, the office opens its network and hears the phone knock.
    let (_code, mut inviting) = invite(&office);
    let pass = phone.json(&["sync", "--patience", "4"]);
    assert_eq!(pass["done"], false, "{pass}");
    assert!(pass["status"]["problems"].to_string().contains("removed"), "{pass}");
    inviting.kill();
    assert_eq!(phone.notes(), Vec::<String>::new(), "it was given nothing more");
}
