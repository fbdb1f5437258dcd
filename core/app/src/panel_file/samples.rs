//! Gathers readings under their samples and reads what is said about each.

use std::{
    collections::{HashMap, HashSet},
    hash::{BuildHasher, RandomState},
};

use swardbook_units::{NaiveDate, Unit};

use super::{
    attribute::{Attribute, read_date, read_depth},
    grid::CellKind,
    mapping::DateRule,
    outcome::{ImportedReading, ImportedSample, Note, SampleAttributes},
    reason::Reason,
};

/// How an attribute's cells are read.
#[derive(Debug, Clone, Copy)]
pub(super) struct AttributeColumn {
    pub(super) across: usize,
    pub(super) attribute: Attribute,
    /// For depths.
    pub(super) unit: Option<&'static Unit>,
    /// For dates.
    pub(super) dates: DateRule,
}

/// Takes one cell into the attributes of a sample.
pub(super) fn take(
    into: &mut SampleAttributes,
    column: AttributeColumn,
    text: &str,
    kind: CellKind,
) -> Result<(), Reason> {
    put(into, column.attribute, text, parse(column, text, kind)?)
}

/// What a cell says once it has been read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Said {
    /// Its text as it stands.
    Words,
    /// A day.
    Day(NaiveDate),
    /// A depth, mm; the upper end where two are given.
    Depth(Option<f64>, f64),
}

/// Reads a cell of an attribute; the same text under the same column always says the same.
pub(super) fn parse(column: AttributeColumn, text: &str, kind: CellKind) -> Result<Said, Reason> {
    match kind {
        CellKind::Error => return Err(Reason::SpreadsheetError),
        CellKind::FormulaWithoutResult => return Err(Reason::FormulaWithoutResult),
        CellKind::Text | CellKind::Number(_) | CellKind::Date(_) => {}
    }
    match column.attribute {
        Attribute::Sampled | Attribute::Received | Attribute::Reported => match kind {
            CellKind::Date(date) => Ok(Said::Day(date)),
            _ => read_date(text, column.dates).map(Said::Day),
        },
        Attribute::Depth => read_depth(text, column.unit).map(|(from, to)| Said::Depth(from, to)),
        Attribute::DepthFrom | Attribute::DepthTo => match read_depth(text, column.unit)? {
            (None, depth) => Ok(Said::Depth(None, depth)),
            (Some(_), _) => Err(Reason::NotADepth),
        },
        Attribute::Label
        | Attribute::LaboratoryNumber
        | Attribute::Laboratory
        | Attribute::Property
        | Attribute::Zone
        | Attribute::Remark => Ok(Said::Words),
    }
}

/// Adds what a cell says to a sample.
pub(super) fn put(
    into: &mut SampleAttributes,
    attribute: Attribute,
    text: &str,
    said: Said,
) -> Result<(), Reason> {
    match (said, attribute) {
        (Said::Day(day), Attribute::Sampled) => once(&mut into.sampled, day),
        (Said::Day(day), Attribute::Received) => once(&mut into.received, day),
        (Said::Day(day), _) => once(&mut into.reported, day),
        (Said::Depth(_, depth), Attribute::DepthFrom) => once(&mut into.depth_from_mm, depth),
        (Said::Depth(from, to), _) => {
            if let Some(from) = from {
                once(&mut into.depth_from_mm, from)?;
            }
            once(&mut into.depth_to_mm, to)
        }
        (Said::Words, Attribute::Label) => once_words(&mut into.label, text),
        (Said::Words, Attribute::LaboratoryNumber) => once_words(&mut into.laboratory_number, text),
        (Said::Words, Attribute::Laboratory) => once_words(&mut into.laboratory, text),
        (Said::Words, Attribute::Property) => once_words(&mut into.property, text),
        (Said::Words, Attribute::Zone) => once_words(&mut into.zone, text),
        (Said::Words, _) => {
            let remarks = into.remarks.get_or_insert_default();
            if !remarks.lines().any(|line| line == text) {
                if !remarks.is_empty() {
                    remarks.push('\n');
                }
                remarks.push_str(text);
            }
            Ok(())
        }
    }
}

fn once_words(slot: &mut Option<String>, text: &str) -> Result<(), Reason> {
    match slot {
        Some(known) if known == text => Ok(()),
        Some(_) => Err(Reason::SaidTwice),
        None => {
            *slot = Some(text.to_owned());
            Ok(())
        }
    }
}

fn once<T: PartialEq>(slot: &mut Option<T>, value: T) -> Result<(), Reason> {
    match slot {
        Some(known) if *known == value => Ok(()),
        Some(_) => Err(Reason::SaidTwice),
        None => {
            *slot = Some(value);
            Ok(())
        }
    }
}

/// Whether a table may give a sample the same analyte twice by itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Repeats {
    /// A long table, or two columns with the same heading.
    Possible,
    /// Every column holds something else.
    Impossible,
}

