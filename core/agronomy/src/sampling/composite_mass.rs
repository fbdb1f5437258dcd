//! How much soil the cores make, and whether that is what the laboratory asks for.

use swardbook_units::{BulkDensity, Depth, Mass, Origin, Volume, Worked, Working};

use crate::{
    AgronomyError,
    error::{positive, within},
    source,
};

/// What the laboratory wants in the bag, g, where it does not say.
pub const USUAL_ASK_G: f64 = 500.0;

/// One core of a sampling tool.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoreSize {
    /// Inner diameter of the tool, mm.
    pub diameter_mm: f64,
    /// Length of the core that is kept.
    pub depth: Depth,
    /// Oven-dry soil over volume.
    pub bulk_density: BulkDensity,
    /// Water over oven-dry soil, g/g.
    pub water: f64,
}

/// What one core holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoreMass {
    /// Volume of the hole.
    pub volume: Volume,
    /// Oven-dry mass.
    pub dry: Mass,
    /// Mass as pulled, water included.
    pub moist: Mass,
}

const OPERATION: &str = "mass of a composite";

/// Volume and mass of one core.
///
/// # Units  diameter in mm; returns L and kg.
/// # Errors `Argument` for a diameter not from 5 to 300 mm, a depth not from 10 to 1000 mm, a bulk
///   density not from 0.1 to 2.2 t/m3, or a water content not from 0 to 2 g/g.
/// # Source `definition`: cylinder x density x (1 + water).
pub fn core_mass(core: &CoreSize) -> Result<Worked<CoreMass>, AgronomyError> {
    let d = within(OPERATION, "diameter", core.diameter_mm, "mm", 5.0, 300.0)?;
    let h = within(OPERATION, "depth", core.depth.value(), "mm", 10.0, 1000.0)?;
    let rho = within(OPERATION, "bulk_density", core.bulk_density.value(), "t/m3", 0.1, 2.2)?;
    let w = within(OPERATION, "water", core.water, "g/g", 0.0, 2.0)?;
    // Cubic millimetres to litres.
    let volume = std::f64::consts::FRAC_PI_4 * d * d * h / 1e6;
    let dry = volume * rho;
    let moist = dry * (1.0 + w);
    let working = Working::new("core = pi / 4 x diameter^2 x depth x bulk density x (1 + water)")
        .given("Diameter of the tool", d, "mm")
        .given("Depth of the core", h, "mm")
        .given("Bulk density", rho, BulkDensity::UNIT)
        .given("Water over dry soil", w, "g/g")
        .step("volume of a core", format!("pi / 4 x {d}^2 x {h} / 10^6"), volume, "L")
        .step("dry mass of a core", format!("{volume:.5} x {rho}"), dry, "kg")
        .step("mass of a core as pulled", format!("{dry:.5} x (1 + {w})"), moist, "kg")
        .source(source("definition"));
    Ok(Worked::new(
        CoreMass { volume: Volume(volume), dry: Mass(dry), moist: Mass(moist) },
        working,
    ))
}

/// What the laboratory wants in the bag.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// Field-moist soil.
    pub mass: Mass,
    /// Where the number comes from.
    pub origin: Origin,
}

impl Ask {
    /// What a laboratory said.
    #[must_use]
    pub const fn given(mass: Mass) -> Self {
        Self { mass, origin: Origin::Given }
    }

    /// Half a kilogram, where it did not say.
    #[must_use]
    pub fn usual() -> Self {
        let why = "common practice, no source: half a kilogram of moist soil";
        Self { mass: Mass(USUAL_ASK_G / 1000.0), origin: Origin::Default(why.to_owned()) }
    }
}

/// A composite against what the laboratory asks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Composite {
    /// One core.
    pub core: CoreMass,
    /// All cores as pulled.
    pub moist: Mass,
    /// All cores oven-dry.
    pub dry: Mass,
    /// All cores by volume.
    pub volume: Volume,
    /// Cores that reach the ask.
    pub cores_to_reach: u32,
    /// Moist mass over the ask; below one the bag is too light.
    pub share_of_ask: f64,
}

