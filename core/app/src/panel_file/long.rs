//! Tables with one row a reading.

use swardbook_agronomy::reading::Qualifier;

use super::{
    apply::Work,
    cell_value::{ColumnMark, read_value},
    columns::{Column, Holds, Table},
    ledger::{Fate, Ledger},
    long_names::{NameCells, Named, Names},
    outcome::{About, ImportedReading, Note, SampleAttributes},
    reading_cell::{ReadingColumn, read_cell},
    reason::Reason,
    sample_rows::SampleRows,
    sections::label_over_values,
    wide::refuse_row,
};

/// A column of a long table that has a part of each reading.
#[derive(Debug, Clone, Copy)]
struct Part {
    across: usize,
    mark: ColumnMark,
}

/// Where the parts of a reading stand in a row, and what the rows share while they are read.
#[derive(Debug)]
struct Rows<'t, 'a> {
    table: &'t Table<'a>,
    name: Option<Part>,
    value: Option<Part>,
    unit: Option<Part>,
    method: Option<Part>,
    sign: Option<Part>,
    spread: Option<Part>,
    limit: Option<Part>,
}

/// Reads every row of data.
pub(super) fn read(
    work: &mut Work<'_>,
    table: &Table<'_>,
    ledger: &mut Ledger,
    common: &SampleAttributes,
) {
    let mut names = Names::default();
    let rows = Rows::new(work, table, &mut names);
    let mut samples = SampleRows::new(table);
    let mut section = common.clone();
    if let Some(label) = rows.label_over_values(table.span.base) {
        section.label = Some(label.to_owned());
    }
    let mut in_head = false;
    for line in table.span.data.0..table.span.data.1 {
        if table.is_overlong(line) {
            refuse_row(table, ledger, line);
            continue;
        }
        let is_reading = !rows.text(line, rows.value).is_empty();
        let name = rows.text(line, rows.name);
        if !work.words.look(name).is_analyte {
            if rows.repeats_headings(ledger, line) {
                in_head = false;
                if let Some(label) = rows.label_over_values(line) {
                    section.label = Some(label.to_owned());
                    samples.start_section();
                }
                continue;
            }
            let both = (&mut section, common);
            let may_begin = name.is_empty() || rows.is_first_of_row(line);
            if may_begin && work.take_section(table.view.grid, ledger, line, both, in_head) {
                samples.start_section();
                in_head = true;
                continue;
            }
        }
        // A heading between groups of analytes or a line of text below the table has no value.
        if !is_reading && (name.is_empty() || !work.words.look(name).is_analyte) {
            continue;
        }
        in_head = false;
        let sample = samples.sample(work, table, ledger, &section, line);
        rows.settle_beside(ledger, line);
        if is_reading {
            rows.read(work, ledger, &mut names, line, sample);
        } else {
            rows.settle(ledger, line, [rows.unit, rows.method, rows.sign], Fate::Heading);
            rows.refuse(ledger, line, rows.name, Reason::NoValue);
            rows.leave_out(ledger, line, rows.limit, "limit");
            rows.refuse(ledger, line, rows.spread, Reason::NoValue);
        }
    }
    samples.close(work);
}

impl<'t, 'a> Rows<'t, 'a> {
    fn new(work: &Work<'_>, table: &'t Table<'a>, names: &mut Names<'a>) -> Self {
        let (name, value, unit, method, sign, spread, limit) =
            (None, None, None, None, None, None, None);
        let mut rows = Self { table, name, value, unit, method, sign, spread, limit };
        for (column, seen) in table.columns.iter().zip(&table.seen) {
            let slot = match column.holds {
                Holds::Name => &mut rows.name,
                Holds::Value(unit) => {
                    names.default_unit = unit;
                    &mut rows.value
                }
                Holds::Unit => &mut rows.unit,
                Holds::Method => &mut rows.method,
                Holds::Sign => &mut rows.sign,
                Holds::Spread => &mut rows.spread,
                Holds::Limit => &mut rows.limit,
                _ => continue,
            };
            slot.get_or_insert(Part { across: column.across, mark: work.column_mark(*seen) });
        }
        rows
    }