/// The samples of an import, found again by what is said about them.
#[derive(Debug, Default)]
pub(super) struct Samples {
    pub(super) list: Vec<ImportedSample>,
    /// The latest sample of each name, by the name's hash; whether it is the same name is told by
    /// comparing the samples.
    latest: HashMap<u64, usize>,
    /// Whether a sample may have an analyte twice: it was met again, or its table may hold repeats.
    may_repeat: Vec<bool>,
    /// For each sample the one before it of the same name.
    before: Vec<Option<usize>>,
    hasher: RandomState,
}

impl Samples {
    /// The sample that these attributes mean: a known one that nothing speaks against, or a new one.
    pub(super) fn find_or_add(&mut self, attributes: SampleAttributes, repeats: Repeats) -> usize {
        let name = attributes.label.as_ref().or(attributes.laboratory_number.as_ref());
        let mut before = None;
        if let Some(name) = name {
            let name = self.hasher.hash_one(name);
            before = self.latest.get(&name).copied();
            let mut known = before;
            while let Some(at) = known {
                if agree(&self.list[at].attributes, &attributes) {
                    fill(&mut self.list[at].attributes, &attributes);
                    self.may_repeat[at] = true;
                    return at;
                }
                known = self.before[at];
            }
            self.latest.insert(name, self.list.len());
        }
        self.before.push(before);
        self.may_repeat.push(repeats == Repeats::Possible);
        self.list.push(ImportedSample { attributes, readings: Vec::new() });
        self.list.len() - 1
    }

    /// Makes room for more samples, within reason: a long file may hold few.
    pub(super) fn expect(&mut self, lines: usize) {
        let more = lines.min(1 << 15);
        self.list.reserve(more);
        self.latest.reserve(more);
        self.may_repeat.reserve(more);
        self.before.reserve(more);
    }

    /// Takes back the sample added last: its line turned out to hold nothing.
    pub(super) fn forget_last(&mut self) {
        self.list.pop();
        self.before.pop();
        self.may_repeat.pop();
    }

    /// Notes every analyte that a sample has by the same method more than once.
    pub(super) fn note_repeats(&self, notes: &mut Vec<Note>) {
        // A usual panel is compared pair by pair; only a huge one needs a set.
        const FEW: usize = 48;
        let key =
            |reading: &ImportedReading| (&raw const *reading.analyte, &raw const *reading.method);
        for (sample, found) in self.list.iter().enumerate().filter(|(at, _)| self.may_repeat[*at]) {
            let mut seen = HashSet::new();
            for (at, reading) in found.readings.iter().enumerate() {
                let is_again = if found.readings.len() <= FEW {
                    found.readings[..at].iter().any(|earlier| key(earlier) == key(reading))
                } else {
                    !seen.insert(key(reading))
                };
                if is_again {
                    let (analyte, place) = (reading.analyte, reading.place);
                    notes.push(Note::DeterminedAgain { sample, analyte, place });
                }
            }
        }
    }
}

/// Whether two descriptions may be of one sample: nothing that both say differs.
fn agree(one: &SampleAttributes, other: &SampleAttributes) -> bool {
    fn same<T: PartialEq>(one: Option<&T>, other: Option<&T>) -> bool {
        one.is_none() || other.is_none() || one == other
    }
    // Samples are known by their label, or by the laboratory's number where neither has a label.
    let is_named = one.label.is_some() || one.laboratory_number.is_some();
    is_named
        && one.label == other.label
        && same(one.label.as_ref(), other.label.as_ref())
        && same(one.laboratory_number.as_ref(), other.laboratory_number.as_ref())
        && same(one.property.as_ref(), other.property.as_ref())
        && same(one.zone.as_ref(), other.zone.as_ref())
        && same(one.sampled.as_ref(), other.sampled.as_ref())
        && same(one.received.as_ref(), other.received.as_ref())
        && same(one.depth_from_mm.as_ref(), other.depth_from_mm.as_ref())
        && same(one.depth_to_mm.as_ref(), other.depth_to_mm.as_ref())
}

/// Adds what the second description says and the first does not.
pub(super) fn fill(into: &mut SampleAttributes, from: &SampleAttributes) {
    fn add<T: Clone>(into: &mut Option<T>, from: &Option<T>) {
        if into.is_none() && from.is_some() {
            into.clone_from(from);
        }
    }
    add(&mut into.label, &from.label);
    add(&mut into.laboratory_number, &from.laboratory_number);
    add(&mut into.laboratory, &from.laboratory);
    add(&mut into.property, &from.property);
    add(&mut into.zone, &from.zone);
    add(&mut into.sampled, &from.sampled);
    add(&mut into.received, &from.received);
    add(&mut into.reported, &from.reported);
    add(&mut into.depth_from_mm, &from.depth_from_mm);
    add(&mut into.depth_to_mm, &from.depth_to_mm);
    match (&mut into.remarks, &from.remarks) {
        (Some(known), Some(more)) if known != more => {
            known.push('\n');
            known.push_str(more);
        }
        (Some(_), _) => {}
        (empty, remarks) => empty.clone_from(remarks),
    }
}
