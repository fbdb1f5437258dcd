//! What a document keeps: its beginnings, older and newer versions, history, undo, conflicts.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::path::PathBuf;

use swardbook_journal::{
    Document, DocumentKind, SCHEMA, Stamp, UndoError, Value, WriteError, records,
};

fn note(device: &str, at: i64) -> Stamp {
    Stamp { device: device.into(), person: "Tamsin Okoro".into(), action: "edit".into(), at }
}

fn fixture(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/journal").join(name)
}

/// The bytes of a released version never change: an older device's documents must merge with ours.
#[test]
fn the_first_version_opens_and_two_devices_migrate_it_to_the_same_document() {
    for kind in DocumentKind::ALL {
        let bytes = std::fs::read(fixture(&format!("v1-{}.automerge", kind.word()))).unwrap();
        let mut one = Document::load(kind, &[1; 16], Some(&bytes), []).unwrap();
        let mut two = Document::load(kind, &[2; 16], Some(&bytes), []).unwrap();
        assert_eq!(one.schema(), SCHEMA, "migrated");
        assert_eq!(one.heads(), two.heads(), "without having met");
        let kept: records::Sample = one.entry("sample-of-version-1").unwrap().read().unwrap();
        assert_eq!(kept.label, "KB-1", "the old entry reads");
        assert_eq!(
            kept.date,
            swardbook_units::NaiveDate::from_ymd_opt(2026, 9, 12),
            "and its date"
        );

        // Both write, then meet.
        one.put("x", &records::Observation { note: "from one".into(), ..Default::default() })
            .unwrap();
        one.commit(&note("one", 1));
        two.put("y", &records::Observation { note: "from two".into(), ..Default::default() })
            .unwrap();
        two.commit(&note("two", 1));
        let bytes = two.missing(&one.clock()).bytes;
        one.receive(&bytes).unwrap();
        assert!(one.entry("x").is_some() && one.entry("y").is_some(), "both show");
        if kind == DocumentKind::Notebook {
            assert!(one.entry(records::SETTINGS_KEY).is_some(), "what version 2 added");
        }
    }
}

#[test]
fn two_new_documents_share_their_beginnings() {
    let mut one = Document::new(DocumentKind::Notebook, &[1; 16]);
    let mut two = Document::new(DocumentKind::Notebook, &[2; 16]);
    assert_eq!(one.heads(), two.heads(), "the same genesis on every device");
    for (doc, name) in [(&mut one, "one"), (&mut two, "two")] {
        doc.set(records::SETTINGS_KEY, "name", Some(Value::Text(name.into()))).unwrap();
        doc.commit(&note(name, 5));
    }
    let bytes = two.missing(&one.clock()).bytes;
    one.receive(&bytes).unwrap();
    let conflicts = one.conflicts();
    assert_eq!(conflicts.len(), 1, "one field, two values");
    let mut values: Vec<_> = conflicts[0].claims.iter().map(|c| c.value.words()).collect();
    values.sort();
    assert_eq!(values, ["one", "two"], "neither is lost");
    let writers: Vec<_> =
        conflicts[0].claims.iter().map(|c| c.stamp.clone().unwrap().device).collect();
    assert!(writers.contains(&"one".into()) && writers.contains(&"two".into()), "{writers:?}");

    one.choose(records::SETTINGS_KEY, "name", &Value::Text("one".into())).unwrap();
    one.commit(&note("one", 6));
    assert!(one.conflicts().is_empty(), "a choice ends it");
    let said: Vec<_> = one
        .history(records::SETTINGS_KEY)
        .into_iter()
        .filter(|r| r.field == "name")
        .filter_map(|r| r.after.map(|v| v.words()))
        .collect();
    assert!(said.contains(&"two".into()), "the other stays in the history: {said:?}");
}

#[test]
fn a_newer_version_is_read_and_not_written() {
    let bytes = std::fs::read(fixture("newer-zone.automerge")).unwrap();
    let mut newer = Document::load(DocumentKind::Zone, &[1; 16], Some(&bytes), []).unwrap();
    assert!(newer.entry("made-by-newer").is_some(), "it reads");
    let refused = newer.put("b", &records::Sample::default());
    assert!(matches!(refused, Err(WriteError::NewerSchema { found: 99 })), "{refused:?}");
}

