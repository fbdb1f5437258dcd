//! The calculations of the field, through the catalogue as a shell runs them.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use serde_json::{Value, json};
use swardbook_app::{Code, calc::run};

fn answer(id: &str, input: &Value) -> Value {
    run(id, input).unwrap_or_else(|problem| panic!("{id} {input}: {problem}")).to_json()
}

fn number(answer: &Value, name: &str) -> f64 {
    answer["result"][name]["value"].as_f64().unwrap_or_else(|| panic!("{name} in {answer}"))
}

fn near(answer: &Value, name: &str, expected: f64, tolerance: f64) {
    let got = number(answer, name);
    assert!((got - expected).abs() <= tolerance, "{name} is {got}, not {expected}");
}

fn refused(id: &str, input: Value, code: Code, field: &str) {
    let problem = run(id, &input).unwrap_err();
    assert_eq!(
        (problem.code, problem.field.as_deref()),
        (code, Some(field)),
        "{id} {input}: {problem}"
    );
}

#[test]
fn the_window_between_the_last_feed_and_the_renovation() {
    let input = json!({
        "applications": [
            { "what": "autumn granules", "day": "2026-03-01", "kind": "granular" },
            { "what": "seaweed", "day": "2026-04-10", "kind": "liquid" },
        ],
        "renovation": "2026-08-01",
        "today": "2026-05-01",
        "baseline": "2024-06-10",
    });
    let found = answer("sampling-window", &input);
    let result = &found["result"];
    assert_eq!(result["clear"], "2026-06-01", "three months after the granules");
    assert_eq!(result["ruled_by"], "autumn granules", "not the later liquid");
    assert_eq!(result["clear_days"], json!(["2026-06-01", "2026-05-22"]), "each its own");
    // 33 days before 1 August.
    assert_eq!(result["latest"], "2026-06-29", "7 + 2 + 21 + 3 days");
    assert_eq!(result["order"], "2026-07-25", "a week to deliver");
    near(&found, "days_to_spare", 28.0, 0.0);
    assert_eq!(result["can_be_met"], true, "a month to spare");
    assert_eq!(result["choices"], json!([]), "none needed");
    near(&found, "season_apart", 9.0, 1.0);
    let habit = found["sources"].as_array().unwrap().iter();
    assert!(
        habit.clone().any(|s| s["caveat"] == "common practice, no source"),
        "defaults are marked: {found}"
    );
}

#[test]
fn a_window_that_is_shut_names_the_choices() {
    let input = json!({
        "applications": [{ "day": "2026-03-01", "kind": "granular" }],
        "renovation": "2026-06-20",
        "today": "2026-05-01",
    });
    let found = answer("sampling-window", &input);
    assert_eq!(found["result"]["can_be_met"], false, "{found}");
    near(&found, "days_to_spare", -14.0, 0.0);
    let choices = found["result"]["choices"].as_array().unwrap();
    assert!(choices.iter().any(|c| c.as_str().unwrap().contains("2026-07-04")), "{choices:?}");
    refused("sampling-window", json!({ "renovation": "2026-06-20" }), Code::MissingInput, "today");
    refused(
        "sampling-window",
        json!({ "applications": [{ "day": "2026-03-01", "kind": "rain" }] }),
        Code::BadInput,
        "applications[0].kind",
    );
    let nothing = answer("sampling-window", &json!({}));
    assert_eq!(nothing["result"]["clear"], Value::Null, "any day");
}

