//! The amendment calculations through the catalogue: published answers, defaults and refusals.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use serde_json::{Value, json};
use swardbook_app::{
    Code,
    calc::{self, InputKind},
};

fn run(id: &str, inputs: Value) -> Value {
    calc::run(id, &inputs).unwrap_or_else(|problem| panic!("{id} {inputs}: {problem}")).to_json()
}

fn value(answer: &Value, name: &str) -> f64 {
    answer["result"][name]["value"].as_f64().unwrap_or_else(|| panic!("{name} in {answer}"))
}

fn words<'a>(answer: &'a Value, name: &str) -> &'a str {
    answer["result"][name].as_str().unwrap_or_else(|| panic!("{name} in {answer}"))
}

fn near(got: f64, expected: f64, tolerance: f64, what: &str) {
    assert!((got - expected).abs() <= tolerance, "{what}: {got}, published {expected}");
}

fn refused(id: &str, inputs: Value, code: Code, field: &str) -> String {
    let problem = calc::run(id, &inputs).unwrap_err();
    assert_eq!((problem.code, problem.field.as_deref()), (code, Some(field)), "{id}: {problem}");
    problem.message
}

/// 1 US ton/acre is 224.17 g/m2 (exact units).
const TON_PER_ACRE: f64 = 224.170_2;

#[test]
fn lime_by_a_named_method_as_published() {
    // moore-2025: buffer 6.0 to pH 5.6 is 1.7 US ton/acre in 6 in.
    let answer = run(
        "lime",
        json!({
            "method": "sikora-oregon", "buffer": "sikora", "buffer_ph": 6.0, "target": 5.6,
            "depth": { "value": 6, "unit": "in" }
        }),
    );
    near(value(&answer, "pure"), 1.7 * TON_PER_ACRE, 0.01, "Sikora");
    // north-carolina-lime-factors: acidity 1.2, pH 5.0 to 6.0 is 1.2 x 0.625 = 0.75 US ton/acre.
    let answer = run(
        "lime",
        json!({ "method": "mehlich-north-carolina", "mehlich_acidity": 1.2, "ph": 5.0, "target": 6.0 }),
    );
    near(value(&answer, "pure"), 0.75 * TON_PER_ACRE, 0.01, "North Carolina");
    // penn-state-turf-lime: acidity 6.5 to 6.5 is 110 lb CCE/1000 ft2; at CCE 80 a quarter more
    // (penn-state-lawn-notes).
    let answer = run(
        "lime",
        json!({ "buffer_acidity": { "value": 6.5, "unit": "meq/100 g" }, "effective_value": 80 }),
    );
    assert_eq!(words(&answer, "method"), "penn-state-turf", "the first confirmed one");
    near(value(&answer, "pure"), 110.0 * 4.882_43, 0.01, "turf table");
    near(value(&answer, "product"), 110.0 * 4.882_43 * 1.25, 0.02, "of the lime bought");
}

#[test]
fn a_remembered_method_says_so_and_gives_way_to_a_confirmed_one() {
    let ecec = json!({
        "ph": 4.3, "ph_scale": "cacl2", "target": 5.2, "target_scale": "cacl2", "ecec": 5
    });
    let answer = run("lime", ecec);
    assert_eq!(words(&answer, "method"), "ecec", "the only one");
    assert_eq!(words(&answer, "confidence"), "from memory, unconfirmed", "said");
    near(value(&answer, "pure"), 250.0, 1e-6, "upjohn-2005, 2.5 t/ha");
    let both = json!({
        "ph": 4.3, "ph_scale": "cacl2", "target": 5.2, "target_scale": "cacl2", "ecec": 5,
        "texture": "sandy-loam", "organic_carbon": 1.0
    });
    let answer = run("lime", both);
    assert_eq!(words(&answer, "method"), "texture-victoria", "confirmed");
    // miller-lime: 0.57 for each t/ha.
    near(value(&answer, "pure"), 0.9 / 0.57 * 100.0, 1e-6, "Victoria");
    assert_eq!(answer["result"]["side_by_side"].as_array().unwrap().len(), 2, "both are shown");
    assert_eq!(words(&answer, "confidence"), "", "nothing to add");
}

