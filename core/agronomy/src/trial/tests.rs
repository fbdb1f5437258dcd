use super::*;

fn plots(rows: &[(Treatment, usize, f64, f64)]) -> Vec<TrialPlot> {
    rows.iter()
        .map(|(treatment, block, before, after)| TrialPlot {
            treatment: *treatment,
            block: *block,
            before: *before,
            after: *after,
        })
        .collect()
}

fn ask(plots: Vec<TrialPlot>) -> TrialQuestion {
    TrialQuestion {
        scale: Scale::Linear,
        unit: "pH".to_owned(),
        plots,
        assignment: Assignment::ByLot,
        level: 0.95,
    }
}

use Treatment::{Control, Treated};

/// Four treated and four control plots with answers of scipy 1.17.1 in
/// `fixtures/published/statistics.toml`, `baci-four-plots`.
fn four_and_four() -> Vec<TrialPlot> {
    plots(&[
        (Treated, 0, 4.1, 5.2),
        (Treated, 0, 3.7, 4.6),
        (Treated, 0, 4.4, 5.5),
        (Treated, 0, 3.9, 5.1),
        (Control, 0, 4.0, 4.3),
        (Control, 0, 4.3, 4.4),
        (Control, 0, 3.8, 4.0),
        (Control, 0, 4.2, 4.6),
    ])
}

#[test]
fn eight_plots_drawn_by_lot_show_a_cause() {
    let found = trial(&ask(four_and_four())).unwrap().value;
    assert!((found.effect - 0.825).abs() < 1e-12, "{found:?}");
    assert!((found.p.unwrap() - 0.028_571_428_57).abs() < 1e-9, "2 of 70: {found:?}");
    assert!((found.t_p.unwrap() - 9.610_771_69e-5).abs() < 1e-12, "Welch: {found:?}");
    assert!((found.shown.low - 0.604_403_190_6).abs() < 1e-8, "{found:?}");
    assert_eq!((found.test, found.verdict), (Test::PlotsByLot, Verdict::Rise), "{found:?}");
    assert!(found.because && found.words.contains("because of the treatment"), "{}", found.words);
}

#[test]
fn the_same_plots_chosen_by_eye_show_no_cause() {
    let question = TrialQuestion { assignment: Assignment::Chosen, ..ask(four_and_four()) };
    let found = trial(&question).unwrap();
    assert!(!found.value.because, "{found:?}");
    assert!(found.value.words.contains("cause not shown"), "{}", found.value.words);
    assert!(found.working.cautions.iter().any(|c| c.contains("half of all cases")), "said");
}

#[test]
fn one_strip_each_is_shown_and_never_told_from_chance() {
    let question = ask(plots(&[(Treated, 0, 5.0, 6.5), (Control, 0, 5.0, 5.1)]));
    let found = trial(&question).unwrap().value;
    assert!((found.shown.change - 1.4).abs() < 1e-9, "the difference is shown: {found:?}");
    assert_eq!((found.test, found.p), (Test::NotPossible, None), "{found:?}");
    assert!(found.words.contains("cannot be told from chance"), "{}", found.words);
    assert!(!found.because, "no cause");
}

#[test]
fn a_design_that_cannot_reach_the_rate_is_refused_as_a_test_however_large_the_effect() {
    // Three and three: 2 of 20 ways, 0.10. Four blocks: 2 of 16 signs, 0.125.
    let three = plots(&[
        (Treated, 0, 4.0, 9.0),
        (Treated, 0, 4.1, 9.2),
        (Treated, 0, 4.2, 9.1),
        (Control, 0, 4.0, 4.1),
        (Control, 0, 4.1, 4.1),
        (Control, 0, 4.2, 4.3),
    ]);
    let four_blocks: Vec<TrialPlot> = (0..4)
        .flat_map(|block| {
            let start = 4.0 + 0.1 * block as f64;
            plots(&[(Treated, block, start, 9.0 + start), (Control, block, start, 4.2)])
        })
        .collect();
    for (plots, smallest) in [(three, 0.1), (four_blocks, 0.125)] {
        let found = trial(&ask(plots)).unwrap().value;
        assert!((found.smallest_p - smallest).abs() < 1e-12, "{found:?}");
        assert_eq!((found.test, found.p), (Test::NotPossible, None), "{found:?}");
        assert_eq!(found.verdict, Verdict::CannotTell, "{found:?}");
        assert!(found.words.contains("smallest p this design can reach"), "{}", found.words);
    }
}

