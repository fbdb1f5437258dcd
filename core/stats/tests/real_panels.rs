//! A table of variances of 48 real panels, against a general-purpose library.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::{fs, path::PathBuf};

use swardbook_stats::{
    distribution::f_upper_tail,
    linear_model::{least_squares, levels, ones},
};

/// Columns of `fixtures/real/soils-48.csv` by their headings: the words, and the numbers.
struct Panels {
    rows: Vec<Vec<String>>,
    headings: Vec<String>,
}

impl Panels {
    fn read() -> Self {
        let path =
            PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/real/soils-48.csv");
        let text = fs::read_to_string(path).unwrap();
        let mut lines = text.lines().map(|line| line.split(',').map(str::to_owned).collect());
        let headings = lines.next().unwrap();
        // The second line holds units.
        let rows = lines.skip(1).collect();
        Self { rows, headings }
    }

    fn column(&self, heading: &str) -> Vec<String> {
        let place = self.headings.iter().position(|name| name == heading).unwrap();
        self.rows.iter().map(|row| row[place].clone()).collect()
    }

    fn numbers(&self, heading: &str) -> Vec<f64> {
        self.column(heading).iter().map(|text| text.parse().unwrap()).collect()
    }

    /// Numbers from zero for the words of a column.
    fn groups(&self, heading: &str) -> Vec<usize> {
        let words = self.column(heading);
        let mut known: Vec<&String> = words.iter().collect();
        known.sort();
        known.dedup();
        words.iter().map(|word| known.iter().position(|other| *other == word).unwrap()).collect()
    }
}

/// Squares and degrees of freedom that each group of columns explains after those before it, and
/// what is left; in a balanced layout the order does not matter.
fn explained(parts: &[Vec<Vec<f64>>], values: &[f64]) -> (Vec<(f64, f64)>, (f64, f64)) {
    let mut columns = vec![ones(values.len())];
    let left = |columns: &[Vec<f64>]| {
        let fit = least_squares(columns, values).unwrap();
        (fit.residual_squares, fit.df)
    };
    let mut before = left(&columns);
    let mut table = Vec::new();
    for part in parts {
        columns.extend(part.iter().cloned());
        let after = left(&columns);
        table.push((before.0 - after.0, before.1 - after.1));
        before = after;
    }
    (table, before)
}

fn check(analyte: &str, expected: &[(f64, f64, f64); 4], residual: (f64, f64)) {
    let panels = Panels::read();
    assert_eq!(panels.rows.len(), 48, "48 panels");
    let (contour, depth) = (levels(&panels.groups("Contour")), levels(&panels.groups("Depth")));
    let both: Vec<Vec<f64>> = contour
        .iter()
        .flat_map(|c| depth.iter().map(|d| c.iter().zip(d).map(|(c, d)| c * d).collect()))
        .collect();
    let parts = [levels(&panels.groups("Block")), contour, depth, both];
    let (table, left) = explained(&parts, &panels.numbers(analyte));
    let near = |what: &str, got: f64, want: f64| {
        assert!((got - want).abs() <= 1e-5 * want.abs(), "{analyte} {what}: {got}, not {want}");
    };
    near("residual df", left.1, residual.0);
    near("residual squares", left.0, residual.1);
    for ((squares, df), (want_df, want_squares, want_f)) in table.into_iter().zip(expected) {
        near("df", df, *want_df);
        near("squares", squares, *want_squares);
        let f = (squares / df) / (left.0 / left.1);
        near("F", f, *want_f);
        let p = f_upper_tail(f, df, left.1).unwrap();
        assert!((0.0..1.0).contains(&p), "{analyte}: p {p}");
    }
}

#[test]
fn variances_of_acidity_and_calcium_in_blocks() {
    // statsmodels 0.15.0, anova type 2; block, contour, depth, contour x depth.
    let ph = [
        (3.0, 1.232_472_9, 3.191_956),
        (2.0, 0.260_662_5, 1.012_627),
        (3.0, 14.958_973, 38.741_94),
        (6.0, 0.515_870_83, 0.668_021_6),
    ];
    check("pH", &ph, (33.0, 4.247_302_1));
    let ca = [
        (3.0, 14.600_873, 2.248_541),
        (2.0, 25.394_112, 5.866_058),
        (3.0, 378.382_62, 58.271_1),
        (6.0, 8.449_720_8, 0.650_630_5),
    ];
    check("Ca", &ca, (33.0, 71.428_352));
}
