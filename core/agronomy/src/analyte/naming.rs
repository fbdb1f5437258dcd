//! Printed names and what they stand for.
//!
//! Names are matched whole, never by likeness.

use std::sync::LazyLock;

use swardbook_units::{Dimension, Unit, parse_unit};

use super::{Analyte, Form, Method, analytes, methods};

/// What a printed name may stand for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Match {
    /// What is measured.
    pub analyte: &'static Analyte,
    /// The method, when the name says it.
    pub method: Option<&'static Method>,
    /// The compound, when the name says one.
    pub form: Option<&'static Form>,
    /// The unit, when the name says it.
    pub unit: Option<&'static Unit>,
}

/// Finds the methods that a printed text names; letter case, brackets and spacing do not matter.
#[must_use]
pub fn find_method(text: &str) -> Vec<&'static Method> {
    let key = fold(text);
    if key.is_empty() {
        return Vec::new();
    }
    methods().iter().filter(|method| method_names(method).any(|name| name == key)).collect()
}

/// Finds what a printed name stands for.
///
/// The whole name must be known: as a name, symbol or alias, alone or with a method
/// (`Phosphorus (Colwell)`) or a unit (`K, mg/kg`) beside it.
/// More than one match means that the name is ambiguous and a person must choose; none means that
/// it is not known.
#[must_use]
pub fn find_analyte(text: &str) -> Vec<Match> {
    let plain = find_without_unit(&fold(text));
    if !plain.is_empty() {
        return plain;
    }
    let Some((rest, unit)) = split_unit(text) else { return Vec::new() };
    let mut found = find_without_unit(&fold(&rest));
    found.retain_mut(|m| {
        m.unit = Some(unit);
        m.analyte.accepts(unit)
    });
    found
}

/// Brings a printed name to one shape: lower case, words parted by single spaces, subscripts as
/// digits, every other sign but the percent sign gone.
fn fold(text: &str) -> String {
    let mut folded = String::with_capacity(text.len());
    for c in text.chars().flat_map(char::to_lowercase) {
        let c = match c {
            '\u{2080}'..='\u{2089}' => char::from_digit(c as u32 - 0x2080, 10).unwrap_or(' '),
            '\u{b2}' => '2',
            '\u{b3}' => '3',
            '%' => {
                folded.push_str(" % ");
                continue;
            }
            c if c.is_alphanumeric() => c,
            '&' => '&',
            _ => ' ',
        };
        folded.push(c);
    }
    folded.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn method_names(method: &Method) -> impl Iterator<Item = String> + '_ {
    [&method.id, &method.name].into_iter().chain(&method.aliases).map(|name| fold(name))
}

/// Words that a laboratory adds and that do not say what or how.
const IDLE_WORDS: &[&str] = &["soil", "test", "level", "result", "by", "in", "as"];

fn find_without_unit(key: &str) -> Vec<Match> {
    let whole = named(key);
    if !whole.is_empty() {
        return whole;
    }
    let words: Vec<&str> = key.split(' ').filter(|word| !word.is_empty()).collect();
    let mut found: Vec<Match> = Vec::new();
    for (name, method) in METHOD_NAMES.iter() {
        let length = name.split(' ').count();
        if words.len() <= length {
            continue;
        }
        for at in 0..=words.len() - length {
            if words[at..at + length].join(" ") != *name {
                continue;
            }
            let rest = [&words[..at], &words[at + length..]].concat();
            for mut m in named_idle_words_aside(&rest) {
                let agrees = m.method.is_none_or(|said| said.id == method.id);
                if agrees && m.analyte.by(method).is_some() {
                    m.method = Some(method);
                    if !found.contains(&m) {
                        found.push(m);
                    }
                }
            }
        }
    }
    if found.is_empty() { named_idle_words_aside(&words) } else { longest_method(found, key) }
}

/// Where one method's name holds another's (`hot cacl2` holds `cacl2`), the longer one is meant.
fn longest_method(mut found: Vec<Match>, key: &str) -> Vec<Match> {
    let length = |m: &Match| {
        m.method.map_or(0, |method| {
            method_names(method)
                .filter(|name| key.contains(name.as_str()))
                .map(|n| n.len())
                .max()
                .unwrap_or(0)
        })
    };
    let longest = found.iter().map(length).max().unwrap_or(0);
    found.retain(|m| length(m) == longest);
    found
}

