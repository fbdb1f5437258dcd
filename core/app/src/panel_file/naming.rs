//! What headings and names mean: analyte, method, compound and unit together.

use std::{cell::RefCell, collections::HashMap, thread::LocalKey};

use swardbook_agronomy::analyte::{
    Analyte, Match, Method, NOT_STATED, find_analyte, find_method, method,
};
use swardbook_units::{Dimension, Unit, units};

use super::{
    mapping::AnalyteRule,
    mention::{mentions_a_method, mentions_an_analyte},
    unit_words::{unit_of_cell, unit_of_part, units_within, without_unit},
};

/// What a heading or a name says.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Meaning {
    /// The analytes it may mean; none when it is not a name of one.
    pub(super) matches: Vec<Match>,
    /// The unit it gives.
    pub(super) unit: Option<&'static Unit>,
    /// A unit that is written and not known, or does not suit the analyte.
    pub(super) strange_unit: Option<String>,
    /// A method that is written and not known for this analyte.
    pub(super) strange_method: Option<String>,
}

impl Meaning {
    /// The one analyte it means.
    pub(super) fn only(&self) -> Option<Match> {
        match self.matches[..] {
            [only] => Some(only),
            _ => None,
        }
    }

    /// As a rule of a mapping.
    pub(super) fn rule(&self) -> Option<AnalyteRule> {
        let m = self.matches.first()?;
        let same = |other: &Match| other.analyte.id == m.analyte.id && other.form == m.form;
        if !self.matches.iter().all(same) {
            return None;
        }
        // The same analyte by one of several methods: the method is left open.
        let method = m.method.filter(|_| self.matches.len() == 1);
        Some(AnalyteRule {
            analyte: m.analyte.id.clone(),
            method: method.or_else(|| only_method(m.analyte)).map(|method| method.id.clone()),
            form: m.form.map(|form| form.formula.clone()),
            unit: self.unit.or_else(|| only_unit(m.analyte)).map(|unit| unit.symbol.to_owned()),
        })
    }
}

