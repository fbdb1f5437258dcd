//! Money as whole minor units, so that sums of prices are exact.

use std::fmt;

/// A currency as its ISO 4217 letters and the number of minor digits it is counted in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Currency {
    letters: [u8; 3],
    minor_digits: u8,
}

/// ISO 4217 currencies whose minor unit is not a hundredth.
const OTHER_MINOR_DIGITS: &[(&str, u8)] = &[
    ("BHD", 3),
    ("CLP", 0),
    ("ISK", 0),
    ("JOD", 3),
    ("JPY", 0),
    ("KRW", 0),
    ("KWD", 3),
    ("OMR", 3),
    ("PYG", 0),
    ("TND", 3),
    ("UGX", 0),
    ("VND", 0),
];

impl Currency {
    /// Reads three capital letters, such as `AUD`.
    ///
    /// # Errors
    /// [`MoneyError::Currency`] when the text is not three ASCII letters.
    pub fn parse(text: &str) -> Result<Self, MoneyError> {
        let upper = text.trim().to_ascii_uppercase();
        let letters: [u8; 3] =
            upper.as_bytes().try_into().map_err(|_| MoneyError::Currency(text.to_owned()))?;
        if !letters.iter().all(u8::is_ascii_uppercase) {
            return Err(MoneyError::Currency(text.to_owned()));
        }
        let minor_digits = OTHER_MINOR_DIGITS
            .iter()
            .find(|(name, _)| *name == upper)
            .map_or(2, |(_, digits)| *digits);
        Ok(Self { letters, minor_digits })
    }

    /// The three letters.
    #[must_use]
    pub fn letters(&self) -> &str {
        std::str::from_utf8(&self.letters).expect("checked to be ASCII letters when made")
    }

    /// Digits behind the decimal mark.
    #[must_use]
    pub const fn minor_digits(&self) -> u8 {
        self.minor_digits
    }
}

/// An amount of money.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Money {
    /// Whole minor units, such as cents.
    pub minor: i64,
    /// What is counted.
    pub currency: Currency,
}

impl Money {
    /// Rounds an amount in major units (dollars) to the nearest minor unit.
    ///
    /// # Errors
    /// [`MoneyError::Amount`] when the amount is not finite or too large to be counted.
    pub fn from_major(amount: f64, currency: Currency) -> Result<Self, MoneyError> {
        let minor = (amount * 10_f64.powi(i32::from(currency.minor_digits))).round();
        // Above 2^53 a double no longer counts single cents.
        if !minor.is_finite() || minor.abs() > 9e15 {
            return Err(MoneyError::Amount(amount));
        }
        #[expect(clippy::cast_possible_truncation, reason = "bounded by the check above")]
        let minor = minor as i64;
        Ok(Self { minor, currency })
    }

    /// The amount in major units.
    #[must_use]
    pub fn major(&self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "amounts are bounded to 9e15 when made")]
        let minor = self.minor as f64;
        minor / 10_f64.powi(i32::from(self.currency.minor_digits))
    }

    /// This price for a whole number of packs.
    ///
    /// # Errors
    /// [`MoneyError::Amount`] when the product cannot be counted.
    pub fn times(&self, packs: u32) -> Result<Self, MoneyError> {
        let minor = self
            .minor
            .checked_mul(i64::from(packs))
            .ok_or_else(|| MoneyError::Amount(self.major() * f64::from(packs)))?;
        Ok(Self { minor, currency: self.currency })
    }
}

impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let digits = usize::from(self.currency.minor_digits);
        write!(f, "{} {:.*}", self.currency.letters(), digits, self.major())
    }
}

/// Why an amount of money could not be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MoneyError {
    /// Not a currency's letters.
    #[error("\"{0}\" is not a currency; write its three letters, such as AUD")]
    Currency(String),
    /// Not an amount that can be counted.
    #[error("{0} is not an amount of money that can be counted")]
    Amount(f64),
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn packs_are_priced_to_the_cent() {
        let aud = Currency::parse("aud").unwrap();
        let pack = Money::from_major(42.35, aud).unwrap();
        assert_eq!(pack.times(3).unwrap().to_string(), "AUD 127.05", "three packs");
    }

    #[test]
    fn a_currency_without_minor_unit_has_no_decimals() {
        let yen = Currency::parse("JPY").unwrap();
        assert_eq!(Money::from_major(980.4, yen).unwrap().to_string(), "JPY 980", "ISO 4217");
        assert!(Currency::parse("$").is_err(), "a sign is not enough: many countries share it");
    }
}
