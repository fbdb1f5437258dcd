//! Any order and any repetition of changes gives every device the same whole state, for every kind
//! of record.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use proptest::prelude::*;
use swardbook_journal::{Document, DocumentKind, Entry, Fields, Record, Stamp, Value, records};

fn note(device: u8) -> Stamp {
    Stamp {
        device: format!("d{device}"),
        person: "T".into(),
        action: "edit".into(),
        at: 1_790_000_000,
    }
}

/// Fields that a record of each kind stores, so that every kind is exercised with its own keys.
fn kinds() -> Vec<(&'static str, Vec<&'static str>)> {
    vec![
        (records::Property::KIND, vec!["name", "client", "place", "renovation_day", "note"]),
        (records::Zone::KIND, vec!["name", "area_m2", "texture", "outline", "bulk_density"]),
        (records::Settings::KIND, vec!["name", "currency", "granular_days"]),
        (records::Device::KIND, vec!["name", "role", "endpoint"]),
        (records::Removal::KIND, vec!["name", "why"]),
        (records::Laboratory::KIND, vec!["name", "layouts.a.mapping", "layouts.b.mapping"]),
        (records::OwnMaterial::KIND, vec!["name", "analysis.a.name", "analysis.a.percent"]),
        (records::Price::KIND, vec!["material", "pack_kg", "minor"]),
        (records::Sample::KIND, vec!["date", "from_mm", "to_mm", "label", "mass_g"]),
        (records::Core::KIND, vec!["sample", "number", "set_aside", "reason"]),
        (
            records::Panel::KIND,
            vec!["date", "reading.k1.value", "reading.k1.unit", "reading.k2.value"],
        ),
        (records::PlanRecord::KIND, vec!["status", "item.a.dose_g_m2", "item.a.date", "target_ph"]),
        (records::Application::KIND, vec!["material", "amount_kg", "date", "weather"]),
        (records::Observation::KIND, vec!["sort", "what", "value", "photo", "strip"]),
        (records::Measurement::KIND, vec!["photo", "algorithm", "cover", "index_u", "flags"]),
        (records::Temperatures::KIND, vec!["file", "unit", "first", "days"]),
    ]
}

#[derive(Debug, Clone)]
enum Edit {
    Set { kind: usize, entry: u8, field: usize, value: i64 },
    Clear { kind: usize, entry: u8, field: usize },
    Void { kind: usize, entry: u8 },
    Restore { kind: usize, entry: u8 },
}

fn edits() -> impl Strategy<Value = Vec<Edit>> {
    let kind = 0..kinds().len();
    let one = prop_oneof![
        6 => (kind.clone(), 0..3_u8, 0..5_usize, any::<i64>())
            .prop_map(|(kind, entry, field, value)| Edit::Set { kind, entry, field, value }),
        1 => (kind.clone(), 0..3_u8, 0..5_usize)
            .prop_map(|(kind, entry, field)| Edit::Clear { kind, entry, field }),
        1 => (kind.clone(), 0..3_u8).prop_map(|(kind, entry)| Edit::Void { kind, entry }),
        1 => (kind, 0..3_u8).prop_map(|(kind, entry)| Edit::Restore { kind, entry }),
    ];
    prop::collection::vec(one, 1..12)
}

/// Entry names carry the device, as random ids do: no two devices make the same one.
fn name(device: u8, kind: usize, entry: u8) -> String {
    format!("{}-{device}-{entry}", kinds()[kind].0)
}

fn apply(doc: &mut Document, device: u8, edits: &[Edit]) {
    for edit in edits {
        match *edit {
            Edit::Set { kind, entry, field, value } => {
                let (word, fields) = &kinds()[kind];
                let key = name(device, kind, entry);
                if doc.entry(&key).is_none() {
                    // The raw record: a kind and nothing else.
                    put_empty(doc, &key, word);
                }
                let field = fields[field % fields.len()];
                doc.set(&key, field, Some(Value::Integer(value))).unwrap();
            }
            Edit::Clear { kind, entry, field } => {
                let fields = &kinds()[kind].1;
                let key = name(device, kind, entry);
                if doc.entry(&key).is_some() {
                    doc.set(&key, fields[field % fields.len()], None).unwrap();
                }
            }
            Edit::Void { kind, entry } => {
                let _absent = doc.void(&name(device, kind, entry), "mistake", 1);
            }
            Edit::Restore { kind, entry } => {
                let _absent = doc.restore(&name(device, kind, entry));
            }
        }
        doc.commit(&note(device));
    }
}

