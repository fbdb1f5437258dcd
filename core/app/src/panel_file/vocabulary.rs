//! What single cells look like: a heading of something known, a value, or plain text.

use std::{cell::RefCell, collections::HashMap};

use swardbook_units::Unit;

use super::{
    attribute::{find_attribute, fold_words},
    cell_value::{ColumnMark, read_value},
    mapping::{Mapping, Role, heading_key},
    naming,
};

/// Headings that say what a column of a long table holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum LongColumn {
    Name,
    Value,
    Unit,
    Method,
    Sign,
    Spread,
    /// A reporting limit, a rating, a target: it stands beside readings and is none.
    Beside,
}

/// Column headings of long tables; common practice, no source.
const LONG_COLUMNS: &[(LongColumn, &[&str])] = &[
    (
        LongColumn::Name,
        &[
            "analyte",
            "test",
            "parameter",
            "determination",
            "determinand",
            "element",
            "nutrient",
            "analysis",
            "test name",
            "component",
            "constituent",
            "characteristic",
            "analysis name",
            "item",
            "measurement",
            "soil property",
            "analyte name",
            "tests",
            "parameters",
            "analytes",
            "variable",
            "determinant",
            "measurand",
        ],
    ),
    (
        LongColumn::Value,
        &[
            "result",
            "results",
            "value",
            "values",
            "reading",
            "readings",
            "level",
            "concentration",
            "amount",
            "found",
            "test result",
            "result value",
            "measured",
            "reported value",
            "reported result",
            "your result",
            "content",
        ],
    ),
    (
        LongColumn::Unit,
        &[
            "unit",
            "units",
            "uom",
            "result unit",
            "result units",
            "unit of measure",
            "reported unit",
        ],
    ),
    (
        LongColumn::Method,
        &[
            "method",
            "methods",
            "extractant",
            "extraction",
            "procedure",
            "technique",
            "test method",
            "analysis method",
            "extraction method",
            "method name",
            "extract",
        ],
    ),
    (LongColumn::Sign, &["qualifier", "sign", "prefix", "operator", "<>", "< >", "<"]),
    (
        LongColumn::Spread,
        &["uncertainty", "\u{b1}", "mu", "measurement uncertainty", "error", "sd", "+ "],
    ),
    (
        LongColumn::Beside,
        &[
            "lor",
            "lod",
            "loq",
            "pql",
            "mdl",
            "limit of reporting",
            "limit of detection",
            "limit of quantification",
            "detection limit",
            "reporting limit",
            "rating",
            "ratings",
            "status",
            "interpretation",
            "desired",
            "desired level",
            "desired range",
            "desirable",
            "desirable level",
            "desirable range",
            "optimum",
            "optimum level",
            "optimum range",
            "optimal",
            "optimal range",
            "target",
            "target level",
            "target range",
            "guideline",
            "guide",
            "guide range",
            "guideline range",
            "normal range",
            "reference range",
            "recommended",
            "recommended range",
            "recommended level",
            "sufficiency range",
            "low",
            "medium",
            "high",
            "acceptable range",
            "range",
            "class",
            "decision",
        ],
    ),
];

/// Finds what a long table's column holds.
pub(super) fn long_column(heading: &str) -> Option<LongColumn> {
    let key = fold_words(heading);
    let key = if key.is_empty() { heading.trim() } else { &key };
    LONG_COLUMNS.iter().find(|(_, names)| names.contains(&key)).map(|(column, _)| *column)
}

/// The same for a heading that may give a unit, such as "Result (mg/kg)".
pub(super) fn long_column_with_unit(heading: &str) -> Option<(LongColumn, Option<&'static Unit>)> {
    if let Some(column) = long_column(heading) {
        return Some((column, None));
    }
    let (words, unit) = naming::without_unit(heading);
    unit.and_then(|unit| long_column(&words).map(|column| (column, Some(unit))))
}

