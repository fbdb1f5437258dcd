//! Published worked examples of amendments: lime need and quality, gypsum, lowering pH, materials,
//! nutrient need and expected change.
//!
//! Each row of `fixtures/published/amend.toml` names its source, its answer and the tolerance of the
//! print; an example that is not worked out here fails the test.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::{collections::BTreeMap, fs, path::PathBuf};

use swardbook_agronomy::{
    acidity::ScaledPh,
    expected_change, find_source, gypsum,
    lime::{
        Buffer, BufferPh, LimeAim, LimeMethod, LimeReadings, adams_evans_hydrogen,
        carbonate_for_acidity, lime_down_to_tolerable_aluminium, lime_need, mehlich_acidity,
        ph_rise_by_texture,
    },
    materials::find_material,
    need,
    neutralising_value::{
        FinenessScheme, SizeFraction, agricultural_value, carbon_dioxide_from,
        effective_by_fraction, fineness_efficiency, mass_equal_to_carbonate, product_dose,
        rate_from_neutralising_material, swap_lime, theoretical_neutralising_value,
    },
    reading::SoilLayer,
    split::{SplitRules, garden_lime_split, split_dose},
    sulfur,
    texture::Texture,
};
use swardbook_units::{
    BulkDensity, Charge, Confidence, Content, Depth, Dose, Percent, Ph, convert, parse_unit,
};

struct Example(toml::Table);

impl Example {
    fn id(&self) -> &str {
        self.0["id"].as_str().expect("every example has an id")
    }

    fn number(value: &toml::Value) -> f64 {
        match value {
            toml::Value::Float(number) => *number,
            toml::Value::Integer(number) => f64::from(i32::try_from(*number).expect("small")),
            other => panic!("{other} is no number"),
        }
    }

    fn input(&self, name: &str) -> f64 {
        Self::number(&self.0["inputs"][name]["value"])
    }

    fn list(&self, name: &str) -> Vec<f64> {
        let values = self.0["inputs"][name]["value"].as_array().expect("a list");
        values.iter().map(Self::number).collect()
    }

    fn charge(&self, name: &str) -> Charge {
        Charge(self.input(name))
    }

    fn percent(&self, name: &str) -> Percent {
        Percent(self.input(name))
    }

    fn words(&self, name: &str) -> Vec<&str> {
        self.0[name]
            .as_array()
            .map_or_else(Vec::new, |list| list.iter().map(|v| v.as_str().expect("a key")).collect())
    }

    fn expected(&self) -> Vec<(&str, f64, f64)> {
        let rows = self.0["expected"].as_array().expect("every example has answers");
        rows.iter()
            .map(|row| {
                let name = row["name"].as_str().expect("an answer has a name");
                (name, Self::number(&row["value"]), Self::number(&row["tolerance"]))
            })
            .collect()
    }
}

fn to_unit(value: f64, from: &str, to: &str) -> f64 {
    convert(value, parse_unit(from).unwrap(), parse_unit(to).unwrap()).unwrap()
}

/// A dose printed in one unit, as g/m2.
fn dose(value: f64, unit: &str) -> Dose {
    Dose(to_unit(value, unit, "g/m2"))
}

fn printed(dose: Dose, unit: &str) -> f64 {
    to_unit(dose.value(), "g/m2", unit)
}

fn layer(depth_mm: f64, density: f64) -> SoilLayer {
    SoilLayer { thickness: Depth(depth_mm), bulk_density: BulkDensity(density) }
}

fn buffer(buffer: Buffer, ph: f64) -> LimeReadings {
    LimeReadings { buffers: vec![BufferPh { buffer, ph: Ph(ph) }], ..LimeReadings::NONE }
}

fn acid(acidity: f64) -> LimeReadings {
    LimeReadings { buffer_acidity: Some(Charge(acidity)), ..LimeReadings::NONE }
}

fn lime(method: LimeMethod, readings: &LimeReadings, target: ScaledPh, layer: SoilLayer) -> Dose {
    lime_need(method, readings, &LimeAim::to(target, layer)).unwrap().value
}

type Answers = BTreeMap<&'static str, f64>;

fn one(name: &'static str, value: f64) -> Option<Answers> {
    Some(Answers::from([(name, value)]))
}

/// 10 cm at 1.3 t/m3, where the layer does not matter to the answer.
fn any_layer() -> SoilLayer {
    layer(100.0, 1.3)
}

