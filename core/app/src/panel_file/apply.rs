//! Reads a file by a mapping: every cell becomes a heading, an attribute, a reading, or is listed.

use swardbook_units::DecimalMark;

use super::{
    attribute::Attribute,
    cell_value::ColumnMark,
    columns::{Holds, Table, prepare},
    decimal::{DecimalRule, MarksSeen},
    delimited::Delimiter,
    encoding::TextEncoding,
    layout::find_tables,
    ledger::{Fate, Ledger},
    long,
    mapping::{Layout, Mapping, Role, heading_key},
    open::{Form, Sheets},
    outcome::{About, Imported, Note, Question, SampleAttributes},
    reason::Reason,
    samples::Samples,
    vocabulary::Vocabulary,
    wide,
};

/// An import under way.
#[derive(Debug)]
pub(super) struct Work<'a> {
    pub(super) mapping: &'a Mapping,
    pub(super) words: &'a Vocabulary<'a>,
    pub(super) samples: Samples,
    pub(super) questions: Vec<Question>,
    pub(super) notes: Vec<Note>,
    /// What all numbers of the file prove together.
    pub(super) file_marks: MarksSeen,
    pub(super) point_is_decimal: bool,
}

/// Reads a file by a mapping.
///
/// Every filled cell is read, listed as unread with its reason, or left out by a rule that is
/// named; [`Imported::count`] is the account.
#[must_use]
pub fn apply(sheets: &Sheets, mapping: &Mapping) -> Imported {
    let words = Vocabulary::new(mapping);
    let delimiter = match sheets.form {
        Form::Text { delimiter, .. } => Some(delimiter),
        Form::Workbook => None,
    };
    let mut work = Work {
        mapping,
        words: &words,
        samples: Samples::default(),
        questions: Vec::new(),
        notes: Vec::new(),
        file_marks: MarksSeen::default(),
        point_is_decimal: delimiter == Some(Delimiter::Comma),
    };
    let mut tables: Vec<Vec<Table<'_>>> = Vec::new();
    for (sheet, grid) in sheets.grids.iter().enumerate() {
        let sheet = u16::try_from(sheet).unwrap_or(u16::MAX);
        let spans = if grid.is_hidden() { Vec::new() } else { find_tables(grid, &words) };
        tables.push(spans.into_iter().map(|span| prepare(&mut work, sheet, grid, span)).collect());
    }
    for table in tables.iter().flatten() {
        for seen in &table.seen {
            work.file_marks.join(*seen);
        }
    }
    let several = tables.iter().filter(|tables| !tables.is_empty()).count() > 1;
    let mut imported = Imported::default();
    for ((sheet, grid), tables) in (0_u16..).zip(&sheets.grids).zip(&tables) {
        let mut ledger = Ledger::new(sheet, grid);
        let top = tables.iter().map(first_row).min().unwrap_or(0);
        let mut common = SampleAttributes::default();
        for row in 0..top {
            work.take_said(grid, &mut ledger, row, &mut common);
        }
        let is_one_sample = !tables.is_empty() && tables.iter().all(is_of_one_sample);
        if several && common.label.is_none() && is_one_sample {
            common.label = grid.name().map(str::to_owned);
            work.notes.push(Note::NamedAfterSheet { sheet });
        }
        for table in tables {
            settle_headings(table, &mut ledger);
            match table.span.layout {
                Layout::Long => long::read(&mut work, table, &mut ledger, &common),
                Layout::Wide | Layout::Turned => wide::read(&mut work, table, &mut ledger, &common),
            }
        }
        if grid.formulas() > 0 {
            work.notes.push(Note::Formulas { sheet, count: grid.formulas() });
        }
        let left = match () {
            () if grid.is_hidden() => Reason::HiddenSheet,
            () if tables.is_empty() => Reason::NoTableOnSheet,
            () => Reason::OutsideTheTable,
        };
        imported.count = imported.count.plus(ledger.close(grid, left));
        imported.unread.append(&mut ledger.unread);
        imported.ignored.append(&mut ledger.ignored);
        imported.sheets.push(grid.name().unwrap_or_default().to_owned());
    }
    work.note_missing_columns(&tables);
    if let Form::Text { encoding: TextEncoding::Windows1252, .. } = sheets.form {
        work.notes.push(Note::OlderEncoding);
    }
    work.samples.note_repeats(&mut work.notes);
    imported.samples = work.samples.list;
    imported.questions = work.questions;
    imported.notes = work.notes;
    imported
}

/// Whether all of a table's readings are of one sample that the table does not name.
fn is_of_one_sample(table: &Table<'_>) -> bool {
    let has_label = table.columns.iter().any(|column| {
        matches!(&column.holds, Holds::Attribute(a)
            if matches!(a.attribute, Attribute::Label | Attribute::LaboratoryNumber))
    });
    !has_label
        && (table.span.layout == Layout::Long || wide::lines_with_readings(table).nth(1).is_none())
}

fn settle_headings(table: &Table<'_>, ledger: &mut Ledger) {
    for column in &table.columns {
        for &line in &table.span.headings {
            let cell = table.view.cell(line, column.across);
            let text = table.view.text(line, column.across);
            if text.is_empty() {
                continue;
            }
            match column.holds {
                Holds::Ignored => ledger.leave_out(cell, &column.written),
                Holds::Unread(reason) => ledger.refuse(cell, text, reason),
                _ => {
                    ledger.settle(cell, Fate::Heading);
                }
            }
        }
    }
}

impl Work<'_> {
    /// The decimal mark of a column.
    pub(super) fn column_mark(&self, seen: MarksSeen) -> ColumnMark {
        match self.mapping.decimal {
            DecimalRule::Point => return ColumnMark::Known(DecimalMark::Point),
            DecimalRule::Comma => return ColumnMark::Known(DecimalMark::Comma),
            DecimalRule::Shown => {}
        }
        // A column that proves both marks is read cell by cell, without the file's help.
        let is_mixed = seen.point && seen.comma;
        match seen.mark().or_else(|| if is_mixed { None } else { self.file_marks.mark() }) {
            Some(mark) => ColumnMark::Known(mark),
            None => ColumnMark::Unknown { point_is_decimal: self.point_is_decimal && !is_mixed },
        }
    }

    fn note_missing_columns(&mut self, tables: &[Vec<Table<'_>>]) {
        let found: Vec<&str> = tables
            .iter()
            .flatten()
            .flat_map(|table| &table.columns)
            .filter_map(|column| match &column.about {
                About::Column { key, .. } => Some(key.as_str()),
                About::File | About::Name(_) => None,
            })
            .collect();
        for column in self.mapping.tables.iter().flat_map(|table| &table.columns) {
            let key = heading_key(&column.heading);
            if !found.contains(&key.as_str())
                && !matches!(column.role, Role::Ignore | Role::Unknown)
            {
                let heading = column.heading.join(" ").trim().to_owned();
                self.notes.push(Note::MissingColumn { heading });
            }
        }
    }
}

fn first_row(table: &Table<'_>) -> usize {
    match table.span.layout {
        Layout::Turned => table.span.across.0,
        Layout::Long | Layout::Wide => {
            table.span.headings.first().copied().unwrap_or(table.span.data.0)
        }
    }
}
