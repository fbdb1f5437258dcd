//! Exchangeable cations: their sum, their shares and their ratios, as facts.
//!
//! Ratios are described, never scored: the review of "ideal" ratios found no support for them.
//! This module does not own gypsum or lime need.

use swardbook_units::{Charge, Percent, Worked, Working};

use crate::{
    AgronomyError,
    error::{not_negative, positive},
    source,
};

/// The caution that stands beside every cation ratio.
///
/// # Source `kopittke-menzies-2007`, `menzies-2019`, `thompson-2023`.
pub const RATIO_CAUTION: &str = "Shares and ratios of cations are facts of the reading, not \
    targets: a review of \"ideal\" ratios found no support for them, and for turf the amount of \
    each nutrient is what counts.";

/// Exchangeable cations of one extraction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ExchangeableCations {
    /// Calcium.
    pub calcium: Charge,
    /// Magnesium.
    pub magnesium: Charge,
    /// Potassium.
    pub potassium: Charge,
    /// Sodium.
    pub sodium: Charge,
    /// Aluminium, where it was measured.
    pub aluminium: Option<Charge>,
    /// Hydrogen, where it was measured.
    pub hydrogen: Option<Charge>,
    /// Manganese, where it was measured; one state counts it.
    pub manganese: Option<Charge>,
}

/// What the shares are shares of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Capacity {
    /// The exchange capacity that the laboratory measured.
    Reported(Charge),
    /// The sum of the exchangeable cations themselves.
    SumOfCations,
}

/// Sum, shares and ratios of the exchangeable cations.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CationSummary {
    /// Calcium, magnesium, potassium and sodium together.
    pub bases: Charge,
    /// Effective exchange capacity: bases and exchangeable acidity.
    pub ecec: Charge,
    /// What the shares below are taken of.
    pub capacity: Charge,
    /// Share of the capacity that calcium holds.
    pub calcium_share: Percent,
    /// Share of the capacity that magnesium holds.
    pub magnesium_share: Percent,
    /// Share of the capacity that potassium holds.
    pub potassium_share: Percent,
    /// Share of the capacity that sodium holds.
    pub esp: Percent,
    /// Share of the capacity that the four bases hold.
    pub base_saturation: Percent,
    /// Share of the effective capacity that aluminium holds, where it was measured.
    pub aluminium_saturation: Option<Percent>,
    /// Calcium to magnesium, by charge, where there is magnesium.
    pub calcium_to_magnesium: Option<f64>,
    /// Magnesium to potassium, by charge, where there is potassium.
    pub magnesium_to_potassium: Option<f64>,
}

const CATIONS: &str = "cations";