fn named_idle_words_aside(words: &[&str]) -> Vec<Match> {
    let whole = named(&words.join(" "));
    if !whole.is_empty() {
        return whole;
    }
    let kept: Vec<&str> = words.iter().copied().filter(|w| !IDLE_WORDS.contains(w)).collect();
    if kept.is_empty() || kept.len() == words.len() { Vec::new() } else { named(&kept.join(" ")) }
}

fn named(key: &str) -> Vec<Match> {
    let mut found: Vec<Match> = Vec::new();
    for (name, m) in NAMES.iter() {
        if name == key && !found.contains(m) {
            found.push(*m);
        }
    }
    found
}

/// Parts a name from the unit that follows it, in brackets, after a comma or after the last space.
fn split_unit(text: &str) -> Option<(String, &'static Unit)> {
    let text = text.trim();
    for (open, _) in text.match_indices(['(', '[']) {
        if let Some(inner) = text[open + 1..].strip_suffix([')', ']'])
            && let Ok(unit) = parse_unit(inner)
            && unit.dimension != Dimension::Ratio
        {
            return Some((text[..open].to_owned(), unit));
        }
    }
    for mark in [',', ' '] {
        if let Some((name, tail)) = text.rsplit_once(mark)
            && (tail.contains(['/', '%']) || tail.trim().eq_ignore_ascii_case("ppm"))
            && let Ok(unit) = parse_unit(tail)
        {
            return Some((name.to_owned(), unit));
        }
    }
    let name = text.strip_suffix('%')?;
    parse_unit("%").ok().map(|unit| (name.to_owned(), unit))
}

/// Folded names of analytes, and what each stands for.
static NAMES: LazyLock<Vec<(String, Match)>> = LazyLock::new(|| {
    let mut names = Vec::new();
    for analyte in analytes() {
        let plain = Match { analyte, method: None, form: None, unit: None };
        for name in
            [&analyte.id, &analyte.name, &analyte.symbol].into_iter().chain(&analyte.aliases)
        {
            names.push((fold(name), plain));
        }
        for form in &analyte.forms {
            let as_form = Match { form: Some(form), ..plain };
            for name in std::iter::once(&form.formula).chain(&form.aliases) {
                names.push((fold(name), as_form));
            }
        }
        for by in &analyte.by {
            let with_method = Match { method: Some(by.method), ..plain };
            names.extend(by.aliases.iter().map(|name| (fold(name), with_method)));
        }
    }
    names
});

/// Folded method names, the longest first.
static METHOD_NAMES: LazyLock<Vec<(String, &'static Method)>> = LazyLock::new(|| {
    let mut names: Vec<(String, &'static Method)> = Vec::new();
    for method in methods().iter() {
        for name in method_names(method) {
            if !name.is_empty() && !names.iter().any(|(n, m)| *n == name && m.id == method.id) {
                names.push((name, method));
            }
        }
    }
    names.sort_by_key(|(name, _)| std::cmp::Reverse(name.len()));
    names
});

#[cfg(test)]
mod tests {
    use std::collections::{BTreeMap, BTreeSet};

    use super::*;

    #[test]
    fn only_names_that_are_known_to_be_ambiguous_are() {
        let mut meanings: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
        for (name, m) in NAMES.iter() {
            meanings.entry(name).or_default().insert(&m.analyte.id);
        }
        let ambiguous: Vec<&str> =
            meanings.iter().filter(|(_, ids)| ids.len() > 1).map(|(name, _)| *name).collect();
        assert_eq!(ambiguous, ["n", "nitrogen", "ph"], "names with two meanings");
    }

    fn check(text: &str, expected: &[(&str, &str, &str, &str)]) {
        let got: Vec<_> = find_analyte(text)
            .iter()
            .map(|m| {
                (
                    m.analyte.id.as_str(),
                    m.method.map_or("", |method| &method.id),
                    m.form.map_or("", |form| &form.formula),
                    m.unit.map_or("", |unit| unit.symbol),
                )
            })
            .collect();
        assert_eq!(got, expected, "{text:?}");
    }

