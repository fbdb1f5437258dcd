//! Tables with one row a reading.

use std::collections::HashMap;

use swardbook_agronomy::reading::Qualifier;
use swardbook_units::Unit;

use super::{
    apply::{Column, Holds, Table, Work, choices_of_analytes},
    attribute::Attribute,
    cell_value::{ColumnMark, read_value},
    ledger::{Fate, Ledger},
    mapping::Resolved,
    naming::{self, Meaning},
    outcome::{Answer, Ask, Note, Place, Reason, SampleAttributes},
    reading_cell::{ReadingColumn, read_cell},
    samples::{AttributeColumn, Repeats, fill, take},
};

/// Where the parts of a reading stand in a row.
#[derive(Debug, Default, Clone, Copy)]
struct Parts {
    name: Option<usize>,
    value: Option<usize>,
    unit: Option<usize>,
    method: Option<usize>,
    sign: Option<usize>,
    spread: Option<usize>,
    default_unit: Option<&'static Unit>,
}

/// What a name with its method and unit means in this file.
#[derive(Debug, Clone)]
enum Named {
    Analyte(ReadingColumn),
    LeftOut(String),
    Refused(Reason),
}

/// Names that were met, so that each different one is looked up once.
#[derive(Debug, Default)]
struct Names<'a> {
    words: HashMap<&'a str, usize>,
    known: HashMap<(usize, usize, usize), usize>,
    list: Vec<Named>,
}

/// A sample that was met, with the cells of its rows that could not be read.
#[derive(Debug)]
struct Met {
    sample: usize,
    refused: Vec<(usize, Reason)>,
}

/// Reads every row of data.
pub(super) fn read(
    work: &mut Work<'_>,
    table: &Table<'_>,
    ledger: &mut Ledger,
    common: &SampleAttributes,
) {
    let parts = parts(table);
    let marks: Vec<ColumnMark> = table.seen.iter().map(|seen| work.column_mark(*seen)).collect();
    let mark_of = |across: Option<usize>| {
        let at = table.columns.iter().position(|column| Some(column.across) == across);
        at.map_or(ColumnMark::Unknown { point_is_decimal: false }, |at| marks[at])
    };
    let (value_mark, spread_mark) = (mark_of(parts.value), mark_of(parts.spread));
    let mut names = Names::default();
    let mut rows = SampleRows::new(table);
    for line in table.span.data.0..table.span.data.1 {
        let text = |across: Option<usize>| across.map_or("", |a| table.view.text(line, a));
        let through =
            |across: Option<usize>| across.map_or("", |a| table.view.text_through_merges(line, a));
        let (name, value) = (text(parts.name), text(parts.value));
        let is_reading = !value.is_empty();
        if name.is_empty() && !is_reading {
            continue;
        }
        if !is_reading && !work.words.look(name).is_analyte {
            // A heading between groups of analytes, or a line of text below the table.
            continue;
        }
        let sample = rows.sample(work, table, ledger, common, line);
        let name = if name.is_empty() { through(parts.name) } else { name };
        let (method, unit) = (through(parts.method), through(parts.unit));
        for part in [parts.unit, parts.method, parts.sign].into_iter().flatten() {
            ledger.settle(table.view.cell(line, part), Fate::Heading);
        }
        settle_beside(table, ledger, line);
        let name_cell = parts.name.map(|across| table.view.cell(line, across));
        if !is_reading {
            if let Some(cell) = name_cell {
                ledger.refuse(cell, name, Reason::NoValue);
            }
            continue;
        }
        let place =
            name_cell.map_or(Place { sheet: 0, row: 0, column: 0 }, |cell| ledger.place(cell));
        let named = names.find(work, name, method, unit, parts.default_unit, place);
        let value_cell = table.view.cell(line, parts.value.unwrap_or(0));
        match &names.list[named] {
            Named::LeftOut(rule) => {
                ledger.leave_out(value_cell, rule);
                if let Some(cell) = name_cell {
                    ledger.leave_out(cell, rule);
                }
                leave_out(table, ledger, line, parts.spread, rule);
            }
            Named::Refused(reason) => {
                ledger.refuse(value_cell, value, *reason);
                if let Some(cell) = name_cell {
                    ledger.refuse(cell, name, *reason);
                }
            }
            Named::Analyte(how) => {
                if let Some(cell) = name_cell {
                    ledger.settle(cell, Fate::Heading);
                }
                let place = ledger.place(value_cell);
                let at = (line, parts.value.unwrap_or(0));
                match read_cell(table.view, at, value, how, value_mark, place) {
                    Ok((mut reading, remarks)) => {
                        reading.qualifier = signed(text(parts.sign), reading.qualifier);
                        let spread = text(parts.spread);
                        if !spread.is_empty() {
                            let cell = table.view.cell(line, parts.spread.unwrap_or(0));
                            match read_value(
                                spread.trim_start_matches(['\u{b1}', ' ']),
                                spread_mark,
                            ) {
                                Ok(found) => {
                                    reading.plus_minus = Some(found.value);
                                    ledger.settle(cell, Fate::Reading);
                                }
                                Err(reason) => ledger.refuse(cell, spread, reason),
                            }
                        }
                        work.remark(place, remarks);
                        ledger.settle(value_cell, Fate::Reading);
                        work.samples.list[sample].readings.push(reading);
                    }
                    Err(reason) => {
                        ledger.refuse(value_cell, value, reason);
                        work.ask_about(place, value, reason);
                        if matches!(reason, Reason::NoUnit | Reason::UnknownUnit) {
                            let key = naming::name_key(name, method, unit);
                            work.ask_about_analyte(how, place, name, &key, how.unit.is_none());
                        }
                    }
                }
            }
        }
    }
    rows.close(work);
}

