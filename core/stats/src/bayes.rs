//! What was believed, put together with what was measured.

use crate::{
    StatsError,
    distribution::{normal_cdf, normal_quantile},
    error::{finite, positive, share},
    interval::Interval,
};

/// A belief about a number: a normal distribution.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Belief {
    /// Its middle.
    pub mean: f64,
    /// Its standard deviation.
    pub deviation: f64,
}

impl Belief {
    /// Takes a belief.
    ///
    /// # Errors `Argument` unless the mean is finite and the deviation above zero.
    pub fn new(mean: f64, deviation: f64) -> Result<Self, StatsError> {
        finite("mean", mean)?;
        positive("deviation", deviation)?;
        Ok(Self { mean, deviation })
    }

    /// The belief after an estimate with a known standard error.
    ///
    /// The one before is shown beside the one after.
    ///
    /// # Errors `Argument` unless the estimate is finite and its standard error above zero.
    /// # Source Gelman A et al. (2013) Bayesian Data Analysis, 3rd ed., 2.5: precisions add, and the
    ///   mean is weighted by them.
    pub fn updated(&self, estimate: f64, standard_error: f64) -> Result<Self, StatsError> {
        finite("estimate", estimate)?;
        positive("standard_error", standard_error)?;
        let prior = self.deviation.powi(-2);
        let data = standard_error.powi(-2);
        let precision = prior + data;
        Self::new((self.mean * prior + estimate * data) / precision, precision.recip().sqrt())
    }

    /// Probability that the number lies above a limit.
    #[must_use]
    pub fn probability_above(&self, limit: f64) -> f64 {
        normal_cdf((self.mean - limit) / self.deviation)
    }

    /// The middle interval that holds the number with this probability.
    ///
    /// # Errors `Argument` for a level not between 0 and 1.
    pub fn interval(&self, level: f64) -> Result<Interval, StatsError> {
        share("level", level)?;
        Ok(Interval::around(self.mean, normal_quantile(0.5 + 0.5 * level)? * self.deviation))
    }
}
