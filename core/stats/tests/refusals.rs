//! Inputs without an answer are refused by name, and never turned into a number.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use swardbook_stats::{
    StatsError,
    agreement::{Weights, intraclass_correlations, weighted_kappa},
    anova::{one_way, randomised_blocks},
    baci::{Arm, Plot, Plots, TrialPlan, ancova, effect_of_plots, planned_effect},
    bayes::Belief,
    censored::{Reported, probability_below, probability_below_given},
    change::{Estimate, change, change_from_difference, equivalence, judge, reference_change},
    components::{nested_components, one_way_components, repeatability},
    describe::{Summary, geometric_mean, mean, median, ph_of_mean_acidity, quantile, variation},
    distribution::{
        chi_squared_quantile, f_upper_tail, noncentral_t_cdf, normal_quantile, t_cdf, t_quantile,
    },
    halton::Halton,
    interval::{Scale, deviation_interval, mean_interval, share_interval, t_interval},
    linear_model::{least_squares, ones},
    lognormal::lognormal_mean,
    multiplicity::{benjamini_hochberg, holm},
    permutation::{
        can_reach, sign_flips, sign_flips_drawn, smallest_p_of_groups, smallest_p_of_pairs,
        two_groups,
    },
    power::{
        detectable_in_groups, detectable_in_pairs, detectable_offset, pairs_needed,
        power_at_offset, power_of_groups,
    },
    regression_to_mean::{Population, expected_retest, reliability},
    sample_size::cores_needed,
    stratified::{Stratum, neyman, proportional, stratified_mean},
    t_test::{one_sample, paired, welch},
    uncertainty::{CompositeBudget, Scatter, Uncertainty, combine, composite},
};

/// The argument that the refusal names.
fn refused<T: std::fmt::Debug>(result: Result<T, StatsError>) -> &'static str {
    match result.unwrap_err() {
        StatsError::Argument { argument, .. }
        | StatsError::TooFew { argument, .. }
        | StatsError::TooMany { argument, .. }
        | StatsError::Length { argument, .. }
        | StatsError::NoScatter { argument }
        | StatsError::Collinear { argument, .. } => argument,
    }
}

const NAN: f64 = f64::NAN;
const INFINITY: f64 = f64::INFINITY;

#[test]
fn a_refusal_names_the_argument_and_what_it_must_be() {
    let error = t_quantile(1.2, 4.0).unwrap_err();
    assert_eq!(error.to_string(), "p must be between 0 and 1, neither included, not 1.2");
    let error = mean(&[]).unwrap_err();
    assert_eq!(error.to_string(), "values must hold at least 1 values, not 0");
    let error = paired(&[1.0, 2.0], &[1.0], 0.95).unwrap_err();
    assert_eq!(error.to_string(), "after must hold 2 values like its partner, not 1");
    let error = sign_flips(&[1.0; 21]).unwrap_err();
    assert_eq!(
        error.to_string(),
        "differences must lead to at most 1048576 arrangements; draw them at random instead"
    );
}

#[test]
fn values_that_are_no_numbers_are_refused() {
    for bad in [NAN, INFINITY, -INFINITY] {
        let values = [1.0, bad, 2.0];
        assert_eq!(refused(mean(&values)), "values");
        assert_eq!(refused(median(&values)), "values");
        assert_eq!(refused(Summary::of(&values)), "values");
        assert_eq!(refused(ph_of_mean_acidity(&values)), "readings");
        assert_eq!(refused(mean_interval(&values, 0.95)), "values");
        assert_eq!(refused(lognormal_mean(&values, 0.95)), "values");
        assert_eq!(refused(one_sample(&values, 0.95)), "values");
        assert_eq!(refused(welch(&[1.0, 2.0], &values, 0.95)), "values");
        assert_eq!(refused(sign_flips(&values)), "differences");
        assert_eq!(refused(two_groups(&values, &[1.0])), "first");
        assert_eq!(refused(one_way(&[values.to_vec(), vec![1.0]])), "group");
        assert_eq!(refused(repeatability(&values, &[1.0; 3])), "first");
        assert_eq!(refused(least_squares(&[ones(3)], &values)), "values");
        assert_eq!(refused(holm(&[0.1, bad])), "p");
        assert_eq!(refused(benjamini_hochberg(&[bad])), "p");
        assert_eq!(refused(noncentral_t_cdf(bad, 4.0, 1.0)), "t");
        assert_eq!(refused(noncentral_t_cdf(1.0, 4.0, bad)), "offset");
        assert_eq!(refused(Belief::new(bad, 1.0)), "mean");
        assert_eq!(refused(Scale::Linear.forward(bad)), "reading");
        let of = Population { mean: 6.0, deviation: 0.4, reliability: 0.6 };
        assert_eq!(refused(expected_retest(bad, &of)), "first");
        let belief = Belief::new(0.0, 1.0).unwrap();
        for report in [Reported::Below(bad), Reported::Above(bad)] {
            assert_eq!(refused(probability_below_given(&belief, report, 1.0, 0.0)), "reading");
        }
    }
}

