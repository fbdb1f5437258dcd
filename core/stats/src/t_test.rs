//! Student's and Welch's t tests.

use crate::{
    StatsError,
    change::change_from_difference,
    describe::Summary,
    error::{finite, length},
    interval::{Interval, Scale},
    uncertainty::Uncertainty,
};

/// A t test and the estimate that it is about.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TTest {
    /// The estimated difference.
    pub difference: f64,
    /// Its standard error and degrees of freedom.
    pub uncertainty: Uncertainty,
    /// Difference over standard error.
    pub t: f64,
    /// Two-sided p.
    pub p: f64,
    /// Interval of the true difference.
    pub interval: Interval,
}

/// Tests an estimate with its standard error.
///
/// # Errors `NoScatter` when the standard error is zero; `Argument` for a bad df or level.
pub fn t_test(difference: f64, uncertainty: Uncertainty, level: f64) -> Result<TTest, StatsError> {
    finite("difference", difference)?;
    if uncertainty.u <= 0.0 {
        return Err(StatsError::NoScatter { argument: "values" });
    }
    let change = change_from_difference(difference, uncertainty, Scale::Linear, level)?;
    Ok(TTest {
        difference,
        uncertainty,
        t: difference / uncertainty.u,
        p: change.p,
        interval: change.interval,
    })
}

/// Tests whether differences have a true mean of zero.
///
/// # Errors `TooFew` below two, `NoScatter` when all are the same, `Argument` for a bad value or level.
/// # Source Student (1908) Biometrika 6:1-25.
pub fn one_sample(differences: &[f64], level: f64) -> Result<TTest, StatsError> {
    let summary = Summary::of(differences)?;
    let uncertainty = Uncertainty { u: summary.standard_error(), df: summary.freedom() };
    t_test(summary.mean, uncertainty, level)
}

/// Tests the change of units that were each measured before and after: mean of after - before.
///
/// # Errors `Length` when the lists differ in length; otherwise as [`one_sample`].
/// # Source Student (1908) Biometrika 6:1-25.
pub fn paired(before: &[f64], after: &[f64], level: f64) -> Result<TTest, StatsError> {
    one_sample(&differences(before, after)?, level)
}

/// Tests the difference of two independent groups, second minus first, each with its own scatter.
///
/// # Errors `TooFew` for a group below two, `NoScatter` when neither scatters, `Argument` for a bad
///   value or level.
/// # Source Welch BL (1947) Biometrika 34:28-35; degrees of freedom
///   (v1 + v2)^2 / (v1^2 / (n1 - 1) + v2^2 / (n2 - 1)) with v = s^2 / n.
pub fn welch(first: &[f64], second: &[f64], level: f64) -> Result<TTest, StatsError> {
    welch_of(&Summary::of(first)?, &Summary::of(second)?, level)
}

/// The same from printed summaries.
///
/// # Errors as [`welch`].
pub fn welch_of(first: &Summary, second: &Summary, level: f64) -> Result<TTest, StatsError> {
    let part = |one: &Summary| Uncertainty { u: one.standard_error(), df: one.freedom() };
    let uncertainty = crate::uncertainty::combine(&[part(first), part(second)])?;
    t_test(second.mean - first.mean, uncertainty, level)
}

/// Tests the difference of two independent groups, second minus first, that share one scatter.
///
/// # Errors as [`welch`].
/// # Source Student (1908) as extended by Fisher RA (1925) Metron 5:90-104.
pub fn pooled(first: &[f64], second: &[f64], level: f64) -> Result<TTest, StatsError> {
    pooled_of(&Summary::of(first)?, &Summary::of(second)?, level)
}

/// The same from printed summaries.
///
/// # Errors as [`welch`].
pub fn pooled_of(first: &Summary, second: &Summary, level: f64) -> Result<TTest, StatsError> {
    let df = first.freedom() + second.freedom();
    let squares = |one: &Summary| one.freedom() * one.deviation.powi(2);
    let variance = (squares(first) + squares(second)) / df;
    let u = (variance * (1.0 / first.n as f64 + 1.0 / second.n as f64)).sqrt();
    t_test(second.mean - first.mean, Uncertainty { u, df }, level)
}

/// after - before of each unit.
pub(crate) fn differences(before: &[f64], after: &[f64]) -> Result<Vec<f64>, StatsError> {
    length("after", after.len(), before.len())?;
    Ok(before.iter().zip(after).map(|(before, after)| after - before).collect())
}
