//! What single cells look like: a heading of something known, a value, or plain text.

use std::{cell::RefCell, collections::HashMap};

use super::{
    attribute::Attribute,
    cell_value::{ColumnMark, plain_value, read_value},
    heading_words::{LongColumn, find_attribute, long_column_with_unit},
    mapping::{Layout, Mapping, Role, heading_key},
    naming,
    unit_words::{unit_of_cell, without_unit},
};

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
    /// What the mapping adds, by the key of the word.
    own: HashMap<String, Look>,
    seen: RefCell<HashMap<String, Look>>,
}

impl<'a> Vocabulary<'a> {
    /// The words of the trade and those that a mapping adds.
    pub(super) fn new(mapping: &'a Mapping) -> Self {
        let mut own: HashMap<String, Look> = HashMap::new();
        let columns = mapping
            .tables
            .iter()
            .flat_map(|table| table.columns.iter().map(move |column| (table.layout, column)));
        for (layout, column) in columns {
            // The labels of a turned table are known by their place, whatever stands before them.
            let is_label =
                matches!(column.role, Role::Attribute { attribute: Attribute::Label, .. });
            if is_label && layout == Layout::Turned {
                continue;
            }
            // A word that says something by itself keeps its sense; a rule adds words of its own.
            let parts = column.heading.iter().filter(|part| !part.trim().is_empty());
            let looks: Vec<(&String, Look)> = parts.map(|part| (part, look_at(part))).collect();
            let is_named =
                |look: &Look| look.is_analyte || look.is_attribute || look.long.is_some();
            if looks.iter().any(|(_, look)| is_named(look)) {
                continue;
            }
            let mut unknown = looks.iter().filter(|(_, look)| *look == Look::default());
            let (Some((word, _)), None) = (unknown.next(), unknown.next()) else { continue };
            let look = own.entry(heading_key(&[word])).or_default();
            match column.role {
                Role::Analyte(_) => look.is_analyte = true,
                Role::Attribute { .. } => look.is_attribute = true,
                Role::Name => look.long = Some(LongColumn::Name),
                Role::Value { .. } => look.long = Some(LongColumn::Value),
                Role::Unit => look.long = Some(LongColumn::Unit),
                Role::Method => look.long = Some(LongColumn::Method),
                Role::Sign => look.long = Some(LongColumn::Sign),
                Role::Limit => look.long = Some(LongColumn::Limit),
                Role::Spread => look.long = Some(LongColumn::Spread),
                Role::Unknown | Role::Ignore => {}
            }
        }
        Self { mapping, own, seen: RefCell::default() }
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
        if !self.own.is_empty() && look == Look::default() {
            look = self.own.get(&heading_key(&[text])).copied().unwrap_or_default();
        }
        if !look.is_analyte && !self.mapping.names.is_empty() {
            let name = naming::name_key(text, "", "");
            let start = name.trim_end_matches('|');
            look.is_analyte =
                self.mapping.names.iter().any(|rule| rule.written.split('|').next() == Some(start));
        }
        self.seen.borrow_mut().insert(text.to_owned(), look);
        look
    }

    /// Whether the mapping leaves any row out.
    pub(super) fn leaves_out_any(&self) -> bool {
        !self.mapping.left_out.is_empty()
    }

    /// Whether a label stands for a row that is no sample.
    pub(super) fn is_left_out(&self, label: &str) -> bool {
        let key = heading_key(&[label]);
        self.mapping.left_out.contains(&key)
    }
}

/// What a text looks like whatever the mapping; a file is looked at when it is proposed and again
/// when it is applied.
fn look_at(text: &str) -> Look {
    thread_local! {
        static KNOWN: RefCell<HashMap<String, Look>> = RefCell::default();
    }
    const MOST: usize = 4096;
    if let Some(look) = KNOWN.with_borrow(|known| known.get(text).copied()) {
        return look;
    }
    let look = looked_up(text);
    KNOWN.with_borrow_mut(|known| {
        if known.len() >= MOST {
            known.clear();
        }
        known.insert(text.to_owned(), look);
    });
    look
}

fn looked_up(text: &str) -> Look {
    let long = long_column_with_unit(text).map(|(column, _)| column);
    let is_attribute = find_attribute(text).is_some();
    let is_analyte = long.is_none() && !is_attribute && !naming::of_text(text).matches.is_empty();
    let is_method = !naming::methods_named(text).is_empty();
    let is_detail = is_method || without_unit(text).1.is_some();
    let is_unit = is_detail && unit_of_cell(text).is_some();
    Look { is_analyte, is_attribute, long, is_unit, is_method, is_detail }
}

/// Whether a cell is a number as laboratories write them, whichever mark they use.
pub(super) fn is_value(text: &str) -> bool {
    let unknown = ColumnMark::Unknown { point_is_decimal: true };
    if plain_value(text, unknown).is_some() {
        return true;
    }
    // A day or a depth, which are the commonest cells that only begin like a number.
    let is_of_digits = text.bytes().all(|b| b.is_ascii_digit() || b == b'-');
    if is_of_digits && text.find('-').is_some_and(|at| at > 0) {
        return false;
    }
    let starts = text.as_bytes().first().is_some_and(|b| {
        b.is_ascii_digit()
            || matches!(b, b'<' | b'>' | b'-' | b'+' | b'.' | b',' | b'*' | b'~')
            || !b.is_ascii()
    });
    (starts || text.to_ascii_lowercase().starts_with("less than"))
        && match read_value(text, unknown) {
            Ok(_) => true,
            Err(reason) => reason == super::reason::Reason::TwoWays,
        }
}
