//! Gypsum for ground whose exchange holds too much sodium.
//!
//! Calcium is put in the place of the sodium, and water has to carry the sodium out; without drainage
//! nothing is gained.
//! This module does not own whether ground is sodic (`sodicity`) or which calcium source is wanted
//! (`calcium_source`).

use swardbook_units::{Charge, Depth, Dose, Percent, Worked, Working};

use crate::{
    AgronomyError,
    elements::molar_mass,
    error::{not_negative, positive, within},
    reading::SoilLayer,
    source,
};

const GYPSUM: &str = "gypsum need";
const FORMULA: &str = "CaSO4.2H2O";

/// Factor for calcium that goes past the sodium, used where nothing else is given.
///
/// # Source `ali-2010` works with 1.25; `oster-1999`, from memory, gives 1.1 to 1.3.
pub const DEFAULT_EXCESS: f64 = 1.25;

/// Exchangeable sodium to be replaced to reach a share; zero when it is already there.
///
/// # Errors `Argument` for shares outside 0 to 100 or a capacity that is not above zero.
/// # Source `ali-2010`: CEC x (ESP - target) / 100.
pub fn sodium_to_replace(
    cec: Charge,
    esp: Percent,
    target: Percent,
) -> Result<Worked<Charge>, AgronomyError> {
    let cec = positive(GYPSUM, "cec", cec.value(), Charge::UNIT)?;
    let esp = within(GYPSUM, "esp", esp.value(), "%", 0.0, 100.0)?;
    let target = within(GYPSUM, "esp_target", target.value(), "%", 0.0, 100.0)?;
    let sodium = (cec * (esp - target) / 100.0).max(0.0);
    let mut working = Working::new("Na to replace = CEC x (ESP - target) / 100")
        .given("Cation exchange capacity", cec, Charge::UNIT)
        .given("Exchangeable sodium percentage", esp, "%")
        .given("Target", target, "%")
        .step(
            "sodium to replace",
            format!("{cec} x ({esp} - {target}) / 100"),
            sodium,
            Charge::UNIT,
        )
        .source(source("ali-2010"));
    if esp <= target {
        working = working.caution("Already at or below the target: no gypsum for sodium.");
    }
    Ok(Worked::new(Charge(sodium), working))
}

/// What the gypsum need is worked out for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GypsumAim {
    /// Sodium to replace.
    pub sodium: Charge,
    /// The layer.
    pub layer: SoilLayer,
    /// Factor for calcium that goes past the sodium, 1 or more ([`DEFAULT_EXCESS`]).
    pub excess: f64,
    /// Gypsum in the product.
    pub purity: Percent,
}

/// Gypsum product that puts calcium in the place of the sodium.
///
/// # Units  g/m2.
/// # Errors `Argument` for a negative sodium, an excess outside 1 to 2, a purity outside 1 to 100 or a
/// layer that is not above zero.
/// # Source charge for charge from `atomic-weights` (0.861 t/ha for 1 cmol/kg, 10 cm, 1.0 t/m3);
/// the excess is `ali-2010`'s.
pub fn gypsum_need(aim: &GypsumAim) -> Result<Worked<Dose>, AgronomyError> {
    let sodium = not_negative(GYPSUM, "na", aim.sodium.value(), Charge::UNIT)?;
    let excess = within(GYPSUM, "factor", aim.excess, "", 1.0, 2.0)?;
    let purity = within(GYPSUM, "purity", aim.purity.value(), "%", 1.0, 100.0)?;
    let mass = aim.layer.mass_over_area()?;
    // Two charges to each unit of calcium sulfate.
    let per_cmol = molar_mass(FORMULA)? * 10.0 / 2.0;
    let pure = sodium * per_cmol * mass.value / 1000.0;
    let dose = pure * excess * 100.0 / purity;
    let mut working = Working::new("gypsum = Na x M / 2 x soil over area x excess / purity")
        .given("Sodium to replace", sodium, Charge::UNIT)
        .after(&mass.working)
        .input("Excess", excess, "", origin_of_excess(excess))
        .given("Gypsum in the product", purity, "%")
        .step(
            "pure gypsum, charge for charge",
            format!("{sodium} x {per_cmol:.1} mg/kg x {:.1} kg/m2 / 1000", mass.value),
            pure,
            Dose::UNIT,
        )
        .step("product", format!("{pure:.2} x {excess} x 100 / {purity}"), dose, Dose::UNIT)
        .source(source("atomic-weights"))
        .source(source("ali-2010"));
    working = cautions(working);
    if dose > ONE_STAGE {
        working = working.caution("A very large total goes on in stages, with a new test between.");
    }
    Ok(Worked::new(Dose(dose), working))
}

/// Above this a total is put on in stages, g/m2.
///
/// # Source `common-practice`: half a kilogram to the square metre, as for lime on grass.
const ONE_STAGE: f64 = 500.0;

fn origin_of_excess(excess: f64) -> swardbook_units::Origin {
    if (excess - DEFAULT_EXCESS).abs() < 1e-12 {
        swardbook_units::Origin::Default("as in the worked example of ali-2010".to_owned())
    } else {
        swardbook_units::Origin::Given
    }
}

