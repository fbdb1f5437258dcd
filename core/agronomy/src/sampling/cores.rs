//! How many cores a wanted margin takes.
//!
//! It does not own the interval of one reading (`interpret`) nor where the cores go (`points`).

use swardbook_stats::{
    distribution::{normal_quantile, t_quantile},
    sample_size,
    uncertainty::{CompositeBudget, Scatter as Known, composite},
};
use swardbook_units::{Origin, Source, Worked, Working};

use crate::{
    AgronomyError,
    analyte::{Analyte, Scale},
    error::{positive, refused_by_statistics, within},
    source,
    spread::{Scatter, SpreadTerm, default_spread},
};

/// An amount of scatter with its unit and where it comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedScatter {
    /// Standard deviation in the unit, or coefficient of variation in %.
    pub amount: f64,
    /// Unit of the amount and of the margin: the reading's own, or `%` of the mean.
    pub unit: String,
    /// Where it comes from.
    pub origin: Origin,
    /// On whose word, where it is a default.
    pub sources: Vec<Source>,
}

impl NamedScatter {
    /// Scatter that a person gave or a notebook measured.
    #[must_use]
    pub fn given(amount: f64, unit: &str) -> Self {
        Self { amount, unit: unit.to_owned(), origin: Origin::Given, sources: Vec::new() }
    }

    pub(crate) fn published(term: &SpreadTerm, analyte: &Analyte) -> Self {
        let (amount, unit) = match term.scatter {
            Scatter::Deviation(deviation) => {
                let unit = match analyte.scale {
                    Scale::Linear => analyte.by.first().map_or("", |by| by.unit.symbol),
                    Scale::Log | Scale::Logit => "",
                };
                (deviation, unit)
            }
            Scatter::Variation(variation) => (100.0 * variation, "%"),
        };
        Self {
            amount,
            unit: unit.to_owned(),
            origin: Origin::Default(term.from.clone()),
            sources: term.sources.clone(),
        }
    }

    fn shown(&self, name: &str, mut working: Working) -> Working {
        working = working.input(name, self.amount, &self.unit, self.origin.clone());
        for source in &self.sources {
            working = working.source(source.clone());
        }
        if matches!(self.origin, Origin::Default(_)) {
            working = working.caution(
                "The scatter is a published default, not this ground's own: replicate samples of a \
                 zone say more.",
            );
        }
        working
    }
}

/// Scatter between single cores of an analyte by default; `None` where there is none.
#[must_use]
pub fn default_core_scatter(analyte: &Analyte) -> Option<NamedScatter> {
    default_spread(analyte).map(|spread| NamedScatter::published(&spread.core, analyte))
}

/// Scatter between repeats in one laboratory of an analyte by default; `None` where there is none.
#[must_use]
pub fn default_laboratory_scatter(analyte: &Analyte) -> Option<NamedScatter> {
    default_spread(analyte).map(|spread| NamedScatter::published(&spread.laboratory, analyte))
}

/// What a laboratory adds to the margin.
#[derive(Debug, Clone, PartialEq)]
pub struct LaboratoryPart {
    /// Scatter between repeats, in the unit of the scatter between cores.
    pub scatter: NamedScatter,
    /// Repeats that it averages.
    pub repeats: u32,
}

/// A number of cores and what it reaches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoresNeeded {
    /// Whole cores, at least two: one core has no scatter.
    pub cores: usize,
    /// Before rounding up, by the t of the whole number.
    pub raw: f64,
    /// The margin that the whole number reaches.
    pub reached: f64,
}

const OPERATION: &str = "number of cores";
/// More cores than anybody pulls from one zone.
const MOST: usize = 100_000;

/// Cores whose mean lies within the margin of the zone's true mean, counting the cores alone.
///
/// # Units  margin in the unit of the scatter; level as a ratio.
/// # Errors `Argument` for a scatter or margin not above zero or a level out of range; `Refused` for
///   a margin that takes too many cores.
/// # Source `moisture-instrument-manual`, n = (t s / E)^2 with t for n - 1, solved by trying n.
pub fn cores_for_margin(
    core: &NamedScatter,
    margin: f64,
    level: f64,
) -> Result<Worked<CoresNeeded>, AgronomyError> {
    let (s, margin, level) = checked(core, margin, level)?;
    let cores =
        sample_size::cores_needed(s, margin, level).map_err(refused_by_statistics(OPERATION))?;
    let of_statistics = refused_by_statistics(OPERATION);
    let t = t_quantile(0.5 + 0.5 * level, cores as f64 - 1.0).map_err(of_statistics)?;
    let reached = t * s / (cores as f64).sqrt();
    let raw = (t * s / margin).powi(2);
    let working = core
        .shown(
            "Scatter between cores, s",
            Working::new("n = (t s / E)^2, t for n - 1 and the level"),
        )
        .given("Wanted margin either way, E", margin, &core.unit)
        .given("Level", level, "")
        .step("t of the number found", format!("{cores} - 1 degrees of freedom"), t, "")
        .step("cores before rounding up", format!("({t:.4} x {s} / {margin})^2"), raw, "")
        .step("margin that is reached", format!("{t:.4} x {s} / sqrt {cores}"), reached, &core.unit)
        .source(source("moisture-instrument-manual"))
        .caution(
            "Counts the scatter of the ground only; the laboratory adds its own, which no number \
             of cores takes away.",
        );
    Ok(Worked::new(CoresNeeded { cores, raw, reached }, few_cores(cores, working)))
}

