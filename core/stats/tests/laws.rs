//! What holds for every input.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use proptest::prelude::*;
use swardbook_stats::{
    agreement::{Weights, weighted_kappa},
    change::{Estimate, Verdict, change, judge, reference_change},
    components::one_way_components,
    describe::{mean, ph_of_mean_acidity, quantile, variance},
    distribution::{noncentral_t_cdf, t_cdf, t_quantile, t_two_sided_p},
    halton::Halton,
    interval::{Scale, scale_interval, share_interval},
    linear_model::{least_squares, ones},
    multiplicity::{benjamini_hochberg, holm},
    permutation::{mid_ranks, sign_flips, two_groups},
    power::power_at_offset,
    regression_to_mean::{Population, expected_retest},
    sample_size::{cores_needed, margin_reached},
    stratified::{neyman, proportional},
    t_test::{pooled, welch},
    uncertainty::{Uncertainty, combine},
};

fn numbers(least: usize, most: usize) -> impl Strategy<Value = Vec<f64>> {
    prop::collection::vec(-50.0..50.0_f64, least..=most)
}

fn near(a: f64, b: f64, size: f64) -> bool {
    (a - b).abs() <= 1e-9 * size.max(1e-3)
}

fn size(values: &[f64]) -> f64 {
    values.iter().fold(0.0, |most: f64, value| most.max(value.abs()))
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(200) })]

    #[test]
    fn adjusted_p_are_ordered_like_the_p_and_never_smaller(
        p in prop::collection::vec(0.0..=1.0_f64, 0..15),
    ) {
        let (strict, rate) = (holm(&p).unwrap(), benjamini_hochberg(&p).unwrap());
        for i in 0..p.len() {
            prop_assert!(p[i] <= rate[i] && rate[i] <= strict[i] + 1e-15 && strict[i] <= 1.0);
            for j in 0..p.len() {
                if p[i] < p[j] {
                    prop_assert!(strict[i] <= strict[j] && rate[i] <= rate[j]);
                }
            }
        }
    }

    #[test]
    fn sign_flips_know_no_direction_but_the_sign(values in numbers(1, 9)) {
        let got = sign_flips(&values).unwrap();
        let flipped: Vec<f64> = values.iter().map(|value| -value).collect();
        let turned = sign_flips(&flipped).unwrap();
        prop_assert!(0.0 < got.p && got.p <= 1.0 && got.p >= got.smallest_p);
        prop_assert_eq!(got.as_far, turned.as_far);
        prop_assert!(near(got.p_rise, turned.p_fall, 1.0));
        prop_assert_eq!(got.arrangements, 1 << values.len());
    }

    #[test]
    fn two_groups_can_change_places_and_be_moved(
        a in numbers(1, 6), b in numbers(1, 6), shift in -1e3..1e3_f64,
    ) {
        let got = two_groups(&a, &b).unwrap();
        let turned = two_groups(&b, &a).unwrap();
        let moved = |values: &[f64]| values.iter().map(|value| value + shift).collect::<Vec<_>>();
        let elsewhere = two_groups(&moved(&a), &moved(&b)).unwrap();
        prop_assert!(0.0 < got.p && got.p <= 1.0);
        prop_assert_eq!(got.as_far, turned.as_far);
        prop_assert_eq!(got.as_far, elsewhere.as_far);
        prop_assert!(near(got.difference, -turned.difference, 50.0));
        prop_assert!(got.p_rise >= 1.0 / got.arrangements as f64);
    }

    #[test]
    fn ranks_add_up(values in prop::collection::vec(-4..4_i32, 1..12)) {
        let values: Vec<f64> = values.into_iter().map(f64::from).collect();
        let n = values.len() as f64;
        prop_assert!(near(mid_ranks(&values).unwrap().iter().sum(), n * (n + 1.0) / 2.0, 100.0));
    }

    #[test]
    fn t_probabilities_and_quantiles_undo_each_other(
        p in 1e-6..0.999_999_f64, df in 0.6..400.0_f64, tiny in 1e-9..0.1_f64,
    ) {
        prop_assert!((t_cdf(t_quantile(p, df).unwrap(), df).unwrap() - p).abs() < 1e-12);
        let tail = t_two_sided_p(t_quantile(1.0 - tiny, df).unwrap(), df).unwrap();
        prop_assert!((tail - 2.0 * tiny).abs() < 1e-12);
        let wider = t_quantile(0.975, df).unwrap();
        prop_assert!(wider > t_quantile(0.975, 2.0 * df).unwrap());
        prop_assert!(wider > t_quantile(0.975, f64::INFINITY).unwrap());
    }

    #[test]
    fn a_noncentral_t_without_offset_is_central_and_mirrors(
        t in -8.0..8.0_f64, df in 1.0..200.0_f64, offset in -20.0..20.0_f64,
    ) {
        let central = noncentral_t_cdf(t, df, 0.0).unwrap();
        prop_assert!((central - t_cdf(t, df).unwrap()).abs() < 1e-10);
        let here = noncentral_t_cdf(t, df, offset).unwrap();
        let mirrored = 1.0 - noncentral_t_cdf(-t, df, -offset).unwrap();
        prop_assert!((here - mirrored).abs() < 1e-10);
        prop_assert!(here >= noncentral_t_cdf(t, df, offset + 0.5).unwrap() - 1e-10);
    }

    #[test]
    fn the_noncentral_t_has_no_seam_between_series_and_integral(
        t in 5.0..90.0_f64, df in 1.0..60.0_f64,
    ) {
        let series = noncentral_t_cdf(t, df, 37.0).unwrap();
        let integral = noncentral_t_cdf(t, df, 37.0 + 1e-9).unwrap();
        prop_assert!((series - integral).abs() < 1e-7, "{series} {integral}");
    }

    #[test]
    fn power_grows_with_the_effect_from_the_error_rate(
        offset in 0.0..30.0_f64, df in 1.0..100.0_f64, rate in 0.001..0.2_f64,
    ) {
        let here = power_at_offset(offset, df, rate).unwrap();
        prop_assert!(here >= rate - 1e-9 && here <= 1.0);
        prop_assert!(power_at_offset(offset + 0.3, df, rate).unwrap() >= here - 1e-9);
        prop_assert!((power_at_offset(0.0, df, rate).unwrap() - rate).abs() < 1e-9);
    }

    #[test]
    fn parts_of_uncertainty_add_in_squares(
        parts in prop::collection::vec((0.0..5.0_f64, 0.5..50.0_f64), 1..6), size in 1e-3..1e3_f64,
    ) {
        let of = |size: f64| -> Vec<Uncertainty> {
            parts.iter().map(|(u, df)| Uncertainty { u: u * size, df: *df }).collect()
        };
        let got = combine(&of(1.0)).unwrap();
        let squares: f64 = parts.iter().map(|(u, _)| u * u).sum();
        prop_assert!(near(got.u.powi(2), squares, squares));
        let least = parts.iter().map(|(_, df)| *df).fold(f64::INFINITY, f64::min);
        let all: f64 = parts.iter().map(|(_, df)| *df).sum();
        if got.u > 0.0 {
            prop_assert!(got.df >= least * (1.0 - 1e-9) && got.df <= all * (1.0 + 1e-9));
            let scaled = combine(&of(size)).unwrap();
            prop_assert!(near(scaled.u, got.u * size, got.u * size));
            prop_assert!(near(scaled.df, got.df, got.df));
        }
    }

    #[test]
    fn a_change_turned_round_is_the_opposite_change(
        a in 0.5..50.0_f64, b in 0.5..50.0_f64, u in 0.01..2.0_f64, df in 1.0..40.0_f64,
        margin in 0.05..1.0_f64,
    ) {
        let of = |value: f64| Estimate { value, uncertainty: Uncertainty { u, df } };
        let there = change(&of(a), &of(b), Scale::Log, 0.95).unwrap();
        let back = change(&of(b), &of(a), Scale::Log, 0.95).unwrap();
        prop_assert!(near(there.difference, -back.difference, 5.0));
        prop_assert!(near(there.probability_of_rise, back.probability_of_fall, 1.0));
        prop_assert!(near(there.ratio().unwrap().0, b / a, b / a));
        let real = there.least_significant_ratios().unwrap();
        prop_assert!(near((1.0 + real.low).ln(), -there.least_significant, 5.0));
        prop_assert!(near((1.0 + real.high).ln(), there.least_significant, 5.0));
        let (one, other) = (judge(&there, margin).unwrap(), judge(&back, margin).unwrap());
        let turned = match one.verdict {
            Verdict::Rise => Verdict::Fall,
            Verdict::Fall => Verdict::Rise,
            same => same,
        };
        prop_assert_eq!(turned, other.verdict);
        // The rise is called exactly when it exceeds the least significant change, and p says so.
        let real = there.difference.abs() > there.least_significant;
        prop_assert_eq!(real, matches!(one.verdict, Verdict::Rise | Verdict::Fall));
        prop_assert_eq!(real, there.p < 0.05);
        prop_assert!(!(one.within_margin && one.beyond_margin));
        let inside = one.equivalence.interval.is_inside(-margin, margin);
        prop_assert_eq!(inside, one.within_margin);
    }

    #[test]
    fn a_reference_change_is_wider_upward(a in 0.0..0.5_f64, b in 0.001..0.5_f64) {
        let got = reference_change(a, b, 0.95).unwrap();
        prop_assert!(got.up > -got.down && got.down > -1.0 && got.symmetric > 0.0);
        prop_assert!(near((1.0 + got.up) * (1.0 + got.down), 1.0, 1.0));
    }

    #[test]
    fn scales_lead_there_and_back(share in 0.001..0.999_f64, level in 0.5..0.99_f64) {
        for scale in [Scale::Linear, Scale::Log, Scale::Logit] {
            prop_assert!(near(scale.back(scale.forward(share).unwrap()), share, 1.0));
            let interval = scale_interval(share, 0.3, 9.0, level, scale).unwrap();
            prop_assert!(interval.holds(share));
            if scale == Scale::Logit {
                prop_assert!(interval.is_inside(0.0, 1.0));
            }
        }
    }

    #[test]
    fn uncertainty_is_carried_onto_the_scale(share in 0.01..0.99_f64, part in 0.01..0.5_f64) {
        // A lognormal value of log deviation s has the variation sqrt(exp(s^2) - 1).
        let s = Scale::Log.uncertainty(share, part * share).unwrap();
        prop_assert!(near((s * s).exp_m1().sqrt(), part, part));
        let step = 1e-6;
        let at = |p: f64| Scale::Logit.forward(p).unwrap();
        let slope = (at(share + step) - at(share - step)) / (2.0 * step);
        let u = Scale::Logit.uncertainty(share, 0.01).unwrap();
        prop_assert!((u - 0.01 * slope).abs() < 1e-5 * u);
        prop_assert!(near(Scale::Linear.uncertainty(share, part).unwrap(), part, part));
    }

    #[test]
    fn the_interval_of_a_share_holds_it(n in 1..500_u64, part in 0.0..=1.0_f64) {
        let hits = (0..n).filter(|i| (*i as f64) < part * n as f64).count() as u64;
        let got = share_interval(hits, n, 0.95).unwrap();
        let share = hits as f64 / n as f64;
        prop_assert!(got.low <= share + 1e-12 && share <= got.high + 1e-12);
        prop_assert!(got.low >= 0.0 && got.high <= 1.0);
    }

    #[test]
    fn mean_acidity_is_more_acid_than_the_mean_reading(
        readings in prop::collection::vec(2.0..11.0_f64, 1..12),
    ) {
        let of_acidity = ph_of_mean_acidity(&readings).unwrap();
        let least = readings.iter().copied().fold(f64::INFINITY, f64::min);
        prop_assert!(of_acidity <= mean(&readings).unwrap() + 1e-12);
        prop_assert!(of_acidity >= least - 1e-12);
        // Wherever on the axis: nothing underflows.
        let far: Vec<f64> = readings.iter().map(|reading| reading + 400.0).collect();
        prop_assert!((ph_of_mean_acidity(&far).unwrap() - of_acidity - 400.0).abs() < 1e-9);
    }

    #[test]
    fn quantiles_rise_and_stay_inside(values in numbers(1, 12), p in 0.0..=1.0_f64) {
        let at = |p: f64| quantile(&values, p).unwrap();
        prop_assert!(at(0.0) <= at(p) && at(p) <= at(1.0));
        prop_assert!(at(p * 0.5) <= at(p));
        prop_assert!(values.iter().all(|value| at(0.0) <= *value && *value <= at(1.0)));
    }

    #[test]
    fn a_common_shift_moves_the_mean_and_not_the_scatter(
        values in numbers(2, 12), shift in -1e6..1e6_f64,
    ) {
        let moved: Vec<f64> = values.iter().map(|value| value + shift).collect();
        prop_assert!(near(mean(&moved).unwrap() - shift, mean(&values).unwrap(), 1e3));
        prop_assert!(near(variance(&moved).unwrap(), variance(&values).unwrap(), 1e4));
    }

    #[test]
    fn groups_of_one_size_have_one_standard_error(a in numbers(3, 3), b in numbers(3, 3)) {
        if let (Ok(one), Ok(other)) = (pooled(&a, &b, 0.95), welch(&a, &b, 0.95)) {
            prop_assert!(near(one.uncertainty.u, other.uncertainty.u, 50.0));
            prop_assert!(other.uncertainty.df <= one.uncertainty.df + 1e-9);
        }
    }

    #[test]
    fn all_scatter_is_between_and_within(groups in prop::collection::vec(numbers(2, 4), 2..5)) {
        let got = one_way_components(&groups).unwrap();
        let all = groups.concat();
        let total = variance(&all).unwrap() * (all.len() as f64 - 1.0);
        prop_assert!(near(got.table.between.squares + got.table.within.squares, total, 1e4));
        prop_assert!(got.between >= 0.0 && got.within >= 0.0);
    }

    #[test]
    fn what_is_left_stands_square_to_the_columns(
        x in numbers(8, 8), z in numbers(8, 8), y in numbers(8, 8),
    ) {
        let columns = [ones(8), x, z];
        if let Ok(fit) = least_squares(&columns, &y) {
            for column in &columns {
                let along: f64 = column.iter().zip(&fit.residuals).map(|(x, r)| x * r).sum();
                prop_assert!(near(along, 0.0, 1e4));
            }
            let squares: f64 = fit.residuals.iter().map(|r| r * r).sum();
            prop_assert!(near(squares, fit.residual_squares, 1e4));
        }
    }

    #[test]
    fn allocations_add_up(
        strata in prop::collection::vec((1.0..500.0_f64, 0.0..2.0_f64), 1..8), more in 0..60_usize,
        least in 0..4_usize,
    ) {
        let (areas, deviations): (Vec<f64>, Vec<f64>) = strata.into_iter().unzip();
        let cores = least * areas.len() + more;
        let by_area = proportional(&areas, cores, least).unwrap();
        let mut all = vec![by_area];
        if size(&deviations) > 0.0 {
            all.push(neyman(&areas, &deviations, cores, least).unwrap());
        }
        for got in all {
            prop_assert_eq!(got.whole.iter().sum::<usize>(), cores);
            prop_assert!(got.whole.iter().all(|n| *n >= least));
            prop_assert!(near(got.exact.iter().sum(), cores as f64, 100.0));
            if least == 0 {
                for (whole, exact) in got.whole.iter().zip(&got.exact) {
                    prop_assert!((*whole as f64 - exact).abs() < 1.0 + 1e-9);
                }
            }
        }
    }

    #[test]
    fn the_cores_needed_are_the_fewest(deviation in 0.01..3.0_f64, margin in 0.1..2.0_f64) {
        let n = cores_needed(deviation, margin, 0.95).unwrap();
        prop_assert!(margin_reached(deviation, n, 0.95).unwrap() <= margin * (1.0 + 1e-12));
        if n > 2 {
            prop_assert!(margin_reached(deviation, n - 1, 0.95).unwrap() > margin);
        }
    }

    #[test]
    fn a_retest_lies_between_the_first_reading_and_the_mean(
        first in -50.0..50.0_f64, mean in -50.0..50.0_f64, reliability in 0.0..=1.0_f64,
    ) {
        let of = Population { mean, deviation: 3.0, reliability };
        let got = expected_retest(first, &of).unwrap();
        prop_assert!(got.expected >= first.min(mean) - 1e-9);
        prop_assert!(got.expected <= first.max(mean) + 1e-9);
        prop_assert!(near(got.expected - first, got.change, 100.0));
    }

    #[test]
    fn a_rater_agrees_with_itself(ratings in prop::collection::vec(1..=9_i32, 2..20)) {
        for weights in [Weights::Linear, Weights::Quadratic] {
            if let Ok(kappa) = weighted_kappa(&ratings, &ratings, 1, 9, weights) {
                prop_assert!(near(kappa, 1.0, 1.0));
            }
            let other: Vec<i32> = ratings.iter().map(|rating| 10 - rating).collect();
            if let Ok(kappa) = weighted_kappa(&ratings, &other, 1, 9, weights) {
                prop_assert!(kappa <= 1.0);
                let turned = weighted_kappa(&other, &ratings, 1, 9, weights).unwrap();
                prop_assert!(near(turned, kappa, 1.0));
            }
        }
    }

    #[test]
    fn points_stay_in_the_square(x in 0.0..1.0_f64, y in 0.0..1.0_f64) {
        let mut starts = [x, y].into_iter();
        let points = Halton::from_random(&mut || starts.next().unwrap()).unwrap();
        for point in points.take(50) {
            prop_assert!(point.iter().all(|side| (0.0..1.0).contains(side)));
        }
    }
}
