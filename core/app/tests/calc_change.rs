//! Before and after through the catalogue as a shell runs it.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use serde_json::{Value, json};
use swardbook_app::{Code, calc::run};

fn answer(id: &str, input: &Value) -> Value {
    run(id, input).unwrap_or_else(|problem| panic!("{id} {input}: {problem}")).to_json()
}

fn near(answer: &Value, name: &str, expected: f64, tolerance: f64) {
    let got = answer["result"][name]["value"]
        .as_f64()
        .unwrap_or_else(|| panic!("{name} in {}", answer["result"]));
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
fn a_rise_of_acidity_by_hand() {
    // u = sqrt(0.4^2 x 2/16 + 0.05^2 x 2) = 0.158114; 1.959964 u = 0.309897.
    let input = json!({
        "baseline": 5.2, "retest": 5.9, "unit": "pH", "scale": "linear",
        "cores_before": 16, "cores_after": 16,
        "core_scatter": 0.4, "laboratory_scatter": 0.05, "margin": 0.3,
    });
    let found = answer("compare", &input);
    near(&found, "uncertainty", 0.158_113_883, 1e-9);
    near(&found, "low", 0.390_103, 1e-6);
    near(&found, "high", 1.009_897, 1e-6);
    near(&found, "least_significant_rise", 0.309_897, 1e-6);
    assert_eq!(found["result"]["verdict"], "rise", "{found}");
    assert_eq!(found["result"]["beyond_margin"], true, "above 0.3 at its lower end");
    assert_eq!(found["result"]["freedom"], Value::Null, "all scatter is taken as known");
    assert_eq!(found["result"]["change"]["unit"], "pH", "in its unit");
}

#[test]
fn a_composite_never_goes_without_its_cores() {
    // soil250-panels: counting only a 3 % laboratory calls unchanged ground changed; the default core
    // term is there without being asked for.
    let input = json!({
        "baseline": 100, "retest": 112, "analyte": "k", "cores_before": 10, "cores_after": 10,
    });
    let found = answer("compare", &input);
    assert_eq!(found["result"]["verdict"], "cannot-tell", "12 % is not told with ten cores");
    assert_eq!(found["result"]["change"]["unit"], "%", "potassium is on the log scale");
    near(&found, "change", 12.0, 1e-9);
    let working = found["working"].as_array().unwrap();
    assert!(
        working.iter().any(|w| w["input"] == "Scatter between cores" && w["origin"] == "default"),
        "{working:?}"
    );
    assert!(found["result"]["words"].as_str().unwrap().contains("would"), "what would settle it");
}

#[test]
fn a_zone_picked_for_reading_low() {
    // 140 of a population of mean 200 with reliability 0.6 is expected at 164 untreated.
    let input = json!({
        "baseline": 140, "retest": 160, "scale": "linear", "unit": "mg/kg",
        "cores_before": 20, "cores_after": 20, "core_scatter": 20, "laboratory_scatter": 2,
        "picked_from_mean": 200, "reliability": 0.6,
    });
    let found = answer("compare", &input);
    near(&found, "expected_untreated", 24.0, 1e-9);
    near(&found, "observed", 20.0, 1e-9);
    near(&found, "change", -4.0, 1e-9);
    assert_eq!(found["result"]["verdict"], "cannot-tell", "{found}");
}

#[test]
fn unlike_samples_are_refused_and_gaps_named() {
    let base = json!({
        "baseline": 20, "retest": 30, "analyte": "p", "cores_before": 15, "cores_after": 15,
    });
    let with = |extra: Value| {
        let mut input = base.clone();
        input.as_object_mut().unwrap().extend(extra.as_object().unwrap().clone());
        input
    };
    let methods = with(json!({ "method_before": "olsen", "method_after": "mehlich-3" }));
    refused("compare", methods, Code::Refused, "method_after");
    let depths = with(json!({ "depth_before": 75, "depth_after": 100 }));
    refused("compare", depths, Code::Refused, "depth_after");
    refused("compare", with(json!({ "retest": 0 })), Code::BadInput, "retest");
    refused("compare", with(json!({ "picked_from_mean": 40 })), Code::MissingInput, "reliability");
    refused("compare", with(json!({ "analyte": "phlogiston" })), Code::BadInput, "analyte");
    let bare = json!({ "baseline": 1, "retest": 2, "cores_before": 15, "cores_after": 15 });
    refused("compare", bare, Code::MissingInput, "scale");
    let wide = answer("compare", &with(json!({ "other_laboratory": true })));
    assert!(wide["cautions"].to_string().contains("laboratory changed"), "said");
}

fn plot(arm: &str, block: u32, before: f64, after: f64) -> Value {
    json!({ "arm": arm, "block": block, "before": before, "after": after })
}

/// scipy 1.17.1, `baci-four-plots` of `fixtures/published/statistics.toml`.
fn eight_plots() -> Vec<Value> {
    vec![
        plot("treated", 0, 4.1, 5.2),
        plot("treated", 0, 3.7, 4.6),
        plot("treated", 0, 4.4, 5.5),
        plot("treated", 0, 3.9, 5.1),
        plot("control", 0, 4.0, 4.3),
        plot("control", 0, 4.3, 4.4),
        plot("control", 0, 3.8, 4.0),
        plot("control", 0, 4.2, 4.6),
    ]
}

#[test]
fn eight_plots_with_their_published_answers() {
    let by_lot = json!({ "plots": eight_plots(), "assignment": "by-lot" });
    let found = answer("trial", &by_lot);
    near(&found, "effect", 0.825, 1e-9);
    near(&found, "p", 0.028_571_428_57, 1e-9);
    near(&found, "t_p", 9.610_771_69e-5, 1e-10);
    near(&found, "low", 0.604_403_190_6, 1e-8);
    assert_eq!(found["result"]["because"], true, "{found}");
    let chosen = answer("trial", &json!({ "plots": eight_plots() }));
    assert_eq!(chosen["result"]["because"], false, "plots count as drawn only when said so");
    assert!(chosen["result"]["words"].as_str().unwrap().contains("cause not shown"), "{chosen}");
}

#[test]
fn one_strip_each_has_no_p() {
    let plots = vec![plot("treated", 0, 5.0, 6.5), plot("control", 0, 5.0, 5.1)];
    let found = answer("trial", &json!({ "plots": plots, "assignment": "by-lot" }));
    near(&found, "effect", 1.4, 1e-9);
    assert_eq!(found["result"]["p"], Value::Null, "{found}");
    assert_eq!(found["result"]["low"], Value::Null, "no interval either");
    assert!(found["result"]["words"].as_str().unwrap().contains("cannot be told from chance"));
    let none = json!({ "plots": [plot("treated", 0, 5.0, 6.5)] });
    refused("trial", none, Code::MissingInput, "control");
}

#[test]
fn a_trial_is_planned_before_it_is_paid_for() {
    // By hand: 4/3 x (0.1^2 + 0.35^2 / 10) = 0.0296667, root 0.172240.
    let plan = json!({
        "plots_per_arm": 3, "plot_time": 0.1, "core_scatter": 0.35, "cores": 10,
    });
    let found = answer("trial", &plan);
    near(&found, "standard_error", 0.172_240, 1e-6);
    near(&found, "smallest_p", 0.1, 1e-12);
    assert!(found["cautions"].to_string().contains("cannot reach"), "0.10 is above 0.05");
    refused("trial", json!({}), Code::MissingInput, "plots");
    refused("trial", json!({ "plots_per_arm": 3, "plot_time": 0.1 }), Code::MissingInput, "cores");
    let both = json!({ "plots": eight_plots(), "plots_per_arm": 3 });
    refused("trial", both, Code::BadInput, "plots_per_arm");
}

#[test]
fn every_source_an_answer_cites_is_listed_with_its_calculation() {
    let pair = |analyte: &str| {
        json!({
            "baseline": 5, "retest": 6, "analyte": analyte, "cores_before": 15,
            "cores_after": 15, "other_laboratory": true,
        })
    };
    for (id, input) in [
        ("compare", pair("p")),
        ("compare", pair("ph-water")),
        ("compare", pair("mg")),
        ("compare", pair("zn")),
        ("trial", json!({ "plots": eight_plots() })),
    ] {
        let listed = swardbook_app::calc::find(id).unwrap().sources;
        for source in answer(id, &input)["sources"].as_array().unwrap() {
            let key = source["key"].as_str().unwrap();
            assert!(listed.contains(&key), "{id} cites {key}, which it does not list");
        }
    }
}
