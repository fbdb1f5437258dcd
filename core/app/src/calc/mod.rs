//! The calculation catalogue: every calculation with its inputs, outputs and sources, runnable on
//! plain data.
//!
//! A calculation is one entry of [`catalogue`], made in a file of its own here; the arithmetic
//! itself lives in `swardbook-agronomy` and `swardbook-stats`.

mod amend;
mod budget;
mod change;
mod colour;
mod field;
mod given;
mod outcome;
mod soil;
mod spec;

pub use given::Given;
pub use outcome::{Answer, CalcOutcome, NamedValue, ResultValue};
pub use spec::{Calculation, CalculationInfo, InputKind, InputSpec, OutputSpec};

use crate::Problem;

/// Every calculation, in the order of the main job.
#[must_use]
pub fn catalogue() -> Vec<Calculation> {
    let mut all = vec![soil::CONVERT, soil::ACIDITY_SCALE, soil::CATIONS];
    all.extend(amend::ALL);
    all.push(budget::BUDGET);
    all.extend([colour::COLOUR, colour::COLOUR_DIFFERENCE]);
    all.extend([
        field::SAMPLING_WINDOW,
        field::CORE_COUNT,
        field::COMPOSITE_MASS,
        field::AREA,
        field::SALINITY,
    ]);
    all.extend([change::COMPARE, change::TRIAL]);
    all
}

/// Finds a calculation.
///
/// # Errors
/// [`Problem`] that lists the known ids.
pub fn find(id: &str) -> Result<Calculation, Problem> {
    let all = catalogue();
    let known = all.iter().map(|c| c.id).collect::<Vec<_>>().join(", ");
    all.into_iter().find(|c| c.id == id).ok_or_else(|| {
        Problem::not_found("id", format!("there is no calculation \"{id}\"; there are {known}"))
    })
}

/// Runs a calculation on a JSON object of inputs.
///
/// # Errors
/// [`Problem`] naming the input that is unknown, missing or impossible.
pub fn run(id: &str, inputs: &serde_json::Value) -> Result<CalcOutcome, Problem> {
    let calculation = find(id)?;
    let given = Given::read(&calculation, inputs)?;
    (calculation.run)(&given)?.with_working(|w| given.note_defaults(w)).finish(&calculation)
}
