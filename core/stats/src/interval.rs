//! Intervals around an estimate, on the scale where its errors are even.

use crate::{
    StatsError,
    describe::{Summary, logs},
    distribution::{chi_squared_quantile, normal_quantile, t_coverage_factor},
    error::{finite, freedom, not_negative, positive, refuse, share},
};

/// The values from `low` to `high`, both included.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Interval {
    /// Whether a value lies inside.
    #[must_use]
    pub fn holds(&self, value: f64) -> bool {
        self.low <= value && value <= self.high
    }

    /// Whether it lies strictly inside (`low`, `high`).
    #[must_use]
    pub fn is_inside(&self, low: f64, high: f64) -> bool {
        low < self.low && self.high < high
    }

    /// Half of its width.
    #[must_use]
    pub fn half_width(&self) -> f64 {
        0.5 * (self.high - self.low)
    }

    /// The interval after a rising function of both ends.
    #[must_use]
    pub fn through(&self, rising: impl Fn(f64) -> f64) -> Self {
        Self { low: rising(self.low), high: rising(self.high) }
    }

    pub(crate) fn around(centre: f64, half_width: f64) -> Self {
        Self { low: centre - half_width, high: centre + half_width }
    }
}

/// Scale on which the errors of a reading are even and differences are taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scale {
    /// The reading itself (pH).
    Linear,
    /// Natural logarithm (concentrations): differences are ratios.
    Log,
    /// ln(p / (1 - p)) of a share (cover near none or all).
    Logit,
}

impl Scale {
    /// Brings a reading onto the scale.
    ///
    /// # Units `Logit` takes a share from 0 to 1, not a percentage.
    /// # Errors `Argument` for a reading that has no place on the scale.
    pub fn forward(self, reading: f64) -> Result<f64, StatsError> {
        match self {
            Self::Linear => finite("reading", reading),
            Self::Log => positive("reading", reading).map(f64::ln),
            Self::Logit => share("reading", reading).map(|p| (p / (1.0 - p)).ln()),
        }
    }

    /// Brings a value on the scale back to a reading.
    #[must_use]
    pub fn back(self, value: f64) -> f64 {
        match self {
            Self::Linear => value,
            Self::Log => value.exp(),
            Self::Logit => 1.0 / (1.0 + (-value).exp()),
        }
    }

    /// Standard uncertainty on the scale of a reading whose uncertainty is known in its own unit.
    ///
    /// # Errors as [`Scale::forward`]; `Argument` for a negative uncertainty.
    /// # Source first-order propagation (JCGM 100:2008, 5.1.2); on the log scale the exact
    ///   relation of a lognormal value, s^2 = ln(1 + CV^2).
    pub fn uncertainty(self, reading: f64, u: f64) -> Result<f64, StatsError> {
        self.forward(reading)?;
        not_negative("u", u)?;
        Ok(match self {
            Self::Linear => u,
            Self::Log => (u / reading).powi(2).ln_1p().sqrt(),
            Self::Logit => u / (reading * (1.0 - reading)),
        })
    }
}

/// Interval of an estimate whose errors are even: estimate -+ t x u.
///
/// # Errors `Argument` for a negative u, df not above zero, or a level not between 0 and 1.
/// # Source JCGM 100:2008 (GUM), G.3.
pub fn t_interval(estimate: f64, u: f64, df: f64, level: f64) -> Result<Interval, StatsError> {
    finite("estimate", estimate)?;
    not_negative("u", u)?;
    freedom("df", df)?;
    Ok(Interval::around(estimate, t_coverage_factor(level, df)? * u))
}

/// Interval of a reading whose errors are even on `scale`; `u` is the uncertainty on that scale.
///
/// # Errors as [`t_interval`] and [`Scale::forward`].
pub fn scale_interval(
    reading: f64,
    u: f64,
    df: f64,
    level: f64,
    scale: Scale,
) -> Result<Interval, StatsError> {
    let on_scale = t_interval(scale.forward(reading)?, u, df, level)?;
    Ok(on_scale.through(|value| scale.back(value)))
}

/// Interval of the mean of independent values: mean -+ t(n - 1) s / sqrt n.
///
/// # Errors `TooFew` below two values, `Argument` for a bad value or level.
/// # Source Student (1908) Biometrika 6:1-25.
pub fn mean_interval(values: &[f64], level: f64) -> Result<Interval, StatsError> {
    let summary = Summary::of(values)?;
    t_interval(summary.mean, summary.standard_error(), summary.freedom(), level)
}

/// Interval of the geometric mean of independent values, by the t interval of their logarithms.
///
/// # Errors `TooFew` below two values, `Argument` for one not above zero or a bad level.
pub fn geometric_mean_interval(values: &[f64], level: f64) -> Result<Interval, StatsError> {
    Ok(mean_interval(&logs(values, 2)?, level)?.through(f64::exp))
}

/// Interval of a standard deviation estimated with `df` degrees of freedom from normal values.
///
/// # Errors `Argument` for a deviation or df not above zero, or a bad level.
/// # Source Snedecor GW, Cochran WG (1989) Statistical Methods, 8th ed.: s^2 df / chi^2.
pub fn deviation_interval(deviation: f64, df: f64, level: f64) -> Result<Interval, StatsError> {
    positive("deviation", deviation)?;
    positive("df", df)?;
    share("level", level)?;
    let end = |p: f64| chi_squared_quantile(p, df).map(|q| deviation * (df / q).sqrt());
    Ok(Interval { low: end(0.5 + 0.5 * level)?, high: end(0.5 - 0.5 * level)? })
}

/// Interval of a share from `hits` among `n` independent trials.
///
/// Points or pixels of one photo are not independent trials of a lawn.
///
/// # Errors `TooFew` for no trials, `Argument` for more hits than trials or a bad level.
/// # Source Wilson EB (1927) JASA 22:209-212.
pub fn share_interval(hits: u64, n: u64, level: f64) -> Result<Interval, StatsError> {
    if n == 0 {
        return Err(StatsError::TooFew { argument: "n", needed: 1, got: 0 });
    }
    let (hits, n) = (hits as f64, n as f64);
    if hits > n {
        return refuse("hits", "at most n", hits);
    }
    share("level", level)?;
    let z = normal_quantile(0.5 + 0.5 * level)?;
    let p = hits / n;
    let widened = 1.0 + z * z / n;
    let centre = (p + z * z / (2.0 * n)) / widened;
    let half = z / widened * (p * (1.0 - p) / n + z * z / (4.0 * n * n)).sqrt();
    Ok(Interval { low: (centre - half).max(0.0), high: (centre + half).min(1.0) })
}
