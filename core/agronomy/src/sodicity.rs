//! Sodicity: exchangeable sodium percentage, the sodium adsorption ratio, dispersion.

use swardbook_units::{Charge, Conductivity, Percent, Ph, Worked, Working};

use crate::{
    AgronomyError,
    error::{not_negative, positive, within},
    source,
};

const SODICITY: &str = "sodicity";

/// Share of the exchange capacity that sodium holds.
///
/// # Errors `Argument` for a negative sodium or a capacity that is not above zero.
/// # Source `rayment-lyons-2011`: ESP = 100 Na / CEC.
pub fn esp(sodium: Charge, cec: Charge) -> Result<Worked<Percent>, AgronomyError> {
    let na = not_negative(SODICITY, "na", sodium.value(), Charge::UNIT)?;
    let cec = positive(SODICITY, "cec", cec.value(), Charge::UNIT)?;
    let share = 100.0 * na / cec;
    let working = Working::new("ESP = 100 x Na / CEC")
        .given("Exchangeable sodium", na, Charge::UNIT)
        .given("Cation exchange capacity", cec, Charge::UNIT)
        .step("exchangeable sodium percentage", format!("100 x {na} / {cec}"), share, "%")
        .source(source("rayment-lyons-2011"))
        .caution(
            "Soluble salts count as exchangeable sodium: above an EC 1:5 of about 0.3 dS/m ask \
             for a washed sample.",
        );
    Ok(Worked::new(Percent(share), working))
}

/// Exchangeable sodium percentage estimated from the sodium adsorption ratio of the saturated
/// extract.
///
/// # Units  (mmol/L)^0.5 in.
/// # Errors `Argument` for a ratio outside 0 to 1000.
/// # Source `queensland-salinity-2011`, equation 43: 100 x / (1 + x), x = -0.0126 + 0.01475 SAR.
pub fn esp_from_sar(sar: f64) -> Result<Worked<Percent>, AgronomyError> {
    let sar = within(SODICITY, "sar", sar, "(mmol/L)^0.5", 0.0, 1000.0)?;
    let x = -0.0126 + 0.01475 * sar;
    // Below a ratio of 0.85 the line is negative, which no soil is.
    let share = (100.0 * x / (1.0 + x)).max(0.0);
    let mut working = Working::new("ESP = 100 x / (1 + x), x = -0.0126 + 0.01475 SAR")
        .given("Sodium adsorption ratio", sar, "(mmol/L)^0.5")
        .step("x", format!("-0.0126 + 0.01475 x {sar}"), x, "")
        .step("exchangeable sodium percentage", format!("100 x {x:.5} / (1 + {x:.5})"), share, "%")
        .source(source("queensland-salinity-2011"))
        .caution("Estimated from a solution, not measured on the soil.");
    if x < 0.0 {
        working = working.caution("The line is below zero at so low a ratio; taken as zero.");
    }
    Ok(Worked::new(Percent(share), working))
}

/// Sodium adsorption ratio of a solution.
///
/// # Units  mmol of charge for each L in, (mmol/L)^0.5 out.
/// # Errors `Argument` for negative contents or no calcium and magnesium.
/// # Source `richards-1954`, from memory: Na / sqrt((Ca + Mg) / 2).
pub fn sodium_adsorption_ratio(
    sodium: f64,
    calcium: f64,
    magnesium: f64,
) -> Result<Worked<f64>, AgronomyError> {
    const UNIT: &str = "mmol(+)/L";
    let na = not_negative(SODICITY, "na", sodium, UNIT)?;
    let ca = not_negative(SODICITY, "ca", calcium, UNIT)?;
    let mg = not_negative(SODICITY, "mg", magnesium, UNIT)?;
    let divalent = positive(SODICITY, "ca", ca + mg, UNIT)?;
    let sar = na / (divalent / 2.0).sqrt();
    let working = Working::new("SAR = Na / sqrt((Ca + Mg) / 2)")
        .given("Sodium", na, UNIT)
        .given("Calcium", ca, UNIT)
        .given("Magnesium", mg, UNIT)
        .step("ratio", format!("{na} / sqrt({divalent} / 2)"), sar, "(mmol/L)^0.5")
        .source(source("richards-1954"));
    Ok(Worked::new(sar, working))
}

