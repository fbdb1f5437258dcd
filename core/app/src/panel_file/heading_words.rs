//! The words that laboratories and practitioners put over columns that are no analytes.
//!
//! All of them are common practice, no source.

use std::{collections::HashMap, sync::LazyLock};

use swardbook_units::{Dimension, Unit, parse_unit};

use super::{attribute::Attribute, unit_words::without_unit};

/// Headings of attributes, folded and parted by commas.
const ATTRIBUTES: &[(Attribute, &str)] = &[
    (
        Attribute::Label,
        "sample, sample id, sample name, sample label, sample no, sample number, sample \
         code, sample ref, sample reference, sample identification, sample description, \
         label, id, name, bag, bag label, bag no, bag number, customer sample, customer \
         sample id, client sample, client sample id, client id, your ref, your \
         reference, your sample, identification, samples, customer id, customer \
         reference",
    ),
    (
        Attribute::LaboratoryNumber,
        "lab no, lab number, lab id, lab ref, lab reference, lab code, lab sample, lab \
         sample no, lab sample id, lab sample number, laboratory no, laboratory number, \
         laboratory id, laboratory ref, laboratory reference, laboratory code, \
         laboratory sample number, laboratory sample id, accession, accession no, \
         accession number, our ref, our reference, labno, labid",
    ),
    (Attribute::Laboratory, "lab, laboratory, lab name, laboratory name"),
    (
        Attribute::Property,
        "property, client, client name, customer, customer name, owner, grower, \
         account, farm, submitter, submitted by",
    ),
    (
        Attribute::Zone,
        "zone, area, location, site, field, paddock, block, plot, lawn, green, zone \
         name, site id, site name, field id, field name, location id",
    ),
    (
        Attribute::Sampled,
        "sampled, date sampled, sample date, sampling date, date of sampling, \
         collected, date collected, collection date, date taken, sampled on, sample \
         taken, pulled",
    ),
    (
        Attribute::Received,
        "received, date received, receipt date, received on, received date, date of \
         receipt, date arrived",
    ),
    (
        Attribute::Reported,
        "reported, date reported, report date, date of report, reported on, date \
         issued, issued, analysed, date analysed, analysis date, date of analysis, date \
         analyzed, date completed, completed",
    ),
    (
        Attribute::Depth,
        "depth, sample depth, sampling depth, depth interval, depth range, core depth, \
         soil depth, depths",
    ),
    (
        Attribute::DepthFrom,
        "depth from, from depth, top depth, depth top, upper depth, depth upper, start \
         depth, depth start, from, sample depth from",
    ),
    (
        Attribute::DepthTo,
        "depth to, to depth, bottom depth, depth bottom, lower depth, depth lower, end \
         depth, depth end, to, sample depth to",
    ),
    (
        Attribute::Remark,
        "comment, comments, remark, remarks, note, notes, sample comment, sample \
         comments, sample notes",
    ),
];

/// Headings that say what a column of a long table holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum LongColumn {
    Name,
    Value,
    Unit,
    Method,
    Sign,
    Spread,
    /// A reporting limit.
    Limit,
    /// A rating or a target: it stands beside readings and is none.
    Beside,
}

/// Headings of the columns of long tables, folded and parted by commas.
const LONG_COLUMNS: &[(LongColumn, &str)] = &[
    (
        LongColumn::Name,
        "analyte, test, parameter, determination, determinand, element, nutrient, \
         analysis, test name, component, constituent, characteristic, analysis name, \
         item, measurement, soil property, analyte name, tests, parameters, analytes, \
         variable, determinant, measurand",
    ),
    (
        LongColumn::Value,
        "result, results, value, values, reading, readings, level, concentration, \
         amount, found, test result, result value, measured, reported value, reported \
         result, your result, content",
    ),
    (
        LongColumn::Unit,
        "unit, units, uom, result unit, result units, unit of measure, reported unit",
    ),
    (
        LongColumn::Method,
        "method, methods, extractant, extraction, procedure, technique, test method, \
         analysis method, extraction method, method name, extract",
    ),
    (LongColumn::Sign, "qualifier, sign, prefix, operator, <>, < >, <"),
    (LongColumn::Spread, "uncertainty, \u{b1}, mu, measurement uncertainty, error, sd, +"),
    (
        LongColumn::Limit,
        "lor, lod, loq, pql, mdl, limit of reporting, limit of detection, limit of \
         quantification, detection limit, reporting limit, rl",
    ),
    (
        LongColumn::Beside,
        "rating, ratings, status, interpretation, desired, desired level, desired \
         range, desirable, desirable level, desirable range, optimum, optimum level, \
         optimum range, optimal, optimal range, target, target level, target range, \
         guideline, guide, guide range, guideline range, normal range, reference range, \
         recommended, recommended range, recommended level, sufficiency range, low, \
         medium, high, acceptable range, range, class, decision",
    ),
];