fn buffer_answers(e: &Example) -> Option<Answers> {
    match e.id() {
        "lime-ncda" => {
            let acidity = BufferPh::from_mehlich_acidity(e.input("acidity")).unwrap();
            let readings = LimeReadings {
                ph: Some(ScaledPh::water(e.input("ph"))),
                buffers: vec![acidity],
                ..LimeReadings::NONE
            };
            let target = ScaledPh::water(e.input("target"));
            let aim = LimeAim::to(target, any_layer());
            let worked = lime_need(LimeMethod::MehlichNorthCarolina, &readings, &aim).unwrap();
            let factor = worked.working.steps.iter().find(|s| s.what == "factor")?.value;
            Some(Answers::from([
                ("factor", factor),
                ("lime", printed(worked.value, "US ton/acre")),
            ]))
        }
        "lime-ncda-acidity" => {
            one("acidity", mehlich_acidity(Ph(e.input("buffer_ph"))).unwrap().value)
        }
        "lime-psu-turf-6.5" | "lime-psu-turf-10.3" => {
            let goal = |ph| {
                let need = lime(
                    LimeMethod::PennStateTurf,
                    &acid(e.input("acidity")),
                    ScaledPh::water(ph),
                    any_layer(),
                );
                printed(need, "lb/1000 ft2")
            };
            Some(Answers::from([
                ("goal_7.0", goal(7.0)),
                ("goal_6.5", goal(6.5)),
                ("goal_6.0", goal(6.0)),
            ]))
        }
        "lime-psu-field" => {
            let seven_inches = layer(177.8, 1.3);
            let goal = |ph| {
                let need = lime(
                    LimeMethod::PennStateField,
                    &acid(e.input("acidity")),
                    ScaledPh::water(ph),
                    seven_inches,
                );
                printed(need, "lb/acre")
            };
            Some(Answers::from([("goal_7.0", goal(7.0)), ("goal_6.5", goal(6.5))]))
        }
        "lime-sikora-6.0" => one("lime", sikora(e.input("buffer_ph"), e.input("target"))),
        "lime-sikora-5.5" => {
            let ph = e.input("buffer_ph");
            Some(Answers::from([
                ("t5.6", sikora(ph, 5.6)),
                ("t6.0", sikora(ph, 6.0)),
                ("t6.4", sikora(ph, 6.4)),
                ("t6.8", sikora(ph, 6.8)),
                ("t7.2", sikora(ph, 7.2)),
            ]))
        }
        "lime-mehlich-5.5" => {
            let readings = buffer(Buffer::Mehlich, e.input("buffer_ph"));
            let to = |ph| {
                let target = ScaledPh::water(ph);
                let need = lime(LimeMethod::MehlichQueensland, &readings, target, any_layer());
                printed(need, "t/ha")
            };
            Some(Answers::from([("to_5.5", to(5.5)), ("to_6.5", to(6.5))]))
        }
        "lime-adams-evans-h" => {
            one("exch_h", adams_evans_hydrogen(Ph(e.input("buffer_ph"))).unwrap().value.value())
        }
        "lime-tristate-depth" => {
            // The table's own layer against half of it.
            let readings = buffer(Buffer::Smp, 6.0);
            let at =
                |mm| lime(LimeMethod::Smp, &readings, ScaledPh::water(6.5), layer(mm, 1.3)).value();
            one("lime_4in", e.input("table_8in") * at(101.6) / at(203.2))
        }
        "mem-smp-6.0" => {
            // 2.4 million lb in 8 in of an acre.
            let density = to_unit(2_400_000.0, "lb/acre", "kg/m2") / 203.2;
            let readings = buffer(Buffer::Smp, e.input("buffer_ph"));
            let target = ScaledPh::water(e.input("target"));
            let need = lime(LimeMethod::Smp, &readings, target, layer(203.2, density));
            one("lime", printed(need, "US ton/acre"))
        }
        "mem-mehlich76" => {
            let ph = e.input("buffer_ph");
            let target = ScaledPh::water(6.5);
            let readings = buffer(Buffer::Mehlich, ph);
            let need = lime(LimeMethod::Mehlich1976, &readings, target, any_layer());
            // 1 meq/100 cm3 is 10 mol of charge in a cubic metre: 500.4 g of carbonate.
            let per_meq = carbonate_for_acidity(Charge(1.0)).unwrap().value.value() * 0.1;
            Some(Answers::from([
                ("acidity", mehlich_acidity(Ph(ph)).unwrap().value),
                ("lime", need.value() / per_meq),
            ]))
        }
        _ => None,
    }
}

