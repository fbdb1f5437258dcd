//! What an exchange costs: it grows with the difference, not with the notebook.

use std::io::Write as _;

use swardbook_journal::sync::DocumentId;
use swardbook_units::Id;

use crate::{
    chance::Chance,
    device::{Device, NOTEBOOK},
    pair::Connection,
};

/// Two devices that hold the same `count` documents, and have never met.
fn alike(count: usize) -> Vec<Device> {
    let mut chance = Chance::new(7);
    let mut one = Device::new(chance.bytes(), chance.bytes());
    // One document is written, the others are copies of its bytes: the cost is asked, not the text.
    one.write(zone(0), "first", 1, true).unwrap();
    let model = one.disk.documents[&zone(0)].clone();
    for number in 1..count {
        one.disk.documents.insert(zone(number), model.clone());
    }
    let mut other = Device::new(chance.bytes(), chance.bytes());
    other.disk.documents.clone_from(&one.disk.documents);
    vec![one, other]
}

fn zone(number: usize) -> DocumentId {
    // Spread as random ids are.
    let mut chance = Chance::new(u64::try_from(number).unwrap());
    DocumentId { kind: 2, id: Id::from_random(chance.bytes()) }
}

/// Bytes both ways until both agree.
fn bytes(devices: &mut [Device]) -> usize {
    let mut connection = Connection::open([0, 1], devices);
    connection.settle(devices);
    assert!(connection.in_sync(), "they agree: {:?}", connection.events);
    connection.bytes.iter().sum()
}

fn edited(count: usize, edits: usize) -> usize {
    let mut devices = alike(count);
    for number in 0..edits {
        devices[number % 2].write(zone(number * 13), "second", 2, true).unwrap();
    }
    bytes(&mut devices)
}

#[test]
fn nothing_differs_among_two_thousand() {
    let cost = edited(2_000, 0);
    assert!(cost < 300, "two hellos and one digest, not {cost} bytes");
}

#[test]
fn one_of_two_thousand_documents_differs() {
    let (few, many) = (edited(20, 1), edited(2_000, 1));
    // A hundred times the notebook adds one or two rounds of sixteen digests of 27 bytes.
    assert!(many < few + 3 * 16 * 30, "{few} bytes among 20 documents, {many} among 2,000");
    assert!(many < 3_000, "{many} bytes for one entry among 2,000 documents");
}

#[test]
fn the_cost_grows_with_the_difference() {
    let (one, ten, hundred) = (edited(2_000, 1), edited(2_000, 10), edited(2_000, 100));
    assert!(one < ten && ten < hundred, "{one}, {ten}, {hundred}");
    assert!(hundred < 100 * one, "shared rounds make many cheaper than each alone");
    // Listing every document would cost more than 2,000 times 19 bytes each way.
    assert!(ten < 2_000 * 19 / 2, "ten differences cost {ten} bytes, less than half a listing");
}

#[test]
fn who_remembers_the_other_is_not_asked_again() {
    let mut devices = alike(2_000);
    devices[0].write(zone(5), "second", 2, true).unwrap();
    bytes(&mut devices);
    devices[0].write(zone(5), "third", 3, true).unwrap();
    let remembered = bytes(&mut devices);
    for device in &mut devices {
        device.disk.peers.clear();
    }
    devices[0].write(zone(5), "fourth", 4, true).unwrap();
    let forgotten = bytes(&mut devices);
    assert!(
        remembered * 2 < forgotten,
        "{remembered} bytes with the last meeting remembered, {forgotten} without"
    );
}

#[test]
fn an_entry_made_while_connected_is_sent_at_once_and_alone() {
    let mut devices = alike(200);
    let mut connection = Connection::open([0, 1], &mut devices);
    connection.settle(&mut devices);
    let once = |connection: &mut Connection, devices: &mut Vec<Device>, value| {
        let (bytes, frames) = (connection.bytes, connection.frames);
        devices[0].write(zone(3), "live", value, true).unwrap();
        let changed = swardbook_journal::sync::Input::Changed(vec![zone(3)]);
        connection.input(0, changed, devices);
        connection.settle(devices);
        let seen = devices[1].document(zone(3)).entry("live").unwrap();
        assert_eq!(
            seen.fields.get("value"),
            Some(&swardbook_journal::Value::Integer(value)),
            "it is there"
        );
        (connection.bytes[0] - bytes[0], connection.frames[0] - frames[0])
    };
    once(&mut connection, &mut devices, 10);
    let (cost, frames) = once(&mut connection, &mut devices, 11);
    assert_eq!(frames, 1, "what the other has is known by then: one frame");
    assert!(cost < 400, "one change, not {cost} bytes");
}

#[test]
fn a_new_device_is_given_everything() {
    let mut chance = Chance::new(3);
    let mut full = Device::new(chance.bytes(), chance.bytes());
    for number in 0..300 {
        let id = if number % 10 == 0 { NOTEBOOK } else { zone(number % 40) };
        full.write(id, &format!("e{number}"), 1, true).unwrap();
    }
    let stored: usize = full.disk.documents.values().flat_map(|d| &d.chunks).map(Vec::len).sum();
    let mut devices = vec![full, Device::new(chance.bytes(), chance.bytes())];
    let cost = bytes(&mut devices);
    assert_eq!(devices[0].disk.documents.len(), devices[1].disk.documents.len(), "every document");
    assert!(cost < stored, "whole documents are shorter than their changes: {cost} of {stored}");
}

/// The figures of `docs/sync.md`: printed with `--nocapture`, and held to what they promise.
#[test]
fn five_of_two_thousand_cost_their_changes_and_a_few_hundred_bytes_each() {
    let mut devices = alike(2_000);
    // They have met before, and remember it.
    devices[0].write(zone(5), "second", 2, true).unwrap();
    bytes(&mut devices);
    let nothing = bytes(&mut devices);
    let mut missing = Vec::new();
    for number in 0..5 {
        let id = zone(number * 13);
        let device = &mut devices[number % 2];
        let before = device.document(id).clock();
        device.write(id, "third", 3, true).unwrap();
        for change in device.document(id).changes_beyond(&before) {
            missing.extend_from_slice(&change.bytes);
        }
    }
    let five = bytes(&mut devices);
    let mut alone = flate2::write::DeflateEncoder::new(Vec::new(), flate2::Compression::default());
    alone.write_all(&missing).unwrap();
    let alone = alone.finish().unwrap().len();
    println!("nothing of 2,000 documents differs: {nothing} bytes, both ways together");
    let beside = five - nothing - alone;
    println!(
        "5 of 2,000 differ: {five} bytes, of which {alone} are their changes alone, deflated, and \
         {beside} say what is held and acknowledge"
    );
    assert!(nothing < 200, "{nothing} bytes for nothing");
    assert!(beside < 5 * 320, "{beside} bytes beside the changes of five documents");
}
