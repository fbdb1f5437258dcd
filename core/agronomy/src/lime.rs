//! Lime need of acid ground: pure calcium carbonate for a layer and a target pH, by published
//! methods that stand side by side.
//!
//! A method that was not read in print is marked so and is never chosen while a confirmed one
//! applies.
//! This module does not own the quality of a lime (`neutralising_value`) or how a dose is split.

mod compare;
mod formula;
mod method;
mod remembered;
mod residual;
mod rise;
mod table;

use swardbook_units::{Charge, Content, Dose, Percent, Ph, Worked, Working};

pub use compare::{LimeAnswer, LimeComparison, compare_lime_needs, methods_supported};
pub use formula::{carbonate_for_acidity, lime_down_to_tolerable_aluminium, mehlich_acidity};
pub use method::{LimeBasis, LimeMethod, LimeReading};
pub use remembered::adams_evans_hydrogen;
pub use residual::{ResidualSoil, residual_credit};
pub use rise::{ph_rise_by_buffer_capacity, ph_rise_by_texture};

use crate::{
    AgronomyError,
    acidity::{AcidityScale, ScaledPh},
    error::{not_negative, within},
    reading::SoilLayer,
    source,
    texture::Texture,
};

pub(crate) const LIME: &str = "lime need";

/// A buffer that soil acidity is read in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Buffer {
    /// Sikora's.
    Sikora,
    /// Shoemaker, `McLean` and Pratt's.
    Smp,
    /// Mehlich's.
    Mehlich,
    /// Mehlich's with calcium in place of barium.
    ModifiedMehlich,
    /// Adams and Evans'.
    AdamsEvans,
}

impl Buffer {
    /// Every buffer.
    pub const ALL: [Self; 5] =
        [Self::Sikora, Self::Smp, Self::Mehlich, Self::ModifiedMehlich, Self::AdamsEvans];

    /// Key of the method of the reading, such as `buffer-smp`.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Sikora => "buffer-sikora",
            Self::Smp => "buffer-smp",
            Self::Mehlich => "buffer-mehlich",
            Self::ModifiedMehlich => "buffer-modified-mehlich",
            Self::AdamsEvans => "buffer-adams-evans",
        }
    }

    /// A buffer by its key.
    #[must_use]
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|buffer| buffer.id() == id)
    }

    /// Name in words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Sikora => "Sikora",
            Self::Smp => "SMP",
            Self::Mehlich => "Mehlich",
            Self::ModifiedMehlich => "modified Mehlich",
            Self::AdamsEvans => "Adams-Evans",
        }
    }

    /// Whether a reading in this buffer may be taken for one in the other, and on whose word.
    ///
    /// # Source `hoskins-erich-2008` and `sikora-2006`, both from memory: each is reported on the
    /// scale of the older buffer.
    pub(crate) const fn stands_for(self, other: Self) -> Option<&'static [&'static str]> {
        match (self, other) {
            (Self::ModifiedMehlich, Self::Mehlich) => Some(&["hoskins-erich-2008"]),
            (Self::Sikora, Self::Smp) => Some(&["sikora-2006"]),
            (Self::Sikora, Self::Sikora)
            | (Self::Smp, Self::Smp)
            | (Self::Mehlich, Self::Mehlich)
            | (Self::AdamsEvans, Self::AdamsEvans) => Some(&[]),
            _ => None,
        }
    }
}

/// A pH read in a buffer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BufferPh {
    /// The buffer.
    pub buffer: Buffer,
    /// The pH.
    pub ph: Ph,
}

impl BufferPh {
    /// The Mehlich buffer pH behind an acidity that was reported by volume.
    ///
    /// # Units  meq/100 cm3.
    /// # Errors `Argument` for an acidity outside 0 to 14, which the buffer cannot show.
    /// # Source `north-carolina-lime-factors`: acidity = 4 (6.6 - `BpH`), solved for the pH.
    pub fn from_mehlich_acidity(acidity: f64) -> Result<Self, AgronomyError> {
        let acidity = within(LIME, "mehlich_acidity", acidity, "meq/100 cm3", 0.0, 14.0)?;
        Ok(Self { buffer: Buffer::Mehlich, ph: Ph(6.6 - acidity / 4.0) })
    }
}

