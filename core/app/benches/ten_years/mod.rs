//! Notebooks of ten years, made once and kept beside the build.
//!
//! Zones are added through the commands; their journals are written as the commands write them, one
//! change an entry, but reach the disk in bulk, since two thousand zones hold three quarters of a
//! million entries.

use std::{
    collections::BTreeMap,
    fs,
    path::{Path, PathBuf},
    time::Duration,
};

use serde_json::{Value as Json, json};
use swardbook_app::{FixedSurroundings, Notebook, call};
use swardbook_journal::{
    Document, DocumentKind, Record, Stamp,
    records::{Application, Observation, ObservationKind, Panel, Qualifier, ReadingRecord, Sample},
};
use swardbook_store::{
    Access, ActorBytes, Batch, Change, DocumentName, IndexTable, LocalTable, Randomness, Span,
    Store,
};
use swardbook_units::{Id, NaiveDate};

/// Zones of one property.
const ZONES_OF_A_PROPERTY: usize = 10;
/// Changes that are not in the saved state yet, as a notebook in use has them.
const TAIL: usize = 20;
/// Changes of whenever the way these notebooks are made does.
const VERSION: &str = "2";

const READINGS: [(&str, &str, &str); 15] = [
    ("ph-water", "water-1-5", ""),
    ("ph-cacl2", "cacl2-1-5", ""),
    ("ec", "water-1-5", "dS/m"),
    ("oc", "walkley-black", "%"),
    ("p", "mehlich-3", "mg/kg"),
    ("k", "mehlich-3", "mg/kg"),
    ("ca", "mehlich-3", "mg/kg"),
    ("mg", "mehlich-3", "mg/kg"),
    ("s", "mehlich-3", "mg/kg"),
    ("ca", "exchangeable", "cmol/kg"),
    ("mg", "exchangeable", "cmol/kg"),
    ("k", "exchangeable", "cmol/kg"),
    ("na", "exchangeable", "cmol/kg"),
    ("zn", "dtpa", "mg/kg"),
    ("b", "hot-cacl2", "mg/kg"),
];

/// The day it is in the benches.
pub(crate) fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 3, 2).unwrap()
}

/// A clock that stands and dice of a seed.
pub(crate) fn surroundings(seed: u64) -> Box<FixedSurroundings> {
    Box::new(FixedSurroundings::new(today(), seed))
}

/// The folder in which notebooks are kept between runs.
pub(crate) fn kept() -> PathBuf {
    let target = std::env::current_exe().unwrap();
    // target/release/deps/notebook-0123456789abcdef
    let folder = target.ancestors().nth(3).unwrap().join("bench-notebooks");
    fs::create_dir_all(&folder).unwrap();
    folder
}

/// The folder of a notebook of so many zones, made when it is not there.
pub(crate) fn notebook(zones: usize) -> PathBuf {
    let folder = kept().join(format!("v{VERSION}-{zones}"));
    if folder.join("whole").exists() {
        return folder.join("book");
    }
    let _not_there = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    make(&folder.join("book"), zones);
    fs::write(folder.join("whole"), "").unwrap();
    folder.join("book")
}

/// The name of a zone in the middle of the list.
pub(crate) fn middle(zones: usize) -> String {
    zone_name(zones / 2)
}

/// Copies a notebook, and returns the copy.
pub(crate) fn copy(from: &Path, to: &Path) -> PathBuf {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let place = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copy(&path, &place);
        } else {
            fs::copy(&path, &place).unwrap();
        }
    }
    to.to_owned()
}