    fn text(&self, line: usize, part: Option<Part>) -> &'a str {
        part.map_or("", |part| self.table.view.text(line, part.across))
    }

    fn through_merges(&self, line: usize, part: Option<Part>) -> &'a str {
        part.map_or("", |part| self.table.view.text_through_merges(line, part.across))
    }

    /// Whether nothing stands before the name.
    fn is_first_of_row(&self, line: usize) -> bool {
        let name = self.name.map_or(0, |name| name.across);
        (0..name).all(|across| self.table.view.text(line, across).is_empty())
    }

    /// The sample named over the values in a row of headings.
    fn label_over_values(&self, line: usize) -> Option<&'a str> {
        if self.table.span.headings.is_empty() {
            return None;
        }
        label_over_values(self.text(line, self.name), self.text(line, self.value))
    }

    /// Settles a row that says the headings again, as the parts of a long report do; over the
    /// values another sample may be named.
    fn repeats_headings(&self, ledger: &mut Ledger, line: usize) -> bool {
        let Some(&heading) = self.table.span.headings.first() else { return false };
        let view = self.table.view;
        let name = self.name.map_or("", |name| view.text(heading, name.across));
        if name.is_empty() || !self.text(line, self.name).eq_ignore_ascii_case(name) {
            return false;
        }
        let same = |column: &Column| {
            let text = view.text(line, column.across);
            text.is_empty()
                || text.eq_ignore_ascii_case(view.text(heading, column.across))
                || (matches!(column.holds, Holds::Value(_))
                    && self.label_over_values(line).is_some())
        };
        let is_same = self.table.columns.iter().all(same);
        if is_same {
            for column in &self.table.columns {
                ledger.settle(view.cell(line, column.across), Fate::Heading);
            }
        }
        is_same
    }

    fn read(
        &self,
        work: &mut Work<'_>,
        ledger: &mut Ledger,
        names: &mut Names<'a>,
        line: usize,
        sample: usize,
    ) {
        let Some(value) = self.value else { return };
        let name_cell = self.table.view.cell(line, self.name.unwrap_or(value).across);
        let cells = NameCells {
            name: self.through_merges(line, self.name),
            method: self.through_merges(line, self.method),
            unit: self.through_merges(line, self.unit),
            place: ledger.place(name_cell),
        };
        match names.find(work, cells) {
            Named::LeftOut(rule) => {
                let parts = [self.name, self.value, self.unit, self.method, self.sign];
                for part in parts.into_iter().chain([self.spread, self.limit]) {
                    self.leave_out(ledger, line, part, rule);
                }
            }
            Named::Refused(reason) => {
                self.settle(ledger, line, [self.unit, self.method, self.sign], Fate::Heading);
                for part in [self.name, self.value, self.spread] {
                    self.refuse(ledger, line, part, *reason);
                }
                self.leave_out(ledger, line, self.limit, "limit");
            }
            Named::Analyte { how, is_method_known } => {
                if !is_method_known {
                    self.refuse(ledger, line, self.method, Reason::UnknownMethod);
                }
                let parts = [self.name, self.unit, self.method, self.sign];
                self.settle(ledger, line, parts, Fate::Heading);
                let reading = self.reading(work, ledger, how, cells, line, value);
                work.samples.list[sample].readings.extend(reading);
            }
        }
    }

    /// Reads the value of a row; a refused one is listed and what it leaves open is asked.
    fn reading(
        &self,
        work: &mut Work<'_>,
        ledger: &mut Ledger,
        how: &ReadingColumn,
        cells: NameCells<'_>,
        line: usize,
        value: Part,
    ) -> Option<ImportedReading> {
        let text = self.table.view.text(line, value.across);
        let cell = self.table.view.cell(line, value.across);
        let place = ledger.place(cell);
        let at = (line, value.across);
        let mut found = read_cell(self.table.view, at, text, how, value.mark, place);
        let limit = self.text(line, self.limit);
        if let (Err(Reason::NotDetectedWithoutLimit), Some(part)) = (&found, self.limit) {
            // Not detected means below the limit that stands in the same row.
            let at = (line, part.across);
            let below = read_cell(self.table.view, at, limit, how, part.mark, place);
            if !limit.is_empty()
                && let Ok((mut reading, remarks)) = below
            {
                reading.qualifier = Qualifier::Below;
                found = Ok((reading, remarks));
                self.settle(ledger, line, [self.limit], Fate::Reading);
                work.notes.push(Note::LimitFromColumn { place });
            }
        }
        self.leave_out(ledger, line, self.limit, "limit");
        match found {
            Ok((mut reading, remarks)) => {
                self.add_sign(&mut reading, line);
                self.add_spread(ledger, &mut reading, line);
                work.remark(place, remarks);
                ledger.settle(cell, Fate::Reading);
                Some(reading)
            }
            Err(reason) => {
                ledger.refuse(cell, text, reason);
                self.refuse(ledger, line, self.spread, reason);
                work.ask_about(place, text, reason);
                if matches!(reason, Reason::NoUnit | Reason::UnknownUnit) && how.unit.is_none() {
                    let about = About::Name(cells.key());
                    work.ask_unit(how.analyte, cells.place, cells.name, &about);
                }
                None
            }
        }
    }

    /// The sign of its own column counts where the number has none; another sign is the
    /// laboratory's mark.
    fn add_sign(&self, reading: &mut ImportedReading, line: usize) {
        let sign = self.text(line, self.sign);
        let said = match sign {
            "<" | "<=" | "=<" | "\u{2264}" | "lt" | "LT" => Qualifier::Below,
            ">" | ">=" | "=>" | "\u{2265}" | "gt" | "GT" => Qualifier::Above,
            "" | "=" | "-" => Qualifier::Exact,
            other => {
                let beside = reading.beside.get_or_insert_default();
                beside.mark.get_or_insert_with(|| other.to_owned());
                Qualifier::Exact
            }
        };
        if reading.qualifier == Qualifier::Exact {
            reading.qualifier = said;
        }
    }

    fn add_spread(&self, ledger: &mut Ledger, reading: &mut ImportedReading, line: usize) {
        let Some(part) = self.spread else { return };
        let text = self.text(line, self.spread);
        if text.is_empty() {
            return;
        }
        match read_value(text.trim_start_matches(['\u{b1}', ' ']), part.mark) {
            Ok(found) if found.qualifier == Qualifier::Exact && found.unit.is_none() => {
                reading.beside.get_or_insert_default().plus_minus = Some(found.value);
                self.settle(ledger, line, [self.spread], Fate::Reading);
            }
            // A share of the reading or a bound is not an amount in the reading's unit.
            Ok(_) => self.refuse(ledger, line, self.spread, Reason::NotANumber),
            Err(reason) => self.refuse(ledger, line, self.spread, reason),
        }
    }

    fn settle<const N: usize>(
        &self,
        ledger: &mut Ledger,
        line: usize,
        parts: [Option<Part>; N],
        fate: Fate,
    ) {
        for part in parts.into_iter().flatten() {
            ledger.settle(self.table.view.cell(line, part.across), fate);
        }
    }

    fn refuse(&self, ledger: &mut Ledger, line: usize, part: Option<Part>, reason: Reason) {
        if let Some(part) = part {
            let cell = self.table.view.cell(line, part.across);
            ledger.refuse(cell, self.table.view.text(line, part.across), reason);
        }
    }

    fn leave_out(&self, ledger: &mut Ledger, line: usize, part: Option<Part>, rule: &str) {
        if let Some(part) = part.filter(|_| !self.text(line, part).is_empty()) {
            ledger.leave_out(self.table.view.cell(line, part.across), rule);
        }
    }

    /// Columns that the mapping leaves out or that nothing explains.
    fn settle_beside(&self, ledger: &mut Ledger, line: usize) {
        for column in &self.table.columns {
            let text = || self.table.view.text(line, column.across);
            let cell = || self.table.view.cell(line, column.across);
            match column.holds {
                Holds::Ignored if !text().is_empty() => ledger.leave_out(cell(), &column.written),
                Holds::Unread(reason) => ledger.refuse(cell(), text(), reason),
                _ => {}
            }
        }
    }
}
