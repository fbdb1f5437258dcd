//! Reads a file by a mapping: every cell becomes a heading, an attribute, a reading, or is listed.

use swardbook_agronomy::analyte::Analyte;
use swardbook_units::{DecimalMark, Unit, parse_unit};

use super::{
    attribute::{Attribute, date_order, find_attribute},
    cell_value::ColumnMark,
    decimal::{DecimalRule, MarksSeen},
    delimited::Delimiter,
    encoding::TextEncoding,
    fit::{best_table, rule_of},
    grid::Grid,
    layout::{Span, find_tables, headings},
    ledger::{Fate, Ledger},
    long,
    mapping::{DateRule, Layout, Mapping, Role, heading_key},
    naming,
    open::{Form, Sheets},
    outcome::{Answer, Ask, Imported, Note, Place, Question, Reason, SampleAttributes},
    propose::role_of_heading,
    reading_cell::{ReadingColumn, Remarks},
    samples::{AttributeColumn, Samples, take},
    view::View,
    vocabulary::Vocabulary,
    wide,
};

/// A column of a table with everything looked up that its cells need.
#[derive(Debug)]
pub(super) struct Column {
    pub(super) across: usize,
    /// Its heading as it is shown and remembered.
    pub(super) written: String,
    pub(super) key: String,
    pub(super) holds: Holds,
}