/// Lengths of the rows that one more entry writes: its change, the heads of its document, its place,
/// the facts of its zone, and the action that can be taken back.
pub(crate) fn rows_of_one_entry(
    scratch: &Path,
    add_entry: impl FnOnce(&mut Notebook, &str),
) -> Vec<usize> {
    let folder = copy(&notebook(20), &scratch.join("measured"));
    let open = || Store::open(&folder, Access::Read, random(8)).unwrap().store;
    let before = open();
    let sequence = before.sequence().unwrap();
    before.close().unwrap();
    let mut notebook = Notebook::open(&folder, surroundings(9)).unwrap();
    add_entry(&mut notebook, &middle(20));
    notebook.close().unwrap();
    let after = open();
    let [(_, name)] = after.changed_after(sequence).unwrap()[..] else {
        panic!("one journal changes")
    };
    let document = after.read_document(name).unwrap().unwrap();
    let change = document.tail.last().unwrap().len();
    let facts = after.get_index(IndexTable(3), name.id.as_bytes()).unwrap().unwrap().len();
    let span = Span::all().backwards().at_most(1);
    let action = after.range_local(LocalTable(1), &span).unwrap()[0].value.len();
    // The head and the place are a hash and two names.
    vec![change, 64, 64, facts, action]
}

/// The journal of one zone of ten years, in memory alone.
pub(crate) fn journal_in_memory(scratch: &Path) -> Document {
    let folder = copy(&notebook(20), &scratch.join("read"));
    let store = Store::open(&folder, Access::Read, random(8)).unwrap().store;
    let is_zone = |name: &DocumentName| name.kind == 2;
    let name = store.documents().unwrap().into_iter().map(|head| head.name).find(is_zone).unwrap();
    let stored = store.read_document(name).unwrap().unwrap();
    let tail = stored.tail.iter().map(Vec::as_slice);
    Document::load(DocumentKind::Zone, &[7; 16], stored.snapshot.as_deref(), tail).unwrap()
}

fn random(seed: u8) -> Randomness {
    Randomness { nonce: [seed; 16], actor: [seed ^ 0xff; 16] }
}

fn zone_name(at: usize) -> String {
    format!("Zone {at:04}")
}

fn make(folder: &Path, zones: usize) {
    let mut notebook = Notebook::create(folder, surroundings(1)).unwrap();
    notebook.set_person("Tamsin Okoro");
    let mut add = |kind: &str, within: Option<&str>, fields: Json| -> String {
        let asked = json!({ "kind": kind, "within": within, "fields": fields });
        let added = call(&mut notebook, "record.add", asked).unwrap();
        added["id"].as_str().unwrap().to_owned()
    };
    let mut ids: Vec<Id> = Vec::new();
    let mut property = String::new();
    for at in 0..zones {
        if at.is_multiple_of(ZONES_OF_A_PROPERTY) {
            let name = format!("Property {:03}", at / ZONES_OF_A_PROPERTY);
            property = add("property", None, json!({ "name": name, "ground": "home" }));
        }
        let fields = json!({
            "name": zone_name(at), "area": 120 + at % 400, "texture": "sandy-loam",
            "turf": "lawn", "grass": "warm-season", "root_zone": 100,
        });
        ids.push(add("zone", Some(&property), fields).parse().unwrap());
    }
    notebook.close().unwrap();
    let access = Access::Write { patience: Duration::from_secs(1) };
    let mut store = Store::open(folder, access, random(3)).unwrap().store;
    let actor = store.actor().unwrap();
    for ids in ids.chunks(20) {
        // A saved state stands for every change of its batch, so the tails come in the next one.
        let (mut saved, mut tails) = (Batch::new(), Batch::new());
        for id in ids {
            journal(*id, &actor, &mut saved, &mut tails);
        }
        store.commit(&saved).unwrap();
        store.commit(&tails).unwrap();
    }
    store.close().unwrap();
    let mut notebook = Notebook::open(folder, surroundings(5)).unwrap();
    notebook.rebuild_index().unwrap();
    notebook.close().unwrap();
}

/// Ten years of one zone.
fn journal(zone: Id, actor: &[u8; 16], in_saved: &mut Batch, in_tail: &mut Batch) {
    let name = DocumentName { kind: 2, id: zone };
    let mut writing = Writing {
        document: Document::new(DocumentKind::Zone, actor),
        dice: u64::from_be_bytes(zone.as_bytes()[..8].try_into().unwrap()),
        changes: Vec::new(),
    };
    for year in 2016..2026 {
        for month in 1..=12 {
            let day = |day| NaiveDate::from_ymd_opt(year, month, day).unwrap();
            writing.application(day(8));
            writing.observation(day(2), ObservationKind::Rating);
            if month % 3 != 0 {
                writing.observation(day(16), ObservationKind::Note);
            }
            if month == 3 || month == 9 {
                let sample = writing.sample(day(20));
                writing.panel(day(28), sample);
            }
        }
    }
    let whole = writing.changes.len();
    let saved = whole - TAIL;
    let snapshot = saved_state(actor, &writing.changes[..saved]);
    let heads = writing.document.heads().concat();
    in_saved.snapshot(name, snapshot, heads.clone());
    in_tail.change(name, writing.changes.split_off(saved), heads);
}

