//! A panel against its guidelines: which apply, what they say, what would settle the rest.

use swardbook_stats::{distribution::t_quantile, uncertainty::Scatter as Estimate};
use swardbook_units::parse_unit;

use super::*;
use crate::{
    analyte::{Scale, analyte, method},
    spread::Scatter,
};

const SURROUNDINGS: Surroundings<'static> = Surroundings {
    texture: Some(Texture::SandyLoam),
    turf: Some(TurfKind::Lawn),
    ground: Ground::UNKNOWN,
    sampling: Sampling { cores: 12, repeats: 1 },
    own: &[],
    thresholds: Thresholds::COMMON,
};

fn read(what: &str, how: &str, value: f64, unit: &str, qualifier: Qualifier) -> Reading {
    let (analyte, method) = (analyte(what).unwrap(), method(how).unwrap());
    Reading::new(analyte, method, value, parse_unit(unit).unwrap(), qualifier).unwrap()
}

fn exact(what: &str, how: &str, value: f64, unit: &str) -> Reading {
    read(what, how, value, unit, Qualifier::Exact)
}

fn row(readings: &[Reading], guideline: &str) -> Judged {
    let read = interpret(readings, &SURROUNDINGS).unwrap();
    read.judged.into_iter().find(|row| row.guideline.id == guideline).unwrap()
}

fn reason(readings: &[Reading], surroundings: &Surroundings<'_>, guideline: &str) -> Because {
    let read = interpret(readings, surroundings).unwrap();
    read.not_applied.into_iter().find(|row| row.guideline.id == guideline).unwrap().because
}

fn potassium(value: f64) -> Verdict {
    row(&[exact("k", "mehlich-3", value, "mg/kg")], "mlsn-2014").verdict
}

#[test]
fn a_reading_far_from_its_limit_is_told_and_a_near_one_is_not() {
    assert_eq!(potassium(20.0), Verdict::Short, "37 is the limit");
    assert_eq!(potassium(80.0), Verdict::Enough, "twice the limit");
    assert_eq!(potassium(37.0), Verdict::CannotTell, "at the limit");
    assert_eq!(potassium(35.0), Verdict::CannotTell, "near it");
}

#[test]
fn the_probability_is_that_of_the_t_law_on_the_log_scale() {
    // u^2 = ln(1 + 0.365^2)/12 + ln(1 + 0.10^2): u = 0.1427; t = ln(37/32)/u = 1.017 with
    // u^4 / (0.0104^2 / 2) = 7.64 degrees of freedom; the t law, integrated by steps, gives 0.8299.
    let judged = row(&[exact("k", "mehlich-3", 32.0, "mg/kg")], "mlsn-2014");
    let Some(Chance::Is(p)) = judged.below else { panic!("{judged:?}") };
    assert!((p - 0.829_9).abs() < 0.0005, "{p}");
    assert_eq!(judged.verdict, Verdict::Short, "0.83 is sure enough at 0.8");
}

#[test]
fn ground_at_its_limit_is_called_short_no_oftener_than_stated() {
    // Composites of ground that holds exactly the limit, at even steps of its t law: "short"
    // at four in five must be said of one in five of them, and "enough" of one in five.
    let k = analyte("k").unwrap();
    let spread = composite_spread(k, &SURROUNDINGS.sampling, &[]).unwrap().value;
    let steps = 400_u32;
    let (mut short, mut enough) = (0, 0);
    for step in 0..steps {
        let share = (f64::from(step) + 0.5) / f64::from(steps);
        let t = t_quantile(share, spread.degrees_of_freedom).unwrap();
        match potassium(37.0 * (spread.u * t).exp()) {
            Verdict::Short => short += 1,
            Verdict::Enough => enough += 1,
            Verdict::CannotTell => {}
            other => panic!("{other:?} has no place here"),
        }
    }
    assert!((79..=81).contains(&short), "{short} of {steps} called short");
    assert!((79..=81).contains(&enough), "{enough} of {steps} called enough");
}

#[test]
fn a_bound_shows_short_or_enough_but_is_no_value() {
    let p =
        |value, qualifier| row(&[read("k", "mehlich-3", value, "mg/kg", qualifier)], "mlsn-2014");
    let below = p(20.0, Qualifier::Below);
    assert_eq!(below.verdict, Verdict::Short, "below 20 is below 37");
    assert!(matches!(below.below, Some(Chance::AtLeast(_))), "{:?}", below.below);
    assert_eq!(below.class, None, "a bound falls in no class");
    assert_eq!(p(60.0, Qualifier::Below).verdict, Verdict::CannotTell, "anything below 60");
    assert_eq!(p(60.0, Qualifier::Above).verdict, Verdict::Enough, "above 60 is above 37");
    let open = p(20.0, Qualifier::Above);
    assert_eq!(open.verdict, Verdict::CannotTell, "anything above 20");
    assert_eq!(open.settle, Some(Settle::AnotherLimit), "a finer measurement");
}

