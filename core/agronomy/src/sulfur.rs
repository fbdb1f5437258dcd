//! Elemental sulfur to lower the pH, and why it is refused where there is free carbonate.
//!
//! This module does not own sulfur as a nutrient (`need`).

mod table;

use swardbook_units::{Content, Dose, Percent, Ph, Worked, Working};

pub use table::{SulfurAnswer, sulfur_by_tables};

use crate::{
    AgronomyError,
    elements::molar_mass,
    error::{not_negative, positive, within},
    reading::SoilLayer,
    source,
};

pub(crate) const SULFUR: &str = "sulfur need";

/// Whether the ground holds free lime, which eats sulfur before the pH moves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FreeCarbonate {
    /// Does not fizz in vinegar, or none was measured.
    Absent,
    /// Fizzes, or was measured.
    Present,
    /// Was not tried.
    NotTested,
}

/// Calcium carbonate that a mass of sulfur neutralises.
///
/// # Units  any one unit of mass, in and out.
/// # Errors `Argument` for a negative mass.
/// # Source `sulfur-carbonate-newsletter`: 312 lb for 100 lb; computed from `atomic-weights`.
pub fn carbonate_met_by_sulfur(sulfur: f64) -> Result<Worked<f64>, AgronomyError> {
    let sulfur = not_negative(SULFUR, "sulfur", sulfur, "")?;
    let ratio = carbonate_to_sulfur()?;
    let carbonate = sulfur * ratio;
    let working = Working::new("CaCO3 = S x M(CaCO3) / M(S)")
        .given("Sulfur", sulfur, "")
        .step("calcium carbonate", format!("{sulfur} x {ratio:.3}"), carbonate, "")
        .source(source("atomic-weights"))
        .source(source("sulfur-carbonate-newsletter"));
    Ok(Worked::new(carbonate, working))
}

fn carbonate_to_sulfur() -> Result<f64, AgronomyError> {
    // One sulfuric acid from one sulfur meets one carbonate.
    Ok(molar_mass("CaCO3")? / molar_mass("S")?)
}

/// Sulfur that free carbonate in a layer would eat before the pH moves.
///
/// # Units  g/m2.
/// # Errors `Argument` for carbonate outside 0 to 100 % or a layer that is not above zero.
/// # Source `sulfur-carbonate-newsletter`.
pub fn sulfur_eaten_by_carbonate(
    carbonate: Percent,
    layer: &SoilLayer,
) -> Result<Worked<Dose>, AgronomyError> {
    let share = within(SULFUR, "caco3", carbonate.value(), "%", 0.0, 100.0)?;
    let mass = layer.mass_over_area()?;
    let ratio = carbonate_to_sulfur()?;
    let dose = share / 100.0 * mass.value * 1000.0 / ratio;
    let working = Working::new("sulfur = free CaCO3 in the layer x M(S) / M(CaCO3)")
        .given("Free calcium carbonate", share, "%")
        .after(&mass.working)
        .step(
            "sulfur",
            format!("{share} % of {:.1} kg/m2 x 1000 / {ratio:.3}", mass.value),
            dose,
            Dose::UNIT,
        )
        .source(source("atomic-weights"))
        .source(source("sulfur-carbonate-newsletter"))
        .caution("With free lime, lowering the pH is not practical.");
    Ok(Worked::new(Dose(dose), working))
}

/// Refuses where free lime would eat the sulfur, or where nobody has looked.
///
/// # Errors `Refused` with free carbonate, `Missing` where it was not tested.
/// # Source `rhs-acidifying`, `ippolito-bauder`.
pub fn may_lower_ph(carbonate: FreeCarbonate) -> Result<(), AgronomyError> {
    match carbonate {
        FreeCarbonate::Absent => Ok(()),
        FreeCarbonate::Present => Err(AgronomyError::Refused {
            operation: SULFUR,
            argument: "free_carbonate",
            why: "the ground holds free lime, which eats sulfur before the pH moves (1 % in 15 cm \
                  takes over 7 t/ha); feed through the leaf and choose plants that stand it"
                .to_owned(),
        }),
        FreeCarbonate::NotTested => Err(AgronomyError::Missing {
            operation: SULFUR,
            argument: "free_carbonate",
            remedy: "drop vinegar on dry soil: if it fizzes, there is free lime and sulfur is no use",
        }),
    }
}

/// What sulfur is to reach, where the soil's own buffer capacity is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SulfurAim {
    /// pH now.
    pub ph: Ph,
    /// pH wanted, on the same scale.
    pub target: Ph,
    /// Calcium carbonate for each kilogram of soil and pH unit.
    pub capacity: Content,
    /// The layer.
    pub layer: SoilLayer,
    /// Whether there is free lime.
    pub carbonate: FreeCarbonate,
}