#[test]
fn lime_without_what_it_needs_names_it() {
    refused("lime", json!({}), Code::MissingInput, "buffer_ph");
    refused("lime", json!({ "buffer_ph": 6.1 }), Code::MissingInput, "buffer");
    refused("lime", json!({ "buffer": "smp" }), Code::MissingInput, "buffer_ph");
    let smp = json!({ "method": "smp", "buffer": "mehlich", "buffer_ph": 6.0 });
    refused("lime", smp, Code::MissingInput, "buffer_ph");
    let far = json!({ "buffer": "sikora", "buffer_ph": 6.0, "target": 8.0 });
    refused("lime", far, Code::Refused, "target");
    let mud = json!({ "ph": 5.0, "texture": "mud" });
    refused("lime", mud, Code::BadInput, "texture");
}

#[test]
fn quality_of_a_lime_as_published() {
    // rayment-lyons-2011: 78.8, 10, 2.4 and 7.8 % make 85.28; 85 x 95 x 0.87 is 70.25.
    let sieved = json!({ "nv": 100, "scheme": "australia", "shares": [7.8, 2.4, 10, 78.8] });
    near(value(&run("neutralising-value", sieved), "efficiency"), 85.28, 0.001, "efficiency");
    let worth = json!({ "nv": 95, "efficiency": 85, "moisture": 13, "pure": 70.2525 });
    let answer = run("neutralising-value", worth);
    near(value(&answer, "effective_value"), 70.25, 0.01, "agricultural value");
    near(value(&answer, "product"), 100.0, 1e-6, "dose of it");
    // dpird-comparing-limes: five sizes make 86.9.
    let rows: Vec<Value> = [
        (5.0, 90.0, 1.0),
        (48.0, 90.5, 1.0),
        (38.0, 94.8, 1.0),
        (8.0, 72.1, 0.5),
        (1.0, 62.5, 0.2),
    ]
    .iter()
    .map(|(share, nv, factor)| json!({ "share": share, "nv": nv, "factor": factor }))
    .collect();
    let answer = run("neutralising-value", json!({ "fractions": rows }));
    near(value(&answer, "effective_value"), 86.9, 0.1, "by size");
    // nebraska-lime: dolomite's parts; computed 108.5.
    let answer = run("neutralising-value", json!({ "formula": "CaMg(CO3)2" }));
    near(value(&answer, "neutralising_value"), 108.5, 0.1, "dolomite");

    refused("neutralising-value", json!({}), Code::MissingInput, "nv");
    refused("neutralising-value", json!({ "formula": "CaSO4.2H2O" }), Code::Refused, "formula");
    let both = json!({ "nv": 95, "formula": "CaCO3" });
    refused("neutralising-value", both, Code::BadInput, "nv");
    let unsaid = json!({ "nv": 95, "shares": [10, 40, 50] });
    refused("neutralising-value", unsaid, Code::MissingInput, "scheme");
}

#[test]
fn gypsum_for_sodium_as_published() {
    // ali-2010: ESP 35 to 15 of CEC 22 is 4.4 cmol/kg; 0.861 t/ha for each at 10 cm, 1.0 t/m3.
    let answer = run(
        "gypsum",
        json!({ "cec": 22, "esp": 35, "esp_target": 15, "bulk_density": 1.0, "factor": 1.0 }),
    );
    near(value(&answer, "na"), 4.4, 1e-9, "sodium");
    near(value(&answer, "gypsum"), 4.4 * 86.1, 0.1, "charge for charge");
    // common practice: 195 g/m2 at a visit on grass.
    near(value(&answer, "visits"), 2.0, 0.0, "split");
    let by_sodium = json!({ "cec": 10, "na": 1.2, "purity": 80 });
    let answer = run("gypsum", by_sodium);
    near(value(&answer, "esp"), 12.0, 1e-9, "rayment-lyons-2011: 1.2 of 10");
    refused("gypsum", json!({ "cec": 10 }), Code::MissingInput, "esp");
    refused("gypsum", json!({ "cec": 10, "esp": 8, "na": 1 }), Code::BadInput, "na");
    refused("gypsum", json!({ "cec": 0, "esp": 8 }), Code::BadInput, "cec");
}

