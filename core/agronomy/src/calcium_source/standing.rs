//! Where a reading stands, as the choice of a calcium source takes it.

use swardbook_units::{Percent, Ph, Worked, Working};

use crate::{
    AgronomyError,
    acidity::{AcidityScale, ScaledPh},
    error::{not_negative, within},
    interpret::Verdict,
    source,
};

const STANDING: &str = "calcium source";

/// A nutrient against its guideline.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Standing {
    /// Likely below its limit.
    Short,
    /// Likely at or above it.
    Enough,
    /// Cannot be told from its limit.
    Borderline,
    /// Was not read.
    Unknown,
}

impl From<Verdict> for Standing {
    fn from(verdict: Verdict) -> Self {
        match verdict {
            Verdict::Short => Self::Short,
            Verdict::Enough | Verdict::High => Self::Enough,
            Verdict::Marginal | Verdict::CannotTell => Self::Borderline,
        }
    }
}

/// The pH against its target.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum AcidityStanding {
    /// Below the target by more than its uncertainty.
    Acid,
    /// At the target within its uncertainty.
    Borderline,
    /// Above the target.
    NotAcid,
    /// Above neutral.
    Alkaline,
    /// Was not read.
    Unknown,
}

/// The sodium of the exchange.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SodiumStanding {
    /// 6 % or more.
    Sodic,
    /// Less.
    NotSodic,
    /// At 6 % within its uncertainty.
    Borderline,
    /// Was not read.
    Unknown,
}

/// Upper end of neutral in water.
///
/// # Source `rayment-lyons-2011`: neutral 6.6 to 7.3.
const NEUTRAL_TO: f64 = 7.3;

/// Where a pH stands against its target.
///
/// # Units  `half_width`: half of the interval of the reading, pH.
/// # Errors `Argument` for a pH or half-width that cannot be.
/// # Source `rayment-lyons-2011` for the end of neutral.
pub fn acidity_standing(
    ph: ScaledPh,
    target: ScaledPh,
    half_width: f64,
) -> Result<Worked<AcidityStanding>, AgronomyError> {
    let half_width = not_negative(STANDING, "half_width", half_width, "pH")?;
    let wanted = target.on(ph.scale)?;
    let value = within(STANDING, "ph", ph.ph.value(), "pH", 1.8, 12.5)?;
    // A target that had to be converted brings the conversion's own spread, which has nothing to do
    // with the reading's: independent parts add by their squares (JCGM 100:2008, 5.1.2).
    let half_width = half_width.hypot(wanted.value.half_width);
    let target = wanted.value.ph.value();
    let in_water = ph.on(AcidityScale::Water)?.value.ph.value();
    let standing = if value < target - half_width {
        AcidityStanding::Acid
    } else if value < target + half_width {
        AcidityStanding::Borderline
    } else if in_water > NEUTRAL_TO {
        AcidityStanding::Alkaline
    } else {
        AcidityStanding::NotAcid
    };
    let working = Working::new("acid where pH + half-width is below the target")
        .given("pH", value, ph.scale.name())
        .given("Half-width of the reading", half_width, "pH")
        .step("target on the same scale", format!("{target:.2}"), target, ph.scale.name())
        .step("in water", format!("{in_water:.2}"), in_water, Ph::UNIT)
        .source(source("rayment-lyons-2011"));
    Ok(Worked::new(standing, working))
}

/// Where the sodium of the exchange stands against 6 %.
///
/// # Units  `half_width`: half of the interval of the share, %.
/// # Errors `Argument` for a share or half-width that cannot be.
/// # Source `rayment-lyons-2011`: sodic from 6 %.
pub fn sodium_standing(
    esp: Percent,
    half_width: f64,
) -> Result<Worked<SodiumStanding>, AgronomyError> {
    let share = within(STANDING, "esp", esp.value(), "%", 0.0, 100.0)?;
    let half_width = not_negative(STANDING, "half_width", half_width, "%")?;
    let standing = if share - half_width >= 6.0 {
        SodiumStanding::Sodic
    } else if share + half_width < 6.0 {
        SodiumStanding::NotSodic
    } else {
        SodiumStanding::Borderline
    };
    let working = Working::new("sodic where ESP - half-width is 6 % or more")
        .given("Exchangeable sodium percentage", share, "%")
        .given("Half-width of the share", half_width, "%")
        .source(source("rayment-lyons-2011"));
    Ok(Worked::new(standing, working))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn acidity_against_its_target() {
        let at = |ph, half_width| {
            acidity_standing(ScaledPh::water(ph), ScaledPh::water(6.2), half_width).unwrap().value
        };
        assert_eq!(at(5.5, 0.2), AcidityStanding::Acid, "well below");
        assert_eq!(at(6.05, 0.2), AcidityStanding::Borderline, "within");
        assert_eq!(at(6.35, 0.2), AcidityStanding::Borderline, "within, above");
        assert_eq!(at(6.6, 0.2), AcidityStanding::NotAcid, "above");
        assert_eq!(at(7.6, 0.2), AcidityStanding::Alkaline, "above neutral");
        assert_eq!(at(6.1, 0.0), AcidityStanding::Acid, "no uncertainty, no border");
    }

    #[test]
    fn a_target_on_the_other_scale_widens_the_border() {
        // conyers-davey-1988: water 6.2 is calcium chloride 5.61; 0.3 is added by the conversion.
        let standing =
            acidity_standing(ScaledPh::calcium_chloride(5.4), ScaledPh::water(6.2), 0.1).unwrap();
        assert_eq!(standing.value, AcidityStanding::Borderline, "{standing:?}");
    }

    #[test]
    fn sodium_at_its_limit() {
        assert_eq!(sodium_standing(Percent(6.0), 0.0).unwrap().value, SodiumStanding::Sodic, "6");
        let near = sodium_standing(Percent(5.5), 1.0).unwrap().value;
        assert_eq!(near, SodiumStanding::Borderline, "within");
        let far = sodium_standing(Percent(2.0), 1.0).unwrap().value;
        assert_eq!(far, SodiumStanding::NotSodic, "below");
    }
}
