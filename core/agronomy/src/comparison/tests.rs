use super::*;
use crate::{
    analyte::analyte,
    sampling::cores::NamedScatter,
    spread::{DEFAULT_FREEDOM, OwnScatter},
};

fn taken(value: f64, cores: u32) -> Taken {
    Taken { value, cores, repeats: 1 }
}

fn known(amount: f64, unit: &str) -> ScatterPart {
    ScatterPart::known(NamedScatter::given(amount, unit))
}

/// Two readings of pH with a scatter of 0.4 between cores and 0.05 in the laboratory.
fn acidity(before: f64, after: f64, cores: u32) -> ComparisonQuestion {
    ComparisonQuestion {
        scale: Scale::Linear,
        unit: "pH".to_owned(),
        before: taken(before, cores),
        after: taken(after, cores),
        core: known(0.4, "pH"),
        laboratory: known(0.05, "pH"),
        between_laboratories: None,
        converted: None,
        picked: None,
        margin: Some(0.3),
        level: 0.95,
        power: 0.8,
    }
}

fn phosphorus(before: f64, after: f64, cores: u32) -> ComparisonQuestion {
    ComparisonQuestion {
        scale: Scale::Log,
        unit: "mg/kg".to_owned(),
        core: known(36.5, "%"),
        laboratory: known(10.0, "%"),
        margin: None,
        before: taken(before, cores),
        after: taken(after, cores),
        ..acidity(1.0, 1.0, cores)
    }
}

fn found(question: &ComparisonQuestion) -> Comparison {
    compare(question).unwrap().value
}

#[test]
fn the_interval_is_the_hand_calculation() {
    // u = sqrt(0.4^2 x 2/16 + 0.05^2 x 2) = 0.158114; 1.959964 u = 0.309897.
    let rise = found(&acidity(5.2, 5.9, 16));
    assert!((rise.change.uncertainty.u - 0.158_113_883).abs() < 1e-9, "{rise:?}");
    assert!((rise.shown.low - (0.7 - 0.309_897)).abs() < 1e-6, "{rise:?}");
    assert!((rise.least_significant.1 - 0.309_897).abs() < 1e-6, "{rise:?}");
    assert_eq!((rise.verdict, rise.beyond_margin), (Verdict::Rise, Some(true)), "{rise:?}");
    assert!(rise.words.starts_with("rise of 0.70 pH (0.39 to 1.01 pH at 95.0 %), more than"));
    assert!(rise.change.probability_of_rise > 0.999, "{rise:?}");
}

#[test]
fn the_four_verdicts() {
    assert_eq!(found(&acidity(5.9, 5.2, 16)).verdict, Verdict::Fall, "the other way");
    let tight = ComparisonQuestion { core: known(0.1, "pH"), ..acidity(5.2, 5.25, 16) };
    let same = found(&tight);
    assert_eq!(same.verdict, Verdict::SameWithinMargin, "{same:?}");
    assert!(same.words.starts_with("no change bigger than 0.30 pH"), "{}", same.words);
    let unclear = found(&acidity(5.2, 5.4, 4));
    assert_eq!(unclear.verdict, Verdict::CannotTell, "{unclear:?}");
    let cores = unclear.cores_to_settle.unwrap();
    assert!(unclear.words.contains(&format!("{cores} cores in each of two samples")), "said");
    // With those cores a true change of the margin is found with the power asked for, with one
    // fewer it is not.
    let detectable = |cores| found(&acidity(5.2, 5.4, cores)).smallest_detectable;
    assert!(detectable(cores) <= 0.3 && detectable(cores - 1) > 0.3, "{cores}");
}

#[test]
fn on_the_log_scale_changes_are_percent_and_wider_upward() {
    let rise = found(&phosphorus(20.0, 40.0, 20));
    assert!((rise.shown.change - 100.0).abs() < 1e-9 && rise.shown.unit == "%", "{rise:?}");
    assert_eq!(rise.verdict, Verdict::Rise, "{rise:?}");
    let (fall, up) = rise.least_significant;
    assert!(up > -fall && fall > -100.0, "{fall} {up}");
    // (1 + up)(1 - fall) = 1 on the log scale.
    assert!(((1.0 + up / 100.0) * (1.0 + fall / 100.0) - 1.0).abs() < 1e-12, "{fall} {up}");
    assert_eq!(found(&phosphorus(20.0, 24.0, 20)).verdict, Verdict::CannotTell, "20 % is not told");
}

#[test]
fn a_changed_laboratory_widens_the_interval_and_says_so() {
    let same = compare(&acidity(5.2, 5.6, 16)).unwrap();
    let question = ComparisonQuestion {
        between_laboratories: Some(known(0.15, "pH")),
        ..acidity(5.2, 5.6, 16)
    };
    let other = compare(&question).unwrap();
    assert!(other.value.change.uncertainty.u > same.value.change.uncertainty.u, "wider");
    assert_eq!(same.value.verdict, Verdict::Rise, "told in one laboratory");
    assert_eq!(other.value.verdict, Verdict::CannotTell, "not told between two");
    assert!(other.working.cautions.iter().any(|c| c.contains("laboratory changed")), "said");
}

