//! Quantities, units, money, ids, civil dates and the shown working of a number.
//!
//! Everything here is plain data.
//! It does not own chemistry (molar masses, oxide factors: `swardbook-agronomy`), rounding for the
//! screen (the shells), or the clock (the use-case layer).

mod id;
mod money;
mod number;
mod quantity;
mod unit;
mod working;

pub use chrono::{Datelike, Days, Months, NaiveDate, NaiveTime};
pub use id::{Id, IdError};
pub use money::{Currency, Money, MoneyError};
pub use number::{DecimalMark, NumberError, parse_number};
pub use quantity::{
    Area, BulkDensity, Charge, Conductivity, Content, Depth, Dose, Mass, Percent, Ph, Volume,
};
pub use unit::{Dimension, Unit, UnitError, convert, parse_unit, units};
pub use working::{Confidence, Origin, Source, Step, Worked, Working, WorkingInput};

/// Reads a civil date written year first (`2026-09-14`), the only form that is never ambiguous.
///
/// # Errors
/// The text itself, when it is not such a date.
pub fn parse_date(text: &str) -> Result<NaiveDate, DateError> {
    NaiveDate::parse_from_str(text.trim(), "%Y-%m-%d").map_err(|_| DateError(text.to_owned()))
}

/// A text that is not a civil date.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\" is not a date; write year-month-day, such as 2026-09-14")]
pub struct DateError(pub String);
