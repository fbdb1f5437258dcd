//! Trials on ground where nothing was done: how often a change is seen, and how often a cause is
//! claimed.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use swardbook_agronomy::{
    analyte::Scale,
    trial::{Assignment, Treatment, TrialPlot, TrialQuestion, trial},
};
use swardbook_stats::change::Verdict;

/// Knuth's multiplier for a congruential sequence; upper bits only.
struct Draws(u64);

impl Draws {
    fn uniform(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        let (a, b) = (self.uniform(), self.uniform());
        (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
    }
}

const PLOTS: usize = 12;
const RUNS: u32 = 2_000;

/// Twelve plots in a row whose change drifts along the row, as ground does; nothing was put on.
fn untreated(draws: &mut Draws) -> Vec<f64> {
    let mut drift = 0.0;
    (0..PLOTS)
        .map(|_| {
            drift += 0.5 * draws.normal();
            drift + 0.5 * draws.normal()
        })
        .collect()
}

fn ask(changes: &[f64], treated: &[bool], blocks: bool, assignment: Assignment) -> TrialQuestion {
    let plots =
        changes.iter().zip(treated).enumerate().map(|(place, (change, treated))| TrialPlot {
            treatment: if *treated { Treatment::Treated } else { Treatment::Control },
            block: if blocks { place / 2 } else { 0 },
            before: 5.0,
            after: 5.0 + change,
        });
    TrialQuestion {
        scale: Scale::Linear,
        unit: "pH".to_owned(),
        plots: plots.collect(),
        assignment,
        level: 0.95,
    }
}

/// Share of runs in which an effect is called, and in which a cause is claimed.
fn shares(seed: u64, question: impl Fn(&mut Draws) -> TrialQuestion) -> (f64, f64) {
    let mut draws = Draws(seed);
    let (mut called, mut because) = (0, 0);
    for _ in 0..RUNS {
        let found = trial(&question(&mut draws)).unwrap().value;
        called += u32::from(found.verdict != Verdict::CannotTell);
        because += u32::from(found.because);
    }
    (f64::from(called) / f64::from(RUNS), f64::from(because) / f64::from(RUNS))
}

/// The stated 5 % with four standard errors of 2,000 runs: false alarm below 1 in 10,000.
const MOST: f64 = 0.05 + 4.0 * 0.004_873;

#[test]
fn two_strips_side_by_side_differ_untreated_and_no_cause_is_claimed() {
    let halves: Vec<bool> = (0..PLOTS).map(|place| place < PLOTS / 2).collect();
    let (called, because) =
        shares(1, |draws| ask(&untreated(draws), &halves, false, Assignment::Chosen));
    // Plots of one strip are no replicates: far more than 5 % are called.
    assert!(called > 0.3, "{called}");
    assert!(because <= 0.0, "{because}");
}

#[test]
fn plots_drawn_by_lot_keep_the_stated_rate() {
    let (called, because) = shares(2, |draws| {
        let changes = untreated(draws);
        let mut order: Vec<(f64, usize)> = (0..PLOTS).map(|i| (draws.uniform(), i)).collect();
        order.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut treated = vec![false; PLOTS];
        for (_, place) in &order[..PLOTS / 2] {
            treated[*place] = true;
        }
        ask(&changes, &treated, false, Assignment::ByLot)
    });
    assert!(called <= MOST && called > 0.01, "{called}");
    assert!((because - called).abs() < 1e-12, "drawn by lot, what is seen is claimed");
}

#[test]
fn pairs_drawn_by_lot_keep_the_stated_rate() {
    let (called, _) = shares(3, |draws| {
        let changes = untreated(draws);
        let mut treated = vec![false; PLOTS];
        for block in 0..PLOTS / 2 {
            treated[2 * block + usize::from(draws.uniform() < 0.5)] = true;
        }
        ask(&changes, &treated, true, Assignment::ByLot)
    });
    // Six pairs: the nearest rate that signs can reach below 5 % is 2 of 64.
    assert!(called <= MOST && called > 0.01, "{called}");
}

#[test]
fn an_effect_of_two_deviations_is_found_by_pairs_on_drifting_ground() {
    let (called, _) = shares(4, |draws| {
        let mut changes = untreated(draws);
        let mut treated = vec![false; PLOTS];
        for block in 0..PLOTS / 2 {
            let place = 2 * block + usize::from(draws.uniform() < 0.5);
            treated[place] = true;
            changes[place] += 2.0;
        }
        ask(&changes, &treated, true, Assignment::ByLot)
    });
    assert!(called > 0.7, "{called}");
}
