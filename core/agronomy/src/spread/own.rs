//! This ground's own scatter, and how it is added to the published default.
//!
//! A default is itself an estimate: it counts with the degrees of freedom that its fields show
//! ([`DEFAULT_FREEDOM`](super::DEFAULT_FREEDOM)), and replicate samples are added to it by theirs,
//! so that the first replicates inform without deciding and many of them decide.

use swardbook_stats::uncertainty::{Scatter as Estimate, core_scatter_from_composites};
use swardbook_units::{Origin, Working};

use super::{SpreadTerm, default_spread};
use crate::{
    AgronomyError,
    analyte::{Analyte, Scale},
    error::refused_by_statistics,
    source,
};

/// A notebook's own scatter between cores of one analyte.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OwnScatter {
    /// What it is the scatter of.
    pub analyte: &'static Analyte,
    /// Standard deviation on the analyte's scale (its unit, natural logarithm or log odds), with
    /// its degrees of freedom.
    pub core: Estimate,
}

/// Scatter between cores as it is counted with, and what it was put together from.
#[derive(Debug, Clone, PartialEq)]
pub struct CoreScatter {
    /// Standard deviation on the analyte's scale, with its degrees of freedom.
    pub known: Estimate,
    /// The published default, on the same scale.
    pub default: Option<(Estimate, &'static SpreadTerm)>,
    /// This ground's own.
    pub own: Option<Estimate>,
}

/// Scatter between cores of one zone from its replicate composites: each set is readings, on the
/// analyte's scale, of samples pulled from one zone on one day and read alike.
///
/// `None` where the analyte has no default for the laboratory's part, or no set has two readings.
///
/// # Units  on the analyte's scale.
/// # Errors `Refused` for a set without cores.
/// # Source `gum-2008` for the sum of variances that is solved for the cores' part.
pub fn core_scatter_of_replicates(
    analyte: &'static Analyte,
    sets: &[Vec<f64>],
    cores_each: usize,
) -> Result<Option<OwnScatter>, AgronomyError> {
    let Some(laboratory) = default_spread(analyte)
        .and_then(|spread| spread.laboratory.scatter.on_scale(analyte.scale))
    else {
        return Ok(None);
    };
    if sets.iter().all(|set| set.len() < 2) {
        return Ok(None);
    }
    let core = core_scatter_from_composites(sets, cores_each, Estimate::known(laboratory), 1)
        .map_err(refused_by_statistics("scatter of replicate samples"))?;
    Ok(Some(OwnScatter { analyte, core }))
}

/// Scatter between cores of an analyte: the default with the notebook's own added to it, or
/// whichever there is; `None` where there is neither.
///
/// # Source pooled variance, weighted by degrees of freedom (Snedecor and Cochran, Statistical
///   Methods, 8th ed., 6.8), `limesoda-fields` for those of a default.
#[must_use]
pub fn core_scatter(analyte: &Analyte, own: &[OwnScatter]) -> Option<CoreScatter> {
    let default = default_spread(analyte).map(|spread| &spread.core);
    let own = own.iter().find(|own| own.analyte.id == analyte.id).map(|own| own.core);
    core_scatter_from(default, analyte.scale, own)
}

/// As [`core_scatter`], from a given default.
#[must_use]
pub fn core_scatter_from(
    default: Option<&'static SpreadTerm>,
    scale: Scale,
    own: Option<Estimate>,
) -> Option<CoreScatter> {
    let default = default.and_then(|term| {
        Some((Estimate { deviation: term.scatter.on_scale(scale)?, df: term.df }, term))
    });
    let known = match (default, own) {
        (Some((default, _)), Some(own)) => pooled(default, own),
        (Some((default, _)), None) => default,
        (None, Some(own)) => own,
        (None, None) => return None,
    };
    Some(CoreScatter { known, default, own })
}

fn pooled(one: Estimate, other: Estimate) -> Estimate {
    let df = one.df + other.df;
    let squares = one.df * one.deviation.powi(2) + other.df * other.deviation.powi(2);
    Estimate { deviation: (squares / df).sqrt(), df }
}

impl CoreScatter {
    /// Writes it into a working: where it comes from and how well it is known.
    #[must_use]
    pub fn shown(&self, name: &str, unit: &str, mut working: Working) -> Working {
        let freedom = |df: f64| format!("counted with {df:.0} degrees of freedom");
        if let Some((default, term)) = self.default {
            let from = format!("{}; {}", term.from, freedom(default.df));
            let name = if self.own.is_some() { "Its published default" } else { name };
            working = working.assumed(name, default.deviation, unit, &from);
            for source in &term.sources {
                working = working.source(source.clone());
            }
        }
        if let Some(own) = self.own {
            working = working.input(
                "From replicate samples of this ground",
                own.deviation,
                unit,
                Origin::Derived,
            );
            working = working.input("Their degrees of freedom", own.df, "", Origin::Derived);
        }
        match (self.default, self.own) {
            (Some((default, _)), Some(own)) => working
                .step(
                    name,
                    format!(
                        "sqrt(({:.0} x {:.4}^2 + {:.1} x {:.4}^2) / {:.1})",
                        default.df, default.deviation, own.df, own.deviation, self.known.df
                    ),
                    self.known.deviation,
                    unit,
                )
                .source(source("gum-2008")),
            (Some(_), None) => working.caution(
                "The scatter is a published default, not this ground's own: replicate samples of \
                 a zone are added to it and soon outweigh it.",
            ),
            _ => working,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analyte::analyte;

    #[test]
    fn replicates_are_added_to_the_default_by_their_degrees_of_freedom() {
        let ph = analyte("ph-water").unwrap();
        let own = OwnScatter { analyte: ph, core: Estimate { deviation: 0.20, df: 4.0 } };
        let found = core_scatter(ph, &[own]).unwrap().known;
        // Pooled by hand: (2 x 0.43^2 + 4 x 0.20^2) / 6 = 0.088300.
        assert!((found.deviation - 0.088_300_f64.sqrt()).abs() < 1e-9, "{found:?}");
        assert!((found.df - 6.0).abs() < 1e-12, "{found:?}");
        let default = core_scatter(ph, &[]).unwrap().known;
        assert!((default.deviation - 0.43).abs() < 1e-12 && (default.df - 2.0).abs() < 1e-12);
        let text = analyte("texture-clay").or_else(|| analyte("clay"));
        assert!(text.is_none_or(|clay| core_scatter(clay, &[own]).is_none()), "another analyte");
    }

    #[test]
    fn a_pair_of_composites_gives_the_scatter_of_their_cores() {
        // s^2 of 6.0 and 6.4 is 0.08; less 0.08^2 of the laboratory, times 10 cores: 0.736.
        let ph = analyte("ph-water").unwrap();
        let own = core_scatter_of_replicates(ph, &[vec![6.0, 6.4]], 10).unwrap().unwrap();
        assert!((own.core.deviation - 0.736_f64.sqrt()).abs() < 1e-9, "{own:?}");
        assert!((own.core.df - (0.0736_f64 / 0.08).powi(2)).abs() < 1e-9, "Satterthwaite: {own:?}");
        assert_eq!(core_scatter_of_replicates(ph, &[vec![6.0]], 10).unwrap(), None, "a single one");
    }
}