/// Labels of rows that sum up the samples above them.
const SUMMARIES: &[&str] = &[
    "average",
    "mean",
    "median",
    "minimum",
    "maximum",
    "min",
    "max",
    "sd",
    "std dev",
    "stdev",
    "standard deviation",
    "se",
    "cv",
    "cv %",
    "geometric mean",
    "count",
    "total",
];

fn by_word<T: Copy>(rows: &[(T, &'static str)]) -> HashMap<&'static str, T> {
    let words = |row: &(T, &'static str)| {
        let meaning = row.0;
        row.1.split(", ").map(move |word| (word, meaning))
    };
    rows.iter().flat_map(words).collect()
}

/// Finds the attribute that a heading names, and for a depth the unit it gives: "Depth (cm)",
/// `depth_from_mm`.
pub(super) fn find_attribute(heading: &str) -> Option<(Attribute, Option<&'static Unit>)> {
    let key = fold_words(heading);
    static KNOWN: LazyLock<HashMap<&str, Attribute>> = LazyLock::new(|| by_word(ATTRIBUTES));
    let named = |key: &str| KNOWN.get(key).copied();
    if let Some(attribute) = named(&key) {
        return Some((attribute, None));
    }
    let (words, last) = key.rsplit_once(' ')?;
    let words = words.strip_suffix(" in").unwrap_or(words);
    let attribute = named(words).filter(|attribute| {
        matches!(attribute, Attribute::Depth | Attribute::DepthFrom | Attribute::DepthTo)
    })?;
    length_unit(last).map(|unit| (attribute, Some(unit)))
}

/// A unit of length and nothing else.
pub(super) fn length_unit(text: &str) -> Option<&'static Unit> {
    parse_unit(text).ok().filter(|unit| unit.dimension == Dimension::Length)
}

/// Finds what a long table's column holds.
pub(super) fn long_column(heading: &str) -> Option<LongColumn> {
    let key = fold_words(heading);
    let key = if key.is_empty() { heading.trim() } else { &key };
    static KNOWN: LazyLock<HashMap<&str, LongColumn>> = LazyLock::new(|| by_word(LONG_COLUMNS));
    KNOWN.get(key).copied()
}

/// The same for a heading that may give a unit, such as "Result (mg/kg)".
pub(super) fn long_column_with_unit(heading: &str) -> Option<(LongColumn, Option<&'static Unit>)> {
    if let Some(column) = long_column(heading) {
        return Some((column, None));
    }
    let (words, unit) = without_unit(heading);
    unit.and_then(|unit| long_column(&words).map(|column| (column, Some(unit))))
}

/// Whether a label stands among samples and names none: a limit, a target, an average.
pub(super) fn is_no_sample(label: &str) -> bool {
    let beside = matches!(long_column(label), Some(LongColumn::Beside | LongColumn::Limit));
    beside || SUMMARIES.contains(&fold_words(label).as_str())
}

/// Lower case words parted by single spaces, without punctuation.
pub(super) fn fold_words(text: &str) -> String {
    let mut folded = String::with_capacity(text.len());
    for c in text.chars().flat_map(char::to_lowercase) {
        match c {
            // "Lab #" is the laboratory's number.
            '#' => folded.push_str(" no "),
            '_' | '.' | ':' | '*' | '/' | '(' | ')' | '[' | ']' | ',' | '-' | '\'' | '\u{2019}' => {
                folded.push(' ');
            }
            c if c.is_whitespace() => folded.push(' '),
            c => folded.push(c),
        }
    }
    folded.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headings_name_attributes() {
        let check = |heading: &str, expected: Option<(Attribute, Option<&str>)>| {
            let got = find_attribute(heading).map(|(a, u)| (a, u.map(|u| u.symbol)));
            assert_eq!(got, expected, "{heading:?}");
        };
        check("Sample ID", Some((Attribute::Label, None)));
        check("sample_id", Some((Attribute::Label, None)));
        check("Lab No.", Some((Attribute::LaboratoryNumber, None)));
        check("Date sampled:", Some((Attribute::Sampled, None)));
        check("Depth (cm)", Some((Attribute::Depth, Some("cm"))));
        check("depth_from_mm", Some((Attribute::DepthFrom, Some("mm"))));
        check("Depth", Some((Attribute::Depth, None)));
        check("Zone", Some((Attribute::Zone, None)));
        check("pH", None);
        check("Date", None);
    }

    #[test]
    fn no_word_stands_for_two_things() {
        let mut seen = std::collections::BTreeSet::new();
        for word in ATTRIBUTES.iter().flat_map(|(_, words)| words.split(", ")) {
            assert!(seen.insert(word), "{word} stands twice");
        }
        for word in LONG_COLUMNS.iter().flat_map(|(_, words)| words.split(", ")) {
            assert!(seen.insert(word), "{word} stands twice");
        }
    }
}
