//! Atomic weights, and the oxide, element and charge factors computed from them.
//!
//! No factor is typed in: printed factor tables disagree with their own atomic weights.

use std::collections::BTreeMap;

/// An element and its standard atomic weight, g/mol.
///
/// # Source `atomic-weights`; silicon is the conventional IUPAC value, 28.0855.
const ATOMIC_WEIGHTS: &[(&str, f64)] = &[
    ("H", 1.00794),
    ("B", 10.811),
    ("C", 12.0107),
    ("N", 14.0067),
    ("O", 15.9994),
    ("Na", 22.989_77),
    ("Mg", 24.3050),
    ("Al", 26.981_54),
    ("Si", 28.0855),
    ("P", 30.973_76),
    ("S", 32.065),
    ("Cl", 35.453),
    ("K", 39.0983),
    ("Ca", 40.078),
    ("Mn", 54.938_05),
    ("Fe", 55.845),
    ("Cu", 63.546),
    ("Zn", 65.38),
    ("Mo", 95.96),
];

/// Why a chemical formula could not be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FormulaError {
    /// No element stands at this place of the formula.
    #[error("\"{formula}\" cannot be read as a formula at \"{at}\"; write it as in CaSO4.2H2O")]
    NotAFormula {
        /// The formula as given.
        formula: String,
        /// The rest, from the first sign that does not fit.
        at: String,
    },
    /// An element that the table of atomic weights does not hold.
    #[error("\"{formula}\" holds {symbol}, which is not in the table of atomic weights")]
    UnknownElement {
        /// The formula as given.
        formula: String,
        /// The element's symbol.
        symbol: String,
    },
}

/// What a formula unit is made of.
#[derive(Debug, Clone, PartialEq)]
pub struct Composition {
    counts: BTreeMap<&'static str, f64>,
}

impl Composition {
    /// Mass of one mole.
    ///
    /// # Units g/mol.
    #[must_use]
    pub fn molar_mass(&self) -> f64 {
        self.counts.iter().map(|(symbol, count)| count * weight_in_table(symbol)).sum()
    }

    /// Atoms of an element in one formula unit; zero when it holds none.
    #[must_use]
    pub fn atoms(&self, symbol: &str) -> f64 {
        self.counts.get(symbol).copied().unwrap_or(0.0)
    }

    /// Share of the mass that is this element, from 0 to 1.
    #[must_use]
    pub fn mass_fraction(&self, symbol: &str) -> f64 {
        atomic_weight(symbol).map_or(0.0, |weight| self.atoms(symbol) * weight / self.molar_mass())
    }

    /// The elements and how many atoms of each, by symbol.
    pub fn elements(&self) -> impl Iterator<Item = (&'static str, f64)> + '_ {
        self.counts.iter().map(|(symbol, count)| (*symbol, *count))
    }
}

/// Standard atomic weight of an element by its symbol.
///
/// # Units g/mol.
/// # Source `atomic-weights`.
#[must_use]
pub fn atomic_weight(symbol: &str) -> Option<f64> {
    ATOMIC_WEIGHTS.iter().find(|(known, _)| *known == symbol).map(|(_, weight)| *weight)
}

fn weight_in_table(symbol: &str) -> f64 {
    atomic_weight(symbol).expect("a composition holds only elements found in the table")
}

/// Reads a formula: symbols, counts, brackets, and parts joined by a point (`K2SO4.2MgSO4`).
///
/// # Errors [`FormulaError`] with the place that does not fit.
pub fn parse_formula(formula: &str) -> Result<Composition, FormulaError> {
    let trimmed = formula.trim();
    let mut counts = BTreeMap::new();
    // A middle dot, a bullet and a point all join parts in print.
    for part in trimmed.split(['.', '\u{b7}', '\u{2022}', '*']) {
        let part = part.trim();
        let digits = part.bytes().take_while(u8::is_ascii_digit).count();
        let times = if digits == 0 { 1.0 } else { count_of(&part[..digits], trimmed)? };
        let mut reader = Reader { formula: trimmed, rest: &part[digits..] };
        reader.group(times, &mut counts)?;
        if !reader.rest.is_empty() {
            return Err(reader.wrong());
        }
    }
    Ok(Composition { counts })
}

/// Mass of one mole of a formula.
///
/// # Units  g/mol.
/// # Errors [`FormulaError`].
/// # Source `atomic-weights`.
pub fn molar_mass(formula: &str) -> Result<f64, FormulaError> {
    parse_formula(formula).map(|composition| composition.molar_mass())
}

/// Mass of an element in one unit of mass of a compound: the oxide to element factor.
///
/// # Errors [`FormulaError`].
/// # Source `atomic-weights`.
pub fn element_in(formula: &str, symbol: &str) -> Result<f64, FormulaError> {
    let composition = parse_formula(formula)?;
    if atomic_weight(symbol).is_none() {
        return Err(FormulaError::UnknownElement {
            formula: formula.to_owned(),
            symbol: symbol.to_owned(),
        });
    }
    Ok(composition.mass_fraction(symbol))
}

/// Mass of an ion that carries one hundredth of a mole of charge in a kilogram of soil.
///
/// # Units  mg/kg for each cmol/kg.
/// # Shape  `charge` is the number of charges of one ion, 1 or more.
/// # Errors [`FormulaError`].
/// # Source `atomic-weights`.
pub fn mg_per_cmol(ion: &str, charge: u8) -> Result<f64, FormulaError> {
    Ok(molar_mass(ion)? * 10.0 / f64::from(charge.max(1)))
}

struct Reader<'a> {
    formula: &'a str,
    rest: &'a str,
}

