//! The probability that a true value lies below a limit.

use swardbook_stats::{change::probability_above, uncertainty::Uncertainty};
use swardbook_units::Working;

use super::{CompositeSpread, Thresholds, Verdict};
use crate::{
    analyte::Scale,
    guideline::LimitValues,
    reading::{Qualifier, Reading},
};

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
fn chance_below(
    limit: f64,
    value: f64,
    scale: Scale,
    spread: &CompositeSpread,
    qualifier: Qualifier,
) -> Chance {
    let (limit, value) = (on_scale(limit, scale), on_scale(value, scale));
    let uncertainty = Uncertainty { u: spread.u, df: spread.degrees_of_freedom };
    // The limit above the value is the same as the value below the limit, and keeps small tails.
    let p = match probability_above(limit, uncertainty, value) {
        Ok(p) => p,
        // A value or limit without a place on the scale lies beyond the other.
        Err(_) => f64::from(u8::from(limit > value)),
    };
    match qualifier {
        Qualifier::Exact => Chance::Is(p),
        Qualifier::Below => Chance::AtLeast(p),
        Qualifier::Above => Chance::AtMost(p),
    }
}

/// The three probabilities of one reading against one limit.
#[derive(Debug, Clone, Copy)]
pub(super) struct Chances {
    pub(super) below: Chance,
    pub(super) enough: Chance,
    pub(super) high: Option<Chance>,
    margin: Option<Chance>,
}

impl Chances {
    pub(super) fn of(
        reading: &Reading,
        value: f64,
        limits: &LimitValues,
        spread: &CompositeSpread,
    ) -> Self {
        let scale = reading.analyte().scale;
        let below = |limit: f64| chance_below(limit, value, scale, spread, reading.qualifier());
        let has_margin = limits.enough_from > limits.short_below;
        let margin = match (below(limits.short_below), below(limits.enough_from)) {
            (Chance::Is(short), Chance::Is(not_enough)) if has_margin => {
                Some(Chance::Is(not_enough - short))
            }
            _ => None,
        };
        Self {
            below: below(limits.short_below),
            enough: below(limits.enough_from).complement(),
            high: limits.high_above.map(|high| below(high).complement()),
            margin,
        }
    }

    pub(super) fn verdict(&self, thresholds: &Thresholds) -> Verdict {
        if self.below.is_at_least(thresholds.short) {
            Verdict::Short
        } else if self.high.is_some_and(|high| high.is_at_least(thresholds.high)) {
            Verdict::High
        } else if self.enough.is_at_least(thresholds.enough) {
            Verdict::Enough
        } else if self.margin.is_some_and(|margin| margin.is_at_least(thresholds.enough)) {
            Verdict::Marginal
        } else {
            Verdict::CannotTell
        }
    }

    pub(super) fn shown(&self, mut working: Working, limits: &LimitValues) -> Working {
        let unit = limits.unit.symbol;
        let rows = [
            (format!("probability of lying below {} {unit}", limits.short_below), Some(self.below)),
            (format!("probability of {} {unit} or more", limits.enough_from), Some(self.enough)),
            (
                format!(
                    "probability of more than {} {unit}",
                    limits.high_above.unwrap_or_default()
                ),
                self.high,
            ),
        ];
        for (what, chance) in rows {
            if let Some(chance) = chance {
                working = working.step(&what, chance.words().to_owned(), chance.number(), "");
            }
        }
        working
    }
}

/// A value on the scale its errors are even on; below every limit where the scale has no place for
/// it.
pub(super) fn on_scale(value: f64, scale: Scale) -> f64 {
    match scale {
        Scale::Linear => value,
        Scale::Log => {
            if value > 0.0 {
                value.ln()
            } else {
                f64::NEG_INFINITY
            }
        }
        Scale::Logit => {
            let share = (value / 100.0).clamp(0.0, 1.0);
            (share / (1.0 - share)).ln()
        }
    }
}
