//! Methods that rest, in whole or in part, on figures from memory.
//!
//! Each says so beside its answer and none is chosen while a confirmed method applies.

use swardbook_units::{Charge, Dose, Percent, Ph, Worked, Working};

use super::{
    Buffer, LIME,
    formula::{
        Inputs, LB_PER_ACRE, T_PER_HA, buffer_ph, charge, meant, mehlich_acidity,
        spread_over_layer, there,
    },
    table::{Outside, table},
};
use crate::{
    AgronomyError,
    elements::molar_mass,
    error::{not_negative, within},
    source,
};

/// Exchangeable hydrogen by the Adams-Evans buffer.
///
/// # Errors `Argument` when the pH is outside 3 to 8.1.
/// # Source `huluka-adams-evans`: 8 (8.00 - `BpH`).
pub fn adams_evans_hydrogen(buffer_ph: Ph) -> Result<Worked<Charge>, AgronomyError> {
    let ph = within(LIME, "buffer_ph", buffer_ph.value(), "pH", 3.0, 8.1)?;
    let hydrogen = (8.0 * (8.0 - ph)).max(0.0);
    let working = Working::new("exchangeable H = 8 x (8.00 - buffer pH)")
        .given("pH in the Adams-Evans buffer", ph, "pH")
        .step("exchangeable hydrogen", format!("8 x (8.00 - {ph})"), hydrogen, Charge::UNIT)
        .source(source("huluka-adams-evans"));
    Ok(Worked::new(Charge(hydrogen), working))
}

/// Share of the exchange that is acid at a pH, from 0 to 1: the smaller root of
/// pH = 7.79 - 5.55 H + 2.27 H^2.
///
/// # Source `adams-evans-1962`, from memory.
fn acid_share(ph: f64) -> f64 {
    // The parabola turns at H = 1.22, beyond all acid; its pH at H = 1 is 4.51.
    let inside = 5.55_f64.mul_add(5.55, -4.0 * 2.27 * (7.79 - ph));
    let share = (5.55 - inside.max(0.0).sqrt()) / (2.0 * 2.27);
    share.clamp(0.0, 1.0)
}

pub(super) fn adams_evans(
    inputs: &Inputs<'_>,
    working: Working,
) -> Result<(f64, Working), AgronomyError> {
    let (ph, working) = buffer_ph(Buffer::AdamsEvans, inputs, working)?;
    let hydrogen = adams_evans_hydrogen(Ph(ph))?;
    let start = there(inputs.start);
    let now = acid_share(start);
    let wanted = acid_share(inputs.target);
    let mut working = working.after(&hydrogen.working);
    working.equation.push("pH = 7.79 - 5.55 Hsat + 2.27 Hsat^2".to_owned());
    working.equation.push(
        "lime = 8000 x (8 - buffer pH) / Hsat now x (Hsat now - Hsat wanted) x 1.5".to_owned(),
    );
    if hydrogen.value.value() <= 0.0 || now <= 0.0 {
        let words = "the buffer took nothing up".to_owned();
        return Ok((0.0, working.step("lime", words, 0.0, "lb/acre")));
    }
    let capacity = hydrogen.value.value() / now;
    if capacity > 13.0 {
        return Err(AgronomyError::Refused {
            operation: LIME,
            argument: "buffer_ph",
            why: format!(
                "the exchange capacity comes out at {capacity:.1} cmol/kg; the method was made \
                 for ground below 13"
            ),
        });
    }
    let pounds = 1000.0 * capacity * (now - wanted) * 1.5;
    working = working
        .step("acid share now", format!("root at pH {start}"), now, "")
        .step("acid share wanted", format!("root at pH {}", inputs.target), wanted, "")
        .step(
            "exchange capacity",
            format!("{:.3} / {now:.4}", hydrogen.value.value()),
            capacity,
            Charge::UNIT,
        )
        .step(
            "lime",
            format!("1000 x {capacity:.3} x ({now:.4} - {wanted:.4}) x 1.5"),
            pounds,
            "lb/acre",
        )
        .caution("For sandy ground of low capacity and at most 5 US ton/acre.");
    Ok((pounds * LB_PER_ACRE, working))
}

