//! What holds for any amendment: needs fall as readings rise, and no dose is ever below zero.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use proptest::prelude::*;
use swardbook_agronomy::{
    acidity::ScaledPh,
    gypsum::{GypsumAim, gypsum_need, sodium_to_replace},
    lime::{Buffer, BufferPh, LimeAim, LimeMethod, LimeReadings, compare_lime_needs, lime_need},
    need::{NeedInputs, NeedReading, nutrient_need},
    purchase::{Pack, ZoneDose, purchase},
    reading::{Qualifier, SoilLayer},
    split::{SplitRules, split_dose},
    texture::Texture,
};
use swardbook_units::{
    Area, BulkDensity, Charge, Confidence, Content, Depth, Dose, Mass, Percent, Ph,
};

fn layers() -> impl Strategy<Value = SoilLayer> {
    (50.0..300.0_f64, 0.8..1.8_f64)
        .prop_map(|(mm, t)| SoilLayer { thickness: Depth(mm), bulk_density: BulkDensity(t) })
}

fn qualifiers() -> impl Strategy<Value = Qualifier> {
    prop_oneof![Just(Qualifier::Exact), Just(Qualifier::Below), Just(Qualifier::Above)]
}

/// Every reading that any method takes.
fn readings(ph: f64, buffer: f64, acidity: f64, texture: usize) -> LimeReadings {
    LimeReadings {
        ph: Some(ScaledPh::calcium_chloride(ph)),
        buffers: vec![
            BufferPh { buffer: Buffer::Sikora, ph: Ph(buffer) },
            BufferPh { buffer: Buffer::Smp, ph: Ph(buffer) },
            BufferPh { buffer: Buffer::Mehlich, ph: Ph(buffer.min(6.5)) },
            BufferPh { buffer: Buffer::AdamsEvans, ph: Ph((buffer + 1.0).min(8.0)) },
        ],
        buffer_acidity: Some(Charge(acidity)),
        aluminium: Some(Charge(acidity / 4.0)),
        exchangeable_acidity: Some(Charge(acidity / 3.0)),
        ecec: Some(Charge(acidity.clamp(1.0, 15.0))),
        lime_buffer_capacity: Some(Content(400.0)),
        organic_carbon: Some(Percent(2.0)),
        clay: Some(Percent(20.0)),
        texture: Some(Texture::ALL[texture]),
    }
}

fn with_less_acid(method: LimeMethod, more: &LimeReadings, step: f64) -> LimeReadings {
    let mut less = more.clone();
    for buffer in &mut less.buffers {
        buffer.ph = Ph(buffer.ph.value() + step);
    }
    let lower = |charge: Option<Charge>| charge.map(|c| Charge((c.value() - step).max(0.0)));
    less.buffer_acidity = lower(less.buffer_acidity);
    less.aluminium = lower(less.aluminium);
    less.exchangeable_acidity = lower(less.exchangeable_acidity);
    // The soil's own pH acts through the acidity in these, so it moves alone where it is the measure.
    if matches!(
        method,
        LimeMethod::BufferCapacity
            | LimeMethod::TextureVictoria
            | LimeMethod::Ecec
            | LimeMethod::CarbonAndClay
    ) {
        less.ph = less.ph.map(|p| ScaledPh::calcium_chloride(p.ph.value() + step));
    }
    less
}

