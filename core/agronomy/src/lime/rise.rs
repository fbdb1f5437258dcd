//! How far a dose of lime lifts the pH.

use swardbook_units::{Content, Dose, Worked, Working};

use super::LIME;
use crate::{
    AgronomyError,
    error::{not_negative, positive},
    reading::SoilLayer,
    source,
    texture::Texture,
};

/// pH rise in calcium chloride for each t/ha of pure lime in 10 cm, and the source's own texture.
///
/// # Source `miller-lime`: clay 0.26, clay loam 0.37, sandy loam 0.57, sand 0.67.
/// Classes that the source does not name take the heavier of their neighbours.
pub(super) const fn rise_for_texture(texture: Texture) -> (f64, &'static str) {
    match texture {
        Texture::Sand | Texture::LoamySand => (0.67, "pH for each t/ha, sand"),
        Texture::SandyLoam => (0.57, "pH for each t/ha, sandy loam"),
        Texture::Loam | Texture::SiltLoam | Texture::SandyClayLoam | Texture::ClayLoam => {
            (0.37, "pH for each t/ha, clay loam")
        }
        Texture::LightClay | Texture::MediumClay | Texture::HeavyClay => {
            (0.26, "pH for each t/ha, clay")
        }
    }
}

/// Rise of pH in calcium chloride from pure lime mixed through a depth, by texture.
///
/// # Units  dose in g/m2 of pure calcium carbonate.
/// # Errors `Argument` for a negative dose or a depth that is not above zero.
/// # Source `miller-lime`, for 10 cm; scaled by depth.
pub fn ph_rise_by_texture(
    pure: Dose,
    texture: Texture,
    layer: &SoilLayer,
) -> Result<Worked<f64>, AgronomyError> {
    let dose = not_negative(LIME, "lime", pure.value(), Dose::UNIT)?;
    let depth = positive(LIME, "depth", layer.thickness.value(), "mm")?;
    let (per_tonne, named) = rise_for_texture(texture);
    let tonnes = dose / 100.0;
    let rise = per_tonne * tonnes * 100.0 / depth;
    let working = Working::new("rise = rise for each t/ha x t/ha x 10 cm / depth")
        .given("Lime", dose, Dose::UNIT)
        .given("pH rise for each t/ha in 10 cm", per_tonne, named)
        .given("Depth", depth, "mm")
        .step("rise", format!("{per_tonne} x {tonnes} x 100 / {depth}"), rise, "pH")
        .source(source("miller-lime"))
        .caution("A straight line: it bends near neutral, and lime takes most of a year to work.");
    Ok(Worked::new(rise, working))
}

/// Rise of pH from lime by the soil's own buffer capacity.
///
/// # Units  dose in g/m2 of pure calcium carbonate, capacity in mg CaCO3/kg for each pH unit.
/// # Errors `Argument` for a negative dose or a capacity that is not above zero.
/// # Source `kissel-lime-buffer`.
pub fn ph_rise_by_buffer_capacity(
    pure: Dose,
    capacity: Content,
    layer: &SoilLayer,
) -> Result<Worked<f64>, AgronomyError> {
    let dose = not_negative(LIME, "lime", pure.value(), Dose::UNIT)?;
    let capacity = positive(LIME, "lime_buffer_capacity", capacity.value(), Content::UNIT)?;
    let mass = layer.mass_over_area()?;
    let per_kg = dose * 1000.0 / mass.value;
    let rise = per_kg / capacity;
    let working = Working::new("rise = lime for each kg of soil / buffer capacity")
        .given("Lime", dose, Dose::UNIT)
        .given("Lime buffer capacity", capacity, "mg CaCO3/kg for each pH unit")
        .after(&mass.working)
        .step("for each kilogram", format!("{dose} x 1000 / {:.1}", mass.value), per_kg, "mg/kg")
        .step("rise", format!("{per_kg:.2} / {capacity}"), rise, "pH")
        .source(source("kissel-lime-buffer"))
        .caution("Agricultural lime acted as 73 % of pure carbonate in one thesis.");
    Ok(Worked::new(rise, working))
}
