//! How much readings scatter: between cores, within a laboratory, between laboratories.
//!
//! The table holds defaults and is shown as such; a notebook's own replicates are added to them.
//! This module does not own the composite's uncertainty (`swardbook-stats`).

mod own;

use std::{collections::BTreeMap, sync::LazyLock};

use serde::Deserialize;
use swardbook_units::{Percent, Source, Worked, Working};

pub use own::{
    CoreScatter, OwnScatter, core_scatter, core_scatter_from, core_scatter_of_replicates,
};

use crate::{
    AgronomyError,
    analyte::{Analyte, Scale},
    error::{positive, within},
    source,
};

/// An amount of scatter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Scatter {
    /// Standard deviation in the unit the analyte is kept in.
    Deviation(f64),
    /// Standard deviation over the mean.
    Variation(f64),
}

impl Scatter {
    /// Standard deviation on the scale the analyte's errors are even on.
    ///
    /// On the log scale a variation v is sqrt(ln(1 + v^2)).
    /// `None` where the two do not fit: a deviation in units has no place on the log scale, nor a
    /// variation on the linear one, without the mean.
    #[must_use]
    pub fn on_scale(self, scale: Scale) -> Option<f64> {
        match (self, scale) {
            (Self::Variation(v), Scale::Log) => Some((v * v).ln_1p().sqrt()),
            (Self::Deviation(d), Scale::Linear) => Some(d),
            _ => None,
        }
    }
}

/// Degrees of freedom with which the default of the scatter between cores counts.
///
/// The logarithms of the variances of pH within 31 fields scatter with a variance of 1.01, as those
/// of estimates with 2 / 1.01 degrees of freedom do; with two, the interval of a composite holds the
/// mean of the field in 95.6 % of cases where 95 % is promised (`tests/dense_fields.rs`).
///
/// # Source `limesoda-fields` for pH; for everything else taken over from it (`common-practice`).
pub const DEFAULT_FREEDOM: f64 = 2.0;

/// One part of the scatter and where it comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct SpreadTerm {
    /// How much.
    pub scatter: Scatter,
    /// Degrees of freedom it counts with; infinite where it is taken as known.
    pub df: f64,
    /// Where it is published.
    pub sources: Vec<Source>,
    /// How it was taken from there, in words.
    pub from: String,
}

/// The scatter of one analyte.
#[derive(Debug, Clone, PartialEq)]
pub struct Spread {
    /// Between cores of one zone.
    pub core: SpreadTerm,
    /// Between repeats in one laboratory.
    pub laboratory: SpreadTerm,
    /// Between laboratories, added when the laboratory changed.
    pub between_laboratories: SpreadTerm,
}

/// The default scatter of an analyte, or `None` where there is none even by habit.
#[must_use]
pub fn default_spread(analyte: &Analyte) -> Option<&'static Spread> {
    TABLE.get(&analyte.id)
}

/// Robust coefficient of variation between laboratories from the quartiles of their results.
///
/// # Units  any one unit; returns %.
/// # Errors `Argument` naming the quartile that is out of order.
/// # Source `rayment-lyons-2011`: 100 x 0.7413 x interquartile range / median.
pub fn robust_variation(q1: f64, median: f64, q3: f64) -> Result<Worked<Percent>, AgronomyError> {
    const OPERATION: &str = "robust variation";
    let median = positive(OPERATION, "median", median, "")?;
    let q1 = within(OPERATION, "q1", q1, "", 0.0, median)?;
    let q3 = within(OPERATION, "q3", q3, "", median, f64::MAX)?;
    let variation = 100.0 * 0.7413 * (q3 - q1) / median;
    let working = Working::new("robust CV = 100 x 0.7413 x (Q3 - Q1) / median")
        .given("Lower quartile", q1, "")
        .given("Median", median, "")
        .given("Upper quartile", q3, "")
        .step("robust variation", format!("100 x 0.7413 x ({q3} - {q1}) / {median}"), variation, "%")
        .source(source("rayment-lyons-2011"))
        .caution("One standard deviation between laboratories; precision within one is often given as two.");
    Ok(Worked::new(Percent(variation), working))
}

