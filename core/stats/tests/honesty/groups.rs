//! Tests and intervals of groups of values.

use swardbook_stats::{
    components::{nested_components, one_way_components, repeatability},
    describe::standard_deviation,
    interval::{deviation_interval, geometric_mean_interval, mean_interval, share_interval},
    lognormal::lognormal_mean,
    permutation::{sign_flips, sign_flips_drawn, two_groups, two_groups_drawn},
    t_test::{paired, pooled, welch},
    uncertainty::{Scatter, core_scatter_from_composites},
};

use super::{Draws, is_at_most, is_nearly, is_stated, mean_is, rate};

const RUNS: u32 = 10_000;

#[test]
fn t_tests_flag_nothing_at_the_stated_rate() {
    let got = rate(20, RUNS, |draws| {
        let before = draws.normals(5, 6.0, 0.4);
        let after: Vec<f64> = before.iter().map(|b| draws.normal(*b, 0.2)).collect();
        paired(&before, &after, 0.95).unwrap().p < 0.05
    });
    is_stated("paired", got, 0.05, RUNS);
    let got = rate(21, RUNS, |draws| {
        pooled(&draws.normals(4, 6.0, 0.3), &draws.normals(6, 6.0, 0.3), 0.95).unwrap().p < 0.05
    });
    is_stated("pooled", got, 0.05, RUNS);
    // Welch's degrees of freedom are approximate; small groups of unequal scatter are its hard case.
    let got = rate(22, RUNS, |draws| {
        welch(&draws.normals(4, 6.0, 0.2), &draws.normals(8, 6.0, 0.6), 0.95).unwrap().p < 0.05
    });
    is_nearly("Welch", got, 0.05, RUNS, 0.01);
}

#[test]
fn intervals_of_means_cover_them() {
    for (seed, n) in [(23, 2), (24, 5), (25, 15)] {
        let got = rate(seed, RUNS, |draws| {
            mean_interval(&draws.normals(n, 6.0, 0.4), 0.95).unwrap().holds(6.0)
        });
        is_stated("mean", got, 0.95, RUNS);
        let got = rate(seed, RUNS, |draws| {
            let values: Vec<f64> = draws.normals(n, 3.0, 0.5).into_iter().map(f64::exp).collect();
            geometric_mean_interval(&values, 0.95).unwrap().holds(3.0_f64.exp())
        });
        is_stated("geometric mean", got, 0.95, RUNS);
    }
    // The modified Cox interval is approximate: Olsson reports 93 to 97 % for a moderate skew.
    let got = rate(26, RUNS, |draws| {
        let values: Vec<f64> = draws.normals(10, 3.0, 0.6).into_iter().map(f64::exp).collect();
        let interval = lognormal_mean(&values, 0.95).unwrap().arithmetic_interval;
        interval.holds((3.0_f64 + 0.18).exp())
    });
    is_nearly("arithmetic mean of skewed values", got, 0.95, RUNS, 0.015);
}

#[test]
fn intervals_of_deviations_and_shares_cover_them() {
    let got = rate(27, RUNS, |draws| {
        let own = standard_deviation(&draws.normals(8, 6.0, 0.4)).unwrap();
        deviation_interval(own, 7.0, 0.9).unwrap().holds(0.4)
    });
    is_stated("deviation", got, 0.9, RUNS);
    // The Wilson interval steps with the count; on the whole it stays near its level.
    let got = rate(28, RUNS, |draws| {
        let hits = (0..60).filter(|_| draws.uniform() < 0.3).count();
        share_interval(u64::try_from(hits).unwrap(), 60, 0.95).unwrap().holds(0.3)
    });
    is_nearly("share", got, 0.95, RUNS, 0.015);
}

