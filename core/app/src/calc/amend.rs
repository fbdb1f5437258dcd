//! Amendments on the bench: lime need and quality, gypsum, sulfur, nutrient need, expected change.

mod change;
mod gypsum;
mod lime;
mod need;
mod quality;
mod sulfur;

use swardbook_agronomy::{
    materials::{LimitGround, Material, find_material, materials},
    reading::SoilLayer,
    split::{SplitRules, split_dose},
    texture::Texture,
};
use swardbook_units::{BulkDensity, Depth, Dose, Working};

use super::{Answer, Calculation, Given, InputKind, InputSpec as In};
use crate::Problem;

/// Every calculation of this file's subject, in the order of the main job.
pub(super) const ALL: [Calculation; 6] = [
    lime::LIME,
    quality::NEUTRALISING_VALUE,
    gypsum::GYPSUM,
    sulfur::SULFUR,
    need::NUTRIENT_NEED,
    change::EXPECTED_CHANGE,
];

const PH: (f64, f64) = (0.0, 14.0);
const SHARE: (f64, f64) = (0.0, 100.0);
const CHARGE: (f64, f64) = (0.0, 400.0);
const CONTENT: (f64, f64) = (0.0, 1_000_000.0);
const DOSE: (f64, f64) = (0.0, 100_000.0);

const DEPTH: In = In::number("depth", "mm", (1.0, 2000.0), "depth of the layer")
    .or_default("100", "common practice: the top 10 cm of grass, as sampled");
const BULK_DENSITY: In =
    In::number("bulk_density", "t/m3", (0.1, 2.2), "bulk density of the layer")
        .or_default("1.3", "common practice: between the 1.0 and 1.5 that published rules assume");
const TEXTURES: &[&str] = &[
    "sand",
    "loamy-sand",
    "sandy-loam",
    "loam",
    "silt-loam",
    "sandy-clay-loam",
    "clay-loam",
    "light-clay",
    "medium-clay",
    "heavy-clay",
];
const TEXTURE: In = In::of("texture", InputKind::Word(TEXTURES), "texture of the layer").optional();
const GROUND: In = In::of(
    "ground",
    InputKind::Word(&["grass", "low-mown", "garden"]),
    "the ground it goes on, for the most at one visit",
)
.or_default("grass", "common practice: established grass mown at lawn height");

fn layer(given: &Given) -> SoilLayer {
    SoilLayer {
        thickness: Depth(given.number("depth")),
        bulk_density: BulkDensity(given.number("bulk_density")),
    }
}

fn texture(given: &Given) -> Option<Texture> {
    given.word_if("texture").and_then(Texture::from_id)
}

/// A material by its id or name.
fn material(name: &str) -> Result<&'static Material, Problem> {
    find_material(name).ok_or_else(|| {
        let known = materials().iter().map(|m| m.id.as_str()).collect::<Vec<_>>().join(", ");
        Problem::bad("material", format!("there is no material \"{name}\"; there are {known}"))
    })
}

/// Adds how a dose of a material is split into visits on the ground asked.
fn with_visits(
    answer: Answer,
    material: &Material,
    dose: f64,
    given: &Given,
) -> Result<Answer, Problem> {
    let ground = LimitGround::from_id(given.word("ground")).unwrap_or(LimitGround::Grass);
    let Some(most) = material.single_dose(ground)? else {
        return Ok(answer.quantity_if("visits", None, "").quantity_if("each", None, Dose::UNIT));
    };
    let rules = SplitRules {
        single_dose: most.value.dose,
        interval_days: material.interval(),
        per_year: material.yearly_dose(),
    };
    let split = split_dose(Dose(dose), &rules)?;
    let each = split.value.visits.first().map_or(0.0, |visit| visit.dose.value());
    let count = u32::try_from(split.value.visits.len()).map_or(f64::INFINITY, f64::from);
    let years = f64::from(split.value.years());
    let water_in = material.has_to_be_watered_in(Dose(each), ground);
    Ok(answer
        .with_working(|w| {
            let w = joined(w, &most.working);
            let w = joined(w, &split.working);
            if water_in {
                w.caution("Water in: so much at one visit burns on the leaf.")
            } else {
                w
            }
        })
        .quantity("visits", count, "")
        .quantity("each", each, Dose::UNIT)
        .quantity("days_between", f64::from(material.interval()), "d")
        .quantity("years", years, ""))
}

/// A working followed by another that builds on it.
fn joined(first: Working, then: &Working) -> Working {
    then.clone().after(&first)
}
