//! The slips that would explain an odd reading: another unit, a compound for its element, a
//! misplaced decimal mark.

use swardbook_units::{Dimension, Unit, units};

use super::Panel;
use crate::{analyte::Form, reading::Reading};

/// What would have to be read differently.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fix {
    /// The number stands, its unit is this one.
    Unit(&'static Unit),
    /// The number is of this compound, not of the element.
    Compound(&'static Form),
    /// The number is of the element, not of the compound named.
    Element,
    /// The number should be multiplied: a misplaced decimal mark or a prefix.
    Times(f64),
    /// The two readings stand in each other's place.
    Swapped,
}

/// One slip that would explain a finding.
#[derive(Debug, Clone, PartialEq)]
pub struct Suggestion {
    /// Places of the readings it concerns.
    pub readings: Vec<usize>,
    /// What to read differently.
    pub fix: Fix,
    /// The same in words, with the number it gives.
    pub words: String,
}

/// A slip and the value it would give, in the unit the analyte is kept in.
pub(super) struct Candidate {
    pub(super) fix: Fix,
    pub(super) value: f64,
}

/// Units that mass and charge of soil, and conductivity, are mistaken for one another in.
const MISTAKEN: &[Dimension] = &[
    Dimension::MassFraction,
    Dimension::ChargePerMass,
    Dimension::Conductivity,
    Dimension::Density,
];

/// Every slip that one reading could be, in the order they are likely.
pub(super) fn candidates(panel: &Panel<'_>, at: usize) -> Vec<Candidate> {
    let reading = &panel.readings[at];
    let mut found: Vec<Candidate> = Vec::new();
    let mut add = |fix: Fix, changed: Option<Reading>| {
        let value = changed.and_then(|r| r.canonical(panel.ground).ok()).map(|w| w.value);
        if let Some(value) = value
            && !found.iter().any(|c| (c.value - value).abs() <= 1e-9 * value.abs())
        {
            found.push(Candidate { fix, value });
        }
    };
    for unit in units() {
        if unit.symbol != reading.unit().symbol && MISTAKEN.contains(&unit.dimension) {
            add(Fix::Unit(unit), reading.with_unit(unit));
        }
    }
    if reading.form().is_some() {
        add(Fix::Element, reading.as_element());
    } else {
        for form in &reading.analyte().forms {
            add(Fix::Compound(form), reading.reported_as(form).ok());
        }
    }
    for factor in [0.1, 10.0, 0.001, 1000.0] {
        add(Fix::Times(factor), reading.with_value(reading.value() * factor));
    }
    found
}

/// The slips that bring a reading into its usual range, the one nearest its middle first.
pub(super) fn into_usual_range(panel: &Panel<'_>, at: usize) -> Vec<Suggestion> {
    let by = panel.readings[at].by();
    let (low, high) = by.usual;
    let mut fitting: Vec<Candidate> =
        candidates(panel, at).into_iter().filter(|c| (low..=high).contains(&c.value)).collect();
    // A compound for its element shifts a number by less than three; it does not explain one that
    // is out of a range this wide, unless nothing else does.
    if fitting.iter().any(|c| !matches!(c.fix, Fix::Compound(_) | Fix::Element)) {
        fitting.retain(|c| !matches!(c.fix, Fix::Compound(_) | Fix::Element));
    }
    let middle = if low > 0.0 { (low * high).sqrt() } else { 0.5 * (low + high) };
    let distance = |c: &Candidate| {
        if low > 0.0 { (c.value / middle).ln().abs() } else { (c.value - middle).abs() }
    };
    fitting.sort_by(|a, b| distance(a).total_cmp(&distance(b)));
    fitting.into_iter().map(|c| suggested(panel, at, &c)).collect()
}

/// A slip of one reading in words.
pub(super) fn suggested(panel: &Panel<'_>, at: usize, candidate: &Candidate) -> Suggestion {
    let reading = &panel.readings[at];
    let by = reading.by();
    let gives = format!("{} {}", rounded(candidate.value), by.unit.symbol);
    let words = match candidate.fix {
        Fix::Unit(unit) => {
            format!("{} read as {} would be {gives}", reading.value(), unit.symbol)
        }
        Fix::Compound(form) => format!("read as {} it would be {gives}", form.formula),
        Fix::Element => format!("read as the element it would be {gives}"),
        Fix::Times(factor) if factor < 1.0 => {
            format!("divided by {} it would be {gives}", rounded(1.0 / factor))
        }
        Fix::Times(factor) => format!("times {} it would be {gives}", rounded(factor)),
        Fix::Swapped => "the two readings may stand in each other's place".to_owned(),
    };
    Suggestion { readings: vec![at], fix: candidate.fix, words }
}

/// Four significant digits, for a number inside a sentence.
pub(super) fn rounded(value: f64) -> String {
    if value.abs() < f64::MIN_POSITIVE || !value.is_finite() {
        return format!("{value}");
    }
    let mut decimals = 0_usize;
    let mut scaled = value.abs();
    while scaled < 1000.0 && decimals < 6 {
        scaled *= 10.0;
        decimals += 1;
    }
    let text = format!("{value:.decimals$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}
