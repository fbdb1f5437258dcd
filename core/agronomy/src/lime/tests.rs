use swardbook_units::{BulkDensity, Confidence, Depth};

use super::*;

const LAYER: SoilLayer = SoilLayer { thickness: Depth(100.0), bulk_density: BulkDensity(1.3) };

fn buffer(buffer: Buffer, ph: f64) -> LimeReadings {
    LimeReadings { buffers: vec![BufferPh { buffer, ph: Ph(ph) }], ..LimeReadings::NONE }
}

fn need(method: LimeMethod, readings: &LimeReadings, target: ScaledPh) -> f64 {
    lime_need(method, readings, &LimeAim::to(target, LAYER)).unwrap().value.value()
}

#[test]
fn methods_say_what_they_are() {
    for method in LimeMethod::ALL {
        assert_eq!(LimeMethod::from_id(method.id()), Some(method), "{method:?}");
        assert!(!method.needs().is_empty(), "{method:?} takes readings");
        assert!(!method.sources().is_empty(), "{method:?} has sources");
        assert!(!method.title().is_empty() && !method.unit().is_empty(), "{method:?}");
        if let Some((low, high)) = method.targets() {
            assert!(low < high, "{method:?}");
        }
    }
    let remembered = LimeMethod::ALL.iter().map(|m| m.confidence() == Confidence::FromMemory);
    assert!(remembered.is_sorted(), "confirmed methods come first in the order of choice");
}

#[test]
fn a_table_scales_with_the_layer_it_is_asked_for() {
    // moore-2025: buffer 6.0, target 5.6 is 1.7 US ton/acre in 6 in.
    let readings = buffer(Buffer::Sikora, 6.0);
    let six_inches = SoilLayer { thickness: Depth(152.4), ..LAYER };
    let full = lime_need(
        LimeMethod::SikoraOregon,
        &readings,
        &LimeAim::to(ScaledPh::water(5.6), six_inches),
    )
    .unwrap();
    assert!((full.value.value() - 1.7 * 224.170).abs() < 0.01, "{:?}", full.value);
    let four_inches = SoilLayer { thickness: Depth(101.6), ..LAYER };
    let part = lime_need(
        LimeMethod::SikoraOregon,
        &readings,
        &LimeAim::to(ScaledPh::water(5.6), four_inches),
    )
    .unwrap();
    assert!((part.value.value() / full.value.value() - 2.0 / 3.0).abs() < 1e-9, "two thirds");
    assert!(part.working.cautions.iter().any(|c| c.contains("only the depth")), "said");
}

#[test]
fn between_rows_and_columns_by_straight_lines() {
    // moore-2025, rows 6.0 and 6.1, targets 6.0 and 6.4: 2.5, 3.5, 2.3, 3.1; the middle is 2.85.
    let layer = SoilLayer { thickness: Depth(152.4), ..LAYER };
    let got = lime_need(
        LimeMethod::SikoraOregon,
        &buffer(Buffer::Sikora, 6.05),
        &LimeAim::to(ScaledPh::water(6.2), layer),
    )
    .unwrap();
    assert!((got.value.value() / 224.170 - 2.85).abs() < 1e-4, "{:?}", got.value);
    assert!(got.working.steps.iter().any(|s| s.what.contains("between the columns")), "shown");
}

#[test]
fn outside_a_table_it_is_carried_on_to_zero_or_refused() {
    let target = ScaledPh::water(7.2);
    let above = |ph| need(LimeMethod::SikoraOregon, &buffer(Buffer::Sikora, ph), target);
    assert!(above(6.9) > above(7.0) && above(7.0) > 0.0, "the last step goes on");
    assert!(above(7.6).abs() < 1e-12, "and stops at nothing");
    let error = lime_need(
        LimeMethod::SikoraOregon,
        &buffer(Buffer::Sikora, 4.2),
        &LimeAim::to(target, LAYER),
    )
    .unwrap_err();
    assert_eq!(error.argument(), "buffer_ph", "{error}");
}

#[test]
fn at_the_target_nothing_is_needed() {
    let readings = LimeReadings { ph: Some(ScaledPh::water(6.4)), ..buffer(Buffer::Sikora, 6.0) };
    let got = need(LimeMethod::SikoraOregon, &readings, ScaledPh::water(6.4));
    assert!(got.abs() < 1e-12, "{got}");
    // conyers-davey-1988: calcium chloride 5.4 is water 6.0, which is above 5.8.
    let readings =
        LimeReadings { ph: Some(ScaledPh::calcium_chloride(5.4)), ..buffer(Buffer::Sikora, 6.0) };
    let got = need(LimeMethod::SikoraOregon, &readings, ScaledPh::water(5.8));
    assert!(got.abs() < 1e-12, "the other scale is converted first: {got}");
}

