//! How far a dose should move the soil test.

use swardbook_agronomy::{
    elements::parse_formula,
    expected_change::{KeptFraction, element_in_dose, expected_change, kept_fraction},
    source,
};
use swardbook_units::{Content, Dose, Worked, Working};

use super::{
    super::{Answer, Calculation, Given, InputKind, InputSpec as In, OutputSpec as Out},
    BULK_DENSITY, DEPTH, DOSE, joined, layer, material,
};
use crate::Problem;

pub(super) const EXPECTED_CHANGE: Calculation = Calculation {
    id: "expected-change",
    title: "How far a dose should move the soil test",
    inputs: &[
        In::number("dose", Dose::UNIT, DOSE, "what is put on"),
        In::of("of", InputKind::Text, "the element or oxide it is of, such as K or P2O5"),
        In::of(
            "material",
            InputKind::Text,
            "a material, where the dose is of it; `of` is then the element it brings",
        )
        .optional(),
        DEPTH,
        BULK_DENSITY,
        In::number(
            "kept",
            "",
            (0.0, 1.0),
            "share that the test finds again, of this ground's own retests",
        )
        .optional(),
    ],
    outputs: &[
        Out::new("element", Dose::UNIT, "the element in the dose"),
        Out::new("change", Content::UNIT, "expected change of the test"),
        Out::new("low", Content::UNIT, "if the least is kept"),
        Out::new("high", Content::UNIT, "if the most is kept"),
        Out::new("kept", "", "share taken"),
    ],
    sources: &["definition", "tri-state-build-up", "atomic-weights", "common-practice"],
    run,
};

fn run(given: &Given) -> Result<Answer, Problem> {
    let of = given.word("of").trim();
    let symbol = symbol_of(of)?;
    let dose = Dose(given.number("dose"));
    let element = match given.word_if("material") {
        Some(name) => {
            let material = material(name)?;
            if material.share_of(symbol) <= 0.0 {
                return Err(Problem::bad("of", format!("{} brings no {symbol}", material.name)));
            }
            let brought = material.element_in(dose, symbol);
            let percent = 100.0 * material.share_of(symbol);
            let mut working = Working::new("element = material x share of the element")
                .given(&material.name, dose.value(), Dose::UNIT)
                .given(&format!("{symbol} in it"), percent, "%")
                .step(
                    symbol,
                    format!("{} x {percent:.3} / 100", dose.value()),
                    brought.value(),
                    Dose::UNIT,
                );
            for share in material.nutrients().iter().filter(|share| share.symbol == symbol) {
                for source in &share.sources {
                    working = working.source(source.clone());
                }
            }
            Worked::new(brought, working)
        }
        None => element_in_dose(dose, of, symbol)?,
    };
    let kept = match given.number_if("kept") {
        Some(own) => KeptFraction {
            low: own,
            likely: own,
            high: own,
            source: source("definition"),
            from: "as given, of this ground's own retests",
        },
        None => kept_fraction(symbol),
    };
    let worked = expected_change(element.value, &layer(given), &kept)?;
    Ok(Answer::new(joined(element.working, &worked.working))
        .quantity("element", element.value.value(), Dose::UNIT)
        .quantity("change", worked.value.likely.value(), Content::UNIT)
        .quantity("low", worked.value.low.value(), Content::UNIT)
        .quantity("high", worked.value.high.value(), Content::UNIT)
        .quantity("kept", kept.likely, ""))
}

/// The one element of a symbol or oxide.
fn symbol_of(of: &str) -> Result<&'static str, Problem> {
    let wrong = |why: String| Problem::bad("of", why);
    let composition = parse_formula(of).map_err(|error| wrong(format!("of: {error}")))?;
    let mut elements = composition.elements().map(|(symbol, _)| symbol).filter(|s| *s != "O");
    match (elements.next(), elements.next()) {
        (Some(symbol), None) => Ok(symbol),
        _ => {
            Err(wrong(format!("of is \"{of}\"; it must be one element or its oxide, such as K2O")))
        }
    }
}