#[test]
fn history_tells_who_said_what_before() {
    let mut doc = Document::new(DocumentKind::Zone, &[1; 16]);
    doc.put("s", &records::Sample { mass_g: Some(480.0), ..Default::default() }).unwrap();
    doc.commit(&note("phone", 10));
    doc.set("s", "mass_g", Some(Value::Number(512.0))).unwrap();
    doc.commit(&note("office", 20));
    let of_mass: Vec<_> = doc.history("s").into_iter().filter(|r| r.field == "mass_g").collect();
    assert_eq!(of_mass.len(), 2, "{of_mass:?}");
    assert_eq!(of_mass[1].before, Some(Value::Number(480.0)), "before");
    assert_eq!(of_mass[1].after, Some(Value::Number(512.0)), "after");
    assert_eq!(of_mass[1].stamp.device, "office", "where");
    assert_eq!(of_mass[1].stamp.at, 20, "when, by that device");
    assert_eq!(doc.made("s").unwrap().device, "phone", "the maker stays the maker");
}

#[test]
fn actions_on_one_field_are_taken_back_one_after_the_other() {
    let mut doc = Document::new(DocumentKind::Zone, &[1; 16]);
    doc.put("s", &records::Sample { mass_g: Some(480.0), ..Default::default() }).unwrap();
    doc.commit(&note("phone", 10)).unwrap();
    let mut edits = Vec::new();
    for mass in [490.0, 500.0, 510.0] {
        doc.set("s", "mass_g", Some(Value::Number(mass))).unwrap();
        edits.push(doc.commit(&note("phone", 20)).unwrap());
    }
    doc.void("s", "twice", 25).unwrap();
    let hidden = doc.commit(&note("phone", 25)).unwrap();
    doc.restore("s").unwrap();
    let restored = doc.commit(&note("phone", 26)).unwrap();
    for (edit, says) in [(&restored, true), (&hidden, false)] {
        doc.undo(&edit.hash, 30).unwrap();
        doc.commit(&note("phone", 30));
        assert_eq!(doc.entry("s").unwrap().voided().is_some(), says, "hidden");
    }
    for (edit, says) in edits.iter().rev().zip([500.0, 490.0, 480.0]) {
        doc.undo(&edit.hash, 30).unwrap();
        doc.commit(&note("phone", 30));
        let sample: records::Sample = doc.entry("s").unwrap().read().unwrap();
        assert_eq!(sample.mass_g, Some(says));
    }
}

#[test]
fn taking_back_never_hides_what_another_device_says() {
    let mut phone = Document::new(DocumentKind::Zone, &[1; 16]);
    phone.put("s", &records::Sample { mass_g: Some(480.0), ..Default::default() }).unwrap();
    phone.commit(&note("phone", 10)).unwrap();
    let bytes = phone.save();
    let mut office = Document::load(DocumentKind::Zone, &[2; 16], Some(&bytes), []).unwrap();
    phone.set("s", "mass_g", Some(Value::Number(490.0))).unwrap();
    let here = phone.commit(&note("phone", 20)).unwrap();
    office.set("s", "mass_g", Some(Value::Number(700.0))).unwrap();
    let there = office.commit(&note("office", 20)).unwrap();
    phone.receive(&there.bytes).unwrap();
    office.receive(&here.bytes).unwrap();
    for (doc, change) in [(&mut phone, &here), (&mut office, &there)] {
        let refused = doc.undo(&change.hash, 30);
        assert!(matches!(refused, Err(UndoError::ChangedSince { .. })), "{refused:?}");
    }
}