fn sikora(buffer_ph: f64, target: f64) -> f64 {
    let six_inches = layer(152.4, 1.3);
    let readings = buffer(Buffer::Sikora, buffer_ph);
    let need = lime(LimeMethod::SikoraOregon, &readings, ScaledPh::water(target), six_inches);
    printed(need, "US ton/acre")
}

fn soil_answers(e: &Example) -> Option<Answers> {
    let aimless = ScaledPh::water(6.5);
    match e.id() {
        "lime-al-750" => {
            let readings = LimeReadings { aluminium: Some(e.charge("al")), ..LimeReadings::NONE };
            let ground = layer(1000.0 * e.input("depth"), e.input("bulk_density"));
            one("lime", printed(lime(LimeMethod::Aluminium, &readings, aimless, ground), "kg/ha"))
        }
        "lime-al-cregan" => {
            let worked =
                lime_down_to_tolerable_aluminium(e.charge("al"), e.charge("al_tolerable")).unwrap();
            one("lime", printed(worked.value, "kg/ha"))
        }
        "lime-cmol-caco3" => {
            one("caco3", carbonate_for_acidity(e.charge("acidity")).unwrap().value.value())
        }
        "lime-brady" => {
            let kg_per_m2 = e.input("soil_mass") / 10_000.0;
            let readings = LimeReadings {
                exchangeable_acidity: Some(e.charge("acidity")),
                ..LimeReadings::NONE
            };
            let ground = layer(150.0, kg_per_m2 / 150.0);
            let need = lime(LimeMethod::ExchangeableAcidity, &readings, aimless, ground);
            one("lime", printed(need, "kg/ha"))
        }
        "lime-buffer-clayloam" => one("lime", by_texture(e, Texture::ClayLoam)),
        "lime-buffer-sandyloam" => one("lime", by_texture(e, Texture::SandyLoam)),
        "lime-slope-class" => {
            let put_on = dose(e.input("lime"), "t/ha");
            let rise = |texture| ph_rise_by_texture(put_on, texture, &any_layer()).unwrap().value;
            Some(Answers::from([
                ("clay", rise(Texture::MediumClay)),
                ("clay_loam", rise(Texture::ClayLoam)),
                ("sandy_loam", rise(Texture::SandyLoam)),
                ("sand", rise(Texture::Sand)),
            ]))
        }
        "lime-lbc" => {
            let start = 5.0;
            let readings = LimeReadings {
                ph: Some(ScaledPh::calcium_chloride(start)),
                lime_buffer_capacity: Some(Content(e.input("lbc"))),
                ..LimeReadings::NONE
            };
            let target = ScaledPh::calcium_chloride(start + e.input("rise"));
            let ground = layer(10.0 * e.input("depth"), e.input("bulk_density"));
            let pure = lime(LimeMethod::BufferCapacity, &readings, target, ground);
            let effective = Percent(100.0 * e.input("effective"));
            let product = product_dose(pure, effective).unwrap().value;
            Some(Answers::from([
                ("pure", printed(pure, "t/ha")),
                ("lime", printed(product, "t/ha")),
            ]))
        }
        "mem-lime-agfact" => {
            let readings = LimeReadings {
                ph: Some(ScaledPh::calcium_chloride(e.input("from"))),
                ecec: Some(e.charge("ecec")),
                ..LimeReadings::NONE
            };
            let target = ScaledPh::calcium_chloride(e.input("to"));
            one("lime", printed(lime(LimeMethod::Ecec, &readings, target, any_layer()), "t/ha"))
        }
        _ => None,
    }
}

fn by_texture(e: &Example, texture: Texture) -> f64 {
    let readings = LimeReadings {
        ph: Some(ScaledPh::calcium_chloride(e.input("ph"))),
        texture: Some(texture),
        ..LimeReadings::NONE
    };
    // The example's own figure for the texture is the method's.
    let rise = ph_rise_by_texture(dose(1.0, "t/ha"), texture, &any_layer()).unwrap().value;
    assert!((rise - e.input("rise_per_t")).abs() < 1e-9, "{}: {rise}", e.id());
    let target = ScaledPh::calcium_chloride(e.input("target"));
    printed(lime(LimeMethod::TextureVictoria, &readings, target, any_layer()), "t/ha")
}

