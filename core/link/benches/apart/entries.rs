//! What is written on zones, as a practitioner's years fill them.

use std::{path::Path, time::Duration};

use swardbook_journal::{
    Document, DocumentKind, Record, Stamp,
    records::{Application, Observation, ObservationKind},
};
use swardbook_link::parts::{self, Parts};
use swardbook_store::{ActorBytes, Batch, Change, DocumentName, Store};

use swardbook_testkit::stop_watch;

use crate::device::open_store;

/// Zones of the notebook.
pub(crate) const ZONES: u16 = 200;
/// Entries that both hold of each zone before the season.
pub(crate) const BEFORE: u32 = 50;
/// Entries that the phone and the office write on each zone while they are apart.
pub(crate) const PHONE: u32 = 20;
pub(crate) const OFFICE: u32 = 5;

pub(crate) fn zone(number: u16) -> DocumentName {
    let hash = blake3::hash(&number.to_le_bytes());
    let mut bytes = [2; 11];
    bytes[1..].copy_from_slice(&hash.as_bytes()[..10]);
    DocumentName::from_bytes(&bytes).unwrap()
}

/// Writes so many entries on every zone, each a change of its own, and all of a zone in one commit.
pub(crate) fn write(folder: &Path, by: &str, count: u32) {
    let mut store = open_store(folder).unwrap();
    for number in 0..ZONES {
        write_on(&mut store, zone(number), by, count);
    }
    store.close().unwrap();
}

fn write_on(store: &mut Store, name: DocumentName, by: &str, count: u32) {
    let mut document = open(store, name);
    let is_new = store.read_document(name).unwrap().is_none();
    let mut changes = Vec::new();
    for number in 0..count {
        changes.push(write_entry(&mut document, name, by, number));
    }
    let heads = document.heads().concat();
    let mut batch = Batch::new();
    if is_new || store.needs_snapshot(name).unwrap() {
        batch.snapshot(name, document.save(), heads);
    } else {
        batch.change(name, changes, heads);
    }
    store.commit(&batch).unwrap();
}

pub(crate) fn open(store: &Store, name: DocumentName) -> Document {
    let actor = store.actor().unwrap();
    let Some(stored) = store.read_document(name).unwrap() else {
        return Document::new(DocumentKind::Zone, &actor);
    };
    let tail = stored.tail.iter().map(Vec::as_slice);
    Document::load(DocumentKind::Zone, &actor, stored.snapshot.as_deref(), tail).unwrap()
}

/// A third each: something put on, a rating, a note.
fn write_entry(document: &mut Document, zone: DocumentName, by: &str, number: u32) -> Change {
    let written = document.entries().len();
    let hash = blake3::hash(format!("{zone} {by} {number} {written}").as_bytes());
    let dice = hash.as_bytes();
    let key = hash.to_hex()[..16].to_owned();
    let day = format!("2026-{:02}-{:02}", 3 + number % 7, 1 + number % 28);
    let at = 1_790_000_000 + i64::from(number) * 86_400;
    match number % 3 {
        0 => put(
            document,
            &key,
            "application",
            by,
            at,
            &Application {
                material: "sulfate-of-potash".into(),
                amount_kg: Some(f64::from(dice[20]) / 10.0 + 0.5),
                date: day.parse().ok(),
                how: "spreader".into(),
                ..Application::default()
            },
        ),
        1 => put(
            document,
            &key,
            "observation",
            by,
            at,
            &Observation {
                sort: Some(ObservationKind::Rating),
                date: day.parse().ok(),
                what: "colour".into(),
                value: Some(f64::from(1 + dice[21] % 9)),
                ..Observation::default()
            },
        ),
        _ => put(
            document,
            &key,
            "observation",
            by,
            at,
            &Observation {
                sort: Some(ObservationKind::Note),
                date: day.parse().ok(),
                note: format!("dry by gate {}, mown short, {} worms", dice[22] % 20, dice[23] % 30),
                ..Observation::default()
            },
        ),
    }
}

