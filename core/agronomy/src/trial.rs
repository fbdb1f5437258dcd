//! Did the amendment do it: treated against control, before and after, by plots and blocks.
//!
//! A plot is one strip or one part of it that was treated or not; cores and photos within a plot are
//! averaged before they come here.
//! It does not own a change without a control (`comparison`).

mod words;

use swardbook_stats::{
    baci::{
        Ancova, Arm, PlannedEffect, Plot, Plots, TrialPlan, ancova, effect_of_plots, planned_effect,
    },
    change::Verdict,
    interval::{Interval, Scale as StatisticalScale},
    permutation::{can_reach, sign_flips, smallest_p_of_pairs},
    t_test::one_sample,
};
use swardbook_units::{Worked, Working};

use crate::{
    AgronomyError,
    analyte::Scale,
    comparison::Shown,
    error::{refused_by_statistics, within},
    source,
};

/// Whether a plot was treated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Treatment {
    /// Left alone.
    Control,
    /// Treated.
    Treated,
}

/// One plot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrialPlot {
    /// Its arm.
    pub treatment: Treatment,
    /// Its block: plots that lie together and are alike; the same for all where there are none.
    pub block: usize,
    /// Its reading before.
    pub before: f64,
    /// Its reading after.
    pub after: f64,
}

/// How it was settled which plots are treated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Assignment {
    /// Drawn by lot.
    ByLot,
    /// By eye, by convenience, or not known.
    Chosen,
}

/// The trial as it was done.
#[derive(Debug, Clone, PartialEq)]
pub struct TrialQuestion {
    /// The scale on which the reading's errors are even.
    pub scale: Scale,
    /// Unit of the readings.
    pub unit: String,
    /// Every plot.
    pub plots: Vec<TrialPlot>,
    /// How the treated were settled.
    pub assignment: Assignment,
    /// Confidence level, such as 0.95.
    pub level: f64,
}

/// What the trial was tested by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Test {
    /// Every pattern of signs over blocks, each with both arms.
    BlocksBySigns,
    /// Every way the treatment could have fallen on the plots.
    PlotsByLot,
    /// Student's t, where the ways are too many to list.
    StudentT,
    /// None: the design cannot reach the stated rate, whatever it reads.
    NotPossible,
}

/// The answer of a trial.
#[derive(Debug, Clone, PartialEq)]
pub struct Trial {
    /// Effect: change of the treated less change of the controls, on the scale.
    pub effect: f64,
    /// The effect and its interval as shown, where there is an interval.
    pub shown: Shown,
    /// Standard error on the scale, where anything scatters.
    pub standard_error: Option<f64>,
    /// Degrees of freedom of the standard error.
    pub df: Option<f64>,
    /// Mean change of the treated, on the scale.
    pub treated_change: f64,
    /// Mean change of the controls, on the scale.
    pub control_change: f64,
    /// What decided.
    pub test: Test,
    /// Its two-sided p.
    pub p: Option<f64>,
    /// The p of Student's t beside it.
    pub t_p: Option<f64>,
    /// Smallest p that the design can reach.
    pub smallest_p: f64,
    /// The effect at equal start and its p, where the plots suffice.
    pub at_equal_start: Option<(f64, f64)>,
    /// What may be said; `CannotTell` where nothing is shown.
    pub verdict: Verdict,
    /// Whether the word "because" is borne out.
    pub because: bool,
    /// The verdict in a sentence.
    pub words: String,
}

const OPERATION: &str = "trial";

/// What one design gave.
struct Effect {
    effect: f64,
    treated_change: f64,
    control_change: f64,
    spread: Option<(f64, f64, Interval, f64)>,
    exact_p: Option<(Test, f64)>,
    smallest_p: f64,
    units: usize,
}