#[test]
fn a_guideline_never_meets_another_extractant() {
    let readings = [exact("p", "colwell", 10.0, "mg/kg")];
    let read = interpret(&readings, &SURROUNDINGS).unwrap();
    for judged in &read.judged {
        assert!(judged.limit.holds_for(readings[0].method()), "{}", judged.guideline.id);
    }
    let because = reason(&readings, &SURROUNDINGS, "mlsn-2014");
    assert_eq!(because, Because::OtherMethod { holds_for: vec!["Mehlich-3"] }, "named");
    assert!(because.words().contains("not converted"), "{}", because.words());
    let unsaid = [exact("k", "not-stated", 10.0, "mg/kg")];
    assert!(interpret(&unsaid, &SURROUNDINGS).unwrap().judged.is_empty(), "no method, no verdict");
}

#[test]
fn every_guideline_of_an_analyte_is_either_applied_or_has_its_reason() {
    for analyte_id in ["p", "k", "ca", "mg", "s", "fe", "mn", "zn", "cu", "b", "ph-water"] {
        for by in &analyte(analyte_id).unwrap().by {
            let reading = exact(analyte_id, &by.method.id, by.usual.1, by.unit.symbol);
            let read = interpret(&[reading], &SURROUNDINGS).unwrap();
            for guideline in guidelines() {
                if guideline.limits.iter().any(|l| l.analyte.id == analyte_id) {
                    let applied = read.judged.iter().any(|r| r.guideline.id == guideline.id);
                    let reasoned = read.not_applied.iter().any(|r| r.guideline.id == guideline.id);
                    assert!(
                        applied != reasoned,
                        "{analyte_id} by {}: {}",
                        by.method.id,
                        guideline.id
                    );
                }
            }
        }
    }
}

#[test]
fn the_ground_chooses_the_column() {
    let k = [exact("k", "mehlich-3", 60.0, "mg/kg")];
    assert_eq!(row(&k, "slan").values.short_below.to_string(), "75", "other than sand");
    let sand = Surroundings { texture: Some(Texture::Sand), ..SURROUNDINGS };
    let read = interpret(&k, &sand).unwrap();
    let slan = read.judged.iter().find(|r| r.guideline.id == "slan").unwrap();
    assert_eq!(slan.values.short_below.to_string(), "50", "sand");
    let unknown = Surroundings { texture: None, ..SURROUNDINGS };
    assert_eq!(reason(&k, &unknown, "slan"), Because::TextureNotKnown, "say the texture");
    let p = [exact("p", "mehlich-3", 60.0, "mg/kg")];
    assert_eq!(row(&p, "penn-state-lawn-p").verdict, Verdict::Enough, "a lawn stops at 45");
    let green = Surroundings { turf: Some(TurfKind::Green), ..SURROUNDINGS };
    let read = interpret(&p, &green).unwrap();
    let green = read.judged.iter().find(|r| r.guideline.id == "penn-state-lawn-p").unwrap();
    assert_eq!(green.verdict, Verdict::Short, "a green goes to 90");
}

#[test]
fn a_limit_by_sorption_asks_for_the_index_and_says_it_is_remembered() {
    let alone = [exact("p", "colwell", 30.0, "mg/kg")];
    let because = reason(&alone, &SURROUNDINGS, "colwell-pasture");
    assert!(matches!(because, Because::ReadingMissing(a) if a.id == "pbi"), "{because:?}");
    let with_index = [alone[0], exact("pbi", "p-buffering", 35.0, "")];
    let judged = row(&with_index, "colwell-pasture");
    assert_eq!(judged.values.short_below.to_string(), "29", "35 opens the class to 70");
    assert!(judged.is_remembered(), "not read");
    assert_eq!(judged.working.confidence(), Confidence::FromMemory, "and says so");
}

#[test]
fn ground_unlike_the_guideline_is_cautioned() {
    let k = exact("k", "mehlich-3", 60.0, "mg/kg");
    let cautions = |readings: &[Reading]| row(readings, "mlsn-2014").working.cautions.join(" ");
    assert!(cautions(&[k]).contains("no such reading"), "neither pH nor capacity");
    let heavy = [
        k,
        exact("ph-water", "water-1-5", 6.2, "pH"),
        exact("ecec", "sum-of-cations", 14.0, "cmol/kg"),
    ];
    assert!(cautions(&heavy).contains("outside it"), "a capacity of 14 is not sand");
    let alike = [
        k,
        exact("ph-water", "water-1-5", 6.2, "pH"),
        exact("cec", "exchangeable", 4.0, "cmol/kg"),
    ];
    assert!(!cautions(&alike).contains("Derived from ground"), "like the samples");
}

#[test]
fn printed_classes_and_their_factor() {
    // rutgers-levels: 25 mg/kg P is 50 lb/acre, medium.
    let judged = row(&[exact("p", "mehlich-3", 25.0, "mg/kg")], "rutgers-mehlich-3");
    assert_eq!(judged.class, Some("medium"), "{judged:?}");
    assert!((judged.values.short_below - 23.0).abs() < 1e-12, "46 lb/acre");
}