#[test]
fn cores_by_hand_and_by_defaults() {
    // moisture-instrument-manual: t 2.201, s 1.74, full width 5: 2.35, so 3.
    let input = json!({ "t": 2.201, "sd": 1.74, "margin_units": 2.5 });
    let found = answer("core-count", &input);
    near(&found, "raw", 2.35, 0.005);
    near(&found, "cores", 3.0, 0.0);
    // scipy on the oxford panels: CV 40.495 %, 10 %: 66 cores.
    near(&answer("core-count", &json!({ "cv": 40.495, "margin": 10 })), "cores", 66.0, 0.0);
    let by_default = answer("core-count", &json!({ "analyte": "k", "margin": 20 }));
    let inputs = by_default["working"].as_array().unwrap();
    assert!(
        inputs.iter().any(|i| i["origin"] == "default" && i["value"] == 36.5),
        "the default scatter says so: {inputs:?}"
    );
    let lab = json!({ "analyte": "k", "margin": 25, "with_laboratory": true });
    let without = number(&answer("core-count", &json!({ "analyte": "k", "margin": 25 })), "cores");
    assert!(
        number(&answer("core-count", &lab), "cores") > without,
        "the laboratory takes its part"
    );
    refused(
        "core-count",
        json!({ "analyte": "k", "margin": 15, "with_laboratory": true }),
        Code::Refused,
        "margin",
    );
}

#[test]
fn core_counts_that_do_not_fit_together_are_named() {
    let both = json!({ "cv": 10, "sd": 1, "margin": 5 });
    refused("core-count", both, Code::BadInput, "sd");
    refused("core-count", json!({ "margin": 5 }), Code::MissingInput, "cv");
    refused("core-count", json!({ "cv": 10 }), Code::MissingInput, "margin");
    refused("core-count", json!({ "sd": 1, "margin": 5 }), Code::BadInput, "margin");
    let unknown = json!({ "analyte": "unobtainium", "margin": 5 });
    refused("core-count", unknown, Code::BadInput, "analyte");
}

#[test]
fn a_bag_of_fifteen_cores() {
    let input = json!({ "diameter": 20, "depth": { "value": 10, "unit": "cm" }, "cores": 15 });
    let found = answer("composite-mass", &input);
    // pi cm2 x 10 cm x 1.3 x 1.2 = 49.009 g.
    near(&found, "core_moist", 49.0088, 1e-3);
    near(&found, "moist", 735.1327, 1e-3);
    near(&found, "cores_to_reach", 11.0, 0.0);
    assert_eq!(found["result"]["enough"], true, "735 of 500 g");
    let small = json!({ "diameter": 12, "depth": 75, "cores": 8, "ask": 300 });
    let found = answer("composite-mass", &small);
    assert_eq!(found["result"]["enough"], false, "{found}");
    assert!(found["cautions"].to_string().contains("lighter"), "said");
    refused(
        "composite-mass",
        json!({ "diameter": 2, "depth": 75, "cores": 8 }),
        Code::BadInput,
        "diameter",
    );
}

#[test]
fn areas_by_whatever_was_measured() {
    let area = |input: Value, expected: f64, tolerance: f64| {
        near(&answer("area", &input), "area", expected, tolerance);
    };
    area(
        json!({ "shape": "rectangle", "length": 12, "width": { "value": 550, "unit": "cm" } }),
        66.0,
        1e-9,
    );
    // macosa-heron prints 1076.817.
    area(json!({ "shape": "triangle", "sides": [53.9, 64.4, 40.1] }), 1076.817, 5e-4);
    let l = json!({ "shape": "parts", "parts": [
        { "shape": "rectangle", "length": 24, "width": 26 },
        { "shape": "rectangle", "length": 10, "width": 16, "take_off": true },
    ] });
    area(l, 464.0, 1e-9);
    let outline = json!({ "shape": "outline",
        "corners": [
            { "x": 0, "y": 0 }, { "x": 24, "y": 0 }, { "x": 24, "y": 10 },
            { "x": 14, "y": 10 }, { "x": 14, "y": 26 }, { "x": 0, "y": 26 },
        ],
        "holes": [{ "corners": [
            { "x": 3, "y": 3 }, { "x": 7, "y": 3 }, { "x": 7, "y": 8 }, { "x": 3, "y": 8 },
        ] }],
    });
    let found = answer("area", &outline);
    near(&found, "area", 444.0, 1e-9);
    near(&found, "perimeter", 100.0, 1e-9);
    // survey-offsets-notes prints 460.75 and 461.167.
    let widths = [3.15, 4.3, 8.2, 5.6, 6.85, 7.6, 4.2, 5.6, 4.3];
    let offsets: Vec<Value> =
        widths.iter().enumerate().map(|(i, w)| json!({ "at": 10 * i, "width": w })).collect();
    let found = answer("area", &json!({ "shape": "offsets", "offsets": offsets }));
    near(&found, "trapezoidal", 460.75, 5e-3);
    near(&found, "simpson", 461.167, 5e-4);
    near(&found, "area", 461.167, 5e-4);
    // geographiclib: 600.756559669971.
    let positions = json!({ "shape": "positions", "positions": [
        { "latitude": 51.5, "longitude": -0.12 }, { "latitude": 51.5, "longitude": -0.119712 },
        { "latitude": 51.50027, "longitude": -0.119712 }, { "latitude": 51.50027, "longitude": -0.12 },
    ] });
    area(positions, 600.756_559_67, 6e-4);
}