fn quality_answers(e: &Example) -> Option<Answers> {
    match e.id() {
        "lime-psu-cce" => {
            let pure = dose(e.input("recommendation"), "lb/1000 ft2");
            let product = product_dose(pure, e.percent("cce")).unwrap().value;
            one("material", printed(product, "lb/1000 ft2"))
        }
        "lime-tristate-nv" => {
            let at_90 = dose(e.input("recommendation"), "US ton/acre");
            let other = swap_lime(at_90, Percent(90.0), e.percent("nv")).unwrap().value;
            one("factor", other.value() / at_90.value())
        }
        "nv-fineness-au" => {
            let shares = ["over_8", "m8_20", "m20_60", "pass_60"].map(|name| e.percent(name));
            let worked = fineness_efficiency(FinenessScheme::Australia, &shares).unwrap();
            one("efficiency", worked.value.value())
        }
        "nv-agricultural-value" => {
            let worked =
                agricultural_value(e.percent("nv"), e.percent("efficiency"), e.percent("moisture"));
            one("agricultural_value", worked.unwrap().value.value())
        }
        "nv-rnv-mississippi" => {
            let (ten, fifty) = (e.input("pass_10_mesh"), e.input("pass_50_mesh"));
            let shares = [100.0 - ten, ten - fifty, fifty].map(Percent);
            let efficiency = fineness_efficiency(FinenessScheme::Mississippi, &shares).unwrap();
            let cce = Percent(100.0 * e.input("cce"));
            let worked = agricultural_value(cce, efficiency.value, Percent(0.0)).unwrap();
            one("rnv", worked.value.value())
        }
        "nv-effective-wa" => {
            let (shares, nvs, factors) = (e.list("fraction"), e.list("nv"), e.list("size_factor"));
            let fractions: Vec<SizeFraction> = shares
                .iter()
                .zip(&nvs)
                .zip(&factors)
                .map(|((share, nv), factor)| SizeFraction {
                    share: Percent(*share),
                    nv: Percent(*nv),
                    factor: *factor,
                })
                .collect();
            one("effective", effective_by_fraction(&fractions).unwrap().value.value())
        }
        "nv-swap-wa" => {
            let rate = dose(e.input("rate"), "t/ha");
            let worked = swap_lime(rate, e.percent("nv_from"), e.percent("nv_to")).unwrap();
            one("rate", printed(worked.value, "t/ha"))
        }
        "nv-enm-missouri" => {
            let worked = rate_from_neutralising_material(e.input("needed"), e.input("material"));
            one("rate", worked.unwrap().value)
        }
        "nv-molar" => {
            let value = |formula| theoretical_neutralising_value(formula).unwrap().value.value();
            Some(Answers::from([
                ("mgco3", value("MgCO3")),
                ("dolomite", value("CaMg(CO3)2")),
                ("ca_oh_2", value("Ca(OH)2")),
                ("cao", value("CaO")),
                ("mgo", value("MgO")),
                ("mg_oh_2", value("Mg(OH)2")),
            ]))
        }
        "nv-equal-lb" => {
            let mass = |formula| mass_equal_to_carbonate(formula, e.input("caco3")).unwrap().value;
            Some(Answers::from([
                ("mgco3", mass("MgCO3")),
                ("ca_oh_2", mass("Ca(OH)2")),
                ("mg_oh_2", mass("Mg(OH)2")),
                ("cao", mass("CaO")),
                ("mgo", mass("MgO")),
            ]))
        }
        "nv-co2" => one("co2", carbon_dioxide_from(e.input("caco3")).unwrap().value),
        _ => None,
    }
}