/// The same with a laboratory's scatter inside the margin.
///
/// # Errors As [`cores_for_margin`]; `Refused` when the laboratory's scatter alone fills the margin,
///   which no number of cores can mend.
/// # Source `gum-2008` for putting the two together.
pub fn cores_for_margin_with_laboratory(
    core: &NamedScatter,
    laboratory: &LaboratoryPart,
    margin: f64,
    level: f64,
) -> Result<Worked<CoresNeeded>, AgronomyError> {
    let (s, margin, level) = checked(core, margin, level)?;
    let lab = positive(OPERATION, "laboratory", laboratory.scatter.amount, "")?;
    if laboratory.scatter.unit != core.unit {
        return Err(AgronomyError::Refused {
            operation: OPERATION,
            argument: "laboratory",
            why: format!(
                "its scatter is in {}, that of the cores in {}; give both in one",
                laboratory.scatter.unit, core.unit
            ),
        });
    }
    let of_statistics = refused_by_statistics(OPERATION);
    let z = normal_quantile(0.5 + 0.5 * level).map_err(of_statistics)?;
    let repeats = f64::from(laboratory.repeats.max(1));
    let least = z * lab / repeats.sqrt();
    if least >= margin {
        return Err(AgronomyError::Refused {
            operation: OPERATION,
            argument: "margin",
            why: format!(
                "the laboratory's scatter alone reaches {least:.3} {} either way, so no number of \
                 cores reaches {margin}; ask for more repeats or take a wider margin",
                core.unit
            ),
        });
    }
    let reach = |cores: usize| -> Result<f64, AgronomyError> {
        let budget = CompositeBudget {
            core: Known { deviation: s, df: cores as f64 - 1.0 },
            cores,
            laboratory: Known::known(lab),
            repeats: laboratory.repeats.max(1) as usize,
            between_laboratories: None,
        };
        let found = composite(&budget).and_then(|u| u.combined.expanded(level));
        found.map_err(refused_by_statistics(OPERATION))
    };
    let mut cores =
        sample_size::cores_needed(s, margin, level).map_err(refused_by_statistics(OPERATION))?;
    let mut reached = reach(cores)?;
    while reached > margin {
        cores += 1;
        if cores > MOST {
            return Err(AgronomyError::Refused {
                operation: OPERATION,
                argument: "margin",
                why: format!("it takes more than {MOST} cores; take a wider one"),
            });
        }
        reached = reach(cores)?;
    }
    let t_u = reached / margin;
    let working = core.shown(
        "Scatter between cores, s",
        Working::new("t sqrt(s^2 / n + s_lab^2 / k) <= E, smallest n"),
    );
    let working = laboratory
        .scatter
        .shown("Scatter in the laboratory, s_lab", working)
        .given("Repeats, k", repeats, "")
        .given("Wanted margin either way, E", margin, &core.unit)
        .given("Level", level, "")
        .step(
            "margin of the laboratory alone",
            format!("{z:.4} x {lab} / sqrt {repeats}"),
            least,
            &core.unit,
        )
        .step(
            "margin that is reached",
            format!("t sqrt({s}^2 / {cores} + {lab}^2 / {repeats})"),
            reached,
            &core.unit,
        )
        .source(source("moisture-instrument-manual"))
        .source(source("gum-2008"));
    let raw = cores as f64 * t_u;
    Ok(Worked::new(CoresNeeded { cores, raw, reached }, few_cores(cores, working)))
}

