//! Means of skewed values.

use crate::{
    StatsError,
    describe::{Summary, logs},
    distribution::t_coverage_factor,
    interval::{Interval, t_interval},
};

/// The two means of values that are even on the log scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LognormalMean {
    /// Geometric mean.
    pub geometric: f64,
    /// Its interval.
    pub geometric_interval: Interval,
    /// Arithmetic mean: exp(m + s^2 / 2).
    pub arithmetic: f64,
    /// Its interval.
    pub arithmetic_interval: Interval,
}

/// Geometric and arithmetic mean of lognormal values, each with its interval.
///
/// # Errors `TooFew` below two values, `Argument` for one not above zero or a bad level.
/// # Source Olsson U (2005) Journal of Statistics Education 13(1), modified Cox method:
///   exp(m + s^2 / 2 -+ t sqrt(s^2 / n + s^4 / (2 (n - 1)))).
pub fn lognormal_mean(values: &[f64], level: f64) -> Result<LognormalMean, StatsError> {
    let logs = Summary::of(&logs(values, 2)?)?;
    let df = logs.freedom();
    let geometric = t_interval(logs.mean, logs.standard_error(), df, level)?;
    let square = logs.deviation.powi(2);
    let centre = logs.mean + 0.5 * square;
    let u = (square / logs.n as f64 + square * square / (2.0 * df)).sqrt();
    let half = t_coverage_factor(level, df)? * u;
    Ok(LognormalMean {
        geometric: logs.mean.exp(),
        geometric_interval: geometric.through(f64::exp),
        arithmetic: centre.exp(),
        arithmetic_interval: Interval::around(centre, half).through(f64::exp),
    })
}
