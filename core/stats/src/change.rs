//! Is the difference of two results real, and how large is it.
//!
//! It does not own comparability (zone, depth, method, withholding) nor regression to the mean.

mod equivalence;
mod reference;

pub use equivalence::{Equivalence, Judgement, Verdict, equivalence, judge};
pub use reference::{
    ReferenceChange, reference_change, repeatability_limit, smallest_detectable_change,
};

use crate::{
    StatsError,
    distribution::{t_cdf, t_coverage_factor, t_two_sided_p},
    error::{finite, not_negative, share},
    interval::{Interval, Scale},
    uncertainty::{Uncertainty, combine},
};

/// A result and its uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The result in its own unit.
    pub value: f64,
    /// Its uncertainty on the scale where errors are even.
    pub uncertainty: Uncertainty,
}

/// The difference of two results, later minus earlier.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// The scale on which it was taken.
    pub scale: Scale,
    /// The difference on that scale.
    pub difference: f64,
    /// Its uncertainty on that scale.
    pub uncertainty: Uncertainty,
    /// The confidence level of the interval.
    pub level: f64,
    /// Where the true difference lies, on the scale.
    pub interval: Interval,
    /// Probability of a true rise, given these two results and nothing else.
    pub probability_of_rise: f64,
    /// Probability of a true fall: what is left.
    pub probability_of_fall: f64,
    /// Two-sided p of no change.
    pub p: f64,
    /// Smallest observed difference that counts as real at this level, on the scale.
    pub least_significant: f64,
}

impl Change {
    /// Later over earlier, with its interval, where the scale is the log.
    #[must_use]
    pub fn ratio(&self) -> Option<(f64, Interval)> {
        (self.scale == Scale::Log).then(|| (self.difference.exp(), self.interval.through(f64::exp)))
    }

    /// Smallest fall and rise, as ratios less one, that count as real, where the scale is the log.
    #[must_use]
    pub fn least_significant_ratios(&self) -> Option<Interval> {
        (self.scale == Scale::Log).then(|| Interval {
            low: (-self.least_significant).exp_m1(),
            high: self.least_significant.exp_m1(),
        })
    }
}

/// The change between two independent results.
///
/// A part of the error that both results share (a laboratory's constant offset) cancels and must
/// not be in either uncertainty.
/// Where both uncertainties rest on one estimate of scatter with few degrees of freedom, use
/// [`crate::uncertainty::comparison`] with [`change_from_difference`].
/// The probabilities come from a t around the difference: what Bayes' rule gives when nothing was
/// known before.
///
/// # Errors `Argument` for a value that has no place on the scale, a negative u, a df not above
///   zero, or a level not between 0 and 1.
/// # Source JCGM 100:2008 (GUM), 5.1.2 and G.4 for the uncertainty of a difference.
pub fn change(
    before: &Estimate,
    after: &Estimate,
    scale: Scale,
    level: f64,
) -> Result<Change, StatsError> {
    let difference = scale.forward(after.value)? - scale.forward(before.value)?;
    let uncertainty = combine(&[before.uncertainty, after.uncertainty])?;
    change_from_difference(difference, uncertainty, scale, level)
}

/// The same from a difference that was already taken on `scale` (a trial effect, paired plots).
///
/// # Errors as [`change`].
pub fn change_from_difference(
    difference: f64,
    uncertainty: Uncertainty,
    scale: Scale,
    level: f64,
) -> Result<Change, StatsError> {
    finite("difference", difference)?;
    not_negative("u", uncertainty.u)?;
    share("level", level)?;
    let least_significant = t_coverage_factor(level, uncertainty.df)? * uncertainty.u;
    let probability_of_rise = probability_above(difference, uncertainty, 0.0)?;
    let p = match t_value(difference, uncertainty.u) {
        Some(t) => t_two_sided_p(t, uncertainty.df)?,
        None => f64::from(difference.abs() <= 0.0),
    };
    Ok(Change {
        scale,
        difference,
        uncertainty,
        level,
        interval: Interval::around(difference, least_significant),
        probability_of_rise,
        probability_of_fall: 1.0 - probability_of_rise,
        p,
        least_significant,
    })
}

/// Probability that the true value lies above a limit, given an estimate and nothing else.
///
/// # Errors `Argument` for a value that is not finite, a negative u or a df not above zero.
pub fn probability_above(
    estimate: f64,
    uncertainty: Uncertainty,
    limit: f64,
) -> Result<f64, StatsError> {
    let off = finite("estimate", estimate)? - finite("limit", limit)?;
    not_negative("u", uncertainty.u)?;
    match t_value(off, uncertainty.u) {
        Some(t) => t_cdf(t, uncertainty.df),
        // Without uncertainty a value at the limit is neither above nor below it.
        None if off.abs() <= 0.0 => Ok(0.5),
        None => Ok(f64::from(off > 0.0)),
    }
}

fn t_value(difference: f64, u: f64) -> Option<f64> {
    (u > 0.0).then(|| difference / u)
}
