//! What an exchange costs: it grows with the difference, not with the notebook.

use std::io::Write as _;

use swardbook_journal::sync::DocumentId;
use swardbook_units::Id;

use crate::{
    chance::Chance,
    device::{Device, Disk, NOTEBOOK},
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

/// Two devices that exchanged 2,000 zones, each zone with a past of its own.
fn acquainted() -> Vec<Device> {
    let mut devices = alike(1);
    for number in 0..2_000 {
        for entry in 0..2 {
            devices[0].make_entry(zone(number), u32::try_from(number * 2 + entry).unwrap());
        }
    }
    let disk = devices[0].disk.clone();
    devices[1].disk.documents.clone_from(&disk.documents);
    devices[1].disk.sequence = disk.sequence;
    // As the exchange would have left it.
    for (at, other) in [(0, 1), (1, 0)] {
        let nonce = devices[other].disk.nonce;
        let held = disk.documents.iter().map(|(id, stored)| (*id, stored.held.clone())).collect();
        devices[at].remember(other, nonce, held);
        devices[at].agreed(other);
    }
    devices
}

fn deflated(bytes: &[u8]) -> usize {
    let mut packer = flate2::write::DeflateEncoder::new(Vec::new(), flate2::Compression::default());
    packer.write_all(bytes).unwrap();
    packer.finish().unwrap().len()
}

/// Bytes when five zones have so many new entries each, and the bytes of their changes alone, those
/// of each direction deflated in one stream.
fn five_zones(disks: &[Disk], entries: u32, is_remembered: bool) -> (usize, usize) {
    let mut devices: Vec<Device> = disks.iter().cloned().map(Device::of).collect();
    let mut missing = [Vec::new(), Vec::new()];
    for number in 0..5 {
        let id = zone(number * 13);
        let device = &mut devices[number % 2];
        let before = device.document(id).clock();
        for entry in 0..entries {
            device.make_entry(id, 100_000 + u32::try_from(number).unwrap() * 1_000 + entry);
        }
        for change in device.document(id).changes_beyond(&before) {
            missing[number % 2].extend_from_slice(&change.bytes);
        }
    }
    if !is_remembered {
        devices.iter_mut().for_each(|device| device.disk.peers.clear());
    }
    (bytes(&mut devices), missing.iter().map(|bytes| deflated(bytes)).sum())
}

/// The figures of `docs/sync.md`: printed with `--nocapture`, and held to what they promise.
#[test]
fn what_differs_costs_about_its_changes_and_nothing_costs_next_to_nothing() {
    let mut devices = acquainted();
    let disks: Vec<Disk> = devices.iter().map(|device| device.disk.clone()).collect();
    let nothing = bytes(&mut devices);
    println!("nothing of 2,000 zones differs: {nothing} bytes, both ways together");
    assert!(nothing < 100, "{nothing} bytes for nothing");
    for (entries, is_remembered, most) in
        [(1, true, 1.2), (20, true, 1.0), (1, false, 2.5), (20, false, 1.2)]
    {
        let (cost, alone) = five_zones(&disks, entries, is_remembered);
        let ratio =
            f64::from(u32::try_from(cost).unwrap()) / f64::from(u32::try_from(alone).unwrap());
        let memory = if is_remembered { "remembered" } else { "forgotten" };
        println!(
            "5 of 2,000 zones with {entries} new entries each, the last meeting {memory}: {cost} \
             bytes; their changes alone, deflated, {alone}: {ratio:.2} times"
        );
        assert!(ratio < most, "{ratio:.2} times the changes alone");
    }
}