fn parts(table: &Table<'_>) -> Parts {
    let mut parts = Parts::default();
    for column in &table.columns {
        let slot = match column.holds {
            Holds::Name => &mut parts.name,
            Holds::Value(unit) => {
                parts.default_unit = unit;
                &mut parts.value
            }
            Holds::Unit => &mut parts.unit,
            Holds::Method => &mut parts.method,
            Holds::Sign => &mut parts.sign,
            Holds::Spread => &mut parts.spread,
            _ => continue,
        };
        slot.get_or_insert(column.across);
    }
    parts
}

/// Columns that the mapping leaves out or that nothing explains.
fn settle_beside(table: &Table<'_>, ledger: &mut Ledger, line: usize) {
    for column in &table.columns {
        let text = || table.view.text(line, column.across);
        match column.holds {
            Holds::Ignored if !text().is_empty() => {
                ledger.leave_out(table.view.cell(line, column.across), &column.written);
            }
            Holds::Unread(reason) if !text().is_empty() => {
                ledger.refuse(table.view.cell(line, column.across), text(), reason);
            }
            _ => {}
        }
    }
}

fn leave_out(
    table: &Table<'_>,
    ledger: &mut Ledger,
    line: usize,
    across: Option<usize>,
    rule: &str,
) {
    if let Some(across) = across.filter(|&across| !table.view.text(line, across).is_empty()) {
        ledger.leave_out(table.view.cell(line, across), rule);
    }
}

/// The sign of its own column counts where the number has none.
fn signed(sign: &str, own: Qualifier) -> Qualifier {
    match (own, sign) {
        (Qualifier::Exact, "<" | "<=" | "=<" | "\u{2264}" | "lt" | "LT") => Qualifier::Below,
        (Qualifier::Exact, ">" | ">=" | "=>" | "\u{2265}" | "gt" | "GT") => Qualifier::Above,
        (own, _) => own,
    }
}

impl<'a> Names<'a> {
    fn find(
        &mut self,
        work: &mut Work<'_>,
        name: &'a str,
        method: &'a str,
        unit: &'a str,
        default_unit: Option<&'static Unit>,
        place: Place,
    ) -> usize {
        let mut number = |word: &'a str| {
            let next = self.words.len();
            *self.words.entry(word).or_insert(next)
        };
        let key = (number(name), number(method), number(unit));
        if let Some(&known) = self.known.get(&key) {
            return known;
        }
        let named = look_up(work, name, method, unit, default_unit, place);
        self.list.push(named);
        self.known.insert(key, self.list.len() - 1);
        self.list.len() - 1
    }
}

fn look_up(
    work: &mut Work<'_>,
    name: &str,
    method: &str,
    unit: &str,
    default_unit: Option<&'static Unit>,
    place: Place,
) -> Named {
    let key = naming::name_key(name, method, unit);
    if let Some(rule) = work.mapping.names.iter().find(|rule| rule.written == key) {
        return match &rule.means {
            None => Named::LeftOut(name.to_owned()),
            Some(means) => match means.resolve() {
                Some(resolved) => settled(work, resolved, None, default_unit, place, name, &key),
                None => Named::Refused(Reason::UnknownAnalyte),
            },
        };
    }
    let meaning = naming::of_cells(name, method, unit);
    match meaning.matches[..] {
        [] => {
            if !name.is_empty() {
                work.ask(place, name, &key, Ask::Analyte, vec![Answer::Ignore]);
            }
            Named::Refused(Reason::UnknownAnalyte)
        }
        [only] => {
            let resolved = Resolved {
                analyte: only.analyte,
                method: only.method,
                form: only.form,
                unit: meaning.unit,
            };
            settled(work, resolved, Some(&meaning), default_unit, place, name, &key)
        }
        _ => {
            let choices = choices_of_analytes(meaning.matches.iter().map(|m| m.analyte));
            let same = meaning.matches.windows(2).all(|m| m[0].analyte.id == m[1].analyte.id);
            if same {
                // One analyte, and a method that may be two: the method is asked, not the analyte.
                let first = meaning.matches[0];
                let resolved = Resolved {
                    analyte: first.analyte,
                    method: None,
                    form: first.form,
                    unit: meaning.unit,
                };
                return settled(work, resolved, Some(&meaning), default_unit, place, name, &key);
            }
            work.ask(place, name, &key, Ask::Analyte, choices);
            Named::Refused(Reason::SeveralAnalytes)
        }
    }
}