/// The variation between laboratories that Horwitz' curve expects at a concentration.
///
/// # Units  mass of analyte over mass of soil in kg/kg; returns %.
/// # Errors `Argument` when the mass fraction is not above 0 and at most 1.
/// # Source `horwitz-1982`, from memory: 2^(1 - 0.5 log10 C).
pub fn horwitz_variation(mass_fraction: f64) -> Result<Worked<Percent>, AgronomyError> {
    const OPERATION: &str = "expected variation between laboratories";
    let c = positive(OPERATION, "mass_fraction", mass_fraction, "kg/kg")?;
    let c = within(OPERATION, "mass_fraction", c, "kg/kg", 0.0, 1.0)?;
    let variation = 2.0_f64.powf(1.0 - 0.5 * c.log10());
    let working = Working::new("RSD % = 2^(1 - 0.5 log10 C)")
        .given("Mass fraction", c, "kg/kg")
        .step("expected variation", format!("2^(1 - 0.5 x log10 {c})"), variation, "%")
        .source(source("horwitz-1982"))
        .caution("Soil-test programmes usually scatter more than this curve.");
    Ok(Worked::new(Percent(variation), working))
}

#[derive(Deserialize)]
#[serde(untagged)]
enum Keys {
    One(String),
    Several(Vec<String>),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    analytes: Vec<String>,
    core_sd: Option<f64>,
    core_cv: Option<f64>,
    core_source: Keys,
    core_from: String,
    lab_sd: Option<f64>,
    lab_cv: Option<f64>,
    lab_source: Keys,
    lab_from: String,
    between_sd: Option<f64>,
    between_cv: Option<f64>,
    between_source: Keys,
    between_from: String,
}

#[derive(Deserialize)]
struct File {
    spread: Vec<Row>,
}

static TABLE: LazyLock<BTreeMap<String, Spread>> = LazyLock::new(|| {
    let file: File = toml::from_str(include_str!("../data/spread.toml"))
        .expect("the embedded table of spreads parses; a test reads it");
    let mut table = BTreeMap::new();
    for row in file.spread {
        let spread = Spread {
            core: SpreadTerm {
                df: DEFAULT_FREEDOM,
                ..term(row.core_sd, row.core_cv, row.core_source, row.core_from)
            },
            laboratory: term(row.lab_sd, row.lab_cv, row.lab_source, row.lab_from),
            between_laboratories: term(
                row.between_sd,
                row.between_cv,
                row.between_source,
                row.between_from,
            ),
        };
        for id in row.analytes {
            table.insert(id, spread.clone());
        }
    }
    table
});

fn term(sd: Option<f64>, cv: Option<f64>, keys: Keys, from: String) -> SpreadTerm {
    let keys = match keys {
        Keys::One(key) => vec![key],
        Keys::Several(keys) => keys,
    };
    SpreadTerm {
        scatter: sd
            .map(Scatter::Deviation)
            .or_else(|| cv.map(Scatter::Variation))
            .expect("every row of the embedded table has a deviation or a variation"),
        df: f64::INFINITY,
        sources: keys.iter().map(|key| source(key)).collect(),
        from,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{analyte::analyte, guideline::guidelines};

    #[test]
    fn every_row_fits_its_analytes_scale() {
        assert!(TABLE.len() > 20, "the table is read");
        for (id, spread) in TABLE.iter() {
            let analyte = analyte(id).unwrap_or_else(|| panic!("{id} is no analyte"));
            for term in [&spread.core, &spread.laboratory, &spread.between_laboratories] {
                let sd = term.scatter.on_scale(analyte.scale);
                assert!(sd.is_some_and(|sd| sd > 0.0 && sd < 1.0), "{id}: {term:?}");
            }
        }
    }

    #[test]
    fn every_analyte_that_a_guideline_reads_has_a_spread() {
        for guideline in guidelines() {
            for limit in &guideline.limits {
                assert!(default_spread(limit.analyte).is_some(), "{}", limit.analyte.id);
            }
        }
    }

    #[test]
    fn middles_between_two_published_figures_are_their_geometric_means() {
        let variation = |id| match default_spread(analyte(id).unwrap()).unwrap().core.scatter {
            Scatter::Variation(v) => v,
            Scatter::Deviation(_) => panic!("{id} is on the log scale"),
        };
        // oxford-panels: Mg 69.06 %, CEC 49.02 %, organic matter 42.91 %; soil250-panels: Mg
        // 12.62 %, CEC 10.39 %; waynick-sharp-1918: carbon 12.22 %, nitrogen 9.42 and 22.36 %.
        for (id, low, high) in [
            ("mg", 0.1262, 0.6906),
            ("cec", 0.1039, 0.4902),
            ("organic-matter", 0.1222, 0.4291),
            ("total-n", 0.0942, 0.2236),
        ] {
            let middle = f64::sqrt(low * high);
            assert!((variation(id) - middle).abs() < 0.001, "{id}: {middle}");
        }
    }

    #[test]
    fn quartiles_out_of_order_are_named() {
        assert_eq!(robust_variation(11.0, 10.0, 12.0).unwrap_err().argument(), "q1", "above");
        assert_eq!(robust_variation(9.0, 10.0, 9.5).unwrap_err().argument(), "q3", "below");
    }
}
