//! What a calculation refuses, and the checks that refuse it.

/// A calculation that has no answer, naming the argument and what it must be.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum StatsError {
    /// A number outside what the calculation allows.
    #[error("{argument} must be {must_be}, not {got}")]
    Argument {
        /// The argument's name.
        argument: &'static str,
        /// What it must be.
        must_be: &'static str,
        /// What it was.
        got: f64,
    },
    /// Fewer values than the calculation needs.
    #[error("{argument} must hold at least {needed} values, not {got}")]
    TooFew {
        /// The argument's name.
        argument: &'static str,
        /// The least count.
        needed: usize,
        /// The count given.
        got: usize,
    },
    /// More values, or arrangements of them, than can be listed.
    #[error("{argument} must lead to at most {most} arrangements; draw them at random instead")]
    TooMany {
        /// The argument's name.
        argument: &'static str,
        /// The greatest count of arrangements.
        most: u64,
    },
    /// Two lists, or the rows of one table, that must be equally long.
    #[error("{argument} must hold {needed} values like its partner, not {got}")]
    Length {
        /// The argument's name.
        argument: &'static str,
        /// The count wanted.
        needed: usize,
        /// The count given.
        got: usize,
    },
    /// Values without any scatter where the calculation divides by it.
    #[error("{argument} must not all be the same: without scatter nothing can be compared")]
    NoScatter {
        /// The argument's name.
        argument: &'static str,
    },
    /// Columns of a linear model that say the same thing.
    #[error("{argument} must not repeat each other: column {column} follows from those before it")]
    Collinear {
        /// The argument's name.
        argument: &'static str,
        /// The first superfluous column, counted from zero.
        column: usize,
    },
}

pub(crate) fn refuse<T>(
    argument: &'static str,
    must_be: &'static str,
    got: f64,
) -> Result<T, StatsError> {
    Err(StatsError::Argument { argument, must_be, got })
}

pub(crate) fn finite(argument: &'static str, value: f64) -> Result<f64, StatsError> {
    if value.is_finite() { Ok(value) } else { refuse(argument, "a finite number", value) }
}

pub(crate) fn positive(argument: &'static str, value: f64) -> Result<f64, StatsError> {
    if value > 0.0 && value.is_finite() {
        Ok(value)
    } else {
        refuse(argument, "a finite number above zero", value)
    }
}

pub(crate) fn not_negative(argument: &'static str, value: f64) -> Result<f64, StatsError> {
    if value >= 0.0 && value.is_finite() {
        Ok(value)
    } else {
        refuse(argument, "a finite number, zero or above", value)
    }
}

/// A share strictly between nothing and all: a confidence level, a power, an error rate.
pub(crate) fn share(argument: &'static str, value: f64) -> Result<f64, StatsError> {
    if value > 0.0 && value < 1.0 {
        Ok(value)
    } else {
        refuse(argument, "between 0 and 1, neither included", value)
    }
}

/// Degrees of freedom; infinite where the scatter is known.
pub(crate) fn freedom(argument: &'static str, value: f64) -> Result<f64, StatsError> {
    if value > 0.0 {
        Ok(value)
    } else {
        refuse(argument, "above zero (infinite where the scatter is known)", value)
    }
}

pub(crate) fn values(
    argument: &'static str,
    values: &[f64],
    needed: usize,
) -> Result<(), StatsError> {
    if values.len() < needed {
        return Err(StatsError::TooFew { argument, needed, got: values.len() });
    }
    values.iter().try_for_each(|value| finite(argument, *value).map(|_| ()))
}

pub(crate) fn count(argument: &'static str, got: usize, needed: usize) -> Result<(), StatsError> {
    if got < needed { Err(StatsError::TooFew { argument, needed, got }) } else { Ok(()) }
}

pub(crate) fn length(argument: &'static str, got: usize, needed: usize) -> Result<(), StatsError> {
    if got == needed { Ok(()) } else { Err(StatsError::Length { argument, needed, got }) }
}
