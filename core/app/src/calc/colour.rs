//! One colour, and the difference of two, on the bench.

use swardbook_agronomy::source;
use swardbook_imaging::{
    difference::ciede2000,
    hsb::{dark_green_index, dark_green_index_held, hsb},
    lab::{Lab, lab_of, xyz},
    srgb::{Linear, Srgb},
};
use swardbook_units::Working;

use super::{Answer, Calculation, Given, InputSpec as In, OutputSpec as Out};
use crate::Problem;

const CODE: (f64, f64) = (0.0, 255.0);
const LIGHTNESS: (f64, f64) = (0.0, 100.0);
/// Wider than any colour that a surface can have.
const AXIS: (f64, f64) = (-200.0, 200.0);

pub(super) const COLOUR: Calculation = Calculation {
    id: "colour",
    title: "Hue, saturation, brightness, CIELAB and dark green colour index of a colour",
    inputs: &[
        In::number("r", "", CODE, "red, the sRGB code from 0 to 255"),
        In::number("g", "", CODE, "green, the sRGB code from 0 to 255"),
        In::number("b", "", CODE, "blue, the sRGB code from 0 to 255"),
    ],
    outputs: &[
        Out::new("hue", "degree", "hue, 0 red, 60 yellow, 120 green; a grey has none"),
        Out::new("saturation", "", "saturation, 0 to 1"),
        Out::new("brightness", "", "brightness, 0 to 1"),
        Out::new("index", "", "dark green colour index; a grey has none"),
        Out::new("index_hue_held", "", "the same with the hue held from 60 to 120 degrees"),
        Out::new("l", "", "CIELAB lightness, D65"),
        Out::new("a", "", "CIELAB red to green, D65"),
        Out::new("b", "", "CIELAB yellow to blue, D65"),
    ],
    sources: &["karcher-richardson-2003", "iec-61966-2-1", "cie-lab"],
    run: run_colour,
};

fn run_colour(given: &Given) -> Result<Answer, Problem> {
    let codes = ["r", "g", "b"].map(|channel| given.number(channel));
    let colour = Srgb(codes.map(|code| code / 255.0));
    let parts = hsb(colour);
    let light = colour.linear();
    let lab = lab_of(light);
    let [x, y, z] = xyz(light).0;
    let (s, v) = (parts.saturation, parts.brightness);
    let index = dark_green_index(parts);
    let [r, g, b] = colour.0;
    let (most, least) = (r.max(g).max(b), r.min(g).min(b));

    let mut working = Working::new("index = ((H - 60) / 60 + (1 - S) + (1 - B)) / 3")
        .given("Red", codes[0], "")
        .given("Green", codes[1], "")
        .given("Blue", codes[2], "")
        .step("brightness B", "greatest channel / 255".to_owned(), v, "")
        .step("saturation S", format!("({most:.4} - {least:.4}) / {most:.4}"), s, "")
        .source(source("karcher-richardson-2003"))
        .source(source("iec-61966-2-1"))
        .source(source("cie-lab"));
    if let (Some(hue), Some(index)) = (parts.hue, index) {
        working = working
            .step("hue H", hue_arithmetic(colour), hue, "degree")
            .step(
                "dark green colour index",
                format!("(({hue:.3} - 60) / 60 + (1 - {s:.4}) + (1 - {v:.4})) / 3"),
                index,
                "",
            )
            .caution(
                "A single colour without a grey card or chart beside it carries the cast of its \
                 light: compare only colours that were corrected the same way.",
            );
        if !(60.0..=120.0).contains(&hue) {
            working = working.caution(
                "The hue lies outside 60 to 120 degrees, where the index is meant to run from 0 \
                 to 1: brown below, blue-green above.",
            );
        }
    } else {
        working = working
            .caution("Red, green and blue are equal: a grey has no hue, and so it has no index.");
    }
    let Linear(light) = light;
    let working = working
        .step("red in linear light", decode_arithmetic(r), light[0], "")
        .step("green in linear light", decode_arithmetic(g), light[1], "")
        .step("blue in linear light", decode_arithmetic(b), light[2], "")
        .step("CIELAB lightness", format!("116 f({y:.5} / 1) - 16"), lab.l, "")
        .step("CIELAB a", format!("500 (f({x:.5} / 0.9505) - f({y:.5} / 1))"), lab.a, "")
        .step("CIELAB b", format!("200 (f({y:.5} / 1) - f({z:.5} / 1.089))"), lab.b, "");
    Ok(Answer::new(working)
        .quantity_if("hue", parts.hue, "degree")
        .quantity("saturation", s, "")
        .quantity("brightness", v, "")
        .quantity_if("index", index, "")
        .quantity_if("index_hue_held", dark_green_index_held(parts), "")
        .quantity("l", lab.l, "")
        .quantity("a", lab.a, "")
        .quantity("b", lab.b, ""))
}

fn hue_arithmetic(colour: Srgb) -> String {
    let [r, g, b] = colour.0;
    let most = r.max(g).max(b);
    let chroma = most - r.min(g).min(b);
    if r >= most {
        format!("60 x (({g:.4} - {b:.4}) / {chroma:.4} mod 6)")
    } else if g >= most {
        format!("60 x (({b:.4} - {r:.4}) / {chroma:.4} + 2)")
    } else {
        format!("60 x (({r:.4} - {g:.4}) / {chroma:.4} + 4)")
    }
}

fn decode_arithmetic(channel: f64) -> String {
    if channel <= 0.040_45 {
        format!("{channel:.4} / 12.92")
    } else {
        format!("(({channel:.4} + 0.055) / 1.055)^2.4")
    }
}

