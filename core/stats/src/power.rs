//! What a trial could see, before it is paid for.
//!
//! Power worked out afterwards from the observed effect says nothing new and is not offered.

use crate::{
    StatsError,
    distribution::{noncentral_t_cdf, t_quantile},
    error::{count, finite, freedom, not_negative, positive, refuse, share},
};

/// The number of units a design needs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnitsNeeded {
    /// The root of the power equation, rarely whole.
    pub exact: f64,
    /// Whole units, rounded up.
    pub whole: usize,
}

/// Power of a two-sided t test whose true difference is `offset` standard errors.
///
/// # Errors `Argument` for df not above zero, an error rate not between 0 and 1, or an offset that
///   is not finite.
/// # Source Cohen J (1988) Statistical Power Analysis, 2nd ed.: both tails of the noncentral t.
pub fn power_at_offset(offset: f64, df: f64, error_rate: f64) -> Result<f64, StatsError> {
    finite("offset", offset)?;
    freedom("df", df)?;
    share("error_rate", error_rate)?;
    let critical = t_quantile(1.0 - 0.5 * error_rate, df)?;
    power_beyond(offset.abs(), df, critical)
}

fn power_beyond(offset: f64, df: f64, critical: f64) -> Result<f64, StatsError> {
    let above = 1.0 - noncentral_t_cdf(critical, df, offset)?;
    let below = noncentral_t_cdf(-critical, df, offset)?;
    Ok((above + below).min(1.0))
}

/// Offset in standard errors that a two-sided t test finds with `power`.
///
/// # Errors `Argument` for df not above zero, an error rate not between 0 and 1, or a power not
///   between the error rate and 1.
pub fn detectable_offset(df: f64, error_rate: f64, power: f64) -> Result<f64, StatsError> {
    freedom("df", df)?;
    share("error_rate", error_rate)?;
    share("power", power)?;
    if power <= error_rate {
        return refuse("power", "above the error rate", power);
    }
    let critical = t_quantile(1.0 - 0.5 * error_rate, df)?;
    let excess = |offset: f64| power_beyond(offset, df, critical).map(|got| got - power);
    let mut high = 1.0;
    while excess(high)? < 0.0 {
        high *= 2.0;
        if high > 1e12 {
            return refuse("df", "large enough for any effect to be seen", df);
        }
    }
    bisect(0.0, high, excess)
}

/// Smallest true mean difference that n pairs show, in units of the deviation of the differences.
///
/// # Errors `TooFew` below two pairs; otherwise as [`detectable_offset`].
pub fn detectable_in_pairs(pairs: usize, error_rate: f64, power: f64) -> Result<f64, StatsError> {
    count("pairs", pairs, 2)?;
    let n = pairs as f64;
    Ok(detectable_offset(n - 1.0, error_rate, power)? / n.sqrt())
}

/// Smallest true difference of two group means that is shown, in units of their deviation.
///
/// # Errors `TooFew` when a group is empty or both hold one; otherwise as [`detectable_offset`].
pub fn detectable_in_groups(
    n_a: usize,
    n_b: usize,
    error_rate: f64,
    power: f64,
) -> Result<f64, StatsError> {
    let (df, factor) = groups(n_a, n_b)?;
    Ok(detectable_offset(df, error_rate, power)? * factor)
}

/// Power of n pairs at a true mean difference in units of the deviation of the differences.
///
/// # Errors `TooFew` below two pairs; otherwise as [`power_at_offset`].
pub fn power_of_pairs(effect: f64, pairs: usize, error_rate: f64) -> Result<f64, StatsError> {
    count("pairs", pairs, 2)?;
    let n = pairs as f64;
    power_at_offset(effect * n.sqrt(), n - 1.0, error_rate)
}

/// Power of two groups at a true difference of means in units of their deviation.
///
/// # Errors `TooFew` when a group is empty or both hold one; otherwise as [`power_at_offset`].
pub fn power_of_groups(
    effect: f64,
    n_a: usize,
    n_b: usize,
    error_rate: f64,
) -> Result<f64, StatsError> {
    let (df, factor) = groups(n_a, n_b)?;
    power_at_offset(effect / factor, df, error_rate)
}

/// Pairs needed to show an effect given in units of the deviation of the differences.
///
/// # Errors `Argument` for an effect that is not above zero or needs more than a million pairs, an
///   error rate not between 0 and 1, or a power not between it and 1.
pub fn pairs_needed(effect: f64, error_rate: f64, power: f64) -> Result<UnitsNeeded, StatsError> {
    units_needed(effect, error_rate, power, |n| (n - 1.0, 1.0 / n.sqrt()))
}

/// Units needed in each of two groups to show an effect given in units of their deviation.
///
/// # Errors as [`pairs_needed`].
pub fn units_per_group_needed(
    effect: f64,
    error_rate: f64,
    power: f64,
) -> Result<UnitsNeeded, StatsError> {
    units_needed(effect, error_rate, power, |n| (2.0 * (n - 1.0), (2.0 / n).sqrt()))
}

/// Degrees of freedom, and the standard error of the difference over the deviation.
fn groups(n_a: usize, n_b: usize) -> Result<(f64, f64), StatsError> {
    count("n_a", n_a, 1)?;
    count("n_b", n_b, 1)?;
    count("n_a and n_b", n_a + n_b, 3)?;
    let (a, b) = (n_a as f64, n_b as f64);
    Ok((a + b - 2.0, (1.0 / a + 1.0 / b).sqrt()))
}

fn units_needed(
    effect: f64,
    error_rate: f64,
    power: f64,
    design: impl Fn(f64) -> (f64, f64),
) -> Result<UnitsNeeded, StatsError> {
    const MOST: f64 = 1e6;
    positive("effect", effect)?;
    share("error_rate", error_rate)?;
    share("power", power)?;
    if power <= error_rate {
        return refuse("power", "above the error rate", power);
    }
    let excess = |n: f64| {
        let (df, factor) = design(n);
        let critical = t_quantile(1.0 - 0.5 * error_rate, df)?;
        Ok(power_beyond(not_negative("effect", effect)? / factor, df, critical)? - power)
    };
    if excess(2.0)? >= 0.0 {
        return Ok(UnitsNeeded { exact: 2.0, whole: 2 });
    }
    if excess(MOST)? < 0.0 {
        return refuse("effect", "large enough to need less than a million units", effect);
    }
    let exact = bisect(2.0, MOST, excess)?;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between two and a million"
    )]
    let whole = (exact - 1e-9).ceil() as usize;
    Ok(UnitsNeeded { exact, whole })
}

/// Root of a rising function between two ends that enclose it.
fn bisect(
    mut low: f64,
    mut high: f64,
    rising: impl Fn(f64) -> Result<f64, StatsError>,
) -> Result<f64, StatsError> {
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high || (high - low) <= 1e-14 * high {
            break;
        }
        if rising(middle)? < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(0.5 * (low + high))
}
