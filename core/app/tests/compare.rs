//! Before and after through the commands: the ground's own scatter, and two scales of acidity.

#![allow(clippy::unwrap_used, reason = "a test stops at the first thing that is not as expected")]

mod book;

use book::Book;
use serde_json::{Value, json};

fn begin() -> Book {
    let mut kept = Book::on("2026-11-01");
    kept.add("property", None, json!({ "name": "Kettle Bend" }));
    kept.add("zone", Some("Kettle Bend"), json!({ "name": "Terrace" }));
    kept.add("laboratory", None, json!({ "name": "Fenwhistle" }));
    kept
}

impl Book {
    /// A sample of fifteen cores with one reading of pH; returns the sample and its panel.
    fn sample(&mut self, day: &str, same_as: Option<&str>, ph: (&str, &str, f64)) -> [String; 2] {
        let mut fields = json!({
            "date": day, "from": 0, "to": 100, "pulled_cores": 15, "laboratory": "Fenwhistle",
        });
        if let Some(mark) = same_as {
            fields["replicate_of"] = json!(mark);
        }
        let sample = self.add_id("sample", Some("Terrace"), fields);
        let (analyte, method, value) = ph;
        let unit = match (analyte, method) {
            ("k", "exchangeable") => "cmol/kg",
            ("k", _) => "mg/kg",
            _ => "",
        };
        let readings = json!([
            { "analyte": analyte, "method": method, "value": value, "unit": unit },
        ]);
        let panel = self.ask("panel.add", json!({ "sample": sample, "readings": readings }));
        [sample, panel["record"]["id"].as_str().unwrap().to_owned()]
    }

    fn compare(&mut self, baseline: &str, retest: &str) -> Value {
        self.ask("zone.compare", json!({ "baseline": baseline, "retest": retest }))
    }
}

fn water(ph: f64) -> (&'static str, &'static str, f64) {
    ("ph-water", "water-1-5", ph)
}

fn width(row: &Value) -> f64 {
    let end = |name| row["change_interval"][name].as_f64().unwrap();
    end("high") - end("low")
}

#[test]
fn replicate_samples_of_a_zone_narrow_what_is_said_of_it() {
    let mut kept = begin();
    let [first, baseline] = kept.sample("2025-09-01", None, water(5.6));
    let [last, retest] = kept.sample("2026-09-01", None, water(5.9));
    let by_default = kept.compare(&baseline, &retest);
    assert_eq!(by_default["rows"][0]["verdict"], "cannot-tell", "{by_default}");
    // Two more bags of each day, read within 0.05 of the first: quieter ground than the default.
    for (mark, day, ph) in [(&first, "2025-09-01", 5.6), (&last, "2026-09-01", 5.9)] {
        kept.sample(day, Some(mark), water(ph + 0.05));
        kept.sample(day, Some(mark), water(ph - 0.05));
    }
    let by_own = kept.compare(&baseline, &retest);
    let row = &by_own["rows"][0];
    assert_eq!(row["verdict"], "rise", "{row}");
    assert!(width(row) < 0.7 * width(&by_default["rows"][0]), "narrower: {row}");
    let cautions = row["working"].to_string();
    assert!(cautions.contains("replicate samples of this ground"), "said: {cautions}");
    let reading = kept.ask("panel.reading", json!({ "panel": retest }));
    let shown = &reading["rows"][0];
    let span = shown["high"].as_f64().unwrap() - shown["low"].as_f64().unwrap();
    assert!(span < 0.4, "the reading's interval is of this ground too: {shown}");
}

#[test]
fn a_retest_on_the_other_scale_of_acidity_is_brought_over_with_its_uncertainty() {
    let mut kept = begin();
    let [_, baseline] = kept.sample("2025-09-01", None, water(5.0));
    let [_, retest] = kept.sample("2026-09-01", None, ("ph-cacl2", "cacl2-1-5", 5.4));
    let [_, same] = kept.sample("2026-09-02", None, water(6.0));
    let found = kept.compare(&baseline, &retest);
    let row = &found["rows"][0];
    // Conyers and Davey 1988, Soil Science 145:101-106: pH(CaCl2) = 1.05 pH(water) - 0.9.
    let after = row["after"].as_f64().unwrap();
    assert!((after - (5.4 + 0.9) / 1.05).abs() < 1e-9, "{row}");
    assert!(row["conversion"].as_str().unwrap().contains("calcium chloride"), "said: {row}");
    let plain = kept.compare(&baseline, &same);
    assert!(width(row) > 1.1 * width(&plain["rows"][0]), "wider for the relation: {row}");
    assert_eq!(plain["rows"][0]["conversion"], "", "nothing to convert: {plain}");
}

