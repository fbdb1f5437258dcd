//! Verdicts on the change of one zone.

use swardbook_stats::{
    bayes::Belief,
    change::{
        Change, Estimate, Verdict, change, change_from_difference, judge, reference_change,
        smallest_detectable_change,
    },
    describe::{mean, standard_deviation},
    interval::Scale,
    multiplicity::{benjamini_hochberg, holm},
    regression_to_mean::{Population, expected_retest},
    uncertainty::{ComparisonBudget, CompositeBudget, Scatter, Uncertainty, comparison, composite},
};

use super::{Draws, is_at_most, is_nearly, is_stated, mean_is, rate};

const CORE: f64 = 0.35;
const LABORATORY: f64 = 0.06;
const CORES: usize = 12;
const RUNS: u32 = 10_000;

/// What a composite of twelve cores reads, and the budget that belongs to it.
fn read(draws: &mut Draws, truth: f64, core: Scatter) -> Estimate {
    let cores = mean(&draws.normals(CORES, truth, CORE)).unwrap();
    let value = draws.normal(cores, LABORATORY);
    let budget = CompositeBudget {
        core,
        cores: CORES,
        laboratory: Scatter::known(LABORATORY),
        repeats: 1,
        between_laboratories: None,
    };
    Estimate { value, uncertainty: composite(&budget).unwrap().combined }
}

fn seen(draws: &mut Draws, rise: f64, core: Scatter) -> Change {
    let before = read(draws, 5.8, core);
    let after = read(draws, 5.8 + rise, core);
    change(&before, &after, Scale::Linear, 0.95).unwrap()
}

#[test]
fn unchanged_ground_is_called_changed_at_the_stated_rate() {
    let got = rate(1, RUNS, |draws| {
        judge(&seen(draws, 0.0, Scatter::known(CORE)), 0.1).unwrap().verdict != Verdict::Rise
    });
    is_stated("no false rise", got, 0.975, RUNS);
    let got = rate(2, RUNS, |draws| {
        let verdict = judge(&seen(draws, 0.0, Scatter::known(CORE)), 0.1).unwrap().verdict;
        matches!(verdict, Verdict::Rise | Verdict::Fall)
    });
    is_stated("false rise or fall", got, 0.05, RUNS);
}

#[test]
fn counting_only_the_laboratory_breaks_the_promise() {
    let got = rate(3, RUNS, |draws| seen(draws, 0.0, Scatter::known(0.0)).p < 0.05);
    assert!(got > 0.3, "without the core term {got} of unchanged ground is called changed");
}

#[test]
fn intervals_of_a_change_cover_it() {
    for rise in [0.0, 0.4] {
        let got =
            rate(4, RUNS, |draws| seen(draws, rise, Scatter::known(CORE)).interval.holds(rise));
        is_stated("known scatter", got, 0.95, RUNS);
    }
}

#[test]
fn intervals_from_the_notebooks_own_scatter_cover_the_change() {
    // Five cores read singly say how much cores scatter, once for both results.
    let run = |draws: &mut Draws| {
        let own = standard_deviation(&draws.normals(5, 5.8, CORE)).unwrap();
        let core = Scatter { deviation: own, df: 4.0 };
        let budget = ComparisonBudget {
            core,
            cores: [CORES, CORES],
            laboratory: Scatter::known(LABORATORY),
            repeats: [1, 1],
            between_laboratories: None,
        };
        let (before, after) = (read(draws, 5.8, core), read(draws, 6.2, core));
        let once = comparison(&budget).unwrap().combined;
        let difference = after.value - before.value;
        let once = change_from_difference(difference, once, Scale::Linear, 0.95).unwrap();
        let twice = change(&before, &after, Scale::Linear, 0.95).unwrap();
        (once.interval.holds(0.4), twice.interval.holds(0.4))
    };
    // Degrees of freedom by Welch and Satterthwaite are approximate.
    let got = rate(5, RUNS, |draws| run(draws).0);
    is_nearly("scatter counted once", got, 0.95, RUNS, 0.005);
    let got = rate(5, RUNS, |draws| run(draws).1);
    assert!(got < 0.94, "counted twice, the intervals are too short: {got}");
}

#[test]
fn a_change_of_laboratory_is_covered_when_it_is_counted() {
    let offset = 0.12;
    let run = |draws: &mut Draws, counted: Option<Scatter>| {
        let budget = ComparisonBudget {
            core: Scatter::known(CORE),
            cores: [CORES, 20],
            laboratory: Scatter::known(LABORATORY),
            repeats: [1, 2],
            between_laboratories: counted,
        };
        let mut one = |cores: f64, repeats: f64| {
            let laboratory = draws.normal(0.0, offset);
            let scatter = (CORE.powi(2) / cores + LABORATORY.powi(2) / repeats).sqrt();
            draws.normal(5.8 + laboratory, scatter)
        };
        let difference = one(20.0, 2.0) - one(12.0, 1.0);
        let u = comparison(&budget).unwrap().combined;
        let change = change_from_difference(difference, u, Scale::Linear, 0.95).unwrap();
        change.interval.holds(0.0)
    };
    let got = rate(17, RUNS, |draws| run(draws, Some(Scatter::known(offset))));
    is_stated("two laboratories", got, 0.95, RUNS);
    let got = rate(17, RUNS, |draws| run(draws, None));
    assert!(got < 0.85, "left out, the intervals are too short: {got}");
}

