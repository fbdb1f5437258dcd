//! One part of the scatter in a comparison, and where it comes from.

use swardbook_units::{Origin, Working};

use crate::{
    analyte::{Analyte, Scale},
    sampling::cores::NamedScatter,
    spread::{OwnScatter, core_scatter, default_spread},
};

/// Scatter and how well it is known.
#[derive(Debug, Clone, PartialEq)]
pub struct ScatterPart {
    /// How much: % of the mean on the log scale, the reading's unit on the linear one, log odds on
    /// the logit one.
    pub scatter: NamedScatter,
    /// Degrees of freedom it was estimated with; infinite where it is taken as known.
    pub df: f64,
    /// What to know about it, in a sentence; empty where there is nothing.
    pub caution: String,
}

const DEFAULT_ONLY: &str = "The scatter between cores is a published default, not this ground's \
                            own: replicate samples of a zone are added to it and soon outweigh it.";

impl ScatterPart {
    /// Scatter taken as known.
    #[must_use]
    pub const fn known(scatter: NamedScatter) -> Self {
        Self { scatter, df: f64::INFINITY, caution: String::new() }
    }

    /// Scatter between cores of one zone: the published default with the notebook's own added to
    /// it; `None` where there is neither.
    ///
    /// # Source as [`core_scatter`].
    #[must_use]
    pub fn between_cores(analyte: &Analyte, own: &[OwnScatter]) -> Option<Self> {
        let found = core_scatter(analyte, own)?;
        let (unit, amount) = match analyte.scale {
            Scale::Log => ("%", 100.0 * found.known.deviation.powi(2).exp_m1().sqrt()),
            Scale::Linear => {
                (analyte.by.first().map_or("", |by| by.unit.symbol), found.known.deviation)
            }
            Scale::Logit => ("", found.known.deviation),
        };
        let (from, sources) =
            found.default.map(|(_, term)| (term.from.clone(), term.sources.clone())).unzip();
        let (origin, caution) = match (found.own, from) {
            (None, from) => (Origin::Default(from.unwrap_or_default()), DEFAULT_ONLY.to_owned()),
            (Some(own), from) => (
                Origin::Derived,
                format!(
                    "The scatter between cores is put together from replicate samples of this \
                     ground ({:.1} degrees of freedom){}.",
                    own.df,
                    if from.is_some() { " and the published default (2)" } else { "" }
                ),
            ),
        };
        let scatter = NamedScatter {
            amount,
            unit: unit.to_owned(),
            origin,
            sources: sources.unwrap_or_default(),
        };
        Some(Self { scatter, df: found.known.df, caution })
    }

    /// Scatter between repeats in one laboratory by default; `None` where there is none.
    #[must_use]
    pub fn in_laboratory(analyte: &Analyte) -> Option<Self> {
        default_spread(analyte)
            .map(|spread| Self::known(NamedScatter::published(&spread.laboratory, analyte)))
    }

    /// Scatter between laboratories by default; `None` where there is none.
    #[must_use]
    pub fn between_laboratories(analyte: &Analyte) -> Option<Self> {
        default_spread(analyte).map(|spread| {
            Self::known(NamedScatter::published(&spread.between_laboratories, analyte))
        })
    }

    /// Writes it into a working.
    pub(super) fn shown(&self, name: &str, mut working: Working) -> Working {
        let NamedScatter { amount, unit, origin, sources } = &self.scatter;
        working = working.input(name, *amount, unit, origin.clone());
        for source in sources {
            working = working.source(source.clone());
        }
        if !self.caution.is_empty() {
            working = working.caution(&self.caution);
        }
        working
    }
}