/// Class of exchangeable sodium as used in Australia.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SodicityClass {
    /// Below 6 %.
    NonSodic,
    /// 6 to 15 %.
    Sodic,
    /// Above 15 %.
    StronglySodic,
}

impl SodicityClass {
    /// Name in words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::NonSodic => "non-sodic",
            Self::Sodic => "sodic",
            Self::StronglySodic => "strongly sodic",
        }
    }
}

/// The Australian class of an exchangeable sodium percentage.
///
/// # Errors `Argument` for a share outside 0 to 100.
/// # Source `rayment-lyons-2011`: under 6 non-sodic, 6 to 15 sodic, above 15 strongly sodic.
pub fn sodicity_class(esp: Percent) -> Result<Worked<SodicityClass>, AgronomyError> {
    let share = within(SODICITY, "esp", esp.value(), "%", 0.0, 100.0)?;
    let class = match share {
        s if s < 6.0 => SodicityClass::NonSodic,
        s if s <= 15.0 => SodicityClass::Sodic,
        _ => SodicityClass::StronglySodic,
    };
    let working = Working::new("class whose range holds ESP: 6 and 15 %")
        .given("Exchangeable sodium percentage", share, "%")
        .source(source("rayment-lyons-2011"))
        .caution("A jar of water and a crumb of soil settles dispersion better than a ratio.");
    Ok(Worked::new(class, working))
}

/// Class of salt-affected soil as used in the United States.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SaltAffected {
    /// Neither.
    Normal,
    /// `ECe` above 4, sodium below 15 %, pH below 8.5.
    Saline,
    /// `ECe` below 4, sodium above 15 %, pH above 8.5.
    Sodic,
    /// `ECe` above 4, sodium above 15 %.
    SalineSodic,
    /// The three readings do not fall in one class of the table.
    Unclassed,
}

impl SaltAffected {
    /// Name in words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Normal => "neither saline nor sodic",
            Self::Saline => "saline",
            Self::Sodic => "sodic",
            Self::SalineSodic => "saline and sodic",
            Self::Unclassed => "between the classes of the table",
        }
    }
}

/// The United States class of a soil by its saturated extract, sodium share and acidity.
///
/// # Errors `Argument` for readings that cannot be.
/// # Source `kansas-saline-sodic`; 15 % sodium also as SAR 13 (`nrcs-sar`).
pub fn salt_affected_class(
    ece: Conductivity,
    esp: Percent,
    ph_water: Ph,
) -> Result<Worked<SaltAffected>, AgronomyError> {
    let ece = not_negative(SODICITY, "ece", ece.value(), Conductivity::UNIT)?;
    let esp = within(SODICITY, "esp", esp.value(), "%", 0.0, 100.0)?;
    let ph = within(SODICITY, "ph_water", ph_water.value(), "pH", 1.8, 12.5)?;
    let class = match (ece > 4.0, esp > 15.0, ph > 8.5) {
        (true, true, _) => SaltAffected::SalineSodic,
        (true, false, false) => SaltAffected::Saline,
        (false, true, true) => SaltAffected::Sodic,
        (false, false, false) => SaltAffected::Normal,
        _ => SaltAffected::Unclassed,
    };
    let working = Working::new("ECe against 4 dS/m, ESP against 15 %, pH against 8.5")
        .given("ECe", ece, Conductivity::UNIT)
        .given("Exchangeable sodium percentage", esp, "%")
        .given("pH in water", ph, "pH")
        .source(source("kansas-saline-sodic"))
        .source(source("nrcs-sar"));
    Ok(Worked::new(class, working))
}

/// What is known of the ground for the signs of dispersion.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DispersionEvidence {
    /// Exchangeable sodium percentage.
    pub esp: Option<Percent>,
    /// Calcium to magnesium, by charge.
    pub calcium_to_magnesium: Option<f64>,
    /// Organic carbon.
    pub organic_carbon: Option<Percent>,
    /// Conductivity, 1:5.
    pub ec: Option<Conductivity>,
}