fn put<R: Record>(
    document: &mut Document,
    key: &str,
    what: &str,
    by: &str,
    at: i64,
    record: &R,
) -> Change {
    document.put(key, record).unwrap();
    let note = Stamp {
        device: by.to_owned(),
        person: "Tamsin Okoro".into(),
        action: format!("added {what}"),
        at,
    };
    let committed = document.commit(&note).unwrap();
    let actor = ActorBytes::new(&committed.actor).unwrap();
    Change { actor, sequence: committed.sequence, bytes: committed.bytes }
}

/// Keeps so many photos of 4 MB of random bytes, and an entry for each.
pub(crate) fn photograph(folder: &Path, count: u32) {
    let mut store = open_store(folder).unwrap();
    let mut document = open(&store, zone(0));
    let mut bytes = vec![0; 4 << 20];
    for number in 0..count {
        blake3::Hasher::new().update(&number.to_le_bytes()).finalize_xof().fill(&mut bytes);
        let kept = store.add_blob(&mut bytes.as_slice(), u64::MAX).unwrap();
        let record = Observation {
            sort: Some(ObservationKind::Photo),
            photo: kept.hash.to_string(),
            size: i64::try_from(kept.size).ok(),
            ..Observation::default()
        };
        let key = format!("photo-{number}");
        put(&mut document, &key, "photo", "phone", 1_790_000_000, &record);
    }
    let mut batch = Batch::new();
    batch.snapshot(zone(0), document.save(), document.heads().concat());
    store.commit(&batch).unwrap();
    store.close().unwrap();
}

/// What the document library alone takes to open the documents of both notebooks as they are stored
/// and to take what the other lacks, one after the other on one processor, with nothing read,
/// written, packed or compared.
pub(crate) fn floor(office: &Path, phone: &Path) -> Duration {
    let stores = [office, phone].map(|folder| open_store(folder).unwrap());
    let mut took = Duration::ZERO;
    for number in 0..ZONES {
        let name = zone(number);
        let mut documents = [0, 1].map(|side: usize| open(&stores[side], name));
        let clocks = documents.each_mut().map(Document::clock);
        let [to_phone, to_office] = [(0, 1), (1, 0)]
            .map(|(from, to): (usize, usize)| documents[from].missing(&clocks[to]).bytes);
        for (store, lacks) in stores.iter().zip([to_office, to_phone]) {
            let stored = store.read_document(name).unwrap().unwrap();
            let actor = store.actor().unwrap();
            let begun = stop_watch();
            let tail = stored.tail.iter().map(Vec::as_slice);
            let mut document =
                Document::load(DocumentKind::Zone, &actor, stored.snapshot.as_deref(), tail)
                    .unwrap();
            document.receive(&lacks).unwrap();
            took += stop_watch() - begun;
        }
    }
    for store in stores {
        store.close().unwrap();
    }
    took
}

/// An exchange of both notebooks without a network.
pub(crate) fn parts(office: &Path, phone: &Path) -> Parts {
    parts::exchange(office, phone, stop_watch).unwrap()
}

/// Where the time of the season goes, and what the floor of it is.
pub(crate) fn print_parts(parts: &Parts, floor: Duration) {
    let Parts { list, read, talk, apply, write, note, bytes, frames } = parts;
    let all = [list, read, talk, apply, write, note].into_iter().sum::<Duration>();
    println!("the season without a network: {bytes} bytes in {frames} frames");
    for (what, time) in [
        ("listing what is held", list),
        ("reading documents", read),
        ("comparing, packing, unpacking", talk),
        ("opening and applying", apply),
        ("writing until safe", write),
        ("noting what the other keeps", note),
        ("all of it, both sides in turn", &all),
        ("the document library alone", &floor),
    ] {
        println!("  {what:32} {time:?}");
    }
    println!("  {:.2} times the document library alone", all.as_secs_f64() / floor.as_secs_f64());
}