#[test]
fn gypsum_below_the_target_is_none_in_no_visits() {
    let answer = run("gypsum", json!({ "cec": 10, "esp": 3 }));
    near(value(&answer, "gypsum"), 0.0, 1e-12, "none");
    near(value(&answer, "visits"), 0.0, 0.0, "no visit");
}

#[test]
fn sulfur_is_refused_with_free_lime_and_asks_for_the_test() {
    let base = json!({ "ph": 8.0, "texture": "sand" });
    let message = refused("sulfur", base, Code::MissingInput, "free_carbonate");
    assert!(message.contains("vinegar"), "how to find out: {message}");
    let fizzes = json!({ "ph": 8.0, "texture": "sand", "free_carbonate": "present" });
    refused("sulfur", fizzes, Code::Refused, "free_carbonate");
    let measured = json!({ "ph": 8.0, "texture": "sand", "caco3": 1.0 });
    refused("sulfur", measured, Code::Refused, "caco3");
    let nothing = json!({ "ph": 8.0, "free_carbonate": "absent" });
    refused("sulfur", nothing, Code::MissingInput, "lime_buffer_capacity");
}

#[test]
fn sulfur_by_the_printed_tables_and_its_visits() {
    // handbook-sulfur-rates: from 8.0 on sandy ground 1123 kg/ha; purdue-sulfur-turf: at most 24.4
    // g/m2 of sulfur at a visit and 48.8 in a year.
    let answer = run(
        "sulfur",
        json!({ "ph": 8.0, "texture": "sand", "free_carbonate": "absent", "purity": 90 }),
    );
    near(value(&answer, "sulfur"), 112.3, 1e-6, "table");
    near(value(&answer, "product"), 112.3 / 0.9, 1e-6, "product");
    near(value(&answer, "visits"), 5.0, 0.0, "ceil(112.3 / 24.4)");
    near(value(&answer, "years"), 3.0, 0.0, "two a year");
    assert!(value(&answer, "each") <= 24.4 / 0.9, "within the limit");
}

#[test]
fn nutrient_need_as_published() {
    // woods-2014-recommendation: K use is half of 25 g N/m2; mg/kg x 0.15 is g/m2.
    let answer = run(
        "nutrient-need",
        json!({
            "nutrient": "k", "reading": 11.0 / 0.15, "limit": 5.2 / 0.15, "nitrogen": 25,
            "log_deviation": 0.1
        }),
    );
    near(value(&answer, "season_use"), 12.5, 1e-9, "use");
    near(value(&answer, "need"), 6.7, 0.01, "a + b - c");
    assert!(value(&answer, "low") < 6.7 && value(&answer, "high") > 6.7, "interval");
    // woods-2014: the limit of K is 37 mg/kg.
    let answer = run(
        "nutrient-need",
        json!({ "nutrient": "k", "reading": 27, "guideline": "mlsn-2014", "material": "sulfate-of-potash" }),
    );
    near(value(&answer, "need"), 1.5, 1e-9, "ten short at 0.15");
    // rb209: 50 % K2O, of which 0.83015 is K.
    near(value(&answer, "product"), 1.5 / (0.5 * 0.83015), 0.001, "material");
    near(value(&answer, "visits"), 1.0, 0.0, "one visit");
    let rich =
        json!({ "nutrient": "k", "reading": 400, "limit": 37, "material": "sulfate-of-potash" });
    let answer = run("nutrient-need", rich);
    near(value(&answer, "need"), 0.0, 1e-12, "never below zero");
    near(value(&answer, "product"), 0.0, 1e-12, "and nothing to put on");
}

