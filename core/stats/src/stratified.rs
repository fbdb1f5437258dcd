//! Means over strata, and how many cores each gets.

use crate::{
    StatsError,
    error::{count, finite, length, not_negative, positive, refuse},
    uncertainty::{Uncertainty, combine},
};

/// What was sampled in one stratum.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stratum {
    /// Its area or any other weight; shares are taken of the sum.
    pub weight: f64,
    /// Mean of its cores.
    pub mean: f64,
    /// Their standard deviation.
    pub deviation: f64,
    /// How many cores.
    pub cores: usize,
    /// How many could have been taken; infinite on real ground, finite for a grid that was counted.
    pub possible: f64,
}

/// Mean of a stratified sample: sum W mean, with variance sum W^2 s^2 / n (1 - n / N).
///
/// # Errors `TooFew` without a stratum or with one core in any, `Argument` for a weight not above
///   zero, a value not finite, or more cores than possible.
/// # Source Cochran WG (1977) Sampling Techniques, 3rd ed., chapter 5; degrees of freedom by
///   Satterthwaite, 5.16 there.
pub fn stratified_mean(strata: &[Stratum]) -> Result<(f64, Uncertainty), StatsError> {
    count("strata", strata.len(), 1)?;
    for stratum in strata {
        positive("weight", stratum.weight)?;
        finite("mean", stratum.mean)?;
        not_negative("deviation", stratum.deviation)?;
        count("cores", stratum.cores, 2)?;
        if stratum.possible.is_nan() || stratum.possible < stratum.cores as f64 {
            return refuse("possible", "at least the cores taken", stratum.possible);
        }
    }
    let all: f64 = strata.iter().map(|stratum| stratum.weight).sum();
    let mean = strata.iter().map(|stratum| stratum.weight / all * stratum.mean).sum();
    let parts: Vec<Uncertainty> = strata
        .iter()
        .map(|stratum| {
            let n = stratum.cores as f64;
            let left = (1.0 - n / stratum.possible) / n;
            Uncertainty { u: stratum.weight / all * stratum.deviation * left.sqrt(), df: n - 1.0 }
        })
        .collect();
    Ok((mean, combine(&parts)?))
}

/// Cores for each stratum: the exact shares and whole numbers that add up.
#[derive(Debug, Clone, PartialEq)]
pub struct Allocation {
    /// Before rounding.
    pub exact: Vec<f64>,
    /// Whole cores, at least as many each as was asked.
    pub whole: Vec<usize>,
}

/// Shares cores in proportion to area, at least `least` in each.
///
/// # Errors `TooFew` without a stratum or with fewer cores than `least` each; `Argument` for an area
///   not above zero.
/// # Source Cochran WG (1977) Sampling Techniques, 3rd ed., chapter 5; whole numbers by largest
///   remainder.
pub fn proportional(areas: &[f64], cores: usize, least: usize) -> Result<Allocation, StatsError> {
    areas.iter().try_for_each(|area| positive("area", *area).map(|_| ()))?;
    shared(areas, cores, least)
}

/// Shares cores in proportion to area x deviation, which makes the mean as sharp as it can be.
///
/// # Errors as [`proportional`]; `Length` for another number of deviations, `Argument` for a
///   negative one, `NoScatter` when all are zero.
/// # Source Neyman J (1934) Journal of the Royal Statistical Society 97:558-625.
pub fn neyman(
    areas: &[f64],
    deviations: &[f64],
    cores: usize,
    least: usize,
) -> Result<Allocation, StatsError> {
    length("deviations", deviations.len(), areas.len())?;
    let mut weights = Vec::with_capacity(areas.len());
    for (area, deviation) in areas.iter().zip(deviations) {
        weights.push(positive("area", *area)? * not_negative("deviation", *deviation)?);
    }
    if !weights.is_empty() && weights.iter().sum::<f64>() <= 0.0 {
        return Err(StatsError::NoScatter { argument: "deviations" });
    }
    shared(&weights, cores, least)
}

fn shared(weights: &[f64], cores: usize, least: usize) -> Result<Allocation, StatsError> {
    count("areas", weights.len(), 1)?;
    count("cores", cores, least.saturating_mul(weights.len()))?;
    let all: f64 = weights.iter().sum();
    let exact: Vec<f64> = weights.iter().map(|weight| cores as f64 * weight / all).collect();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "from zero to the number of cores"
    )]
    let mut whole: Vec<usize> =
        exact.iter().map(|share| (share.floor() as usize).max(least)).collect();
    let owed = |place: usize, whole: &[usize]| exact[place] - whole[place] as f64;
    // First come, first served where two are owed the same: the answer must not hang on rounding.
    while whole.iter().sum::<usize>() < cores {
        let next = (0..whole.len())
            .rev()
            .max_by(|a, b| owed(*a, &whole).total_cmp(&owed(*b, &whole)))
            .expect("at least one stratum, checked above");
        whole[next] += 1;
    }
    while whole.iter().sum::<usize>() > cores {
        let next = (0..whole.len())
            .filter(|place| whole[*place] > least)
            .min_by(|a, b| owed(*a, &whole).total_cmp(&owed(*b, &whole)))
            .expect("more cores than the least of all strata together, checked above");
        whole[next] -= 1;
    }
    Ok(Allocation { exact, whole })
}
