//! Tables with one line a sample and one column an analyte.

use super::{
    apply::Work,
    cell_value::{ColumnMark, plain_value},
    columns::{Column, Holds, Table},
    grid::CellKind,
    layout::Span,
    ledger::{Fate, Ledger},
    mapping::Layout,
    outcome::{Place, SampleAttributes},
    propose::first_text,
    reading_cell::{ReadingColumn, read_cell},
    reason::Reason,
    samples::{Repeats, Said, fill, parse, put},
};

/// A cell of an attribute and what it said.
type Before<'a> = (&'a str, CellKind, Result<Said, Reason>);

/// What the lines of a table share while they are read.
struct Lines<'t, 'a> {
    table: &'t Table<'a>,
    common: &'t SampleAttributes,
    marks: Vec<ColumnMark>,
    /// What the attributes of the line before said: dates and depths mostly come again.
    before: Vec<Option<Before<'a>>>,
    repeats: Repeats,
    /// How many readings a line may have.
    readings: usize,
    /// Every cell is text that stands for itself.
    is_plain: bool,
}

/// Reads every line of data.
pub(super) fn read(
    work: &mut Work<'_>,
    table: &Table<'_>,
    ledger: &mut Ledger,
    common: &SampleAttributes,
) {
    let mut lines = Lines {
        table,
        common,
        before: vec![None; table.columns.len()],
        marks: table.seen.iter().map(|seen| work.column_mark(*seen)).collect(),
        repeats: repeats(table),
        readings: table.columns.iter().filter(|c| matches!(c.holds, Holds::Readings(_))).count(),
        is_plain: table.view.grid.is_plain(),
    };
    work.samples.expect(table.span.data.1 - table.span.data.0);
    let labels: Vec<usize> = table
        .columns
        .iter()
        .filter(|column| column.says_which_sample())
        .map(|column| column.across)
        .collect();
    for line in lines_with_readings(table) {
        if work.words.leaves_out_any()
            && let Some(name) = first_text(table.view, line, labels.iter().copied())
            && work.words.is_left_out(name)
        {
            leave_out_line(table, ledger, line, name);
            continue;
        }
        if table.span.layout == Layout::Wide && table.is_overlong(line) {
            refuse_row(table, ledger, line);
            continue;
        }
        lines.read(work, ledger, line);
    }
}

/// Refuses every cell of a row whose cells do not stand under their headings.
pub(super) fn refuse_row(table: &Table<'_>, ledger: &mut Ledger, row: usize) {
    for column in 0..table.view.grid.row_width(row) {
        ledger.refuse((row, column), table.view.grid.text(row, column), Reason::RowTooLong);
    }
}

/// Whether two columns hold the same analyte by the same method.
fn repeats(table: &Table<'_>) -> Repeats {
    let hows: Vec<_> = table
        .columns
        .iter()
        .filter_map(|column| match &column.holds {
            Holds::Readings(how) => Some((&how.analyte.id, &how.method.id)),
            _ => None,
        })
        .collect();
    let is_repeated = hows.iter().enumerate().any(|(at, how)| hows[..at].contains(how));
    if is_repeated { Repeats::Possible } else { Repeats::Impossible }
}

/// Lines of data: below the headings, or beyond the names of a turned table.
fn lines_of_data(span: &Span) -> impl Iterator<Item = usize> + '_ {
    let start = if span.layout == Layout::Turned { span.base + 1 } else { span.data.0 };
    (start..span.data.1).filter(|line| !span.headings.contains(line))
}

/// Lines of data with anything under an analyte, or under one that is still asked about.
pub(super) fn lines_with_readings<'t>(table: &'t Table<'_>) -> impl Iterator<Item = usize> + 't {
    let is_filled = |line: usize, column: &Column| {
        matches!(column.holds, Holds::Readings(_) | Holds::Unread(Reason::SeveralAnalytes))
            && !table.view.text(line, column.across).is_empty()
    };
    lines_of_data(&table.span)
        .filter(move |&line| table.columns.iter().any(|column| is_filled(line, column)))
}

fn leave_out_line(table: &Table<'_>, ledger: &mut Ledger, line: usize, name: &str) {
    for column in &table.columns {
        if !table.view.text(line, column.across).is_empty() {
            ledger.leave_out(table.view.cell(line, column.across), name);
        }
    }
}

