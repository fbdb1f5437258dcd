//! How large a difference has to be before it is more than scatter.

use std::f64::consts::SQRT_2;

use crate::{
    StatsError,
    distribution::normal_quantile,
    error::{not_negative, share},
    power::detectable_offset,
    uncertainty::Uncertainty,
};

/// Smallest relative difference of two single results that is more than scatter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReferenceChange {
    /// Either way, as a ratio, for scatter that is even on the reading's own scale.
    pub symmetric: f64,
    /// Upward, as a ratio less one, for scatter that is even on the log scale.
    pub up: f64,
    /// Downward, as a ratio less one and so below zero, on the log scale.
    pub down: f64,
}

/// Reference change value of two single results.
///
/// `analytical` is the variation within the laboratory, `within_site` that of resampling the same
/// unchanged ground.
///
/// # Units  variations as ratios (0.05), not percent.
/// # Errors `Argument` for a negative variation or a level not between 0 and 1.
/// # Source `sqrt 2 x z x sqrt(CV_a^2 + CV_i^2)`, after Harris EK, Yasaka T (1983) Clinical Chemistry
///   29:25-30; lognormal s^2 = ln(1 + CV^2) and exp(-+ sqrt 2 z s) - 1, after Fokkema MR et al.
///   (2006) Clinical Chemistry 52:1602-1603. Both forms from memory, unconfirmed; both follow from
///   the variance of a difference.
pub fn reference_change(
    analytical: f64,
    within_site: f64,
    level: f64,
) -> Result<ReferenceChange, StatsError> {
    not_negative("analytical", analytical)?;
    not_negative("within_site", within_site)?;
    share("level", level)?;
    let z = normal_quantile(0.5 + 0.5 * level)?;
    let variation = analytical.hypot(within_site);
    let reach = SQRT_2 * z * (variation * variation).ln_1p().sqrt();
    Ok(ReferenceChange {
        symmetric: SQRT_2 * z * variation,
        up: reach.exp_m1(),
        down: (-reach).exp_m1(),
    })
}

/// Greatest difference of two repeats in one laboratory that scatter explains: z x sqrt 2 x `s_r`.
///
/// At 95 % the factor is 2.77, written 2.8 in ISO 5725-6.
///
/// # Errors `Argument` for a negative deviation or a level not between 0 and 1.
/// # Source ISO 5725-6:1994 (as explained in a text on it).
pub fn repeatability_limit(repeatability: f64, level: f64) -> Result<f64, StatsError> {
    not_negative("repeatability", repeatability)?;
    share("level", level)?;
    Ok(normal_quantile(0.5 + 0.5 * level)? * SQRT_2 * repeatability)
}

/// Smallest true difference that a comparison with this uncertainty would show with `power`.
///
/// Known before the second result, so it belongs on the page before the analysis is bought.
///
/// # Units  those of the uncertainty of the difference.
/// # Errors `Argument` for a negative u, or a level or power out of range.
/// # Source noncentral t, as [`crate::power`].
pub fn smallest_detectable_change(
    of_difference: Uncertainty,
    level: f64,
    power: f64,
) -> Result<f64, StatsError> {
    not_negative("u", of_difference.u)?;
    share("level", level)?;
    Ok(detectable_offset(of_difference.df, 1.0 - level, power)? * of_difference.u)
}