/// What is known of the soil's acidity.
#[derive(Debug, Clone, PartialEq)]
pub struct LimeReadings {
    /// pH of the soil.
    pub ph: Option<ScaledPh>,
    /// pH in each buffer that was read.
    pub buffers: Vec<BufferPh>,
    /// Acidity by the Mehlich buffer, reported by mass (meq/100 g).
    pub buffer_acidity: Option<Charge>,
    /// Aluminium by potassium chloride.
    pub aluminium: Option<Charge>,
    /// Aluminium and hydrogen by potassium chloride.
    pub exchangeable_acidity: Option<Charge>,
    /// Effective exchange capacity.
    pub ecec: Option<Charge>,
    /// Calcium carbonate for each kilogram of soil and pH unit.
    pub lime_buffer_capacity: Option<Content>,
    /// Organic carbon.
    pub organic_carbon: Option<Percent>,
    /// Clay.
    pub clay: Option<Percent>,
    /// Texture class.
    pub texture: Option<Texture>,
}

impl LimeReadings {
    /// Nothing is known.
    pub const NONE: Self = Self {
        ph: None,
        buffers: Vec::new(),
        buffer_acidity: None,
        aluminium: None,
        exchangeable_acidity: None,
        ecec: None,
        lime_buffer_capacity: None,
        organic_carbon: None,
        clay: None,
        texture: None,
    };

    /// Whether a reading is there.
    #[must_use]
    pub fn has(&self, reading: LimeReading) -> bool {
        use LimeReading as R;
        match reading {
            R::Ph => self.ph.is_some(),
            R::BufferPh(wanted) => {
                self.buffers.iter().any(|b| b.buffer.stands_for(wanted).is_some())
            }
            R::BufferAcidity => self.buffer_acidity.is_some(),
            R::Aluminium => self.aluminium.is_some(),
            R::ExchangeableAcidity => self.exchangeable_acidity.is_some(),
            R::Ecec => self.ecec.is_some(),
            R::LimeBufferCapacity => self.lime_buffer_capacity.is_some(),
            R::OrganicCarbon => self.organic_carbon.is_some(),
            R::Clay => self.clay.is_some(),
            R::Texture => self.texture.is_some(),
        }
    }

    /// What a method would still need.
    #[must_use]
    pub fn missing_for(&self, method: LimeMethod) -> Vec<LimeReading> {
        method.needs().iter().copied().filter(|reading| !self.has(*reading)).collect()
    }
}

/// What the lime is to reach.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LimeAim {
    /// The pH wanted.
    pub target: ScaledPh,
    /// The layer it is wanted in.
    pub layer: SoilLayer,
    /// Exchangeable aluminium that the plants stand, where the method works to one.
    pub tolerable_aluminium: Charge,
    /// Lime already put on that has not yet worked, as pure calcium carbonate.
    pub residual: Dose,
}

impl LimeAim {
    /// To a pH in a layer, with no aluminium stood and no lime still working.
    #[must_use]
    pub const fn to(target: ScaledPh, layer: SoilLayer) -> Self {
        Self { target, layer, tolerable_aluminium: Charge(0.0), residual: Dose(0.0) }
    }
}

/// Pure, fine calcium carbonate that the layer needs, by one method; zero when it is already there.
///
/// # Units  g/m2.
/// # Errors `Missing` naming a reading the method cannot do without, `Argument` for one that cannot
/// be, `Refused` for a target or reading outside what the method was published for.
/// # Source Those of the method ([`LimeMethod::source_keys`]).
pub fn lime_need(
    method: LimeMethod,
    readings: &LimeReadings,
    aim: &LimeAim,
) -> Result<Worked<Dose>, AgronomyError> {
    if let Some(reading) = readings.missing_for(method).first() {
        return Err(AgronomyError::Missing {
            operation: LIME,
            argument: reading.argument(),
            remedy: "this method cannot do without it; give it or choose another method",
        });
    }
    let residual = not_negative(LIME, "residual", aim.residual.value(), Dose::UNIT)?;
    let mut working = Working::default();
    let (start, target) = match scales(method, readings, aim, &mut working)? {
        Scaled::AlreadyThere(at, target) => {
            let working = said(method, working).step(
                "already at the target",
                format!("{at:.2} is not below {target:.2}"),
                0.0,
                Dose::UNIT,
            );
            return Ok(Worked::new(Dose(0.0), working));
        }
        Scaled::Below(start, target) => (start, target),
    };
    let inputs = formula::Inputs { readings, aim, start, target };
    let (printed, working) = formula::dose_as_published(method, &inputs, working)?;
    let (dose, mut working) = to_layer(method, printed, &aim.layer, working)?;
    // Less than a milligram is the last bit of a number, not a need.
    let need = if dose - residual < 1e-3 { 0.0 } else { dose - residual };
    if residual > 0.0 {
        working = working.given("Lime still working", residual, Dose::UNIT).step(
            "less the lime still working",
            format!("{dose:.2} - {residual}"),
            need,
            Dose::UNIT,
        );
    }
    Ok(Worked::new(Dose(need), said(method, working)))
}