/// Cumulative lime from a pH in calcium chloride up to 5.2, below zero above it.
fn up_to_five_two(cells: &[f64], ph: f64) -> f64 {
    let points = [(4.0, cells[0]), (4.3, cells[1]), (4.7, cells[2]), (5.2, 0.0), (5.5, -cells[3])];
    let upper = points.iter().position(|p| p.0 >= ph).unwrap_or(points.len() - 1).max(1);
    let ((a, from), (b, to)) = (points[upper - 1], points[upper]);
    from + (ph - a) / (b - a) * (to - from)
}

pub(super) fn by_exchange_capacity(
    inputs: &Inputs<'_>,
    mut working: Working,
) -> Result<(f64, Working), AgronomyError> {
    let ecec = charge(inputs.readings.ecec, "ecec")?;
    let start = there(inputs.start);
    let start = within(LIME, "ph", start, "pH in calcium chloride", 4.0, 5.5)?;
    let table = table("ecec");
    let mut cells = Vec::new();
    working.equation.push("printed table: exchange capacity against the pH started from".into());
    working = working.given("Effective exchange capacity", ecec, Charge::UNIT);
    for column in 0..table.targets.len() {
        let (cell, words) = table.down(column, ecec, Outside::MoreAbove, "ecec")?;
        let from = table.targets[column];
        let to = if column == 3 { 5.5 } else { 5.2 };
        working = working.step(&format!("from {from} to {to}"), words, cell, "t/ha");
        cells.push(cell);
    }
    let tonnes = up_to_five_two(&cells, start) - up_to_five_two(&cells, inputs.target);
    let working = working.step(
        "between the columns",
        format!("from {start:.2} to {:.2}", inputs.target),
        tonnes,
        "t/ha",
    );
    Ok((tonnes * T_PER_HA, meant(table, working)))
}

pub(super) fn carbon_and_clay(
    inputs: &Inputs<'_>,
    mut working: Working,
) -> Result<(f64, Working), AgronomyError> {
    let carbon = there(inputs.readings.organic_carbon).value();
    let carbon = within(LIME, "organic_carbon", carbon, Percent::UNIT, 0.0, 60.0)?;
    let clay = within(LIME, "clay", there(inputs.readings.clay).value(), "%", 0.0, 100.0)?;
    let rise = inputs.target - there(inputs.start);
    working.equation.push("capacity = 0.955 x organic carbon + 0.011 x clay".to_owned());
    working.equation.push("need = capacity x rise x soil over area".to_owned());
    let capacity = 0.955 * carbon + 0.011 * clay;
    let per_kg = capacity * rise * 1000.0;
    let working = working
        .given("Organic carbon", carbon, "%")
        .given("Clay", clay, "%")
        .step(
            "buffer capacity",
            format!("0.955 x {carbon} + 0.011 x {clay}"),
            capacity,
            "g CaCO3/kg for each pH unit",
        )
        .step("for each kilogram of soil", format!("{capacity:.4} x {rise:.3}"), per_kg, "mg/kg");
    spread_over_layer(per_kg, inputs, working)
}

pub(super) fn mehlich_1976(
    inputs: &Inputs<'_>,
    working: Working,
) -> Result<(f64, Working), AgronomyError> {
    let (ph, working) = buffer_ph(Buffer::Mehlich, inputs, working)?;
    let acidity = mehlich_acidity(Ph(ph))?;
    let ac = acidity.value;
    let need = 0.1 * ac * ac + ac;
    let depth = inputs.aim.layer.thickness.value();
    let depth = not_negative(LIME, "depth", depth, "mm")?;
    // 1 meq/100 cm3 is 10 mol of charge in a cubic metre, and half as many of carbonate.
    let grams_per_m3 = molar_mass("CaCO3")? * 10.0 / 2.0;
    let dose = need * grams_per_m3 * depth / 1000.0;
    let mut working = working.after(&acidity.working);
    working.equation.push("need = 0.1 x acidity^2 + acidity".to_owned());
    let working = working
        .step("carbonate", format!("0.1 x {ac:.3}^2 + {ac:.3}"), need, "meq/100 cm3")
        .step(
            "over the layer",
            format!("{need:.3} x {grams_per_m3:.1} g/m3 x {depth} mm / 1000"),
            dose,
            Dose::UNIT,
        )
        .source(source("atomic-weights"));
    Ok((dose, working))
}
