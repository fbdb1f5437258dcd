//! Salinity: from the conductivity of a 1:5 suspension to that of a saturated extract, and what
//! it means for grass.
//!
//! The multiplier carries about 30 % either way, so a result is always a range.

mod tolerance;

use swardbook_units::{Conductivity, Percent, Worked, Working};

pub use tolerance::{
    SaltTolerance, ToleranceRating, relative_yield, remembered_tolerance, tolerance_rating,
};

use crate::{
    AgronomyError,
    error::{not_negative, within},
    source,
    texture::{Texture, TextureGroup},
};

/// How much a multiplier may be out, either way.
///
/// # Source Computed from the five site-set regressions in `rayment-lyons-2011`, which lie up to
/// 28 % from their mean at 0.5 dS/m.
const MULTIPLIER_SPREAD: f64 = 0.3;

/// How the conductivity of the saturated extract is worked out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum EceMethod {
    /// From the water content of the saturated paste, g of water for each g of soil.
    SaturationWater(f64),
    /// From the broad texture group, by the multipliers that a published class table implies.
    TextureGroup(TextureGroup),
    /// By one regression set at its own sites.
    Regression(Regression),
    /// By the texture multipliers of state guides: from memory, unconfirmed.
    RememberedTexture(Texture),
}

impl EceMethod {
    /// The best confirmed method for what is known: the water content of the saturated paste
    /// before the texture; `None` where neither is known. Never one from memory.
    #[must_use]
    pub fn for_known(saturation_water: Option<f64>, texture: Option<Texture>) -> Option<Self> {
        saturation_water
            .map(Self::SaturationWater)
            .or_else(|| texture.map(|texture| Self::TextureGroup(texture.group())))
    }
}

/// The five Australian regressions of `ECe` on EC 1:5.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Regression {
    /// 6.4 x
    Talsma,
    /// 6.5 x
    Loveday,
    /// 6.44 x - 0.102
    Murray,
    /// 6.08 x - 0.937
    Shaw,
    /// 6.29 x - 0.27
    Lyons,
}

impl Regression {
    /// All five, in the order of the source.
    pub const ALL: [Self; 5] = [Self::Talsma, Self::Loveday, Self::Murray, Self::Shaw, Self::Lyons];

    /// Name of its author.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Talsma => "Talsma",
            Self::Loveday => "Loveday",
            Self::Murray => "Murray",
            Self::Shaw => "Shaw",
            Self::Lyons => "Lyons",
        }
    }

    /// Slope and intercept.
    ///
    /// # Source `rayment-lyons-2011`.
    const fn line(self) -> (f64, f64) {
        match self {
            Self::Talsma => (6.4, 0.0),
            Self::Loveday => (6.5, 0.0),
            Self::Murray => (6.44, -0.102),
            Self::Shaw => (6.08, -0.937),
            Self::Lyons => (6.29, -0.27),
        }
    }
}

/// Conductivity of the saturated extract, as a range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EceRange {
    /// Lower end.
    pub low: Conductivity,
    /// The most likely value.
    pub likely: Conductivity,
    /// Upper end.
    pub high: Conductivity,
}

const ECE: &str = "salinity";

/// The multiplier of Slavich and Petterson from the water content of the saturated paste.
///
/// # Units  g of water for each g of soil in; a pure number out.
/// # Errors `Argument` when the water content is not from 0.05 to 5.
/// # Source `slavich-petterson-1993`: f = 2.46 + 3.03 / theta.
pub fn slavich_multiplier(saturation_water: f64) -> Result<Worked<f64>, AgronomyError> {
    let theta = within(ECE, "saturation_water", saturation_water, "g/g", 0.05, 5.0)?;
    let f = 2.46 + 3.03 / theta;
    let working = Working::new("f = 2.46 + 3.03 / theta")
        .given("Water content of the saturated paste, theta", theta, "g/g")
        .step("multiplier", format!("2.46 + 3.03 / {theta}"), f, "")
        .source(source("slavich-petterson-1993"));
    Ok(Worked::new(f, working))
}

