//! "No change" as a claim of its own, and the verdict in one word.

use super::{Change, t_value};
use crate::{
    StatsError,
    distribution::{t_cdf, t_coverage_factor},
    error::{finite, not_negative, positive, share},
    interval::Interval,
    uncertainty::Uncertainty,
};

/// Two one-sided tests of a difference against a margin either way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Equivalence {
    /// The margin, on the scale of the difference.
    pub margin: f64,
    /// The error rate that the decision keeps.
    pub error_rate: f64,
    /// t against the lower margin; infinite without uncertainty.
    pub t_lower: f64,
    /// t against the upper margin; infinite without uncertainty.
    pub t_upper: f64,
    /// The larger of the two one-sided p.
    pub p: f64,
    /// The interval whose being inside the margins is the same decision (level 1 - 2 x error rate).
    pub interval: Interval,
    /// Whether the difference is shown to lie within the margin.
    pub within: bool,
}

/// Two one-sided tests that the true difference lies within -margin to +margin.
///
/// On the log scale a margin of ten percent is ln 1.1.
///
/// # Errors `Argument` for a margin not above zero, a negative u, or an error rate not between 0
///   and 0.5.
/// # Source Schuirmann DJ (1987) Journal of Pharmacokinetics and Biopharmaceutics 15:657-680.
pub fn equivalence(
    difference: f64,
    uncertainty: Uncertainty,
    margin: f64,
    error_rate: f64,
) -> Result<Equivalence, StatsError> {
    finite("difference", difference)?;
    not_negative("u", uncertainty.u)?;
    positive("margin", margin)?;
    share("error_rate", error_rate)?;
    if error_rate >= 0.5 {
        return crate::error::refuse("error_rate", "below 0.5", error_rate);
    }
    let t = |off: f64| t_value(off, uncertainty.u).unwrap_or(off.signum() * f64::INFINITY);
    let (t_lower, t_upper) = (t(difference + margin), t(difference - margin));
    let p_lower = t_cdf(-t_lower, uncertainty.df)?;
    let p_upper = t_cdf(t_upper, uncertainty.df)?;
    let p = p_lower.max(p_upper);
    let half = t_coverage_factor(1.0 - 2.0 * error_rate, uncertainty.df)? * uncertainty.u;
    Ok(Equivalence {
        margin,
        error_rate,
        t_lower,
        t_upper,
        p,
        interval: Interval::around(difference, half),
        within: p < error_rate,
    })
}

/// What a difference allows to be said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// The true difference is above zero.
    Rise,
    /// The true difference is below zero.
    Fall,
    /// No rise or fall shown, and none larger than the margin.
    SameWithinMargin,
    /// Neither a change nor its absence is shown.
    CannotTell,
}

/// A verdict with what it rests on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judgement {
    /// The verdict.
    pub verdict: Verdict,
    /// Whether the difference is shown to be no larger than the margin; a rise or fall can be.
    pub within_margin: bool,
    /// Whether the difference is shown to be larger than the margin.
    pub beyond_margin: bool,
    /// The two one-sided tests.
    pub equivalence: Equivalence,
}

/// The verdict on a change against the smallest difference that would matter.
///
/// Each claim keeps its own error rate of 1 - level: a rise or fall when there is none (two-sided),
/// or "same" when the true difference is at the margin or beyond.
///
/// # Errors `Argument` for a margin not above zero or a level not above one half.
pub fn judge(change: &Change, margin: f64) -> Result<Judgement, StatsError> {
    let test = equivalence(change.difference, change.uncertainty, margin, 1.0 - change.level)?;
    let verdict = if change.interval.low > 0.0 {
        Verdict::Rise
    } else if change.interval.high < 0.0 {
        Verdict::Fall
    } else if test.within {
        Verdict::SameWithinMargin
    } else {
        Verdict::CannotTell
    };
    let beyond_margin = change.interval.low > margin || change.interval.high < -margin;
    Ok(Judgement { verdict, within_margin: test.within, beyond_margin, equivalence: test })
}
