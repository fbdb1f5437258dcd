//! Normal, t, F and chi-squared probabilities and quantiles.

use std::f64::consts::{FRAC_1_SQRT_2, PI, SQRT_2};

use statrs::{
    distribution::{ChiSquared, ContinuousCDF},
    function::{beta::beta_reg, erf, gamma},
};

use crate::{
    StatsError,
    error::{freedom, not_negative, positive, refuse, share},
};

/// From here on the incomplete beta loses digits and the expansion about the normal has more.
const MANY: f64 = 1e5;

/// Probability that a standard normal value lies below `x`.
///
/// # Source Abramowitz & Stegun 1964, chapter 26: erfc(-x / sqrt 2) / 2.
#[must_use]
pub fn normal_cdf(x: f64) -> f64 {
    0.5 * erf::erfc(-x * FRAC_1_SQRT_2)
}

/// The standard normal value below which the share `p` lies.
///
/// # Errors `Argument` unless 0 < p < 1.
pub fn normal_quantile(p: f64) -> Result<f64, StatsError> {
    share("p", p)?;
    Ok(-SQRT_2 * erf::erfc_inv(2.0 * p))
}

pub(crate) fn normal_density(x: f64) -> f64 {
    (-0.5 * x * x).exp() / (2.0 * PI).sqrt()
}

/// Probability that a t value with `df` degrees of freedom lies below `t`.
///
/// # Errors `Argument` unless df > 0.
/// # Source Abramowitz & Stegun 1964, 26.7.1 with 26.5.27.
pub fn t_cdf(t: f64, df: f64) -> Result<f64, StatsError> {
    let tail = 0.5 * t_two_sided_p(t, df)?;
    Ok(if t > 0.0 { 1.0 - tail } else { tail })
}

/// Probability that a t value with `df` degrees of freedom lies further from zero than `t`.
///
/// # Errors `Argument` unless df > 0 and t is a number.
/// # Source Abramowitz & Stegun 1964, 26.7.1 with 26.5.27: I(df / (df + t^2); df / 2, 1 / 2).
pub fn t_two_sided_p(t: f64, df: f64) -> Result<f64, StatsError> {
    freedom("df", df)?;
    if t.is_nan() {
        return refuse("t", "a number", t);
    }
    if t.is_infinite() {
        return Ok(0.0);
    }
    if df >= MANY {
        return Ok(erf::erfc(equivalent_normal(t.abs(), df) * FRAC_1_SQRT_2));
    }
    let square = t * t;
    // Both forms are the same number; the first keeps the digits of a small tail, the second those
    // of a small t.
    Ok(if square > 1.0 {
        beta_reg(0.5 * df, 0.5, df / (df + square))
    } else {
        1.0 - beta_reg(0.5, 0.5 * df, square / (df + square))
    })
}

/// The t value with `df` degrees of freedom below which the share `p` lies.
///
/// # Errors `Argument` unless 0 < p < 1 and df > 0.
pub fn t_quantile(p: f64, df: f64) -> Result<f64, StatsError> {
    share("p", p)?;
    freedom("df", df)?;
    if df.is_infinite() {
        return normal_quantile(p);
    }
    let tail = p.min(1.0 - p);
    let upper = upper_t_quantile(tail, df)?;
    Ok(if p < 0.5 { -upper } else { upper })
}

/// The normal value with the same tail as a t value with many degrees of freedom.
///
/// # Source Hill GW (1970) Algorithm 395, Communications of the ACM 13:617-619.
fn equivalent_normal(t: f64, df: f64) -> f64 {
    if df.is_infinite() {
        return t;
    }
    let a = df - 0.5;
    let b = 48.0 * a * a;
    let w2 = a * (t * t / df).ln_1p();
    let w = w2.sqrt();
    let second = ((4.0 * w2 + 33.0) * w2 + 240.0) * w2 + 855.0;
    w + w * ((w2 + 3.0) / b - second / (10.0 * b * (b + 0.8 * w2 * w2 + 100.0)))
}

/// How many standard uncertainties reach to each side at a confidence level.
pub(crate) fn t_coverage_factor(level: f64, df: f64) -> Result<f64, StatsError> {
    share("level", level)?;
    t_quantile(0.5 + 0.5 * level, df)
}

/// Bisection on the tail, then Newton: the start does not rest on another inverse.
fn upper_t_quantile(tail: f64, df: f64) -> Result<f64, StatsError> {
    let excess = |t: f64| t_two_sided_p(t, df).map(|p| 0.5 * p - tail);
    let mut low = 0.0;
    let mut high = 1.0;
    while excess(high)? > 0.0 {
        low = high;
        high *= 2.0;
        if high > 1e300 {
            return refuse("df", "large enough for the quantile to be a number", df);
        }
    }
    let mut t = 0.5 * (low + high);
    for _ in 0..200 {
        let above = excess(t)?;
        if above > 0.0 {
            low = t;
        } else {
            high = t;
        }
        let newton = t + above / t_density(t, df);
        let next = if newton > low && newton < high { newton } else { 0.5 * (low + high) };
        if (next - t).abs() <= 1e-15 * t.abs() {
            return Ok(next);
        }
        t = next;
    }
    Ok(t)
}

fn t_density(t: f64, df: f64) -> f64 {
    let log = gamma::ln_gamma(0.5 * (df + 1.0))
        - gamma::ln_gamma(0.5 * df)
        - 0.5 * (df * PI).ln()
        - 0.5 * (df + 1.0) * (t * t / df).ln_1p();
    log.exp()
}

/// Probability that an F value is greater than `f`.
///
/// # Errors `Argument` unless f >= 0 and both degrees of freedom are finite and above zero.
/// # Source Abramowitz & Stegun 1964, 26.6.2: I(d2 / (d2 + d1 f); d2 / 2, d1 / 2).
pub fn f_upper_tail(f: f64, df_between: f64, df_within: f64) -> Result<f64, StatsError> {
    not_negative("f", f)?;
    let d1 = positive("df_between", df_between)?;
    let d2 = positive("df_within", df_within)?;
    Ok(beta_reg(0.5 * d2, 0.5 * d1, d2 / (d2 + d1 * f)))
}

/// The chi-squared value with `df` degrees of freedom below which the share `p` lies.
///
/// # Errors `Argument` unless 0 < p < 1 and df is finite and above zero.
pub fn chi_squared_quantile(p: f64, df: f64) -> Result<f64, StatsError> {
    share("p", p)?;
    positive("df", df)?;
    let distribution = ChiSquared::new(df).expect("degrees of freedom checked above zero");
    Ok(distribution.inverse_cdf(p))
}
