//! The arithmetic of each method, up to the dose for the layer its publication means.

use swardbook_units::{Charge, Content, Dose, Ph, Worked, Working};

use super::{
    Buffer, LIME, LimeAim, LimeMethod, LimeReadings, remembered,
    rise::rise_for_texture,
    table::{Outside, Table, table},
};
use crate::{AgronomyError, elements::molar_mass, error::within, source};

/// What a method works on: readings that are known to be there, on its own scale.
pub(super) struct Inputs<'a> {
    pub(super) readings: &'a LimeReadings,
    pub(super) aim: &'a LimeAim,
    /// pH of the soil, where it was given.
    pub(super) start: Option<f64>,
    /// The target; not used by methods that aim at none.
    pub(super) target: f64,
}

/// g/m2 in a pound to the acre.
pub(super) const LB_PER_ACRE: f64 = 453.592_37 / 4_046.856_422_4;
/// g/m2 in a US ton to the acre.
const TON_PER_ACRE: f64 = 2000.0 * LB_PER_ACRE;
/// g/m2 in a tonne to the hectare.
pub(super) const T_PER_HA: f64 = 100.0;
/// g/m2 in a kilogram to the hectare.
const KG_PER_HA: f64 = 0.1;

/// The dose for the layer the publication means, in g/m2.
pub(super) fn dose_as_published(
    method: LimeMethod,
    inputs: &Inputs<'_>,
    working: Working,
) -> Result<(Dose, Working), AgronomyError> {
    let (dose, working) = match method {
        LimeMethod::PennStateTurf => turf_table(inputs, working)?,
        LimeMethod::SikoraOregon => buffer_table("sikora-oregon", Buffer::Sikora, inputs, working)?,
        LimeMethod::MehlichQueensland => {
            let (dose, working) =
                buffer_table("mehlich-queensland", Buffer::Mehlich, inputs, working)?;
            let words = "At least 1 t/ha for each 20 cm where any is put on, and half as much \
                         again where plants stand little acidity (rayment-lyons-2011).";
            (dose, working.caution(words))
        }
        LimeMethod::Smp => {
            let (dose, working) = buffer_table("smp", Buffer::Smp, inputs, working)?;
            (dose, working.caution("Known to give too much on ground that is little buffered."))
        }
        LimeMethod::MehlichNorthCarolina => north_carolina(inputs, working)?,
        LimeMethod::PennStateField => field_equation(inputs, working)?,
        LimeMethod::BufferCapacity => buffer_capacity(inputs, working)?,
        LimeMethod::TextureVictoria => by_texture(inputs, working)?,
        LimeMethod::Aluminium => {
            let al = charge(inputs.readings.aluminium, "aluminium")?;
            let printed = 750.0 * al;
            let working = Working { equation: vec!["lime = 750 x Al".into()], ..working }
                .given("Exchangeable aluminium", al, Charge::UNIT)
                .step("calcium carbonate", format!("750 x {al}"), printed, "kg/ha");
            (printed * KG_PER_HA, working)
        }
        LimeMethod::TolerableAluminium => {
            let al = charge(inputs.readings.aluminium, "aluminium")?;
            let worked =
                lime_down_to_tolerable_aluminium(Charge(al), inputs.aim.tolerable_aluminium)?;
            let lime = worked.value.value();
            let pure = lime * CREGAN_LIME;
            let working = working.after(&worked.working).step(
                "as pure calcium carbonate",
                format!("{lime} x {CREGAN_LIME}"),
                pure,
                Dose::UNIT,
            );
            (pure, working)
        }
        LimeMethod::ExchangeableAcidity => {
            let acidity = charge(inputs.readings.exchangeable_acidity, "exchangeable_acidity")?;
            let per_kg = carbonate_for_acidity(Charge(acidity))?;
            on_layer(per_kg, inputs, working)?
        }
        LimeMethod::AdamsEvans => remembered::adams_evans(inputs, working)?,
        LimeMethod::Ecec => remembered::by_exchange_capacity(inputs, working)?,
        LimeMethod::CarbonAndClay => remembered::carbon_and_clay(inputs, working)?,
        LimeMethod::Mehlich1976 => remembered::mehlich_1976(inputs, working)?,
    };
    let unit = method.unit();
    Ok((
        Dose(dose),
        working.step(&format!("in g/m2, from {unit}"), format!("{dose:.4}"), dose, Dose::UNIT),
    ))
}

