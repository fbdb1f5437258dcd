//! Units as they are written in cells and headings.

use std::{cell::RefCell, collections::HashMap};

use swardbook_units::{Dimension, Unit, parse_unit};

/// A unit that a laboratory reports readings in; a lone `h` or `m` behind a number is a mark.
pub(super) fn unit_of_reading(text: &str) -> Option<&'static Unit> {
    // A quick way past the thousands of labels with a number: digits in a unit stand behind a
    // stroke (`mg/100 g`) or are a power (`kg-1`).
    let has_digit = text.bytes().any(|b| b.is_ascii_digit());
    let is_divided = text.contains(['/', '%', '^'])
        || ["-1", "-2", "-3"].iter().any(|power| text.ends_with(power));
    if text.len() > 40 || (has_digit && !is_divided) {
        return None;
    }
    // The same few units stand in thousands of cells.
    thread_local! {
        static KNOWN: RefCell<HashMap<String, Option<&'static Unit>>> = RefCell::default();
    }
    const MOST_KNOWN: usize = 4096;
    KNOWN.with_borrow_mut(|known| {
        if let Some(unit) = known.get(text) {
            return *unit;
        }
        if known.len() >= MOST_KNOWN {
            known.clear();
        }
        let unit = parse_unit(text).ok().filter(|unit| is_of_reading(unit, text));
        known.insert(text.to_owned(), unit);
        unit
    })
}

fn is_of_reading(unit: &Unit, text: &str) -> bool {
    match unit.dimension {
        Dimension::MassFraction
        | Dimension::MassPerVolume
        | Dimension::MassPerArea
        | Dimension::ChargePerMass
        | Dimension::ChargePerVolume
        | Dimension::Conductivity
        | Dimension::Density
        | Dimension::Acidity => true,
        Dimension::Ratio => text.len() > 1,
        _ => false,
    }
}

/// A cell that is a unit and nothing else, with or without brackets.
pub(super) fn unit_of_cell(text: &str) -> Option<&'static Unit> {
    let bare = text.trim().trim_start_matches(['[', '(']).trim_end_matches(']');
    let bare =
        if text.trim().starts_with('(') { bare.strip_suffix(')').unwrap_or(bare) } else { bare };
    let bare = bare.trim();
    unit_of_reading(bare).or_else(|| {
        // As written where signs are not allowed, in exported column names.
        let spelled = match bare.to_lowercase().as_str() {
            "mgkg" | "mg_kg" | "mg per kg" => "mg/kg",
            "gkg" | "g_kg" | "g per kg" => "g/kg",
            "cmolkg" | "cmol_kg" | "cmolc_kg" => "cmol/kg",
            "dsm" | "ds_m" => "dS/m",
            "uscm" | "us_cm" => "uS/cm",
            "mgl" | "mg_l" | "mg per l" => "mg/L",
            "kgha" | "kg_ha" => "kg/ha",
            "gcm3" | "g_cm3" => "g/cm3",
            "perc" => "%",
            _ => return None,
        };
        parse_unit(spelled).ok()
    })
}

/// A text without the unit in it, and that unit.
pub(super) fn without_unit(text: &str) -> (String, Option<&'static Unit>) {
    if let Some(unit) = unit_of_cell(text) {
        return (String::new(), Some(unit));
    }
    match units_within(text).next() {
        Some((range, unit)) => (format!("{} {}", &text[..range.0], &text[range.1..]), Some(unit)),
        None => (text.to_owned(), None),
    }
}

/// The part of a heading that is its unit.
pub(super) fn unit_of_part(part: &str) -> &str {
    if unit_of_cell(part).is_some() {
        return part;
    }
    units_within(part).next().map_or("", |(range, _)| &part[range.0..range.1])
}

/// Every stretch of words that is a unit, the longest and last first.
pub(super) fn units_within(text: &str) -> impl Iterator<Item = ((usize, usize), &'static Unit)> {
    let mut starts: Vec<usize> = Vec::new();
    let mut ends: Vec<usize> = Vec::new();
    let gap = |c: char| c.is_whitespace() || matches!(c, '(' | ')' | '[' | ']' | ',' | '_' | ';');
    let mut before = ' ';
    for (at, c) in text.char_indices() {
        if !gap(c) && gap(before) {
            starts.push(at);
        }
        if gap(c) && !gap(before) {
            ends.push(at);
        }
        before = c;
    }
    if !gap(before) {
        ends.push(text.len());
    }
    let mut found: Vec<((usize, usize), &'static Unit)> = Vec::new();
    for (first, &start) in starts.iter().enumerate() {
        for &end in ends.iter().skip(first).take(4) {
            if (start, end) == (0, text.len()) {
                continue;
            }
            if let Some(unit) = unit_of_cell(&text[start..end]) {
                found.push(((start, end), unit));
            }
        }
    }
    found.sort_by_key(|((start, end), _)| (usize::MAX - (end - start), usize::MAX - start));
    found.into_iter()
}
