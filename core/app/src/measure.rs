//! How amounts are shown: in the units they are kept in, or in US customary ones.
//!
//! This is the one place that decides it, for the window, the command line, the figures and the
//! core's own sentences.
//! What is kept and what is computed stays in the units of the records and of the published
//! equations, and what a laboratory printed stays as it was printed.

use serde::Serialize;
use swardbook_journal::records::{MeasureSystem, Settings};
use swardbook_units::{Dimension, Unit, parse_unit};
use ts_rs::TS;

use crate::{Notebook, Problem};

/// Kept unit, and what somebody who measures in US customary units reads and types in its place.
const US: [(&str, &str); 14] = [
    ("kg", "lb"),
    ("t", "US ton"),
    ("g", "oz"),
    ("mm", "in"),
    ("m", "ft"),
    ("m2", "ft2"),
    ("L", "US gal"),
    ("g/m2", "lb/1000 ft2"),
    ("kg/100 m2", "lb/1000 ft2"),
    ("kg/ha", "lb/acre"),
    ("t/ha", "US ton/acre"),
    ("L/m2", "US gal/1000 ft2"),
    ("t/m3", "lb/ft3"),
    ("\u{b0}C", "\u{b0}F"),
];

/// A unit of the records and the one it is shown in.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct ShownUnit {
    /// The unit of the records.
    pub unit: String,
    /// The unit a person reads and first types.
    pub shown: String,
    /// The number shown is the number kept times this, plus `offset`.
    pub factor: f64,
    /// Other than zero for temperatures only.
    pub offset: f64,
}

/// How this notebook's amounts are shown.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct ShownUnits {
    /// `metric` or `us`.
    pub measure: String,
    /// The units that are shown as another; all others are shown as they are kept.
    pub units: Vec<ShownUnit>,
    /// Every unit in which a length can be typed, for a screen that draws while it is typed.
    pub lengths: Vec<LengthUnit>,
}

/// A unit of length.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct LengthUnit {
    /// The unit.
    pub unit: String,
    /// Metres in one of it, exact by definition.
    pub metres: f64,
}

/// The way a person measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Measure {
    /// As the records are kept.
    #[default]
    Metric,
    /// US customary.
    UsCustomary,
}

impl Measure {
    /// The one that the settings choose.
    pub(crate) fn of(settings: &Settings) -> Self {
        match settings.measure {
            Some(MeasureSystem::UsCustomary) => Self::UsCustomary,
            _ => Self::Metric,
        }
    }

    /// The units that are shown as another.
    #[must_use]
    pub fn shown_units(self) -> ShownUnits {
        let (measure, units) = match self {
            Self::Metric => ("metric", Vec::new()),
            Self::UsCustomary => ("us", US.map(|(kept, shown)| shown_unit(kept, shown)).into()),
        };
        let lengths = swardbook_units::units()
            .iter()
            .filter(|unit| unit.dimension == Dimension::Length)
            .map(|unit| LengthUnit { unit: unit.symbol.to_owned(), metres: unit.factor })
            .collect();
        ShownUnits { measure: measure.to_owned(), units, lengths }
    }

    /// An amount as it is shown: the number and its unit.
    #[must_use]
    pub fn shown(self, value: f64, unit: &str) -> (f64, &str) {
        let Some(shown) = self.instead_of(unit) else { return (value, unit) };
        let one = shown_unit(unit, shown);
        (value * one.factor + one.offset, shown)
    }

    /// An amount in words, to so many significant digits: "3.72 kg", "8.2 lb".
    pub(crate) fn say(self, value: f64, unit: &str, digits: usize) -> String {
        let (value, unit) = self.shown(value, unit);
        format!("{} {unit}", significant(value, digits)).trim_end().to_owned()
    }

