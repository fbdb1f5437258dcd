//! Why a calculation has no answer, naming the argument that stands in the way.

use swardbook_stats::StatsError;

use crate::{elements::FormulaError, reading::ReadingError};

/// Why a calculation has no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum AgronomyError {
    /// A number that the calculation cannot take.
    #[error("{operation}: {argument} is {value} {unit}; it must be {allowed}")]
    Argument {
        /// The calculation, in words.
        operation: &'static str,
        /// The argument's name.
        argument: &'static str,
        /// The number as given.
        value: f64,
        /// Its unit's symbol.
        unit: &'static str,
        /// What would be taken.
        allowed: String,
    },
    /// Something the calculation needs was not given.
    #[error("{operation}: {argument} is missing; {remedy}")]
    Missing {
        /// The calculation, in words.
        operation: &'static str,
        /// The argument's name.
        argument: &'static str,
        /// What to do about it.
        remedy: &'static str,
    },
    /// The method does not hold for what was given.
    #[error("{operation}: {argument}: {why}")]
    Refused {
        /// The calculation, in words.
        operation: &'static str,
        /// The argument's name.
        argument: &'static str,
        /// Why, and what would do instead.
        why: String,
    },
    /// A chemical formula that could not be read.
    #[error(transparent)]
    Formula(#[from] FormulaError),
    /// A reading that could not be converted.
    #[error(transparent)]
    Reading(#[from] ReadingError),
}

impl AgronomyError {
    /// The argument that stands in the way, for a shell that marks its field.
    #[must_use]
    pub const fn argument(&self) -> &'static str {
        match self {
            Self::Argument { argument, .. }
            | Self::Missing { argument, .. }
            | Self::Refused { argument, .. } => argument,
            Self::Formula(_) => "formula",
            Self::Reading(error) => error.argument(),
        }
    }
}

/// The number, when it is finite and from `low` to `high`.
pub(crate) fn within(
    operation: &'static str,
    argument: &'static str,
    value: f64,
    unit: &'static str,
    low: f64,
    high: f64,
) -> Result<f64, AgronomyError> {
    if value.is_finite() && (low..=high).contains(&value) {
        return Ok(value);
    }
    let allowed = format!("from {low} to {high}");
    Err(AgronomyError::Argument { operation, argument, value, unit, allowed })
}

/// The number, when it is finite and above zero.
pub(crate) fn positive(
    operation: &'static str,
    argument: &'static str,
    value: f64,
    unit: &'static str,
) -> Result<f64, AgronomyError> {
    if value.is_finite() && value > 0.0 {
        return Ok(value);
    }
    let allowed = "above zero".to_owned();
    Err(AgronomyError::Argument { operation, argument, value, unit, allowed })
}

/// The number, when it is finite and not below zero.
pub(crate) fn not_negative(
    operation: &'static str,
    argument: &'static str,
    value: f64,
    unit: &'static str,
) -> Result<f64, AgronomyError> {
    if value.is_finite() && value >= 0.0 {
        return Ok(value);
    }
    let allowed = "zero or more".to_owned();
    Err(AgronomyError::Argument { operation, argument, value, unit, allowed })
}

/// Gives a refusal of the statistics the calculation it was asked for.
pub(crate) fn refused_by_statistics(
    operation: &'static str,
) -> impl Fn(StatsError) -> AgronomyError {
    move |error| {
        let argument = match &error {
            StatsError::Argument { argument, .. }
            | StatsError::TooFew { argument, .. }
            | StatsError::TooMany { argument, .. }
            | StatsError::Length { argument, .. }
            | StatsError::NoScatter { argument }
            | StatsError::Collinear { argument, .. } => argument,
        };
        AgronomyError::Refused { operation, argument, why: error.to_string() }
    }
}
