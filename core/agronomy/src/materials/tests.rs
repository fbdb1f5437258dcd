use super::*;

fn material(id: &str) -> &'static Material {
    find_material(id).unwrap_or_else(|| panic!("{id}"))
}

#[test]
fn the_table_is_whole_and_has_no_doubles() {
    assert!(materials().len() >= 28, "{}", materials().len());
    for (at, one) in materials().iter().enumerate() {
        let same = |m: &Material| m.id == one.id || m.name == one.name;
        assert!(!materials()[..at].iter().any(same), "{} twice", one.id);
        assert!(!one.analysis.is_empty(), "{} brings something", one.id);
        assert!(!one.cautions.is_empty(), "{} has cautions", one.id);
        assert_eq!(one.limits.is_empty(), one.on_grass == OnGrass::Never, "{} has a limit", one.id);
        for limit in one.limits.iter().chain(&one.water_in).chain(&one.per_year) {
            assert!(limit.dose.value() > 0.0 && !limit.sources.is_empty(), "{}", one.id);
            if let Some(element) = &limit.element {
                assert!(one.share_of(element) > 0.0, "{}: limit of {element}", one.id);
            }
        }
        assert!(
            one.interval_days.as_ref().is_none_or(|i| (0.0..=3650.0).contains(&i.value)),
            "{}",
            one.id
        );
        if one.on_grass != OnGrass::Never {
            assert!(one.interval_days.is_some(), "{} has an interval", one.id);
            assert!(one.single_dose(LimitGround::Grass).unwrap().is_some(), "{}: grass", one.id);
            assert!(one.single_dose(LimitGround::LowMown).unwrap().is_some(), "{}: low", one.id);
        }
    }
}

/// What is sold may hold less than the pure compound, and no more than a little by drying.
#[test]
fn typical_analyses_lie_at_or_below_the_pure_compound() {
    let mut compared = 0;
    for one in materials() {
        for (symbol, pure) in one.theory().unwrap().value {
            let typical = one.share_of(symbol) * 100.0;
            if typical > 0.0 {
                compared += 1;
                assert!(
                    typical <= pure.value() * 1.06,
                    "{}: {symbol} {typical:.2} against {:.2}",
                    one.id,
                    pure.value()
                );
                assert!(
                    typical >= pure.value() * 0.75,
                    "{}: {symbol} {typical:.2} against {:.2}",
                    one.id,
                    pure.value()
                );
            }
        }
    }
    assert!(compared >= 30, "{compared}");
}

#[test]
fn the_mass_of_a_material_holds_its_elements_and_no_more() {
    for one in materials() {
        let sum: f64 = one.analysis.iter().map(|share| share.percent.value()).sum();
        assert!(sum > 0.0 && sum < 100.0, "{}: {sum} %", one.id);
    }
}

#[test]
fn acidity_follows_the_formula_where_none_is_printed() {
    let value = |id: &str| material(id).neutralising_value().map(Percent::value);
    assert!(value("gypsum").is_some_and(|v| v.abs() < 1e-9), "gypsum does not lime");
    assert!(value("elemental-sulfur").is_some_and(|v| (v + 312.0).abs() < 0.5), "sulfur");
    // rb209: magnesian limestone 50 to 55 on calcium oxide, 89 to 98 on carbonate.
    assert!(value("dolomite").is_some_and(|v| (89.0..98.5).contains(&v)), "dolomite");
    assert!(value("urea").is_some_and(|v| v < 0.0), "urea makes acid");
    assert_eq!(value("diammonium-phosphate"), None, "not known");
}

