//! A number as a person gives it: bare, with its unit behind it, or as a quantity.

use serde::{Deserialize, Deserializer, de::Error};
use swardbook_units::{DecimalMark, convert, parse_number, parse_unit};
use ts_rs::TS;

use crate::Problem;

/// A number in the person's own unit; without one it is in the documented unit.
#[derive(Debug, Clone, PartialEq, TS)]
#[ts(type = "number | string | { value: number, unit: string }")]
pub struct Amount {
    value: f64,
    unit: Option<String>,
}

impl Amount {
    /// A number with its unit.
    pub fn new(value: f64, unit: &str) -> Self {
        Self { value, unit: Some(unit.to_owned()) }
    }

    /// A number in the documented unit.
    #[must_use]
    pub const fn bare(value: f64) -> Self {
        Self { value, unit: None }
    }

    /// Reads `184`, `184 m2`, `0,5 ha`.
    ///
    /// # Errors
    /// The text itself, when it does not begin with a number.
    pub fn parse(text: &str) -> Result<Self, String> {
        let text = text.trim();
        let end = text
            .find(|c: char| {
                !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+' | '\u{2212}'))
            })
            .unwrap_or(text.len());
        let (number, unit) = text.split_at(end);
        let value = parse_number(number, DecimalMark::Either).map_err(|e| e.to_string())?;
        let unit = unit.trim();
        Ok(Self { value, unit: (!unit.is_empty()).then(|| unit.to_owned()) })
    }

    /// The number in the documented unit.
    ///
    /// # Errors
    /// [`Problem`] naming the field, when the unit is unknown or of another kind.
    pub fn in_unit(&self, field: &str, unit: &str) -> Result<f64, Problem> {
        let Some(from) = &self.unit else { return Ok(self.value) };
        let wrong = |e: swardbook_units::UnitError| Problem::bad(field, format!("{field}: {e}"));
        let to = parse_unit(unit).expect("documented units are known units");
        convert(self.value, parse_unit(from).map_err(wrong)?, to).map_err(wrong)
    }

    /// The number in the documented unit, above zero.
    ///
    /// # Errors
    /// [`Problem`] naming the field.
    pub fn positive(&self, field: &str, unit: &str) -> Result<f64, Problem> {
        let value = self.in_unit(field, unit)?;
        if value.is_finite() && value > 0.0 {
            return Ok(value);
        }
        Err(Problem::bad(field, format!("{field} is {value} {unit}; it must be above zero")))
    }

    /// The number in the documented unit, within a range.
    ///
    /// # Errors
    /// [`Problem`] naming the field.
    pub fn within(&self, field: &str, unit: &str, least: f64, most: f64) -> Result<f64, Problem> {
        let value = self.in_unit(field, unit)?;
        if (least..=most).contains(&value) {
            return Ok(value);
        }
        let message = format!("{field} is {value} {unit}; it must be from {least} to {most}");
        Err(Problem::bad(field, message))
    }
}

impl<'de> Deserialize<'de> for Amount {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        #[derive(Deserialize)]
        #[serde(untagged)]
        enum Written {
            Bare(f64),
            Text(String),
            Quantity { value: f64, unit: Option<String> },
        }
        match Written::deserialize(deserializer)? {
            Written::Bare(value) => Ok(Self { value, unit: None }),
            Written::Text(text) => Self::parse(&text).map_err(D::Error::custom),
            Written::Quantity { value, unit } => Ok(Self { value, unit }),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, unit: &str, expected: f64) {
        let got = Amount::parse(text).unwrap().in_unit("area", unit).unwrap();
        assert!((got - expected).abs() < 1e-9 * expected.abs(), "{text} is {got} {unit}");
    }

    #[test]
    fn amounts_come_in_the_persons_own_unit() {
        check("184", "m2", 184.0);
        check("184 m2", "m2", 184.0);
        check("0,25 ha", "m2", 2500.0);
        check("1 acre", "m2", 4_046.856_422_4);
        check("4 in", "mm", 101.6);
        let wrong = Amount::parse("5 kg").unwrap().in_unit("area", "m2").unwrap_err();
        assert_eq!(wrong.field.as_deref(), Some("area"), "the field is named");
        assert!(Amount::parse("wide").is_err(), "no number");
    }
}
