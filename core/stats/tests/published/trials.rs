//! Trials and their planning.

use swardbook_stats::{
    baci::{Arm, Plot, Plots, TrialPlan, ancova, effect_of_dates, effect_of_plots, planned_effect},
    halton::Halton,
    linear_model::{least_squares, levels, ones},
    power::{
        detectable_in_groups, detectable_in_pairs, pairs_needed, power_of_groups, power_of_pairs,
        units_per_group_needed,
    },
    stratified::{neyman, proportional},
    t_test::t_test,
};

use super::{Check, Work, number, rows};

pub(super) const WORKS: &[(&str, Work)] = &[
    ("baci-four-plots", four_plots),
    ("bacips-dates", dates),
    ("baci-se-from-components", planned),
    ("ancova-blocks", covariance),
    ("baci-eelworm-real", eelworms),
    ("mdd-t-tests", detectable),
    ("stratum-allocation", allocation),
    ("halton-points-in-zone", halton),
];

fn four_plots(check: &Check) {
    let [treated_before, treated_after, control_before, control_after] =
        ["treated_before", "treated_after", "control_before", "control_after"]
            .map(|name| check.list(name));
    let got = effect_of_plots(
        &Plots {
            treated_before: &treated_before,
            treated_after: &treated_after,
            control_before: &control_before,
            control_after: &control_after,
        },
        0.95,
    )
    .unwrap();
    check.is("estimate", got.effect);
    check.is("naive_before_after_treated_only_change", got.treated_change);
    check.is("control_change", got.control_change);
    let tests = got.tests.unwrap();
    check.is("plot_change_se_pooled", tests.pooled.uncertainty.u);
    check.is("plot_change_t_pooled", tests.pooled.t);
    check.is("plot_change_df_pooled", tests.pooled.uncertainty.df);
    check.is("plot_change_p_pooled", tests.pooled.p);
    let interval = tests.pooled.interval;
    check.are("plot_change_ci95_pooled", &[interval.low, interval.high]);
    check.is("plot_change_df_welch", tests.welch.uncertainty.df);
    check.is("plot_change_p_welch", tests.welch.p);
    let interval = tests.welch.interval;
    check.are("plot_change_ci95_welch", &[interval.low, interval.high]);
    check.is("permutation_p", tests.permutation.unwrap().p);
    // What goes wrong when the sixteen readings are taken as independent.
    let values = [treated_before, treated_after, control_before, control_after].concat();
    let arm: Vec<f64> = (0..16).map(|i| f64::from(u8::from(i < 8))).collect();
    let time: Vec<f64> = (0..16).map(|i| f64::from(u8::from(i % 8 >= 4))).collect();
    let both: Vec<f64> = arm.iter().zip(&time).map(|(a, t)| a * t).collect();
    let fit = least_squares(&[ones(16), arm, time, both], &values).unwrap();
    check.is("estimate", fit.coefficients[3]);
    check.is("ols_se", fit.standard_errors[3]);
    check.is("ols_df", fit.df);
    let test = t_test(fit.coefficients[3], fit.uncertainty(3), 0.95);
    check.is("ols_p", test.unwrap().p);
}

fn dates(check: &Check) {
    let got =
        effect_of_dates(&check.list("difference_before"), &check.list("difference_after"), 0.95)
            .unwrap();
    check.is("effect", got.effect);
    let tests = got.tests.unwrap();
    check.is("se_pooled", tests.pooled.uncertainty.u);
    check.is("t_pooled", tests.pooled.t);
    check.is("df", tests.pooled.uncertainty.df);
    check.is("p_pooled", tests.pooled.p);
    check.are("ci95_pooled", &[tests.pooled.interval.low, tests.pooled.interval.high]);
    check.is("welch_df", tests.welch.uncertainty.df);
    check.is("welch_p", tests.welch.p);
}

fn planned(check: &Check) {
    for row in check.expected("rows").as_array().unwrap() {
        let whole = |place: usize| usize::try_from(row[place].as_integer().unwrap()).unwrap();
        let plan = TrialPlan {
            plot_time: number(&row[0]),
            core: number(&row[1]),
            laboratory: number(&row[2]),
            plots_per_arm: whole(3),
            cores: whole(4),
            repeats: whole(5),
        };
        let got = planned_effect(&plan, check.number("alpha"), check.number("power")).unwrap();
        check.near(&format!("{row} se"), got.standard_error, number(&row[6]));
        check.near(&format!("{row} df"), got.df, number(&row[7]));
        let want = number(&row[8]);
        match got.detectable {
            Some(detectable) => check.near(&format!("{row}"), detectable, want),
            None => assert!(want < 0.0, "{row}: a test is possible"),
        }
    }
}

