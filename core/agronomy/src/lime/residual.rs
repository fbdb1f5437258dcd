//! Lime put on before that has not yet worked.

use swardbook_units::{Dose, Worked, Working};

use super::LIME;
use crate::{
    AgronomyError,
    error::{not_negative, within},
    source,
};

/// How fast lime is taken to be used up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ResidualSoil {
    /// Mineral soil: 8 % a month.
    Mineral,
    /// Mineral-organic and organic soil: 16 % a month.
    Organic,
}

/// Lime of an earlier application that has not yet worked.
///
/// # Units  dose as pure calcium carbonate, months since it was put on.
/// # Errors `Argument` for a negative dose or for months outside 0 to 600.
/// # Source `north-carolina-lime-factors`: 8 % a month on mineral, 16 % on organic soil.
pub fn residual_credit(
    applied: Dose,
    months: f64,
    soil: ResidualSoil,
) -> Result<Worked<Dose>, AgronomyError> {
    let applied = not_negative(LIME, "applied", applied.value(), Dose::UNIT)?;
    let months = within(LIME, "months", months, "months", 0.0, 600.0)?;
    let rate = match soil {
        ResidualSoil::Mineral => 0.08,
        ResidualSoil::Organic => 0.16,
    };
    let left = applied * (1.0 - rate * months).max(0.0);
    let working = Working::new("still working = applied x (1 - rate x months), not below zero")
        .given("Lime put on", applied, Dose::UNIT)
        .given("Months since", months, "months")
        .step("still working", format!("{applied} x (1 - {rate} x {months})"), left, Dose::UNIT)
        .source(source("north-carolina-lime-factors"))
        .caution("Coarse lime and lime left on the surface work for longer than this.");
    Ok(Worked::new(Dose(left), working))
}
