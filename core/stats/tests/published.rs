//! Answers of published examples, certified data and general-purpose libraries.
//!
//! Each entry of `fixtures/published/statistics.toml` names its source and its tolerance; an entry
//! that no function here works out fails the test, and so does a function without its entry.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::{fs, path::PathBuf};

#[path = "published/distributions.rs"]
mod distributions;
#[path = "published/groups.rs"]
mod groups;
#[path = "published/readings.rs"]
mod readings;
#[path = "published/trials.rs"]
mod trials;

/// One entry of the fixture.
struct Check(toml::Table);

impl Check {
    fn id(&self) -> &str {
        self.0["id"].as_str().unwrap()
    }

    fn input(&self, name: &str) -> &toml::Value {
        &self.0["inputs"][name]
    }

    fn expected(&self, name: &str) -> &toml::Value {
        &self.0["expected"][name]
    }

    /// A number among the inputs.
    fn number(&self, name: &str) -> f64 {
        number(self.input(name))
    }

    /// A list of numbers among the inputs.
    fn list(&self, name: &str) -> Vec<f64> {
        list(self.input(name))
    }

    /// Rows of numbers among the inputs.
    fn rows(&self, name: &str) -> Vec<Vec<f64>> {
        rows(self.input(name))
    }

    /// A whole number among the inputs.
    fn count(&self, name: &str) -> usize {
        usize::try_from(self.input(name).as_integer().unwrap()).unwrap()
    }

    /// A list of whole numbers among the inputs.
    fn counts(&self, name: &str) -> Vec<usize> {
        let values = self.input(name).as_array().unwrap();
        values.iter().map(|one| usize::try_from(one.as_integer().unwrap()).unwrap()).collect()
    }

    /// Compares one number with the answer of that name.
    fn is(&self, name: &str, got: f64) {
        self.near(name, got, number(self.expected(name)));
    }

    /// Compares a list with the answer of that name.
    fn are(&self, name: &str, got: &[f64]) {
        let want = list(self.expected(name));
        assert_eq!(got.len(), want.len(), "{}: {name}", self.id());
        for (got, want) in got.iter().zip(&want) {
            self.near(name, *got, *want);
        }
    }

    /// Within the entry's tolerance, relative or absolute.
    fn near(&self, name: &str, got: f64, want: f64) {
        let tolerance = self.0["tolerance"].as_table().unwrap();
        let allowed = match (tolerance.get("rel"), tolerance.get("abs")) {
            (Some(rel), _) => number(rel) * want.abs(),
            (None, Some(abs)) => number(abs),
            (None, None) => panic!("{}: no tolerance", self.id()),
        };
        self.near_by(name, got, want, allowed);
    }

    fn near_by(&self, name: &str, got: f64, want: f64, allowed: f64) {
        // A zero answer cannot have a relative tolerance.
        let allowed = if want.abs() > 0.0 { allowed } else { allowed.max(1e-12) };
        assert!(
            (got - want).abs() <= allowed,
            "{}: {name}: {got} is not {want} within {allowed}",
            self.id()
        );
    }
}

fn number(value: &toml::Value) -> f64 {
    match value {
        toml::Value::Float(number) => *number,
        toml::Value::Integer(number) => f64::from(i32::try_from(*number).unwrap()),
        other => panic!("{other} is no number"),
    }
}

fn list(value: &toml::Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(number).collect()
}

fn rows(value: &toml::Value) -> Vec<Vec<f64>> {
    value.as_array().unwrap().iter().map(list).collect()
}

/// What works an entry out.
type Work = fn(&Check);

/// Every entry and what works it out.
fn table() -> Vec<(&'static str, Work)> {
    [distributions::WORKS, groups::WORKS, readings::WORKS, trials::WORKS].concat()
}

#[test]
fn every_published_answer_is_reproduced() {
    let file =
        PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/published/statistics.toml");
    let file: toml::Table = fs::read_to_string(file).unwrap().parse().unwrap();
    let checks: Vec<Check> = file["check"]
        .as_array()
        .unwrap()
        .iter()
        .map(|check| Check(check.as_table().unwrap().clone()))
        .collect();
    let table = table();
    for check in &checks {
        assert!(!check.0["source"].as_str().unwrap().is_empty(), "{}: no source", check.id());
        let (_, work) = table
            .iter()
            .find(|(id, _)| *id == check.id())
            .unwrap_or_else(|| panic!("{}: nothing works it out", check.id()));
        work(check);
    }
    for (id, _) in &table {
        let found = checks.iter().filter(|check| check.id() == *id).count();
        assert_eq!(found, 1, "{id}: entries in the fixture");
    }
}