pub(super) const COLOUR_DIFFERENCE: Calculation = Calculation {
    id: "colour-difference",
    title: "Difference of two colours as an eye sees it (CIEDE2000)",
    inputs: &[
        In::number("l1", "", LIGHTNESS, "CIELAB lightness of the first"),
        In::number("a1", "", AXIS, "CIELAB a of the first"),
        In::number("b1", "", AXIS, "CIELAB b of the first"),
        In::number("l2", "", LIGHTNESS, "CIELAB lightness of the second"),
        In::number("a2", "", AXIS, "CIELAB a of the second"),
        In::number("b2", "", AXIS, "CIELAB b of the second"),
    ],
    outputs: &[
        Out::new("difference", "", "CIEDE2000 with all weights 1"),
        Out::new("difference_1976", "", "straight distance in CIELAB, for comparison"),
    ],
    sources: &["sharma-2005"],
    run: run_difference,
};

fn run_difference(given: &Given) -> Result<Answer, Problem> {
    let number = |name: &str| given.number(name);
    let one = Lab { l: number("l1"), a: number("a1"), b: number("b1") };
    let other = Lab { l: number("l2"), a: number("a2"), b: number("b2") };
    let difference = ciede2000(one, other);
    let (dl, da, db) = (other.l - one.l, other.a - one.a, other.b - one.b);
    let straight = (dl * dl + da * da + db * db).sqrt();
    let working = Working::new("dE = sqrt((dL/SL)^2 + (dC/SC)^2 + (dH/SH)^2 + RT (dC/SC)(dH/SH))")
        .given("L of the first", one.l, "")
        .given("a of the first", one.a, "")
        .given("b of the first", one.b, "")
        .given("L of the second", other.l, "")
        .given("a of the second", other.a, "")
        .given("b of the second", other.b, "")
        .step("straight distance", format!("sqrt({dl}^2 + {da}^2 + {db}^2)"), straight, "")
        .step("CIEDE2000", "equations 2 to 22 of the source".to_owned(), difference, "")
        .source(source("sharma-2005"))
        .caution("Both colours must be under the same white.")
        .caution(
            "A difference of about 1 is near what an eye can tell side by side (from memory, \
                 unconfirmed); what two photos of one spot differ by is usually more.",
        );
    Ok(Answer::new(working).quantity("difference", difference, "").quantity(
        "difference_1976",
        straight,
        "",
    ))
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use crate::{Code, calc::run};

    fn value(answer: &serde_json::Value, name: &str) -> f64 {
        answer["result"][name]["value"].as_f64().unwrap()
    }

    #[test]
    fn computed_answers_through_the_catalogue() {
        // fixtures/published/colour.toml, dgci-rgb-table and srgb-to-xyz-lab.
        let answer = run("colour", &json!({ "r": 86, "g": 125, "b": 70 })).unwrap().to_json();
        for (name, expected, tolerance) in [
            ("hue", 102.545_454_5, 1e-6),
            ("saturation", 0.44, 1e-9),
            ("brightness", 0.490_196_078_4, 1e-9),
            ("index", 0.592_964_943_6, 1e-9),
            ("index_hue_held", 0.592_964_943_6, 1e-9),
            ("l", 48.370_551, 1e-4),
            ("a", -24.714_771, 1e-4),
            ("b", 25.693_89, 1e-4),
        ] {
            let got = value(&answer, name);
            assert!((got - expected).abs() <= tolerance, "{name}: {got}");
        }
        let blue_green = run("colour", &json!({ "r": 0, "g": 100, "b": 60 })).unwrap().to_json();
        assert!((value(&blue_green, "index") - 0.735_947_712_4).abs() < 1e-9, "hue as it is");
        assert!((value(&blue_green, "index_hue_held") - 0.535_947_712_4).abs() < 1e-9, "hue held");
        let cautions = blue_green["cautions"].to_string();
        assert!(cautions.contains("outside 60 to 120"), "{cautions}");
    }

    #[test]
    fn a_grey_has_no_index() {
        let answer = run("colour", &json!({ "r": 60, "g": 60, "b": 60 })).unwrap().to_json();
        assert!(answer["result"]["hue"].is_null(), "{answer}");
        assert!(answer["result"]["index"].is_null(), "{answer}");
        assert!(answer["cautions"].to_string().contains("a grey has no hue"), "{answer}");
        let black = run("colour", &json!({ "r": 0, "g": 0, "b": 0 })).unwrap().to_json();
        assert!(black["result"]["index"].is_null(), "{black}");
    }

    #[test]
    fn published_difference_through_the_catalogue() {
        // Sharma, Wu and Dalal 2005, pair 25.
        let inputs = json!({
            "l1": 60.2574, "a1": -34.0099, "b1": 36.2677,
            "l2": 60.4626, "a2": -34.1751, "b2": 39.4387,
        });
        let answer = run("colour-difference", &inputs).unwrap().to_json();
        assert!((value(&answer, "difference") - 1.2644).abs() < 1e-4, "{answer}");
    }

    #[test]
    fn codes_that_cannot_be_are_named() {
        let problem = run("colour", &json!({ "r": 256, "g": 0, "b": 0 })).unwrap_err();
        assert_eq!((problem.code, problem.field.as_deref()), (Code::BadInput, Some("r")));
        let problem = run("colour-difference", &json!({ "l1": 50 })).unwrap_err();
        assert_eq!((problem.code, problem.field.as_deref()), (Code::MissingInput, Some("a1")));
    }
}
