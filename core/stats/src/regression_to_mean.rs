//! What a zone picked for an extreme reading will read next time, with nothing done.

use crate::{
    StatsError,
    error::{finite, not_negative, refuse},
};

/// Where the first reading came from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Population {
    /// Mean of the zones it was picked from.
    pub mean: f64,
    /// Standard deviation of single readings of those zones, true differences and error together.
    pub deviation: f64,
    /// Share of that variance that is true differences between the zones, 0 to 1.
    pub reliability: f64,
}

/// What to expect of a retest without any treatment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Retest {
    /// Expected reading: mean + r (x - mean).
    pub expected: f64,
    /// Expected change from the first reading: (1 - r)(mean - x).
    pub change: f64,
    /// Scatter of the retest around its expectation: s sqrt(1 - r^2).
    pub deviation: f64,
}

/// The expected retest of a zone picked by its first reading.
///
/// # Errors `Argument` for a number that is not finite, a negative deviation, or a reliability
///   outside 0 to 1.
/// # Source regression in a bivariate normal; Galton F (1886) Journal of the Anthropological
///   Institute 15:246-263, and Barnett AG et al. (2005) International Journal of Epidemiology
///   34:215-220.
pub fn expected_retest(first: f64, of: &Population) -> Result<Retest, StatsError> {
    finite("first", first)?;
    finite("population mean", of.mean)?;
    not_negative("population deviation", of.deviation)?;
    if !(0.0..=1.0).contains(&of.reliability) {
        return refuse("reliability", "from 0 to 1", of.reliability);
    }
    let r = of.reliability;
    Ok(Retest {
        expected: of.mean + r * (first - of.mean),
        change: (1.0 - r) * (of.mean - first),
        deviation: of.deviation * (1.0 - r * r).sqrt(),
    })
}

/// Share of the variance of single readings that is true: between / (between + error).
///
/// # Errors `Argument` for a negative variance, or both zero.
pub fn reliability(between: f64, error: f64) -> Result<f64, StatsError> {
    not_negative("between", between)?;
    not_negative("error", error)?;
    let all = between + error;
    if all > 0.0 {
        Ok(between / all)
    } else {
        Err(StatsError::NoScatter { argument: "between and error" })
    }
}
