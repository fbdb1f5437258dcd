//! How uncertain one zone result is: core, laboratory and change of laboratory put together.
//!
//! One composite carries no information about the scatter between cores, so the core term is never
//! left out: it is this notebook's own or a published default, and always there.

use crate::{
    StatsError,
    distribution::t_coverage_factor,
    error::{count, freedom, not_negative, positive},
};

/// A standard deviation and how well it is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scatter {
    /// Standard deviation, on the scale where errors are even.
    pub deviation: f64,
    /// Degrees of freedom behind it, infinite where it is taken as known.
    pub df: f64,
}

impl Scatter {
    /// A deviation taken as known.
    #[must_use]
    pub fn known(deviation: f64) -> Self {
        Self { deviation, df: f64::INFINITY }
    }

    fn checked(self, argument: &'static str) -> Result<Self, StatsError> {
        not_negative(argument, self.deviation)?;
        freedom(argument, self.df)?;
        Ok(self)
    }

    /// What is left of it after averaging: variance times `share`.
    fn over(self, share: f64) -> Uncertainty {
        Uncertainty { u: self.deviation * share.sqrt(), df: self.df }
    }
}

/// A standard uncertainty and its effective degrees of freedom.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Uncertainty {
    /// Standard uncertainty.
    pub u: f64,
    /// Effective degrees of freedom, infinite where every part is known.
    pub df: f64,
}

impl Uncertainty {
    /// An uncertainty taken as known.
    #[must_use]
    pub fn known(u: f64) -> Self {
        Self { u, df: f64::INFINITY }
    }

    /// Expanded uncertainty: t(df) x u.
    ///
    /// # Errors `Argument` for a level not between 0 and 1.
    /// # Source JCGM 100:2008 (GUM), G.3.2; the quantile is taken at the degrees of freedom as they
    ///   are, not cut to a whole number.
    pub fn expanded(&self, level: f64) -> Result<f64, StatsError> {
        Ok(t_coverage_factor(level, self.df)? * self.u)
    }
}

/// What one result is made of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CompositeBudget {
    /// Scatter between single cores of the zone.
    pub core: Scatter,
    /// Cores in the composite (in all composites, when several were averaged).
    pub cores: usize,
    /// Scatter between repeats of one laboratory on one soil.
    pub laboratory: Scatter,
    /// Repeats that the laboratory averaged.
    pub repeats: usize,
    /// Scatter between laboratories: counted only when results of two laboratories are compared.
    pub between_laboratories: Option<Scatter>,
}

/// The parts of a composite's uncertainty and their sum.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CompositeUncertainty {
    /// From the cores: `s_core` / sqrt n.
    pub core: f64,
    /// From the laboratory: `s_lab` / sqrt k.
    pub laboratory: f64,
    /// From the change of laboratory, zero where it did not change.
    pub between_laboratories: f64,
    /// All of it.
    pub combined: Uncertainty,
}

impl CompositeUncertainty {
    /// Share of the variance that comes from the cores, zero when there is no variance.
    #[must_use]
    pub fn core_share(&self) -> f64 {
        let all = self.combined.u.powi(2);
        if all > 0.0 { self.core.powi(2) / all } else { 0.0 }
    }
}

/// Uncertainty of a composite: `u^2 = s_core^2 / n + s_lab^2 / k (+ s_between^2)`.
///
/// # Errors `TooFew` without a core or a repeat, `Argument` for a negative deviation or a df not
///   above zero.
/// # Source sum of variances of independent parts, JCGM 100:2008 (GUM), 5.1.2; degrees of freedom
///   as [`combine`].
pub fn composite(budget: &CompositeBudget) -> Result<CompositeUncertainty, StatsError> {
    count("cores", budget.cores, 1)?;
    count("repeats", budget.repeats, 1)?;
    let core = budget.core.checked("core")?;
    let laboratory = budget.laboratory.checked("laboratory")?;
    in_parts([
        core.over(1.0 / budget.cores as f64),
        laboratory.over(1.0 / budget.repeats as f64),
        between(budget.between_laboratories)?.over(1.0),
    ])
}

fn between(laboratories: Option<Scatter>) -> Result<Scatter, StatsError> {
    laboratories.map_or(Ok(Scatter::known(0.0)), |one| one.checked("between_laboratories"))
}

fn in_parts(parts: [Uncertainty; 3]) -> Result<CompositeUncertainty, StatsError> {
    Ok(CompositeUncertainty {
        core: parts[0].u,
        laboratory: parts[1].u,
        between_laboratories: parts[2].u,
        combined: combine(&parts)?,
    })
}