/// Multiplier that the boundaries of the published class table imply (4 dS/m over 0.28, 0.36 and
/// 0.50 dS/m).
///
/// # Source `barrett-lennard-2008`.
const fn group_multiplier(group: TextureGroup) -> f64 {
    match group {
        TextureGroup::Sand => 4.0 / 0.28,
        TextureGroup::Loam => 4.0 / 0.36,
        TextureGroup::Clay => 4.0 / 0.50,
    }
}

/// Texture multipliers as reprinted in state guides.
///
/// # Source `texture-multipliers`, from memory: never the default.
const fn remembered_multiplier(texture: Texture) -> f64 {
    match texture {
        Texture::Sand | Texture::LoamySand => 23.0,
        Texture::SandyLoam => 14.0,
        Texture::Loam | Texture::SiltLoam | Texture::SandyClayLoam => 9.5,
        Texture::ClayLoam | Texture::LightClay => 8.6,
        Texture::MediumClay => 7.5,
        Texture::HeavyClay => 5.8,
    }
}

/// Conductivity of the saturated extract from that of the 1:5 suspension.
///
/// # Units  dS/m at 25 C.
/// # Errors `Argument` for a conductivity that is not 0 to 80, or a water content out of range.
/// # Source As the method says.
pub fn ece_from_ec(ec: Conductivity, by: EceMethod) -> Result<Worked<EceRange>, AgronomyError> {
    let ec = within(ECE, "ec", ec.value(), Conductivity::UNIT, 0.0, 80.0)?;
    let (slope, intercept, working) = match by {
        EceMethod::SaturationWater(theta) => {
            let f = slavich_multiplier(theta)?;
            (f.value, 0.0, Working::new("ECe = f x EC 1:5").after(&f.working))
        }
        EceMethod::TextureGroup(group) => {
            let f = group_multiplier(group);
            let working = Working::new("ECe = f x EC 1:5")
                .step(
                    &format!("multiplier implied by the class table for {}", group.id()),
                    "class boundary of ECe / boundary of EC 1:5".to_owned(),
                    f,
                    "",
                )
                .source(source("barrett-lennard-2008"));
            (f, 0.0, working)
        }
        EceMethod::Regression(regression) => {
            let (slope, intercept) = regression.line();
            let working = Working::new(&format!("ECe = {slope} x EC 1:5 + {intercept}"))
                .source(source("rayment-lyons-2011"))
                .caution("A regression holds for the sites it was set at.");
            (slope, intercept, working)
        }
        EceMethod::RememberedTexture(texture) => {
            let f = remembered_multiplier(texture);
            let working = Working::new("ECe = f x EC 1:5")
                .step(
                    &format!("multiplier remembered for {}", texture.name()),
                    "from memory, unconfirmed".to_owned(),
                    f,
                    "",
                )
                .source(source("texture-multipliers"));
            (f, 0.0, working)
        }
    };
    let likely = (slope * ec + intercept).max(0.0);
    let low = likely * (1.0 - MULTIPLIER_SPREAD);
    let high = likely * (1.0 + MULTIPLIER_SPREAD);
    let working = working
        .given("EC 1:5", ec, Conductivity::UNIT)
        .assumed(
            "Spread of the multiplier, either way",
            100.0 * MULTIPLIER_SPREAD,
            "%",
            "published regressions of ECe on EC 1:5 differ by as much",
        )
        .step("ECe", format!("{slope:.3} x {ec} + {intercept}"), likely, Conductivity::UNIT)
        .step("lower end", format!("{likely:.3} x 0.7"), low, Conductivity::UNIT)
        .step("upper end", format!("{likely:.3} x 1.3"), high, Conductivity::UNIT)
        .source(source("rayment-lyons-2011"))
        .caution(
            "Gypsum above 1 % holds EC 1:5 near 2.2 dS/m without the harm of sodium: look at \
             sodium and chloride before calling the ground saline.",
        );
    let range =
        EceRange { low: Conductivity(low), likely: Conductivity(likely), high: Conductivity(high) };
    Ok(Worked::new(range, working))
}

