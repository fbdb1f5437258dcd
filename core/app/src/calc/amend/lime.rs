//! Lime need by a named method or by the first confirmed one, with the others beside it.

use swardbook_agronomy::{
    acidity::ScaledPh,
    lime::{
        Buffer, BufferPh, LimeAim, LimeComparison, LimeMethod, LimeReadings, ResidualSoil,
        compare_lime_needs, lime_need, residual_credit,
    },
    materials::Material,
    neutralising_value::product_dose,
};
use swardbook_units::{Charge, Content, Dose, Percent, Ph, Worked, Working};

use super::{
    super::{
        Answer, Calculation, Given, InputKind, InputSpec as In, OutputSpec as Out, ResultValue,
    },
    BULK_DENSITY, CHARGE, DEPTH, DOSE, GROUND, PH, SHARE, TEXTURE, joined, layer, material,
    texture, with_visits,
};
use crate::Problem;

/// Chooses for the person; the other words are the methods' keys.
const BEST: &str = "best";

const METHODS: &[&str] = &[
    BEST,
    "penn-state-turf",
    "sikora-oregon",
    "mehlich-north-carolina",
    "penn-state-field",
    "mehlich-queensland",
    "buffer-capacity",
    "texture-victoria",
    "tolerable-aluminium",
    "aluminium",
    "exchangeable-acidity",
    "smp",
    "adams-evans",
    "ecec",
    "carbon-and-clay",
    "mehlich-1976",
];

const SCALES: &[&str] = &["water", "cacl2"];

pub(super) const LIME: Calculation = Calculation {
    id: "lime",
    title: "Lime need of acid ground, by published methods side by side",
    inputs: &[
        In::of("method", InputKind::Word(METHODS), "the method, or \"best\"").or_default(
            BEST,
            "the first confirmed method that has its readings; one from memory only where no other \
             applies",
        ),
        In::number("target", "pH", PH, "the pH wanted")
            .or_default("6.5", "ohio-lawn-ph-2021: 6.0 to 7.0 for turf, in water"),
        In::of("target_scale", InputKind::Word(SCALES), "the scale of the target")
            .or_default("water", "turf targets are printed in water"),
        In::number("ph", "pH", PH, "pH of the soil, 1:5").optional(),
        In::of("ph_scale", InputKind::Word(SCALES), "the scale of the soil's pH")
            .or_default("water", "as most laboratories report it"),
        DEPTH,
        BULK_DENSITY,
        In::number("buffer_ph", "pH", (3.0, 8.1), "pH in the buffer").optional(),
        In::of(
            "buffer",
            InputKind::Word(&["sikora", "smp", "mehlich", "modified-mehlich", "adams-evans"]),
            "the buffer it was read in",
        )
        .optional(),
        In::number(
            "mehlich_acidity",
            "meq/100 cm3",
            (0.0, 14.0),
            "acidity by the Mehlich buffer, reported by volume",
        )
        .optional(),
        In::number(
            "buffer_acidity",
            Charge::UNIT,
            CHARGE,
            "acidity by the Mehlich buffer, reported by mass",
        )
        .optional(),
        In::number("aluminium", Charge::UNIT, CHARGE, "aluminium by potassium chloride").optional(),
        In::number(
            "tolerable_aluminium",
            Charge::UNIT,
            CHARGE,
            "aluminium that the plants stand, for the method that works to it",
        )
        .or_default("0", "common practice: none where nothing is known of the plants"),
        In::number(
            "exchangeable_acidity",
            Charge::UNIT,
            CHARGE,
            "aluminium and hydrogen by potassium chloride",
        )
        .optional(),
        In::number("ecec", Charge::UNIT, CHARGE, "effective exchange capacity").optional(),
        In::number(
            "lime_buffer_capacity",
            Content::UNIT,
            (0.0, 20_000.0),
            "calcium carbonate for each kilogram of soil and pH unit",
        )
        .optional(),
        In::number("organic_carbon", "%", (0.0, 60.0), "organic carbon").optional(),
        In::number("clay", "%", SHARE, "clay content").optional(),
        TEXTURE,
        In::number("residual", Dose::UNIT, DOSE, "lime still working, as pure carbonate")
            .or_default("0", "nothing put on in the last year"),
        In::number(
            "earlier_lime",
            Dose::UNIT,
            DOSE,
            "lime put on before, as pure carbonate, in place of what still works of it",
        )
        .optional(),
        In::number("earlier_months", "", (0.0, 600.0), "months since it was put on").optional(),
        In::of(
            "earlier_soil",
            InputKind::Word(&["mineral", "organic"]),
            "the soil it went on, for how fast it is used up",
        )
        .or_default("mineral", "north-carolina-lime-factors: most soils are mineral"),
        In::number(
            "effective_value",
            "%",
            (1.0, 260.0),
            "what the lime to be bought is worth against pure, fine carbonate",
        )
        .optional(),
        In::of(
            "material",
            InputKind::Text,
            "a lime of the table, for its worth where none is given and for its visits",
        )
        .optional(),
        GROUND,
    ],
    outputs: &[
        Out::new("method", "", "the method used"),
        Out::new("title", "", "its title"),
        Out::new("confidence", "", "the word that must stand beside it; empty where none"),
        Out::new("pure", Dose::UNIT, "pure, fine calcium carbonate"),
        Out::new("product", Dose::UNIT, "the lime to be bought, where its worth is given"),
        Out::new("visits", "", "visits on the ground asked, where a material is named"),
        Out::new("each", Dose::UNIT, "at each visit"),
        Out::new("days_between", "d", "least days between visits"),
        Out::new("years", "", "years they take"),
        Out::new("low", Dose::UNIT, "least answer of the confirmed methods that aim at a pH"),
        Out::new("high", Dose::UNIT, "greatest of them"),
        Out::new("reason", "", "why that method"),
        Out::new("side_by_side", "", "every method that answers, with its need"),
        Out::new("missing", "", "methods that lack a reading, and which"),
        Out::new("not_applied", "", "methods that have their readings and do not answer, and why"),
    ],
    sources: &[
        "penn-state-turf-lime",
        "moore-2025",
        "north-carolina-lime-factors",
        "penn-state-agronomy-guide-lime",
        "rayment-lyons-2011",
        "kissel-lime-buffer",
        "miller-lime",
        "brady-weil-2008",
        "tri-state-1995",
        "shoemaker-1961",
        "huluka-adams-evans",
        "adams-evans-1962",
        "upjohn-2005",
        "aitken-1990",
        "mehlich-1976",
    ],
    run,
};