/// Mass of a composite of several cores, and the cores it takes to fill the bag.
///
/// # Errors As [`core_mass`]; `Argument` without a core or for an ask not above zero.
/// # Source As [`core_mass`]; the usual ask is `common-practice`.
pub fn composite_mass(
    core: &CoreSize,
    cores: u32,
    ask: &Ask,
) -> Result<Worked<Composite>, AgronomyError> {
    let one = core_mass(core)?;
    let n = within(OPERATION, "cores", f64::from(cores), "", 1.0, 1e6)?;
    let wanted = positive(OPERATION, "ask", ask.mass.value(), "kg")?;
    let moist = n * one.value.moist.value();
    let exact = wanted / one.value.moist.value();
    // A whole number that rounding lifted by its last bit is not the next whole number.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "above zero, and a number above the greatest becomes the greatest"
    )]
    let cores_to_reach = (exact * (1.0 - 1e-12)).ceil() as u32;
    let share_of_ask = moist / wanted;
    let mut working = Working::new("composite = cores x mass of a core")
        .after(&one.working)
        .given("Cores", n, "")
        .input("What the laboratory asks for", wanted, "kg", ask.origin.clone())
        .step("composite as pulled", format!("{n} x {:.5}", one.value.moist.value()), moist, "kg")
        .step(
            "cores that reach the ask",
            format!("{wanted} / {:.5}, rounded up", one.value.moist.value()),
            f64::from(cores_to_reach),
            "",
        );
    if matches!(ask.origin, Origin::Default(_)) {
        working = working.source(source("common-practice"));
    }
    if share_of_ask < 1.0 {
        working = working.caution(
            "The bag is lighter than the laboratory asks: pull more cores over the whole zone, \
             not longer ones.",
        );
    } else if share_of_ask > 3.0 {
        working = working.caution(
            "Far more soil than asked for: crumble and mix all of it in a clean bucket before a part \
             is taken, or the part is not the zone.",
        );
    }
    let composite = Composite {
        core: one.value,
        moist: Mass(moist),
        dry: Mass(n * one.value.dry.value()),
        volume: Volume(n * one.value.volume.value()),
        cores_to_reach,
        share_of_ask,
    };
    Ok(Worked::new(composite, working))
}

#[cfg(test)]
mod tests {
    use super::*;

    const TOOL: CoreSize = CoreSize {
        diameter_mm: 20.0,
        depth: Depth(100.0),
        bulk_density: BulkDensity(1.3),
        water: 0.2,
    };

    #[test]
    fn a_core_is_a_cylinder() {
        let core = core_mass(&TOOL).unwrap().value;
        // Computed: pi cm2 x 10 cm = 31.41593 cm3; x 1.3 = 40.84070 g; x 1.2 = 49.00885 g.
        assert!((core.volume.value() - 0.031_415_93).abs() < 1e-8, "{core:?}");
        assert!((core.dry.value() - 0.040_840_70).abs() < 1e-8, "{core:?}");
        assert!((core.moist.value() - 0.049_008_85).abs() < 1e-8, "{core:?}");
    }

    #[test]
    fn the_cores_to_reach_fill_the_bag_and_one_less_does_not() {
        let found = composite_mass(&TOOL, 15, &Ask::usual()).unwrap();
        assert_eq!(found.value.cores_to_reach, 11, "500 g over 49.0 g is 10.2");
        assert!(found.value.share_of_ask > 1.0, "{found:?}");
        let light = composite_mass(&TOOL, 10, &Ask::usual()).unwrap();
        assert!(light.value.share_of_ask < 1.0, "ten are too few");
        assert!(light.working.cautions.iter().any(|c| c.contains("lighter")), "said");
        // An ask of exactly so many cores is reached by them.
        let one = core_mass(&TOOL).unwrap().value.moist.value();
        for cores in [1, 3, 7, 49] {
            let ask = Ask::given(Mass(f64::from(cores) * one));
            let found = composite_mass(&TOOL, cores, &ask).unwrap().value;
            assert_eq!(found.cores_to_reach, cores, "{found:?}");
        }
    }

    #[test]
    fn impossible_tools_and_soils_are_named() {
        let check = |core: CoreSize, argument: &str| {
            assert_eq!(core_mass(&core).unwrap_err().argument(), argument, "{core:?}");
        };
        check(CoreSize { diameter_mm: 0.0, ..TOOL }, "diameter");
        check(CoreSize { depth: Depth(5.0), ..TOOL }, "depth");
        check(CoreSize { bulk_density: BulkDensity(2.65), ..TOOL }, "bulk_density");
        check(CoreSize { water: -0.1, ..TOOL }, "water");
        assert_eq!(composite_mass(&TOOL, 0, &Ask::usual()).unwrap_err().argument(), "cores");
    }
}