#[test]
fn too_few_values_are_refused() {
    assert_eq!(refused(Summary::of(&[1.0])), "values");
    assert_eq!(refused(one_way(&[vec![1.0], vec![2.0]])), "values");
    assert_eq!(refused(one_way_components(&[vec![1.0, 2.0]])), "groups");
    assert_eq!(refused(nested_components(&[vec![vec![1.0, 2.0]]])), "zones");
    assert_eq!(refused(randomised_blocks(&[vec![1.0], vec![2.0]])), "blocks");
    assert_eq!(refused(intraclass_correlations(&[vec![1.0, 2.0]])), "treatments");
    assert_eq!(refused(two_groups(&[], &[1.0])), "first");
    assert_eq!(refused(smallest_p_of_pairs(0)), "pairs");
    assert_eq!(refused(smallest_p_of_groups(3, 0)), "n_b");
    assert_eq!(refused(detectable_in_pairs(1, 0.05, 0.8)), "pairs");
    assert_eq!(refused(detectable_in_groups(1, 1, 0.05, 0.8)), "n_a and n_b");
    assert_eq!(refused(power_of_groups(1.0, 0, 4, 0.05)), "n_a");
    assert_eq!(refused(share_interval(0, 0, 0.95)), "n");
    assert_eq!(refused(combine(&[])), "parts");
    assert_eq!(refused(proportional(&[10.0, 20.0], 3, 2)), "cores");
    assert_eq!(refused(stratified_mean(&[])), "strata");
    assert_eq!(refused(sign_flips_drawn(&[1.0], 0, &mut || 0.5)), "draws");
}

#[test]
fn shares_levels_and_scatter_out_of_range_are_refused() {
    for bad in [0.0, 1.0, -0.1, 1.5, NAN] {
        assert_eq!(refused(normal_quantile(bad)), "p");
        assert_eq!(refused(chi_squared_quantile(bad, 4.0)), "p");
        assert_eq!(refused(mean_interval(&[1.0, 2.0], bad)), "level");
        assert_eq!(refused(deviation_interval(1.0, 4.0, bad)), "level");
        assert_eq!(refused(share_interval(1, 3, bad)), "level");
        assert_eq!(refused(cores_needed(1.0, 1.0, bad)), "level");
        assert_eq!(refused(reference_change(0.1, 0.1, bad)), "level");
        assert_eq!(refused(power_at_offset(1.0, 4.0, bad)), "error_rate");
        assert_eq!(refused(detectable_offset(4.0, 0.05, bad)), "power");
        assert_eq!(refused(can_reach(0.1, bad)), "error_rate");
        assert_eq!(refused(Scale::Logit.forward(bad)), "reading");
    }
    for bad in [0.0, -1.0, NAN] {
        assert_eq!(refused(t_cdf(1.0, bad)), "df");
        assert_eq!(refused(t_interval(1.0, 1.0, bad, 0.95)), "df");
        assert_eq!(refused(f_upper_tail(1.0, bad, 4.0)), "df_between");
        assert_eq!(refused(cores_needed(1.0, bad, 0.95)), "margin");
        assert_eq!(refused(pairs_needed(bad, 0.05, 0.8)), "effect");
        assert_eq!(refused(equivalence(0.0, Uncertainty::known(1.0), bad, 0.05)), "margin");
        assert_eq!(refused(Belief::new(0.0, bad)), "deviation");
        assert_eq!(refused(Scale::Log.forward(bad)), "reading");
        assert_eq!(refused(geometric_mean(&[1.0, bad])), "values");
        assert_eq!(refused(proportional(&[bad], 5, 1)), "area");
    }
    let budget = |deviation: f64, df: f64, cores: usize| {
        composite(&CompositeBudget {
            core: Scatter { deviation, df },
            cores,
            laboratory: Scatter::known(0.1),
            repeats: 1,
            between_laboratories: None,
        })
    };
    assert_eq!(refused(budget(-0.1, 4.0, 5)), "core");
    assert_eq!(refused(budget(0.1, 0.0, 5)), "core");
    assert_eq!(refused(budget(0.1, 4.0, 0)), "cores");
    assert_eq!(refused(detectable_offset(4.0, 0.1, 0.1)), "power");
    assert_eq!(refused(reliability(-1.0, 1.0)), "between");
    assert_eq!(refused(reliability(0.0, 0.0)), "between and error");
    assert_eq!(refused(quantile(&[1.0], 1.1)), "p");
    assert_eq!(refused(share_interval(4, 3, 0.95)), "hits");
    assert_eq!(refused(cores_needed(1.0, 1e-6, 0.95)), "margin");
    assert_eq!(refused(pairs_needed(1e-6, 0.05, 0.8)), "effect");
    assert_eq!(refused(neyman(&[1.0, 2.0], &[0.0, 0.0], 5, 1)), "deviations");
    assert_eq!(refused(neyman(&[1.0, 2.0], &[0.1], 5, 1)), "deviations");
    assert_eq!(refused(weighted_kappa(&[1, 10], &[1, 2], 1, 9, Weights::Linear)), "rating");
    assert_eq!(refused(weighted_kappa(&[3, 3], &[3, 3], 1, 9, Weights::Linear)), "ratings");
    assert_eq!(refused(Halton::from_random(&mut || 1.0)), "draw");
    assert_eq!(refused(variation(&[-1.0, 1.0])), "mean of values");
    let stratum = Stratum { weight: 1.0, mean: 1.0, deviation: 1.0, cores: 4, possible: 3.0 };
    assert_eq!(refused(stratified_mean(&[stratum])), "possible");
}

