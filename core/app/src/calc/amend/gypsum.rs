//! Gypsum to replace exchangeable sodium.

use swardbook_agronomy::{
    gypsum::{GypsumAim, gypsum_by_foot_of_soil, gypsum_need, sodium_to_replace},
    sodicity::esp,
};
use swardbook_units::{Charge, Dose, Percent};

use super::{
    super::{Answer, Calculation, Given, InputSpec as In, OutputSpec as Out},
    BULK_DENSITY, CHARGE, DEPTH, GROUND, SHARE, joined, layer, material, with_visits,
};
use crate::Problem;

pub(super) const GYPSUM: Calculation = Calculation {
    id: "gypsum",
    title: "Gypsum to replace exchangeable sodium",
    inputs: &[
        In::number("cec", Charge::UNIT, CHARGE, "cation exchange capacity"),
        In::number("esp", "%", SHARE, "exchangeable sodium percentage").optional(),
        In::number("na", Charge::UNIT, CHARGE, "exchangeable sodium, in place of its share")
            .optional(),
        In::number("esp_target", "%", SHARE, "share of sodium wanted")
            .or_default("6", "rayment-lyons-2011: sodic from 6 %"),
        DEPTH,
        BULK_DENSITY,
        In::number("factor", "", (1.0, 2.0), "factor for calcium that goes past the sodium")
            .or_default("1.25", "ali-2010, its worked example"),
        In::number("purity", "%", (1.0, 100.0), "gypsum in the product")
            .or_default("100", "pure gypsum; the label says how much less"),
        GROUND,
    ],
    outputs: &[
        Out::new("esp", "%", "exchangeable sodium percentage"),
        Out::new("na", Charge::UNIT, "sodium to replace"),
        Out::new("gypsum", Dose::UNIT, "gypsum product"),
        Out::new(
            "by_foot_rule",
            Dose::UNIT,
            "by the printed 3.85 t/ha in 30 cm for each cmol/kg, with the same factor and purity",
        ),
        Out::new("visits", "", "visits on the ground asked"),
        Out::new("each", Dose::UNIT, "at each visit"),
        Out::new("days_between", "d", "least days between visits"),
        Out::new("years", "", "years they take"),
    ],
    sources: &["ali-2010", "atomic-weights", "rayment-lyons-2011", "definition", "common-practice"],
    run,
};

fn run(given: &Given) -> Result<Answer, Problem> {
    let cec = Charge(given.number("cec"));
    let (share, before) = match (given.number_if("esp"), given.number_if("na")) {
        (Some(_), Some(_)) => {
            return Err(Problem::bad("na", "give either esp or na: each says what the other does"));
        }
        (Some(share), None) => (Percent(share), None),
        (None, Some(na)) => {
            let worked = esp(Charge(na), cec)?;
            (worked.value, Some(worked.working))
        }
        (None, None) => {
            return Err(Problem::missing("esp", "give the share of sodium, or na itself"));
        }
    };
    let sodium = sodium_to_replace(cec, share, Percent(given.number("esp_target")))?;
    let aim = GypsumAim {
        sodium: sodium.value,
        layer: layer(given),
        excess: given.number("factor"),
        purity: Percent(given.number("purity")),
    };
    let dose = gypsum_need(&aim)?;
    let rule = gypsum_by_foot_of_soil(sodium.value, aim.layer.thickness)?;
    let by_rule = rule.value.value() * aim.excess * 100.0 / aim.purity.value();
    let working = match &before {
        Some(before) => joined(before.clone(), &sodium.working),
        None => sodium.working,
    };
    let answer = Answer::new(joined(working, &dose.working))
        .quantity("esp", share.value(), "%")
        .quantity("na", sodium.value.value(), Charge::UNIT)
        .quantity("gypsum", dose.value.value(), Dose::UNIT)
        .quantity("by_foot_rule", by_rule, Dose::UNIT);
    with_visits(answer, material("gypsum")?, dose.value.value(), given)
}
