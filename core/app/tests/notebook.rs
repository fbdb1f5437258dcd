//! A notebook kept through the same commands that every shell calls.

#![allow(clippy::unwrap_used, reason = "a test stops at the first thing that is not as expected")]

mod book;

use book::Book;
use serde_json::{Value, json};
use swardbook_app::{Code, Notebook, call};

fn begin() -> Book {
    Book::on("2026-03-02")
}

fn field<'a>(record: &'a Value, name: &str) -> &'a Value {
    let fields = record["fields"].as_array().unwrap();
    fields.iter().find(|f| f["name"] == name).map_or(&Value::Null, |f| &f["value"])
}

#[test]
fn what_is_kept_is_there_after_reopening() {
    let mut kept = begin();
    kept.add("property", None, json!({ "name": "Kettle Bend", "ground": "own" }));
    let zone = kept.add(
        "zone",
        Some("Kettle Bend"),
        json!({ "name": "Front verge", "area": "0,2 acre", "root_zone": "4 in" }),
    );
    assert_eq!(zone["missing"].as_array().unwrap().len(), 3, "{zone}");
    let sample = kept.add(
        "sample",
        Some("front verge"),
        json!({ "date": "2026-03-01", "from": 0, "to": "10 cm", "label": "FV1" }),
    );
    let mut kept = kept.reopen();
    let lines = kept.ask("zone.list", Value::Null);
    assert_eq!(lines[0]["samples"], 1, "{lines}");
    assert_eq!(lines[0]["last_sample"], "2026-03-01");
    let shown = kept.ask("zone.show", json!({ "zone": "Kettle Bend / Front verge" }));
    assert_eq!(shown["season"][0]["id"], sample["id"], "{shown}");
    let depth = field(&shown["record"], "root_zone").as_f64().unwrap();
    assert!((depth - 101.6).abs() < 1e-9, "four inches are {depth} mm");
    let area = field(&shown["record"], "area").as_f64().unwrap();
    assert!((area - 809.371_284_48).abs() < 1e-6, "a fifth of an acre is {area} m2");
}

#[test]
fn a_wrong_field_is_named_and_nothing_is_written() {
    let mut kept = begin();
    kept.add("property", None, json!({ "name": "Kettle Bend" }));
    kept.add("zone", Some("Kettle Bend"), json!({ "name": "Back terrace" }));
    let cases = [
        ("sample", json!({ "from": 100, "to": 50 }), "to", Code::BadInput),
        ("sample", json!({ "date": "03/04/2026" }), "date", Code::BadInput),
        ("sample", json!({ "sent": "2026-01-01", "date": "2026-02-01" }), "sent", Code::BadInput),
        ("sample", json!({ "mass": "-3 g" }), "mass", Code::BadInput),
        ("sample", json!({ "mass": "3 m2" }), "mass", Code::BadInput),
        ("sample", json!({ "colour": "red" }), "colour", Code::BadInput),
        ("sample", json!({ "laboratory": "Nowhere" }), "laboratory", Code::NotFound),
        ("core", json!({ "number": 1 }), "sample", Code::MissingInput),
        ("application", json!({ "material_words": "sand" }), "date", Code::MissingInput),
        (
            "observation",
            json!({ "sort": "rating", "date": "2026-01-01", "what": "colour", "value": 12 }),
            "value",
            Code::BadInput,
        ),
    ];
    for (kind, fields, at, code) in cases {
        let asked = json!({ "kind": kind, "within": "Back terrace", "fields": fields });
        let problem = kept.refused("record.add", asked.clone());
        assert_eq!(
            (problem.field.as_deref(), problem.code),
            (Some(at), code),
            "{asked}: {problem}"
        );
    }
    let shown = kept.ask("zone.show", json!({ "zone": "back terrace" }));
    assert_eq!(shown["season"], json!([]), "nothing was written");
}

#[test]
fn undo_works_across_restarts_and_says_what_it_took_back() {
    let mut kept = begin();
    kept.add("property", None, json!({ "name": "Kettle Bend" }));
    let zone = kept.add("zone", Some("Kettle Bend"), json!({ "name": "Nature strip" }));
    let id = zone["id"].as_str().unwrap().to_owned();
    kept.ask("record.edit", json!({ "id": id, "fields": { "name": "Nature-strip" } }));
    let mut kept = kept.reopen();
    let undone = kept.ask("notebook.undo", Value::Null);
    assert_eq!(undone["what"], "changed name of zone Nature-strip");
    assert_eq!(kept.ask("zone.list", Value::Null)[0]["name"], "Nature strip", "the list follows");
    kept.ask("notebook.undo", Value::Null);
    assert_eq!(kept.ask("zone.list", Value::Null), json!([]), "the zone is hidden again");
    let history = kept.ask("record.history", json!({ "id": id }));
    let names: Vec<&Value> = history
        .as_array()
        .unwrap()
        .iter()
        .filter(|r| r["field"] == "name")
        .map(|r| &r["after"])
        .collect();
    assert_eq!(names, ["Nature strip", "Nature-strip", "Nature strip"], "nothing is forgotten");
}

