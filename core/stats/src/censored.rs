//! What a reading, also one written "<" or ">", says about a limit.

use crate::{
    StatsError,
    bayes::Belief,
    change::{Estimate, probability_above},
    distribution::{normal_cdf, normal_density},
    error::positive,
    interval::Scale,
    uncertainty::Uncertainty,
};

/// A reading as it was reported.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reported {
    /// A number.
    Value(f64),
    /// "<": the laboratory read something below this.
    Below(f64),
    /// ">": the laboratory read something above this.
    Above(f64),
}

/// A probability known only to lie between two others; both are the same for a plain reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProbabilityRange {
    /// It is at least this.
    pub at_least: f64,
    /// It is at most this.
    pub at_most: f64,
}

/// Probability that the true value lies below `limit`.
///
/// `uncertainty` is on `scale`, and is that of a reading near the limit.
/// For "<" the reading could be anything below the number written, so the probability is at least
/// the one of a reading at that number; for ">" it is at most that.
/// So a "<" reading can show "below" for a limit above it, and never "above".
///
/// # Errors `Argument` for a reading or limit that has no place on the scale, a negative u, or a df
///   not above zero.
pub fn probability_below(
    reported: Reported,
    uncertainty: Uncertainty,
    limit: f64,
    scale: Scale,
) -> Result<ProbabilityRange, StatsError> {
    let limit = scale.forward(limit)?;
    let at = |reading: f64| {
        probability_above(scale.forward(reading)?, uncertainty, limit).map(|above| 1.0 - above)
    };
    Ok(match reported {
        Reported::Value(reading) => {
            let p = at(reading)?;
            ProbabilityRange { at_least: p, at_most: p }
        }
        Reported::Below(reading) => ProbabilityRange { at_least: at(reading)?, at_most: 1.0 },
        Reported::Above(reading) => ProbabilityRange { at_least: 0.0, at_most: at(reading)? },
    })
}

/// Probability that the true value lies below `limit`, given a belief held before the reading.
///
/// Belief, reading and limit are all on the scale where errors are even.
/// With the belief a "<" or ">" reading gives one number: the truth is weighted by how likely it
/// was to be reported so.
///
/// # Errors `Argument` for a number that is not finite or a u not above zero.
/// # Source Bayes' rule; for "<" the share of the joint normal of truth and reading below the limit.
pub fn probability_below_given(
    belief: &Belief,
    reported: Reported,
    u: f64,
    limit: f64,
) -> Result<f64, StatsError> {
    positive("u", u)?;
    crate::error::finite("limit", limit)?;
    let belief = Belief::new(belief.mean, belief.deviation)?;
    match reported {
        Reported::Value(reading) => Ok(1.0 - belief.updated(reading, u)?.probability_above(limit)),
        Reported::Below(reading) => {
            crate::error::finite("reading", reading)?;
            Ok(share_below(&belief, reading, u, limit))
        }
        // Seen from the other side ">" is "<".
        Reported::Above(reading) => {
            crate::error::finite("reading", reading)?;
            let mirrored = Belief { mean: -belief.mean, deviation: belief.deviation };
            Ok(1.0 - share_below(&mirrored, -reading, u, -limit))
        }
    }
}

/// P(truth < limit | reading < cut): the belief weighted by the chance of such a report.
fn share_below(belief: &Belief, cut: f64, u: f64, limit: f64) -> f64 {
    let spread = belief.deviation;
    let weight = |z: f64| normal_density(z) * normal_cdf((cut - belief.mean - spread * z) / u);
    // Ten deviations beyond the belief, and as far down as a report far below it drags the truth.
    let dragged = ((cut - belief.mean) * spread / (spread * spread + u * u)).min(0.0);
    let (low, high) = (dragged - 10.0, dragged + 10.0);
    let split = ((limit - belief.mean) / spread).clamp(low, high);
    let below = simpson(&weight, low, split, spread / u);
    let above = simpson(&weight, split, high, spread / u);
    let all = below + above;
    // A report that the belief holds to be impossible leaves only the reading's side of the limit.
    if all > 0.0 { (below / all).clamp(0.0, 1.0) } else { f64::from(cut <= limit) }
}

/// Composite Simpson with steps fine enough for the sharper of the two curves.
fn simpson(of: &impl Fn(f64) -> f64, low: f64, high: f64, steepness: f64) -> f64 {
    if high <= low {
        return 0.0;
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "bounded between four hundred and a hundred thousand"
    )]
    let steps = ((high - low) * 40.0 * steepness.max(1.0)).clamp(400.0, 100_000.0) as usize * 2;
    let step = (high - low) / steps as f64;
    let inner: f64 =
        (1..steps).map(|i| of(low + i as f64 * step) * if i % 2 == 1 { 4.0 } else { 2.0 }).sum();
    (of(low) + inner + of(high)) * step / 3.0
}

impl Reported {
    /// The estimate, unless the reading is censored: "<" and ">" never make an exact change.
    #[must_use]
    pub fn estimate(self, uncertainty: Uncertainty) -> Option<Estimate> {
        match self {
            Self::Value(value) => Some(Estimate { value, uncertainty }),
            Self::Below(_) | Self::Above(_) => None,
        }
    }
}