pub(super) fn there<T>(reading: Option<T>) -> T {
    reading.expect("lime_need asks for what is missing before a method is run")
}

pub(super) fn charge(
    reading: Option<Charge>,
    argument: &'static str,
) -> Result<f64, AgronomyError> {
    within(LIME, argument, there(reading).value(), Charge::UNIT, 0.0, 400.0)
}

/// The reading in a buffer, or in one whose scale is the same, with that word.
pub(super) fn buffer_ph(
    wanted: Buffer,
    inputs: &Inputs<'_>,
    mut working: Working,
) -> Result<(f64, Working), AgronomyError> {
    let buffers = &inputs.readings.buffers;
    let exact = buffers.iter().find(|b| b.buffer == wanted);
    let taken =
        there(exact.or_else(|| buffers.iter().find(|b| b.buffer.stands_for(wanted).is_some())));
    let ph = within(LIME, "buffer_ph", taken.ph.value(), "pH", 3.0, 8.1)?;
    working = working.given(&format!("pH in the {} buffer", taken.buffer.name()), ph, "pH");
    if taken.buffer != wanted {
        for key in there(taken.buffer.stands_for(wanted)) {
            working = working.source(source(key));
        }
        working = working.caution(
            "Read in another buffer that is reported on the same scale (from memory, unconfirmed).",
        );
    }
    Ok((ph, working))
}

fn buffer_table(
    id: &str,
    buffer: Buffer,
    inputs: &Inputs<'_>,
    working: Working,
) -> Result<(f64, Working), AgronomyError> {
    let (ph, working) = buffer_ph(buffer, inputs, working)?;
    let table = table(id);
    let mut working = working;
    working.equation.push(format!("printed table: {} against target pH", table.reading));
    let (cell, working) = table.at(ph, inputs.target, Outside::LessAbove, "buffer_ph", working)?;
    Ok((cell * table.to_dose, meant(table, working)))
}

pub(super) fn meant(table: &Table, mut working: Working) -> Working {
    for source in &table.sources {
        working = working.source(source.clone());
    }
    working.caution(&format!("The publication means {}.", table.lime))
}

fn turf_table(inputs: &Inputs<'_>, mut working: Working) -> Result<(f64, Working), AgronomyError> {
    let acidity = charge(inputs.readings.buffer_acidity, "buffer_acidity")?;
    let table = table("penn-state-turf");
    working.equation.push(format!("printed table: {} against target pH", table.reading));
    let working = working.given("Acidity by the Mehlich buffer", acidity, Charge::UNIT);
    if acidity <= 0.0 {
        return Ok((0.0, working));
    }
    let (cell, working) =
        table.at(acidity, inputs.target, Outside::MoreAbove, "buffer_acidity", working)?;
    Ok((cell * table.to_dose, meant(table, working)))
}

/// Acidity by the Mehlich buffer.
///
/// # Units  meq/100 cm3.
/// # Errors `Argument` when the pH is outside 3 to 8.1.
/// # Source `north-carolina-lime-factors`: 4 (6.6 - `BpH`), which is (6.6 - `BpH`) / 0.25.
pub fn mehlich_acidity(buffer_ph: Ph) -> Result<Worked<f64>, AgronomyError> {
    let ph = within(LIME, "buffer_ph", buffer_ph.value(), "pH", 3.0, 8.1)?;
    // Above the buffer's own pH the soil took nothing up.
    let acidity = (4.0 * (6.6 - ph)).max(0.0);
    let working = Working::new("acidity = 4 x (6.6 - buffer pH)")
        .given("pH in the Mehlich buffer", ph, "pH")
        .step("acidity", format!("4 x (6.6 - {ph})"), acidity, "meq/100 cm3")
        .source(source("north-carolina-lime-factors"));
    Ok(Worked::new(acidity, working))
}

