//! Trials with and without an effect.

use swardbook_stats::{
    baci::{Arm, Plot, Plots, TrialPlan, ancova, effect_of_plots, planned_effect},
    power::{detectable_in_groups, detectable_in_pairs},
    t_test::{one_sample, pooled},
};

use super::{Draws, is_at_most, is_stated, rate};

const RUNS: u32 = 5_000;

/// Plots of one arm: what is peculiar to a plot stays, its change and the reading scatter.
fn arm(draws: &mut Draws, plots: usize, change: f64, scatter: f64) -> (Vec<f64>, Vec<f64>) {
    let truth = draws.normals(plots, 6.0, 0.5);
    let before = truth.iter().map(|t| draws.normal(*t, scatter)).collect();
    let after = truth.iter().map(|t| draws.normal(t + change, scatter)).collect();
    (before, after)
}

#[test]
fn no_effect_is_called_one_at_the_stated_rate_although_the_season_moves_all() {
    for (seed, plots) in [(40, 3), (41, 6)] {
        let run = |draws: &mut Draws| {
            let (treated, control) = (arm(draws, plots, 0.4, 0.1), arm(draws, plots, 0.4, 0.1));
            effect_of_plots(
                &Plots {
                    treated_before: &treated.0,
                    treated_after: &treated.1,
                    control_before: &control.0,
                    control_after: &control.1,
                },
                0.95,
            )
            .unwrap()
        };
        let got = rate(seed, RUNS, |draws| run(draws).tests.unwrap().pooled.p < 0.05);
        is_stated("pooled", got, 0.05, RUNS);
        let got =
            rate(seed, RUNS, |draws| run(draws).tests.unwrap().permutation.unwrap().p <= 0.05);
        is_at_most("permutation", got, 0.05, RUNS);
        assert_eq!(got > 0.0, run(&mut Draws::new(1)).smallest_p <= 0.05, "within reach or not");
        let got = rate(seed, 500, |draws| run(draws).treated_change > 0.2);
        assert!(got > 0.9, "before and after without a control would call it an effect: {got}");
    }
}

#[test]
fn a_planned_effect_is_found_as_often_as_promised() {
    let plan = TrialPlan {
        plot_time: 0.10,
        core: 0.35,
        laboratory: 0.05,
        plots_per_arm: 4,
        cores: 12,
        repeats: 2,
    };
    let planned = planned_effect(&plan, 0.05, 0.8).unwrap();
    let effect = planned.detectable.unwrap();
    let scatter = (0.10_f64.powi(2) + 0.35_f64.powi(2) / 12.0 + 0.05_f64.powi(2) / 2.0).sqrt();
    let got = rate(42, RUNS, |draws| {
        let (treated, control) = (arm(draws, 4, effect, scatter), arm(draws, 4, 0.0, scatter));
        let plots = Plots {
            treated_before: &treated.0,
            treated_after: &treated.1,
            control_before: &control.0,
            control_after: &control.1,
        };
        effect_of_plots(&plots, 0.95).unwrap().tests.unwrap().pooled.p < 0.05
    });
    is_stated("planned power", got, 0.8, RUNS);
}

#[test]
fn detectable_differences_are_detected_as_often_as_promised() {
    let effect = detectable_in_pairs(6, 0.05, 0.8).unwrap();
    let got =
        rate(43, RUNS, |draws| one_sample(&draws.normals(6, effect, 1.0), 0.95).unwrap().p < 0.05);
    is_stated("six pairs", got, 0.8, RUNS);
    let effect = detectable_in_groups(3, 5, 0.05, 0.9).unwrap();
    let got = rate(44, RUNS, |draws| {
        let (first, second) = (draws.normals(3, 0.0, 1.0), draws.normals(5, effect, 1.0));
        pooled(&first, &second, 0.95).unwrap().p < 0.05
    });
    is_stated("three against five", got, 0.9, RUNS);
}

#[test]
fn covariance_covers_the_effect_and_is_sharper_where_readings_scatter() {
    let plots = |draws: &mut Draws| -> Vec<Plot> {
        (0..16)
            .map(|i| {
                let truth = draws.normal(6.0, 0.2);
                let treated = i % 2 == 0;
                Plot {
                    arm: if treated { Arm::Treated } else { Arm::Control },
                    block: i / 4,
                    before: draws.normal(truth, 0.3),
                    after: draws.normal(truth + 0.4 + if treated { 0.5 } else { 0.0 }, 0.3),
                }
            })
            .collect()
    };
    let got =
        rate(45, RUNS, |draws| ancova(&plots(draws), 0.95).unwrap().effect.interval.holds(0.5));
    is_stated("interval of the effect", got, 0.95, RUNS);
    let sharper = rate(46, 1_000, |draws| {
        let plots = plots(draws);
        let of = |arm: Arm| -> (Vec<f64>, Vec<f64>) {
            plots.iter().filter(|p| p.arm == arm).map(|p| (p.before, p.after)).unzip()
        };
        let (treated, control) = (of(Arm::Treated), of(Arm::Control));
        let scored = effect_of_plots(
            &Plots {
                treated_before: &treated.0,
                treated_after: &treated.1,
                control_before: &control.0,
                control_after: &control.1,
            },
            0.95,
        );
        let scored = scored.unwrap().tests.unwrap().pooled.uncertainty.u;
        ancova(&plots, 0.95).unwrap().effect.uncertainty.u < scored
    });
    assert!(sharper > 0.7, "sharper than the change score in {sharper} of the trials");
}
