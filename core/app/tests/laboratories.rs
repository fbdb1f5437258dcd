//! Reports of invented laboratories, read whole: `fixtures/laboratories`.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod account;

use std::path::{Path, PathBuf};

use account::{check_account, check_folder};
use swardbook_agronomy::{
    analyte::analyte,
    comparison::{ComparisonQuestion, ScatterPart, Taken, Verdict, compare},
    panel_check::{Severity, check_panel},
    reading::{Ground, Reading},
};
use swardbook_app::panel_file::{
    Imported, ImportedReading, ImportedSample, Note, apply, best_fit, open, propose,
};

fn laboratories() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/laboratories")
}

/// Each file beside what it says; the README of the folder says where the companions come from.
#[test]
fn every_report_is_read_as_its_companion_says() {
    assert!(check_folder(&laboratories()) >= 19, "the files are there");
}

/// The reports of the Fenwhistle Laboratory, oldest first.
const POSTINGS: [&str; 7] = [
    "fenwhistle-2023-09-19.csv",
    "fenwhistle-2024-03-26.csv",
    "fenwhistle-2024-09-17.csv",
    "fenwhistle-2025-03-25.csv",
    "fenwhistle-2025-09-24.csv",
    "fenwhistle-2026-03-24.csv",
    "fenwhistle-2026-09-22.csv",
];

fn read(file: &str) -> Imported {
    let sheets = open(&laboratories().join(file)).unwrap();
    let imported = apply(&sheets, &propose(&sheets).unwrap());
    check_account(&sheets, &imported);
    imported
}

/// The samples of one zone through the years.
fn series(zone: &str) -> Vec<ImportedSample> {
    let all = POSTINGS.iter().flat_map(|file| read(file).samples);
    all.filter(|sample| sample.attributes.label.as_deref() == Some(zone)).collect()
}

fn value(sample: &ImportedSample, analyte: &str, method: &str) -> f64 {
    let is_it = |r: &&ImportedReading| r.analyte.id == analyte && r.method.id == method;
    sample.readings.iter().find(is_it).unwrap().value
}

#[test]
fn nothing_in_the_fenwhistle_series_is_asked() {
    for file in POSTINGS {
        let imported = read(file);
        assert!(imported.questions.is_empty(), "{file}: {:?}", imported.questions);
    }
}

#[test]
fn the_mapping_of_the_first_posting_reads_the_later_ones() {
    let first = open(&laboratories().join(POSTINGS[0])).unwrap();
    let remembered = propose(&first).unwrap();
    for file in &POSTINGS[1..] {
        let sheets = open(&laboratories().join(file)).unwrap();
        assert_eq!(best_fit(std::slice::from_ref(&remembered), &sheets), Some(0), "{file} fits");
        let imported = apply(&sheets, &remembered);
        check_account(&sheets, &imported);
        assert_eq!(imported.samples, read(file).samples, "{file} is read the same");
        let has_texture = imported.samples[0].readings.iter().any(|r| r.analyte.id == "sand");
        let missing =
            imported.notes.iter().filter(|n| matches!(n, Note::MissingColumn { .. })).count();
        assert_eq!(missing, if has_texture { 0 } else { 3 }, "{file}: sand, silt and clay");
    }
}

#[test]
fn fenwhistle_panels_are_sound() {
    for file in POSTINGS {
        for sample in read(file).samples {
            let readings: Vec<Reading> = sample
                .readings
                .iter()
                .map(|r| Reading::new(r.analyte, r.method, r.value, r.unit, r.qualifier).unwrap())
                .collect();
            for finding in check_panel(&readings, &Ground::UNKNOWN) {
                let label = sample.attributes.label.as_deref();
                assert_eq!(finding.severity, Severity::Note, "{file}, {label:?}: {finding:?}");
            }
        }
    }
}

/// The verdict at 90 % on one analyte between a zone's first and last panel, with the default scatter.
fn verdict(zone: &str, analyte_id: &str, method: &str, cores: u32, margin: f64) -> Verdict {
    let samples = series(zone);
    let [first, .., last] = samples.as_slice() else { panic!("{zone} has a series") };
    let analyte = analyte(analyte_id).unwrap();
    let taken = |sample| Taken { value: value(sample, analyte_id, method), cores, repeats: 1 };
    let question = ComparisonQuestion {
        scale: analyte.scale,
        unit: analyte.by[0].unit.symbol.to_owned(),
        before: taken(first),
        after: taken(last),
        core: ScatterPart::between_cores(analyte, &[]).unwrap(),
        laboratory: ScatterPart::in_laboratory(analyte).unwrap(),
        between_laboratories: None,
        converted: None,
        picked: None,
        margin: Some(margin),
        level: 0.9,
        power: 0.8,
    };
    compare(&question).unwrap().value.verdict
}

/// What the folder's README promises of the series, for whoever builds on it.
#[test]
fn the_fenwhistle_series_shows_what_it_is_made_to_show() {
    let ph = |zone, cores| verdict(zone, "ph-water", "water-1-5", cores, 0.3);
    assert_eq!(ph("back terrace", 20), Verdict::Rise, "limed");
    assert_eq!(ph("front verge", 25), Verdict::SameWithinMargin, "left alone");
    assert_eq!(ph("rear lawn", 12), Verdict::CannotTell, "a small rise, and few cores");
    let magnesium = verdict("back terrace", "mg", "mehlich-3", 20, 100.0);
    assert_eq!(magnesium, Verdict::Rise, "dolomite");
    let potassium = verdict("green surrounds", "k", "mehlich-3", 20, 100.0);
    assert_eq!(potassium, Verdict::Rise, "sulfate of potash");

    let esp = |sample| {
        100.0 * value(sample, "na", "exchangeable") / value(sample, "cec", "sum-of-cations")
    };
    let strip: Vec<f64> = series("nature-strip").iter().map(esp).collect();
    assert!(strip[0] > 6.0 && strip[strip.len() - 1] < 6.0, "sodic, then not: {strip:?}");
    assert!(strip.is_sorted_by(|a, b| a > b), "falling all the way: {strip:?}");
    for sample in series("front lawn") {
        assert!(value(&sample, "ph-water", "water-1-5") >= 8.0, "alkaline throughout");
    }
}