/// Sum, shares and ratios of exchangeable cations.
///
/// # Errors `Argument` naming the cation that is negative, or a capacity that is not above zero.
/// # Source `rayment-lyons-2011`; manganese in the sum after `nsw-acidity-2021`.
pub fn cation_summary(
    cations: &ExchangeableCations,
    capacity: Capacity,
) -> Result<Worked<CationSummary>, AgronomyError> {
    let ca = not_negative(CATIONS, "ca", cations.calcium.value(), Charge::UNIT)?;
    let mg = not_negative(CATIONS, "mg", cations.magnesium.value(), Charge::UNIT)?;
    let k = not_negative(CATIONS, "k", cations.potassium.value(), Charge::UNIT)?;
    let na = not_negative(CATIONS, "na", cations.sodium.value(), Charge::UNIT)?;
    let mut working = Working::new("ECEC = Ca + Mg + K + Na + Al + H (+ Mn)")
        .given("Calcium", ca, Charge::UNIT)
        .given("Magnesium", mg, Charge::UNIT)
        .given("Potassium", k, Charge::UNIT)
        .given("Sodium", na, Charge::UNIT)
        .source(source("rayment-lyons-2011"));
    working.equation.push("share = 100 x cation / capacity".to_owned());
    let bases = ca + mg + k + na;
    let mut ecec = bases;
    let mut sum = format!("{ca} + {mg} + {k} + {na}");
    for (argument, name, charge) in [
        ("al", "Aluminium", cations.aluminium),
        ("h", "Hydrogen", cations.hydrogen),
        ("mn", "Manganese", cations.manganese),
    ] {
        let Some(charge) = charge else { continue };
        let value = not_negative(CATIONS, argument, charge.value(), Charge::UNIT)?;
        ecec += value;
        sum.push_str(&format!(" + {value}"));
        working = working.given(name, value, Charge::UNIT);
        if argument == "mn" {
            working = working.source(source("nsw-acidity-2021"));
        }
    }
    working = working.step("effective exchange capacity", sum, ecec, Charge::UNIT);
    if cations.aluminium.is_none() && cations.hydrogen.is_none() {
        working = working.caution(
            "No exchangeable acidity was given: on acid ground the effective capacity is larger.",
        );
    }
    let divisor = match capacity {
        Capacity::Reported(cec) => {
            let cec = positive(CATIONS, "cec", cec.value(), Charge::UNIT)?;
            working = working.given("Exchange capacity as reported", cec, Charge::UNIT);
            cec
        }
        Capacity::SumOfCations => positive(CATIONS, "ca", ecec, Charge::UNIT)?,
    };
    let share = |charge: f64| Percent(100.0 * charge / divisor);
    let aluminium_saturation =
        cations.aluminium.filter(|_| ecec > 0.0).map(|al| Percent(100.0 * al.value() / ecec));
    let summary = CationSummary {
        bases: Charge(bases),
        ecec: Charge(ecec),
        capacity: Charge(divisor),
        calcium_share: share(ca),
        magnesium_share: share(mg),
        potassium_share: share(k),
        esp: share(na),
        base_saturation: share(bases),
        aluminium_saturation,
        calcium_to_magnesium: ratio(ca, mg),
        magnesium_to_potassium: ratio(mg, k),
    };
    for (name, charge, percent) in [
        ("calcium share", ca, summary.calcium_share),
        ("magnesium share", mg, summary.magnesium_share),
        ("potassium share", k, summary.potassium_share),
        ("exchangeable sodium percentage", na, summary.esp),
        ("base saturation", bases, summary.base_saturation),
    ] {
        let arithmetic = format!("100 x {charge} / {divisor}");
        working = working.step(name, arithmetic, percent.value(), "%");
    }
    if let (Some(al), Some(saturation)) = (cations.aluminium, aluminium_saturation) {
        let arithmetic = format!("100 x {} / {ecec}", al.value());
        working = working.step("aluminium saturation", arithmetic, saturation.value(), "%");
    }
    if let Some(value) = summary.calcium_to_magnesium {
        working = working.step("calcium to magnesium", format!("{ca} / {mg}"), value, "");
    }
    if let Some(value) = summary.magnesium_to_potassium {
        working = working.step("magnesium to potassium", format!("{mg} / {k}"), value, "");
    }
    working = working
        .source(source("kopittke-menzies-2007"))
        .source(source("menzies-2019"))
        .source(source("thompson-2023"))
        .caution(RATIO_CAUTION)
        .caution(
            "Soluble salts count as exchangeable sodium (EC 1:5 above about 0.3 dS/m), and gypsum \
             or carbonate as exchangeable calcium.",
        );
    Ok(Worked::new(summary, working))
}

fn ratio(a: f64, b: f64) -> Option<f64> {
    (b > 0.0).then(|| a / b)
}

/// Exchange capacity from a titration.
///
/// # Units  soil in g, titrant in mL, strength in eq/L; returns cmol/kg.
/// # Errors `Argument` naming what is not above zero.
/// # Source `definition`.
pub fn cec_by_titration(
    soil_g: f64,
    titrant_ml: f64,
    normality: f64,
) -> Result<Worked<Charge>, AgronomyError> {
    let soil = positive(CATIONS, "soil", soil_g, "g")?;
    let titrant = not_negative(CATIONS, "titrant", titrant_ml, "mL")?;
    let strength = positive(CATIONS, "normality", normality, "eq/L")?;
    // mL x eq/L is meq; a hundred grams of soil is the old basis of the same number.
    let cec = titrant * strength * 100.0 / soil;
    let working = Working::new("CEC = titrant x strength x 100 / soil")
        .given("Soil", soil, "g")
        .given("Titrant", titrant, "mL")
        .given("Strength", strength, "eq/L")
        .step("exchange capacity", format!("{titrant} x {strength} x 100 / {soil}"), cec, "cmol/kg")
        .source(source("definition"));
    Ok(Worked::new(Charge(cec), working))
}

