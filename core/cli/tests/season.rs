//! The way through on the command line, from a zone to the next plan, with all that is said.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod program;

use program::Book;

/// Says something and keeps it as a whole.
#[track_caller]
fn say(book: &Book, name: &str, arguments: &[&str]) {
    let said = book.run(arguments).done();
    insta::assert_snapshot!(name, book.steady(&said));
}

const READINGS: [&str; 12] = [
    "pH (1:5 CaCl2)=4.9",
    "EC (1:5)=0.06 dS/m",
    "Colwell P=62 mg/kg",
    "K (Mehlich-3)=18 mg/kg",
    "Ca (Mehlich-3)=640 mg/kg",
    "Mg (Mehlich-3)=96 mg/kg",
    "exchangeable Ca=2.9 cmol/kg",
    "exchangeable Mg=0.8 cmol/kg",
    "exchangeable K=0.12 cmol/kg",
    "exchangeable Na=<0.05 cmol/kg",
    "exchangeable Al=0.3 cmol/kg",
    "organic carbon=2.4 %",
];

fn panel<'a>(sample: &'a str, date: &'a str, readings: &'a [&'a str]) -> Vec<&'a str> {
    let head = ["panel", "add", "--sample", sample, "--zone", "Front verge", "--date", date];
    let readings = readings.iter().flat_map(|reading| ["--reading", reading]);
    head.into_iter().chain(readings).collect()
}

#[test]
fn from_a_zone_to_the_next_plan() {
    let book = Book::new();
    say(&book, "settings", &["settings", "set", "--currency", "AUD", "--hemisphere", "south"]);
    book.run(&["property", "add", "--name", "Kettle Bend", "--client", "Tamsin Okoro"]).done();
    say(
        &book,
        "zone-add",
        &[
            "zone",
            "add",
            "--property",
            "Kettle Bend",
            "--name",
            "Front verge",
            "--area",
            "0,05 acre",
            "--texture",
            // As it is shown; "sandy-loam" is what is kept.
            "Sandy loam",
            "--turf",
            "lawn",
            "--grass",
            "warm-season",
            "--outline",
            "metres 0,0 20,0 20,10 0,10",
            "--bulk-density",
            "1.35",
        ],
    );
    say(&book, "zone-edit", &["zone", "edit", "front verge", "--root-zone", "4 in"]);
    let laboratory = ["laboratory", "add", "--name", "Fenwhistle Laboratory"];
    book.run(&[&laboratory[..], &["--turnaround-days", "10", "--post-days", "3"]].concat()).done();
    let fed = ["application", "add", "--zone", "Front verge", "--date", "2025-06-20"];
    let fed = [&fed[..], &["--material-words", "granular feed", "--form", "granular"]].concat();
    book.run(&[&fed[..], &["--amount", "5 kg", "--watered-in"]].concat()).done();
    say(&book, "window", &["sample", "window", "Front verge", "--day", "2025-07-01"]);
    let plan = ["sample", "plan", "Front verge", "--seed", "7", "--cores", "6"];
    say(&book, "sample-plan", &plan);
    let sample = [
        "sample",
        "add",
        "--zone",
        "Front verge",
        "--date",
        "2025-08-25",
        "--from",
        "0",
        "--to",
        "100",
        "--label",
        "FV1",
        "--pulled-cores",
        "15",
        "--laboratory",
        "Fenwhistle Laboratory",
        "--sent",
        "2025-08-26",
    ];
    book.run(&sample).done();
    say(&book, "sample-show", &["sample", "show", "FV1", "--zone", "Front verge"]);
    say(&book, "panel-add", &panel("FV1", "2025-09-08", &READINGS));
    let zone = book.json(&["zone", "show", "Front verge"]);
    let first = zone["line"]["last_panel_id"].as_str().unwrap().to_owned();
    say(&book, "panel-reading", &["panel", "reading", &first]);
    for (material, pack, price) in
        [("calcitic-lime", "20 kg", "9.80"), ("sulfate-of-potash", "10 kg", "31.50")]
    {
        let add = ["price", "add", "--material", material, "--pack", pack, "--price", price];
        book.run(&add).done();
    }
    say(&book, "plan-draft", &["plan", "draft", &first, "--start", "2025-09-15"]);
    say(&book, "plan-accept", &["plan", "accept", &first, "--start", "2025-09-15"]);
    let zone = book.json(&["zone", "show", "Front verge"]);
    assert!(zone["line"]["due"].as_u64().unwrap() > 0, "visits are due: {zone}");
    let rate = ["observation", "add", "--zone", "Front verge", "--sort", "rating", "--what"];
    book.run(&[&rate[..], &["colour", "--value", "6", "--date", "2025-11-02"]].concat()).done();
    let again = [
        "sample",
        "add",
        "--zone",
        "Front verge",
        "--date",
        "2026-08-24",
        "--from",
        "0",
        "--to",
        "100",
        "--label",
        "FV2",
        "--pulled-cores",
        "15",
    ];
    book.run(&again).done();
    let mut later = READINGS;
    later[0] = "pH (1:5 CaCl2)=5.6";
    later[3] = "K (Mehlich-3)=44 mg/kg";
    book.run(&panel("FV2", "2026-09-07", &later)).done();
    say(&book, "compare", &["compare", "Front verge"]);
    say(&book, "zone-show", &["zone", "show", "Front verge"]);
    say(&book, "zone-list", &["zone", "list"]);
    say(&book, "property-show", &["property", "show", "Kettle Bend"]);
    say(&book, "undo-list", &["undo", "--list"]);
    say(&book, "undo", &["undo"]);
    say(&book, "status", &["status"]);
}

#[test]
fn a_record_is_looked_back_on_taken_away_and_brought_back() {
    let book = Book::with_zone();
    let note = [
        "observation",
        "add",
        "--zone",
        "Front verge",
        "--sort",
        "note",
        "--date",
        "2026-02-03",
        "--note",
        "dry patch",
    ];
    let id = book.id(&note);
    book.run(&["observation", "edit", &id, "--note", "dry patch by the gate"]).done();
    say(&book, "record-history", &["record", "history", &id]);
    say(&book, "record-void", &["record", "void", &id, "--why", "wrong zone"]);
    assert_eq!(book.json(&["zone", "list"])[0]["observations"], 0, "no longer counted");
    say(&book, "record-shown-void", &["record", "show", &id]);
    say(&book, "record-restore", &["record", "restore", &id]);
    assert_eq!(book.json(&["zone", "list"])[0]["observations"], 1, "counted again");
}

#[test]
fn a_file_is_looked_at_before_it_is_brought_in() {
    let book = Book::with_zone();
    let file = program::fixture("laboratories/dunmallow-report.xlsx");
    let file = file.to_str().unwrap();
    say(&book, "panel-preview", &["panel", "preview", file]);
    say(&book, "panel-import", &["panel", "import", file, "--zone", "Front verge"]);
}

#[test]
fn a_reading_is_corrected_and_taken_away() {
    let book = Book::with_zone();
    let sample = book.id(&["sample", "add", "--zone", "Front verge", "--label", "FV1"]);
    let readings = ["--reading", "pH (CaCl2)=52", "--reading", "Colwell P=31 mg/kg"];
    let problem = book.refused(&[&["panel", "add", "--sample", &sample][..], &readings].concat());
    assert!(problem.field.starts_with("readings.0"), "{problem:?}");
    let readings = ["--reading", "pH (CaCl2)=5.2", "--reading", "Colwell P=31 mg/kg"];
    let panel = book.id(&[&["panel", "add", "--sample", &sample][..], &readings].concat());
    let set = ["panel", "set", &panel, "--key", "k000", "--reading", "pH (CaCl2)=5.4"];
    let view = book.json(&set);
    assert_eq!(view["readings"][0]["value"], 5.4, "{view}");
    let view = book.json(&["panel", "set", &panel, "--key", "k001", "--take-away"]);
    assert_eq!(view["readings"].as_array().unwrap().len(), 1, "{view}");
    let out = book.run(&["panel", "set", &panel, "--take-away"]);
    assert_eq!(out.code, 2, "which one is not said");
}

#[test]
fn a_material_of_ones_own_is_kept_from_its_label() {
    let book = Book::new();
    book.run(&["settings", "set", "--currency", "AUD"]).done();
    let said = book.run(&[
        "material",
        "add",
        "--name",
        "Slow spring feed",
        "--form",
        "granular",
        "--analysis",
        "N=18",
        "--analysis",
        "K2O=12 %",
        "--pack",
        "20 kg",
        "--price",
        "44.50",
    ]);
    insta::assert_snapshot!("material-add", book.steady(&said.done()));
    let list = book.run(&["material", "list"]).done();
    assert!(list.contains("Slow spring feed") && list.contains("44.50"), "{list}");
    let said = book.run(&["material", "analysis", "slow spring feed", "--analysis", "N=20"]);
    assert!(said.done().contains("20 %"), "the new share");
    say(&book, "material-show", &["material", "show", "sulfate-of-potash"]);
}

#[test]
fn packs_are_not_counted_without_an_area_and_it_says_so() {
    let book = Book::with_zone();
    let sample = [
        "sample",
        "add",
        "--zone",
        "Front verge",
        "--label",
        "FV1",
        "--date",
        "2025-08-25",
        "--from",
        "0",
        "--to",
        "100",
    ];
    let sample = book.id(&sample);
    let readings = ["--reading", "K (Mehlich-3)=18 mg/kg", "--reading", "pH (1:5 water)=6.4"];
    let panel = book.id(&[&["panel", "add", "--sample", &sample][..], &readings].concat());
    let draft = book.json(&["plan", "draft", &panel]);
    assert_eq!(draft["purchases"], serde_json::json!([]), "no packs without an area");
    let said = book.run(&["plan", "draft", &panel]).done();
    assert!(said.contains("zone edit ZONE --area"), "with the remedy: {said}");
    book.run(&["plan", "accept", &panel]).done();
    let problem = book.run(&["plan", "packs", "--zone", "Front verge", "--json"]).refused();
    assert_eq!(problem.field, "area", "{problem:?}");
    assert!(problem.message.contains("Front verge"), "which zone: {problem:?}");
    book.run(&["zone", "edit", "Front verge", "--area", "184 m2"]).done();
    let draft = book.json(&["plan", "draft", &panel]);
    assert!(!draft["purchases"].as_array().unwrap().is_empty(), "now there are: {draft}");
    let packs = book.json(&["plan", "packs"]);
    let needed = packs["purchases"][0]["needed_kg"].as_f64().unwrap();
    let planned = draft["purchases"][0]["needed_kg"].as_f64().unwrap();
    assert!((needed - planned).abs() < 1e-9, "the plan's mass: {packs}");
}

#[test]
fn packs_are_counted_over_all_zones_together() {
    let book = Book::with_zone();
    book.run(&["zone", "add", "--property", "Kettle Bend", "--name", "Back terrace"]).done();
    book.run(&["settings", "set", "--currency", "NZD"]).done();
    let price = ["--material", "sulfate-of-potash", "--pack", "10 kg", "--price", "31.50"];
    book.run(&[&["price", "add"][..], &price].concat()).done();
    let mut needed = 0.0;
    for zone in ["Front verge", "Back terrace"] {
        book.run(&["zone", "edit", zone, "--area", "120 m2"]).done();
        let sample = ["--date", "2025-08-25", "--from", "0", "--to", "100"];
        let sample = book.id(&[&["sample", "add", "--zone", zone][..], &sample].concat());
        let readings = ["--reading", "K (Mehlich-3)=18 mg/kg", "--reading", "pH (1:5 water)=6.4"];
        let panel = book.id(&[&["panel", "add", "--sample", &sample][..], &readings].concat());
        let start = ["--start", "2025-09-15"];
        let plan = book.json(&[&["plan", "accept", &panel][..], &start].concat());
        needed += plan["purchases"][0]["needed_kg"].as_f64().unwrap();
    }
    let packs = book.json(&["plan", "packs", "--property", "Kettle Bend"]);
    let potash = &packs["purchases"][0];
    assert!((potash["needed_kg"].as_f64().unwrap() - needed).abs() < 1e-9, "the sum: {packs}");
    let whole = (needed / 10.0).ceil();
    assert!((potash["packs"].as_f64().unwrap() - whole).abs() < 1e-9, "whole packs: {packs}");
    let said = book.run(&["plan", "packs", "--property", "Kettle Bend"]).done();
    assert!(said.contains("To buy") && said.contains("Back terrace"), "{said}");
    let none = book.run(&["plan", "packs", "--until", "2024-01-01"]).done();
    assert!(none.contains("nothing to buy"), "{none}");
}

#[test]
fn figures_are_drawn_into_files_and_told_in_words() {
    let book = Book::with_zone();
    let outline = "metres 0,0 20,0 20,10 0,10";
    book.run(&["zone", "edit", "Front verge", "--outline", outline]).done();
    let file = book.scratch.path().join("ground.svg");
    let said =
        book.run(&["figure", "ground", "--zone", "Front verge", "--out", file.to_str().unwrap()]);
    assert!(said.done().contains("Drawn in"), "it says where");
    let svg = std::fs::read_to_string(&file).unwrap();
    assert!(svg.starts_with("<svg") && svg.trim_end().ends_with("</svg>"), "{svg}");
    let nowhere = book.scratch.path().join("none/ground.svg");
    let problem = book.refused(&[
        "figure",
        "ground",
        "--zone",
        "Front verge",
        "--out",
        nowhere.to_str().unwrap(),
    ]);
    assert_eq!(problem.field, "out", "{problem:?}");
    let problem = book.refused(&["figure", "season", "Nowhere"]);
    assert_eq!(problem.field, "zone", "{problem:?}");
}

#[test]
fn the_demo_is_told_and_can_be_looked_into() {
    let scratch = tempfile::tempdir().unwrap();
    let folder = scratch.path().join("demo");
    let folder = folder.to_str().unwrap();
    let said = program::run(&["demo", folder], "").done();
    assert!(
        said.contains("every person, place, laboratory and number in it is invented"),
        "{said}"
    );
    for command in
        [&["today"][..], &["zone", "list"], &["property", "list"], &["compare", "front verge"]]
    {
        let said = program::run(&[&["--notebook", folder], command].concat(), "").done();
        assert!(said.lines().count() > 1, "{command:?}: {said}");
    }
    let again = program::run(&["demo", folder, "--json"], "").refused();
    assert_eq!(again.code, "no-notebook", "never over another notebook: {again:?}");
}