#[test]
fn high_and_marginal_have_their_words() {
    let high = row(&[exact("ph-water", "water-1-5", 7.8, "pH")], "turf-ph-ohio");
    assert_eq!(high.verdict, Verdict::High, "above 7.0");
    let core = Estimate { deviation: 0.1, df: 300.0 };
    let own = [OwnScatter { analyte: analyte("fe").unwrap(), core }];
    let sampling = Sampling { cores: 12, repeats: 4 };
    let surroundings = Surroundings { own: &own, sampling, ..SURROUNDINGS };
    let fe = [exact("fe", "dtpa", 3.4, "mg/kg")];
    let read = interpret(&fe, &surroundings).unwrap();
    let judged = read.judged.iter().find(|r| r.guideline.id == "dtpa-micronutrients").unwrap();
    assert_eq!(judged.verdict, Verdict::Marginal, "between 2.5 and 4.5");
    assert_eq!(judged.class, Some("marginal"), "as printed");
}

#[test]
fn own_scatter_is_added_to_the_default() {
    let ph = analyte("ph-water").unwrap();
    let sampling = Sampling { cores: 10, repeats: 1 };
    let default = composite_spread(ph, &sampling, &[]).unwrap();
    assert!(default.working.cautions.iter().any(|c| c.contains("default")), "shown as such");
    // gum-2008, G.2b: u^4 over the sum of u_i^4 / v_i.
    let checked = |found: CompositeSpread, deviation: f64, df: f64| {
        let core_part = deviation * deviation / 10.0;
        let variance = core_part + 0.08 * 0.08;
        assert!((found.u - variance.sqrt()).abs() < 1e-12, "{found:?}");
        let effective = variance * variance / (core_part * core_part / df);
        assert!((found.degrees_of_freedom - effective).abs() < 1e-9, "{found:?}");
    };
    checked(default.value, 0.43, 2.0);
    let own = [OwnScatter { analyte: ph, core: Estimate { deviation: 0.35, df: 3.0 } }];
    let together = f64::sqrt((2.0 * 0.43 * 0.43 + 3.0 * 0.35 * 0.35) / 5.0);
    checked(composite_spread(ph, &sampling, &own).unwrap().value, together, 5.0);
    assert_eq!(Scatter::Deviation(0.1).on_scale(Scale::Log), None, "units have no place in logs");
}

#[test]
fn what_would_settle_it_does() {
    let k = [exact("k", "mehlich-3", 33.5, "mg/kg")];
    let few = Surroundings { sampling: Sampling { cores: 3, repeats: 1 }, ..SURROUNDINGS };
    let read = interpret(&k, &few).unwrap();
    let judged = read.judged.iter().find(|r| r.guideline.id == "mlsn-2014").unwrap();
    assert_eq!(judged.verdict, Verdict::CannotTell, "three cores");
    let Some(Settle::Cores(cores)) = judged.settle else { panic!("{:?}", judged.settle) };
    let verdict = |cores| {
        let more = Surroundings { sampling: Sampling { cores, repeats: 1 }, ..SURROUNDINGS };
        let read = interpret(&k, &more).unwrap();
        read.judged.into_iter().find(|r| r.guideline.id == "mlsn-2014").unwrap().verdict
    };
    assert_eq!(verdict(cores), Verdict::Short, "{cores} cores tell");
    assert_eq!(verdict(cores - 1), Verdict::CannotTell, "one fewer does not");
    let at_limit = row(&[exact("k", "mehlich-3", 37.0, "mg/kg")], "mlsn-2014");
    assert_eq!(at_limit.settle, Some(Settle::Borderline), "no sample tells a value from itself");
}

#[test]
fn a_zero_is_below_every_limit_and_thresholds_are_checked() {
    assert_eq!(potassium(0.0), Verdict::Short, "nothing found");
    let careless = Surroundings {
        thresholds: Thresholds { short: 0.3, ..Thresholds::COMMON },
        ..SURROUNDINGS
    };
    let error = interpret(&[], &careless).unwrap_err();
    assert_eq!(error.argument(), "threshold_short", "less likely than not is no verdict");
    let none = Surroundings { sampling: Sampling { cores: 0, repeats: 1 }, ..SURROUNDINGS };
    assert_eq!(interpret(&[], &none).unwrap_err().argument(), "cores", "no core, no sample");
}

#[test]
fn the_working_shows_reading_limit_scatter_and_sources() {
    let working = row(&[exact("k", "mehlich-3", 32.0, "mg/kg")], "mlsn-2014").working;
    let keys: Vec<&str> = working.sources.iter().map(|s| s.key.as_str()).collect();
    for key in ["woods-2014", "nz-hill-country-sampling", "gum-2008"] {
        assert!(keys.contains(&key), "{key} in {keys:?}");
    }
    let names: Vec<&str> = working.inputs.iter().map(|i| i.name.as_str()).collect();
    for name in ["Potassium", "Cores", "Scatter between cores", "Scatter in the laboratory"] {
        assert!(names.contains(&name), "{name} in {names:?}");
    }
    assert!(working.steps.iter().any(|s| s.what.starts_with("probability")), "{:?}", working.steps);
}