fn north_carolina(inputs: &Inputs<'_>, working: Working) -> Result<(f64, Working), AgronomyError> {
    let (ph, mut working) = buffer_ph(Buffer::Mehlich, inputs, working)?;
    let acidity = mehlich_acidity(Ph(ph))?;
    let start = there(inputs.start);
    let target = inputs.target;
    let factor = (target - start) / (6.6 - start);
    let tons = acidity.value * factor;
    working = working.after(&acidity.working);
    working.equation.push("lime = acidity x (target - pH) / (6.6 - pH)".to_owned());
    working = working
        .step("factor", format!("({target} - {start}) / (6.6 - {start})"), factor, "")
        .step("lime", format!("{:.3} x {factor:.4}", acidity.value), tons, "US ton/acre")
        .caution(
            "Published for that state's standard lime; taken as pure here, which asks for no less.",
        );
    Ok((tons * TON_PER_ACRE, working))
}

/// Least lime for the goal of pH 6.5 by the field equation, lb/acre, where acidity is not above 4.
const FIELD_FLAT: f64 = 2000.0;

fn field_equation(
    inputs: &Inputs<'_>,
    mut working: Working,
) -> Result<(f64, Working), AgronomyError> {
    let acidity = charge(inputs.readings.buffer_acidity, "buffer_acidity")?;
    working.equation.push(
        "goal 7.0: 1000 x acidity; goal 6.5: 840 x acidity above 4.0, else 2000 lb/acre".to_owned(),
    );
    working = working.given("Acidity by the Mehlich buffer", acidity, Charge::UNIT);
    if acidity <= 0.0 {
        return Ok((0.0, working));
    }
    let to_seven = 1000.0 * acidity;
    let (to_six_five, words) = if inputs.start.is_some_and(|start| start >= 6.5) {
        (0.0, "the pH is not below 6.5: none".to_owned())
    } else if acidity > 4.0 {
        (840.0 * acidity, format!("840 x {acidity}"))
    } else {
        (FIELD_FLAT, "acidity not above 4.0: the flat dose".to_owned())
    };
    working = working.step("for goal 7.0", format!("1000 x {acidity}"), to_seven, "lb/acre").step(
        "for goal 6.5",
        words,
        to_six_five,
        "lb/acre",
    );
    let share = (inputs.target - 6.5) / 0.5;
    let dose = to_six_five + share * (to_seven - to_six_five);
    working = working.step(
        "between the two goals",
        format!("{to_six_five} + {share:.3} x ({to_seven} - {to_six_five})"),
        dose,
        "lb/acre",
    );
    Ok((dose * LB_PER_ACRE, working))
}

fn buffer_capacity(
    inputs: &Inputs<'_>,
    mut working: Working,
) -> Result<(f64, Working), AgronomyError> {
    let capacity = there(inputs.readings.lime_buffer_capacity).value();
    let capacity = within(LIME, "lime_buffer_capacity", capacity, Content::UNIT, 0.0, 20_000.0)?;
    let rise = inputs.target - there(inputs.start);
    working.equation.push("need = buffer capacity x rise x soil over area".to_owned());
    let per_kg = capacity * rise;
    let working = working
        .given("Lime buffer capacity", capacity, "mg CaCO3/kg for each pH unit")
        .step("for each kilogram of soil", format!("{capacity} x {rise:.3}"), per_kg, "mg/kg");
    spread_over_layer(per_kg, inputs, working)
}

/// mg of carbonate for each kg of soil, over the layer asked, in g/m2.
pub(super) fn spread_over_layer(
    per_kg: f64,
    inputs: &Inputs<'_>,
    working: Working,
) -> Result<(f64, Working), AgronomyError> {
    let mass = inputs.aim.layer.mass_over_area()?;
    let dose = per_kg * mass.value / 1000.0;
    let working = working.after(&mass.working).step(
        "over the layer",
        format!("{per_kg:.2} mg/kg x {:.1} kg/m2 / 1000", mass.value),
        dose,
        Dose::UNIT,
    );
    Ok((dose, working))
}

fn on_layer(
    per_kg: Worked<Content>,
    inputs: &Inputs<'_>,
    working: Working,
) -> Result<(f64, Working), AgronomyError> {
    spread_over_layer(per_kg.value.value(), inputs, working.after(&per_kg.working))
}

