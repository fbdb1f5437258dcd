//! What the names of a long table mean, each different one looked up once.

use std::collections::HashMap;

use swardbook_units::Unit;

use super::{
    apply::Work,
    asking::choices_of_analytes,
    mapping::Resolved,
    naming::{self, Meaning},
    outcome::{About, Answer, Ask, Place},
    reading_cell::ReadingColumn,
    reason::Reason,
};

/// What a name with its method and unit means in this file.
#[derive(Debug, Clone)]
pub(super) enum Named {
    /// An analyte; whether the method beside it was understood.
    Analyte { how: ReadingColumn, is_method_known: bool },
    /// Left out by the rule that names it.
    LeftOut(String),
    /// Not known.
    Refused(Reason),
}

/// The cells that name one reading.
#[derive(Debug, Clone, Copy)]
pub(super) struct NameCells<'a> {
    pub(super) name: &'a str,
    pub(super) method: &'a str,
    pub(super) unit: &'a str,
    /// Where the name stands.
    pub(super) place: Place,
}

impl NameCells<'_> {
    /// The key of the rule that these cells may have.
    pub(super) fn key(&self) -> String {
        naming::name_key(self.name, self.method, self.unit)
    }
}

/// Names that were met.
#[derive(Debug, Default)]
pub(super) struct Names<'a> {
    words: HashMap<&'a str, usize>,
    known: HashMap<[usize; 3], usize>,
    /// Name, method and unit, and what they mean.
    list: Vec<([&'a str; 3], Named)>,
    /// The one that most likely comes next: the rows of each sample come in the same order.
    next: usize,
    /// The unit of rows that give none.
    pub(super) default_unit: Option<&'static Unit>,
}

impl<'a> Names<'a> {
    /// What the cells mean.
    pub(super) fn find(&mut self, work: &mut Work<'_>, cells: NameCells<'a>) -> &Named {
        let texts = [cells.name, cells.method, cells.unit];
        let is_next = self.list.get(self.next).is_some_and(|(known, _)| *known == texts);
        let at = if is_next { self.next } else { self.find_or_add(work, cells, texts) };
        self.next = (at + 1) % self.list.len();
        &self.list[at].1
    }

    fn find_or_add(
        &mut self,
        work: &mut Work<'_>,
        cells: NameCells<'a>,
        texts: [&'a str; 3],
    ) -> usize {
        let numbers = texts.map(|word| {
            let next = self.words.len();
            *self.words.entry(word).or_insert(next)
        });
        if let Some(&known) = self.known.get(&numbers) {
            return known;
        }
        self.list.push((texts, look_up(work, cells, self.default_unit)));
        self.known.insert(numbers, self.list.len() - 1);
        self.list.len() - 1
    }
}

fn look_up(
    work: &mut Work<'_>,
    cells: NameCells<'_>,
    default_unit: Option<&'static Unit>,
) -> Named {
    let key = cells.key();
    if let Some(rule) = work.mapping.names.iter().find(|rule| rule.written == key) {
        let Some(means) = &rule.means else { return Named::LeftOut(cells.name.to_owned()) };
        return match means.resolve() {
            Some(resolved) => settled(work, cells, resolved, None, default_unit),
            None => Named::Refused(Reason::UnknownAnalyte),
        };
    }
    let meaning = naming::of_cells(cells.name, cells.method, cells.unit);
    let about = About::Name(key);
    let Some(first) = meaning.matches.first() else {
        if !cells.name.is_empty() {
            let choices = || vec![Answer::Ignore];
            work.ask(cells.place, cells.name, &about, Ask::Analyte, choices);
        }
        return Named::Refused(Reason::UnknownAnalyte);
    };
    let is_one_analyte = meaning.matches.iter().all(|m| m.analyte.id == first.analyte.id);
    if !is_one_analyte {
        let choices = || choices_of_analytes(meaning.matches.iter().map(|m| m.analyte));
        work.ask(cells.place, cells.name, &about, Ask::Analyte, choices);
        return Named::Refused(Reason::SeveralAnalytes);
    }
    // One analyte, and where the method may be two it is the method that is asked.
    let resolved = Resolved {
        analyte: first.analyte,
        method: first.method.filter(|_| meaning.matches.len() == 1),
        form: first.form,
        unit: meaning.unit,
    };
    settled(work, cells, resolved, Some(&meaning), default_unit)
}

fn settled(
    work: &mut Work<'_>,
    cells: NameCells<'_>,
    resolved: Resolved,
    meaning: Option<&Meaning>,
    default_unit: Option<&'static Unit>,
) -> Named {
    let mut how = ReadingColumn::new(resolved);
    how.is_unit_strange = meaning.is_some_and(|meaning| meaning.strange_unit.is_some());
    if how.unit.is_none() && !how.is_unit_strange {
        how.unit = default_unit.filter(|unit| how.analyte.accepts(unit));
    }
    if how.is_method_open {
        work.ask_method(how.analyte, cells.place, cells.name, &About::Name(cells.key()));
    }
    let is_method_known = meaning.is_none_or(|meaning| meaning.strange_method.is_none());
    Named::Analyte { how, is_method_known }
}