#[test]
fn a_zone_picked_for_its_low_reading_rises_by_itself() {
    // 140 in a population of mean 200 with r = 0.6 is expected at 164 (computed, regression in a
    // bivariate normal).
    let picked = ComparisonQuestion {
        unit: "mg/kg".to_owned(),
        core: known(20.0, "mg/kg"),
        laboratory: known(2.0, "mg/kg"),
        picked: Some(Picked { mean: 200.0, reliability: 0.6 }),
        margin: None,
        ..acidity(140.0, 160.0, 20)
    };
    let taken_off = compare(&picked).unwrap();
    assert!((taken_off.value.expected_without_treatment - 24.0).abs() < 1e-9, "{taken_off:?}");
    assert!((taken_off.value.shown.change + 4.0).abs() < 1e-9, "160 is 4 below 164");
    assert_eq!(taken_off.value.verdict, Verdict::CannotTell, "{taken_off:?}");
    assert!(taken_off.value.words.contains("picked for its reading"), "said");
    let as_read = found(&ComparisonQuestion { picked: None, ..picked });
    assert_eq!(as_read.verdict, Verdict::Rise, "which would have been claimed");
}

#[test]
fn own_scatter_of_few_degrees_of_freedom_widens_the_interval() {
    let own = ScatterPart { df: 3.0, ..known(0.4, "pH") };
    let few = found(&ComparisonQuestion { core: own, ..acidity(5.2, 5.6, 16) });
    let many = found(&acidity(5.2, 5.6, 16));
    assert!(few.change.uncertainty.df < 10.0, "{few:?}");
    assert!(few.least_significant.1 > 1.2 * many.least_significant.1, "{few:?}");
}

#[test]
fn a_default_counts_with_few_degrees_of_freedom_and_replicates_are_added_to_it() {
    let ph = analyte("ph-water").unwrap();
    let default = ScatterPart::between_cores(ph, &[]).unwrap();
    assert!((default.df - DEFAULT_FREEDOM).abs() < 1e-12, "{default:?}");
    assert!(default.caution.contains("published default"), "said");
    let replicates = Known { deviation: 0.2, df: 6.0 };
    let own = OwnScatter { analyte: ph, core: replicates };
    let together = ScatterPart::between_cores(ph, &[own]).unwrap();
    assert!(together.scatter.amount < default.scatter.amount, "quieter ground: {together:?}");
    let asked = |core| found(&ComparisonQuestion { core, ..acidity(5.2, 5.6, 16) });
    let (by_default, by_own) = (asked(default), asked(together));
    assert_eq!(by_default.verdict, Verdict::CannotTell, "{by_default:?}");
    assert_eq!(by_own.verdict, Verdict::Rise, "{by_own:?}");
}

#[test]
fn a_conversion_adds_its_own_uncertainty() {
    let converted = Converted {
        standard_uncertainty: 0.2,
        words: "read in calcium chloride".to_owned(),
        sources: Vec::new(),
    };
    let plain = found(&acidity(5.2, 5.9, 16)).change.uncertainty.u;
    let asked = ComparisonQuestion { converted: Some(converted), ..acidity(5.2, 5.9, 16) };
    let both = compare(&asked).unwrap();
    let u = both.value.change.uncertainty.u;
    assert!((u.powi(2) - plain.powi(2) - 0.04).abs() < 1e-12, "variances add: {u} from {plain}");
    assert!(both.working.cautions.iter().any(|c| c.contains("calcium chloride")), "said");
}

#[test]
fn unchanged_ground_is_called_changed_no_more_often_than_stated() {
    // Normal scatter of the very size that is declared; 2,000 pairs. At 5 % the count lies at or
    // below 140 with a false-alarm rate below 1 in 10,000 (binomial).
    let mut state = 20_260_914_u64;
    let mut uniform = || {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((state >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    };
    let mut normal = || {
        let (a, b) = (uniform(), uniform());
        (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
    };
    let u_one = (0.4_f64.powi(2) / 16.0 + 0.05_f64.powi(2)).sqrt();
    let mut called = 0;
    for _ in 0..2_000 {
        let question = ComparisonQuestion {
            margin: None,
            ..acidity(5.5 + u_one * normal(), 5.5 + u_one * normal(), 16)
        };
        let change = budget_of(&budget(&question).unwrap()).unwrap().combined;
        let difference = question.after.value - question.before.value;
        let change =
            change_from_difference(difference, change, StatisticalScale::Linear, 0.95).unwrap();
        called += u32::from(by_interval(&change) != Verdict::CannotTell);
    }
    assert!((60..=140).contains(&called), "{called} of 2000 called changed");
}

#[test]
fn what_cannot_be_compared_is_named() {
    let argument = |question: &ComparisonQuestion| compare(question).unwrap_err().argument();
    assert_eq!(argument(&acidity(5.2, 5.6, 0)), "cores", "no core");
    assert_eq!(argument(&phosphorus(0.0, 20.0, 15)), "before", "none on the log scale");
    let negative = ComparisonQuestion { margin: Some(-1.0), ..acidity(5.2, 5.6, 16) };
    assert_eq!(argument(&negative), "margin", "below zero");
    let percent = ComparisonQuestion { core: known(8.0, "%"), ..acidity(5.2, 5.6, 16) };
    assert_eq!(argument(&percent), "core", "pH has no share");
    let logs = ComparisonQuestion { core: known(8.0, "mg/kg"), ..phosphorus(20.0, 30.0, 15) };
    assert_eq!(argument(&logs), "core", "units on the log scale");
}