/// Calcium carbonate that meets an acidity, charge for charge.
///
/// # Units  mg CaCO3 for each kg of soil.
/// # Errors `Argument` for an acidity outside 0 to 400 cmol/kg.
/// # Source `rayment-lyons-2011` (500.4 mg/kg for 1 cmol/kg), computed from atomic weights.
pub fn carbonate_for_acidity(acidity: Charge) -> Result<Worked<Content>, AgronomyError> {
    let acidity = within(LIME, "exchangeable_acidity", acidity.value(), Charge::UNIT, 0.0, 400.0)?;
    // Two charges to each unit of carbonate.
    let per_cmol = molar_mass("CaCO3")? * 10.0 / 2.0;
    let content = per_cmol * acidity;
    let working = Working::new("CaCO3 = acidity x 10 x molar mass / 2")
        .given("Exchangeable acidity", acidity, Charge::UNIT)
        .step("calcium carbonate", format!("{acidity} x {per_cmol:.2}"), content, Content::UNIT)
        .source(source("atomic-weights"))
        .source(source("rayment-lyons-2011"))
        .caution("The least it can be: grounds take up more than potassium chloride brings out.");
    Ok(Worked::new(Content(content), working))
}

/// Share of pure calcium carbonate in the lime that the aluminium rule means, "near 90 %".
const CREGAN_LIME: f64 = 0.9;

/// Lime that brings exchangeable aluminium down to what the plants stand, as printed: for 10 cm at
/// 1.3 t/m3, of lime near 90 % of pure carbonate.
///
/// # Units  g/m2.
/// # Errors `Argument` for aluminium outside 0 to 400 cmol/kg.
/// # Source `rayment-lyons-2011`: kg/ha = 1300 (Al - tolerable Al).
pub fn lime_down_to_tolerable_aluminium(
    aluminium: Charge,
    tolerable: Charge,
) -> Result<Worked<Dose>, AgronomyError> {
    let al = within(LIME, "aluminium", aluminium.value(), Charge::UNIT, 0.0, 400.0)?;
    let stood = within(LIME, "tolerable_aluminium", tolerable.value(), Charge::UNIT, 0.0, 400.0)?;
    let lime = (1300.0 * (al - stood)).max(0.0);
    let dose = lime * KG_PER_HA;
    let working = Working::new("lime = 1300 x (Al - Al that is stood)")
        .given("Exchangeable aluminium", al, Charge::UNIT)
        .given("Aluminium that is stood", stood, Charge::UNIT)
        .step("lime near 90 %", format!("1300 x ({al} - {stood})"), lime, "kg/ha")
        .step("in g/m2", format!("{lime} / 10"), dose, Dose::UNIT)
        .source(source("rayment-lyons-2011"));
    Ok(Worked::new(Dose(dose), working))
}

fn by_texture(inputs: &Inputs<'_>, mut working: Working) -> Result<(f64, Working), AgronomyError> {
    let (rise_per_tonne, named) = rise_for_texture(there(inputs.readings.texture));
    let rise = inputs.target - there(inputs.start);
    working.equation.push("lime = rise / rise for each t/ha (+ 0.4 where C is above 1.2 %)".into());
    let mut tonnes = rise / rise_per_tonne;
    working = working.given("pH rise for each t/ha", rise_per_tonne, named).step(
        "lime",
        format!("{rise:.3} / {rise_per_tonne}"),
        tonnes,
        "t/ha",
    );
    match inputs.readings.organic_carbon {
        Some(carbon) => {
            let carbon = within(LIME, "organic_carbon", carbon.value(), "%", 0.0, 60.0)?;
            working = working.given("Organic carbon", carbon, "%");
            if carbon > 1.2 {
                let more = tonnes + 0.4;
                working = working.step(
                    "organic carbon above 1.2 %",
                    format!("{tonnes:.3} + 0.4"),
                    more,
                    "t/ha",
                );
                tonnes = more;
            }
        }
        None => {
            working = working
                .caution("Organic carbon was not given: above 1.2 % the source adds 0.4 t/ha.");
        }
    }
    let working = working
        .caution("A straight line between few textures: sample again before the target is near.")
        .caution("The source works lime in above 2 t/ha on sand and 4 t/ha on clay loam.");
    Ok((tonnes * T_PER_HA, working))
}