#[test]
fn exact_tests_flag_nothing_at_most_at_the_stated_rate() {
    // Skewed values on purpose: these tests assume no distribution.
    let got = rate(29, 4_000, |draws| {
        let sign = |draws: &mut Draws| if draws.uniform() < 0.5 { -1.0 } else { 1.0 };
        let differences: Vec<f64> =
            (0..7).map(|_| sign(draws) * draws.normal(0.0, 1.5).exp()).collect();
        sign_flips(&differences).unwrap().p <= 0.05
    });
    is_at_most("sign flips", got, 0.05, 4_000);
    let got = rate(30, 4_000, |draws| {
        let group = |draws: &mut Draws| -> Vec<f64> {
            draws.normals(4, 0.0, 1.5).into_iter().map(f64::exp).collect()
        };
        two_groups(&group(draws), &group(draws)).unwrap().p <= 0.05
    });
    is_at_most("two groups", got, 0.05, 4_000);
    assert!(got > 0.0, "the design can reach the rate, and does at times");
}

#[test]
fn drawn_arrangements_agree_with_listed_ones() {
    let mut draws = Draws::new(31);
    let differences = draws.normals(9, 0.5, 1.0);
    let (first, second) = (draws.normals(5, 0.0, 1.0), draws.normals(6, 0.8, 1.0));
    let listed = [sign_flips(&differences).unwrap(), two_groups(&first, &second).unwrap()];
    let mut uniform = || draws.uniform();
    let drawn = [
        sign_flips_drawn(&differences, 20_000, &mut uniform).unwrap(),
        two_groups_drawn(&first, &second, 20_000, &mut uniform).unwrap(),
    ];
    for (listed, drawn) in listed.iter().zip(&drawn) {
        is_stated("p", drawn.p, listed.p, 20_000);
        is_stated("p of a rise", drawn.p_rise, listed.p_rise, 20_000);
        is_stated("p of a fall", drawn.p_fall, listed.p_fall, 20_000);
    }
}

#[test]
fn parts_of_scatter_come_out_right_on_the_whole() {
    let (zone, core, reading) = (0.5, 0.35, 0.1);
    let mut draws = Draws::new(32);
    let mut parts: [Vec<f64>; 6] = Default::default();
    for _ in 0..3_000 {
        let zones: Vec<Vec<Vec<f64>>> = (0..12)
            .map(|_| {
                let of_zone = draws.normal(6.0, zone);
                let cores = draws.normals(3, of_zone, core);
                cores.into_iter().map(|of_core| draws.normals(2, of_core, reading)).collect()
            })
            .collect();
        // Wide enough apart that none of the estimates is ever cut off at none.
        let nested = nested_components(&zones).unwrap();
        parts[0].push(nested.zone);
        parts[1].push(nested.core);
        parts[2].push(nested.reading);
        // Groups of unequal size, and so unbalanced.
        let uneven: Vec<Vec<f64>> = (0..6)
            .map(|i| {
                let of_zone = draws.normal(6.0, zone);
                draws.normals(2 + i % 3 * 2, of_zone, core)
            })
            .collect();
        let split = one_way_components(&uneven).unwrap();
        parts[3].push(split.between_as_estimated);
        parts[4].push(split.within);
        let first = draws.normals(6, 6.0, reading);
        let second = draws.normals(6, 6.0, reading);
        parts[5].push(repeatability(&first, &second).unwrap().deviation.powi(2));
    }
    let squares =
        [zone, core, reading, zone, core, reading].map(|deviation: f64| deviation.powi(2));
    for (part, want) in parts.iter().zip(squares) {
        mean_is("variance", part, want);
    }
}

#[test]
fn cores_are_told_from_the_laboratory_by_replicate_composites() {
    let (core, laboratory) = (0.35_f64, 0.05_f64);
    let mut draws = Draws::new(33);
    let seen: Vec<f64> = (0..4_000)
        .map(|_| {
            let truth = core / 10.0_f64.sqrt();
            let composites: Vec<f64> =
                draws.normals(8, 6.0, truth.hypot(laboratory / 2.0_f64.sqrt()));
            let known = Scatter::known(laboratory);
            let scatter = core_scatter_from_composites(&[composites], 10, known, 2).unwrap();
            assert!(scatter.df <= 7.0, "never better known than by the composites");
            scatter.deviation.powi(2)
        })
        .collect();
    mean_is("variance between cores", &seen, core.powi(2));
}
