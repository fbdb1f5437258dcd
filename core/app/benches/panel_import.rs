//! How long a large panel file takes to import, beside the reading of its records alone.
//!
//! `nice -n 10 cargo bench -p swardbook-app --bench panel_import`
//!
//! What it came to stands in `docs/speed.md`.
//! Most of what is left in the wide file is the memory of its 160,000 readings, which a bare loop
//! does not keep.

#![allow(clippy::unwrap_used, reason = "a bench fails by panicking")]

use std::fmt::Write;

use csv::{ReaderBuilder, StringRecord};
use divan::{Bencher, black_box, counter::BytesCount};
use swardbook_app::panel_file::{Imported, apply, decode_bytes, propose};

/// Rows of each file.
const ROWS: usize = 10_000;

/// Name, method, unit, and what a value is multiplied by.
const ANALYTES: [(&str, &str, &str, f64); 16] = [
    ("pH", "1:5 water", "", 0.01),
    ("pH", "1:5 CaCl2", "", 0.01),
    ("EC", "1:5", "dS/m", 0.001),
    ("Organic carbon", "Walkley-Black", "%", 0.01),
    ("P", "Mehlich-3", "mg/kg", 0.1),
    ("K", "Mehlich-3", "mg/kg", 0.5),
    ("Ca", "Mehlich-3", "mg/kg", 2.0),
    ("Mg", "Mehlich-3", "mg/kg", 0.5),
    ("S", "Mehlich-3", "mg/kg", 0.1),
    ("Ca", "exchangeable", "cmol/kg", 0.01),
    ("Mg", "exchangeable", "cmol/kg", 0.01),
    ("K", "exchangeable", "cmol/kg", 0.001),
    ("Na", "exchangeable", "cmol/kg", 0.001),
    ("Zn", "DTPA", "mg/kg", 0.01),
    ("Cu", "DTPA", "mg/kg", 0.01),
    ("B", "hot CaCl2", "mg/kg", 0.001),
];

fn main() {
    divan::main();
}

/// A cell as a laboratory writes it: one in twenty is below what can be read.
fn value(row: usize, at: usize) -> String {
    let number = 300 + (row * 7919 + at * 104_729) % 500;
    let scaled = number as f64 * ANALYTES[at].3;
    if (row + at).is_multiple_of(20) { format!("<{scaled:.2}") } else { format!("{scaled:.2}") }
}

/// One row a sample.
fn wide() -> String {
    let mut text = "Lab No,Sample,Date sampled,Depth (mm)".to_owned();
    for (name, method, unit, _) in ANALYTES {
        write!(text, ",{name} ({method}) {unit}").unwrap();
    }
    text.push('\n');
    for row in 0..ROWS {
        let day = 1 + row % 28;
        write!(text, "F-{row:05},Green {row},2026-09-{day:02},0-100").unwrap();
        for at in 0..ANALYTES.len() {
            write!(text, ",{}", value(row, at)).unwrap();
        }
        text.push('\n');
    }
    text
}

/// One row a reading.
fn long() -> String {
    let mut text = "Lab No,Sample,Date sampled,Analyte,Method,Result,Unit\n".to_owned();
    for row in 0..ROWS {
        let (sample, at) = (row / ANALYTES.len(), row % ANALYTES.len());
        let (name, method, unit, _) = ANALYTES[at];
        let day = 1 + sample % 28;
        let result = value(sample, at);
        writeln!(
            text,
            "F-{sample:05},Green {sample},2026-09-{day:02},{name},{method},{result},{unit}"
        )
        .unwrap();
    }
    text
}

fn import(text: &str) -> Imported {
    let sheets = decode_bytes(text.as_bytes(), "panel.csv").unwrap();
    apply(&sheets, &propose(&sheets).unwrap())
}

/// Every filled cell is read, so that the bench does not measure an import that gives up.
fn check(text: &str, readings: usize) {
    let imported = import(text);
    assert_eq!(imported.count.readings, readings, "all is read");
    assert_eq!((imported.unread.len(), imported.questions.len()), (0, 0), "{:?}", imported.count);
}

fn records(text: &str) -> csv::Reader<&[u8]> {
    ReaderBuilder::new().has_headers(false).from_reader(text.as_bytes())
}

fn bare_loop(text: &str) -> usize {
    let (mut reader, mut record, mut cells) = (records(text), StringRecord::new(), 0);
    while reader.read_record(&mut record).unwrap() {
        cells += black_box(&record).len();
    }
    cells
}

fn collected(text: &str) -> Vec<StringRecord> {
    records(text).records().map(Result::unwrap).collect()
}

macro_rules! benches {
    ($layout:ident, $readings:expr) => {
        mod $layout {
            use super::*;

            #[divan::bench]
            fn import(bencher: Bencher<'_, '_>) {
                let text = super::$layout();
                check(&text, $readings);
                let bytes = BytesCount::of_str(&text);
                bencher.counter(bytes).bench(|| super::import(black_box(&text)));
            }

            #[divan::bench]
            fn csv_bare_loop(bencher: Bencher<'_, '_>) {
                let text = super::$layout();
                let bytes = BytesCount::of_str(&text);
                bencher.counter(bytes).bench(|| bare_loop(black_box(&text)));
            }

            #[divan::bench]
            fn csv_collected(bencher: Bencher<'_, '_>) {
                let text = super::$layout();
                let bytes = BytesCount::of_str(&text);
                bencher.counter(bytes).bench(|| collected(black_box(&text)));
            }
        }
    };
}

benches!(long, ROWS);
benches!(wide, ROWS * ANALYTES.len());
