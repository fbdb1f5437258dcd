//! Elemental sulfur to lower the pH, refused where there is free carbonate.

use swardbook_agronomy::sulfur::{
    Acidifier, FreeCarbonate, SulfurAim, in_place_of_sulfur, sulfur_by_tables,
    sulfur_eaten_by_carbonate, sulfur_need,
};
use swardbook_units::{Content, Dose, Percent, Ph, Worked};

use super::{
    super::{
        Answer, Calculation, Given, InputKind, InputSpec as In, OutputSpec as Out, ResultValue,
    },
    BULK_DENSITY, DEPTH, GROUND, PH, SHARE, TEXTURE, layer, material, texture, with_visits,
};
use crate::Problem;

pub(super) const SULFUR: Calculation = Calculation {
    id: "sulfur",
    title: "Elemental sulfur to lower the pH",
    inputs: &[
        In::number("ph", "pH", PH, "pH of the soil in water"),
        In::number("target", "pH", PH, "the pH wanted, on the same scale")
            .or_default("6.5", "handbook-sulfur-rates: its table goes to about 6.5"),
        In::of(
            "free_carbonate",
            InputKind::Word(&["absent", "present", "not-tested"]),
            "whether dry soil fizzes in vinegar",
        )
        .or_default("not-tested", "nobody has looked"),
        In::number("caco3", "%", SHARE, "free calcium carbonate, where it was measured").optional(),
        In::number(
            "lime_buffer_capacity",
            Content::UNIT,
            (0.0, 20_000.0),
            "calcium carbonate for each kilogram of soil and pH unit",
        )
        .optional(),
        TEXTURE,
        DEPTH,
        BULK_DENSITY,
        In::number("purity", "%", (1.0, 100.0), "sulfur in the product")
            .or_default("90", "rb209 and vegetable-guide-fertilisers: 80 to 92 %"),
        GROUND,
    ],
    outputs: &[
        Out::new("sulfur", Dose::UNIT, "sulfur itself, by the answer used"),
        Out::new("used", "", "the answer used"),
        Out::new("product", Dose::UNIT, "product of the purity given"),
        Out::new("side_by_side", "", "every answer there is"),
        Out::new("iron_sulfate", Dose::UNIT, "iron sulfate in its place, for bare ground only"),
        Out::new("visits", "", "visits on the ground asked"),
        Out::new("each", Dose::UNIT, "at each visit"),
        Out::new("days_between", "d", "least days between visits"),
        Out::new("years", "", "years they take"),
    ],
    sources: &[
        "kissel-lime-buffer",
        "atomic-weights",
        "handbook-sulfur-rates",
        "rhs-acidifying",
        "purdue-sulfur-turf",
        "ippolito-bauder",
        "sulfur-carbonate-newsletter",
    ],
    run,
};

fn carbonate(given: &Given) -> Result<FreeCarbonate, Problem> {
    let said = match given.word("free_carbonate") {
        "absent" => FreeCarbonate::Absent,
        "present" => FreeCarbonate::Present,
        _ => FreeCarbonate::NotTested,
    };
    let Some(share) = given.number_if("caco3") else { return Ok(said) };
    if share <= 0.0 {
        return Ok(if said == FreeCarbonate::Present { said } else { FreeCarbonate::Absent });
    }
    // Any measured carbonate is refused with what it would eat.
    let eaten = sulfur_eaten_by_carbonate(Percent(share), &layer(given))?;
    Err(Problem::refused(format!(
        "{share} % of free calcium carbonate would eat {:.0} g/m2 of sulfur before the pH moves: \
         lowering it is not practical",
        eaten.value.value()
    ))
    .at("caco3"))
}

fn run(given: &Given) -> Result<Answer, Problem> {
    let carbonate = carbonate(given)?;
    let ph = Ph(given.number("ph"));
    let target = Ph(given.number("target"));
    let mut answers: Vec<(String, Worked<Dose>)> = Vec::new();
    if let Some(capacity) = given.number_if("lime_buffer_capacity") {
        let aim =
            SulfurAim { ph, target, capacity: Content(capacity), layer: layer(given), carbonate };
        answers.push(("the soil's own buffer capacity".to_owned(), sulfur_need(&aim)?));
    }
    if let Some(texture) = texture(given) {
        match sulfur_by_tables(ph, texture, carbonate) {
            Ok(tables) => answers
                .extend(tables.into_iter().map(|answer| (answer.table.to_owned(), answer.sulfur))),
            // The tables say nothing for this pH; the soil's own capacity still may.
            Err(_) if !answers.is_empty() => {}
            Err(error) => return Err(error.into()),
        }
    }
    let Some((used, first)) = answers.first().cloned() else {
        return Err(Problem::missing(
            "lime_buffer_capacity",
            "give the soil's buffer capacity, or its texture for the printed tables",
        ));
    };
    let purity = given.number("purity");
    let product = first.value.value() * 100.0 / purity;
    let iron = in_place_of_sulfur(first.value, Acidifier::IronSulfate)?.value;
    let rows = answers.iter().map(|(by, worked)| {
        Answer::default()
            .words("by", by.clone())
            .quantity("sulfur", worked.value.value(), Dose::UNIT)
            .into_parts()
    });
    let working = first.working.clone().given("Sulfur in the product", purity, "%").step(
        "product",
        format!("{:.2} x 100 / {purity}", first.value.value()),
        product,
        Dose::UNIT,
    );
    let answer = Answer::new(working)
        .quantity("sulfur", first.value.value(), Dose::UNIT)
        .words("used", used)
        .quantity("product", product, Dose::UNIT)
        .value("side_by_side", ResultValue::List(rows.collect()))
        .quantity("iron_sulfate", iron.value(), Dose::UNIT);
    with_visits(answer, material("elemental-sulfur")?, product, given)
}