impl Lines<'_, '_> {
    fn read(&mut self, work: &mut Work<'_>, ledger: &mut Ledger, line: usize) {
        let mut attributes = self.attributes(work, ledger, line);
        fill(&mut attributes, self.common);
        let is_named = attributes.label.is_some() || attributes.laboratory_number.is_some();
        let sample = work.samples.find_or_add(attributes, self.repeats);
        let mut readings = std::mem::take(&mut work.samples.list[sample].readings);
        readings.reserve(self.readings);
        for (column, &mark) in self.table.columns.iter().zip(&self.marks) {
            let text = self.table.view.text(line, column.across);
            let cell = self.table.view.cell(line, column.across);
            match &column.holds {
                _ if text.is_empty() => {}
                _ if self.table.is_overlong(cell.0) => {
                    ledger.refuse(cell, text, Reason::RowTooLong);
                }
                Holds::Attribute(_) => {}
                Holds::Readings(how @ ReadingColumn { unit: Some(unit), .. })
                    if self.is_plain
                        && !how.is_method_open
                        && let Some((value, qualifier)) = plain_value(text, mark) =>
                {
                    ledger.settle(cell, Fate::Reading);
                    let place = ledger.place(cell);
                    let reading = how.reading(value, qualifier, unit, place);
                    readings.push(reading);
                }
                Holds::Readings(how) => {
                    let place = ledger.place(cell);
                    let at = (line, column.across);
                    match read_cell(self.table.view, at, text, how, mark, place) {
                        Ok((reading, remarks)) => {
                            if how.is_method_open {
                                let heading = self.heading(ledger, column);
                                let (written, about) = (&column.written, &column.about);
                                work.ask_method(how.analyte, heading, written, about);
                            }
                            work.remark(place, remarks);
                            ledger.settle(cell, Fate::Reading);
                            readings.push(reading);
                        }
                        Err(reason) => {
                            ledger.refuse(cell, text, reason);
                            work.ask_about(place, text, reason);
                            let needs_unit = matches!(reason, Reason::NoUnit | Reason::UnknownUnit)
                                && how.unit.is_none();
                            if needs_unit {
                                let heading = self.heading(ledger, column);
                                let (written, about) = (&column.written, &column.about);
                                work.ask_unit(how.analyte, heading, written, about);
                            }
                        }
                    }
                }
                Holds::Ignored => ledger.leave_out(cell, &column.written),
                Holds::Unread(reason) => ledger.refuse(cell, text, *reason),
                // Only long tables have these.
                Holds::Name
                | Holds::Value(_)
                | Holds::Unit
                | Holds::Method
                | Holds::Sign
                | Holds::Spread
                | Holds::Limit => ledger.refuse(cell, text, Reason::UnknownHeading),
            }
        }
        work.samples.list[sample].readings = readings;
        if !is_named && work.samples.list[sample].readings.is_empty() {
            work.samples.forget_last();
        }
    }

    fn heading(&self, ledger: &Ledger, column: &Column) -> Place {
        ledger.place(self.table.view.cell(self.table.span.base, column.across))
    }

    fn attributes(
        &mut self,
        work: &mut Work<'_>,
        ledger: &mut Ledger,
        line: usize,
    ) -> SampleAttributes {
        let mut attributes = SampleAttributes::default();
        let view = self.table.view;
        for (column, before) in self.table.columns.iter().zip(&mut self.before) {
            let Holds::Attribute(how) = &column.holds else { continue };
            let text = view.text_through_merges(line, column.across);
            if text.is_empty() {
                continue;
            }
            let cell = view.cell(line, column.across);
            let kind = view.kind(line, column.across);
            let said = match *before {
                Some((known, same, said)) if known == text && same == kind => said,
                _ => {
                    let said = parse(*how, text, kind);
                    *before = Some((text, kind, said));
                    said
                }
            };
            match said.and_then(|said| put(&mut attributes, how.attribute, text, said)) {
                Ok(()) => {
                    ledger.settle(cell, Fate::Attribute);
                }
                Err(reason) => {
                    ledger.refuse(cell, view.text(line, column.across), reason);
                    work.ask_about(ledger.place(cell), text, reason);
                }
            }
        }
        attributes
    }
}
