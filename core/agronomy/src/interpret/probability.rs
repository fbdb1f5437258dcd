//! The probability that a true value lies below a limit.

use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

use super::{CompositeSpread, on_scale};
use crate::{analyte::Scale, reading::Qualifier};

/// A probability, or only a bound of one where the reading itself is only a bound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Chance {
    /// The probability.
    Is(f64),
    /// At least this.
    AtLeast(f64),
    /// At most this.
    AtMost(f64),
}

impl Chance {
    /// The number itself.
    #[must_use]
    pub const fn number(self) -> f64 {
        match self {
            Self::Is(p) | Self::AtLeast(p) | Self::AtMost(p) => p,
        }
    }

    /// The words before the number; empty where it is the probability itself.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Is(_) => "",
            Self::AtLeast(_) => "at least",
            Self::AtMost(_) => "at most",
        }
    }

    /// Whether it is known to reach a threshold.
    #[must_use]
    pub fn is_at_least(self, threshold: f64) -> bool {
        match self {
            Self::Is(p) | Self::AtLeast(p) => p >= threshold,
            Self::AtMost(_) => false,
        }
    }

    /// The probability of the opposite.
    #[must_use]
    pub fn complement(self) -> Self {
        match self {
            Self::Is(p) => Self::Is(1.0 - p),
            Self::AtLeast(p) => Self::AtMost(1.0 - p),
            Self::AtMost(p) => Self::AtLeast(1.0 - p),
        }
    }
}

/// The probability that the true value lies below a limit, given one reading of it.
///
/// A reading that is only a bound gives only a bound of the probability: the value nearest the
/// limit that the bound allows.
pub(super) fn chance_below(
    limit: f64,
    value: f64,
    scale: Scale,
    spread: &CompositeSpread,
    qualifier: Qualifier,
) -> Chance {
    let (limit, value) = (on_scale(limit, scale), on_scale(value, scale));
    let gap = limit - value;
    let p = if gap.is_finite() {
        cumulative(gap / spread.u, spread.degrees_of_freedom)
    } else if gap > 0.0 {
        1.0
    } else {
        0.0
    };
    match qualifier {
        Qualifier::Exact => Chance::Is(p),
        Qualifier::Below => Chance::AtLeast(p),
        Qualifier::Above => Chance::AtMost(p),
    }
}

/// Student's t with the given degrees of freedom, the normal distribution where they are infinite.
fn cumulative(z: f64, degrees_of_freedom: f64) -> f64 {
    if degrees_of_freedom.is_finite()
        && let Ok(t) = StudentsT::new(0.0, 1.0, degrees_of_freedom)
    {
        t.cdf(z)
    } else {
        Normal::standard().cdf(z)
    }
}

/// The z that a probability lies at, for a composite of infinite degrees of freedom.
pub(super) fn quantile(probability: f64) -> f64 {
    Normal::standard().inverse_cdf(probability)
}