#[test]
fn a_missing_reading_or_a_target_outside_is_named() {
    let aim = LimeAim::to(ScaledPh::water(6.2), LAYER);
    let error = lime_need(LimeMethod::BufferCapacity, &buffer(Buffer::Smp, 6.0), &aim).unwrap_err();
    assert_eq!(error.argument(), "ph", "{error}");
    let far = LimeAim::to(ScaledPh::water(7.5), LAYER);
    let error =
        lime_need(LimeMethod::SikoraOregon, &buffer(Buffer::Sikora, 6.0), &far).unwrap_err();
    assert_eq!(error.argument(), "target", "{error}");
    assert!(lime_need(LimeMethod::Smp, &buffer(Buffer::Mehlich, 6.0), &aim).is_err(), "buffer");
}

#[test]
fn the_acid_share_gives_back_its_ph() {
    // Where the readings fit the curve, the lime for no rise at all is none.
    let readings =
        LimeReadings { ph: Some(ScaledPh::water(5.5)), ..buffer(Buffer::AdamsEvans, 7.7) };
    let near = need(LimeMethod::AdamsEvans, &readings, ScaledPh::water(5.5001));
    let far = need(LimeMethod::AdamsEvans, &readings, ScaledPh::water(6.5));
    assert!(near < 0.1 && far > near, "{near} and {far}");
    // H = 2.4, acid share 0.5 (root of 7.79 - 5.55 x + 2.27 x^2 = 5.5 is 0.5256), to 0.2601 at 6.5:
    // 8000 x 0.3 / 0.5256 x (0.5256 - 0.2601) x 1.5 lb/acre for 224.17 kg/m2 of soil.
    let pounds = 8000.0 * 0.3 / 0.525_6 * (0.525_6 - 0.260_1) * 1.5;
    let expected = pounds * 0.112_085 * 130.0 / 224.17;
    assert!((far - expected).abs() < 0.005 * expected, "{far}, by hand {expected}");
}

#[test]
fn a_confirmed_method_is_chosen_before_a_remembered_one() {
    let readings = LimeReadings {
        ph: Some(ScaledPh::calcium_chloride(4.5)),
        ecec: Some(Charge(5.0)),
        ..LimeReadings::NONE
    };
    let aim = LimeAim::to(ScaledPh::calcium_chloride(5.2), LAYER);
    let only = compare_lime_needs(&readings, &aim);
    assert_eq!(only.used().unwrap().method, LimeMethod::Ecec, "the only one there is");
    assert!(only.reason.contains("from memory, unconfirmed"), "{}", only.reason);
    let with_texture = LimeReadings { texture: Some(Texture::SandyLoam), ..readings };
    let both = compare_lime_needs(&with_texture, &aim);
    assert_eq!(both.used().unwrap().method, LimeMethod::TextureVictoria, "confirmed");
    assert_eq!(both.answers.len(), 2, "the other stands beside it");
    let (low, high) = both.spread.unwrap();
    assert!((low.value() - high.value()).abs() < 1e-12, "only confirmed ones make the spread");
}

#[test]
fn a_buffer_that_stands_in_for_another_says_so() {
    let readings =
        LimeReadings { ph: Some(ScaledPh::water(5.2)), ..buffer(Buffer::ModifiedMehlich, 6.2) };
    let aim = LimeAim::to(ScaledPh::water(6.0), LAYER);
    let worked = lime_need(LimeMethod::MehlichNorthCarolina, &readings, &aim).unwrap();
    assert_eq!(worked.working.confidence(), Confidence::FromMemory, "shown as such");
}

#[test]
fn lime_still_working_is_taken_off() {
    let left = residual_credit(Dose(100.0), 5.0, ResidualSoil::Mineral).unwrap().value.value();
    assert!((left - 60.0).abs() < 1e-9, "8 % a month for five months: {left}");
    let gone = residual_credit(Dose(100.0), 7.0, ResidualSoil::Organic).unwrap().value.value();
    assert!(gone.abs() < 1e-12, "used up: {gone}");
    let aim = LimeAim { residual: Dose(1e6), ..LimeAim::to(ScaledPh::water(5.6), LAYER) };
    let worked = lime_need(LimeMethod::SikoraOregon, &buffer(Buffer::Sikora, 6.0), &aim).unwrap();
    assert!(worked.value.value().abs() < 1e-12, "never below zero");
}

#[test]
fn rise_and_need_are_each_other_backwards() {
    let readings = LimeReadings {
        ph: Some(ScaledPh::calcium_chloride(4.6)),
        lime_buffer_capacity: Some(Content(400.0)),
        texture: Some(Texture::Sand),
        organic_carbon: Some(Percent(0.8)),
        ..LimeReadings::NONE
    };
    let target = ScaledPh::calcium_chloride(5.4);
    let dose = Dose(need(LimeMethod::BufferCapacity, &readings, target));
    let rise = ph_rise_by_buffer_capacity(dose, Content(400.0), &LAYER).unwrap().value;
    assert!((rise - 0.8).abs() < 1e-9, "by capacity: {rise}");
    let dose = Dose(need(LimeMethod::TextureVictoria, &readings, target));
    let rise = ph_rise_by_texture(dose, Texture::Sand, &LAYER).unwrap().value;
    assert!((rise - 0.8).abs() < 1e-9, "by texture: {rise}");
}