#[test]
fn nutrient_need_names_what_stands_in_its_way() {
    refused("nutrient-need", json!({ "limit": 37 }), Code::MissingInput, "reading");
    refused("nutrient-need", json!({ "reading": 20 }), Code::MissingInput, "limit");
    let both = json!({ "reading": 20, "limit": 37, "guideline": "mlsn-2014" });
    refused("nutrient-need", both, Code::BadInput, "guideline");
    let unknown = json!({ "reading": 20, "guideline": "moon", "nutrient": "k" });
    refused("nutrient-need", unknown, Code::BadInput, "guideline");
    let negative = json!({ "reading": -1, "limit": 37 });
    refused("nutrient-need", negative, Code::BadInput, "reading");
    let none = json!({ "nutrient": "ca", "reading": 1, "limit": 300, "material": "urea" });
    refused("nutrient-need", none, Code::Refused, "material");
    let ratio = json!({ "nutrient": "mg", "reading": 20, "limit": 47, "nitrogen": 10 });
    refused("nutrient-need", ratio, Code::MissingInput, "use_to_nitrogen");
}

#[test]
fn expected_change_of_elements_oxides_and_materials() {
    // Definition: 1.3 g/m2 in 10 cm at 1.3 t/m3 is 10 mg/kg when all is found again.
    let answer = run("expected-change", json!({ "dose": 1.3, "of": "P", "kept": 1 }));
    near(value(&answer, "change"), 10.0, 1e-9, "all of it");
    // tri-state-build-up: 20 lb P2O5/acre moves the test by 1 mg/kg in 2 million lb of soil.
    let answer = run(
        "expected-change",
        json!({
            "dose": { "value": 20, "unit": "lb/acre" }, "of": "P2O5", "depth": 150,
            "bulk_density": 224.17 / 150.0
        }),
    );
    near(value(&answer, "change"), 1.0, 0.02, "the prior gives the build-up back");
    let answer =
        run("expected-change", json!({ "dose": 20, "of": "K", "material": "sulfate-of-potash" }));
    near(value(&answer, "element"), 20.0 * 0.5 * 0.83015, 0.001, "in the material");
    refused("expected-change", json!({ "dose": 1, "of": "KCl" }), Code::BadInput, "of");
    let brings_none = json!({ "dose": 1, "of": "Ca", "material": "urea" });
    refused("expected-change", brings_none, Code::BadInput, "of");
}

#[test]
fn every_amendment_shows_its_working_sources_and_cautions() {
    for (id, inputs) in [
        ("lime", json!({ "ph": 5.2, "texture": "loam" , "target": 5.9 })),
        ("neutralising-value", json!({ "nv": 95, "pure": 100 })),
        ("gypsum", json!({ "cec": 10, "esp": 12 })),
        ("sulfur", json!({ "ph": 7.4, "texture": "loam", "free_carbonate": "absent" })),
        ("nutrient-need", json!({ "nutrient": "k", "reading": 20, "limit": 37 })),
        ("expected-change", json!({ "dose": 5, "of": "K2O" })),
    ] {
        let answer = run(id, inputs);
        let working = answer["working"].as_array().unwrap();
        assert!(working.iter().any(|line| line.get("equation").is_some()), "{id}: equation");
        assert!(working.iter().any(|line| line.get("step").is_some()), "{id}: steps");
        assert!(!answer["sources"].as_array().unwrap().is_empty(), "{id}: sources");
        assert!(!answer["cautions"].as_array().unwrap().is_empty(), "{id}: cautions");
    }
}

#[test]
fn the_catalogue_describes_each_input_and_where_its_default_comes_from() {
    for id in ["lime", "neutralising-value", "gypsum", "sulfur", "nutrient-need", "expected-change"]
    {
        let calculation = calc::find(id).unwrap();
        let info = calculation.info();
        assert!(!info.sources.is_empty() && !info.outputs.is_empty(), "{id}");
        for (input, spec) in info.inputs.iter().zip(calculation.inputs) {
            assert!(!input.about.is_empty(), "{id}: {}", input.name);
            if let Some(default) = &input.default {
                let source = input.default_source.as_deref().unwrap_or_default();
                assert!(
                    source.len() > 8,
                    "{id}: {} = {default} comes from \"{source}\"",
                    input.name
                );
            }
            if matches!(spec.kind, InputKind::Number) {
                assert!(input.least.is_some() && input.greatest.is_some(), "{id}: {}", input.name);
            }
        }
    }
}