fn covariance(check: &Check) {
    let (before, after) = (check.list("before"), check.list("after"));
    let plots: Vec<Plot> = check
        .counts("block")
        .into_iter()
        .zip(check.counts("treated"))
        .zip(before.iter().zip(&after))
        .map(|((block, treated), (before, after))| Plot {
            arm: if treated == 1 { Arm::Treated } else { Arm::Control },
            block,
            before: *before,
            after: *after,
        })
        .collect();
    let got = ancova(&plots, 0.95).unwrap();
    check.is("effect", got.effect.difference);
    check.is("se", got.effect.uncertainty.u);
    check.is("df", got.effect.uncertainty.df);
    check.is("t", got.effect.t);
    check.is("p", got.effect.p);
    check.are("ci95", &[got.effect.interval.low, got.effect.interval.high]);
    check.is("slope", got.slope);
    check.is("slope_se", got.slope_uncertainty.u);
    check.is("residual_sd", got.fit.residual_deviation());
}

fn eelworms(check: &Check) {
    let logs = |name: &str| check.list(name).into_iter().map(f64::ln).collect::<Vec<f64>>();
    let (before, after) = (logs("initial"), logs("final"));
    let (blocks, treated) = (check.counts("block"), check.counts("treated"));
    let arm: Vec<f64> = treated.iter().map(|one| *one as f64).collect();
    let change: Vec<f64> = before.iter().zip(&after).map(|(b, a)| a - b).collect();
    let mean = |wanted: usize| {
        let of: Vec<f64> =
            change.iter().zip(&treated).filter(|(_, t)| **t == wanted).map(|(c, _)| *c).collect();
        swardbook_stats::describe::mean(&of).unwrap()
    };
    check.is("mean_log_ratio_control", mean(0));
    check.is("mean_log_ratio_treated", mean(1));
    let mut columns = vec![ones(change.len()), arm];
    columns.extend(levels(&blocks));
    let fit = least_squares(&columns, &change).unwrap();
    let test = t_test(fit.coefficients[1], fit.uncertainty(1), 0.95).unwrap();
    check.is("log_ratio_effect_treated", test.difference);
    check.is("se", test.uncertainty.u);
    check.is("df", test.uncertainty.df);
    check.is("p", test.p);
    let plots: Vec<Plot> = (0..change.len())
        .map(|i| Plot {
            arm: if treated[i] == 1 { Arm::Treated } else { Arm::Control },
            block: blocks[i],
            before: before[i],
            after: after[i],
        })
        .collect();
    let got = ancova(&plots, 0.95).unwrap();
    check.is("ancova_effect_treated", got.effect.difference);
    check.is("ancova_se", got.effect.uncertainty.u);
    check.is("ancova_p", got.effect.p);
    check.is("ancova_slope_log_initial", got.slope);
}

fn detectable(check: &Check) {
    let (rate, power) = (check.number("alpha"), check.number("power"));
    for row in check.expected("rows").as_array().unwrap() {
        let n = usize::try_from(row[0].as_integer().unwrap()).unwrap();
        let pairs = detectable_in_pairs(n, rate, power).unwrap();
        let groups = detectable_in_groups(n, n, rate, power).unwrap();
        check.near(&format!("{n} pairs"), pairs, number(&row[1]));
        check.near(&format!("{n} in each group"), groups, number(&row[2]));
        check.near_by("power", power_of_pairs(pairs, n, rate).unwrap(), power, 1e-9);
        check.near_by("power", power_of_groups(groups, n, n, rate).unwrap(), power, 1e-9);
    }
    let half = units_per_group_needed(0.5, rate, power).unwrap();
    check.is("n_per_group_for_d_0_5", half.exact);
    assert_eq!(half.whole, 64, "whole units for 0.5");
    let large = units_per_group_needed(0.8, rate, power).unwrap();
    check.is("n_per_group_for_d_0_8", large.exact);
    assert_eq!(large.whole, 26, "whole units for 0.8");
    check.is("n_pairs_for_dz_0_8", pairs_needed(0.8, rate, power).unwrap().exact);
}

fn allocation(check: &Check) {
    let (areas, cores) = (check.list("areas_m2"), check.count("cores"));
    let by_area = proportional(&areas, cores, 1).unwrap();
    check.are("proportional_raw", &by_area.exact);
    let whole: Vec<f64> = by_area.whole.iter().map(|n| *n as f64).collect();
    check.are("proportional_cores", &whole);
    let by_scatter = neyman(&areas, &check.list("sd"), cores, 1).unwrap();
    check.are("neyman_raw", &by_scatter.exact);
}

fn halton(check: &Check) {
    let (width, height) = (check.number("width"), check.number("height"));
    let points = Halton::from_origin().take(check.count("n"));
    let want = rows(check.expected("points"));
    assert_eq!(want.len(), check.count("n"), "points in the fixture");
    for (got, want) in points.zip(want) {
        check.near(&format!("{want:?}"), got[0] * width, want[0]);
        check.near(&format!("{want:?}"), got[1] * height, want[1]);
    }
}