#[test]
fn measures_that_make_no_area_are_named() {
    refused("area", json!({ "shape": "circle" }), Code::MissingInput, "diameter");
    refused("area", json!({ "shape": "triangle", "sides": [1, 2] }), Code::MissingInput, "sides");
    refused("area", json!({ "shape": "triangle", "sides": [1, 2, 4] }), Code::Refused, "sides");
    refused("area", json!({ "shape": "outline" }), Code::MissingInput, "outline");
    refused("area", json!({ "shape": "blob" }), Code::BadInput, "shape");
}

#[test]
fn salt_by_texture_and_by_regressions() {
    let found =
        answer("salinity", &json!({ "ec": 0.5, "texture": "clay-loam", "grass": "tall-fescue" }));
    // rayment-lyons-2011: 0.336 x 0.5; five regressions at 0.5.
    near(&found, "salts", 0.168, 5e-4);
    for (author, expected) in
        [("talsma", 3.2), ("loveday", 3.25), ("murray", 3.118), ("shaw", 2.103), ("lyons", 2.77)]
    {
        let got = found["result"]["regressions"][author]["value"].as_f64().unwrap();
        // The last is printed with another intercept; within a tenth.
        assert!((got - expected).abs() < 0.11, "{author}: {got}");
    }
    let (low, likely, high) =
        (number(&found, "ece_low"), number(&found, "ece"), number(&found, "ece_high"));
    assert!(low < likely && likely < high, "a range: {low} {likely} {high}");
    assert!(found["result"]["grass_rating"].as_str().unwrap().contains("tolerant"), "{found}");
    let memory = found["sources"].as_array().unwrap();
    assert!(
        memory.iter().any(|s| s["caveat"] == "from memory, unconfirmed"),
        "a remembered slope is marked: {memory:?}"
    );
    let bare = answer("salinity", &json!({ "ec": 0.5 }));
    assert_eq!(bare["result"]["ece"], Value::Null, "not without texture");
    assert_eq!(bare["result"]["rating"], "medium", "0.45 to 0.90");
    refused("salinity", json!({ "ec": 0.5, "method": "texture" }), Code::MissingInput, "texture");
    refused(
        "salinity",
        json!({ "ec": 0.5, "texture": "loam", "grass": "clover" }),
        Code::BadInput,
        "grass",
    );
}

#[test]
fn every_source_an_answer_cites_is_listed_with_its_calculation() {
    for (id, input) in [
        ("sampling-window", json!({ "applications": [{ "day": "2026-03-01", "kind": "lime" }] })),
        (
            "core-count",
            json!({ "analyte": "ph-water", "margin_units": 0.3, "with_laboratory": true }),
        ),
        ("core-count", json!({ "analyte": "mg", "margin": 30 })),
        ("composite-mass", json!({ "diameter": 20, "depth": 100, "cores": 12 })),
        ("area", json!({ "shape": "circle", "diameter": 3 })),
        (
            "salinity",
            json!({ "ec": 1, "texture": "sand", "method": "remembered", "grass": "bermudagrass" }),
        ),
        ("salinity", json!({ "ec": 1, "saturation_water": 40 })),
    ] {
        let listed = swardbook_app::calc::find(id).unwrap().sources;
        for source in answer(id, &input)["sources"].as_array().unwrap() {
            let key = source["key"].as_str().unwrap();
            assert!(listed.contains(&key), "{id} cites {key}, which it does not list");
        }
    }
}