/// What a column holds.
#[derive(Debug)]
pub(super) enum Holds {
    Attribute(AttributeColumn),
    Readings(ReadingColumn),
    Name,
    Value(Option<&'static Unit>),
    Unit,
    Method,
    Sign,
    Spread,
    Ignored,
    /// Listed as unread for this reason.
    Unread(Reason),
}

/// A table ready to be read.
#[derive(Debug)]
pub(super) struct Table<'a> {
    pub(super) view: View<'a>,
    pub(super) span: Span,
    pub(super) columns: Vec<Column>,
    /// What the numbers of each column prove, in the order of `columns`.
    pub(super) seen: Vec<MarksSeen>,
}

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
        let spans = find_tables(grid, &words);
        tables.push(spans.into_iter().map(|span| work.prepare(sheet, grid, span)).collect());
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
        let mut common = work.read_above(grid, &mut ledger, tables);
        if several && common.label.is_none() && !tables.is_empty() && !tables.iter().any(has_label)
        {
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
        let left = if tables.is_empty() { Reason::NoTableOnSheet } else { Reason::OutsideTheTable };
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

fn has_label(table: &Table<'_>) -> bool {
    table.columns.iter().any(|column| {
        matches!(&column.holds, Holds::Attribute(a)
            if matches!(a.attribute, Attribute::Label | Attribute::LaboratoryNumber))
    })
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

impl<'a> Work<'a> {
    /// Looks up what every column of a table holds.
    fn prepare(&mut self, sheet: u16, grid: &'a Grid, span: Span) -> Table<'a> {
        let view = span.view(grid);
        let parts = headings(view, &span, self.words);
        let known = best_table(self.mapping, &span, &parts);
        let mut columns = Vec::new();
        let mut used = vec![false; known.map_or(0, |table| table.columns.len())];
        let filled = |across: usize| {
            parts[across].iter().any(|part| !part.is_empty())
                || (span.data.0..span.data.1).any(|line| !view.text(line, across).is_empty())
        };
        let across = (span.across.0..span.across.1).filter(|&across| filled(across));
        for (order, across) in across.enumerate() {
            let rule = known.and_then(|table| rule_of(table, &parts[across], order, &mut used));
            let base = *span.headings.first().unwrap_or(&0);
            let place = Place::new(sheet, view.cell(base, across));
            let role = match rule {
                Some(role) => role.clone(),
                None => {
                    let heading = parts[across].join(" ").trim().to_owned();
                    if span.layout != Layout::Long && !heading.is_empty() {
                        self.notes.push(Note::NewColumn { heading, place });
                        role_of_heading(&parts[across])
                    } else {
                        Role::Unknown
                    }
                }
            };
            columns.push(self.column(view, &span, across, &parts[across], &role, place));
        }
        let seen = columns.iter().map(|column| marks_seen(view, &span, column)).collect();
        Table { view, span, columns, seen }
    }

    fn column(
        &mut self,
        view: View<'_>,
        span: &Span,
        across: usize,
        parts: &[String],
        role: &Role,
        place: Place,
    ) -> Column {
        let said: Vec<&str> =
            parts.iter().map(String::as_str).filter(|part| !part.trim().is_empty()).collect();
        let written = said.join(" ");
        let key = heading_key(&said);
        let symbol = |unit: &Option<String>| unit.as_deref().and_then(|u| parse_unit(u).ok());
        let holds = match role {
            Role::Ignore => Holds::Ignored,
            Role::Attribute { attribute, unit } => {
                let lines = (span.data.0..span.data.1).map(|line| view.text(line, across));
                let is_date = matches!(
                    attribute,
                    Attribute::Sampled | Attribute::Received | Attribute::Reported
                );
                Holds::Attribute(AttributeColumn {
                    across,
                    attribute: *attribute,
                    unit: symbol(unit).or_else(|| self.mapping.default_depth_unit()),
                    dates: if is_date {
                        date_order(lines, self.mapping.dates)
                    } else {
                        DateRule::Shown
                    },
                })
            }
            Role::Analyte(rule) => match rule.resolve() {
                Some(resolved) => {
                    let mut column = ReadingColumn::new(resolved);
                    let strange = naming::of_heading(&said);
                    column.is_unit_strange = strange.strange_unit.is_some();
                    self.note_group_method(span, view, across, &column, &written, place.sheet);
                    Holds::Readings(column)
                }
                None => Holds::Unread(Reason::UnknownAnalyte),
            },
            Role::Name => Holds::Name,
            Role::Value { unit } => Holds::Value(symbol(unit)),
            Role::Unit => Holds::Unit,
            Role::Method => Holds::Method,
            Role::Sign => Holds::Sign,
            Role::Spread => Holds::Spread,
            Role::Unknown => self.unknown(&said, &key, &written, place),
        };
        Column { across, written, key, holds }
    }

    /// A column that no rule and no known word explains.
    fn unknown(&mut self, said: &[&str], key: &str, written: &str, place: Place) -> Holds {
        if said.is_empty() {
            return Holds::Unread(Reason::NoHeading);
        }
        let meaning = naming::of_heading(said);
        if meaning.matches.len() > 1 {
            let choices = choices_of_analytes(meaning.matches.iter().map(|m| m.analyte));
            self.ask(place, written, key, Ask::Analyte, choices);
            return Holds::Unread(Reason::SeveralAnalytes);
        }
        self.ask(place, written, key, Ask::Heading, vec![Answer::Ignore]);
        Holds::Unread(Reason::UnknownHeading)
    }

    fn note_group_method(
        &mut self,
        span: &Span,
        view: View<'_>,
        across: usize,
        column: &ReadingColumn,
        written: &str,
        sheet: u16,
    ) {
        if span.layout != Layout::Wide || column.is_method_open {
            return;
        }
        for &line in span.headings.iter().filter(|&&line| line < span.base) {
            if !view.text(line, across).is_empty() || !view.grid.merged().is_empty() {
                continue;
            }
            let from = (0..across).rev().find(|&left| !view.text(line, left).is_empty());
            if let Some(left) = from {
                let place = Place::new(sheet, view.cell(line, left));
                self.notes.push(Note::MethodFromGroup { heading: written.to_owned(), place });
            }
        }
    }

    /// Asks once for each rule.
    pub(super) fn ask(
        &mut self,
        place: Place,
        written: &str,
        key: &str,
        ask: Ask,
        choices: Vec<Answer>,
    ) {
        if self.questions.iter().any(|known| known.key == key && known.ask == ask) {
            return;
        }
        let (written, key) = (written.to_owned(), key.to_owned());
        self.questions.push(Question { place, written, ask, choices, key });
    }

    /// Asks what a refused cell leaves open.
    pub(super) fn ask_about(&mut self, place: Place, text: &str, reason: Reason) {
        match reason {
            Reason::TwoWays => {
                let rules = [DecimalRule::Point, DecimalRule::Comma].map(Answer::Decimal);
                self.ask(place, text, "", Ask::Decimal, rules.to_vec());
            }
            Reason::TwoWayDate => {
                let rules = [DateRule::DayFirst, DateRule::MonthFirst].map(Answer::Dates);
                self.ask(place, text, "", Ask::DateOrder, rules.to_vec());
            }
            Reason::DepthWithoutUnit => {
                let units = ["mm", "cm", "in"].iter().filter_map(|unit| parse_unit(unit).ok());
                self.ask(place, text, "", Ask::DepthUnit, units.map(Answer::DepthUnit).collect());
            }
            _ => {}
        }
    }

    /// Asks for the method or the unit that an analyte's heading or name leaves open.
    pub(super) fn ask_about_analyte(
        &mut self,
        column: &ReadingColumn,
        place: Place,
        written: &str,
        key: &str,
        needs_unit: bool,
    ) {
        let analyte = column.analyte;
        if column.is_method_open {
            let choices = naming::stated_methods(analyte).map(Answer::Method);
            let choices = choices.chain([Answer::Method(naming::not_stated())]).collect();
            self.ask(place, written, key, Ask::Method { analyte }, choices);
        }
        if needs_unit {
            let choices = naming::possible_units(analyte).into_iter().map(Answer::Unit).collect();
            self.ask(place, written, key, Ask::Unit { analyte }, choices);
        }
    }

    /// Notes what was unusual about a cell.
    pub(super) fn remark(&mut self, place: Place, remarks: Remarks) {
        if remarks.unit_from_cell {
            self.notes.push(Note::UnitFromCell { place });
        }
        let said = |note: &Note| matches!(note, Note::InclusiveSign { .. });
        if remarks.inclusive && !self.notes.iter().any(said) {
            self.notes.push(Note::InclusiveSign { place });
        }
    }

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

    /// Reads "Date received: 2026-09-14" and the like above the first table of a sheet.
    fn read_above(
        &mut self,
        grid: &Grid,
        ledger: &mut Ledger,
        tables: &[Table<'_>],
    ) -> SampleAttributes {
        let mut common = SampleAttributes::default();
        let top = tables.iter().map(first_row).min().unwrap_or(0);
        for row in 0..top {
            for column in 0..grid.row_width(row) {
                let text = grid.text(row, column);
                let (key, value, value_at) = match text.split_once(':') {
                    Some((key, value)) if !value.trim().is_empty() => (key, value.trim(), column),
                    _ => (text.trim_end_matches(':'), grid.text(row, column + 1), column + 1),
                };
                if key.is_empty() || value.is_empty() || find_attribute(value).is_some() {
                    continue;
                }
                let Some((attribute, unit)) =
                    find_attribute(key).filter(|a| speaks_for_all(a.0, key))
                else {
                    continue;
                };
                let taken = AttributeColumn {
                    across: value_at,
                    attribute,
                    unit: unit.or_else(|| self.mapping.default_depth_unit()),
                    dates: date_order(std::iter::once(value), self.mapping.dates),
                };
                match take(&mut common, taken, value, grid.kind(row, value_at)) {
                    Ok(()) => {
                        ledger.settle((row, column), Fate::Attribute);
                        ledger.settle((row, value_at), Fate::Attribute);
                    }
                    Err(reason) => {
                        ledger.settle((row, column), Fate::Heading);
                        ledger.refuse((row, value_at), value, reason);
                        self.ask_about(ledger.place((row, value_at)), value, reason);
                    }
                }
            }
        }
        common
    }

    fn note_missing_columns(&mut self, tables: &[Vec<Table<'_>>]) {
        let found: Vec<&str> = tables
            .iter()
            .flatten()
            .flat_map(|table| &table.columns)
            .map(|column| column.key.as_str())
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

/// Above a table only words that cannot be anything else speak for all of its samples.
fn speaks_for_all(attribute: Attribute, key: &str) -> bool {
    match attribute {
        Attribute::Label => key.to_lowercase().contains("sample"),
        Attribute::DepthFrom | Attribute::DepthTo => key.to_lowercase().contains("depth"),
        Attribute::Remark => false,
        _ => true,
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

fn marks_seen(view: View<'_>, span: &Span, column: &Column) -> MarksSeen {
    let mut seen = MarksSeen::default();
    if matches!(column.holds, Holds::Readings(_) | Holds::Value(_) | Holds::Spread) {
        for line in span.data.0..span.data.1 {
            seen.see_kind(view.kind(line, column.across), view.text(line, column.across));
        }
    }
    seen
}

pub(super) fn choices_of_analytes(analytes: impl Iterator<Item = &'static Analyte>) -> Vec<Answer> {
    let mut choices: Vec<Answer> = Vec::new();
    for analyte in analytes {
        let choice = Answer::Analyte(analyte);
        if !choices.contains(&choice) {
            choices.push(choice);
        }
    }
    choices.push(Answer::Ignore);
    choices
}