impl Reader<'_> {
    /// Symbols and bracketed groups, each with its count, until the end or a closing bracket.
    fn group(
        &mut self,
        times: f64,
        counts: &mut BTreeMap<&'static str, f64>,
    ) -> Result<(), FormulaError> {
        let start = self.rest;
        while let Some(first) = self.rest.chars().next() {
            match first {
                '(' => {
                    self.rest = &self.rest[1..];
                    let mut inner = BTreeMap::new();
                    self.group(1.0, &mut inner)?;
                    self.rest = self.rest.strip_prefix(')').ok_or_else(|| self.wrong())?;
                    let count = self.count()?;
                    for (symbol, atoms) in inner {
                        *counts.entry(symbol).or_insert(0.0) += times * count * atoms;
                    }
                }
                'A'..='Z' => {
                    let symbol = self.symbol()?;
                    let count = self.count()?;
                    *counts.entry(symbol).or_insert(0.0) += times * count;
                }
                _ => break,
            }
        }
        if self.rest.len() == start.len() { Err(self.wrong()) } else { Ok(()) }
    }

    fn symbol(&mut self) -> Result<&'static str, FormulaError> {
        let small = self.rest[1..].bytes().take_while(u8::is_ascii_lowercase).count();
        let (text, rest) = self.rest.split_at(1 + small);
        let known = ATOMIC_WEIGHTS.iter().find(|(symbol, _)| *symbol == text);
        let (symbol, _) = known.ok_or_else(|| FormulaError::UnknownElement {
            formula: self.formula.to_owned(),
            symbol: text.to_owned(),
        })?;
        self.rest = rest;
        Ok(symbol)
    }

    fn count(&mut self) -> Result<f64, FormulaError> {
        let digits = self.rest.bytes().take_while(u8::is_ascii_digit).count();
        if digits == 0 {
            return Ok(1.0);
        }
        let (text, rest) = self.rest.split_at(digits);
        self.rest = rest;
        count_of(text, self.formula)
    }

    fn wrong(&self) -> FormulaError {
        FormulaError::NotAFormula { formula: self.formula.to_owned(), at: self.rest.to_owned() }
    }
}

fn count_of(digits: &str, formula: &str) -> Result<f64, FormulaError> {
    match digits.parse::<u32>() {
        Ok(count) if count > 0 => Ok(f64::from(count)),
        _ => Err(FormulaError::NotAFormula { formula: formula.to_owned(), at: digits.to_owned() }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check_mass(formula: &str, expected: f64) {
        let got = molar_mass(formula).unwrap();
        assert!((got - expected).abs() < 0.01, "{formula} weighs {got} g/mol, not {expected}");
    }

    #[test]
    fn molar_masses_of_common_compounds() {
        // The general-purpose library molmass 2026.1.8 (PyPI), which has its own atomic weights.
        check_mass("CaCO3", 100.086_955);
        check_mass("CaSO4.2H2O", 172.170_994);
        check_mass("K2SO4.2MgSO4", 414.994_060);
        check_mass("Ca(H2PO4)2.H2O", 252.067_815);
        check_mass("Na2B4O7\u{b7}10H2O", 381.372_244);
        check_mass("Na2B8O13.4H2O", 412.520_952);
        check_mass("MgSO4.7H2O", 246.474_529);
        check_mass("CaMg(CO3)2", 184.401_010);
        check_mass("(NH4)2SO4", 132.139_354);
        check_mass("CaSiO3", 116.161_715);
        check_mass("P2O5", 141.944_549);
        check_mass("SO3", 80.063_015);
    }

    #[test]
    fn factors_follow_from_the_atomic_weights() {
        // The rows computed in the published handbook's own weights (`atomic-weights`).
        for (oxide, element, expected) in [
            ("P2O5", "P", 0.43642),
            ("K2O", "K", 0.83015),
            ("CaO", "Ca", 0.71469),
            ("MgO", "Mg", 0.60304),
            ("SO3", "S", 0.40050),
        ] {
            let got = element_in(oxide, element).unwrap();
            assert!((got - expected).abs() < 6e-6, "{oxide} holds {got} {element}");
        }
        for (ion, charge, expected) in [
            ("Ca", 2, 200.39),
            ("Mg", 2, 121.53),
            ("K", 1, 390.98),
            ("Na", 1, 229.90),
            ("Al", 3, 89.94),
            ("H", 1, 10.08),
            ("Cl", 1, 354.5),
        ] {
            let got = mg_per_cmol(ion, charge).unwrap();
            assert!((got - expected).abs() < 0.04, "{ion} has {got} mg/kg a cmol/kg");
        }
    }

    #[test]
    fn what_is_no_formula_is_refused_with_its_place() {
        for (text, at) in
            [("", ""), ("Ca(OH2", ""), ("2", ""), ("K2O)", ")"), ("ca", "ca"), ("H0", "0")]
        {
            let error = parse_formula(text).unwrap_err();
            assert_eq!(
                error,
                FormulaError::NotAFormula { formula: text.into(), at: at.into() },
                "{text:?}"
            );
        }
        assert!(
            matches!(parse_formula("XeF2"), Err(FormulaError::UnknownElement { symbol, .. }) if symbol == "Xe"),
            "an element outside the table is named"
        );
        assert!(parse_formula("\u{3b1}").is_err(), "a letter outside ASCII does not panic");
        assert!(parse_formula("K\u{e9}").is_err(), "nor after a symbol");
    }
}
