//! How far a dose should move the soil test.

use swardbook_agronomy::{
    elements::parse_formula,
    expected_change::{element_in_dose, expected_change, kept_as_given, kept_fraction},
    lime::{ph_rise_by_buffer_capacity, ph_rise_by_texture},
    source,
};
use swardbook_units::{Content, Dose, Worked, Working};

use super::{
    super::{Answer, Calculation, Given, InputKind, InputSpec as In, OutputSpec as Out},
    BULK_DENSITY, DEPTH, DOSE, TEXTURE, joined, layer, material, texture,
};
use crate::Problem;

pub(super) const EXPECTED_CHANGE: Calculation = Calculation {
    id: "expected-change",
    title: "How far a dose should move the soil test",
    inputs: &[
        In::number("dose", Dose::UNIT, DOSE, "what is put on"),
        In::of(
            "of",
            InputKind::Text,
            "the element or oxide it is of, such as K or P2O5; CaCO3 for the pH rise of a lime",
        ),
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
        TEXTURE,
        In::number(
            "lime_buffer_capacity",
            Content::UNIT,
            (0.0, 20_000.0),
            "calcium carbonate for each kilogram of soil and pH unit, for a lime",
        )
        .optional(),
    ],
    outputs: &[
        Out::new("element", Dose::UNIT, "the element in the dose"),
        Out::new("change", Content::UNIT, "expected change of the test"),
        Out::new("low", Content::UNIT, "if the least is kept"),
        Out::new("high", Content::UNIT, "if the most is kept"),
        Out::new("kept", "", "share taken"),
        Out::new("ph_rise", "pH", "for a lime: expected rise, in place of the change"),
    ],
    sources: &[
        "definition",
        "tri-state-build-up",
        "atomic-weights",
        "common-practice",
        "miller-lime",
        "kissel-lime-buffer",
    ],
    run,
};

fn run(given: &Given) -> Result<Answer, Problem> {
    let of = given.word("of").trim();
    if of == "CaCO3" {
        return of_lime(given);
    }
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
        Some(own) => kept_as_given(own),
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

/// The pH rise of a lime by the soil's own buffer capacity, or by its texture.
fn of_lime(given: &Given) -> Result<Answer, Problem> {
    let dose = Dose(given.number("dose"));
    let (pure, before) = match given.word_if("material") {
        None => (dose, Working::default()),
        Some(name) => {
            let material = material(name)?;
            let worth = material.neutralising_value().filter(|worth| worth.value() > 0.0);
            let worth = worth.ok_or_else(|| {
                Problem::refused(format!("{} does not lime", material.name)).at("material")
            })?;
            let pure = dose.value() * worth.value() / 100.0;
            let working = Working::new("pure carbonate = lime x neutralising value")
                .given(&material.name, dose.value(), Dose::UNIT)
                .step(
                    "pure carbonate",
                    format!("{} x {:.1} / 100", dose.value(), worth.value()),
                    pure,
                    Dose::UNIT,
                )
                .source(source("rayment-lyons-2011"));
            (Dose(pure), working)
        }
    };
    let worked = match (given.number_if("lime_buffer_capacity"), texture(given)) {
        (Some(capacity), _) => ph_rise_by_buffer_capacity(pure, Content(capacity), &layer(given))?,
        (None, Some(texture)) => ph_rise_by_texture(pure, texture, &layer(given))?,
        (None, None) => {
            return Err(Problem::missing(
                "texture",
                "give the texture, or the soil's own lime buffer capacity",
            ));
        }
    };
    Ok(Answer::new(joined(before, &worked.working)).quantity("ph_rise", worked.value, "pH"))
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