#[test]
fn without_scatter_nothing_is_tested() {
    assert_eq!(refused(one_sample(&[2.0, 2.0, 2.0], 0.95)), "values");
    assert_eq!(refused(welch(&[1.0, 1.0], &[2.0, 2.0], 0.95)), "values");
    assert_eq!(
        refused(one_way(&[vec![1.0; 3], vec![2.0; 3]]).unwrap().test()),
        "values within groups"
    );
    let same = vec![1.0, 2.0, 3.0];
    assert_eq!(refused(least_squares(&[ones(3), same.clone()], &same[..2])), "values");
    let doubled: Vec<f64> = (0..4).map(|i| 2.0 * f64::from(i)).collect();
    let rising: Vec<f64> = (0..4).map(f64::from).collect();
    let error = least_squares(&[ones(4), rising, doubled], &[1.0, 2.0, 1.0, 4.0]).unwrap_err();
    assert_eq!(error, StatsError::Collinear { argument: "columns", column: 2 });
    // The same but for the rounding of its digits.
    let x = vec![0.1, 0.7, 1.3, 2.9, 3.1];
    let shifted: Vec<f64> = x.iter().map(|x| 0.1 * x + 0.3).collect();
    let error = least_squares(&[ones(5), x, shifted], &[1.0, 2.0, 1.0, 4.0, 3.0]).unwrap_err();
    assert_eq!(error, StatsError::Collinear { argument: "columns", column: 2 });
}

#[test]
fn one_strip_each_shows_a_difference_and_no_test() {
    let plots = Plots {
        treated_before: &[5.0],
        treated_after: &[6.0],
        control_before: &[5.1],
        control_after: &[5.3],
    };
    let got = effect_of_plots(&plots, 0.95).unwrap();
    assert!((got.effect - 0.8).abs() < 1e-12, "the difference is shown");
    assert!(got.tests.is_none(), "and nothing is claimed from it");
    assert!((got.smallest_p - 1.0).abs() < 1e-12, "no p below one is within reach");
    let plan = TrialPlan {
        plot_time: 0.1,
        core: 0.3,
        laboratory: 0.05,
        plots_per_arm: 1,
        cores: 40,
        repeats: 3,
    };
    assert_eq!(planned_effect(&plan, 0.05, 0.8).unwrap().detectable, None, "whatever the cores");
    let unequal = Plots { treated_after: &[6.0, 6.1], ..plots };
    assert_eq!(refused(effect_of_plots(&unequal, 0.95)), "after");
}

#[test]
fn covariance_needs_both_arms_and_blocks_that_hold_both() {
    let plot = |arm, block, before: f64, after: f64| Plot { arm, block, before, after };
    let controls: Vec<Plot> =
        (0..6).map(|i| plot(Arm::Control, 0, f64::from(i), f64::from(i * i))).collect();
    assert_eq!(refused(ancova(&controls, 0.95)), "columns");
    let confounded: Vec<Plot> = (0..8)
        .map(|i| {
            let arm = if i < 4 { Arm::Control } else { Arm::Treated };
            plot(arm, usize::from(i >= 4), f64::from(i % 3), f64::from(i * i))
        })
        .collect();
    assert_eq!(refused(ancova(&confounded, 0.95)), "columns");
}