fn scaled(ph: f64, scale: &str) -> ScaledPh {
    if scale == "water" { ScaledPh::water(ph) } else { ScaledPh::calcium_chloride(ph) }
}

fn readings(given: &Given) -> Result<LimeReadings, Problem> {
    let mut buffers = Vec::new();
    match (given.number_if("buffer_ph"), given.word_if("buffer")) {
        (Some(ph), Some(name)) => {
            let buffer = Buffer::from_id(&format!("buffer-{name}"))
                .expect("the words of the input are the buffers' keys; a test reads them all");
            buffers.push(BufferPh { buffer, ph: Ph(ph) });
        }
        (Some(_), None) => {
            return Err(Problem::missing(
                "buffer",
                "say which buffer the pH was read in; without it the number means nothing",
            ));
        }
        (None, Some(_)) => return Err(Problem::missing("buffer_ph", "give the pH in the buffer")),
        (None, None) => {}
    }
    if let Some(acidity) = given.number_if("mehlich_acidity") {
        buffers.push(BufferPh::from_mehlich_acidity(acidity)?);
    }
    let charge = |name: &str| given.number_if(name).map(Charge);
    Ok(LimeReadings {
        ph: given.number_if("ph").map(|ph| scaled(ph, given.word("ph_scale"))),
        buffers,
        buffer_acidity: charge("buffer_acidity"),
        aluminium: charge("aluminium"),
        exchangeable_acidity: charge("exchangeable_acidity"),
        ecec: charge("ecec"),
        lime_buffer_capacity: given.number_if("lime_buffer_capacity").map(Content),
        organic_carbon: given.number_if("organic_carbon").map(Percent),
        clay: given.number_if("clay").map(Percent),
        texture: texture(given),
    })
}

fn run(given: &Given) -> Result<Answer, Problem> {
    let readings = readings(given)?;
    let residual = residual(given)?;
    let aim = LimeAim {
        target: scaled(given.number("target"), given.word("target_scale")),
        layer: layer(given),
        tolerable_aluminium: Charge(given.number("tolerable_aluminium")),
        residual: residual.value,
    };
    let all = compare_lime_needs(&readings, &aim);
    let (method, worked, reason) = match LimeMethod::from_id(given.word("method")) {
        Some(method) => (
            method,
            lime_need(method, &readings, &aim)?,
            "the method that was asked for".to_owned(),
        ),
        None => {
            let used = all.used().ok_or_else(|| nothing(&all))?;
            let worked = Worked::new(used.need, used.working.clone());
            (used.method, worked, all.reason.clone())
        }
    };
    let pure = worked.value;
    let named = given.word_if("material").map(liming).transpose()?;
    let worth = given
        .number_if("effective_value")
        .map(Percent)
        .or_else(|| named.and_then(Material::neutralising_value));
    let product = worth.map(|worth| product_dose(pure, worth)).transpose()?;
    let confidence = worked.working.confidence().words();
    let working = joined(residual.working, &worked.working);
    let working = match &product {
        Some(product) => joined(working, &product.working),
        None => working,
    };
    let spread = |part: fn((Dose, Dose)) -> Dose| all.spread.map(|s| part(s).value());
    let to_buy = product.map(|p| p.value.value());
    let answer = Answer::new(working)
        .words("method", method.id())
        .words("title", method.title())
        .words("confidence", confidence)
        .quantity("pure", pure.value(), Dose::UNIT)
        .quantity_if("product", to_buy, Dose::UNIT)
        .quantity_if("low", spread(|s| s.0), Dose::UNIT)
        .quantity_if("high", spread(|s| s.1), Dose::UNIT)
        .words("reason", reason)
        .value("side_by_side", side_by_side(&all))
        .value("missing", missing(&readings))
        .value("not_applied", not_applied(&all));
    match (named, to_buy) {
        (Some(material), Some(dose)) => with_visits(answer, material, dose, given),
        _ => Ok(answer),
    }
}

