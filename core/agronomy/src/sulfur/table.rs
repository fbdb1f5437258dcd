//! Two printed tables of sulfur for bare ground, side by side.

use swardbook_units::{Dose, Ph, Worked, Working};

use super::{FreeCarbonate, SULFUR, cautions, may_lower_ph};
use crate::{
    AgronomyError,
    error::within,
    source,
    texture::{Texture, TextureGroup},
};

/// Starting pH, and kg S/ha on sandy and on clay ground, broadcast, to about pH 6.5.
///
/// # Source `handbook-sulfur-rates`.
const BY_STARTING_PH: [(f64, f64, f64); 4] =
    [(7.5, 439.0, 683.0), (8.0, 1123.0, 1660.0), (8.5, 1660.0, 2246.0), (9.0, 2246.0, 3368.0)];

/// Sulfur on sand and on clay for 15 cm from pH 7.0-7.5 to 6.0-6.5, g/m2.
///
/// # Source `rhs-acidifying`.
const GARDEN: (f64, f64) = (135.0, 270.0);

/// One table's answer.
#[derive(Debug, Clone, PartialEq)]
pub struct SulfurAnswer {
    /// What the table is for, in words.
    pub table: &'static str,
    /// Sulfur.
    pub sulfur: Worked<Dose>,
}

/// Sulfur by each printed table that covers the pH started from, on bare ground.
///
/// # Units  g/m2 of sulfur itself.
/// # Errors As [`may_lower_ph`]; `Argument` for a pH outside 7 to 9, where no table has a row.
/// # Source `handbook-sulfur-rates`, `rhs-acidifying`.
pub fn sulfur_by_tables(
    ph: Ph,
    texture: Texture,
    carbonate: FreeCarbonate,
) -> Result<Vec<SulfurAnswer>, AgronomyError> {
    let ph = within(SULFUR, "ph", ph.value(), "pH", 7.0, 9.0)?;
    may_lower_ph(carbonate)?;
    let mut answers = Vec::new();
    if ph <= 7.5 {
        let dose = between(texture, GARDEN);
        let working = Working::new("printed: 135 g/m2 on sand to 270 g/m2 on clay, 15 cm")
            .given("pH", ph, "pH")
            .step("sulfur", words(texture, GARDEN), dose, Dose::UNIT)
            .source(source("rhs-acidifying"));
        answers.push(SulfurAnswer {
            table: "garden soil, 15 cm, from pH 7-7.5 to 6-6.5",
            sulfur: Worked::new(Dose(dose), bare(texture, working)),
        });
    }
    if ph >= 7.5 {
        let rates = row(ph);
        let kg = between(texture, rates);
        let dose = kg / 10.0;
        let working = Working::new("printed: kg S/ha by starting pH, sandy and clay ground")
            .given("pH", ph, "pH")
            .step("sulfur", words(texture, rates), kg, "kg/ha")
            .step("in g/m2", format!("{kg:.1} / 10"), dose, Dose::UNIT)
            .source(source("handbook-sulfur-rates"));
        answers.push(SulfurAnswer {
            table: "broadcast, to about pH 6.5",
            sulfur: Worked::new(Dose(dose), bare(texture, working)),
        });
    }
    Ok(answers)
}

fn bare(texture: Texture, mut working: Working) -> Working {
    if texture.group() == TextureGroup::Loam {
        // The tables print sand and clay only.
        working = working.source(source("common-practice"));
    }
    cautions(working).caution("The tables are for bare ground that is worked, and they disagree.")
}

fn row(ph: f64) -> (f64, f64) {
    let upper = BY_STARTING_PH.iter().position(|r| r.0 >= ph).unwrap_or(3).max(1);
    let (low, high) = (BY_STARTING_PH[upper - 1], BY_STARTING_PH[upper]);
    let share = (ph - low.0) / (high.0 - low.0);
    (low.1 + share * (high.1 - low.1), low.2 + share * (high.2 - low.2))
}

/// Sand and clay as printed, loams halfway.
fn between(texture: Texture, (sand, clay): (f64, f64)) -> f64 {
    match texture.group() {
        TextureGroup::Sand => sand,
        TextureGroup::Loam => f64::midpoint(sand, clay),
        TextureGroup::Clay => clay,
    }
}

fn words(texture: Texture, (sand, clay): (f64, f64)) -> String {
    match texture.group() {
        TextureGroup::Sand => format!("sand: {sand:.1}"),
        TextureGroup::Loam => format!("loam, halfway from {sand:.1} to {clay:.1}"),
        TextureGroup::Clay => format!("clay: {clay:.1}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_as_printed_and_between() {
        // handbook-sulfur-rates: from 8.0, sandy 1123 and clay 1660 kg/ha.
        let at = |ph, texture| {
            let answers = sulfur_by_tables(Ph(ph), texture, FreeCarbonate::Absent).unwrap();
            answers.last().unwrap().sulfur.value.value()
        };
        assert!((at(8.0, Texture::Sand) - 112.3).abs() < 1e-9, "sandy");
        assert!((at(8.0, Texture::MediumClay) - 166.0).abs() < 1e-9, "clay");
        let middle = f64::midpoint(43.9, 112.3);
        assert!((at(7.75, Texture::Sand) - middle).abs() < 1e-9, "halfway");
        assert!((at(8.0, Texture::Loam) - 139.15).abs() < 1e-9, "loam halfway from sand to clay");
        let both = sulfur_by_tables(Ph(7.5), Texture::Loam, FreeCarbonate::Absent).unwrap();
        assert_eq!(both.len(), 2, "side by side where both have a row");
    }

    #[test]
    fn free_lime_is_refused_here_too() {
        assert!(sulfur_by_tables(Ph(8.0), Texture::Sand, FreeCarbonate::Present).is_err(), "so");
        let error = sulfur_by_tables(Ph(6.0), Texture::Sand, FreeCarbonate::Absent).unwrap_err();
        assert_eq!(error.argument(), "ph", "{error}");
    }
}
