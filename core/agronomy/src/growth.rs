//! How much the temperature alone lets grass grow, and the nitrogen that goes with it.
//!
//! A plan figure, not a measurement: light, water, mowing and dormancy are left out.
//! This module does not own what is put on (`planner`) nor where temperatures come from.

use swardbook_units::{Dose, Origin, Worked, Working};

use crate::{
    AgronomyError,
    error::{positive, within},
    source,
};

/// Which grasses.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GrassSeason {
    /// Bent, fescue, ryegrass, meadow-grass.
    Cool,
    /// Bermuda, paspalum, zoysia and the like, as first published: falling again in great heat.
    Warm,
    /// The same, held at one above the best temperature: the authors' later form.
    WarmHeld,
}

impl GrassSeason {
    /// Best temperature and width, degrees Celsius.
    ///
    /// # Source `woods-growth-2014`: 20 and 5.5 for cool, 31 and 7 for warm.
    const fn curve(self) -> (f64, f64) {
        match self {
            Self::Cool => (20.0, 5.5),
            Self::Warm | Self::WarmHeld => (31.0, 7.0),
        }
    }
}

const OPERATION: &str = "growth potential";

/// Growth potential, 0 to 1, from the mean air temperature of a month, week or day.
///
/// # Units  degrees Celsius in; a share of full growth out.
/// # Errors `Argument` for a temperature not from -60 to 60.
/// # Source `woods-growth-2014`; held at one above the optimum by `gelernter-stowell-warm`.
pub fn growth_potential(
    temperature: f64,
    grass: GrassSeason,
) -> Result<Worked<f64>, AgronomyError> {
    let t = within(OPERATION, "temperature", temperature, "\u{b0}C", -60.0, 60.0)?;
    let (best, width) = grass.curve();
    let off = (t - best) / width;
    let curve = (-0.5 * off * off).exp();
    let held = grass == GrassSeason::WarmHeld && t > best;
    let potential = if held { 1.0 } else { curve };
    let mut working = Working::new("GP = exp(-1/2 ((t - t_best) / width)^2)")
        .given("Mean air temperature, t", t, "\u{b0}C")
        .step(
            "growth potential",
            if held {
                format!("held at 1 above {best}")
            } else {
                format!("exp(-1/2 (({t} - {best}) / {width})^2)")
            },
            potential,
            "",
        )
        .source(source("woods-growth-2014"))
        .caution("From temperature alone: drought, shade and dormancy hold growth below it.");
    if grass == GrassSeason::WarmHeld {
        working = working.source(source("gelernter-stowell-warm"));
    }
    Ok(Worked::new(potential, working))
}

/// Temperature at which cool and warm grasses have the same potential: between the two best ones.
///
/// # Source Computed from the two curves of `woods-growth-2014`, which prints about 24.8.
#[must_use]
pub fn crossover_temperature() -> f64 {
    let (cool, cool_width) = GrassSeason::Cool.curve();
    let (warm, warm_width) = GrassSeason::Warm.curve();
    // (t - cool) / cool_width = (warm - t) / warm_width
    (warm * cool_width + cool * warm_width) / (cool_width + warm_width)
}

/// Grasses whose greatest monthly nitrogen is published.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NitrogenUser {
    /// Creeping bentgrass.
    CreepingBent,
    /// Annual meadow-grass.
    AnnualMeadowGrass,
    /// Bermudagrass.
    Bermuda,
}

/// The most nitrogen a month of full growth uses.
///
/// # Source `woods-growth-2014`: 2, 3 and 4 g/m2, from observation of practice and not a trial.
#[must_use]
pub const fn most_nitrogen_in_a_month(grass: NitrogenUser) -> Dose {
    match grass {
        NitrogenUser::CreepingBent => Dose(2.0),
        NitrogenUser::AnnualMeadowGrass => Dose(3.0),
        NitrogenUser::Bermuda => Dose(4.0),
    }
}

/// The greatest monthly nitrogen and where it comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct MonthlyMost {
    /// Nitrogen of a month of full growth.
    pub dose: Dose,
    /// Where the number comes from.
    pub origin: Origin,
}

impl MonthlyMost {
    /// What the person says this turf uses.
    #[must_use]
    pub const fn given(dose: Dose) -> Self {
        Self { dose, origin: Origin::Given }
    }

    /// The published figure of a grass.
    #[must_use]
    pub fn published(grass: NitrogenUser) -> Self {
        let why = "observation of practice, not a trial (Woods 2014)";
        Self { dose: most_nitrogen_in_a_month(grass), origin: Origin::Default(why.to_owned()) }
    }
}

/// Nitrogen use month by month.
#[derive(Debug, Clone, PartialEq)]
pub struct NitrogenUse {
    /// Potential and use of each month, in the order given.
    pub months: Vec<(f64, Dose)>,
    /// All of them.
    pub total: Dose,
}