/// The effect of a treatment, and whether it can be told from chance.
///
/// With both arms in every block the block is the unit; without, the plot is.
///
/// # Units  as the fields say; shown in the unit, or in % on the log scale.
/// # Errors `Missing` without a plot in one arm, `Argument` for a reading with no place on the scale
///   or a level out of range.
/// # Source Green 1979 and Stewart-Oaten 1986 as in `swardbook-stats`; exact tests after Fisher 1935
/// and Pitman 1937; analysis of covariance after Fisher 1932.
pub fn trial(question: &TrialQuestion) -> Result<Worked<Trial>, AgronomyError> {
    let level = within(OPERATION, "level", question.level, "", 0.5, 0.999_9)?;
    for (treatment, argument) in [(Treatment::Treated, "treated"), (Treatment::Control, "control")]
    {
        if !question.plots.iter().any(|plot| plot.treatment == treatment) {
            return Err(AgronomyError::Missing {
                operation: OPERATION,
                argument,
                remedy: "give at least one plot of each arm; without a control nothing shows a cause",
            });
        }
    }
    let plots = on_scale(question)?;
    let blocks = blocks_with_both(&plots);
    let found = match &blocks {
        Some(blocks) => by_blocks(blocks, level)?,
        None => by_plots(&plots, level)?,
    };
    let rate = 1.0 - level;
    let reachable =
        can_reach(found.smallest_p, rate + 1e-12).map_err(refused_by_statistics(OPERATION))?;
    let (test, p) = match (found.exact_p, found.spread) {
        (Some((test, p)), _) if reachable => (test, Some(p)),
        (None, Some((.., t_p))) if reachable => (Test::StudentT, Some(t_p)),
        _ => (Test::NotPossible, None),
    };
    let verdict = match p {
        Some(p) if p <= rate && found.effect > 0.0 => Verdict::Rise,
        Some(p) if p <= rate && found.effect < 0.0 => Verdict::Fall,
        _ => Verdict::CannotTell,
    };
    let because = question.assignment == Assignment::ByLot && verdict != Verdict::CannotTell;
    let at_equal_start = covariance(&plots, level).map(|a| (a.effect.difference, a.effect.p));
    let mut answer = Trial {
        effect: found.effect,
        shown: words::shown(&found, question),
        standard_error: found.spread.map(|(se, ..)| se),
        df: found.spread.map(|(_, df, ..)| df),
        treated_change: found.treated_change,
        control_change: found.control_change,
        test,
        p,
        t_p: found.spread.map(|(.., t_p)| t_p),
        smallest_p: found.smallest_p,
        at_equal_start,
        verdict,
        because,
        words: String::new(),
    };
    answer.words = words::sentence(&answer, question);
    let working = words::working(&answer, question, &found);
    Ok(Worked::new(answer, working))
}

fn on_scale(question: &TrialQuestion) -> Result<Vec<TrialPlot>, AgronomyError> {
    let statistical = match question.scale {
        Scale::Linear => StatisticalScale::Linear,
        Scale::Log => StatisticalScale::Log,
        Scale::Logit => StatisticalScale::Logit,
    };
    let share = if question.scale == Scale::Logit { 100.0 } else { 1.0 };
    let one = |argument, value: f64| {
        statistical.forward(value / share).map_err(|_| AgronomyError::Argument {
            operation: OPERATION,
            argument,
            value,
            unit: "",
            allowed: match question.scale {
                Scale::Linear => "a finite number",
                Scale::Log => "above zero",
                Scale::Logit => "between 0 and 100 %",
            }
            .to_owned(),
        })
    };
    question
        .plots
        .iter()
        .map(|plot| {
            Ok(TrialPlot {
                before: one("before", plot.before)?,
                after: one("after", plot.after)?,
                ..*plot
            })
        })
        .collect()
}

/// Mean changes of control and treated in each block, when there are two blocks or more and every
/// one has both arms.
fn blocks_with_both(plots: &[TrialPlot]) -> Option<Vec<(f64, f64)>> {
    let mut names: Vec<usize> = plots.iter().map(|plot| plot.block).collect();
    names.sort_unstable();
    names.dedup();
    if names.len() < 2 {
        return None;
    }
    let mean = |block: usize, arm: Treatment| {
        let of: Vec<f64> = plots
            .iter()
            .filter(|plot| plot.block == block && plot.treatment == arm)
            .map(|plot| plot.after - plot.before)
            .collect();
        (!of.is_empty()).then(|| of.iter().sum::<f64>() / of.len() as f64)
    };
    names
        .into_iter()
        .map(|block| Some((mean(block, Treatment::Control)?, mean(block, Treatment::Treated)?)))
        .collect()
}

fn by_blocks(blocks: &[(f64, f64)], level: f64) -> Result<Effect, AgronomyError> {
    let of = refused_by_statistics(OPERATION);
    let n = blocks.len() as f64;
    let differences: Vec<f64> = blocks.iter().map(|(control, treated)| treated - control).collect();
    // Without any scatter there is no t, and the signs say what there is to say.
    let spread = one_sample(&differences, level)
        .ok()
        .map(|t| (t.uncertainty.u, t.uncertainty.df, t.interval, t.p));
    // Too many blocks to list every pattern leave the t alone.
    let exact_p = sign_flips(&differences).ok().map(|found| (Test::BlocksBySigns, found.p));
    Ok(Effect {
        effect: differences.iter().sum::<f64>() / n,
        treated_change: blocks.iter().map(|(_, treated)| treated).sum::<f64>() / n,
        control_change: blocks.iter().map(|(control, _)| control).sum::<f64>() / n,
        spread,
        exact_p,
        smallest_p: smallest_p_of_pairs(differences.len()).map_err(of)?,
        units: blocks.len(),
    })
}