/// The answers of all five regressions, in the order of [`Regression::ALL`]; their spread is
/// itself useful.
///
/// # Errors As [`ece_from_ec`].
/// # Source `rayment-lyons-2011`.
pub fn ece_by_regressions(
    ec: Conductivity,
) -> Result<Worked<[(Regression, Conductivity); 5]>, AgronomyError> {
    let ec = within(ECE, "ec", ec.value(), Conductivity::UNIT, 0.0, 80.0)?;
    let mut working = Working::new("ECe = slope x EC 1:5 + intercept, five sets of sites")
        .given("EC 1:5", ec, Conductivity::UNIT)
        .source(source("rayment-lyons-2011"))
        .caution("A regression holds for the sites it was set at.");
    let answers = Regression::ALL.map(|regression| {
        let (slope, intercept) = regression.line();
        (regression, Conductivity((slope * ec + intercept).max(0.0)), slope, intercept)
    });
    for (regression, ece, slope, intercept) in answers {
        let arithmetic = format!("{slope} x {ec} + {intercept}");
        working = working.step(regression.name(), arithmetic, ece.value(), Conductivity::UNIT);
    }
    Ok(Worked::new(answers.map(|(regression, ece, ..)| (regression, ece)), working))
}

/// A salinity class of the saturated extract.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SalinityClass {
    /// `ECe` to 2 dS/m.
    NonSaline,
    /// 2 to 4.
    Low,
    /// 4 to 8.
    Moderate,
    /// 8 to 16.
    High,
    /// 16 to 32.
    Severe,
    /// Above 32.
    Extreme,
}

impl SalinityClass {
    /// Every class, from the freshest to the saltiest.
    pub const ALL: [Self; 6] =
        [Self::NonSaline, Self::Low, Self::Moderate, Self::High, Self::Severe, Self::Extreme];

    /// Name in words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::NonSaline => "non-saline",
            Self::Low => "low salinity",
            Self::Moderate => "moderate salinity",
            Self::High => "high salinity",
            Self::Severe => "severe salinity",
            Self::Extreme => "extreme salinity",
        }
    }

    /// Upper end in `ECe`, dS/m; the last class has none.
    ///
    /// # Source `barrett-lennard-2008`; the first four boundaries also `agvic-salinity-classes`.
    #[must_use]
    pub const fn ece_upper(self) -> Option<Conductivity> {
        match self {
            Self::NonSaline => Some(Conductivity(2.0)),
            Self::Low => Some(Conductivity(4.0)),
            Self::Moderate => Some(Conductivity(8.0)),
            Self::High => Some(Conductivity(16.0)),
            Self::Severe => Some(Conductivity(32.0)),
            Self::Extreme => None,
        }
    }

    /// Upper end in EC 1:5 for a texture group, dS/m, as printed.
    ///
    /// # Source `barrett-lennard-2008`.
    #[must_use]
    pub const fn ec_upper(self, group: TextureGroup) -> Option<Conductivity> {
        let printed = match group {
            TextureGroup::Sand => [0.14, 0.28, 0.57, 1.14, 2.28],
            TextureGroup::Loam => [0.18, 0.36, 0.72, 1.45, 2.90],
            TextureGroup::Clay => [0.25, 0.50, 1.00, 2.00, 4.00],
        };
        match self {
            Self::NonSaline => Some(Conductivity(printed[0])),
            Self::Low => Some(Conductivity(printed[1])),
            Self::Moderate => Some(Conductivity(printed[2])),
            Self::High => Some(Conductivity(printed[3])),
            Self::Severe => Some(Conductivity(printed[4])),
            Self::Extreme => None,
        }
    }
}