/// The method of an analyte that is measured in one way only.
pub(super) fn only_method(analyte: &'static Analyte) -> Option<&'static Method> {
    let mut stated = stated_methods(analyte);
    stated.next().filter(|_| stated.next().is_none())
}

/// Every method of an analyte but the one that is not stated.
pub(super) fn stated_methods(analyte: &'static Analyte) -> impl Iterator<Item = &'static Method> {
    analyte.by.iter().map(|by| by.method).filter(|method| method.id != NOT_STATED)
}

/// The method of readings whose file does not say.
pub(super) fn not_stated() -> &'static Method {
    method(NOT_STATED).expect("the table of methods has the one that is not stated")
}

/// The unit of an analyte that has only one, such as pH.
pub(super) fn only_unit(analyte: &'static Analyte) -> Option<&'static Unit> {
    if let [only] = analyte.only_units[..] {
        return Some(only);
    }
    match analyte.dimensions[..] {
        [Dimension::Acidity | Dimension::Ratio] => analyte.by.first().map(|by| by.unit),
        _ => None,
    }
}

/// Units an analyte may be reported in: those it is kept in first, then the rest.
pub(super) fn possible_units(analyte: &'static Analyte) -> Vec<&'static Unit> {
    let mut possible: Vec<&'static Unit> = Vec::new();
    let kept = analyte.by.iter().map(|by| by.unit);
    for unit in kept.chain(units().iter().filter(|unit| analyte.accepts(unit))) {
        if !possible.iter().any(|known| known.symbol == unit.symbol) {
            possible.push(unit);
        }
    }
    possible
}

/// What one text means by itself.
pub(super) fn of_text(text: &str) -> Meaning {
    thread_local! {
        static KNOWN: Memory<Meaning> = Memory::default();
    }
    if !mentions_an_analyte(text) {
        return Meaning::default();
    }
    remembered(&KNOWN, text, looked_up)
}

/// Answers by text: the headings of a file are looked at from several sides.
type Memory<T> = RefCell<HashMap<String, T>>;

fn remembered<T: Clone>(
    memory: &'static LocalKey<Memory<T>>,
    text: &str,
    find: impl Fn(&str) -> T,
) -> T {
    const MOST: usize = 2048;
    if let Some(known) = memory.with_borrow(|known| known.get(text).cloned()) {
        return known;
    }
    let found = find(text);
    memory.with_borrow_mut(|known| {
        if known.len() >= MOST {
            known.clear();
        }
        known.insert(text.to_owned(), found.clone());
    });
    found
}

fn looked_up(text: &str) -> Meaning {
    let matches = find_analyte(text);
    if let Some(first) = matches.first() {
        let unit = first.unit;
        return Meaning { matches, unit, ..Meaning::default() };
    }
    // The unit may stand anywhere and be written with spaces: "Ca meq/100 g (exch.)".
    for (range, unit) in units_within(text) {
        let rest = format!("{} {}", &text[..range.0], &text[range.1..]);
        let mut matches = find_analyte(rest.replace("()", " ").replace("[]", " ").trim());
        matches.retain(|m| m.analyte.accepts(unit));
        if !matches.is_empty() {
            return Meaning { matches, unit: Some(unit), ..Meaning::default() };
        }
    }
    Meaning::default()
}

/// What a name means together with the method and the unit that stand in other cells.
pub(super) fn of_cells(name: &str, method_text: &str, unit_text: &str) -> Meaning {
    let joined = if is_blank(method_text) {
        Meaning::default()
    } else {
        of_text(&format!("{name} ({method_text})"))
    };
    let joined_is_empty = joined.matches.is_empty();
    let mut meaning = if joined_is_empty { of_text(name) } else { joined };
    if meaning.matches.iter().all(|m| m.method.is_none()) && !is_blank(method_text) {
        let methods = methods_named(method_text);
        let fitting: Vec<Match> = meaning
            .matches
            .iter()
            .flat_map(|m| methods.iter().map(move |&method| Match { method: Some(method), ..*m }))
            .filter(|m| m.method.is_some_and(|method| m.analyte.by(method).is_some()))
            .collect();
        if fitting.is_empty() {
            meaning.strange_method = Some(method_text.to_owned());
        } else {
            meaning.matches = fitting;
        }
    } else if joined_is_empty && !is_blank(method_text) {
        // The name says its method, and the cell beside it says something else.
        let disagrees = !methods_named(method_text).is_empty();
        meaning.strange_method = Some(method_text.to_owned());
        if disagrees {
            meaning.matches.iter_mut().for_each(|m| m.method = None);
        }
    }
    if !is_blank(unit_text) {
        match unit_of_cell(unit_text) {
            Some(unit) if meaning.matches.iter().any(|m| m.analyte.accepts(unit)) => {
                meaning.matches.retain(|m| m.analyte.accepts(unit));
                meaning.unit = Some(unit);
            }
            // "pH units", "none" and the like beside an analyte that has one unit only.
            _ if meaning.only().is_some_and(|m| only_unit(m.analyte).is_some()) => {}
            _ => meaning.strange_unit = Some(unit_text.to_owned()),
        }
    }
    meaning
}

/// What a heading of one or more parts means; the parts stand from the group down.
pub(super) fn of_heading(parts: &[&str]) -> Meaning {
    let parts: Vec<&str> = parts.iter().copied().filter(|part| !is_blank(part)).collect();
    if let [only] = parts[..] {
        return of_whole(only);
    }
    // The name is the part that is one; a unit or a method beside it may look like a name too
    // ("pH" as a unit, "Ca" for calcium chloride), so each part is tried as the name.
    let mut best = Meaning::default();
    let mut best_rank = 0;
    for (at, name) in parts.iter().enumerate() {
        let (mut methods, mut unit_text) = (Vec::new(), "");
        let mut strange = false;
        for (other, part) in parts.iter().enumerate().filter(|(other, _)| *other != at) {
            let (words, unit) = group_words(part);
            match unit {
                Some(_) if unit_text.is_empty() || other > at => unit_text = unit_of_part(part),
                _ => {}
            }
            if !words.is_empty() {
                strange |= methods_named(&words).is_empty();
                methods.push(words);
            }
        }
        let method_text = methods.join(" ");
        let meaning = of_cells(name, &method_text, unit_text);
        if meaning.matches.is_empty() {
            continue;
        }
        let rank = 1
            + usize::from(meaning.strange_unit.is_none())
            + usize::from(meaning.strange_method.is_none() && !strange)
            + 2 * usize::from(meaning.matches.iter().all(|m| m.method.is_some()))
            + 2 * usize::from(meaning.unit.is_some());
        if rank > best_rank {
            (best, best_rank) = (meaning, rank);
        }
    }
    best
}

/// A heading in one cell; a part that is not understood is kept as a strange method.
fn of_whole(heading: &str) -> Meaning {
    let meaning = of_text(heading);
    if !meaning.matches.is_empty() {
        return meaning;
    }
    // "P (some method) mg/kg": the name stands before the first bracket.
    let Some(open) = heading.find(['(', '[', ',']) else { return Meaning::default() };
    let name = of_text(heading[..open].trim());
    if name.matches.is_empty() {
        return Meaning::default();
    }
    let behind = &heading[open..];
    let (words, unit) = group_words(behind);
    Meaning {
        unit: unit.filter(|unit| name.matches.iter().any(|m| m.analyte.accepts(unit))),
        strange_method: (!words.is_empty() && methods_named(&words).is_empty())
            .then(|| words.clone()),
        strange_unit: None,
        matches: name.matches,
    }
}

/// Methods a text names, words that only say "extracted by" aside.
pub(super) fn methods_named(text: &str) -> Vec<&'static Method> {
    thread_local! {
        static KNOWN: Memory<Vec<&'static Method>> = Memory::default();
    }
    if !mentions_a_method(text) {
        return Vec::new();
    }
    remembered(&KNOWN, text, methods_looked_up)
}

fn methods_looked_up(text: &str) -> Vec<&'static Method> {
    let found = find_method(text);
    if !found.is_empty() {
        return found;
    }
    let (words, _) = group_words(text);
    if words == text { found } else { find_method(&words) }
}

/// A group's heading without its unit and without words that say neither what nor how.
pub(super) fn group_words(text: &str) -> (String, Option<&'static Unit>) {
    const IDLE: &[&str] = &[
        "cation",
        "cations",
        "bases",
        "nutrients",
        "elements",
        "extractable",
        "extraction",
        "extract",
        "extracted",
        "method",
        "methods",
        "analysis",
        "results",
        "result",
        "micronutrients",
        "macronutrients",
        "trace",
        "soil",
        "available",
        "major",
        "minor",
        "by",
        "in",
        "as",
        "test",
    ];
    let (rest, unit) = without_unit(text);
    let plain = rest.replace(['(', ')', '[', ']', ',', ';'], " ");
    let words: Vec<&str> = plain
        .split_whitespace()
        .filter(|word| !IDLE.contains(&word.to_lowercase().as_str()))
        .collect();
    (words.join(" "), unit)
}

/// What a name rule's key means; the key is name, method and unit parted by bars.
pub(super) fn of_key(key: &str) -> Option<Meaning> {
    let mut parts = key.split('|').map(str::trim);
    let (name, method, unit) = (parts.next()?, parts.next()?, parts.next()?);
    Some(of_cells(name, method, unit))
}

/// The key of a name in a long table.
pub(super) fn name_key(name: &str, method: &str, unit: &str) -> String {
    let part = |text: &str| text.replace('|', " ").trim().to_lowercase();
    format!("{}|{}|{}", part(name), part(method), part(unit))
}

/// A cell that says nothing about method or unit.
pub(super) fn is_blank(text: &str) -> bool {
    matches!(text.trim(), "" | "-" | "--" | "\u{2013}" | "\u{2014}" | "n/a" | "N/A")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(meaning: &Meaning) -> String {
        let names: Vec<String> = meaning
            .matches
            .iter()
            .map(|m| {
                let method = m.method.map_or("?", |method| &method.id);
                let form = m.form.map_or(String::new(), |form| format!(" as {}", form.formula));
                format!("{} by {method}{form}", m.analyte.id)
            })
            .collect();
        let unit = meaning.unit.map_or("?", |unit| unit.symbol);
        format!("{} in {unit}", names.join(" or "))
    }

    fn check(parts: &[&str], expected: &str) {
        assert_eq!(said(&of_heading(parts)), expected, "{parts:?}");
    }

    #[test]
    fn headings_of_one_cell() {
        check(&["P (Mehlich-3) mg/kg"], "p by mehlich-3 in mg/kg");
        check(&["pH 1:5 water"], "ph-water by water-1-5 in ?");
        check(&["P_Olsen_mgkg"], "p by olsen in mg/kg");
        check(&["Ca meq/100 g (exch.)"], "ca by exchangeable in cmol/kg");
        check(&["K2O mg/100 g"], "k by ? as K2O in mg/100 g");
        check(&["mg/kg P Olsen"], "p by olsen in mg/kg");
        check(&["P (Olsen, mg/kg)"], "p by olsen in mg/kg");
        check(&["pH"], "ph-water by ? or ph-cacl2 by ? in ?");
        check(&["P (Wobbler) mg/kg"], "p by ? in mg/kg");
        check(&["Front verge"], " in ?");
        check(&["Zone B"], " in ?");
    }

    #[test]
    fn headings_of_several_rows() {
        check(&["P", "Mehlich-3", "mg/kg"], "p by mehlich-3 in mg/kg");
        check(&["P", "mg/kg"], "p by ? in mg/kg");
        check(&["Exchangeable cations (cmol/kg)", "Ca"], "ca by exchangeable in cmol/kg");
        check(&["Exchangeable cations", "Ca", "cmol(+)/kg"], "ca by exchangeable in cmol/kg");
        check(&["pH", "CaCl2"], "ph-cacl2 by cacl2-1-5 in ?");
        check(&["pH", "1:5 water", "pH"], "ph-water by water-1-5 in pH");
        check(&["Mehlich-3 extractable", "K", "mg/kg"], "k by mehlich-3 in mg/kg");
        check(&["", "P", ""], "p by ? in ?");
    }

    #[test]
    fn what_is_not_understood_is_kept_for_the_question() {
        let meaning = of_heading(&["P (Wobbler) mg/kg"]);
        assert_eq!(meaning.strange_method.as_deref(), Some("Wobbler"), "method");
        let meaning = of_cells("P", "Wobbler", "furlong");
        assert_eq!(meaning.strange_method.as_deref(), Some("Wobbler"), "method");
        assert_eq!(meaning.strange_unit.as_deref(), Some("furlong"), "unit");
    }
}