/// What one cell looks like.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Look {
    /// A name of an analyte, known or remembered.
    pub(super) is_analyte: bool,
    /// A heading of an attribute, known or remembered.
    pub(super) is_attribute: bool,
    /// A heading of a long table.
    pub(super) long: Option<LongColumn>,
    /// A unit and nothing else.
    pub(super) is_unit: bool,
    /// A method, words that only say "extracted by" aside.
    pub(super) is_method: bool,
    /// A unit or a method, alone or as a group's heading.
    pub(super) is_detail: bool,
}

/// Judges cells, each different text once.
#[derive(Debug)]
pub(super) struct Vocabulary<'a> {
    mapping: &'a Mapping,
    seen: RefCell<HashMap<String, Look>>,
}

impl<'a> Vocabulary<'a> {
    /// The words of the trade and those that a mapping adds.
    pub(super) fn new(mapping: &'a Mapping) -> Self {
        let mut seen: HashMap<String, Look> = HashMap::new();
        for column in mapping.tables.iter().flat_map(|table| &table.columns) {
            // Only a heading in one cell is a word by itself.
            let mut parts = column.heading.iter().filter(|part| !part.trim().is_empty());
            let (Some(word), None) = (parts.next(), parts.next()) else { continue };
            let look = seen.entry(word.clone()).or_insert_with(|| look_at(word));
            match column.role {
                Role::Analyte(_) => look.is_analyte = true,
                Role::Attribute { .. } => look.is_attribute = true,
                Role::Name => look.long = Some(LongColumn::Name),
                Role::Value { .. } => look.long = Some(LongColumn::Value),
                Role::Unit => look.long = Some(LongColumn::Unit),
                Role::Method => look.long = Some(LongColumn::Method),
                Role::Sign => look.long = Some(LongColumn::Sign),
                Role::Spread => look.long = Some(LongColumn::Spread),
                Role::Unknown | Role::Ignore => {}
            }
        }
        Self { mapping, seen: RefCell::new(seen) }
    }

    /// What a text looks like.
    pub(super) fn look(&self, text: &str) -> Look {
        if text.is_empty() || text.len() > 120 {
            return Look::default();
        }
        if let Some(look) = self.seen.borrow().get(text) {
            return *look;
        }
        let mut look = look_at(text);
        if !look.is_analyte && !self.mapping.names.is_empty() {
            let name = naming::name_key(text, "", "");
            let start = name.trim_end_matches('|');
            look.is_analyte =
                self.mapping.names.iter().any(|rule| rule.written.split('|').next() == Some(start));
        }
        self.seen.borrow_mut().insert(text.to_owned(), look);
        look
    }

    /// Whether a label stands for a row that is no sample.
    pub(super) fn is_left_out(&self, label: &str) -> bool {
        if self.mapping.left_out.is_empty() {
            return false;
        }
        let key = heading_key(&[label]);
        self.mapping.left_out.contains(&key)
    }
}

fn look_at(text: &str) -> Look {
    let long = long_column_with_unit(text).map(|(column, _)| column);
    let is_attribute = find_attribute(text).is_some();
    let is_analyte = long.is_none() && !is_attribute && !naming::of_text(text).matches.is_empty();
    let is_method = !naming::methods_named(text).is_empty();
    let is_detail = is_method || naming::without_unit(text).1.is_some();
    let is_unit = is_detail && naming::unit_of_cell(text).is_some();
    Look { is_analyte, is_attribute, long, is_unit, is_method, is_detail }
}

/// Whether a cell is a number as laboratories write them, whichever mark they use.
pub(super) fn is_value(text: &str) -> bool {
    let starts = text.as_bytes().first().is_some_and(|b| {
        b.is_ascii_digit()
            || matches!(b, b'<' | b'>' | b'-' | b'+' | b'.' | b',' | b'*' | b'~')
            || !b.is_ascii()
    });
    let unknown = ColumnMark::Unknown { point_is_decimal: true };
    (starts || text.to_ascii_lowercase().starts_with("less than"))
        && match read_value(text, unknown) {
            Ok(_) => true,
            Err(reason) => reason == super::outcome::Reason::TwoWays,
        }
}