#[test]
fn a_censored_reading_makes_no_exact_change_and_only_bounds_a_chance() {
    let u = Uncertainty::known(0.2);
    assert!(Reported::Below(3.0).estimate(u).is_none());
    assert!(Reported::Above(3.0).estimate(u).is_none());
    assert_eq!(Reported::Value(3.0).estimate(u), Some(Estimate { value: 3.0, uncertainty: u }));
    let below = probability_below(Reported::Below(3.0), u, 10.0, Scale::Log).unwrap();
    assert!(below.at_least > 0.999, "short of a limit far above it");
    let below = probability_below(Reported::Below(3.0), u, 1.0, Scale::Log).unwrap();
    assert!(below.at_least < 0.001 && below.at_most > 0.999, "nothing about a limit far below it");
    let above = probability_below(Reported::Above(30.0), u, 10.0, Scale::Log).unwrap();
    assert!(above.at_most < 0.001, "enough for a limit far below it");
}

#[test]
fn certainty_is_kept_where_there_is_no_uncertainty() {
    let sure = Uncertainty::known(0.0);
    let got = change_from_difference(0.3, sure, Scale::Linear, 0.95).unwrap();
    assert!(got.probability_of_rise > 0.999_999 && got.p < 1e-12, "a sure rise");
    let got = change_from_difference(0.0, sure, Scale::Linear, 0.95).unwrap();
    assert!((got.probability_of_rise - 0.5).abs() < 1e-12 && got.p > 0.999, "surely none");
    assert!(judge(&got, 0.1).unwrap().within_margin, "and within every margin");
    let of = |value| Estimate { value, uncertainty: sure };
    assert_eq!(refused(change(&of(0.0), &of(1.0), Scale::Log, 0.95)), "reading");
}

#[test]
fn an_effect_far_beyond_reach_of_the_scatter_is_certain() {
    assert!(noncentral_t_cdf(1.0, 4.0, -40.0).unwrap() > 1.0 - 1e-12, "far below");
    assert!(noncentral_t_cdf(-1.0, 4.0, -40.0).unwrap() > 1.0 - 1e-12, "far below, negative");
    assert!(noncentral_t_cdf(-1.0, 4.0, 40.0).unwrap() < 1e-12, "far above");
    assert!(noncentral_t_cdf(0.0, 4.0, 40.0).unwrap() < 1e-12, "far above, at zero");
}

#[test]
fn equal_claims_are_served_from_the_first() {
    assert_eq!(proportional(&[10.0; 4], 6, 1).unwrap().whole, [2, 2, 1, 1]);
    assert_eq!(neyman(&[10.0; 3], &[0.2; 3], 4, 0).unwrap().whole, [2, 1, 1]);
    // Small strata lifted to the least are paid for by those above their share.
    assert_eq!(proportional(&[97.0, 1.0, 1.0, 1.0], 10, 2).unwrap().whole, [4, 2, 2, 2]);
}

#[test]
fn a_random_start_is_drawn_from_all_starts() {
    let mut points = Halton::from_random(&mut || 0.75).unwrap();
    let [x, y] = points.next().unwrap();
    // Three quarters of 2^20 ends in eighteen zeros, which are mirrored to the front.
    assert!((x - 3.0 / 1_048_576.0).abs() < 1e-15, "{x}");
    // Three quarters of 3^13 = 1195742 in base three is 2020202020202, then mirrored.
    assert!(
        (y - (1..=13).step_by(2).map(|i| 2.0 / 3_f64.powi(i)).sum::<f64>()).abs() < 1e-12,
        "{y}"
    );
}

#[test]
fn the_core_share_of_a_budget_is_that_of_the_variance() {
    let budget = CompositeBudget {
        core: Scatter::known(0.3),
        cores: 9,
        laboratory: Scatter::known(0.2),
        repeats: 1,
        between_laboratories: Some(Scatter::known(0.2)),
    };
    let got = composite(&budget).unwrap();
    assert!((got.core_share() - 0.01 / 0.09).abs() < 1e-12, "{}", got.core_share());
    assert!((got.combined.u - 0.3).abs() < 1e-12, "{}", got.combined.u);
}
