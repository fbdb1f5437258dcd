//! Units, acidity scales and exchangeable cations on the bench.

use swardbook_agronomy::{acidity, cations};
use swardbook_units::{Charge, Ph, Working, convert, parse_unit};

use super::{Answer, Calculation, Given, InputKind, InputSpec as In, OutputSpec as Out};
use crate::Problem;

const ANY: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);
const CHARGE: (f64, f64) = (0.0, 1000.0);

pub(super) const CONVERT: Calculation = Calculation {
    id: "convert",
    title: "Convert between units of one kind",
    inputs: &[
        In::number("value", "", ANY, "the number to convert"),
        In::of("from", InputKind::Text, "the unit it is in"),
        In::of("to", InputKind::Text, "the unit wanted"),
    ],
    outputs: &[Out::new("value", "", "the number in the unit wanted")],
    sources: &["definition"],
    run: run_convert,
};

fn run_convert(given: &Given) -> Result<Answer, Problem> {
    let unit = |name: &str| {
        parse_unit(given.word(name)).map_err(|e| Problem::bad(name, format!("{name}: {e}")))
    };
    let (from, to) = (unit("from")?, unit("to")?);
    let value = given.number("value");
    let result = convert(value, from, to)?;
    let working =
        Working::new("value in the unit wanted = value x size of the one / size of the other")
            .given("value", value, from.symbol)
            .step(
                "converted",
                format!("{value} x {} / {}", from.factor, to.factor),
                result,
                to.symbol,
            )
            .source(swardbook_agronomy::source("definition"));
    Ok(Answer::new(working).quantity("value", result, to.symbol))
}

pub(super) const ACIDITY_SCALE: Calculation = Calculation {
    id: "acidity-scale",
    title: "pH in water to pH in calcium chloride and back",
    inputs: &[
        In::number("ph", "pH", (0.0, 14.0), "the reading, 1:5"),
        In::of("from", InputKind::Word(&["water", "cacl2"]), "the scale it was read on"),
    ],
    outputs: &[
        Out::new("ph", "pH", "pH on the other scale, 1:5"),
        Out::new("half_width", "pH", "half of the range that published differences span"),
    ],
    sources: &["conyers-davey-1988", "rayment-lyons-2011", "nsw-acidity-2021", "dpird-acidity"],
    run: run_acidity_scale,
};

fn run_acidity_scale(given: &Given) -> Result<Answer, Problem> {
    let ph = Ph(given.number("ph"));
    let worked = match given.word("from") {
        "water" => acidity::cacl2_from_water(ph)?,
        _ => acidity::water_from_cacl2(ph)?,
    };
    Ok(Answer::new(worked.working).quantity("ph", worked.value.ph.value(), Ph::UNIT).quantity(
        "half_width",
        worked.value.half_width,
        Ph::UNIT,
    ))
}

pub(super) const CATIONS: Calculation = Calculation {
    id: "cations",
    title: "Sum, shares and ratios of exchangeable cations",
    inputs: &[
        In::number("ca", Charge::UNIT, CHARGE, "exchangeable calcium"),
        In::number("mg", Charge::UNIT, CHARGE, "exchangeable magnesium"),
        In::number("k", Charge::UNIT, CHARGE, "exchangeable potassium"),
        In::number("na", Charge::UNIT, CHARGE, "exchangeable sodium"),
        In::number("al", Charge::UNIT, CHARGE, "exchangeable aluminium").optional(),
        In::number("h", Charge::UNIT, CHARGE, "exchangeable hydrogen").optional(),
        In::number("mn", Charge::UNIT, CHARGE, "exchangeable manganese").optional(),
        In::number("cec", Charge::UNIT, CHARGE, "exchange capacity as reported").optional(),
    ],
    outputs: &[
        Out::new("ecec", Charge::UNIT, "effective exchange capacity"),
        Out::new("ca_share", "%", "share of calcium"),
        Out::new("mg_share", "%", "share of magnesium"),
        Out::new("k_share", "%", "share of potassium"),
        Out::new("esp", "%", "share of sodium"),
        Out::new("base_saturation", "%", "share of the four bases"),
        Out::new("al_saturation", "%", "share of aluminium, where measured"),
        Out::new("ca_mg", "", "calcium to magnesium, by charge"),
    ],
    sources: &["rayment-lyons-2011", "nsw-acidity-2021", "kopittke-menzies-2007"],
    run: run_cations,
};

