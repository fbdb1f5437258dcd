//! The uncertainty of one composite: cores, repeats, and where the scatter comes from.

use swardbook_stats::uncertainty::{CompositeBudget, Scatter as Known, composite};
use swardbook_units::{Origin, Worked, Working};

use crate::{
    AgronomyError,
    analyte::{Analyte, Scale},
    source,
    spread::{Spread, SpreadTerm, default_spread},
};

/// How a composite was taken and read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sampling {
    /// Cores in the composite.
    pub cores: u32,
    /// Repeats in the laboratory.
    pub repeats: u32,
}

impl Sampling {
    pub(super) fn check(self) -> Result<(), AgronomyError> {
        for (argument, count) in [("cores", self.cores), ("repeats", self.repeats)] {
            if count == 0 {
                return Err(AgronomyError::Argument {
                    operation: "uncertainty of a composite",
                    argument,
                    value: 0.0,
                    unit: "",
                    allowed: "1 or more".to_owned(),
                });
            }
        }
        Ok(())
    }
}

/// One part of a notebook's own scatter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OwnScatter {
    /// Standard deviation on the analyte's scale: its unit, natural logarithm or log odds.
    pub deviation: f64,
    /// Degrees of freedom it was estimated with.
    pub degrees_of_freedom: f64,
}

/// A notebook's own scatter of one analyte; a part that was not measured keeps its default.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OwnSpread {
    /// What it is the scatter of.
    pub analyte: &'static Analyte,
    /// Between cores of one zone.
    pub core: Option<OwnScatter>,
    /// Between repeats in one laboratory.
    pub laboratory: Option<OwnScatter>,
}

/// The standard uncertainty of one composite on its analyte's scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CompositeSpread {
    /// Standard uncertainty.
    pub u: f64,
    /// Effective degrees of freedom; infinite for defaults.
    pub degrees_of_freedom: f64,
    /// Scatter between cores.
    pub core: f64,
    /// Scatter between repeats.
    pub laboratory: f64,
}

/// The uncertainty of a composite's reading, with the notebook's own scatter where there is one
/// and the defaults where not; `None` where neither is known.
///
/// # Units  on the analyte's scale: its unit, natural logarithm or log odds.
/// # Source `gum-2008` for the combination and the degrees of freedom; the scatter's own sources.
#[must_use]
pub fn composite_spread(
    analyte: &'static Analyte,
    sampling: &Sampling,
    own: &[OwnSpread],
) -> Option<Worked<CompositeSpread>> {
    let own = own.iter().find(|spread| spread.analyte.id == analyte.id);
    composite_spread_from(analyte, sampling, own, default_spread(analyte))
}

/// As [`composite_spread`], from a given default.
#[must_use]
pub fn composite_spread_from(
    analyte: &'static Analyte,
    sampling: &Sampling,
    own: Option<&OwnSpread>,
    default: Option<&Spread>,
) -> Option<Worked<CompositeSpread>> {
    sampling.check().ok()?;
    let unit = match analyte.scale {
        Scale::Linear => analyte.by.first()?.unit.symbol,
        Scale::Log => "ln",
        Scale::Logit => "log odds",
    };
    let working = Working::new("u^2 = s_core^2 / cores + s_lab^2 / repeats");
    let (core, core_df, working) = part(
        "Scatter between cores",
        own.and_then(|o| o.core),
        default.map(|d| &d.core),
        analyte.scale,
        unit,
        working,
    )?;
    let (laboratory, laboratory_df, working) = part(
        "Scatter in the laboratory",
        own.and_then(|o| o.laboratory),
        default.map(|d| &d.laboratory),
        analyte.scale,
        unit,
        working,
    )?;
    let found = composite(&CompositeBudget {
        core: Known { deviation: core, df: core_df },
        cores: sampling.cores as usize,
        laboratory: Known { deviation: laboratory, df: laboratory_df },
        repeats: sampling.repeats as usize,
        between_laboratories: None,
    })
    .ok()?
    .combined;
    // Without any scatter there is nothing to judge by.
    if !(found.u.is_finite() && found.u > 0.0) {
        return None;
    }
    let (u, degrees_of_freedom) = (found.u, found.df);
    let (cores, repeats) = (f64::from(sampling.cores), f64::from(sampling.repeats));
    let working = working
        .given("Cores", cores, "")
        .given("Repeats", repeats, "")
        .step(
            "standard uncertainty of the composite",
            format!("sqrt({core:.4}^2 / {cores} + {laboratory:.4}^2 / {repeats})"),
            u,
            unit,
        )
        .source(source("gum-2008"));
    Some(Worked::new(CompositeSpread { u, degrees_of_freedom, core, laboratory }, working))
}

/// One part: the notebook's own, else the default; with where it comes from.
fn part(
    name: &str,
    own: Option<OwnScatter>,
    default: Option<&SpreadTerm>,
    scale: Scale,
    unit: &str,
    mut working: Working,
) -> Option<(f64, f64, Working)> {
    if let Some(own) = own.filter(|own| own.deviation.is_finite() && own.deviation >= 0.0) {
        working = working.input(name, own.deviation, unit, Origin::Derived);
        return Some((own.deviation, own.degrees_of_freedom.max(1.0), working));
    }
    let term = default?;
    let deviation = term.scatter.on_scale(scale)?;
    working = working.assumed(name, deviation, unit, &term.from);
    for source in &term.sources {
        working = working.source(source.clone());
    }
    working = working.caution(
        "The scatter is a published default, not this ground's own: replicate samples of a zone \
         would take its place.",
    );
    Some((deviation, f64::INFINITY, working))
}
