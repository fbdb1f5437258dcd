//! The stock handshake of the document library reaches the same state from the same beginnings.

use automerge::{AutoCommit, sync::SyncDoc as _};
use swardbook_journal::{Document, DocumentKind, Entry};

use crate::{
    chance::Chance,
    device::{Device, NOTEBOOK},
    pair::Connection,
};

/// Two devices with a common past that then wrote apart.
fn apart(seed: u64) -> (Vec<Device>, Vec<Vec<u8>>) {
    let mut chance = Chance::new(seed);
    let mut past = Device::new(chance.bytes(), chance.bytes());
    for number in 0..chance.below(20) {
        past.write(NOTEBOOK, &format!("p{number}"), 1, true);
    }
    past.write(NOTEBOOK, "always", 1, true);
    let mut devices: Vec<Device> = (0..2)
        .map(|_| {
            let mut device = Device::new(chance.bytes(), chance.bytes());
            device.disk.documents.clone_from(&past.disk.documents);
            device
        })
        .collect();
    for device in &mut devices {
        for _ in 0..chance.below(30) {
            let key = format!("p{}", chance.below(25));
            device.write(NOTEBOOK, &key, i64::try_from(chance.next() >> 1).unwrap(), true);
        }
    }
    let saved = devices.iter_mut().map(|device| device.document(NOTEBOOK).save()).collect();
    (devices, saved)
}

fn stock(saved: &[Vec<u8>]) -> Vec<(Vec<[u8; 32]>, Vec<Entry>)> {
    let mut documents: Vec<AutoCommit> =
        saved.iter().map(|bytes| AutoCommit::load(bytes).unwrap()).collect();
    let mut states = [automerge::sync::State::new(), automerge::sync::State::new()];
    for _ in 0..100 {
        let mut quiet = true;
        for from in 0..2 {
            let message = documents[from].sync().generate_sync_message(&mut states[from]);
            if let Some(message) = message {
                quiet = false;
                let to = 1 - from;
                let receiver = &mut documents[to];
                receiver.sync().receive_sync_message(&mut states[to], message).unwrap();
            }
        }
        if quiet {
            break;
        }
    }
    documents
        .iter_mut()
        .map(|document| {
            let bytes = document.save();
            let mut read =
                Document::load(DocumentKind::Notebook, &[9; 16], Some(&bytes), []).unwrap();
            (read.heads(), read.entries())
        })
        .collect()
}

#[test]
fn the_stock_handshake_ends_where_we_do() {
    for seed in 0..40 {
        let (mut devices, saved) = apart(seed);
        let mut connection = Connection::open([0, 1], &mut devices);
        connection.settle(&mut devices);
        assert!(connection.in_sync(), "seed {seed}: they agree");
        let expected = stock(&saved);
        assert_eq!(expected[0], expected[1], "seed {seed}: the oracle agrees with itself");
        for device in &mut devices {
            device.restart();
            let document = device.document(NOTEBOOK);
            let reached = (document.heads(), document.entries());
            assert_eq!(reached, expected[0], "seed {seed}: the same whole state");
        }
    }
}