/// The class of a conductivity of the saturated extract.
///
/// # Errors `Argument` for a negative conductivity.
/// # Source `barrett-lennard-2008`.
pub fn class_of_ece(ece: Conductivity) -> Result<Worked<SalinityClass>, AgronomyError> {
    let value = not_negative(ECE, "ece", ece.value(), Conductivity::UNIT)?;
    let class = classed(value, SalinityClass::ece_upper);
    let working = Working::new("class whose range holds ECe")
        .given("ECe", value, Conductivity::UNIT)
        .source(source("barrett-lennard-2008"));
    Ok(Worked::new(class, working))
}

/// The class of a 1:5 conductivity where the texture group is known.
///
/// # Errors `Argument` for a negative conductivity.
/// # Source `barrett-lennard-2008`.
pub fn class_of_ec(
    ec: Conductivity,
    group: TextureGroup,
) -> Result<Worked<SalinityClass>, AgronomyError> {
    let value = not_negative(ECE, "ec", ec.value(), Conductivity::UNIT)?;
    let class = classed(value, |class| class.ec_upper(group));
    let working = Working::new("class whose printed range of EC 1:5 holds the reading")
        .given("EC 1:5", value, Conductivity::UNIT)
        .source(source("barrett-lennard-2008"))
        .caution(&format!("Read from the column for {}.", group.id()));
    Ok(Worked::new(class, working))
}

fn classed(value: f64, upper: impl Fn(SalinityClass) -> Option<Conductivity>) -> SalinityClass {
    SalinityClass::ALL
        .into_iter()
        .find(|class| upper(*class).is_none_or(|end| value <= end.value()))
        .unwrap_or(SalinityClass::Extreme)
}

/// The rating of a 1:5 conductivity where nothing is known of the texture.
///
/// # Errors `Argument` for a negative conductivity.
/// # Source `rayment-lyons-2011`: under 0.15 very low, to 0.45 low, to 0.90 medium, to 2.0 high.
pub fn rating_without_texture(ec: Conductivity) -> Result<Worked<&'static str>, AgronomyError> {
    let value = not_negative(ECE, "ec", ec.value(), Conductivity::UNIT)?;
    let rating = match value {
        v if v < 0.15 => "very low",
        v if v < 0.45 => "low",
        v if v < 0.90 => "medium",
        v if v <= 2.0 => "high",
        _ => "very high",
    };
    let working = Working::new("rating of EC 1:5 without texture")
        .given("EC 1:5", value, Conductivity::UNIT)
        .source(source("rayment-lyons-2011"))
        .caution("The same reading means more salt stress in sand than in clay: name the texture.");
    Ok(Worked::new(rating, working))
}

/// Soluble salts from a 1:5 conductivity.
///
/// # Errors `Argument` for a negative conductivity.
/// # Source `rayment-lyons-2011`: 0.336 x EC 1:5.
pub fn soluble_salts(ec: Conductivity) -> Result<Worked<Percent>, AgronomyError> {
    let ec = not_negative(ECE, "ec", ec.value(), Conductivity::UNIT)?;
    let salts = 0.336 * ec;
    let working = Working::new("salts % = 0.336 x EC 1:5")
        .given("EC 1:5", ec, Conductivity::UNIT)
        .step("soluble salts", format!("0.336 x {ec}"), salts, "%")
        .source(source("rayment-lyons-2011"));
    Ok(Worked::new(Percent(salts), working))
}