/// What the difference of two results of one zone is made of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ComparisonBudget {
    /// Scatter between single cores of the zone, the same for both results.
    pub core: Scatter,
    /// Cores in the earlier and the later composite.
    pub cores: [usize; 2],
    /// Scatter between repeats of one laboratory on one soil, the same for both results.
    pub laboratory: Scatter,
    /// Repeats that the laboratory averaged, earlier and later.
    pub repeats: [usize; 2],
    /// Scatter between laboratories: counted only when the laboratory changed.
    pub between_laboratories: Option<Scatter>,
}

/// Uncertainty of the difference of two composites whose scatter was estimated once for both.
///
/// `u^2 = s_core^2 (1/n1 + 1/n2) + s_lab^2 (1/k1 + 1/k2) (+ 2 s_between^2)`.
/// Two results that rest on one estimate of scatter must not be combined as if each had its own:
/// degrees of freedom would be counted twice and the interval be too short.
///
/// # Errors `TooFew` without a core or a repeat, `Argument` for a negative deviation or a df not
///   above zero.
/// # Source as [`composite`].
pub fn comparison(budget: &ComparisonBudget) -> Result<CompositeUncertainty, StatsError> {
    let per = |argument, counts: [usize; 2]| -> Result<f64, StatsError> {
        for one in counts {
            count(argument, one, 1)?;
        }
        Ok(counts.iter().map(|one| 1.0 / *one as f64).sum())
    };
    let core = budget.core.checked("core")?.over(per("cores", budget.cores)?);
    let laboratory = budget.laboratory.checked("laboratory")?.over(per("repeats", budget.repeats)?);
    let between = between(budget.between_laboratories)?.over(2.0);
    in_parts([core, laboratory, between])
}

/// Uncertainty of a sum or difference of independent parts.
///
/// # Errors `TooFew` for no part, `Argument` for a negative u or a df not above zero.
/// # Source Welch-Satterthwaite, JCGM 100:2008 (GUM), G.4.1: `df = u^4 / sum(u_i^4 / df_i)`.
pub fn combine(parts: &[Uncertainty]) -> Result<Uncertainty, StatsError> {
    count("parts", parts.len(), 1)?;
    for part in parts {
        not_negative("u", part.u)?;
        freedom("df", part.df)?;
    }
    // Scaled by the greatest part, so that fourth powers of small readings do not vanish.
    let greatest = parts.iter().map(|part| part.u).fold(0.0, f64::max);
    if greatest <= 0.0 {
        return Ok(Uncertainty::known(0.0));
    }
    let share = |part: &Uncertainty| (part.u / greatest).powi(2);
    let sum: f64 = parts.iter().map(share).sum();
    let spent: f64 = parts.iter().map(|part| share(part).powi(2) / part.df).sum();
    let df = if spent > 0.0 { sum * sum / spent } else { f64::INFINITY };
    Ok(Uncertainty { u: greatest * sum.sqrt(), df })
}

/// Scatter between single cores, from sets of replicate composites: each set is of one zone on one
/// day, and a set of fewer than two says nothing.
///
/// `s_core^2 = n (s_composites^2 - s_lab^2 / k)` with the variance pooled over the sets; a negative
/// difference is reported as none seen.
///
/// # Errors `TooFew` where no set has two composites, or without core or repeat; `Argument` for a
///   bad value.
/// # Source sum of variances as in [`composite`], solved for the core term; degrees of freedom by
///   Satterthwaite FE (1946) Biometrics Bulletin 2:110-114.
pub fn core_scatter_from_composites(
    sets: &[Vec<f64>],
    cores_each: usize,
    laboratory: Scatter,
    repeats: usize,
) -> Result<Scatter, StatsError> {
    count("cores_each", cores_each, 1)?;
    count("repeats", repeats, 1)?;
    let laboratory = laboratory.checked("laboratory")?;
    let (mut squares, mut df) = (0.0, 0.0);
    for set in sets.iter().filter(|set| set.len() > 1) {
        let more = set.len() as f64 - 1.0;
        squares += more * crate::describe::variance(set)?;
        df += more;
    }
    count("composites", if df > 0.0 { 2 } else { 1 }, 2)?;
    let seen = squares / df;
    let of_laboratory = laboratory.deviation.powi(2) / repeats as f64;
    let between = (seen - of_laboratory).max(0.0);
    let spent = seen.powi(2) / df + of_laboratory.powi(2) / laboratory.df;
    let df = if between > 0.0 { between.powi(2) / spent } else { df };
    positive("df", df)?;
    Ok(Scatter { deviation: (cores_each as f64 * between).sqrt(), df })
}
