//! Lines outside the columns of a table that say something about its samples: "Date received:
//! 2026-09-14" above it, "Sample: Back terrace" between its rows.

use swardbook_units::Unit;

use super::{
    apply::Work,
    attribute::{Attribute, date_order},
    grid::Grid,
    heading_words::{LongColumn, find_attribute, long_column},
    ledger::{Fate, Ledger},
    outcome::SampleAttributes,
    samples::{AttributeColumn, take},
    vocabulary::is_value,
};

/// One thing that a line says.
#[derive(Debug, Clone, Copy)]
struct Said<'a> {
    key_at: usize,
    value_at: usize,
    value: &'a str,
    has_colon: bool,
    attribute: Attribute,
    unit: Option<&'static Unit>,
}

/// What a row says in pairs of cells, or in one cell with a colon.
fn said_in_row(grid: &Grid, row: usize) -> Vec<Said<'_>> {
    let mut said = Vec::new();
    for column in 0..grid.row_width(row) {
        let text = grid.text(row, column);
        let (key, value, value_at) = match text.split_once(':') {
            Some((key, value)) if !value.trim().is_empty() => (key, value.trim(), column),
            _ => (text.trim_end_matches(':'), grid.text(row, column + 1), column + 1),
        };
        if key.is_empty() || value.is_empty() || find_attribute(value).is_some() {
            continue;
        }
        if let Some((attribute, unit)) = find_attribute(key)
            && speaks_for_all(attribute, key)
        {
            let has_colon = text.contains(':');
            said.push(Said { key_at: column, value_at, value, has_colon, attribute, unit });
        }
    }
    said
}

/// Whether a cell says something about a sample all by itself: "Sample: Front verge".
pub(super) fn is_said_in_one_cell(text: &str) -> bool {
    text.split_once(':').is_some_and(|(key, value)| {
        !value.trim().is_empty() && find_attribute(key).is_some_and(|(a, _)| speaks_for_all(a, key))
    })
}

/// Outside columns only words that cannot be anything else speak for samples.
fn speaks_for_all(attribute: Attribute, key: &str) -> bool {
    match attribute {
        Attribute::Label => key.to_lowercase().contains("sample"),
        Attribute::DepthFrom | Attribute::DepthTo => key.to_lowercase().contains("depth"),
        Attribute::Remark => false,
        _ => true,
    }
}

impl Work<'_> {
    /// Takes what a row says into the attributes; whether it said anything.
    pub(super) fn take_said(
        &mut self,
        grid: &Grid,
        ledger: &mut Ledger,
        row: usize,
        into: &mut SampleAttributes,
    ) -> bool {
        let said = said_in_row(grid, row);
        for said in &said {
            let column = AttributeColumn {
                across: said.value_at,
                attribute: said.attribute,
                unit: said.unit.or_else(|| self.mapping.default_depth_unit()),
                dates: date_order(std::iter::once(said.value), self.mapping.dates),
            };
            let (key, cell) = ((row, said.key_at), (row, said.value_at));
            match take(into, column, said.value, grid.kind(row, said.value_at)) {
                Ok(()) => {
                    ledger.settle(key, Fate::Attribute);
                    ledger.settle(cell, Fate::Attribute);
                }
                // Two cells that only happen to stand side by side.
                Err(_) if said.value_at != said.key_at && !said.has_colon => {}
                Err(reason) => {
                    ledger.refuse(cell, grid.text(row, said.value_at), reason);
                    ledger.settle(key, Fate::Heading);
                    self.ask_about(ledger.place(cell), said.value, reason);
                }
            }
        }
        !said.is_empty()
    }

    /// Takes a row between the readings of a long table that begins another sample.
    ///
    /// What it says replaces what was said before; a further row of the same head adds to it.
    pub(super) fn take_section(
        &mut self,
        grid: &Grid,
        ledger: &mut Ledger,
        row: usize,
        (section, common): (&mut SampleAttributes, &SampleAttributes),
        is_further: bool,
    ) -> bool {
        let said = said_in_row(grid, row);
        let first = (0..grid.row_width(row)).find(|&column| grid.is_filled(row, column));
        // A row of data may hold such a word too, but does not begin with it.
        let begins = said.first().is_some_and(|said| Some(said.key_at) == first);
        if !begins || said.iter().any(|said| is_likelier_a_reading(said)) {
            return false;
        }
        if !is_further {
            section.clone_from(common);
            let names = |said: &Said<'_>| {
                matches!(said.attribute, Attribute::Label | Attribute::LaboratoryNumber)
            };
            if said.iter().any(names) {
                section.label = None;
                section.laboratory_number = None;
                section.depth_from_mm = None;
                section.depth_to_mm = None;
            }
        }
        for said in said {
            forget(section, said.attribute);
        }
        self.take_said(grid, ledger, row, section)
    }
}

/// "Area | 250" names no zone.
fn is_likelier_a_reading(said: &Said<'_>) -> bool {
    let is_word = matches!(
        said.attribute,
        Attribute::Zone | Attribute::Property | Attribute::Laboratory | Attribute::Remark
    );
    is_word && is_value(said.value)
}

fn forget(attributes: &mut SampleAttributes, attribute: Attribute) {
    match attribute {
        Attribute::Label => attributes.label = None,
        Attribute::LaboratoryNumber => attributes.laboratory_number = None,
        Attribute::Laboratory => attributes.laboratory = None,
        Attribute::Property => attributes.property = None,
        Attribute::Zone => attributes.zone = None,
        Attribute::Sampled => attributes.sampled = None,
        Attribute::Received => attributes.received = None,
        Attribute::Reported => attributes.reported = None,
        Attribute::DepthFrom => attributes.depth_from_mm = None,
        Attribute::DepthTo => attributes.depth_to_mm = None,
        Attribute::Depth => {
            attributes.depth_from_mm = None;
            attributes.depth_to_mm = None;
        }
        Attribute::Remark => attributes.remarks = None,
    }
}

/// The sample named over a column of values: "Test | Front verge".
pub(super) fn label_over_values<'a>(name: &str, value: &'a str) -> Option<&'a str> {
    let is_name = long_column(name) == Some(LongColumn::Name);
    let is_label = !value.is_empty()
        && !is_value(value)
        && long_column(value).is_none()
        && super::unit_words::without_unit(value).1.is_none();
    (is_name && is_label).then_some(value)
}
