//! The uncertainty of one composite: cores, repeats, and where the scatter comes from.

use swardbook_stats::uncertainty::{CompositeBudget, Scatter as Known, composite};
use swardbook_units::{Worked, Working};

use crate::{
    AgronomyError,
    analyte::{Analyte, Scale},
    source,
    spread::{OwnScatter, core_scatter, default_spread},
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

/// The standard uncertainty of one composite on its analyte's scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CompositeSpread {
    /// Standard uncertainty.
    pub u: f64,
    /// Effective degrees of freedom.
    pub degrees_of_freedom: f64,
    /// Scatter between cores.
    pub core: f64,
    /// Scatter between repeats.
    pub laboratory: f64,
}

/// The uncertainty of a composite's reading, from the default scatter with the notebook's own added
/// to it; `None` where no default is known for the laboratory.
///
/// # Units  on the analyte's scale: its unit, natural logarithm or log odds.
/// # Source `gum-2008` for the combination and the degrees of freedom; the scatter's own sources.
#[must_use]
pub fn composite_spread(
    analyte: &'static Analyte,
    sampling: &Sampling,
    own: &[OwnScatter],
) -> Option<Worked<CompositeSpread>> {
    sampling.check().ok()?;
    let unit = match analyte.scale {
        Scale::Linear => analyte.by.first()?.unit.symbol,
        Scale::Log => "ln",
        Scale::Logit => "log odds",
    };
    let working = Working::new("u^2 = s_core^2 / cores + s_lab^2 / repeats");
    let core = core_scatter(analyte, own)?;
    let laboratory = &default_spread(analyte)?.laboratory;
    let of_laboratory = laboratory.scatter.on_scale(analyte.scale)?;
    let mut working = core.shown("Scatter between cores", unit, working).assumed(
        "Scatter in the laboratory",
        of_laboratory,
        unit,
        &laboratory.from,
    );
    for source in &laboratory.sources {
        working = working.source(source.clone());
    }
    let (core, laboratory) = (core.known, of_laboratory);
    let found = composite(&CompositeBudget {
        core,
        cores: sampling.cores as usize,
        laboratory: Known::known(laboratory),
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
    let core = core.deviation;
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
