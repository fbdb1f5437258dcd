//! Indices that need a second reading: phosphorus by another extractant or by sorption, manganese
//! by acidity.

use swardbook_units::{Content, Ph, Worked, Working};

use crate::{
    AgronomyError,
    error::{not_negative, positive, within},
    source,
};

/// Bray-1 phosphorus from Mehlich-3 by plasma emission, in one state.
///
/// # Errors `Argument` for a negative reading, `Refused` where the line falls below zero.
/// # Source `ohio-p-tests`: -8.08 + 0.832 x Mehlich-3.
pub fn bray_1_from_mehlich_3(mehlich_3: Content) -> Result<Worked<Content>, AgronomyError> {
    const OPERATION: &str = "Bray-1 from Mehlich-3";
    let p = not_negative(OPERATION, "p_mehlich_3", mehlich_3.value(), Content::UNIT)?;
    let bray = -8.08 + 0.832 * p;
    if bray < 0.0 {
        return Err(AgronomyError::Refused {
            operation: OPERATION,
            argument: "p_mehlich_3",
            why: format!("at {p} mg/kg the line falls below zero; it holds above 9.7 mg/kg"),
        });
    }
    let working = Working::new("Bray-1 = -8.08 + 0.832 x Mehlich-3")
        .given("Phosphorus, Mehlich-3 by plasma emission", p, Content::UNIT)
        .step("phosphorus, Bray-1", format!("-8.08 + 0.832 x {p}"), bray, Content::UNIT)
        .source(source("ohio-p-tests"))
        .caution("One state's regression: information only, never a reading to judge by.")
        .caution("Read by colour, Mehlich-3 phosphorus lies up to 20 % lower.");
    Ok(Worked::new(Content(bray), working))
}

/// Critical Colwell phosphorus of pasture from the phosphorus buffering index.
///
/// # Errors `Argument` when the index is outside 0 to 840.
/// # Source `gourley-2007`, from memory: 19.6 + 1.1 PBI^0.55.
pub fn critical_colwell_p(buffering_index: f64) -> Result<Worked<Content>, AgronomyError> {
    let pbi = within("critical Colwell phosphorus", "pbi", buffering_index, "", 0.0, 840.0)?;
    let critical = 19.6 + 1.1 * pbi.powf(0.55);
    let working = Working::new("critical Colwell P = 19.6 + 1.1 x PBI^0.55")
        .given("Phosphorus buffering index", pbi, "")
        .step("critical phosphorus", format!("19.6 + 1.1 x {pbi}^0.55"), critical, Content::UNIT)
        .source(source("gourley-2007"))
        .caution("Set for grazed pasture, not for turf.");
    Ok(Worked::new(Content(critical), working))
}

/// How available manganese is, from its reading and the acidity.
///
/// # Errors `Argument` for a negative reading or a pH outside 1.8 to 12.5.
/// # Source `rutgers-levels`: 101.7 + 3.75 Mn - 15.2 pH; critical 25, high 100.
pub fn manganese_index(mehlich_3: Content, ph_water: Ph) -> Result<Worked<f64>, AgronomyError> {
    const OPERATION: &str = "manganese index";
    let mn = not_negative(OPERATION, "mn_mehlich_3", mehlich_3.value(), Content::UNIT)?;
    let ph = within(OPERATION, "ph_water", ph_water.value(), "pH", 1.8, 12.5)?;
    let index = 101.7 + 3.75 * mn - 15.2 * ph;
    let working = Working::new("index = 101.7 + 3.75 Mn - 15.2 pH")
        .given("Manganese, Mehlich-3", mn, Content::UNIT)
        .given("pH in water", ph, "pH")
        .step("index", format!("101.7 + 3.75 x {mn} - 15.2 x {ph}"), index, "")
        .source(source("rutgers-levels"))
        .caution("Below 25 is critical, above 100 high.");
    Ok(Worked::new(index, working))
}

/// One sign that phosphorus may leave the ground with water.
#[derive(Debug, Clone, PartialEq)]
pub struct PhosphorusLoss {
    /// The ratio worked out.
    pub ratio: f64,
    /// The published level above which loss is a risk.
    pub risk_above: f64,
    /// Whether the ratio lies above it.
    pub at_risk: bool,
}

/// Saturation of the ground with phosphorus, from Mehlich-3 readings.
///
/// # Errors `Argument` naming the reading that is negative, or when there is neither iron nor
/// aluminium.
/// # Source `rayment-lyons-2011`: molar P / (Fe + Al) above 0.2.
pub fn phosphorus_saturation(
    phosphorus: Content,
    iron: Content,
    aluminium: Content,
) -> Result<Worked<PhosphorusLoss>, AgronomyError> {
    const OPERATION: &str = "phosphorus loss";
    const RISK: f64 = 0.2;
    let p = not_negative(OPERATION, "p_mehlich_3", phosphorus.value(), Content::UNIT)?;
    let fe = not_negative(OPERATION, "fe_mehlich_3", iron.value(), Content::UNIT)?;
    let al = not_negative(OPERATION, "al_mehlich_3", aluminium.value(), Content::UNIT)?;
    let molar = |element: &str, content: f64| {
        crate::elements::molar_mass(element).map(|mass| content / mass)
    };
    let sorbing =
        positive(OPERATION, "al_mehlich_3", molar("Fe", fe)? + molar("Al", al)?, "mmol/kg")?;
    let ratio = molar("P", p)? / sorbing;
    let working = Working::new("saturation = (P / 30.97) / (Fe / 55.85 + Al / 26.98)")
        .given("Phosphorus, Mehlich-3", p, Content::UNIT)
        .given("Iron, Mehlich-3", fe, Content::UNIT)
        .given("Aluminium, Mehlich-3", al, Content::UNIT)
        .step("molar ratio", format!("{:.4} / {sorbing:.4}", ratio * sorbing), ratio, "")
        .source(source("rayment-lyons-2011"))
        .source(source("atomic-weights"))
        .caution("Above 0.2 phosphorus is likely to be lost to water: add none without need.");
    Ok(Worked::new(PhosphorusLoss { ratio, risk_above: RISK, at_risk: ratio > RISK }, working))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_not_followed_below_zero() {
        let error = bray_1_from_mehlich_3(Content(5.0)).unwrap_err();
        assert!(matches!(error, AgronomyError::Refused { .. }), "{error}");
        assert_eq!(error.argument(), "p_mehlich_3", "named");
    }

    #[test]
    fn phosphorus_is_counted_by_moles() {
        // 30.97 mg P against 269.8 mg Al is one mole to ten.
        let loss =
            phosphorus_saturation(Content(30.973_76), Content(0.0), Content(269.8154)).unwrap();
        assert!((loss.value.ratio - 0.1).abs() < 1e-9, "{loss:?}");
        assert!(!loss.value.at_risk, "below 0.2");
        assert!(
            phosphorus_saturation(Content(1.0), Content(0.0), Content(0.0)).is_err(),
            "nothing to hold it"
        );
    }
}
