//! Ratings and readings on the spot: raters, instruments and the laboratory kept apart.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod book;

use book::Book;
use serde_json::{Value as Json, json};

fn begin() -> Book {
    let mut book = Book::on("2026-09-20");
    book.add("property", None, json!({ "name": "Kettle Bend" }));
    book.add("zone", Some("Kettle Bend"), json!({ "name": "Front verge" }));
    book
}

impl Book {
    fn observe(&mut self, fields: Json) -> Json {
        self.add("observation", Some("Front verge"), fields)
    }

    fn series(&mut self, what: &str) -> Json {
        self.ask("observation.series", json!({ "zone": "Front verge", "what": what }))
    }
}

fn missing(record: &Json) -> Vec<&str> {
    record["missing"].as_array().unwrap().iter().filter_map(Json::as_str).collect()
}

#[test]
fn raters_are_not_mixed_and_half_a_point_is_noise() {
    let mut book = begin();
    for (date, value, rater) in [
        ("2026-08-01", 5.0, "Tamsin Okoro"),
        ("2026-09-01", 5.5, "Tamsin Okoro"),
        ("2026-09-02", 8.0, "J. Brandt"),
    ] {
        let kept = book.observe(json!({ "sort": "rating", "date": date, "what": "colour",
            "value": value, "rater": rater }));
        assert!(missing(&kept).is_empty(), "{kept}");
    }
    let view = book.series("colour");
    let lines = view["lines"].as_array().unwrap();
    assert_eq!(lines.len(), 2, "a line for each rater: {view}");
    let hers = lines.iter().find(|line| line["rater"] == "Tamsin Okoro").unwrap();
    assert_eq!(hers["change"], 0.5);
    assert!(hers["sentence"].as_str().unwrap().contains("noise"), "{hers}");
    assert!(view["notes"][0].as_str().unwrap().contains("two raters"), "{view}");
    // Saved first and completed later: without its rater it is kept, and that is asked for.
    let kept = book.observe(json!({ "sort": "rating", "date": "2026-09-03", "what": "quality",
        "value": 6 }));
    assert_eq!(missing(&kept), ["Rater"]);
    let photo_like = book.observe(json!({ "sort": "note", "date": "2026-09-03", "note": "dew" }));
    assert!(missing(&photo_like).is_empty(), "a note wants no rater");
}

#[test]
fn ph_on_the_spot_is_never_mixed_with_the_laboratorys() {
    let mut book = begin();
    for what in ["pH", "ph-water", "ph-cacl2"] {
        let request = json!({ "kind": "observation", "within": "Front verge", "fields": {
            "sort": "spot", "date": "2026-08-01", "what": what, "value": 5.2 } });
        let problem = book.refused("record.add", request);
        assert_eq!(problem.field.as_deref(), Some("what"), "{what}: {problem}");
        assert!(problem.message.contains("ph-probe"), "{what}: {problem}");
    }
    for (date, value) in [("2026-08-01", 5.2), ("2026-09-01", 6.4)] {
        let kept = book.observe(json!({ "sort": "spot", "date": date, "what": "ph-probe",
            "value": value, "instrument": "probe 1" }));
        assert_eq!(missing(&kept), ["Calibrated"], "its last calibration is asked for");
    }
    book.observe(json!({ "sort": "spot", "date": "2026-09-01", "what": "ph-kit", "value": 7,
        "instrument": "kit" }));
    // A laboratory's panel of the same zone, twice.
    for (date, ph) in [("2026-08-02", 5.0), ("2026-09-02", 5.1)] {
        let sample = book.ask(
            "record.add",
            json!({ "kind": "sample", "within": "Front verge",
            "fields": { "date": date, "from": 0, "to": 100, "label": date } }),
        );
        book.ask(
            "panel.add",
            json!({ "sample": sample["id"], "date": date, "readings": [
            { "analyte": "ph-water", "value": ph, "unit": "", "method": "water-1-5" } ] }),
        );
    }
    let view = book.series("ph-probe");
    let values: Vec<f64> = view["lines"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|line| line["points"].as_array().unwrap())
        .map(|point| point["value"].as_f64().unwrap())
        .collect();
    assert_eq!(values, [5.2, 6.4], "neither the kit's nor the laboratory's");
    assert!(view["notes"].to_string().contains("never mixed with the laboratory"), "{view}");
    // And the comparison of panels takes nothing from the spot.
    let compared = book.ask("zone.compare", json!({ "zone": "Front verge" }));
    let rows = compared["rows"].as_array().unwrap();
    assert_eq!(rows.len(), 1, "{compared}");
    let readings = [&rows[0]["before"], &rows[0]["after"]];
    assert_eq!(readings, [&json!(5.0), &json!(5.1)], "the laboratory's: {compared}");
    assert!(!compared.to_string().contains("ph-probe"), "{compared}");
}
