//! Did the amendment do it: before and after, treated and control.
//!
//! Plots (or blocks, or strips) are the replicates; photos or cores inside one are averaged before.
//! Without a control the strongest claim is "changed".

mod ancova;

pub use ancova::{Ancova, Arm, Plot, ancova};

use crate::{
    StatsError,
    describe::mean_of,
    error::{count, not_negative, values as check},
    permutation::{Permutation, smallest_p_of_groups, two_groups},
    power::detectable_offset,
    t_test::{TTest, differences, pooled, welch},
    uncertainty::Uncertainty,
};

/// Readings of the same plots before and after.
#[derive(Debug, Clone, Copy)]
pub struct Plots<'a> {
    /// Treated plots before.
    pub treated_before: &'a [f64],
    /// The same plots after, in the same order.
    pub treated_after: &'a [f64],
    /// Control plots before.
    pub control_before: &'a [f64],
    /// The same plots after, in the same order.
    pub control_after: &'a [f64],
}

/// The effect of a treatment, and its tests where the design allows any.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effect {
    /// (treated after - before) - (control after - before).
    pub effect: f64,
    /// Mean change of the treated.
    pub treated_change: f64,
    /// Mean change of the controls.
    pub control_change: f64,
    /// Smallest two-sided p that an exact test of this design can give.
    pub smallest_p: f64,
    /// The tests, unless an arm has only one plot or nothing scatters.
    pub tests: Option<EffectTests>,
}

/// Tests of an effect.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EffectTests {
    /// One scatter for both arms.
    pub pooled: TTest,
    /// Each arm with its own scatter.
    pub welch: TTest,
    /// Every way the treatment could have fallen, where they can be listed.
    pub permutation: Option<Permutation>,
}

/// The effect from plots measured before and after.
///
/// Changes of plots are compared, so that what is peculiar to a plot drops out.
///
/// # Errors `TooFew` for an arm without a plot, `Length` where before and after differ in number,
///   `Argument` for a bad value or level.
/// # Source Green RH (1979) Sampling Design and Statistical Methods for Environmental Biologists;
///   t tests of the plot changes.
pub fn effect_of_plots(plots: &Plots<'_>, level: f64) -> Result<Effect, StatsError> {
    let treated = differences(plots.treated_before, plots.treated_after)?;
    let control = differences(plots.control_before, plots.control_after)?;
    compared(&control, &treated, level)
}

/// The effect from one treated and one control zone seen on many dates.
///
/// The date is the unit, its datum the difference treated - control; before and after are compared.
/// It takes for granted that both would have drifted alike and that dates are independent.
/// In the result `treated_change` is the mean difference after, `control_change` the one before.
///
/// # Errors `TooFew` without a date before or after, `Argument` for a bad value or level.
/// # Source Stewart-Oaten A, Murdoch WW, Parker KR (1986) Ecology 67:929-940.
pub fn effect_of_dates(
    difference_before: &[f64],
    difference_after: &[f64],
    level: f64,
) -> Result<Effect, StatsError> {
    compared(difference_before, difference_after, level)
}

fn compared(without: &[f64], with: &[f64], level: f64) -> Result<Effect, StatsError> {
    check("control", without, 1)?;
    check("treated", with, 1)?;
    crate::error::share("level", level)?;
    let (treated_change, control_change) = (mean_of(with), mean_of(without));
    let tests =
        if without.len() < 2 || with.len() < 2 { None } else { tests(without, with, level)? };
    Ok(Effect {
        effect: treated_change - control_change,
        treated_change,
        control_change,
        smallest_p: smallest_p_of_groups(without.len(), with.len())?,
        tests,
    })
}

fn tests(without: &[f64], with: &[f64], level: f64) -> Result<Option<EffectTests>, StatsError> {
    let pooled = match pooled(without, with, level) {
        Err(StatsError::NoScatter { .. }) => return Ok(None),
        other => other?,
    };
    let permutation = match two_groups(without, with) {
        Err(StatsError::TooMany { .. }) => None,
        other => Some(other?),
    };
    Ok(Some(EffectTests { pooled, welch: welch(without, with, level)?, permutation }))
}

/// What a trial is planned from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrialPlan {
    /// Scatter of the change of a plot that has no cause.
    pub plot_time: f64,
    /// Scatter between single cores of a plot.
    pub core: f64,
    /// Scatter between repeats of the laboratory.
    pub laboratory: f64,
    /// Plots in each arm.
    pub plots_per_arm: usize,
    /// Cores in the composite of a plot.
    pub cores: usize,
    /// Repeats that the laboratory averages.
    pub repeats: usize,
}

/// What a planned trial can see.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlannedEffect {
    /// Standard error of the effect.
    pub standard_error: f64,
    /// Degrees of freedom; none with one plot in each arm.
    pub df: f64,
    /// Smallest effect found with the power asked for; `None` where no test of cause is possible.
    pub detectable: Option<f64>,
    /// Smallest two-sided p that an exact test of this design can give.
    pub smallest_p: f64,
}

/// The standard error of a planned effect, and the smallest effect the trial would find.
///
/// `variance = 4 / m x (s_plot_time^2 + s_core^2 / cores + s_lab^2 / repeats)`, df = 2 (m - 1).
///
/// # Errors `TooFew` without a plot, core or repeat; `Argument` for a negative deviation, or a rate
///   or power out of range.
/// # Source four independent plot means of variance v / m each; noncentral t for the rest.
pub fn planned_effect(
    plan: &TrialPlan,
    error_rate: f64,
    power: f64,
) -> Result<PlannedEffect, StatsError> {
    count("plots_per_arm", plan.plots_per_arm, 1)?;
    count("cores", plan.cores, 1)?;
    count("repeats", plan.repeats, 1)?;
    let square = |name, deviation: f64| not_negative(name, deviation).map(|s| s * s);
    let m = plan.plots_per_arm as f64;
    let variance = 4.0 / m
        * (square("plot_time", plan.plot_time)?
            + square("core", plan.core)? / plan.cores as f64
            + square("laboratory", plan.laboratory)? / plan.repeats as f64);
    let standard_error = variance.sqrt();
    let df = 2.0 * (m - 1.0);
    // Rate and power are checked also where the design leaves no test.
    let offset = detectable_offset(df.max(1.0), error_rate, power)?;
    Ok(PlannedEffect {
        standard_error,
        df,
        detectable: (df > 0.0).then_some(offset * standard_error),
        smallest_p: smallest_p_of_groups(plan.plots_per_arm, plan.plots_per_arm)?,
    })
}

impl EffectTests {
    /// The estimate's uncertainty under one scatter for both arms.
    #[must_use]
    pub fn uncertainty(&self) -> Uncertainty {
        self.pooled.uncertainty
    }
}