fn put_empty(doc: &mut Document, key: &str, word: &str) {
    macro_rules! each {
        ($($record:ident),*) => {
            $( if word == records::$record::KIND {
                doc.put(key, &records::$record::default()).unwrap();
                return;
            } )*
        };
    }
    each!(
        Property,
        Zone,
        Settings,
        Device,
        Removal,
        Laboratory,
        OwnMaterial,
        Price,
        Sample,
        Core,
        Panel,
        PlanRecord,
        Application,
        Observation,
        Measurement,
        Temperatures
    );
    panic!("kind {word} has no record");
}

fn state(doc: &mut Document) -> (Vec<[u8; 32]>, Vec<Entry>) {
    (doc.heads(), doc.entries())
}

fn device(number: u8, edits: &[Edit]) -> Document {
    let mut doc = Document::new(DocumentKind::Zone, &[number; 16]);
    apply(&mut doc, number, edits);
    // Every device also edits the others' first entries, so that fields really clash.
    doc
}

fn take(into: &mut Document, from: &mut Document) {
    let missing = from.missing(&into.clock());
    into.receive(&missing.bytes).unwrap();
}

fn copy(doc: &mut Document, actor: u8) -> Document {
    let bytes = doc.save();
    Document::load(DocumentKind::Zone, &[actor; 16], Some(&bytes), []).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn merging_is_commutative_associative_and_idempotent(
        base in edits(), a in edits(), b in edits(), c in edits()
    ) {
        // A shared past, then three devices apart; their edits of the shared entries clash.
        let mut past = device(9, &base);
        let (mut a_doc, mut b_doc, mut c_doc) = (copy(&mut past, 1), copy(&mut past, 2), copy(&mut past, 3));
        for (doc, number, own) in [(&mut a_doc, 1, &a), (&mut b_doc, 2, &b), (&mut c_doc, 3, &c)] {
            apply(doc, number, own);
            apply(doc, 9, own);
        }

        // a <- b <- c
        let mut one = copy(&mut a_doc, 11);
        take(&mut one, &mut b_doc);
        take(&mut one, &mut c_doc);
        // c <- (b <- a)
        let mut b_then_a = copy(&mut b_doc, 12);
        take(&mut b_then_a, &mut a_doc);
        let mut other = copy(&mut c_doc, 13);
        take(&mut other, &mut b_then_a);
        prop_assert_eq!(state(&mut one), state(&mut other), "order does not matter");

        // The same again changes nothing.
        let before = state(&mut one);
        let everything = other.missing(&swardbook_journal::Clock::new());
        one.receive(&everything.bytes).unwrap();
        one.receive(&everything.bytes).unwrap();
        prop_assert_eq!(state(&mut one), before, "repetition does not matter");

        // Stored as a snapshot and loaded again it is the same document.
        let bytes = one.save();
        let mut loaded = Document::load(DocumentKind::Zone, &[14; 16], Some(&bytes), []).unwrap();
        prop_assert_eq!(state(&mut loaded), state(&mut one), "decode(encode(x)) = x");
    }

    #[test]
    fn a_typed_write_keeps_what_it_does_not_know(number in any::<i64>(), text in "[a-z]{0,12}") {
        let mut doc = Document::new(DocumentKind::Zone, &[1; 16]);
        doc.put("s", &records::Sample { label: "A1".into(), ..Default::default() }).unwrap();
        doc.set("s", "salinity_of_tomorrow", Some(Value::Integer(number))).unwrap();
        // A field this version reads as text holds a number: kept, read as absent.
        doc.set("s", "tool", Some(Value::Integer(number))).unwrap();
        doc.commit(&note(1));
        let mut sample: records::Sample = doc.entry("s").unwrap().read().unwrap();
        prop_assert_eq!(&sample.tool, "");
        sample.note.clone_from(&text);
        doc.put("s", &sample).unwrap();
        doc.commit(&note(1));
        let fields: Fields = doc.entry("s").unwrap().fields;
        prop_assert_eq!(fields.get("salinity_of_tomorrow"), Some(&Value::Integer(number)));
        prop_assert_eq!(fields.get("tool"), Some(&Value::Integer(number)));
    }

    #[test]
    fn records_round_trip_through_their_fields(
        value in -1e12_f64..1e12, flag in any::<bool>(), name in "[a-z0-9]{1,6}", day in 0..20_000_i64
    ) {
        let date = swardbook_units::NaiveDate::from_ymd_opt(2000, 1, 1).unwrap()
            + swardbook_units::Days::new(u64::try_from(day).unwrap());
        let panel = records::Panel {
            date: Some(date),
            reading: [(name, records::ReadingRecord {
                analyte: "k".into(), value: Some(value), qualifier: Some(records::Qualifier::Below),
                ..Default::default()
            })].into(),
            ..Default::default()
        };
        prop_assert_eq!(records::Panel::from_fields(&panel.to_fields()), panel);
        let core = records::Core { set_aside: flag, depth_mm: Some(value), ..Default::default() };
        prop_assert_eq!(records::Core::from_fields(&core.to_fields()), core);
    }
}
