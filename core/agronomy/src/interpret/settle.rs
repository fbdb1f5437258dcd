//! What would settle a reading that cannot be told from its limit.

use swardbook_stats::distribution::t_quantile;

use super::{Sampling, Surroundings, composite_spread, probability::on_scale};
use crate::{
    guideline::LimitValues,
    reading::{Qualifier, Reading},
};

/// What would settle it, if the next sample read the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Settle {
    /// So many cores in the composite.
    Cores(u32),
    /// More cores alone would not: the laboratory's own scatter is too wide for so small a gap.
    RepeatsToo,
    /// The reading is only a bound: a laboratory with a lower or higher limit of its own.
    AnotherLimit,
    /// The reading lies on the limit: it is borderline, however it is sampled.
    Borderline,
}

impl Settle {
    /// The same in words.
    #[must_use]
    pub fn words(self) -> String {
        match self {
            Self::Cores(cores) => format!("a composite of {cores} cores, if it read the same"),
            Self::RepeatsToo => {
                "more cores and repeated readings in the laboratory; cores alone are not enough"
                    .to_owned()
            }
            Self::AnotherLimit => {
                "a reading that is not only a bound: ask for a finer measurement".to_owned()
            }
            Self::Borderline => {
                "nothing that is worth its cost: the reading lies at the limit".to_owned()
            }
        }
    }
}

/// No one pulls more cores than this from one zone.
///
/// # Source `common-practice`.
const MOST_CORES: u32 = 100;

pub(super) fn what_would_settle(
    reading: &Reading,
    value: f64,
    limits: &LimitValues,
    surroundings: &Surroundings<'_>,
) -> Settle {
    if reading.qualifier() != Qualifier::Exact {
        return Settle::AnotherLimit;
    }
    let scale = reading.analyte().scale;
    let x = on_scale(value, scale);
    let thresholds = &surroundings.thresholds;
    // Below the middle of a margin it leans to short, above it to enough; where an upper end is
    // nearer, the question is whether it is high, and enough already holds below it.
    let low = on_scale(limits.short_below, scale);
    let enough = on_scale(limits.enough_from, scale);
    let (gap, sure) = if x < low {
        (low - x, thresholds.short)
    } else if x < enough {
        // Within a printed margin both ends must be left behind.
        ((x - low).min(enough - x), f64::midpoint(1.0, thresholds.enough))
    } else {
        (x - enough, thresholds.enough)
    };
    let sure = sure.clamp(0.5 + 1e-9, 1.0 - 1e-9);
    // Would so many cores and repeats tell it, if they read the same?
    let tells = |cores: u32, repeats: u32| {
        let sampling = Sampling { cores, repeats };
        composite_spread(reading.analyte(), &sampling, surroundings.own).is_some_and(|spread| {
            let spread = spread.value;
            t_quantile(sure, spread.degrees_of_freedom).is_ok_and(|t| t * spread.u <= gap)
        })
    };
    let Sampling { cores, repeats } = surroundings.sampling;
    if tells(MOST_CORES, repeats) {
        let (mut low, mut high) = ((cores + 1).min(MOST_CORES), MOST_CORES);
        while low < high {
            let middle = u32::midpoint(low, high);
            if tells(middle, repeats) { high = middle } else { low = middle + 1 }
        }
        return Settle::Cores(high);
    }
    if tells(MOST_CORES, 4) { Settle::RepeatsToo } else { Settle::Borderline }
}
