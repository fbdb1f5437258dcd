//! Whether raters mean the same by the same number.

use crate::{
    StatsError,
    anova::randomised_blocks,
    error::{count, length, refuse, values as check},
};

/// Intraclass correlations of targets by raters.
///
/// `absolute` is the one for visual ratings that are compared across people.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Icc {
    /// ICC(1,1): other raters for each target.
    pub one_way: f64,
    /// ICC(2,1): the same raters, who stand for others; absolute agreement.
    pub absolute: f64,
    /// ICC(3,1): these raters only; their levels do not count.
    pub consistent: f64,
    /// ICC(1,k), of the mean of all raters.
    pub one_way_of_mean: f64,
    /// ICC(2,k).
    pub absolute_of_mean: f64,
    /// ICC(3,k).
    pub consistent_of_mean: f64,
    /// Mean square between targets.
    pub ms_targets: f64,
    /// Mean square between raters.
    pub ms_raters: f64,
    /// Mean square within targets.
    pub ms_within: f64,
    /// Mean square of what is left.
    pub ms_error: f64,
}

/// Intraclass correlations of `ratings[target][rater]`.
///
/// # Errors `TooFew` below two targets or raters, `Length` for a missing rating, `NoScatter` when
///   the ratings fit without any error, `Argument` for a value not finite.
/// # Source Shrout PE, Fleiss JL (1979) Psychological Bulletin 86:420-428.
pub fn intraclass_correlations(ratings: &[Vec<f64>]) -> Result<Icc, StatsError> {
    let table = randomised_blocks(ratings)?;
    let n = ratings.len() as f64;
    let k = ratings[0].len() as f64;
    let (b, j, e) =
        (table.treatment.mean_square(), table.block.mean_square(), table.error.mean_square());
    let w = (table.block.squares + table.error.squares) / (n * (k - 1.0));
    Ok(Icc {
        one_way: (b - w) / (b + (k - 1.0) * w),
        absolute: (b - e) / (b + (k - 1.0) * e + k * (j - e) / n),
        consistent: (b - e) / (b + (k - 1.0) * e),
        one_way_of_mean: (b - w) / b,
        absolute_of_mean: (b - e) / (b + (j - e) / n),
        consistent_of_mean: (b - e) / b,
        ms_targets: b,
        ms_raters: j,
        ms_within: w,
        ms_error: e,
    })
}

/// How a disagreement counts by its distance.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weights {
    /// In proportion to the distance.
    Linear,
    /// In proportion to its square.
    Quadratic,
}

/// Agreement of two raters beyond chance on a scale of whole steps from `lowest` to `highest`.
///
/// # Errors `TooFew` without a rating, `Length` for lists of unequal length, `Argument` for a rating
///   off the scale, `NoScatter` when both always gave one and the same rating.
/// # Source Cohen J (1968) Psychological Bulletin 70:213-220.
pub fn weighted_kappa(
    first: &[i32],
    second: &[i32],
    lowest: i32,
    highest: i32,
    weights: Weights,
) -> Result<f64, StatsError> {
    count("first", first.len(), 1)?;
    length("second", second.len(), first.len())?;
    for rating in first.iter().chain(second) {
        if !(lowest..=highest).contains(rating) {
            return refuse("rating", "on the scale", f64::from(*rating));
        }
    }
    let weight = |a: i32, b: i32| {
        let apart = f64::from((a - b).abs());
        match weights {
            Weights::Linear => apart,
            Weights::Quadratic => apart * apart,
        }
    };
    let n = first.len() as f64;
    let seen: f64 = first.iter().zip(second).map(|(a, b)| weight(*a, *b)).sum::<f64>() / n;
    let chance: f64 =
        first.iter().flat_map(|a| second.iter().map(|b| weight(*a, *b))).sum::<f64>() / (n * n);
    if chance <= 0.0 {
        return Err(StatsError::NoScatter { argument: "ratings" });
    }
    Ok(1.0 - seen / chance)
}

/// How far a second rater stands from the first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Offset {
    /// Mean of first - second.
    pub mean: f64,
    /// Deviation of that difference.
    pub deviation: f64,
}

/// Mean and scatter of the difference of two raters.
///
/// # Errors `TooFew` below two ratings, `Length` for lists of unequal length, `Argument` for a value
///   not finite.
/// # Source Bland JM, Altman DG (1986) Lancet 327:307-310.
pub fn offset(first: &[f64], second: &[f64]) -> Result<Offset, StatsError> {
    check("first", first, 2)?;
    let summary = crate::describe::Summary::of(&crate::t_test::differences(second, first)?)?;
    Ok(Offset { mean: summary.mean, deviation: summary.deviation })
}
