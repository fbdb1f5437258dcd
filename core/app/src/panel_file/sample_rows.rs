//! Which sample each row of a long table belongs to.

use std::collections::HashMap;

use super::{
    apply::Work,
    attribute::Attribute,
    columns::{Column, Holds, Table},
    ledger::{Fate, Ledger},
    outcome::{Note, Place, SampleAttributes},
    reason::Reason,
    samples::{AttributeColumn, Repeats, fill, take},
};

/// A sample that was met, with the cells of its rows that could not be read.
#[derive(Debug)]
struct Met {
    sample: usize,
    refused: Vec<(usize, Reason)>,
}

/// Finds the sample of each row by the cells that describe it.
#[derive(Debug)]
pub(super) struct SampleRows<'t> {
    columns: Vec<&'t Column>,
    /// The describing cells of the row at hand, end to end, and of the row before.
    key: String,
    last_key: String,
    by_key: HashMap<String, usize>,
    met: Vec<Met>,
    /// Index into `met` of the row before.
    last: Option<usize>,
    continued: Option<(Place, usize)>,
}

impl<'t> SampleRows<'t> {
    pub(super) fn new(table: &'t Table<'_>) -> Self {
        let columns =
            table.columns.iter().filter(|c| matches!(c.holds, Holds::Attribute(_))).collect();
        Self {
            columns,
            key: String::new(),
            last_key: String::new(),
            by_key: HashMap::new(),
            met: Vec::new(),
            last: None,
            continued: None,
        }
    }

    /// The sample of a row; its cells that describe it are settled.
    pub(super) fn sample(
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
            let sample = self.met[last].sample;
            self.remark(work, table, ledger, line, sample);
            return sample;
        }
        // The rows of one sample mostly follow each other.
        let known = match self.last.filter(|_| self.key == self.last_key) {
            Some(last) => Some(last),
            None => self.by_key.get(&self.key).copied(),
        };
        let met = match known {
            Some(known) => {
                self.settle_again(table, ledger, line, known);
                known
            }
            None => self.meet(work, table, ledger, common, line),
        };
        self.last = Some(met);
        std::mem::swap(&mut self.key, &mut self.last_key);
        let sample = self.met[met].sample;
        self.remark(work, table, ledger, line, sample);
        sample
    }

    /// The describing cells of a further row of a known sample are read, or refused, like its first.
    fn settle_again(&self, table: &Table<'_>, ledger: &mut Ledger, line: usize, met: usize) {
        let refused = &self.met[met].refused;
        for how in self.columns.iter().filter_map(|column| described_by(column)) {
            let cell = table.view.cell(line, how.across);
            match refused.iter().find(|(across, _)| *across == how.across) {
                Some((_, reason)) => {
                    ledger.refuse(cell, table.view.text(line, how.across), *reason);
                }
                None => {
                    ledger.settle(cell, Fate::Attribute);
                }
            }
        }
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
        fill(&mut attributes, common);
        let sample = work.samples.find_or_add(attributes, Repeats::Possible);
        self.met.push(Met { sample, refused });
        self.by_key.insert(self.key.clone(), self.met.len() - 1);
        self.met.len() - 1
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

    /// Another sample begins: rows that say nothing belong to it.
    pub(super) fn start_section(&mut self) {
        self.by_key.clear();
        self.last_key.clear();
        self.last = None;
    }

    /// Says how many rows went on without a description.
    pub(super) fn close(self, work: &mut Work<'_>) {
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