    /// A sentence of the core with its amounts as they are shown; "100 mm", "3.7 to 5 g/m2".
    ///
    /// It is for sentences that we write, never for what a person or a laboratory wrote.
    #[must_use]
    pub fn reword(self, sentence: &str) -> String {
        if self == Self::Metric {
            return sentence.to_owned();
        }
        let mut words: Vec<String> = sentence.split(' ').map(str::to_owned).collect();
        for at in 1..words.len() {
            let Some((unit, rest, length)) = self.unit_at(&words, at) else { continue };
            let Some(number) = number_at(&words[at - 1]) else { continue };
            let shown = self.instead_of(&unit).expect("only units with another are found");
            words[at - 1] = self.replaced(&words[at - 1], number, &unit);
            // "from 3.7 to 5 g/m2": the unit stands once, behind both.
            if at >= 3
                && matches!(words[at - 2].as_str(), "to" | "and" | "or")
                && let Some(low) = number_at(&words[at - 3])
            {
                words[at - 3] = self.replaced(&words[at - 3], low, &unit);
            }
            words[at] = format!("{shown}{rest}");
            if length == 2 {
                words[at + 1].clear();
            }
        }
        words.retain(|word| !word.is_empty());
        words.join(" ")
    }

    fn instead_of(self, unit: &str) -> Option<&'static str> {
        if self == Self::Metric {
            return None;
        }
        US.iter().find(|(kept, _)| *kept == unit).map(|(_, shown)| *shown)
    }

    /// The unit that begins at a word, what follows it there, and how many words it takes.
    fn unit_at(self, words: &[String], at: usize) -> Option<(String, String, usize)> {
        let split = |word: &str| {
            let bare = word.trim_end_matches(['.', ',', ';', ':', ')', '?', '!']);
            (bare.replace('\u{b2}', "2").replace('\u{b3}', "3"), word[bare.len()..].to_owned())
        };
        let (bare, rest) = split(&words[at]);
        if rest.is_empty()
            && let Some(next) = words.get(at + 1)
        {
            let (second, rest) = split(next);
            let both = format!("{bare} {second}");
            if self.instead_of(&both).is_some() {
                return Some((both, rest, 2));
            }
        }
        self.instead_of(&bare).is_some().then_some((bare, rest, 1))
    }

    fn replaced(self, word: &str, (start, number): (usize, f64), unit: &str) -> String {
        let (value, _) = self.shown(number, unit);
        format!("{}{}", &word[..start], significant(value, 3))
    }
}

/// A number at the end of a word and where it begins; "(3.7" has one, "0-100" and "KB-1" have none.
fn number_at(word: &str) -> Option<(usize, f64)> {
    let start = word.find(|c: char| c.is_ascii_digit() || matches!(c, '-' | '\u{2212}'))?;
    if !word[..start].chars().all(|c| matches!(c, '(' | '<' | '>' | '\u{2248}')) {
        return None;
    }
    let number = word[start..].replace('\u{2212}', "-").parse().ok()?;
    Some((start, number))
}

fn known(symbol: &str) -> &'static Unit {
    parse_unit(symbol).expect("the units shown are units we know")
}

fn shown_unit(kept: &str, shown: &str) -> ShownUnit {
    let (from, to) = (known(kept), known(shown));
    ShownUnit {
        unit: kept.to_owned(),
        shown: shown.to_owned(),
        factor: from.factor / to.factor,
        offset: (from.offset - to.offset) / to.factor,
    }
}

/// So many significant digits: digits before the point are never dropped, zeros right after it do not
/// count, and none stand at the end; very small and very large ones by powers of ten.
#[must_use]
pub fn significant(value: f64, digits: usize) -> String {
    // Zero has a sign in the machine and none on paper.
    if value == 0.0 {
        return "0".to_owned();
    }
    if !value.is_finite() {
        return value.to_string();
    }
    if !(1e-4..1e9).contains(&value.abs()) {
        return format!("{value:.*e}", digits - 1);
    }
    // Digits before the point are never dropped, zeros right after it do not count.
    let mut decimals = digits;
    let mut size = value.abs();
    while size >= 1.0 && decimals > 0 {
        size /= 10.0;
        decimals -= 1;
    }
    while size < 0.1 {
        size *= 10.0;
        decimals += 1;
    }
    let shown = format!("{value:.decimals$}");
    if shown.contains('.') {
        return shown.trim_end_matches('0').trim_end_matches('.').to_owned();
    }
    shown
}

impl Notebook {
    /// How this notebook's amounts are shown.
    ///
    /// # Errors
    /// [`Problem`] when the settings cannot be read.
    pub fn measure(&mut self) -> Result<Measure, Problem> {
        Ok(Measure::of(&self.settings_record()?))
    }

