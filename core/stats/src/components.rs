//! Scatter split into its parts: zone, core, laboratory.

use crate::{
    StatsError,
    anova::{OneWay, one_way},
    describe::mean_of,
    error::{count, length, values as check},
    uncertainty::Scatter,
};

/// Scatter between and within groups.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Components {
    /// The analysis of variance behind it.
    pub table: OneWay,
    /// Mean of all values.
    pub mean: f64,
    /// Variance between groups as estimated; a negative one means that none was seen.
    pub between_as_estimated: f64,
    /// The same, none where it was negative.
    pub between: f64,
    /// Variance within groups.
    pub within: f64,
}

/// Splits the scatter of groups: between = (MS between - MS within) / n.
///
/// With fewer than about five groups the part between them is hardly known.
///
/// # Errors `TooFew` below two groups, for an empty group, or without a repeat anywhere; `Argument`
///   for a value not finite.
/// # Source Searle SR, Casella G, `McCulloch` CE (1992) Variance Components: analysis of variance
///   estimators; for groups of unequal size n is `(N - sum n_i^2 / N) / (groups - 1)`.
pub fn one_way_components(groups: &[Vec<f64>]) -> Result<Components, StatsError> {
    let table = one_way(groups)?;
    let all = groups.concat();
    let total = all.len() as f64;
    let squares: f64 = groups.iter().map(|group| (group.len() as f64).powi(2)).sum();
    let n = (total - squares / total) / table.between.df;
    let between = (table.between.mean_square() - table.within.mean_square()) / n;
    Ok(Components {
        table,
        mean: mean_of(&all),
        between_as_estimated: between,
        between: between.max(0.0),
        within: table.within.mean_square(),
    })
}

/// Scatter of a balanced nested sampling: zones, cores in each, readings of each core.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NestedComponents {
    /// Mean of all values.
    pub mean: f64,
    /// Mean square between zones.
    pub ms_zone: f64,
    /// Mean square between cores of a zone.
    pub ms_core: f64,
    /// Mean square between readings of a core.
    pub ms_reading: f64,
    /// Variance between zones, none where it was estimated negative.
    pub zone: f64,
    /// Variance between cores, none where it was estimated negative.
    pub core: f64,
    /// Variance between readings.
    pub reading: f64,
}

/// Splits the scatter of `zones[zone][core][reading]`, equally many of each.
///
/// # Errors `TooFew` below two zones, cores or readings; `Length` where they differ in number;
///   `Argument` for a value not finite.
/// # Source Davies OL, Goldsmith PL (1972) Statistical Methods in Research and Production: expected
///   mean squares of the balanced nested classification.
pub fn nested_components(zones: &[Vec<Vec<f64>>]) -> Result<NestedComponents, StatsError> {
    count("zones", zones.len(), 2)?;
    let (cores, readings) = (zones[0].len(), zones[0].first().map_or(0, Vec::len));
    count("cores", cores, 2)?;
    count("readings", readings, 2)?;
    for zone in zones {
        length("cores", zone.len(), cores)?;
        for core in zone {
            length("readings", core.len(), readings)?;
            check("readings", core, 2)?;
        }
    }
    let core_means: Vec<Vec<f64>> =
        zones.iter().map(|zone| zone.iter().map(|core| mean_of(core)).collect()).collect();
    let between_zones = one_way(&core_means)?;
    let within_cores = one_way(&zones.concat())?;
    let r = readings as f64;
    let ms_zone = r * between_zones.between.mean_square();
    let ms_core = r * between_zones.within.mean_square();
    let ms_reading = within_cores.within.mean_square();
    Ok(NestedComponents {
        mean: mean_of(&core_means.concat()),
        ms_zone,
        ms_core,
        ms_reading,
        zone: ((ms_zone - ms_core) / (r * cores as f64)).max(0.0),
        core: ((ms_core - ms_reading) / r).max(0.0),
        reading: ms_reading,
    })
}

/// Repeatability from duplicates: `s_r = sqrt(sum d^2 / 2 m)` with m degrees of freedom.
///
/// # Errors `TooFew` for no pair, `Length` for lists of unequal length, `Argument` for a value not
///   finite.
/// # Source ISO 5725-2: within-pair variance of m pairs.
pub fn repeatability(first: &[f64], second: &[f64]) -> Result<Scatter, StatsError> {
    check("first", first, 1)?;
    check("second", second, 1)?;
    let differences = crate::t_test::differences(first, second)?;
    let m = differences.len() as f64;
    let squares: f64 = differences.iter().map(|d| d * d).sum();
    Ok(Scatter { deviation: (squares / (2.0 * m)).sqrt(), df: m })
}