fn cautions(working: Working) -> Working {
    working
        .caution(
            "Water has to carry the sodium out below the roots: see to drainage and leaching water \
             first, and mind where it goes.",
        )
        .caution("Gypsum does not change the pH; it adds sulfate and salt, so sample again after.")
}

/// Gypsum by the printed rule for a foot of soil: 3.85 t/ha in 30 cm for each cmol/kg.
///
/// # Units  g/m2.
/// # Errors `Argument` for a negative sodium or a depth that is not above zero.
/// # Source `ali-2010`, after 1.7 US ton to the acre foot; it assumes 4 million lb of soil.
pub fn gypsum_by_foot_of_soil(sodium: Charge, depth: Depth) -> Result<Worked<Dose>, AgronomyError> {
    let sodium = not_negative(GYPSUM, "na", sodium.value(), Charge::UNIT)?;
    let depth = positive(GYPSUM, "depth", depth.value(), Depth::UNIT)?;
    let tonnes = 3.85 * sodium * depth / 300.0;
    let dose = tonnes * 100.0;
    let working = Working::new("gypsum = 3.85 t/ha x Na x depth / 30 cm")
        .given("Sodium to replace", sodium, Charge::UNIT)
        .given("Depth", depth, Depth::UNIT)
        .step("gypsum", format!("3.85 x {sodium} x {depth} / 300"), tonnes, "t/ha")
        .step("in g/m2", format!("{tonnes:.3} x 100"), dose, Dose::UNIT)
        .source(source("ali-2010"))
        .caution("Assumes 4 million lb of soil to the acre foot, about 1.49 t/m3.");
    Ok(Worked::new(Dose(dose), cautions(working)))
}

/// Gypsum in a product whose sulfur is all from gypsum.
///
/// # Errors `Argument` for sulfur outside 0 to 18.7 %, which is pure gypsum.
/// # Source `rayment-lyons-2011`: 5.37 x total S; computed from `atomic-weights`.
pub fn gypsum_from_sulfur(sulfur: Percent) -> Result<Worked<Percent>, AgronomyError> {
    let sulfur = within(GYPSUM, "s", sulfur.value(), "%", 0.0, 18.7)?;
    let factor = molar_mass(FORMULA)? / molar_mass("S")?;
    let gypsum = (factor * sulfur).min(100.0);
    let working = Working::new("gypsum = S x M(gypsum) / M(S)")
        .given("Total sulfur", sulfur, "%")
        .step("gypsum", format!("{sulfur} x {factor:.3}"), gypsum, "%")
        .source(source("rayment-lyons-2011"))
        .source(source("atomic-weights"))
        .caution("Only where all of the sulfur is gypsum.");
    Ok(Worked::new(Percent(gypsum), working))
}

#[cfg(test)]
mod tests {
    use swardbook_units::BulkDensity;

    use super::*;

    const AIM: GypsumAim = GypsumAim {
        sodium: Charge(2.0),
        layer: SoilLayer { thickness: Depth(100.0), bulk_density: BulkDensity(1.3) },
        excess: DEFAULT_EXCESS,
        purity: Percent(80.0),
    };

    #[test]
    fn a_less_pure_product_is_put_on_in_larger_dose() {
        let pure = GypsumAim { purity: Percent(100.0), ..AIM };
        let dose = gypsum_need(&AIM).unwrap().value.value();
        let of_pure = gypsum_need(&pure).unwrap().value.value();
        assert!((dose / of_pure - 1.25).abs() < 1e-9, "{dose} of {of_pure}");
        let none = gypsum_need(&GypsumAim { sodium: Charge(0.0), ..AIM }).unwrap();
        assert!(none.value.value().abs() < 1e-12, "no sodium, no gypsum");
        let staged = |aim: &GypsumAim| {
            gypsum_need(aim).unwrap().working.cautions.iter().any(|c| c.contains("in stages"))
        };
        assert!(!staged(&AIM), "{dose} g/m2 goes on at once");
        assert!(staged(&GypsumAim { sodium: Charge(4.4), ..AIM }), "twice as much does not");
        let error = gypsum_need(&GypsumAim { excess: 0.9, ..AIM }).unwrap_err();
        assert_eq!(error.argument(), "factor", "{error}");
    }

    #[test]
    fn below_the_target_none_is_needed() {
        let sodium = sodium_to_replace(Charge(10.0), Percent(4.0), Percent(6.0)).unwrap();
        assert!(sodium.value.value().abs() < 1e-12, "{sodium:?}");
        assert!(sodium.working.cautions.iter().any(|c| c.contains("no gypsum")), "said");
    }

    #[test]
    fn the_foot_rule_agrees_with_charge_for_charge_at_its_own_density() {
        // 4 million lb to the acre foot over 304.8 mm is 1.471 t/m3; the rule's 30 cm makes it 1.49.
        let rule = gypsum_by_foot_of_soil(Charge(1.0), Depth(300.0)).unwrap().value.value();
        let aim = GypsumAim {
            sodium: Charge(1.0),
            layer: SoilLayer { thickness: Depth(300.0), bulk_density: BulkDensity(1.49) },
            excess: 1.0,
            purity: Percent(100.0),
        };
        let exact = gypsum_need(&aim).unwrap().value.value();
        assert!((rule - exact).abs() < 0.01 * exact, "{rule} and {exact}");
    }
}