/// One sign that makes dispersion more likely: what was seen, and whether it points that way.
#[derive(Debug, Clone, PartialEq)]
pub struct DispersionSign {
    /// The sign in words, such as `ESP above 6 %`.
    pub sign: &'static str,
    /// The value seen.
    pub value: f64,
    /// Whether it points to dispersion.
    pub points_that_way: bool,
}

/// The published signs that were measured, each by itself; they are not added up to a score.
///
/// # Source `dpird-sodic`: ESP above 6, Ca:Mg below 2, organic carbon below 1 %, EC 1:5 below 0.2.
#[must_use]
pub fn dispersion_signs(evidence: &DispersionEvidence) -> Worked<Vec<DispersionSign>> {
    let mut working = Working::new("each sign by itself; none is a verdict")
        .source(source("dpird-sodic"))
        .source(source("rengasamy-1986"))
        .caution("A jar of water and a crumb of soil settles dispersion better than a ratio.");
    let mut signs = Vec::new();
    let rows = [
        ("ESP above 6 %", evidence.esp.map(Percent::value), 6.0, true, "%"),
        ("Ca:Mg below 2", evidence.calcium_to_magnesium, 2.0, false, ""),
        ("organic carbon below 1 %", evidence.organic_carbon.map(Percent::value), 1.0, false, "%"),
        (
            "EC 1:5 below 0.2 dS/m",
            evidence.ec.map(Conductivity::value),
            0.2,
            false,
            Conductivity::UNIT,
        ),
    ];
    for (sign, value, limit, above, unit) in rows {
        if let Some(value) = value.filter(|v| v.is_finite()) {
            let points_that_way = if above { value > limit } else { value < limit };
            working = working.given(sign, value, unit);
            signs.push(DispersionSign { sign, value, points_that_way });
        }
    }
    Worked::new(signs, working)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sodium_classes_at_their_ends() {
        for (share, class) in [
            (5.99, SodicityClass::NonSodic),
            (6.0, SodicityClass::Sodic),
            (12.0, SodicityClass::Sodic),
            (15.0, SodicityClass::Sodic),
            (15.1, SodicityClass::StronglySodic),
        ] {
            assert_eq!(sodicity_class(Percent(share)).unwrap().value, class, "{share} %");
        }
    }

    #[test]
    fn salt_affected_classes_of_the_table() {
        let class = |ece, share, ph| {
            salt_affected_class(Conductivity(ece), Percent(share), Ph(ph)).unwrap().value
        };
        assert_eq!(class(6.0, 10.0, 8.0), SaltAffected::Saline, "salt only");
        assert_eq!(class(2.0, 20.0, 9.0), SaltAffected::Sodic, "sodium only");
        assert_eq!(class(6.0, 20.0, 8.0), SaltAffected::SalineSodic, "both");
        assert_eq!(class(1.0, 3.0, 6.5), SaltAffected::Normal, "neither");
        assert_eq!(class(2.0, 20.0, 7.0), SaltAffected::Unclassed, "sodium without alkali");
    }

    #[test]
    fn a_low_ratio_is_not_a_negative_share() {
        let low = esp_from_sar(0.5).unwrap();
        assert!(low.value.value().abs() < 1e-12, "{low:?}");
        assert!(low.working.cautions.iter().any(|c| c.contains("taken as zero")), "said");
        assert_eq!(esp_from_sar(-1.0).unwrap_err().argument(), "sar", "refused by name");
    }

    #[test]
    fn only_measured_signs_are_listed() {
        let signs = dispersion_signs(&DispersionEvidence {
            esp: Some(Percent(8.0)),
            calcium_to_magnesium: Some(3.0),
            organic_carbon: None,
            ec: None,
        })
        .value;
        assert_eq!(signs.len(), 2, "two were measured");
        assert!(signs[0].points_that_way, "sodium does");
        assert!(!signs[1].points_that_way, "calcium to magnesium does not");
    }
}