fn run_cations(given: &Given) -> Result<Answer, Problem> {
    let measured = cations::ExchangeableCations {
        calcium: Charge(given.number("ca")),
        magnesium: Charge(given.number("mg")),
        potassium: Charge(given.number("k")),
        sodium: Charge(given.number("na")),
        aluminium: given.number_if("al").map(Charge),
        hydrogen: given.number_if("h").map(Charge),
        manganese: given.number_if("mn").map(Charge),
    };
    let capacity = given
        .number_if("cec")
        .map_or(cations::Capacity::SumOfCations, |cec| cations::Capacity::Reported(Charge(cec)));
    let worked = cations::cation_summary(&measured, capacity)?;
    let s = worked.value;
    Ok(Answer::new(worked.working)
        .quantity("ecec", s.ecec.value(), Charge::UNIT)
        .quantity("ca_share", s.calcium_share.value(), "%")
        .quantity("mg_share", s.magnesium_share.value(), "%")
        .quantity("k_share", s.potassium_share.value(), "%")
        .quantity("esp", s.esp.value(), "%")
        .quantity("base_saturation", s.base_saturation.value(), "%")
        .quantity_if("al_saturation", s.aluminium_saturation.map(|p| p.value()), "%")
        .quantity_if("ca_mg", s.calcium_to_magnesium, ""))
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use crate::{Code, calc::run};

    #[test]
    fn published_answers_through_the_catalogue() {
        // Conyers and Davey 1988: water 6.0 is calcium chloride 5.4.
        let answer = run("acidity-scale", &json!({ "ph": "6,0", "from": "water" })).unwrap();
        let ph = answer.to_json()["result"]["ph"]["value"].as_f64().unwrap();
        assert!((ph - 5.4).abs() < 1e-9, "{ph}");
        // Rayment and Lyons 2011: ECEC is the sum; NSW 2021 counts manganese.
        let panel = json!({ "ca": 3.1, "mg": 0.9, "k": 0.3, "na": 0.1, "al": 0.5, "mn": 0.1 });
        let answer = run("cations", &panel).unwrap().to_json();
        assert!((answer["result"]["ecec"]["value"].as_f64().unwrap() - 5.0).abs() < 1e-9, "sum");
        let share = answer["result"]["al_saturation"]["value"].as_f64().unwrap();
        assert!((share - 10.0).abs() < 1e-9, "{share}");
    }

    #[test]
    fn wrong_inputs_are_named() {
        let check = |id: &str, input: serde_json::Value, code: Code, field: &str| {
            let problem = run(id, &input).unwrap_err();
            assert_eq!((problem.code, problem.field.as_deref()), (code, Some(field)), "{problem}");
        };
        check("acidity-scale", json!({ "ph": 15, "from": "water" }), Code::BadInput, "ph");
        check("acidity-scale", json!({ "from": "water" }), Code::MissingInput, "ph");
        check("acidity-scale", json!({ "ph": 6, "from": "milk" }), Code::BadInput, "from");
        check("acidity-scale", json!({ "ph": 6, "from": "water", "x": 1 }), Code::BadInput, "x");
        check(
            "convert",
            json!({ "value": 1, "from": "furlong", "to": "m" }),
            Code::BadInput,
            "from",
        );
        let negative =
            json!({ "ca": { "value": -1, "unit": "meq/100 g" }, "mg": 1, "k": 1, "na": 1 });
        check("cations", negative, Code::BadInput, "ca");
        check("rain-dance", json!({}), Code::NotFound, "id");
    }
}
