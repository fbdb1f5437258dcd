//! What a lime is worth: its neutralising value, its fineness, and the dose of it that does the work
//! of pure, fine calcium carbonate.
//!
//! Calcium carbonate is 100 on the scale of neutralising values; the scale on calcium oxide that some
//! countries print is converted.

mod fineness;

use swardbook_units::{Dose, Percent, Worked, Working};

pub use fineness::{
    FinenessScheme, SizeClass, SizeFraction, effective_by_fraction, fineness_efficiency,
};

use crate::{
    AgronomyError,
    elements::{molar_mass, parse_formula},
    error::{not_negative, positive, within},
    source,
};

pub(crate) const QUALITY: &str = "lime quality";

/// Charges that one atom of an element brings (above zero, a base) or takes (below zero, an acid)
/// once a compound has reacted in the soil; none where that depends on what the soil does with it.
///
/// # Source `definition`: strong bases against strong acids; iron and aluminium fall out as hydroxides,
/// so only the sulfate beside them counts.
fn alkalinity(symbol: &str) -> Option<f64> {
    Some(match symbol {
        "Ca" | "Mg" => 2.0,
        "Na" | "K" => 1.0,
        "S" => -2.0,
        "Cl" => -1.0,
        "H" | "C" | "O" | "Si" | "Fe" | "Al" => 0.0,
        _ => return None,
    })
}

/// Neutralising value of a pure compound by its formula; below zero for one that makes acid.
///
/// # Units  % of calcium carbonate by mass.
/// # Errors [`crate::elements::FormulaError`]; `Refused` for a compound with an element whose acidity
/// the soil decides (nitrogen, phosphorus, trace metals).
/// # Source `atomic-weights`; elemental sulfur comes out at -312 as in `sulfur-carbonate-newsletter`.
pub fn theoretical_neutralising_value(formula: &str) -> Result<Worked<Percent>, AgronomyError> {
    let composition = parse_formula(formula)?;
    let mut charges = 0.0;
    for (symbol, atoms) in composition.elements() {
        let each = alkalinity(symbol).ok_or_else(|| AgronomyError::Refused {
            operation: QUALITY,
            argument: "formula",
            why: format!(
                "{formula} holds {symbol}, whose acidity depends on what the soil does with it; \
                 use a measured neutralising value"
            ),
        })?;
        charges += atoms * each;
    }
    let carbonate = molar_mass("CaCO3")?;
    let own = composition.molar_mass();
    let value = 100.0 * (charges / 2.0) * carbonate / own;
    let working = Working::new("NV = 100 x (charges / 2) x M(CaCO3) / M")
        .step("charges for each formula unit", formula.to_owned(), charges, "")
        .step("molar mass", formula.to_owned(), own, "g/mol")
        .step(
            "neutralising value",
            format!("100 x {} x {carbonate:.3} / {own:.3}", charges / 2.0),
            value,
            "%",
        )
        .source(source("atomic-weights"));
    Ok(Worked::new(Percent(value), working))
}

/// Neutralising value on calcium carbonate from one printed on calcium oxide.
///
/// # Errors `Argument` outside 0 to 120.
/// # Source `rb209` prints on calcium oxide; the factor is computed from `atomic-weights`.
pub fn value_from_oxide_scale(on_oxide: Percent) -> Result<Worked<Percent>, AgronomyError> {
    let value = within(QUALITY, "nv_on_oxide", on_oxide.value(), "%", 0.0, 120.0)?;
    let factor = molar_mass("CaO")? / molar_mass("CaCO3")?;
    let result = value / factor;
    let working = Working::new("NV on CaCO3 = NV on CaO x M(CaCO3) / M(CaO)")
        .given("Neutralising value on CaO", value, "%")
        .step("neutralising value", format!("{value} / {factor:.4}"), result, "%")
        .source(source("rb209"))
        .source(source("atomic-weights"));
    Ok(Worked::new(Percent(result), working))
}