fn by_plots(plots: &[TrialPlot], level: f64) -> Result<Effect, AgronomyError> {
    let list = |arm, reading: fn(&TrialPlot) -> f64| -> Vec<f64> {
        plots.iter().filter(|plot| plot.treatment == arm).map(reading).collect()
    };
    let (treated, control) = (Treatment::Treated, Treatment::Control);
    let found = effect_of_plots(
        &Plots {
            treated_before: &list(treated, |plot| plot.before),
            treated_after: &list(treated, |plot| plot.after),
            control_before: &list(control, |plot| plot.before),
            control_after: &list(control, |plot| plot.after),
        },
        level,
    )
    .map_err(refused_by_statistics(OPERATION))?;
    let spread = found.tests.map(|tests| {
        let t = tests.welch;
        (t.uncertainty.u, t.uncertainty.df, t.interval, t.p)
    });
    let exact_p =
        found.tests.and_then(|tests| tests.permutation).map(|test| (Test::PlotsByLot, test.p));
    Ok(Effect {
        effect: found.effect,
        treated_change: found.treated_change,
        control_change: found.control_change,
        spread,
        exact_p,
        smallest_p: found.smallest_p,
        units: plots.len(),
    })
}

/// After on before, arm and blocks; none where the plots do not suffice for it.
fn covariance(plots: &[TrialPlot], level: f64) -> Option<Ancova> {
    let plots: Vec<Plot> = plots
        .iter()
        .map(|plot| Plot {
            arm: match plot.treatment {
                Treatment::Control => Arm::Control,
                Treatment::Treated => Arm::Treated,
            },
            block: plot.block,
            before: plot.before,
            after: plot.after,
        })
        .collect();
    ancova(&plots, level).ok()
}

/// What a trial would see, before anything is bought.
///
/// # Units  scatter and answer on the reading's scale.
/// # Errors `Refused` naming what the statistics cannot take.
/// # Source variance of four plot means and noncentral t, as in `swardbook-stats`.
pub fn plan_trial(
    plan: &TrialPlan,
    level: f64,
    power: f64,
) -> Result<Worked<PlannedEffect>, AgronomyError> {
    let level = within(OPERATION, "level", level, "", 0.5, 0.999_9)?;
    let found =
        planned_effect(plan, 1.0 - level, power).map_err(refused_by_statistics(OPERATION))?;
    let m = plan.plots_per_arm as f64;
    let mut working =
        Working::new("variance = 4 / m x (s_plot_time^2 + s_core^2 / cores + s_lab^2 / repeats)")
            .given("Plots in each arm, m", m, "")
            .given("Scatter of a plot's change without cause", plan.plot_time, "")
            .given("Scatter between cores", plan.core, "")
            .given("Cores in each composite", plan.cores as f64, "")
            .given("Scatter in the laboratory", plan.laboratory, "")
            .given("Repeats", plan.repeats as f64, "")
            .step(
                "standard error of the effect",
                format!(
                    "sqrt(4 / {m} x ({}^2 + {}^2 / {} + {}^2 / {}))",
                    plan.plot_time, plan.core, plan.cores, plan.laboratory, plan.repeats
                ),
                found.standard_error,
                "",
            )
            .step(
                "smallest p of an exact test",
                "2 / ways to deal the plots".to_owned(),
                found.smallest_p,
                "",
            )
            .source(source("definition"));
    if let Some(detectable) = found.detectable {
        working = working.step(
            "smallest effect found",
            format!("noncentral t, {} degrees of freedom", found.df),
            detectable,
            "",
        );
    } else {
        working = working.caution(
            "One plot in each arm leaves nothing to judge chance by: no test of a cause is possible, \
             however many cores.",
        );
    }
    if found.smallest_p > 1.0 - level + 1e-12 {
        working = working.caution(
            "An exact test of this design cannot reach the stated rate, whatever the plots read: add \
             plots before starting.",
        );
    }
    Ok(Worked::new(found, working))
}

#[cfg(test)]
mod tests;