/// The rating of an exchange capacity.
///
/// # Errors `Argument` for a negative capacity.
/// # Source `rayment-lyons-2011`: under 5 low, 15 to 25 medium, above 25 high; between 5 and 15 the
/// source gives no name.
pub fn cec_rating(cec: Charge) -> Result<Worked<&'static str>, AgronomyError> {
    let value = not_negative(CATIONS, "cec", cec.value(), Charge::UNIT)?;
    let rating = match value {
        v if v < 5.0 => "low",
        v if v < 15.0 => "between low and medium",
        v if v <= 25.0 => "medium",
        _ => "high",
    };
    let working = Working::new("rating of exchange capacity: 5, 15 and 25 cmol/kg")
        .given("Exchange capacity", value, Charge::UNIT)
        .source(source("rayment-lyons-2011"));
    Ok(Worked::new(rating, working))
}

/// The rating of a base saturation.
///
/// # Errors `Argument` for a negative share.
/// # Source `rayment-lyons-2011`: under 20 low, 20 to 60 medium, above 60 high.
pub fn base_saturation_rating(share: Percent) -> Result<Worked<&'static str>, AgronomyError> {
    let value = not_negative(CATIONS, "base_saturation", share.value(), "%")?;
    let rating = match value {
        v if v < 20.0 => "low",
        v if v <= 60.0 => "medium",
        _ => "high",
    };
    let working = Working::new("rating of base saturation: 20 and 60 %")
        .given("Base saturation", value, "%")
        .source(source("rayment-lyons-2011"))
        .caution(RATIO_CAUTION);
    Ok(Worked::new(rating, working))
}

#[cfg(test)]
mod tests {
    use super::*;

    const BASES: ExchangeableCations = ExchangeableCations {
        calcium: Charge(3.0),
        magnesium: Charge(1.0),
        potassium: Charge(0.5),
        sodium: Charge(0.5),
        aluminium: None,
        hydrogen: None,
        manganese: None,
    };

    #[test]
    fn shares_are_of_the_named_capacity() {
        let own = cation_summary(&BASES, Capacity::SumOfCations).unwrap().value;
        assert!((own.base_saturation.value() - 100.0).abs() < 1e-9, "all of their own sum");
        let reported = cation_summary(&BASES, Capacity::Reported(Charge(10.0))).unwrap().value;
        assert!((reported.base_saturation.value() - 50.0).abs() < 1e-9, "half of the reported");
        assert!((reported.esp.value() - 5.0).abs() < 1e-9, "sodium of the reported");
    }

    #[test]
    fn the_criticism_of_ratios_stands_beside_every_ratio() {
        let worked = cation_summary(&BASES, Capacity::SumOfCations).unwrap().working;
        assert!(worked.cautions.iter().any(|c| c == RATIO_CAUTION), "{:?}", worked.cautions);
        assert!(worked.sources.iter().any(|s| s.key == "kopittke-menzies-2007"), "with its source");
    }

    #[test]
    fn an_impossible_cation_is_named_and_a_missing_divisor_gives_no_ratio() {
        let negative = ExchangeableCations { aluminium: Some(Charge(-1.0)), ..BASES };
        let error = cation_summary(&negative, Capacity::SumOfCations).unwrap_err();
        assert_eq!(error.argument(), "al", "{error}");
        let none = ExchangeableCations { magnesium: Charge(0.0), ..BASES };
        let summary = cation_summary(&none, Capacity::SumOfCations).unwrap().value;
        assert_eq!(summary.calcium_to_magnesium, None, "nothing to divide by");
    }
}