#[test]
fn the_smallest_limit_that_fits_the_mowing_is_taken_and_named() {
    let lime = material("calcitic-lime");
    let grass = lime.single_dose(LimitGround::Grass).unwrap().unwrap();
    assert!((grass.value.dose.value() - 244.0).abs() < 1e-9, "the smaller of two");
    assert!(grass.working.sources.iter().any(|s| s.key == "oregon-tall-fescue"), "named");
    let green = lime.single_dose(LimitGround::LowMown).unwrap().unwrap();
    assert!((green.value.dose.value() - 122.0).abs() < 1e-9, "greens");
    // 1 lb N/1000 ft2 of urea at 46 % is 10.6 g/m2.
    let urea = material("urea").single_dose(LimitGround::Grass).unwrap().unwrap();
    assert!((urea.value.dose.value() - 4.88 / 0.46).abs() < 1e-9, "{urea:?}");
    let low = material("urea").single_dose(LimitGround::LowMown).unwrap().unwrap();
    assert!((low.value.dose.value() * 2.0 - urea.value.dose.value()).abs() < 1e-9, "half");
    assert!(material("burnt-lime").single_dose(LimitGround::Grass).is_err(), "never on grass");
}

#[test]
fn potassium_in_more_than_a_little_is_watered_in() {
    // suffolk-potassium: above 0.5 lb K/1000 ft2, 2.44 g/m2; sulfate of potash is 41.5 % K.
    let sop = material("sulfate-of-potash");
    let at = 2.44 / sop.share_of("K");
    assert!(!sop.has_to_be_watered_in(Dose(at - 0.01), LimitGround::Grass), "at the limit");
    assert!(sop.has_to_be_watered_in(Dose(at + 0.01), LimitGround::Grass), "above");
    assert!(
        sop.has_to_be_watered_in(Dose(at - 0.01), LimitGround::LowMown),
        "lower when close-mown"
    );
}

#[test]
fn a_dose_for_an_element_brings_that_element() {
    let sop = material("Sulfate of potash");
    let dose = sop.dose_for("K", Dose(6.7)).unwrap().value;
    assert!((sop.element_in(dose, "K").value() - 6.7).abs() < 1e-9, "{dose}");
    assert!(sop.dose_for("Ca", Dose(1.0)).is_err(), "brings none");
}

fn label() -> Label {
    Label {
        id: "own-1".to_owned(),
        name: "Shed bag 16-0-8".to_owned(),
        kind: MaterialKind::Nutrient,
        form: Form::Granules,
        analysis: vec![
            LabelShare { of: "N".to_owned(), percent: Percent(16.0) },
            LabelShare { of: "K2O".to_owned(), percent: Percent(8.0) },
        ],
        neutralising_value: None,
        single_dose: Some(Dose(30.0)),
        interval_days: Some(42),
        cautions: vec!["Irritates eyes.".to_owned()],
    }
}

#[test]
fn a_label_makes_the_same_kind_of_material() {
    let own = material_from_label(&label()).unwrap();
    assert!((own.share_of("K") - 0.08 * 0.83015).abs() < 1e-5, "oxide to element");
    assert_eq!(own.interval(), 42, "as printed");
    let most = own.single_dose(LimitGround::Grass).unwrap().unwrap();
    assert!((most.value.dose.value() - 30.0).abs() < 1e-12, "as printed");
    assert!(most.working.sources.iter().any(|s| s.citation.contains("Shed bag")), "its word");
}

#[test]
fn a_label_that_cannot_be_is_refused_by_name() {
    let with = |of: &str, percent: f64| {
        let mut label = label();
        label.analysis.push(LabelShare { of: of.to_owned(), percent: Percent(percent) });
        material_from_label(&label)
    };
    assert_eq!(with("P2O5", 120.0).unwrap_err().argument(), "analysis", "over 100");
    assert_eq!(with("K", 5.0).unwrap_err().argument(), "analysis", "twice");
    assert_eq!(with("KCl", 5.0).unwrap_err().argument(), "analysis", "no oxide");
    assert_eq!(with("Xx", 5.0).unwrap_err().argument(), "formula", "no element");
    assert_eq!(with("Ca", 90.0).unwrap_err().argument(), "analysis", "more than all");
    let nameless = Label { name: " ".to_owned(), ..label() };
    assert_eq!(material_from_label(&nameless).unwrap_err().argument(), "name", "no name");
}
