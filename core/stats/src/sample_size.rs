//! How many cores a wanted margin takes.

use crate::{
    StatsError,
    distribution::{normal_quantile, t_coverage_factor},
    error::{count, positive, refuse, share},
};

/// Smallest n whose t interval reaches no further than `margin` either way.
///
/// n = (t(n - 1) s / E)^2 solved for n, since t hangs on n itself.
/// Deviation and margin are in the same unit, or both relative to the mean (variation and share).
/// At least two, because one core has no scatter.
///
/// # Errors `Argument` for a deviation or margin not above zero, a level not between 0 and 1, or an
///   answer above a million.
/// # Source Cochran WG (1977) Sampling Techniques, 3rd ed., 4.4, with the t quantile iterated.
pub fn cores_needed(deviation: f64, margin: f64, level: f64) -> Result<usize, StatsError> {
    const MOST: usize = 1_000_000;
    let ratio = positive("deviation", deviation)? / positive("margin", margin)?;
    share("level", level)?;
    // The normal answer is never more than the t answer, so the search starts there.
    let start = (normal_quantile(0.5 + 0.5 * level)? * ratio).powi(2).floor();
    if start >= MOST as f64 {
        return refuse("margin", "wide enough to need less than a million cores", margin);
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between zero and a million"
    )]
    let mut n = (start as usize).max(2);
    while n <= MOST {
        if margin_reached(ratio, n, level)? <= 1.0 {
            return Ok(n);
        }
        n += 1;
    }
    refuse("margin", "wide enough to need less than a million cores", margin)
}

/// How far the interval of the mean of n cores reaches either way: t(n - 1) s / sqrt n.
///
/// # Errors `TooFew` below two cores, `Argument` for a deviation not above zero or a bad level.
pub fn margin_reached(deviation: f64, cores: usize, level: f64) -> Result<f64, StatsError> {
    positive("deviation", deviation)?;
    count("cores", cores, 2)?;
    let n = cores as f64;
    Ok(t_coverage_factor(level, n - 1.0)? * deviation / n.sqrt())
}
