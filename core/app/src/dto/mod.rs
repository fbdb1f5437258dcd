//! What crosses to the shells: plain data, the same for the command line and the window.
//!
//! Ids and hashes are strings, dates are `year-month-day` strings, quantities carry their unit,
//! and there are no 64-bit integers.

mod amount;
pub mod working;

pub use amount::Amount;
pub use working::{QuantityDto, SourceDto, StepDto, WorkingDto, WorkingInputDto};

/// A civil day as it crosses the border: year-month-day.
pub(crate) fn day_text(day: swardbook_units::NaiveDate) -> String {
    day.format("%Y-%m-%d").to_string()
}