/// A material that limes.
fn liming(name: &str) -> Result<&'static Material, Problem> {
    let material = material(name)?;
    if material.neutralising_value().is_some_and(|worth| worth.value() > 0.0) {
        return Ok(material);
    }
    Err(Problem::refused(format!("{} does not lime: it cannot meet a lime need", material.name))
        .at("material"))
}

fn side_by_side(all: &LimeComparison) -> ResultValue {
    let rows = all.answers.iter().map(|answer| {
        Answer::default()
            .words("method", answer.method.id())
            .words("title", answer.method.title())
            .quantity("pure", answer.need.value(), Dose::UNIT)
            .words("confidence", answer.working.confidence().words())
            .flag("aims_at_ph", answer.method.aims_at_ph())
            .into_parts()
    });
    ResultValue::List(rows.collect())
}

/// Lime still working: as given, or from an earlier application.
fn residual(given: &Given) -> Result<Worked<Dose>, Problem> {
    match (given.number_if("earlier_lime"), given.number_if("earlier_months")) {
        (None, None) => Ok(Worked::new(Dose(given.number("residual")), Working::default())),
        (Some(_), None) => {
            Err(Problem::missing("earlier_months", "say how long ago the lime was put on"))
        }
        (None, Some(_)) => {
            Err(Problem::missing("earlier_lime", "say how much lime was put on then"))
        }
        (Some(_), Some(_)) if !given.is_default("residual") => Err(Problem::bad(
            "residual",
            "give either what still works or the earlier lime with its months, not both",
        )),
        (Some(lime), Some(months)) => {
            let soil = match given.word("earlier_soil") {
                "organic" => ResidualSoil::Organic,
                _ => ResidualSoil::Mineral,
            };
            Ok(residual_credit(Dose(lime), months, soil)?)
        }
    }
}

fn missing(readings: &LimeReadings) -> ResultValue {
    let rows = LimeMethod::ALL.into_iter().filter_map(|method| {
        let missing = readings.missing_for(method);
        (!missing.is_empty()).then(|| {
            let names: Vec<String> = missing.iter().map(|reading| reading.name()).collect();
            Answer::default()
                .words("method", method.id())
                .words("needs", names.join(", "))
                .into_parts()
        })
    });
    ResultValue::List(rows.collect())
}

fn not_applied(all: &LimeComparison) -> ResultValue {
    let rows = all.refused.iter().map(|(method, why)| {
        Answer::default().words("method", method.id()).words("why", why.to_string()).into_parts()
    });
    ResultValue::List(rows.collect())
}

/// Why no method answers: what each that has its readings says, or what to give.
fn nothing(all: &LimeComparison) -> Problem {
    match all.refused.first() {
        Some((_, error)) => error.clone().into(),
        None => Problem::missing(
            "buffer_ph",
            "no method has its readings: give a buffer pH with its buffer, or the pH with texture, \
             or an acidity, or aluminium",
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_words_are_the_methods_and_the_buffers() {
        let methods: Vec<&str> = LimeMethod::ALL.iter().map(|m| m.id()).collect();
        assert_eq!(METHODS[1..], methods, "in the order of choice");
        for input in LIME.inputs {
            if let (InputKind::Word(words), "buffer") = (input.kind, input.name) {
                for word in words {
                    assert!(Buffer::from_id(&format!("buffer-{word}")).is_some(), "{word}");
                }
                assert_eq!(words.len(), Buffer::ALL.len(), "all of them");
            }
        }
    }

    #[test]
    fn the_sources_listed_are_those_of_the_methods() {
        for method in LimeMethod::ALL {
            for key in method.source_keys() {
                let listed = LIME.sources.contains(key) || *key == "uc-davis-smp";
                assert!(listed, "{key}");
            }
        }
    }
}