#[test]
fn a_lime_of_the_table_is_weighed_and_split() {
    // oregon-tall-fescue: at most 244 g/m2 at a visit; nsw-acidity-2021: worth 95 % or better.
    let inputs = json!({ "buffer_acidity": 6.5, "target": 6.5, "material": "calcitic-lime" });
    let answer = run("lime", inputs);
    near(value(&answer, "product"), 110.0 * 4.882_43 / 0.95, 0.02, "of that lime");
    near(value(&answer, "visits"), 3.0, 0.0, "ceil(565 / 244)");
    near(value(&answer, "days_between"), 120.0, 0.0, "penn-state-lawn-notes: 4 to 6 months");
    let gypsum = json!({ "buffer_acidity": 6.5, "material": "gypsum" });
    refused("lime", gypsum, Code::Refused, "material");
}

#[test]
fn the_printed_foot_rule_stands_beside_the_charges() {
    // ali-2010: 4.4 cmol/kg in 40 cm by 3.85 is 22.58 t/ha, with the factor 1.25 28.23.
    let inputs = |factor: f64| json!({ "cec": 22, "esp": 35, "esp_target": 15, "depth": 400, "factor": factor });
    near(value(&run("gypsum", inputs(1.0)), "by_foot_rule"), 2258.0, 2.0, "plain");
    near(value(&run("gypsum", inputs(1.25)), "by_foot_rule"), 2823.0, 1.0, "with the factor");
}

#[test]
fn iron_sulfate_in_place_of_sulfur() {
    // rhs-acidifying: 135 g/m2 of sulfur on sand, eight times as much iron sulfate.
    let inputs = json!({ "ph": 7.2, "texture": "sand", "free_carbonate": "absent" });
    let answer = run("sulfur", inputs);
    near(value(&answer, "sulfur"), 135.0, 1e-9, "garden table");
    near(value(&answer, "iron_sulfate"), 1080.0, 1e-6, "eight times");
}

#[test]
fn a_lime_is_expected_to_lift_the_ph() {
    // miller-lime: 2 t/ha of pure lime in 10 cm lift a sandy loam by 1.14.
    let dose = json!({ "value": 2, "unit": "t/ha" });
    let inputs = json!({ "dose": dose, "of": "CaCO3", "texture": "sandy-loam" });
    near(value(&run("expected-change", inputs), "ph_rise"), 1.14, 1e-9, "sandy loam");
    let bare = json!({ "dose": 200, "of": "CaCO3" });
    refused("expected-change", bare, Code::MissingInput, "texture");
    let gypsum =
        json!({ "dose": 200, "of": "CaCO3", "texture": "clay-loam", "material": "gypsum" });
    refused("expected-change", gypsum, Code::Refused, "material");
}

#[test]
fn lime_of_last_year_is_counted_and_missing_readings_are_named() {
    // north-carolina-lime-factors: 8 % a month; after five months 60 % still works.
    let inputs = |extra: Value| {
        let mut base = json!({ "buffer_acidity": 6.5, "target": 6.5 });
        base.as_object_mut().unwrap().extend(extra.as_object().unwrap().clone());
        base
    };
    let full = run("lime", inputs(json!({})));
    let part = run("lime", inputs(json!({ "earlier_lime": 200, "earlier_months": 5 })));
    near(value(&full, "pure") - value(&part, "pure"), 120.0, 1e-9, "credit");
    let lone = inputs(json!({ "earlier_lime": 200 }));
    refused("lime", lone, Code::MissingInput, "earlier_months");
    let twice = inputs(json!({ "earlier_lime": 200, "earlier_months": 5, "residual": 10 }));
    refused("lime", twice, Code::BadInput, "residual");
    let missing = full["result"]["missing"].as_array().unwrap();
    let sikora = missing.iter().find(|row| row["method"] == "sikora-oregon").unwrap();
    assert_eq!(sikora["needs"], "pH in the Sikora buffer", "what would let it answer");
}