#[test]
fn a_record_taken_away_can_be_brought_back() {
    let mut kept = begin();
    kept.add("property", None, json!({ "name": "Bowls club", "ground": "commercial" }));
    kept.add("zone", Some("Bowls club"), json!({ "name": "Green surrounds" }));
    let note = kept.add(
        "observation",
        Some("Green surrounds"),
        json!({ "sort": "note", "date": "2026-02-03", "note": "dry patch" }),
    );
    let id = note["id"].as_str().unwrap();
    let gone = kept.ask("record.void", json!({ "id": id, "why": "wrong zone" }));
    assert_eq!(gone["voided"], "wrong zone");
    assert_eq!(kept.ask("zone.list", Value::Null)[0]["observations"], 0, "no longer counted");
    kept.ask("record.restore", json!({ "id": id }));
    assert_eq!(kept.ask("zone.list", Value::Null)[0]["observations"], 1, "counted again");
}

#[test]
fn two_things_of_one_name_are_told_apart_by_property_or_id() {
    let mut kept = begin();
    for property in ["North", "South"] {
        kept.add("property", None, json!({ "name": property }));
        kept.add("zone", Some(property), json!({ "name": "Lawn" }));
    }
    let problem = kept.refused("zone.show", json!({ "zone": "lawn" }));
    assert_eq!(problem.code, Code::Ambiguous, "{problem}");
    let zone = kept.ask("zone.show", json!({ "zone": "south / lawn" }));
    assert_eq!(zone["line"]["property_name"], "South");
}

#[test]
fn a_reader_is_refused_writing_in_clear_words() {
    let kept = begin();
    let folder = kept.folder();
    let mut reader = Notebook::open_to_read(&folder, kept.clock(9)).unwrap();
    let asked = json!({ "kind": "property", "fields": { "name": "X" } });
    let problem = call(&mut reader, "record.add", asked).unwrap_err();
    assert_eq!(problem.code, Code::ReadOnly, "{problem}");
    let second = Notebook::open(&folder, kept.clock(3)).map(drop).unwrap_err();
    assert_eq!(second.code, Code::InUse, "{second}");
    drop(kept);
}

#[test]
fn the_lists_made_again_are_the_lists_kept() {
    let mut kept = begin();
    kept.add("property", None, json!({ "name": "Kettle Bend" }));
    for name in ["Front verge", "Back terrace"] {
        kept.add("zone", Some("Kettle Bend"), json!({ "name": name, "area": 120 }));
        let sample = kept.add("sample", Some(name), json!({ "date": "2025-09-01", "label": name }));
        let asked = json!({ "sample": sample["id"], "date": "2025-09-20" });
        kept.add("panel", Some(name), asked);
        kept.add(
            "application",
            Some(name),
            json!({ "material_words": "river sand", "date": "2025-10-02", "amount": "40 kg" }),
        );
        kept.add(
            "observation",
            Some(name),
            json!({ "sort": "rating", "what": "colour", "value": 6, "date": "2025-11-01" }),
        );
    }
    let before = kept.ask("zone.list", Value::Null);
    assert_eq!(before[0]["waiting"], 0, "the panel came: {before}");
    kept.notebook.rebuild_index().unwrap();
    assert_eq!(kept.ask("zone.list", Value::Null), before);
}

#[test]
fn every_form_names_fields_that_are_stored() {
    let mut kept = begin();
    let forms = kept.ask("record.forms", Value::Null);
    for form in forms.as_array().unwrap() {
        let mut names: Vec<&str> =
            form["fields"].as_array().unwrap().iter().filter_map(|f| f["name"].as_str()).collect();
        let count = names.len();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), count, "a field of {} is listed twice", form["kind"]);
    }
}

/// Documents are let go when many are in memory, but never one that holds what is not on the disk.
#[test]
fn one_act_on_forty_zones_keeps_every_one_of_them() {
    const ZONES: usize = 40;
    let mut kept = begin();
    kept.add("property", None, json!({ "name": "Kettle Bend" }));
    let mut file = String::from("sample,analyte,value,unit,method\n");
    let mut targets = Vec::new();
    for at in 0..ZONES {
        let zone = format!("Zone {at:02}");
        kept.add("zone", Some("Kettle Bend"), json!({ "name": zone }));
        let sample = json!({ "date": "2026-02-20", "label": format!("Z{at}") });
        kept.add("sample", Some(&zone), sample);
        file.push_str(&format!("Z{at},pH,6.{},,water 1:1\n", at % 10));
        targets.push(json!({ "label": format!("Z{at}"), "zone": zone }));
    }
    let path = kept.scratch.path().join("forty.csv");
    std::fs::write(&path, file).unwrap();
    let answer = kept.ask("panel.import", json!({ "path": path, "targets": targets }));
    assert_eq!(answer["panels"].as_array().unwrap().len(), ZONES, "{answer}");

    let mut kept = kept.reopen();
    let panels = |kept: &mut Book| {
        let lines = kept.ask("zone.list", Value::Null);
        lines.as_array().unwrap().iter().map(|zone| zone["panels"].as_u64().unwrap()).sum::<u64>()
    };
    assert_eq!(panels(&mut kept), ZONES as u64);
    for panel in answer["panels"].as_array().unwrap() {
        let shown = kept.ask("panel.show", json!({ "panel": panel["panel"] }));
        assert_eq!(shown["readings"].as_array().unwrap().len(), 1, "{shown}");
    }
    kept.ask("notebook.undo", json!({}));
    let mut kept = kept.reopen();
    assert_eq!(panels(&mut kept), 0, "one act is taken back as one");
}