#[test]
fn undo_works_after_reopening_and_refuses_to_overwrite_later_work() {
    let mut doc = Document::new(DocumentKind::Zone, &[1; 16]);
    doc.put("s", &records::Sample { mass_g: Some(480.0), ..Default::default() }).unwrap();
    let made = doc.commit(&note("phone", 10)).unwrap();
    doc.set("s", "mass_g", Some(Value::Number(512.0))).unwrap();
    let edited = doc.commit(&note("phone", 20)).unwrap();
    let bytes = doc.save();

    let mut doc = Document::load(DocumentKind::Zone, &[1; 16], Some(&bytes), []).unwrap();
    doc.undo(&edited.hash, 30).unwrap();
    let undone = doc.commit(&note("phone", 30)).unwrap();
    let sample: records::Sample = doc.entry("s").unwrap().read().unwrap();
    assert_eq!(sample.mass_g, Some(480.0), "taken back");

    doc.undo(&undone.hash, 40).unwrap();
    doc.commit(&note("phone", 40));
    let sample: records::Sample = doc.entry("s").unwrap().read().unwrap();
    assert_eq!(sample.mass_g, Some(512.0), "taking back the taking back");

    doc.set("s", "mass_g", Some(Value::Number(500.0))).unwrap();
    doc.commit(&note("phone", 45));
    let refused = doc.undo(&edited.hash, 50);
    assert!(matches!(refused, Err(UndoError::ChangedSince { .. })), "{refused:?}");

    doc.undo(&made.hash, 60).unwrap();
    doc.commit(&note("phone", 60));
    assert!(doc.entry("s").unwrap().voided().is_some(), "a made record is hidden, not erased");
    doc.restore("s").unwrap();
    doc.commit(&note("phone", 70));
    assert!(doc.entry("s").unwrap().read::<records::Sample>().is_some(), "and comes back");
}

#[test]
fn the_order_of_causes_survives_a_clock_that_is_years_wrong() {
    let mut phone = Document::new(DocumentKind::Zone, &[7; 16]);
    phone.put("first", &records::Sample::default()).unwrap();
    phone.commit(&note("phone", 4_000_000_000));
    let mut office = Document::new(DocumentKind::Zone, &[1; 16]);
    let held = office.clock();
    office.receive(&phone.missing(&held).bytes).unwrap();
    office.put("second", &records::Sample::default()).unwrap();
    office.commit(&note("office", 1_000));
    let order = |key: &str| office.entry(key).unwrap().order;
    assert!(order("first") < order("second"), "made after having seen the first");
}

#[test]
fn damaged_bytes_are_refused_and_never_silent() {
    let mut doc = Document::new(DocumentKind::Zone, &[1; 16]);
    for n in 0..40 {
        let note_text = format!("note {n} on the back terrace");
        doc.put(&format!("k{n}"), &records::Observation { note: note_text, ..Default::default() })
            .unwrap();
        doc.commit(&note("phone", n));
    }
    let good = doc.save();
    let want = doc.entries();
    let mut refused = 0;
    for at in (0..good.len()).step_by(7) {
        let mut bytes = good.clone();
        bytes[at] ^= 0x10;
        match Document::load(DocumentKind::Zone, &[1; 16], Some(&bytes), []) {
            Err(_) => refused += 1,
            Ok(loaded) => assert_eq!(loaded.entries(), want, "byte {at} read differently"),
        }
    }
    assert!(refused > 0, "flips are noticed");
    let torn = Document::load(DocumentKind::Zone, &[1; 16], Some(&good[..good.len() - 3]), []);
    assert!(torn.is_err(), "a torn document is an error");
}

#[test]
fn one_actor_in_two_places_is_noticed() {
    let mut doc = Document::new(DocumentKind::Zone, &[1; 16]);
    doc.put("s", &records::Sample::default()).unwrap();
    doc.commit(&note("phone", 1));
    let bytes = doc.save();
    let mut copy = Document::load(DocumentKind::Zone, &[1; 16], Some(&bytes), []).unwrap();
    doc.set("s", "label", Some(Value::Text("here".into()))).unwrap();
    doc.commit(&note("phone", 2));
    copy.set("s", "label", Some(Value::Text("there".into()))).unwrap();
    copy.commit(&note("copy", 2));
    let all = copy.missing(&swardbook_journal::Clock::new()).bytes;
    assert!(doc.receive(&all).is_err(), "refused, not silently dropped");
}