#[test]
fn the_flat_dose_of_the_field_equation_is_for_a_ph_below_its_goal() {
    // penn-state-agronomy-guide-lime: a flat 2000 lb/acre for goal 6.5 where the pH is below 6.5.
    let seven_inches = SoilLayer { thickness: Depth(177.8), ..LAYER };
    let at = |ph: f64, target: f64| {
        let readings = LimeReadings {
            ph: Some(ScaledPh::water(ph)),
            buffer_acidity: Some(Charge(3.0)),
            ..LimeReadings::NONE
        };
        let aim = LimeAim::to(ScaledPh::water(target), seven_inches);
        let need = lime_need(LimeMethod::PennStateField, &readings, &aim).unwrap().value;
        need.value() / 0.112_085_1
    };
    assert!((at(6.2, 6.5) - 2000.0).abs() < 0.1, "flat: {}", at(6.2, 6.5));
    assert!((at(6.2, 7.0) - 3000.0).abs() < 0.1, "1000 x acidity");
    assert!((at(6.6, 6.8) - 1800.0).abs() < 0.1, "no flat dose above it: {}", at(6.6, 6.8));
}

#[test]
fn the_exchange_table_goes_on_to_its_last_column() {
    // upjohn-2005, ECEC 5: 2.5 t/ha from 4.3 to 5.2 and 0.7 from 5.2 to 5.5.
    let at = |from: f64, to: f64| {
        let readings = LimeReadings {
            ph: Some(ScaledPh::calcium_chloride(from)),
            ecec: Some(Charge(5.0)),
            ..LimeReadings::NONE
        };
        need(LimeMethod::Ecec, &readings, ScaledPh::calcium_chloride(to)) / 100.0
    };
    assert!((at(4.3, 5.5) - 3.2).abs() < 1e-9, "both columns: {}", at(4.3, 5.5));
    assert!((at(5.2, 5.5) - 0.7).abs() < 1e-9, "the last one: {}", at(5.2, 5.5));
    assert!((at(4.0, 4.3) - 2.2).abs() < 1e-9, "4.7 less 2.5: {}", at(4.0, 4.3));
}

#[test]
fn ground_that_a_buffer_was_not_made_for_is_refused() {
    // huluka-adams-evans: stored for exchange capacities below 13.
    let readings =
        LimeReadings { ph: Some(ScaledPh::water(6.2)), ..buffer(Buffer::AdamsEvans, 7.0) };
    let aim = LimeAim::to(ScaledPh::water(6.5), LAYER);
    let error = lime_need(LimeMethod::AdamsEvans, &readings, &aim).unwrap_err();
    assert_eq!(error.argument(), "buffer_ph", "{error}");
    assert!(matches!(error, AgronomyError::Refused { .. }), "{error}");
}

#[test]
fn organic_carbon_asks_for_more_lime() {
    // miller-lime: 0.4 t/ha more where organic carbon is above 1.2 %.
    let at = |carbon: f64| {
        let readings = LimeReadings {
            ph: Some(ScaledPh::calcium_chloride(4.5)),
            texture: Some(Texture::Sand),
            organic_carbon: Some(Percent(carbon)),
            ..LimeReadings::NONE
        };
        need(LimeMethod::TextureVictoria, &readings, ScaledPh::calcium_chloride(5.5)) / 100.0
    };
    assert!((at(1.2) - 1.0 / 0.67).abs() < 1e-9, "not above: {}", at(1.2));
    assert!((at(1.3) - 1.0 / 0.67 - 0.4).abs() < 1e-9, "above: {}", at(1.3));
}

#[test]
fn carbon_and_clay_make_the_buffering() {
    // aitken-1990, from memory: 0.955 x 2 + 0.011 x 20 = 2.13 g/kg for each pH unit; 130 kg/m2.
    let readings = LimeReadings {
        ph: Some(ScaledPh::water(5.5)),
        organic_carbon: Some(Percent(2.0)),
        clay: Some(Percent(20.0)),
        ..LimeReadings::NONE
    };
    let got = need(LimeMethod::CarbonAndClay, &readings, ScaledPh::water(6.5));
    assert!((got - 2.13 * 130.0).abs() < 1e-9, "{got}");
}

#[test]
fn aluminium_down_to_what_is_stood_is_counted_as_pure_lime() {
    // rayment-lyons-2011: 1300 x 1.5 = 1950 kg/ha of lime near 90 %, for 10 cm at 1.3 t/m3.
    let readings = LimeReadings { aluminium: Some(Charge(2.0)), ..LimeReadings::NONE };
    let aim =
        LimeAim { tolerable_aluminium: Charge(0.5), ..LimeAim::to(ScaledPh::water(6.0), LAYER) };
    let worked = lime_need(LimeMethod::TolerableAluminium, &readings, &aim).unwrap();
    assert!((worked.value.value() - 195.0 * 0.9).abs() < 1e-9, "{:?}", worked.value);
    assert!(worked.working.cautions.iter().any(|c| c.contains("does not aim")), "said");
}