/// Mass of a compound that does the work of a mass of calcium carbonate.
///
/// # Units  any one unit of mass, in and out.
/// # Errors As [`theoretical_neutralising_value`]; `Refused` for a compound that neutralises nothing.
/// # Source `atomic-weights`.
pub fn mass_equal_to_carbonate(
    formula: &str,
    carbonate: f64,
) -> Result<Worked<f64>, AgronomyError> {
    let carbonate = not_negative(QUALITY, "caco3", carbonate, "")?;
    let nv = theoretical_neutralising_value(formula)?;
    let value = neutralises(nv.value.value())?;
    let mass = carbonate * 100.0 / value;
    let working = nv.working.step(
        &format!("mass of {formula}"),
        format!("{carbonate} x 100 / {value:.2}"),
        mass,
        "",
    );
    Ok(Worked::new(mass, working))
}

fn neutralises(value: f64) -> Result<f64, AgronomyError> {
    if value > 0.0 {
        return Ok(value);
    }
    Err(AgronomyError::Refused {
        operation: QUALITY,
        argument: "formula",
        why: "it neutralises nothing: no amount of it does the work of lime".to_owned(),
    })
}

/// What a lime is worth as it comes: its value, its fineness and its water together.
///
/// # Units  % of pure, fine, dry calcium carbonate.
/// # Errors `Argument` for a value outside 0 to 260, an efficiency or moisture outside 0 to 100.
/// # Source `rayment-lyons-2011`: efficiency x NV x (1 - moisture).
pub fn agricultural_value(
    nv: Percent,
    efficiency: Percent,
    moisture: Percent,
) -> Result<Worked<Percent>, AgronomyError> {
    let nv = within(QUALITY, "nv", nv.value(), "%", 0.0, 260.0)?;
    let efficiency = within(QUALITY, "efficiency", efficiency.value(), "%", 0.0, 100.0)?;
    let moisture = within(QUALITY, "moisture", moisture.value(), "%", 0.0, 100.0)?;
    let value = efficiency * nv * (1.0 - moisture / 100.0) / 100.0;
    let working = Working::new("agricultural value = efficiency x NV x (1 - moisture)")
        .given("Neutralising value", nv, "%")
        .given("Efficiency of fineness", efficiency, "%")
        .given("Moisture", moisture, "%")
        .step(
            "agricultural value",
            format!("{efficiency} x {nv} x (1 - {moisture} / 100) / 100"),
            value,
            "%",
        )
        .source(source("rayment-lyons-2011"));
    Ok(Worked::new(Percent(value), working))
}

/// Dose of a lime that does the work of a dose of pure, fine calcium carbonate.
///
/// # Errors `Argument` for a negative dose or a value that is not above 0.
/// # Source `penn-state-lawn-notes`: material = recommendation x 100 / effective %.
pub fn product_dose(pure: Dose, effective: Percent) -> Result<Worked<Dose>, AgronomyError> {
    let pure = not_negative(QUALITY, "pure", pure.value(), Dose::UNIT)?;
    let value = positive(QUALITY, "effective", effective.value(), "%")?;
    let dose = pure * 100.0 / value;
    let working = Working::new("material = pure calcium carbonate x 100 / effective value")
        .given("Pure calcium carbonate", pure, Dose::UNIT)
        .given("Effective value", value, "%")
        .step("material", format!("{pure} x 100 / {value}"), dose, Dose::UNIT)
        .source(source("penn-state-lawn-notes"));
    Ok(Worked::new(Dose(dose), working))
}

/// Dose of another lime that does the same work.
///
/// # Errors `Argument` for a negative dose or a value that is not above 0.
/// # Source `dpird-acidity`; the same quotient in `tri-state-1995`.
pub fn swap_lime(dose: Dose, from: Percent, to: Percent) -> Result<Worked<Dose>, AgronomyError> {
    let dose = not_negative(QUALITY, "dose", dose.value(), Dose::UNIT)?;
    let from = positive(QUALITY, "nv_from", from.value(), "%")?;
    let to = positive(QUALITY, "nv_to", to.value(), "%")?;
    let swapped = dose * from / to;
    let working = Working::new("dose of the other = dose x value of the one / value of the other")
        .given("Dose", dose, Dose::UNIT)
        .given("Value of the one", from, "%")
        .given("Value of the other", to, "%")
        .step("dose of the other", format!("{dose} x {from} / {to}"), swapped, Dose::UNIT)
        .source(source("dpird-acidity"))
        .source(source("tri-state-1995"));
    Ok(Worked::new(Dose(swapped), working))
}