/// Cores by a t that is taken as given, as hand calculations do.
///
/// # Units  margin in the unit of the scatter.
/// # Errors `Argument` for a number not above zero.
/// # Source `moisture-instrument-manual`: N = 4 t^2 s^2 / L^2, L the full width, 2 E here.
pub fn cores_at_t(
    t: f64,
    core: &NamedScatter,
    margin: f64,
) -> Result<Worked<CoresNeeded>, AgronomyError> {
    let t = within(OPERATION, "t", t, "", 0.1, 1e6)?;
    let (s, margin, _) = checked(core, margin, 0.95)?;
    let raw = (t * s / margin).powi(2);
    // A whole number that the last bit of binary arithmetic lifts is not the next whole number.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "positive, and a number above the greatest integer becomes the greatest"
    )]
    let cores = ((raw - 1e-9 * raw).ceil() as usize).max(2);
    let reached = t * s / (cores as f64).sqrt();
    let working = core
        .shown("Scatter between cores, s", Working::new("n = (t s / E)^2"))
        .given("t", t, "")
        .given("Wanted margin either way, E", margin, &core.unit)
        .step("cores before rounding up", format!("({t} x {s} / {margin})^2"), raw, "")
        .source(source("moisture-instrument-manual"))
        .caution(
            "t hangs on the number of cores itself: a t that is taken as given is a first guess.",
        );
    Ok(Worked::new(CoresNeeded { cores, raw, reached }, working))
}

fn checked(core: &NamedScatter, margin: f64, level: f64) -> Result<(f64, f64, f64), AgronomyError> {
    Ok((
        positive(OPERATION, "scatter", core.amount, "")?,
        positive(OPERATION, "margin", margin, "")?,
        within(OPERATION, "level", level, "", 0.5, 0.9999)?,
    ))
}

/// Fewer cores than extension guides ask for is said, whatever the margin.
fn few_cores(cores: usize, working: Working) -> Working {
    /// The least that guides for turf ask for.
    const LEAST: usize = 12;
    if cores >= LEAST {
        return working;
    }
    working
        .caution(
            "Guides ask for 12 to 15 cores at least and 20 to 30 better: fewer suffice for this \
             margin only if the scatter is right.",
        )
        .source(source("kansas-turf-sampling"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analyte::analyte;

    #[test]
    fn the_number_reaches_the_margin_and_one_less_does_not() {
        for (s, margin) in [(0.43, 0.2), (36.5, 15.0), (10.0, 9.0), (1.0, 3.0)] {
            let core = NamedScatter::given(s, "%");
            let found = cores_for_margin(&core, margin, 0.95).unwrap().value;
            assert!(found.reached <= margin, "{found:?}");
            if found.cores > 2 {
                let less = sample_size::margin_reached(s, found.cores - 1, 0.95).unwrap();
                assert!(less > margin, "{found:?}: {less}");
            }
        }
    }

    #[test]
    fn a_laboratory_takes_more_cores_or_refuses() {
        let core = NamedScatter::given(0.43, "pH");
        let alone = cores_for_margin(&core, 0.2, 0.95).unwrap().value;
        let part = |amount, repeats| LaboratoryPart {
            scatter: NamedScatter::given(amount, "pH"),
            repeats,
        };
        let with = |part: &LaboratoryPart| cores_for_margin_with_laboratory(&core, part, 0.2, 0.95);
        let found = with(&part(0.08, 1)).unwrap().value;
        assert!(found.cores > alone.cores && found.reached <= 0.2, "{found:?} after {alone:?}");
        let twice = with(&part(0.08, 2)).unwrap().value;
        assert!(twice.cores < found.cores, "repeats spare cores: {twice:?}");
        let refused = with(&part(0.11, 1)).unwrap_err();
        assert_eq!(refused.argument(), "margin", "1.96 x 0.11 is above 0.2");
        assert!(with(&part(0.11, 2)).is_ok(), "two repeats make room");
    }

    #[test]
    fn defaults_come_from_the_table_of_spreads_with_their_words() {
        let ph = default_core_scatter(analyte("ph-water").unwrap()).unwrap();
        assert_eq!((ph.amount, ph.unit.as_str()), (0.43, "pH"), "a deviation in pH");
        let p = default_core_scatter(analyte("p").unwrap()).unwrap();
        assert!((p.amount - 36.5).abs() < 1e-9 && p.unit == "%", "{p:?}");
        let found = cores_for_margin(&p, 20.0, 0.95).unwrap().working;
        assert!(found.cautions.iter().any(|c| c.contains("published default")), "said");
        assert!(found.sources.iter().any(|s| s.key == "nz-hill-country-sampling"), "{found:?}");
    }

    #[test]
    fn scatter_in_another_unit_is_refused() {
        let core = NamedScatter::given(36.5, "%");
        let part = LaboratoryPart { scatter: NamedScatter::given(2.0, "mg/kg"), repeats: 1 };
        let refused = cores_for_margin_with_laboratory(&core, &part, 20.0, 0.95).unwrap_err();
        assert_eq!(refused.argument(), "laboratory", "named");
    }
}