#[test]
fn blocks_with_both_arms_are_the_units() {
    // Shoe wear of Box, Hunter and Hunter (1978): ten pairs, 14 of 1024 signs.
    let worn = [
        (13.2, 14.0),
        (8.2, 8.8),
        (10.9, 11.2),
        (14.3, 14.2),
        (10.7, 11.8),
        (6.6, 6.4),
        (9.5, 9.8),
        (10.8, 11.3),
        (8.8, 9.3),
        (13.3, 13.6),
    ];
    let pairs: Vec<TrialPlot> = worn
        .iter()
        .enumerate()
        .flat_map(|(block, (a, b))| plots(&[(Control, block, 0.0, *a), (Treated, block, 0.0, *b)]))
        .collect();
    let found = trial(&ask(pairs)).unwrap().value;
    assert_eq!(found.test, Test::BlocksBySigns, "{found:?}");
    assert!((found.p.unwrap() - 0.013_671_875).abs() < 1e-12, "{found:?}");
    assert!((found.t_p.unwrap() - 0.008_538_780_718).abs() < 1e-9, "{found:?}");
    assert!((found.df.unwrap() - 9.0).abs() < 1e-12, "ten blocks: {found:?}");
}

#[test]
fn blocks_that_all_say_the_same_are_told_by_their_signs() {
    let same: Vec<TrialPlot> = (0..6)
        .flat_map(|block| plots(&[(Treated, block, 0.0, 0.5), (Control, block, 0.0, 0.25)]))
        .collect();
    let found = trial(&ask(same)).unwrap().value;
    // 2 of 64 signs; without scatter there is no interval and no t.
    assert!((found.p.unwrap() - 0.031_25).abs() < 1e-12, "{found:?}");
    assert_eq!((found.standard_error, found.t_p), (None, None), "{found:?}");
    assert!(found.words.contains("the same in every unit"), "{}", found.words);
}

#[test]
fn a_block_without_both_arms_leaves_the_plots_as_units() {
    let mut uneven = four_and_four();
    for (place, plot) in uneven.iter_mut().enumerate() {
        plot.block = usize::from(place >= 4);
    }
    let found = trial(&ask(uneven)).unwrap().value;
    assert_eq!(found.test, Test::PlotsByLot, "blocks that are the arms say nothing: {found:?}");
}

#[test]
fn on_the_log_scale_the_effect_is_percent() {
    let question = TrialQuestion {
        scale: Scale::Log,
        unit: "mg/kg".to_owned(),
        ..ask(plots(&[
            (Treated, 0, 10.0, 20.0),
            (Treated, 0, 20.0, 41.0),
            (Treated, 0, 15.0, 29.0),
            (Treated, 0, 12.0, 25.0),
            (Control, 0, 11.0, 11.0),
            (Control, 0, 14.0, 15.0),
            (Control, 0, 18.0, 17.0),
            (Control, 0, 13.0, 13.0),
        ]))
    };
    let found = trial(&question).unwrap().value;
    assert!((found.shown.change - 100.0).abs() < 5.0 && found.shown.unit == "%", "{found:?}");
    assert_eq!(found.verdict, Verdict::Rise, "{found:?}");
    let zero = TrialQuestion {
        plots: plots(&[(Treated, 0, 0.0, 1.0), (Control, 0, 1.0, 1.0)]),
        ..question
    };
    assert_eq!(trial(&zero).unwrap_err().argument(), "before", "no log of nothing");
}

#[test]
fn without_a_control_there_is_no_trial() {
    let question = ask(plots(&[(Treated, 0, 5.0, 6.5), (Treated, 0, 5.0, 6.4)]));
    assert_eq!(trial(&question).unwrap_err().argument(), "control", "named");
}

#[test]
fn a_plan_says_what_it_could_see() {
    // By hand: 3 plots per arm, 10 cores, s_core 0.35,
    // s_plot_time 0.10, no laboratory: SE 4/3 x (0.01 + 0.01225) = 0.02967, root 0.172240.
    let plan = TrialPlan {
        plot_time: 0.1,
        core: 0.35,
        laboratory: 0.0,
        plots_per_arm: 3,
        cores: 10,
        repeats: 1,
    };
    let found = plan_trial(&plan, 0.95, 0.8).unwrap();
    assert!((found.value.standard_error - 0.172_240).abs() < 1e-6, "{found:?}");
    assert!(found.working.cautions.iter().any(|c| c.contains("cannot reach")), "0.10 is said");
    let one = plan_trial(&TrialPlan { plots_per_arm: 1, ..plan }, 0.95, 0.8).unwrap();
    assert!(one.value.detectable.is_none(), "no test of a cause");
    assert!(one.working.cautions.iter().any(|c| c.contains("however many cores")), "said");
}
