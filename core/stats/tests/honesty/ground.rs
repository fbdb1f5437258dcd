//! Sampling of ground that varies, and readings below what a laboratory can read.

use swardbook_stats::{
    bayes::Belief,
    censored::{Reported, probability_below, probability_below_given},
    describe::{Summary, mean},
    halton::Halton,
    interval::{Scale, mean_interval},
    sample_size::{cores_needed, margin_reached},
    stratified::{Stratum, proportional, stratified_mean},
    uncertainty::Uncertainty,
};

use super::{Draws, is_nearly, is_stated, mean_is, rate};

const RUNS: u32 = 10_000;

#[test]
fn the_wanted_margin_is_met_by_the_cores_it_asked_for() {
    let n = cores_needed(0.35, 0.2, 0.95).unwrap();
    assert!(margin_reached(0.35, n, 0.95).unwrap() <= 0.2, "the margin is met");
    assert!(margin_reached(0.35, n - 1, 0.95).unwrap() > 0.2, "one core fewer misses it");
    let mut draws = Draws::new(50);
    let (mut squares, mut held) = (Vec::new(), 0_u32);
    for _ in 0..RUNS {
        let values = draws.normals(n, 6.0, 0.35);
        held += u32::from((mean(&values).unwrap() - 6.0).abs() <= 0.2);
        squares.push(mean_interval(&values, 0.95).unwrap().half_width().powi(2));
    }
    let promised = margin_reached(0.35, n, 0.95).unwrap().powi(2);
    mean_is("squared half width", &squares, promised);
    // The t margin is a little wider than the normal one, so means are off by less than it.
    assert!(held > RUNS * 95 / 100, "{held} of {RUNS} means within the margin");
}

#[test]
fn strata_sharpen_the_mean_and_its_interval_still_covers() {
    let (areas, levels) = ([120.0, 340.0, 540.0], [5.2, 5.9, 6.6]);
    let truth: f64 = areas.iter().zip(levels).map(|(a, l)| a * l).sum::<f64>() / 1000.0;
    let cores = proportional(&areas, 20, 2).unwrap().whole;
    let sample = |draws: &mut Draws| {
        let strata: Vec<Stratum> = (0..3)
            .map(|i| {
                let of = Summary::of(&draws.normals(cores[i], levels[i], 0.3)).unwrap();
                Stratum {
                    weight: areas[i],
                    mean: of.mean,
                    deviation: of.deviation,
                    cores: cores[i],
                    possible: f64::INFINITY,
                }
            })
            .collect();
        stratified_mean(&strata).unwrap()
    };
    let got = rate(51, RUNS, |draws| {
        let (mean, uncertainty) = sample(draws);
        (mean - truth).abs() <= uncertainty.expanded(0.95).unwrap()
    });
    // Degrees of freedom by Satterthwaite are approximate.
    is_nearly("stratified interval", got, 0.95, RUNS, 0.01);
    let mut draws = Draws::new(52);
    let stratified = sample(&mut draws).1.u;
    let anywhere: Vec<f64> = (0..20)
        .map(|_| {
            let at = 1000.0 * draws.uniform();
            let stratum = if at < 120.0 { 0 } else { 1 + usize::from(at >= 460.0) };
            draws.normal(levels[stratum], 0.3)
        })
        .collect();
    let random = Summary::of(&anywhere).unwrap().standard_error();
    assert!(stratified < random, "{stratified} against {random} at random");
}

#[test]
fn strata_that_can_be_counted_have_exactly_the_stated_variance() {
    // Every sample of two of three and two of four cores, listed: no simulation, no tolerance but
    // rounding.
    let strata = [vec![1.0, 2.0, 6.0], vec![3.0, 3.5, 4.0, 9.0]];
    let weights = [3.0, 4.0];
    let pairs = |values: &[f64]| -> Vec<Summary> {
        let mut all = Vec::new();
        for i in 0..values.len() {
            for j in i + 1..values.len() {
                all.push(Summary::of(&[values[i], values[j]]).unwrap());
            }
        }
        all
    };
    let truth = (9.0 + 19.5) / 7.0;
    let (mut means, mut variances) = (Vec::new(), Vec::new());
    for a in pairs(&strata[0]) {
        for b in pairs(&strata[1]) {
            let of = |summary: Summary, i: usize| Stratum {
                weight: weights[i],
                mean: summary.mean,
                deviation: summary.deviation,
                cores: 2,
                possible: weights[i],
            };
            let (mean, uncertainty) = stratified_mean(&[of(a, 0), of(b, 1)]).unwrap();
            means.push(mean);
            variances.push(uncertainty.u.powi(2));
        }
    }
    let spread = means.iter().map(|m| (m - truth).powi(2)).sum::<f64>() / means.len() as f64;
    assert!((mean(&means).unwrap() - truth).abs() < 1e-12, "unbiased");
    assert!((mean(&variances).unwrap() - spread).abs() < 1e-12, "variance as stated");
}

#[test]
fn points_from_a_random_start_favour_no_part_of_the_ground() {
    let mut draws = Draws::new(53);
    let mut inside = Vec::new();
    let mut even = 0_u32;
    for _ in 0..2_000 {
        let points: Vec<[f64; 2]> =
            Halton::from_random(&mut || draws.uniform()).unwrap().take(18).collect();
        inside.push(points.iter().filter(|p| p[0] < 0.3 && p[1] > 0.45).count() as f64 / 18.0);
        // Any eighteen in a row put three in each of six equal cells, wherever they start.
        even += u32::from(points.iter().filter(|p| p[0] < 0.5 && p[1] < 1.0 / 3.0).count() == 3);
    }
    mean_is("share inside a corner", &inside, 0.3 * 0.55);
    assert_eq!(even, 2_000, "evenly spread");
}

#[test]
fn below_the_limit_of_a_laboratory_the_chance_is_what_the_belief_and_the_report_leave() {
    let belief = Belief::new(3.0, 0.6).unwrap();
    let (u, cut, limit) = (0.3, 2.6, 2.4);
    let mut draws = Draws::new(54);
    let (mut below, mut above) = (Vec::new(), Vec::new());
    for _ in 0..40_000 {
        let truth = draws.normal(belief.mean, belief.deviation);
        let short = f64::from(u8::from(truth < limit));
        if draws.normal(truth, u) < cut { below.push(short) } else { above.push(short) }
    }
    let said = |reported| probability_below_given(&belief, reported, u, limit).unwrap();
    mean_is("among those reported below", &below, said(Reported::Below(cut)));
    mean_is("among those reported above", &above, said(Reported::Above(cut)));
}

#[test]
fn without_a_belief_a_censored_reading_only_bounds_the_chance() {
    // Whatever the truth among many even ones, the stated least chance is not above the real one.
    let (u, cut, limit) = (Uncertainty::known(0.2), 1.0_f64.exp(), 1.2_f64.exp());
    let got = probability_below(Reported::Below(cut), u, limit, Scale::Log).unwrap();
    let mut draws = Draws::new(55);
    let mut short = Vec::new();
    for _ in 0..20_000 {
        let truth = 3.0 * draws.uniform() - 1.0;
        if draws.normal(truth, 0.2) < 1.0 {
            short.push(f64::from(u8::from(truth < 1.2)));
        }
    }
    assert!(mean(&short).unwrap() >= got.at_least, "at least {}", got.at_least);
    assert!(got.at_most >= 1.0, "a reading below can be as low as it likes");
    let plain = probability_below(Reported::Value(cut), u, limit, Scale::Log).unwrap();
    is_stated("the bound is that of a reading at the cut", plain.at_least, got.at_least, RUNS);
}