/// Rate of a lime from the effective neutralising material that its label states.
///
/// # Units  need in lb ENM/acre and content in lb ENM/US ton, or any pair; returns tons/acre.
/// # Errors `Argument` for a negative need or a content that is not above 0.
/// # Source `missouri-enm`.
pub fn rate_from_neutralising_material(
    needed: f64,
    content: f64,
) -> Result<Worked<f64>, AgronomyError> {
    let needed = not_negative(QUALITY, "needed", needed, "lb ENM/acre")?;
    let content = positive(QUALITY, "material", content, "lb ENM/US ton")?;
    let rate = needed / content;
    let working = Working::new("rate = need / content")
        .given("Effective neutralising material needed", needed, "lb ENM/acre")
        .given("Content of the material", content, "lb ENM/US ton")
        .step("rate", format!("{needed} / {content}"), rate, "US ton/acre")
        .source(source("missouri-enm"));
    Ok(Worked::new(rate, working))
}

/// Carbon dioxide that a mass of calcium carbonate lets go when it has all reacted.
///
/// # Units  any one unit of mass, in and out.
/// # Errors `Argument` for a negative mass.
/// # Source `rayment-lyons-2011`: 0.44; computed from `atomic-weights`.
pub fn carbon_dioxide_from(carbonate: f64) -> Result<Worked<f64>, AgronomyError> {
    let mass = not_negative(QUALITY, "caco3", carbonate, "")?;
    let share = molar_mass("CO2")? / molar_mass("CaCO3")?;
    let gas = mass * share;
    let working = Working::new("CO2 = CaCO3 x M(CO2) / M(CaCO3)")
        .given("Calcium carbonate", mass, "")
        .step("carbon dioxide", format!("{mass} x {share:.4}"), gas, "")
        .source(source("rayment-lyons-2011"))
        .source(source("atomic-weights"));
    Ok(Worked::new(gas, working))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value_of(formula: &str) -> f64 {
        theoretical_neutralising_value(formula).unwrap().value.value()
    }

    #[test]
    fn compounds_that_make_no_change_or_acid() {
        // penn-state-aglime: gypsum and magnesium sulfate do not lime, acidity change 0.
        assert!(value_of("CaSO4.2H2O").abs() < 1e-9, "gypsum");
        assert!(value_of("MgSO4.7H2O").abs() < 1e-9, "Epsom salt");
        assert!(value_of("KCl").abs() < 1e-9, "muriate of potash");
        // sulfur-carbonate-newsletter: 312 lb for 100 lb of sulfur.
        assert!((value_of("S") + 312.0).abs() < 0.3, "sulfur {}", value_of("S"));
        // rhs-acidifying: iron sulfate does an eighth of the work of sulfur, near 9 by formula.
        let ratio = value_of("S") / value_of("FeSO4.7H2O");
        assert!((8.0..9.0).contains(&ratio), "iron sulfate: {ratio}");
        assert_eq!(
            theoretical_neutralising_value("CO(NH2)2").unwrap_err().argument(),
            "formula",
            "urea's acidity is the soil's doing"
        );
        assert!(mass_equal_to_carbonate("CaSO4.2H2O", 1.0).is_err(), "no gypsum replaces lime");
    }

    #[test]
    fn the_oxide_scale() {
        // rb209: limestone 50 to 55 on oxide; divided by 0.5603.
        let value = value_from_oxide_scale(Percent(54.0)).unwrap().value.value();
        assert!((value - 54.0 / 0.5603).abs() < 0.01, "{value}");
        assert!((value_of("CaSiO3") - 86.2).abs() < 0.1, "a silicate limes as its oxide does");
    }

    #[test]
    fn nothing_is_divided_by_a_lime_that_is_worth_nothing() {
        assert_eq!(
            product_dose(Dose(10.0), Percent(0.0)).unwrap_err().argument(),
            "effective",
            "named"
        );
        assert!(agricultural_value(Percent(95.0), Percent(101.0), Percent(0.0)).is_err(), "share");
    }
}
