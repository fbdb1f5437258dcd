//! Centre and spread of a list of values.

use crate::{
    StatsError,
    error::{finite, not_negative, positive, refuse, values as check},
};

/// Count, mean and standard deviation of one group of values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Summary {
    /// How many values.
    pub n: usize,
    /// Their mean.
    pub mean: f64,
    /// Their standard deviation, divisor n - 1.
    pub deviation: f64,
}

impl Summary {
    /// Sums up a list.
    ///
    /// # Errors `TooFew` below two values, `Argument` for one that is not finite.
    pub fn of(values: &[f64]) -> Result<Self, StatsError> {
        let deviation = standard_deviation(values)?;
        Ok(Self { n: values.len(), mean: mean(values)?, deviation })
    }

    /// Takes a summary that was printed elsewhere.
    ///
    /// # Errors `TooFew` below two values, `Argument` for a mean or deviation that cannot be.
    pub fn printed(n: usize, mean: f64, deviation: f64) -> Result<Self, StatsError> {
        crate::error::count("n", n, 2)?;
        finite("mean", mean)?;
        not_negative("deviation", deviation)?;
        Ok(Self { n, mean, deviation })
    }

    /// Standard error of the mean: s / sqrt n.
    #[must_use]
    pub fn standard_error(&self) -> f64 {
        self.deviation / (self.n as f64).sqrt()
    }

    /// Degrees of freedom of the deviation: n - 1.
    #[must_use]
    pub fn freedom(&self) -> f64 {
        self.n as f64 - 1.0
    }
}

/// Arithmetic mean, with a second pass that takes out the rounding of the first.
///
/// # Errors `TooFew` for an empty list, `Argument` for a value that is not finite.
pub fn mean(values: &[f64]) -> Result<f64, StatsError> {
    check("values", values, 1)?;
    Ok(mean_of(values))
}

/// Sample variance, divisor n - 1.
///
/// # Errors `TooFew` below two values, `Argument` for one that is not finite.
/// # Source Chan TF, Golub GH, `LeVeque` RJ (1983) American Statistician 37:242-247: two passes.
pub fn variance(values: &[f64]) -> Result<f64, StatsError> {
    check("values", values, 2)?;
    Ok(squares_about_mean(values) / (values.len() as f64 - 1.0))
}

/// Sample standard deviation, divisor n - 1.
///
/// # Errors as [`variance`].
pub fn standard_deviation(values: &[f64]) -> Result<f64, StatsError> {
    Ok(variance(values)?.sqrt())
}

/// Standard deviation over the mean, as a ratio.
///
/// # Errors as [`variance`]; `Argument` when the mean is not above zero.
pub fn variation(values: &[f64]) -> Result<f64, StatsError> {
    let deviation = standard_deviation(values)?;
    Ok(deviation / positive("mean of values", mean_of(values))?)
}

/// Geometric mean.
///
/// # Errors `TooFew` for an empty list, `Argument` for a value that is not above zero.
pub fn geometric_mean(values: &[f64]) -> Result<f64, StatsError> {
    Ok(mean_of(&logs(values, 1)?).exp())
}

/// Middle value, or the mean of the two middle ones.
///
/// # Errors as [`mean`].
pub fn median(values: &[f64]) -> Result<f64, StatsError> {
    quantile(values, 0.5)
}

/// Value below which the share `p` lies, straight lines between the ordered values.
///
/// # Errors as [`mean`]; `Argument` unless 0 <= p <= 1.
/// # Source Hyndman RJ, Fan Y (1996) American Statistician 50:361-365, definition 7.
pub fn quantile(values: &[f64], p: f64) -> Result<f64, StatsError> {
    check("values", values, 1)?;
    if !(0.0..=1.0).contains(&p) {
        return refuse("p", "from 0 to 1", p);
    }
    let mut ordered = values.to_vec();
    ordered.sort_by(f64::total_cmp);
    let place = p * (ordered.len() as f64 - 1.0);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "from zero to the last place"
    )]
    let below = place.floor() as usize;
    let above = (below + 1).min(ordered.len() - 1);
    Ok(ordered[below] + (place - place.floor()) * (ordered[above] - ordered[below]))
}

/// Standard deviation that a few wild values do not move: 0.7413 x interquartile range.
///
/// # Errors as [`variance`].
/// # Source the quartiles of a normal distribution lie 0.67449 deviations either side of its middle.
pub fn robust_deviation(values: &[f64]) -> Result<f64, StatsError> {
    check("values", values, 2)?;
    Ok((quantile(values, 0.75)? - quantile(values, 0.25)?) / (2.0 * 0.674_489_750_196_081_7))
}

/// Robust coefficient of variation: robust deviation over the median, as a ratio.
///
/// # Errors as [`variance`]; `Argument` when the median is not above zero.
pub fn robust_variation(values: &[f64]) -> Result<f64, StatsError> {
    let deviation = robust_deviation(values)?;
    Ok(deviation / positive("median of values", median(values)?)?)
}

/// pH of the mean acidity: the mean is taken of 10^-pH.
///
/// It lies below the mean of the readings, which is what the rest of this crate works with.
///
/// # Errors as [`mean`].
/// # Source definition of pH as minus the decimal logarithm of hydrogen ion activity
///   (Buck RP et al. 2002, Pure and Applied Chemistry 74:2169-2200).
pub fn ph_of_mean_acidity(readings: &[f64]) -> Result<f64, StatsError> {
    check("readings", readings, 1)?;
    // The most acid reading is taken out first, so that nothing underflows.
    let least = readings.iter().copied().fold(f64::INFINITY, f64::min);
    let acidity: Vec<f64> = readings.iter().map(|reading| 10_f64.powf(least - reading)).collect();
    Ok(least - mean_of(&acidity).log10())
}

/// Natural logarithms of values above zero.
pub(crate) fn logs(values: &[f64], needed: usize) -> Result<Vec<f64>, StatsError> {
    check("values", values, needed)?;
    values.iter().map(|value| positive("values", *value).map(f64::ln)).collect()
}

pub(crate) fn mean_of(values: &[f64]) -> f64 {
    let n = values.len() as f64;
    let first = values.iter().sum::<f64>() / n;
    first + values.iter().map(|value| value - first).sum::<f64>() / n
}

/// Sum of squares about the corrected mean.
pub(crate) fn squares_about_mean(values: &[f64]) -> f64 {
    let mean = mean_of(values);
    values.iter().map(|value| (value - mean).powi(2)).sum()
}