/// A conductivity read at another temperature, brought to 25 C.
///
/// # Units  degrees Celsius.
/// # Errors `Argument` outside 0 to 50 C.
/// # Source `rayment-lyons-2011`: 2 % for each degree.
pub fn at_25_degrees(
    ec: Conductivity,
    temperature: f64,
) -> Result<Worked<Conductivity>, AgronomyError> {
    let ec = not_negative(ECE, "ec", ec.value(), Conductivity::UNIT)?;
    let t = within(ECE, "temperature", temperature, "\u{b0}C", 0.0, 50.0)?;
    let result = ec / (1.0 + 0.02 * (t - 25.0));
    let working = Working::new("EC25 = EC / (1 + 0.02 (t - 25))")
        .given("EC as read", ec, Conductivity::UNIT)
        .given("Temperature", t, "\u{b0}C")
        .step("EC at 25 C", format!("{ec} / (1 + 0.02 x ({t} - 25))"), result, Conductivity::UNIT)
        .source(source("rayment-lyons-2011"));
    Ok(Worked::new(Conductivity(result), working))
}

#[cfg(test)]
mod tests {
    use swardbook_units::Confidence;

    use super::*;

    #[test]
    fn the_printed_columns_of_the_class_table_follow_their_multiplier() {
        // barrett-lennard-2008 prints the three columns to two decimals; each is the column of ECe
        // over the multiplier that 4 dS/m implies, so a slip of one cell would show.
        for group in [TextureGroup::Sand, TextureGroup::Loam, TextureGroup::Clay] {
            for class in SalinityClass::ALL {
                let (Some(ece), Some(ec)) = (class.ece_upper(), class.ec_upper(group)) else {
                    continue;
                };
                let implied = ece.value() / group_multiplier(group);
                assert!(
                    (implied - ec.value()).abs() < 0.005 + 0.02 * implied,
                    "{} {}",
                    group.id(),
                    class.name()
                );
            }
        }
    }

    #[test]
    fn a_result_is_a_range_and_memory_says_so() {
        let ec = Conductivity(0.3);
        let loam = ece_from_ec(ec, EceMethod::TextureGroup(TextureGroup::Loam)).unwrap();
        assert!((loam.value.likely.value() - 3.333).abs() < 0.001, "{loam:?}");
        assert!((loam.value.low.value() - 2.333).abs() < 0.001, "30 % below");
        assert!((loam.value.high.value() - 4.333).abs() < 0.001, "30 % above");
        assert_eq!(loam.working.confidence(), Confidence::Confirmed, "a table that was read");
        let remembered = ece_from_ec(ec, EceMethod::RememberedTexture(Texture::Loam)).unwrap();
        assert_eq!(remembered.working.confidence(), Confidence::FromMemory, "not read");
    }

    #[test]
    fn the_best_confirmed_method_is_chosen() {
        let known = |water, texture| EceMethod::for_known(water, texture);
        assert_eq!(
            known(Some(0.4), Some(Texture::Loam)),
            Some(EceMethod::SaturationWater(0.4)),
            "water"
        );
        let group = EceMethod::TextureGroup(TextureGroup::Sand);
        assert_eq!(known(None, Some(Texture::LoamySand)), Some(group), "texture, not memory");
        assert_eq!(known(None, None), None, "nothing is known");
    }

    #[test]
    fn a_dry_reading_never_gives_a_negative_salinity() {
        let low = ece_from_ec(Conductivity(0.05), EceMethod::Regression(Regression::Shaw)).unwrap();
        assert!(low.value.likely.value().abs() < 1e-12, "{low:?}");
        assert!(
            ece_from_ec(Conductivity(-0.1), EceMethod::TextureGroup(TextureGroup::Sand)).is_err(),
            "negative"
        );
    }

    #[test]
    fn the_reference_solution_reads_the_same_at_any_temperature() {
        // rayment-lyons-2011: 0.01 M KCl reads 1.413 dS/m at 25 C, and 2 % a degree.
        let cold = 1.413 * (1.0 + 0.02 * (15.0 - 25.0));
        let at_25 = at_25_degrees(Conductivity(cold), 15.0).unwrap().value.value();
        assert!((at_25 - 1.413).abs() < 1e-9, "{at_25}");
    }
}