    /// The units that are shown as another.
    ///
    /// # Errors
    /// [`Problem`] when the settings cannot be read.
    pub fn shown_units(&mut self) -> Result<ShownUnits, Problem> {
        Ok(self.measure()?.shown_units())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Factors of NIST Special Publication 811 (2008), appendix B.8, to the digits printed there.
    #[test]
    fn factors_are_the_published_ones() {
        for (value, unit, shown, us) in [
            // Pound to kilogram 4.535 924 E-01.
            (0.453_592_4, "kg", 1.0, "lb"),
            // Ounce (avoirdupois) to gram 2.834 952 E+01.
            (28.349_52, "g", 1.0, "oz"),
            // Inch to millimetre 2.54 E+01.
            (25.4, "mm", 1.0, "in"),
            // Square foot to square metre 9.290 304 E-02.
            (0.092_903_04, "m2", 1.0, "ft2"),
            // Gallon (US) to litre 3.785 412.
            (3.785_412, "L", 1.0, "US gal"),
            // Pound per square foot to kilogram per square metre 4.882 428: a thousandth of it.
            (4.882_428, "g/m2", 1.0, "lb/1000 ft2"),
            // Pound per cubic foot to kilogram per cubic metre 1.601 846 E+01.
            (0.016_018_46, "t/m3", 1.0, "lb/ft3"),
            // t/degC = (t/degF - 32)/1.8.
            (20.0, "\u{b0}C", 68.0, "\u{b0}F"),
        ] {
            let (got, unit) = Measure::UsCustomary.shown(value, unit);
            assert_eq!(unit, us);
            // Half of the seventh digit, the last that is printed there.
            assert!((got / shown - 1.0).abs() < 5e-7, "{value} is {got} {unit}");
        }
        assert_eq!(Measure::Metric.shown(5.0, "kg"), (5.0, "kg"));
        assert_eq!(
            Measure::UsCustomary.shown(5.0, "mg/kg"),
            (5.0, "mg/kg"),
            "as laboratories print"
        );
    }

    /// The foot of 1959: 0.3048 m exactly (NIST SP 811, appendix B.6).
    #[test]
    fn every_length_that_can_be_typed_has_its_metres() {
        for measure in [Measure::Metric, Measure::UsCustomary] {
            let lengths = measure.shown_units().lengths;
            let metres = |unit: &str| {
                let found = lengths.iter().find(|one| one.unit == unit);
                found.unwrap_or_else(|| panic!("{unit} is offered and has no metres")).metres
            };
            for (unit, wanted) in
                [("m", 1.0), ("mm", 0.001), ("cm", 0.01), ("ft", 0.3048), ("in", 0.0254)]
            {
                assert!((metres(unit) - wanted).abs() < 1e-15, "{unit}: {}", metres(unit));
            }
        }
    }

    #[test]
    fn sentences_carry_the_shown_units() {
        let us = |text: &str| Measure::UsCustomary.reword(text);
        for (kept, shown) in [
            ("Put on 3.7 kg of sulfate of potash.", "Put on 8.16 lb of sulfate of potash."),
            ("both are of 0 to 100 mm", "both are of 0 to 3.94 in"),
            (
                "its need lies between 1.2 and 4.9 g/m2, and",
                "its need lies between 0.246 and 1 lb/1000 ft2, and",
            ),
            ("(10 kg/100 m2)", "(20.5 lb/1000 ft2)"),
            ("Clear to sample since 2026-09-14.", "Clear to sample since 2026-09-14."),
            ("risen by 55 mg/kg", "risen by 55 mg/kg"),
            ("sample KB-1 kg", "sample KB-1 kg"),
        ] {
            assert_eq!(us(kept), shown);
            assert_eq!(Measure::Metric.reword(kept), kept);
        }
    }

    #[test]
    fn amounts_are_said_to_their_digits() {
        assert_eq!(Measure::Metric.say(3.716, "kg", 3), "3.72 kg");
        assert_eq!(Measure::Metric.say(184.0, "m2", 4), "184 m2");
        assert_eq!(Measure::UsCustomary.say(184.0, "m2", 4), "1981 ft2");
        assert_eq!(Measure::Metric.say(0.0, "kg", 3), "0 kg");
    }
}