fn saved_state(actor: &[u8; 16], changes: &[Change]) -> Vec<u8> {
    let changes = changes.iter().map(|change| change.bytes.as_slice());
    Document::load(DocumentKind::Zone, actor, None, changes).unwrap().save()
}

struct Writing {
    document: Document,
    dice: u64,
    changes: Vec<Change>,
}

impl Writing {
    /// splitmix64 (Steele, Lea and Flood 2014), good enough for readings that must only differ.
    fn next(&mut self) -> u64 {
        self.dice = self.dice.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.dice;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn id(&mut self) -> Id {
        let mut bytes = [0; 10];
        bytes[..8].copy_from_slice(&self.next().to_be_bytes());
        bytes[8..].copy_from_slice(&self.next().to_be_bytes()[..2]);
        Id::from_random(bytes)
    }

    fn keep<R: Record>(&mut self, what: &str, day: NaiveDate, record: &R) -> Id {
        let id = self.id();
        self.document.put(&id.to_string(), record).unwrap();
        let note = Stamp {
            device: "a1b2c3d4".into(),
            person: "Tamsin Okoro".into(),
            action: format!("added {what} {day}"),
            at: day.and_hms_opt(9, 0, 0).unwrap().and_utc().timestamp(),
        };
        let committed = self.document.commit(&note).unwrap();
        let actor = ActorBytes::new(&committed.actor).unwrap();
        let change = Change { actor, sequence: committed.sequence, bytes: committed.bytes };
        self.changes.push(change);
        id
    }

    fn application(&mut self, day: NaiveDate) {
        let tenths = u32::try_from(self.next() % 80).unwrap();
        let record = Application {
            material: "sulfate-of-potash".into(),
            amount_kg: Some(f64::from(tenths) / 10.0 + 0.5),
            date: Some(day),
            how: "spreader".into(),
            ..Application::default()
        };
        self.keep("application", day, &record);
    }

    fn observation(&mut self, day: NaiveDate, sort: ObservationKind) {
        let rated = sort == ObservationKind::Rating;
        let rating = u32::try_from(1 + self.next() % 9).unwrap();
        let record = Observation {
            sort: Some(sort),
            date: Some(day),
            what: if rated { "colour".into() } else { String::new() },
            value: rated.then(|| f64::from(rating)),
            note: if rated { String::new() } else { "dry by the gate, mown short".into() },
            ..Observation::default()
        };
        self.keep("observation", day, &record);
    }

    fn sample(&mut self, day: NaiveDate) -> Id {
        let record = Sample {
            date: Some(day),
            from_mm: Some(0.0),
            to_mm: Some(100.0),
            label: format!("S{day}"),
            pulled_cores: Some(15),
            sent: Some(day),
            ..Sample::default()
        };
        self.keep("sample", day, &record)
    }

    fn panel(&mut self, day: NaiveDate, sample: Id) {
        let mut reading = BTreeMap::new();
        for (at, (analyte, method, unit)) in READINGS.iter().enumerate() {
            let hundredths = u32::try_from(300 + self.next() % 500).unwrap();
            let record = ReadingRecord {
                analyte: (*analyte).into(),
                method: (*method).into(),
                value: Some(f64::from(hundredths) / 100.0),
                unit: (*unit).into(),
                qualifier: (at == 12).then_some(Qualifier::Below),
                ..ReadingRecord::default()
            };
            reading.insert(format!("k{at:03}"), record);
        }
        let record = Panel {
            sample: Some(sample),
            report: format!("F-{day}"),
            date: Some(day),
            reading,
            ..Panel::default()
        };
        self.keep("panel", day, &record);
    }
}