/// Elemental sulfur that lowers the pH of a layer by its own buffer capacity; zero when it is already
/// low enough.
///
/// # Units  g/m2 of sulfur itself.
/// # Errors As [`may_lower_ph`]; `Argument` for a pH outside 3 to 12 or a capacity or layer that is not
/// above zero.
/// # Source capacity as in `kissel-lime-buffer`, sulfur for carbonate from `atomic-weights`.
pub fn sulfur_need(aim: &SulfurAim) -> Result<Worked<Dose>, AgronomyError> {
    let ph = within(SULFUR, "ph", aim.ph.value(), "pH", 3.0, 12.0)?;
    let target = within(SULFUR, "target", aim.target.value(), "pH", 3.0, 12.0)?;
    let capacity = positive(SULFUR, "lime_buffer_capacity", aim.capacity.value(), Content::UNIT)?;
    may_lower_ph(aim.carbonate)?;
    let mass = aim.layer.mass_over_area()?;
    let fall = (ph - target).max(0.0);
    let carbonate = capacity * fall * mass.value / 1000.0;
    let ratio = carbonate_to_sulfur()?;
    let dose = carbonate / ratio;
    let working = Working::new("sulfur = capacity x fall x soil over area x M(S) / M(CaCO3)")
        .given("pH now", ph, "pH")
        .given("Target", target, "pH")
        .given("Buffer capacity", capacity, "mg CaCO3/kg for each pH unit")
        .after(&mass.working)
        .step(
            "carbonate to be met",
            format!("{capacity} x {fall:.2} x {:.1} / 1000", mass.value),
            carbonate,
            Dose::UNIT,
        )
        .step("sulfur", format!("{carbonate:.2} / {ratio:.3}"), dose, Dose::UNIT)
        .source(source("kissel-lime-buffer"))
        .source(source("atomic-weights"));
    Ok(Worked::new(Dose(dose), cautions(working)))
}

pub(crate) fn cautions(working: Working) -> Working {
    working
        .source(source("purdue-sulfur-turf"))
        .source(source("rhs-acidifying"))
        .caution(
            "On established grass at most 24 g/m2 at a visit and 49 g/m2 a year, mown at 5 cm or \
             higher, watered in; less where it is mown lower.",
        )
        .caution(
            "Gloves, goggles and a dust mask, still weather; keep away from flames (the dust can \
             ignite: from memory, unconfirmed). The label and local rules come first.",
        )
        .caution("Works over months through soil life, best in warm moist ground: test in between.")
}

/// Compounds that lower the pH, against sulfur.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Acidifier {
    /// Iron sulfate.
    IronSulfate,
    /// Aluminium sulfate.
    AluminiumSulfate,
}

impl Acidifier {
    /// Mass that does the work of one of sulfur.
    ///
    /// # Source `rhs-acidifying`: iron sulfate 8 times; `common-practice` for aluminium sulfate, 6.9.
    const fn ratio(self) -> (f64, &'static str) {
        match self {
            Self::IronSulfate => (8.0, "rhs-acidifying"),
            Self::AluminiumSulfate => (6.9, "common-practice"),
        }
    }
}

/// Dose of another acidifier in place of a dose of sulfur.
///
/// # Errors `Argument` for a negative dose.
/// # Source As the ratio's.
pub fn in_place_of_sulfur(
    sulfur: Dose,
    acidifier: Acidifier,
) -> Result<Worked<Dose>, AgronomyError> {
    let dose = not_negative(SULFUR, "sulfur", sulfur.value(), Dose::UNIT)?;
    let (ratio, key) = acidifier.ratio();
    let other = dose * ratio;
    let mut working = Working::new("dose = sulfur x ratio")
        .given("Sulfur", dose, Dose::UNIT)
        .step("dose", format!("{dose} x {ratio}"), other, Dose::UNIT)
        .source(source(key));
    working = match acidifier {
        Acidifier::IronSulfate => working.caution(
            "Stains paving and walls (from memory, unconfirmed); so large a dose is for bare \
             ground, not for grass.",
        ),
        Acidifier::AluminiumSulfate => {
            working.caution("Aluminium harms roots in acid ground: not for grass.")
        }
    };
    Ok(Worked::new(Dose(other), working))
}

#[cfg(test)]
mod tests {
    use swardbook_units::{BulkDensity, Depth};

    use super::*;

    const AIM: SulfurAim = SulfurAim {
        ph: Ph(7.4),
        target: Ph(6.6),
        capacity: Content(500.0),
        layer: SoilLayer { thickness: Depth(100.0), bulk_density: BulkDensity(1.3) },
        carbonate: FreeCarbonate::Absent,
    };

    #[test]
    fn free_lime_refuses_and_not_knowing_asks() {
        assert!(sulfur_need(&AIM).unwrap().value.value() > 0.0, "without it there is an answer");
        let with = SulfurAim { carbonate: FreeCarbonate::Present, ..AIM };
        let error = sulfur_need(&with).unwrap_err();
        assert!(matches!(error, AgronomyError::Refused { .. }), "{error}");
        let untried = SulfurAim { carbonate: FreeCarbonate::NotTested, ..AIM };
        let error = sulfur_need(&untried).unwrap_err();
        assert!(error.to_string().contains("vinegar"), "says how to find out: {error}");
    }

    #[test]
    fn already_low_enough_needs_none() {
        let low = SulfurAim { ph: Ph(6.0), ..AIM };
        assert!(sulfur_need(&low).unwrap().value.value().abs() < 1e-12, "none");
    }

    #[test]
    fn sulfur_undoes_the_lime_that_would_lift_as_far() {
        // 500 mg/kg for each pH unit x 0.8 x 130 kg/m2 = 52 g/m2 of carbonate, 312 to 100 of sulfur.
        let dose = sulfur_need(&AIM).unwrap().value.value();
        assert!((dose - 52.0 / 3.12).abs() < 0.02, "{dose}");
    }
}
