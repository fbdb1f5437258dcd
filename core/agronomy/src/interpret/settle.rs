//! What would settle a reading that cannot be told from its limit.

use super::{
    CompositeSpread, Surroundings,
    probability::{on_scale, quantile},
};
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
const MOST_CORES: f64 = 100.0;

pub(super) fn what_would_settle(
    reading: &Reading,
    value: f64,
    limits: &LimitValues,
    spread: &CompositeSpread,
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
    let wanted_u = gap / quantile(sure.clamp(0.5 + 1e-9, 1.0 - 1e-9));
    let repeats = f64::from(surroundings.sampling.repeats);
    let laboratory = spread.laboratory * spread.laboratory / repeats;
    let left = wanted_u * wanted_u - laboratory;
    if left > 0.0 {
        let cores = (spread.core * spread.core / left).ceil();
        if cores <= MOST_CORES {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "the ceiling is from 0 to 100"
            )]
            return Settle::Cores(cores.max(f64::from(surroundings.sampling.cores + 1)) as u32);
        }
    }
    // Four repeats and a hundred cores: if that is not enough either, it is borderline.
    let best = spread.core * spread.core / MOST_CORES + spread.laboratory * spread.laboratory / 4.0;
    if wanted_u * wanted_u >= best { Settle::RepeatsToo } else { Settle::Borderline }
}