#[test]
fn a_scale_that_both_samples_have_is_not_converted() {
    let mut kept = begin();
    let [_, baseline] = kept.sample("2025-09-01", None, ("ph-water", "water-1-2.5", 5.0));
    let [_, retest] = kept.sample("2026-09-01", None, ("ph-cacl2", "cacl2-1-5", 5.4));
    // The relation is for 1:5; another ratio is not brought over, and nothing is compared.
    let found = kept.compare(&baseline, &retest);
    assert_eq!(found["rows"], json!([]), "{found}");
    let notes = found["notes"].to_string();
    assert!(notes.contains("pH in water") && notes.contains("only"), "not passed over: {notes}");
}

#[test]
fn a_retest_is_set_beside_the_panel_that_its_plan_was_made_from() {
    let mut kept = begin();
    let [_, oldest] = kept.sample("2020-09-01", None, ("k", "mehlich-3", 8.0));
    let [_, planned] = kept.sample("2022-09-01", None, ("k", "mehlich-3", 8.4));
    let [_, before] = kept.sample("2023-09-01", None, ("k", "mehlich-3", 9.2));
    let [_, newest] = kept.sample("2024-09-01", None, ("k", "mehlich-3", 10.0));
    let pair = |kept: &mut Book, request: Value| {
        let found = kept.ask("zone.compare", request);
        let side = |side: &str| found[side]["panel"].as_str().unwrap().to_owned();
        [side("baseline"), side("retest")]
    };
    let zone = json!({ "zone": "Terrace" });
    assert_eq!(pair(&mut kept, zone.clone()), [before.clone(), newest.clone()], "without a plan");
    kept.ask("plan.accept", json!({ "panel": planned }));
    assert_eq!(pair(&mut kept, zone), [planned.clone(), newest.clone()], "its plan's panel");
    let asked = json!({ "retest": planned });
    assert_eq!(
        pair(&mut kept, asked),
        [oldest.clone(), planned],
        "a plan made later does not count"
    );
    let asked = json!({ "baseline": oldest, "analytes": ["k"] });
    assert_eq!(pair(&mut kept, asked), [oldest, newest], "what is named is taken");
}

/// Potassium by a method before and after each of two doses that the test finds again whole: what
/// was expected of each, and the share found of the first.
fn two_doses(method: &str, mg_per_unit: f64) -> (f64, f64, f64, String) {
    let mut kept = begin();
    let potash = |kept: &mut Book, day: &str| {
        let fields = json!({
            "material": "sulfate-of-potash", "amount": "4 kg", "area": "100 m2", "date": day,
        });
        kept.add("application", Some("Terrace"), fields);
    };
    let potassium = |mg_kg: f64| ("k", method, mg_kg / mg_per_unit);
    let [_, first] = kept.sample("2022-09-01", None, potassium(40.0));
    potash(&mut kept, "2022-10-01");
    let [_, second] = kept.sample("2023-09-01", None, potassium(160.0));
    potash(&mut kept, "2023-10-01");
    let [_, third] = kept.sample("2024-09-01", None, potassium(280.0));
    let before = kept.compare(&first, &second)["rows"][0]["expected"].clone();
    let after = kept.compare(&second, &third)["rows"][0]["expected"].clone();
    let likely = |expected: &Value| expected["likely"].as_f64().unwrap();
    let found = before["kept"].as_f64().unwrap();
    (likely(&before), likely(&after), found, after["working"].to_string())
}

#[test]
fn what_earlier_retests_kept_is_expected_of_the_next_dose() {
    // 40 g/m2 with 41.5 % of potassium on 150 kg of soil would lift it by 111 mg/kg: all of it
    // was found again, far above the published third.
    let (before, after, found, working) = two_doses("mehlich-3", 1.0);
    assert!((before / 110.7 - 0.31).abs() < 0.02, "the published share: {before}");
    assert!(after > 1.05 * before, "the first retest taught something: {before} then {after}");
    assert!((found / (120.0 / 110.7) - 1.0).abs() < 0.01, "all of it was found: {found}");
    assert!(working.contains("one retest of this ground"), "said: {working}");
}

/// A mole of potassium weighs 39.0983 g (IUPAC 2021), so a cmol/kg is 390.983 mg/kg.
#[test]
fn an_exchangeable_reading_is_expected_in_its_own_unit() {
    let by_mass = two_doses("mehlich-3", 1.0);
    let by_charge = two_doses("exchangeable", 390.983);
    let alike = |charge: f64, mass: f64| (charge / mass - 1.0).abs() < 1e-4;
    assert!(alike(by_charge.0 * 390.983, by_mass.0), "{by_charge:?} and {by_mass:?}");
    assert!(alike(by_charge.1 * 390.983, by_mass.1), "the share learned is the same");
    assert!(alike(by_charge.2, by_mass.2), "and so is the share found");
    assert!(by_charge.3.contains("in cmol/kg"), "the working says the unit: {}", by_charge.3);
}
