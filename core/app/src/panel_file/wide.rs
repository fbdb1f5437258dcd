//! Tables with one line a sample and one column an analyte.

use super::{
    apply::Work,
    cell_value::ColumnMark,
    columns::{Column, Holds, Table},
    layout::Span,
    ledger::{Fate, Ledger},
    mapping::Layout,
    outcome::{ImportedReading, SampleAttributes},
    propose::first_text,
    reading_cell::read_cell,
    reason::Reason,
    samples::{Repeats, fill, take},
};

/// What the lines of a table share while they are read.
struct Lines<'t, 'a> {
    table: &'t Table<'a>,
    common: &'t SampleAttributes,
    marks: Vec<ColumnMark>,
    repeats: Repeats,
    /// Readings of the line at hand; kept to be filled again.
    readings: Vec<ImportedReading>,
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
        marks: table.seen.iter().map(|seen| work.column_mark(*seen)).collect(),
        repeats: repeats(table),
        readings: Vec::new(),
    };
    let labels: Vec<usize> = table
        .columns
        .iter()
        .filter(|column| column.says_which_sample())
        .map(|column| column.across)
        .collect();
    for line in lines_of_data(&table.span) {
        let has_reading = table.columns.iter().any(|column| {
            matches!(column.holds, Holds::Readings(_))
                && !table.view.text(line, column.across).is_empty()
        });
        if !has_reading {
            continue;
        }
        if work.words.leaves_out_any()
            && let Some(name) = first_text(table.view, line, labels.iter().copied())
            && work.words.is_left_out(name)
        {
            leave_out_line(table, ledger, line, name);
            continue;
        }
        lines.read(work, ledger, line);
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

fn leave_out_line(table: &Table<'_>, ledger: &mut Ledger, line: usize, name: &str) {
    for column in &table.columns {
        if !table.view.text(line, column.across).is_empty() {
            ledger.leave_out(table.view.cell(line, column.across), name);
        }
    }
}

impl Lines<'_, '_> {
    fn read(&mut self, work: &mut Work<'_>, ledger: &mut Ledger, line: usize) {
        let mut attributes = SampleAttributes::default();
        for (column, &mark) in self.table.columns.iter().zip(&self.marks) {
            let text = self.table.view.text(line, column.across);
            let cell = self.table.view.cell(line, column.across);
            match &column.holds {
                Holds::Attribute(how) => {
                    let through = self.table.view.text_through_merges(line, column.across);
                    if through.is_empty() {
                        continue;
                    }
                    match take(
                        &mut attributes,
                        *how,
                        through,
                        self.table.view.kind(line, column.across),
                    ) {
                        Ok(()) => {
                            ledger.settle(cell, Fate::Attribute);
                        }
                        Err(reason) => {
                            ledger.refuse(cell, text, reason);
                            work.ask_about(ledger.place(cell), text, reason);
                        }
                    }
                }
                _ if text.is_empty() => {}
                Holds::Readings(how) => {
                    let place = ledger.place(cell);
                    match read_cell(self.table.view, (line, column.across), text, how, mark, place)
                    {
                        Ok((reading, remarks)) => {
                            if how.is_method_open {
                                ask_about_column(work, self.table, ledger, column, false);
                            }
                            work.remark(place, remarks);
                            ledger.settle(cell, Fate::Reading);
                            self.readings.push(reading);
                        }
                        Err(reason) => {
                            ledger.refuse(cell, text, reason);
                            work.ask_about(place, text, reason);
                            if matches!(reason, Reason::NoUnit | Reason::UnknownUnit) {
                                ask_about_column(
                                    work,
                                    self.table,
                                    ledger,
                                    column,
                                    how.unit.is_none(),
                                );
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
                | Holds::Limit => {
                    ledger.refuse(cell, text, Reason::UnknownHeading);
                }
            }
        }
        let is_named = attributes.label.is_some() || attributes.laboratory_number.is_some();
        if self.readings.is_empty() && !is_named {
            return;
        }
        fill(&mut attributes, self.common.clone());
        let sample = work.samples.find_or_add(attributes, self.repeats);
        let into = &mut work.samples.list[sample].readings;
        into.reserve_exact(self.readings.len());
        into.append(&mut self.readings);
    }
}

fn ask_about_column(
    work: &mut Work<'_>,
    table: &Table<'_>,
    ledger: &Ledger,
    column: &Column,
    needs_unit: bool,
) {
    let Holds::Readings(how) = &column.holds else { return };
    let place = ledger.place(table.view.cell(table.span.base, column.across));
    work.ask_about_analyte(how, place, &column.written, &column.about, needs_unit);
}