/// The soil's pH and the target on the method's scale.
enum Scaled {
    /// The soil is not below the target.
    AlreadyThere(f64, f64),
    /// The soil's pH where it is known, and the target; zero for methods that aim at none.
    Below(Option<f64>, f64),
}

fn scales(
    method: LimeMethod,
    readings: &LimeReadings,
    aim: &LimeAim,
    working: &mut Working,
) -> Result<Scaled, AgronomyError> {
    let scale = method.scale().unwrap_or(aim.target.scale);
    let Some((low, high)) = method.targets() else {
        return Ok(Scaled::Below(None, 0.0));
    };
    let mut on_scale = |given: ScaledPh, name: &str| -> Result<f64, AgronomyError> {
        let converted = given.on(scale)?;
        *working = std::mem::take(working).given(name, given.ph.value(), given.scale.name());
        if given.scale != scale {
            *working = std::mem::take(working).after(&converted.working);
        }
        Ok(converted.value.ph.value())
    };
    let target = on_scale(aim.target, "Target")?;
    let start = readings.ph.map(|ph| on_scale(ph, "pH of the soil")).transpose()?;
    if let Some(start) = start {
        within(LIME, "ph", start, "pH", 1.8, 12.5)?;
        if start >= target {
            return Ok(Scaled::AlreadyThere(start, target));
        }
    } else {
        *working = std::mem::take(working)
            .caution("The soil's own pH was not given: no lime where it is already at the target.");
    }
    if !(low - 1e-9..=high + 1e-9).contains(&target) {
        return Err(AgronomyError::Refused {
            operation: LIME,
            argument: "target",
            why: format!(
                "{target:.2} ({}) is outside what \"{}\" was published for ({low} to {high})",
                scale.name(),
                method.title()
            ),
        });
    }
    Ok(Scaled::Below(start, target))
}

/// The dose for the layer asked, from the dose for the layer published.
fn to_layer(
    method: LimeMethod,
    published: Dose,
    layer: &SoilLayer,
    working: Working,
) -> Result<(f64, Working), AgronomyError> {
    let dose = published.value();
    let mass = layer.mass_over_area()?;
    let depth = layer.thickness.value();
    Ok(match method.basis() {
        LimeBasis::Own => (dose, working),
        LimeBasis::AsPrinted => (
            dose,
            working.caution(
                "The source names no depth: the dose is as printed and is not scaled to the layer.",
            ),
        ),
        LimeBasis::Depth { depth_mm } => {
            let scaled = dose * depth / depth_mm;
            let working = working
                .given("Depth", depth, "mm")
                .step(
                    "for the depth asked",
                    format!("{dose:.2} x {depth} / {depth_mm}"),
                    scaled,
                    Dose::UNIT,
                )
                .caution(
                    "The source does not state its bulk density: only the depth is scaled, and \
                     light or heavy ground needs less or more.",
                );
            (scaled, working)
        }
        LimeBasis::SoilMass { kg_per_m2, words } => {
            let scaled = dose * mass.value / kg_per_m2;
            let working = working
                .given("Soil the source is for", kg_per_m2, "kg/m2")
                .after(&mass.working)
                .step(
                    &format!("for the layer asked; the source's is {words}"),
                    format!("{dose:.2} x {:.1} / {kg_per_m2:.1}", mass.value),
                    scaled,
                    Dose::UNIT,
                );
            (scaled, working)
        }
    })
}

/// Adds the method's sources and what to mind.
fn said(method: LimeMethod, mut working: Working) -> Working {
    for source in method.sources() {
        working = working.source(source);
    }
    if !method.aims_at_ph() {
        working = working
            .caution("This meets the acidity that was measured; it does not aim at the target pH.");
    }
    working
        .source(source("tri-state-1995"))
        .caution(
            "Pure, fine calcium carbonate mixed through the layer. Lime left on the surface of \
             grass works down slowly: sample and dose the top 10 cm only.",
        )
        .caution(
            "An estimate: put on part, sample again the same way, and do not pass the target. \
             Wear a mask and goggles against lime dust; local rules and the label come first.",
        )
}

impl LimeMethod {
    /// Name of the scale its target is on, or of the target's own where it works on either.
    #[must_use]
    pub fn scale_name(self) -> &'static str {
        self.scale().map_or("either scale of pH", AcidityScale::name)
    }
}

#[cfg(test)]
mod tests;
