//! What is due today, asked for once, and amounts in the units that the settings choose.

#![allow(clippy::unwrap_used, reason = "a test stops at the first thing that is not as expected")]

mod book;

use book::Book;
use serde_json::{Value, json};

impl Book {
    fn zone(&mut self, name: &str) {
        let fields = json!({
            "name": name, "area": "184 m2", "root_zone": "100 mm", "turf": "lawn",
            "grass": "warm-season", "texture": "sandy-loam"
        });
        self.add("zone", Some("Kettle Bend"), fields);
    }

    fn sample(&mut self, zone: &str, label: &str, date: &str, more: Value) -> String {
        let mut fields = json!({ "date": date, "from": 0, "to": 100, "label": label });
        fields.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        self.add_id("sample", Some(zone), fields)
    }
}

/// The second of March 2026, with one zone for each thing that can be due.
fn begin() -> Book {
    let mut kept = Book::on("2026-03-02");
    kept.add("property", None, json!({ "name": "Kettle Bend", "ground": "own" }));

    kept.zone("posted");
    kept.sample("posted", "A", "2026-02-01", json!({ "sent": "2026-02-02" }));
    kept.zone("to post");
    kept.sample("to post", "B", "2026-02-27", json!({}));
    kept.zone("planned");
    let sample = kept.sample("planned", "C", "2026-02-01", json!({ "sent": "2026-02-01" }));
    let panel = kept.ask(
        "panel.add",
        json!({ "sample": sample, "readings": [
            { "analyte": "pH (1:5 water)", "value": "5.0" },
            { "analyte": "K (Mehlich-3)", "value": 20, "unit": "mg/kg" },
        ] }),
    );
    let panel = panel["record"]["id"].as_str().unwrap();
    kept.ask("plan.accept", json!({ "panel": panel, "start": "2026-03-10" }));
    kept.zone("fed");
    let old = kept.sample("fed", "D", "2025-06-01", json!({ "sent": "2025-06-01" }));
    let reading = json!({ "analyte": "pH (1:5 water)", "value": "6.4" });
    kept.ask("panel.add", json!({ "sample": old, "readings": [reading] }));
    // Granular: three months, so clear on the eighteenth of March.
    kept.add(
        "application",
        Some("fed"),
        json!({ "material": "sulfate-of-potash", "amount": 3, "date": "2025-12-18" }),
    );
    kept
}

fn due<'a>(view: &'a Value, zone: &str, what: &str) -> &'a Value {
    let due = view["due"].as_array().unwrap();
    due.iter()
        .find(|one| one["zone_name"] == zone && one["what"] == what)
        .unwrap_or_else(|| panic!("nothing of {what} on {zone} in {view:#}"))
}

#[test]
fn everything_that_is_due_is_said_with_its_day_and_its_record() {
    let mut kept = begin();
    let view = kept.ask("today", json!({}));
    // Sent on the second of February and usually back after 24 days.
    let panel = due(&view, "posted", "panel");
    assert_eq!((&panel["date"], &panel["late"]), (&json!("2026-02-26"), &json!(true)), "{panel}");
    let post = due(&view, "to post", "post");
    assert_eq!(post["date"], "2026-02-27", "{post}");
    let visit = due(&view, "planned", "visit");
    assert!(visit["date"].as_str().unwrap() >= "2026-03-10", "{visit}");
    assert!(visit["sentence"].as_str().unwrap().contains(" kg of "), "{visit}");
    assert!(!visit["record"].as_str().unwrap().is_empty(), "the plan is named: {visit}");
    let clear = due(&view, "fed", "clear");
    assert_eq!((&clear["date"], &clear["late"]), (&json!("2026-03-18"), &json!(false)), "{clear}");
    assert_eq!(view["zones"], 4);
    let days: Vec<&str> =
        view["due"].as_array().unwrap().iter().filter_map(|one| one["date"].as_str()).collect();
    assert!(days.is_sorted(), "the most pressing comes first: {days:?}");
}

#[test]
fn a_long_list_is_cut_and_says_how_much_is_left() {
    let mut kept = begin();
    let all = kept.ask("today", json!({}));
    let count = all["due"].as_array().unwrap().len();
    let cut = kept.ask("today", json!({ "most": 2 }));
    assert_eq!(cut["due"].as_array().unwrap()[..], all["due"].as_array().unwrap()[..2]);
    assert_eq!(cut["more"], json!(count - 2));
}

#[test]
fn sentences_and_lists_follow_the_units_of_the_settings() {
    let mut kept = begin();
    let metric = kept.ask("today", json!({}));
    assert_eq!(kept.ask("units.shown", json!({}))["units"], json!([]));
    kept.ask("settings.set", json!({ "fields": { "measure": "us" } }));
    let us = kept.ask("today", json!({}));
    let amount = |view: &Value| {
        let words = due(view, "planned", "visit")["sentence"].as_str().unwrap().to_owned();
        let mut words = words.strip_prefix("Put on ").unwrap().split(' ').map(str::to_owned);
        (words.next().unwrap().parse::<f64>().unwrap(), words.next().unwrap())
    };
    let ((kg, metric), (lb, us)) = (amount(&metric), amount(&us));
    assert_eq!((metric.as_str(), us.as_str()), ("kg", "lb"));
    // Both are said to three digits. A pound is 0.453 592 37 kg (agreement of 1959).
    assert!((lb * 0.453_592_37 / kg - 1.0).abs() < 0.01, "{lb} lb, {kg} kg");
    let shown = kept.ask("zone.show", json!({ "zone": "fed" }));
    let put_on = shown["season"].as_array().unwrap().iter().find(|e| e["kind"] == "application");
    assert_eq!(put_on.unwrap()["detail"], "6.614 lb");
    // What crosses as numbers stays in the units of the records.
    assert_eq!(shown["line"]["area_m2"], 184.0);
    let drawn = kept.ask("figure.plan", json!({ "zone": "fed" }));
    assert!(drawn["svg"].as_str().unwrap().contains("1981 ft\u{b2}"), "{}", drawn["description"]);
}

#[test]
fn a_figure_writes_days_and_numbers_as_its_page_does() {
    let mut kept = begin();
    let months = [
        "Jan",
        "Feb",
        "M\u{e4}rz",
        "Apr",
        "Mai",
        "Juni",
        "Juli",
        "Aug",
        "Sept",
        "Okt",
        "Nov",
        "Dez",
    ];
    let asked = json!({
        "zone": "fed", "months": months, "date_order": "day-month-year", "decimal_mark": ","
    });
    let drawn = kept.ask("figure.season", asked);
    let said = format!("{} {}", drawn["svg"], drawn["table"]);
    assert!(said.contains("18 M\u{e4}rz 2026"), "the clear day: {said}");
    assert!(!said.contains("2026-03-18"), "no other way of writing it stands beside");
    let wrong = json!({ "zone": "fed", "months": ["Jan"] });
    let problem = kept.refused("figure.season", wrong);
    assert_eq!(problem.field.as_deref(), Some("months"));
}
