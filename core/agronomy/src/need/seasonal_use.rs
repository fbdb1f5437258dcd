//! What a season's growth uses, from the nitrogen it is given.

use swardbook_units::{Dose, Worked, Working};

use super::NEED;
use crate::{
    AgronomyError,
    error::{not_negative, within},
    source,
};

/// Phosphorus that grass takes up for each unit of nitrogen: an eighth.
///
/// # Source `woods-2014`: leaves hold about 4 % N, 0.5 % P and 2 % K.
pub const PHOSPHORUS_TO_NITROGEN: f64 = 0.125;

/// Kinds of grass by how much potassium they take up beside nitrogen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum GrassUse {
    /// Cool-season grasses: nitrogen to potassium 2:1.
    CoolSeason,
    /// Bermudagrass: 3:2.
    Bermudagrass,
    /// Seashore paspalum: 1:1.
    Paspalum,
}

impl GrassUse {
    /// Every kind.
    pub const ALL: [Self; 3] = [Self::CoolSeason, Self::Bermudagrass, Self::Paspalum];

    /// Key, such as `cool-season`.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::CoolSeason => "cool-season",
            Self::Bermudagrass => "bermudagrass",
            Self::Paspalum => "paspalum",
        }
    }

    /// A kind by its key.
    #[must_use]
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.id() == id)
    }

    /// Potassium taken up for each unit of nitrogen.
    ///
    /// # Source `woods-2017`, `woods-2014`.
    #[must_use]
    pub const fn potassium_to_nitrogen(self) -> f64 {
        match self {
            Self::CoolSeason => 1.0 / 2.0,
            Self::Bermudagrass => 2.0 / 3.0,
            Self::Paspalum => 1.0,
        }
    }
}

/// Use of a nutrient from the nitrogen of the season.
///
/// # Units  g/m2; the ratio is nutrient to nitrogen by mass.
/// # Errors `Argument` for a negative amount of nitrogen or a ratio outside 0 to 5.
/// # Source `woods-2014-recommendation`, `woods-2017`.
pub fn use_from_nitrogen(nitrogen: Dose, ratio: f64) -> Result<Worked<Dose>, AgronomyError> {
    let n = not_negative(NEED, "nitrogen", nitrogen.value(), Dose::UNIT)?;
    let ratio = within(NEED, "ratio", ratio, "", 0.0, 5.0)?;
    let used = n * ratio;
    let working = Working::new("use = nitrogen x ratio")
        .given("Nitrogen of the season", n, Dose::UNIT)
        .given("Nutrient to nitrogen", ratio, "")
        .step("use", format!("{n} x {ratio:.4}"), used, Dose::UNIT)
        .source(source("woods-2014-recommendation"))
        .source(source("woods-2017"))
        .caution("Clippings that are left lie where they grew and give most of it back.");
    Ok(Worked::new(Dose(used), working))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ratios_of_the_kinds() {
        for kind in GrassUse::ALL {
            assert_eq!(GrassUse::from_id(kind.id()), Some(kind), "key");
        }
        // woods-2014: 4 % N and 0.5 % P in the leaf.
        let used = use_from_nitrogen(Dose(16.0), PHOSPHORUS_TO_NITROGEN).unwrap();
        assert!((used.value.value() - 2.0).abs() < 1e-12, "8:1");
        assert_eq!(use_from_nitrogen(Dose(-1.0), 0.5).unwrap_err().argument(), "nitrogen", "named");
    }
}
