//! What crosses to the shells: plain data, the same for the command line and the window.
//!
//! Ids and hashes are strings, dates are `year-month-day` strings, quantities carry their unit,
//! and there are no 64-bit integers.

mod amount;
pub mod working;

use swardbook_agronomy::analyte::Analyte;
use swardbook_units::{Dimension, Unit};

pub use amount::Amount;
pub use working::{QuantityDto, SourceDto, StepDto, WorkingDto, WorkingInputDto};

/// A civil day as it crosses the border: year-month-day.
pub(crate) fn day_text(day: swardbook_units::NaiveDate) -> String {
    day.format("%Y-%m-%d").to_string()
}

/// "1 entry", "3 entries".
pub(crate) fn counted<N>(count: N, one: &str, many: &str) -> String
where
    N: PartialEq + From<u8> + std::fmt::Display,
{
    format!("{count} {}", if count == N::from(1) { one } else { many })
}

/// Decimals worth showing of an analyte in a unit.
///
/// The analyte's own are for mass per mass; by charge the same soil gives a number some hundred times
/// smaller.
pub(crate) fn decimals(analyte: &Analyte, unit: &Unit) -> u32 {
    let decimals = u32::try_from(analyte.decimals).unwrap_or(2);
    if unit.dimension == Dimension::ChargePerMass { decimals.max(2) } else { decimals }
}