proptest! {
    #[test]
    fn need_falls_as_the_reading_rises_and_keeps_its_order(
        low in 0.0..300.0_f64,
        more in 0.0..300.0_f64,
        limit in 0.0..300.0_f64,
        season_use in 0.0..30.0_f64,
        supply in 0.0..30.0_f64,
        deviation in 0.0..1.0_f64,
        qualifier in qualifiers(),
        layer in layers(),
    ) {
        let at = |content: f64| {
            let inputs = NeedInputs {
                reading: NeedReading {
                    content: Content(content),
                    qualifier,
                    log_deviation: Some(deviation),
                },
                limit: Content(limit),
                layer,
                season_use: Dose(season_use),
                supply: Dose(supply),
            };
            nutrient_need(&inputs).unwrap().value
        };
        let (poor, rich) = (at(low), at(low + more));
        prop_assert!(rich.need.value() <= poor.need.value() + 1e-9);
        prop_assert!(rich.high.value() <= poor.high.value() + 1e-9);
        for need in [poor, rich] {
            prop_assert!(need.low.value() >= 0.0);
            prop_assert!(need.low.value() <= need.need.value());
            prop_assert!(need.need.value() <= need.high.value());
        }
    }

    #[test]
    fn lime_is_never_negative_and_falls_as_the_ground_is_less_acid(
        ph in 4.0..5.6_f64,
        buffer in 5.0..7.4_f64,
        acidity in 0.0..20.0_f64,
        step in 0.0..1.0_f64,
        texture in 0..Texture::ALL.len(),
        target in 5.0..7.2_f64,
        layer in layers(),
    ) {
        let acid = readings(ph, buffer, acidity, texture);
        let aim = LimeAim::to(ScaledPh::water(target), layer);
        for method in LimeMethod::ALL {
            let Ok(more) = lime_need(method, &acid, &aim) else { continue };
            prop_assert!(more.value.value() >= 0.0, "{:?}", method);
            let less = with_less_acid(method, &acid, step);
            if let Ok(less) = lime_need(method, &less, &aim) {
                prop_assert!(
                    less.value.value() <= more.value.value() + 1e-6,
                    "{:?}: {} then {}", method, more.value, less.value
                );
            }
        }
        let all = compare_lime_needs(&acid, &aim);
        if let Some(used) = all.used() {
            let confirmed =
                all.answers.iter().any(|a| a.working.confidence() != Confidence::FromMemory);
            prop_assert!(!confirmed || used.working.confidence() != Confidence::FromMemory);
        }
    }

    #[test]
    fn deeper_layers_never_need_less_lime(
        ph in 4.0..5.6_f64,
        buffer in 5.0..6.9_f64,
        acidity in 0.1..20.0_f64,
        texture in 0..Texture::ALL.len(),
        layer in layers(),
    ) {
        let acid = readings(ph, buffer, acidity, texture);
        let deep = SoilLayer { thickness: Depth(layer.thickness.value() * 1.5), ..layer };
        for method in LimeMethod::ALL {
            let target = ScaledPh::water(6.5);
            let at = |layer| lime_need(method, &acid, &LimeAim::to(target, layer));
            if let (Ok(thin), Ok(thick)) = (at(layer), at(deep)) {
                prop_assert!(thick.value.value() >= thin.value.value(), "{:?}", method);
            }
        }
    }

    #[test]
    fn gypsum_rises_with_sodium_and_is_never_negative(
        esp in 0.0..100.0_f64,
        more in 0.0..50.0_f64,
        target in 0.0..30.0_f64,
        cec in 0.1..60.0_f64,
        purity in 1.0..100.0_f64,
        layer in layers(),
    ) {
        let at = |esp: f64| {
            let sodium =
                sodium_to_replace(Charge(cec), Percent(esp.min(100.0)), Percent(target)).unwrap();
            let aim =
                GypsumAim { sodium: sodium.value, layer, excess: 1.25, purity: Percent(purity) };
            gypsum_need(&aim).unwrap().value.value()
        };
        prop_assert!(at(esp) >= 0.0);
        prop_assert!(at(esp + more) + 1e-9 >= at(esp));
    }

    #[test]
    fn a_split_is_all_of_the_dose_within_its_limits(
        total in 0.0..1000.0_f64,
        single in 10.0..300.0_f64,
        interval in 0..400_u32,
        yearly in proptest::option::of(10.0..600.0_f64),
    ) {
        let rules = SplitRules {
            single_dose: Dose(single),
            interval_days: interval,
            per_year: yearly.map(Dose),
        };
        let split = split_dose(Dose(total), &rules).unwrap().value;
        let sum: f64 = split.visits.iter().map(|v| v.dose.value()).sum();
        prop_assert!((sum - total).abs() < 1e-6);
        for pair in split.visits.windows(2) {
            prop_assert!(pair[1].after_days >= pair[0].after_days + interval);
        }
        for visit in &split.visits {
            prop_assert!(visit.dose.value() > 0.0 && visit.dose.value() <= single + 1e-6);
            if let Some(yearly) = yearly {
                let from = visit.after_days;
                let year: f64 = split
                    .visits
                    .iter()
                    .filter(|v| (from..from + 365).contains(&v.after_days))
                    .map(|v| v.dose.value())
                    .sum();
                prop_assert!(year <= yearly + 1e-6, "{} in a year", year);
            }
        }
    }

    #[test]
    fn packs_cover_the_need_with_less_than_one_to_spare(
        area in 1.0..2000.0_f64,
        dose in 0.0..500.0_f64,
        size in 0.5..1000.0_f64,
        stock in 0.0..50.0_f64,
    ) {
        let zone =
            ZoneDose { zone: "green surrounds".into(), area: Some(Area(area)), dose: Dose(dose) };
        let pack = Pack { size: Mass(size), price: None };
        let bought = purchase(&[zone], &pack, Mass(stock)).unwrap().value;
        prop_assert!(bought.left.value() >= -1e-6 * size);
        if bought.packs > 0 {
            prop_assert!(bought.left.value() < size + 1e-6);
        }
    }
}