    #[test]
    fn names_as_laboratories_print_them() {
        check("Potassium", &[("k", "", "", "")]);
        check("K", &[("k", "", "", "")]);
        check("Avail. K", &[("k", "", "", "")]);
        check("K2O", &[("k", "", "K2O", "")]);
        check("P\u{2082}O\u{2085}", &[("p", "", "P2O5", "")]);
        check("pH (1:5 Water)", &[("ph-water", "water-1-5", "", "")]);
        check("pH 1:5 CaCl\u{2082}", &[("ph-cacl2", "cacl2-1-5", "", "")]);
        check("pH (CaCl2)", &[("ph-cacl2", "", "", "")]);
        check("pH", &[("ph-water", "", "", ""), ("ph-cacl2", "", "", "")]);
        check("Soil pH 1:1", &[("ph-water", "water-1-1", "", "")]);
        check("Buffer pH (Sikora)", &[("buffer-ph", "buffer-sikora", "", "")]);
        check("Phosphorus (Colwell)", &[("p", "colwell", "", "")]);
        check("Phosphorus - Olsen, mg/kg", &[("p", "olsen", "", "mg/kg")]);
        check("Mehlich-3 P (ppm)", &[("p", "mehlich-3", "", "mg/kg")]);
        check("Exch. Ca (cmol(+)/kg)", &[("ca", "exchangeable", "", "cmol/kg")]);
        check("Exchangeable Aluminium", &[("al", "kcl-exchangeable", "", "")]);
        check("Ca++", &[("ca", "", "", "")]);
        check("Ca\u{b2}\u{207a}", &[("ca", "", "", "")]);
        check("Total N %", &[("total-n", "", "", "%")]);
        check("Total N (%)", &[("total-n", "", "", "%")]);
        check("Na %", &[("esp", "", "", "")]);
        check("% Na", &[("esp", "", "", "")]);
        check("Nitrogen", &[("total-n", "", "", ""), ("nitrate-n", "", "", "")]);
        check("NO3-N", &[("nitrate-n", "", "", "")]);
        check("Nitrate", &[("nitrate-n", "", "NO3", "")]);
        check("EC 1:5", &[("ec", "water-1-5", "", "")]);
        check("ECe", &[("ec", "saturated-paste", "", "")]);
        check("Sulphur (KCl-40)", &[("s", "kcl-40", "", "")]);
        check("Boron (hot CaCl2)", &[("b", "hot-cacl2", "", "")]);
        check("DTPA Zinc", &[("zn", "dtpa", "", "")]);
        check("Zinc (DTPA) mg/kg", &[("zn", "dtpa", "", "mg/kg")]);
        check("Organic Carbon (W&B)", &[("organic-carbon", "walkley-black", "", "")]);
        check("PBI", &[("pbi", "", "", "")]);
        check("C:N", &[("c-n-ratio", "", "", "")]);
        check("Ca:Mg", &[("ca-mg-ratio", "", "", "")]);
        check("Al+H", &[("exchange-acidity", "", "", "")]);
        check("Free lime", &[("carbonate", "", "", "")]);
    }

    #[test]
    fn what_is_not_known_is_not_guessed() {
        for text in
            ["", "  ", "Potasium", "Kalium", "Colwell", "mg/kg", "P index", "(", "%", "Zn Cu"]
        {
            check(text, &[]);
        }
        // Never measured so: the pair does not exist.
        check("Iron (Olsen)", &[]);
    }

    #[test]
    fn methods_by_the_ways_they_are_printed() {
        let ids = |text| find_method(text).iter().map(|m| m.id.as_str()).collect::<Vec<_>>();
        assert_eq!(ids("Mehlich III"), ["mehlich-3"], "roman");
        assert_eq!(ids("M3"), ["mehlich-3"], "short");
        assert_eq!(ids("Bray P1"), ["bray-1"], "with its element");
        assert_eq!(ids("CaCl2"), ["cacl2-1-5", "hot-cacl2"], "two methods, both given back");
        assert_eq!(ids("Mehlich"), [""; 0], "which one is not said");
    }
}