fn gypsum_answers(e: &Example) -> Option<Answers> {
    match e.id() {
        "gyp-na" => {
            let sodium = gypsum::sodium_to_replace(
                e.charge("cec"),
                e.percent("esp"),
                e.percent("esp_target"),
            );
            one("na", sodium.unwrap().value.value())
        }
        "gyp-ali-40cm" => {
            let depth = Depth(10.0 * e.input("depth"));
            let worked = gypsum::gypsum_by_foot_of_soil(e.charge("na"), depth).unwrap();
            one("gypsum", printed(worked.value, "t/ha"))
        }
        "gyp-ali-safety" => {
            let plain = gypsum_of(1.0, any_layer(), 1.0);
            let with = gypsum_of(1.0, any_layer(), gypsum::DEFAULT_EXCESS);
            assert!((gypsum::DEFAULT_EXCESS - e.input("factor")).abs() < 1e-12, "its factor");
            one("gypsum", e.input("gypsum") * with.value() / plain.value())
        }
        "gyp-acrefoot" => {
            let density = to_unit(e.input("soil_mass"), "lb/acre", "kg/m2") / 304.8;
            let dose = gypsum_of(e.input("na"), layer(304.8, density), 1.0);
            one("gypsum", printed(dose, "US ton/acre"))
        }
        "gyp-molar-10cm" => {
            let ground = layer(10.0 * e.input("depth"), e.input("bulk_density"));
            one("gypsum", printed(gypsum_of(e.input("na"), ground, 1.0), "t/ha"))
        }
        "gyp-total-s" => {
            one("gypsum", gypsum::gypsum_from_sulfur(e.percent("s")).unwrap().value.value())
        }
        "mem-oster" => {
            let sodium = gypsum::sodium_to_replace(
                e.charge("cec"),
                e.percent("esp"),
                e.percent("esp_target"),
            );
            let ground = layer(1000.0 * e.input("depth"), e.input("bulk_density"));
            let dose = gypsum_of(sodium.unwrap().value.value(), ground, e.input("f"));
            one("gypsum", printed(dose, "t/ha"))
        }
        _ => None,
    }
}

fn gypsum_of(sodium: f64, layer: SoilLayer, excess: f64) -> Dose {
    let aim = gypsum::GypsumAim { sodium: Charge(sodium), layer, excess, purity: Percent(100.0) };
    gypsum::gypsum_need(&aim).unwrap().value
}

fn sulfur_answers(e: &Example) -> Option<Answers> {
    match e.id() {
        "sul-free-lime" => {
            let density = to_unit(e.input("soil_mass"), "lb/acre", "kg/m2") / 152.4;
            let eaten =
                sulfur::sulfur_eaten_by_carbonate(e.percent("caco3"), &layer(152.4, density));
            one("sulfur", printed(eaten.unwrap().value, "lb/acre"))
        }
        "sul-caco3-ratio" => {
            one("caco3", sulfur::carbonate_met_by_sulfur(e.input("sulfur")).unwrap().value)
        }
        "sul-rhs-iron" => {
            let iron = |sulfur: f64| {
                let other =
                    sulfur::in_place_of_sulfur(Dose(sulfur), sulfur::Acidifier::IronSulfate);
                other.unwrap().value.value()
            };
            let doses = e.list("sulfur");
            Some(Answers::from([
                ("iron_sulfate_sand", iron(doses[0])),
                ("iron_sulfate_clay", iron(doses[1])),
            ]))
        }
        "sul-turf-limit" => {
            let rules = SplitRules {
                single_dose: dose(e.input("per_visit"), "lb/1000 ft2"),
                interval_days: 90,
                per_year: Some(dose(e.input("per_year"), "lb/1000 ft2")),
            };
            let split = split_dose(dose(e.input("dose"), "lb/1000 ft2"), &rules).unwrap().value;
            let visits = f64::from(u32::try_from(split.visits.len()).unwrap());
            Some(Answers::from([("visits", visits), ("years", f64::from(split.years()))]))
        }
        _ => None,
    }
}

fn material_answers(e: &Example) -> Option<Answers> {
    let of = |id: &str, symbol: &str| {
        let theory = find_material(id)?.theory().unwrap().value;
        theory.into_iter().find(|(s, _)| *s == symbol).map(|(_, share)| share.value())
    };
    // The oxide is the element over its share of the oxide.
    let oxide = |share: f64, formula: &str, symbol: &str| {
        share / swardbook_agronomy::elements::element_in(formula, symbol).unwrap()
    };
    match e.id() {
        "mat-sop" => {
            let k = of("sulfate-of-potash", "K")?;
            Some(Answers::from([
                ("k", k),
                ("k2o", oxide(k, "K2O", "K")),
                ("s", of("sulfate-of-potash", "S")?),
            ]))
        }
        "mat-epsom" => {
            let mg = of("epsom-salt", "Mg")?;
            Some(Answers::from([
                ("mg", mg),
                ("mgo", oxide(mg, "MgO", "Mg")),
                ("s", of("epsom-salt", "S")?),
            ]))
        }
        "mat-gypsum" => {
            Some(Answers::from([("ca", of("gypsum", "Ca")?), ("s", of("gypsum", "S")?)]))
        }
        _ => None,
    }
}