fn settled(
    work: &mut Work<'_>,
    resolved: Resolved,
    meaning: Option<&Meaning>,
    default_unit: Option<&'static Unit>,
    place: Place,
    name: &str,
    key: &str,
) -> Named {
    let mut how = ReadingColumn::new(resolved);
    how.is_unit_strange = meaning.is_some_and(|meaning| meaning.strange_unit.is_some());
    if how.unit.is_none() && !how.is_unit_strange {
        how.unit = default_unit.filter(|unit| how.analyte.accepts(unit));
    }
    if how.is_method_open {
        work.ask_about_analyte(&how, place, name, key, false);
    }
    Named::Analyte(how)
}

/// Finds the sample of each row by the cells that describe it.
#[derive(Debug)]
struct SampleRows<'t> {
    columns: Vec<&'t Column>,
    key: String,
    met: HashMap<String, Met>,
    last: Option<usize>,
    continued: Option<(Place, usize)>,
}

impl<'t> SampleRows<'t> {
    fn new(table: &'t Table<'_>) -> Self {
        let columns =
            table.columns.iter().filter(|c| matches!(c.holds, Holds::Attribute(_))).collect();
        Self { columns, key: String::new(), met: HashMap::new(), last: None, continued: None }
    }

    fn sample(
        &mut self,
        work: &mut Work<'_>,
        table: &Table<'_>,
        ledger: &mut Ledger,
        common: &SampleAttributes,
        line: usize,
    ) -> usize {
        self.key.clear();
        let mut is_described = false;
        for how in self.columns.iter().filter_map(|column| described_by(column)) {
            let text = table.view.text_through_merges(line, how.across);
            is_described |= !text.is_empty();
            self.key.push_str(text);
            self.key.push('\u{1f}');
        }
        if !is_described && let Some(last) = self.last {
            if let Some(first) = self.columns.first() {
                let place = ledger.place(table.view.cell(line, first.across));
                self.continued.get_or_insert((place, 0)).1 += 1;
            }
            self.remark(work, table, ledger, line, last);
            return last;
        }
        let sample = match self.met.get(&self.key) {
            Some(met) => {
                for how in self.columns.iter().filter_map(|column| described_by(column)) {
                    let cell = table.view.cell(line, how.across);
                    let text = table.view.text(line, how.across);
                    match met.refused.iter().find(|(across, _)| *across == how.across) {
                        Some((_, reason)) if !text.is_empty() => ledger.refuse(cell, text, *reason),
                        _ => {
                            ledger.settle(cell, Fate::Attribute);
                        }
                    }
                }
                met.sample
            }
            None => self.meet(work, table, ledger, common, line),
        };
        self.remark(work, table, ledger, line, sample);
        self.last = Some(sample);
        sample
    }

    fn meet(
        &mut self,
        work: &mut Work<'_>,
        table: &Table<'_>,
        ledger: &mut Ledger,
        common: &SampleAttributes,
        line: usize,
    ) -> usize {
        let mut attributes = SampleAttributes::default();
        let mut refused = Vec::new();
        for how in self.columns.iter().filter_map(|column| described_by(column)) {
            let text = table.view.text_through_merges(line, how.across);
            if text.is_empty() {
                continue;
            }
            let cell = table.view.cell(line, how.across);
            match take(&mut attributes, how, text, table.view.kind(line, how.across)) {
                Ok(()) => {
                    ledger.settle(cell, Fate::Attribute);
                }
                Err(reason) => {
                    ledger.refuse(cell, text, reason);
                    work.ask_about(ledger.place(cell), text, reason);
                    refused.push((how.across, reason));
                }
            }
        }
        fill(&mut attributes, common.clone());
        let sample = work.samples.find_or_add(attributes, Repeats::Possible);
        self.met.insert(self.key.clone(), Met { sample, refused });
        sample
    }

    /// A comment belongs to its row and does not make another sample.
    fn remark(
        &self,
        work: &mut Work<'_>,
        table: &Table<'_>,
        ledger: &mut Ledger,
        line: usize,
        sample: usize,
    ) {
        for column in &self.columns {
            let Holds::Attribute(how) = column.holds else { continue };
            let text = table.view.text(line, how.across);
            if how.attribute != Attribute::Remark || text.is_empty() {
                continue;
            }
            let kind = table.view.kind(line, how.across);
            let cell = table.view.cell(line, how.across);
            match take(&mut work.samples.list[sample].attributes, how, text, kind) {
                Ok(()) => {
                    ledger.settle(cell, Fate::Attribute);
                }
                Err(reason) => ledger.refuse(cell, text, reason),
            }
        }
    }

    fn close(self, work: &mut Work<'_>) {
        if let Some((place, rows)) = self.continued {
            work.notes.push(Note::LabelContinues { place, rows });
        }
    }
}

fn described_by(column: &Column) -> Option<AttributeColumn> {
    match column.holds {
        Holds::Attribute(how) if how.attribute != Attribute::Remark => Some(how),
        _ => None,
    }
}