#[test]
fn changes_at_the_margin_are_called_same_at_the_stated_rate_at_most() {
    for (seed, margin) in [(6, 0.2), (7, 0.3), (8, 0.5)] {
        let got = rate(seed, RUNS, |draws| {
            let change = seen(draws, margin, Scatter::known(CORE));
            judge(&change, margin).unwrap().verdict == Verdict::SameWithinMargin
        });
        is_at_most("false same", got, 0.05, RUNS);
        let got = rate(seed, RUNS, |draws| {
            let change = seen(draws, margin, Scatter::known(CORE));
            judge(&change, margin).unwrap().beyond_margin
        });
        is_at_most("false beyond the margin", got, 0.025, RUNS);
    }
}

#[test]
fn the_smallest_detectable_change_is_detected_as_often_as_promised() {
    for df in [f64::INFINITY, 4.0] {
        let u = Uncertainty { u: 0.15, df };
        let effect = smallest_detectable_change(u, 0.95, 0.8).unwrap();
        let got = rate(9, RUNS, |draws| {
            let estimated = if df.is_finite() {
                let known = draws.normals(5, 0.0, u.u);
                standard_deviation(&known).unwrap()
            } else {
                u.u
            };
            let difference = draws.normal(effect, u.u);
            let seen = Uncertainty { u: estimated, df };
            change_from_difference(difference, seen, Scale::Linear, 0.95).unwrap().p < 0.05
        });
        is_stated("power", got, 0.8, RUNS);
    }
}

#[test]
fn the_reference_change_of_lognormal_readings_flags_at_the_stated_rate() {
    let limits = reference_change(0.08, 0.20, 0.95).unwrap();
    let spread = (0.08_f64.hypot(0.20).powi(2)).ln_1p().sqrt();
    let got = rate(10, RUNS, |draws| {
        let ratio = (draws.normal(3.0, spread) - draws.normal(3.0, spread)).exp() - 1.0;
        ratio > limits.up || ratio < limits.down
    });
    is_stated("false change", got, 0.05, RUNS);
}

#[test]
fn a_probability_of_a_rise_means_what_it_says() {
    // Truth has no favoured value within reach of the readings, as the probability assumes.
    let (mut said, mut happened) = (Vec::new(), Vec::new());
    let mut draws = Draws::new(11);
    for _ in 0..RUNS {
        let truth = 6.0 * draws.uniform() - 3.0;
        let difference = draws.normal(truth, 0.3);
        let u = Uncertainty::known(0.3);
        let change = change_from_difference(difference, u, Scale::Linear, 0.95).unwrap();
        if (0.6..0.95).contains(&change.probability_of_rise) {
            said.push(change.probability_of_rise);
            happened.push(f64::from(u8::from(truth > 0.0)));
        }
    }
    mean_is("rises among those called likely", &happened, mean(&said).unwrap());
}

#[test]
fn a_zone_picked_for_being_low_comes_back_as_far_as_foretold() {
    let (between, error) = (0.4_f64, 0.3_f64);
    let of = Population {
        mean: 6.0,
        deviation: between.hypot(error),
        reliability: between.powi(2) / (between.powi(2) + error.powi(2)),
    };
    let mut draws = Draws::new(12);
    let (mut off, mut naive) = (Vec::new(), Vec::new());
    for _ in 0..RUNS {
        let zones: Vec<(f64, f64)> = (0..8)
            .map(|_| {
                let truth = draws.normal(of.mean, between);
                (truth, draws.normal(truth, error))
            })
            .collect();
        let (truth, first) = zones.into_iter().min_by(|a, b| a.1.total_cmp(&b.1)).unwrap();
        let again = draws.normal(truth, error);
        off.push(again - expected_retest(first, &of).unwrap().expected);
        naive.push(again - first);
    }
    mean_is("retest against the expected one", &off, 0.0);
    assert!(mean(&naive).unwrap() > 0.2, "untreated low zones seem to rise");
}

#[test]
fn a_belief_that_is_true_stays_calibrated() {
    let before = Belief::new(0.6, 0.2).unwrap();
    let got = rate(13, RUNS, |draws| {
        let truth = draws.normal(before.mean, before.deviation);
        let after = before.updated(draws.normal(truth, 0.15), 0.15).unwrap();
        after.interval(0.9).unwrap().holds(truth)
    });
    is_stated("posterior interval", got, 0.9, RUNS);
}

#[test]
fn several_analytes_keep_the_stated_rates() {
    const PANELS: u32 = 4_000;
    let p_of = |draws: &mut Draws, effect: f64| {
        let u = Uncertainty::known(1.0);
        let seen = draws.normal(effect, 1.0);
        change_from_difference(seen, u, Scale::Linear, 0.95).unwrap().p
    };
    // Four of twelve changed; the others did not.
    let panel = |draws: &mut Draws| -> Vec<f64> {
        (0..12).map(|i| p_of(draws, if i < 4 { 3.0 } else { 0.0 })).collect()
    };
    let got =
        rate(14, PANELS, |draws| holm(&panel(draws)).unwrap()[4..].iter().any(|p| *p <= 0.05));
    is_at_most("any false claim (Holm)", got, 0.05, PANELS);
    let mut draws = Draws::new(15);
    let false_shares: Vec<f64> = (0..PANELS)
        .map(|_| {
            let adjusted = benjamini_hochberg(&panel(&mut draws)).unwrap();
            let claims = adjusted.iter().filter(|p| **p <= 0.05).count();
            let wrong = adjusted[4..].iter().filter(|p| **p <= 0.05).count();
            wrong as f64 / claims.max(1) as f64
        })
        .collect();
    // Benjamini & Hochberg: exactly the rate times the share of true nulls when independent.
    mean_is("false share of the claims", &false_shares, 0.05 * 8.0 / 12.0);
    let got = rate(16, PANELS, |draws| panel(draws)[4..].iter().any(|p| *p <= 0.05));
    assert!(got > 0.25, "unadjusted, {got} of the panels hold a false claim");
}