fn need_answers(e: &Example) -> Option<Answers> {
    match e.id() {
        "mlsn-k" => {
            let amount = |name: &str| Dose(e.input(name));
            let worked = need::need_from_amounts(
                amount("use_a"),
                amount("reserve_b"),
                amount("soil_c"),
                Dose(0.0),
            );
            one("fertiliser", worked.unwrap().value.value())
        }
        "mlsn-use-from-n" => {
            let cool = need::GrassUse::CoolSeason.potassium_to_nitrogen();
            assert!((cool - e.input("k_to_n")).abs() < 1e-12, "half of the nitrogen");
            one("k_use", need::use_from_nitrogen(Dose(e.input("n")), cool).unwrap().value.value())
        }
        "chg-p-removal" => {
            let worked = expected_change::change_by_build_up(
                e.input("removed"),
                e.input("per_ppm"),
                "tri-state-build-up",
            );
            one("fall", worked.unwrap().value)
        }
        "chg-p-stoich" => {
            let ground = layer(1000.0 * e.input("depth"), e.input("bulk_density"));
            let worked = expected_change::least_dose_for_rise(Content(1.0), &ground).unwrap();
            one("p", printed(worked.value, "kg/ha"))
        }
        "lime-psu-split" => {
            let rules = SplitRules {
                single_dose: dose(e.input("limit"), "lb/1000 ft2"),
                interval_days: 120,
                per_year: None,
            };
            let split =
                split_dose(dose(e.input("recommendation"), "lb/1000 ft2"), &rules).unwrap().value;
            visits(&split, "lb/1000 ft2")
        }
        "lime-psu-garden-split" => {
            let total = dose(e.input("recommendation"), "lb/100 ft2");
            visits(&garden_lime_split(total).unwrap().value, "lb/100 ft2")
        }
        _ => None,
    }
}

fn visits(split: &swardbook_agronomy::split::Split, unit: &str) -> Option<Answers> {
    let count = f64::from(u32::try_from(split.visits.len()).unwrap());
    let each = split.visits.first()?.dose;
    Some(Answers::from([("visits", count), ("each", printed(each, unit))]))
}

fn examples() -> Vec<Example> {
    let path: PathBuf =
        [env!("CARGO_MANIFEST_DIR"), "..", "..", "fixtures", "published", "amend.toml"]
            .iter()
            .collect();
    let text = fs::read_to_string(&path)
        .unwrap_or_else(|error| panic!("{} cannot be read: {error}", path.display()));
    let file: toml::Table = toml::from_str(&text).expect("the published examples parse");
    let rows = file["example"].as_array().expect("examples are a list");
    rows.iter().map(|row| Example(row.as_table().expect("an example is a table").clone())).collect()
}

#[test]
fn every_published_example_of_amendments_comes_out_as_printed() {
    let parts = [
        buffer_answers,
        soil_answers,
        quality_answers,
        gypsum_answers,
        sulfur_answers,
        material_answers,
        need_answers,
    ];
    let mut worked = 0;
    for example in examples() {
        let id = example.id();
        let answers = parts.iter().find_map(|part| part(&example));
        let answers = answers.unwrap_or_else(|| panic!("{id} is worked out nowhere"));
        for (name, value, tolerance) in example.expected() {
            let got = answers.get(name).unwrap_or_else(|| panic!("{id}: no answer {name}"));
            // A printed tolerance of zero still leaves the last bit of binary arithmetic.
            let allowed = tolerance + 1e-9 * value.abs();
            assert!((got - value).abs() <= allowed, "{id}: {name} is {got}, printed {value}");
        }
        worked += 1;
    }
    assert!(worked >= 52, "only {worked} examples were worked out");
}

#[test]
fn every_source_is_known_and_what_was_not_read_says_so() {
    for example in examples() {
        let id = example.id();
        let sources: Vec<_> = example
            .words("source")
            .into_iter()
            .map(|key| find_source(key).unwrap_or_else(|| panic!("{id}: no source {key}")))
            .collect();
        assert!(!sources.is_empty(), "{id} has a source");
        let from_memory = example.0["status"].as_str() == Some("MEMORY");
        let all = sources.iter().all(|s| s.confidence == Confidence::FromMemory);
        assert_eq!(from_memory, all, "{id}: status and sources agree");
    }
}