/// Nitrogen use of each month from its mean temperature: greatest use x growth potential.
///
/// # Units  degrees Celsius in, g N/m2 out.
/// # Shape  `temperatures`: one mean for each month, at least one and at most twelve.
/// # Errors `Missing` without a month, `Argument` for a temperature or dose that cannot be, `Refused`
///   for more than twelve months.
/// # Source `woods-growth-2014`.
pub fn nitrogen_use(
    temperatures: &[f64],
    grass: GrassSeason,
    most: &MonthlyMost,
) -> Result<Worked<NitrogenUse>, AgronomyError> {
    let operation = "nitrogen use";
    if temperatures.is_empty() {
        return Err(AgronomyError::Missing {
            operation,
            argument: "temperatures",
            remedy: "give the mean temperature of each month",
        });
    }
    if temperatures.len() > 12 {
        return Err(AgronomyError::Refused {
            operation,
            argument: "temperatures",
            why: format!("{} months are more than a year", temperatures.len()),
        });
    }
    let greatest = positive(operation, "most", most.dose.value(), Dose::UNIT)?;
    let greatest = within(operation, "most", greatest, Dose::UNIT, 0.0, 20.0)?;
    let mut working = Working::new("use of a month = greatest use x GP").input(
        "Nitrogen of a month of full growth",
        greatest,
        Dose::UNIT,
        most.origin.clone(),
    );
    let mut months = Vec::with_capacity(temperatures.len());
    let mut total = 0.0;
    for (place, t) in temperatures.iter().enumerate() {
        let gp = growth_potential(*t, grass)?;
        let used = greatest * gp.value;
        total += used;
        months.push((gp.value, Dose(used)));
        working.steps.extend(gp.working.steps);
        working = working.step(
            &format!("nitrogen of month {}", place + 1),
            format!("{greatest} x {:.4}", gp.value),
            used,
            Dose::UNIT,
        );
        for source in gp.working.sources {
            working = working.source(source);
        }
        for caution in &gp.working.cautions {
            working = working.caution(caution);
        }
    }
    let working = working
        .step(
            "nitrogen of all months",
            format!("sum of {} months", months.len()),
            total,
            Dose::UNIT,
        )
        .caution("What grass can use, not what to put on: soil and clippings supply part of it.");
    Ok(Worked::new(NitrogenUse { months, total: Dose(total) }, working))
}

/// How degree-days are counted; the two ways give different sums.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DegreeDayRule {
    /// Mean of the day less the base, zero where that is below it.
    AverageThenZero,
    /// Each extreme is raised to the base before the mean is taken.
    RaiseThenAverage,
}

/// Degree-days above a base from daily extremes.
///
/// # Units  degrees Celsius; returns degree-days.
/// # Shape  `days`: greatest and least temperature of each day.
/// # Errors `Missing` without a day, `Argument` for an impossible temperature, `Refused` for a day
///   whose least is above its greatest.
/// # Source `mcmaster-wilhelm-1997`, from memory: both rules are in use, so the rule is part of the
/// answer.
pub fn degree_days(
    days: &[(f64, f64)],
    base: f64,
    rule: DegreeDayRule,
) -> Result<Worked<f64>, AgronomyError> {
    let operation = "degree-days";
    if days.is_empty() {
        return Err(AgronomyError::Missing {
            operation,
            argument: "days",
            remedy: "give the extremes of at least one day",
        });
    }
    let base = within(operation, "base", base, "\u{b0}C", -10.0, 30.0)?;
    let mut sum = 0.0;
    for (high, low) in days {
        let high = within(operation, "high", *high, "\u{b0}C", -60.0, 60.0)?;
        let low = within(operation, "low", *low, "\u{b0}C", -60.0, 60.0)?;
        if low > high {
            return Err(AgronomyError::Refused {
                operation,
                argument: "low",
                why: format!("{low} is above the greatest of that day, {high}"),
            });
        }
        sum += match rule {
            DegreeDayRule::AverageThenZero => (0.5 * (high + low) - base).max(0.0),
            DegreeDayRule::RaiseThenAverage => 0.5 * (high.max(base) + low.max(base)) - base,
        };
    }
    let equation = match rule {
        DegreeDayRule::AverageThenZero => "sum of max(0, (high + low) / 2 - base)",
        DegreeDayRule::RaiseThenAverage => "sum of (max(high, base) + max(low, base)) / 2 - base",
    };
    let working = Working::new(equation)
        .given("Base", base, "\u{b0}C")
        .given("Days", days.len() as f64, "d")
        .step("degree-days", format!("over {} days", days.len()), sum, "")
        .source(source("mcmaster-wilhelm-1997"))
        .caution("Two ways of counting are in use and differ: compare only sums of the same way.");
    Ok(Worked::new(sum, working))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_month_of_full_growth_uses_the_greatest_and_a_cold_one_next_to_none() {
        let most = MonthlyMost::published(NitrogenUser::CreepingBent);
        let found = nitrogen_use(&[20.0, 15.0, 0.0], GrassSeason::Cool, &most).unwrap();
        let used: Vec<f64> = found.value.months.iter().map(|(_, dose)| dose.value()).collect();
        assert!((used[0] - 2.0).abs() < 1e-12, "{used:?}");
        // Woods 2014 prints 0.66 at 15 C.
        assert!((used[1] - 2.0 * 0.66).abs() < 0.01, "{used:?}");
        assert!(used[2] < 0.01, "{used:?}");
        assert!((found.value.total.value() - used.iter().sum::<f64>()).abs() < 1e-12, "sum");
    }

    #[test]
    fn months_and_doses_that_cannot_be_are_named() {
        let most = MonthlyMost::given(Dose(3.0));
        let argument = |t: &[f64], most: &MonthlyMost| {
            nitrogen_use(t, GrassSeason::Cool, most).unwrap_err().argument()
        };
        assert_eq!(argument(&[], &most), "temperatures", "none");
        assert_eq!(argument(&[10.0; 13], &most), "temperatures", "more than a year");
        assert_eq!(argument(&[100.0], &most), "temperature", "in Fahrenheit");
        assert_eq!(argument(&[10.0], &MonthlyMost::given(Dose(40.0))), "most", "of a year");
        let day = degree_days(&[(5.0, 8.0)], 10.0, DegreeDayRule::AverageThenZero).unwrap_err();
        assert_eq!(day.argument(), "low", "swapped");
    }
}
