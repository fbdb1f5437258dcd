//! Nutrient need: what the soil is short of, what the season uses, less what is planned.

use swardbook_agronomy::{
    analyte::analyte,
    guideline::{guideline, guidelines},
    interpret::{Sampling, composite_spread},
    need::{GrassUse, NeedInputs, NeedReading, nutrient_need, use_from_nitrogen},
    reading::Qualifier,
};
use swardbook_units::{Content, Dose, Worked, Working};

use super::{
    super::{Answer, Calculation, Given, InputKind, InputSpec as In, OutputSpec as Out},
    CONTENT, DEPTH, DOSE, GROUND, joined, layer, material, with_visits,
};
use crate::Problem;

pub(super) const NUTRIENT_NEED: Calculation = Calculation {
    id: "nutrient-need",
    title: "Nutrient need of a season: limit - reading + use - supply",
    inputs: &[
        In::of(
            "nutrient",
            InputKind::Word(&["p", "k", "ca", "mg", "s", "fe", "mn", "zn", "cu", "b"]),
            "the element; it gives the default scatter and the guideline's limit",
        )
        .optional(),
        In::number("reading", Content::UNIT, CONTENT, "the soil test, by the limit's own method"),
        In::of(
            "qualifier",
            InputKind::Word(&["exact", "below", "above"]),
            "whether the reading is only a bound",
        )
        .or_default("exact", "reported without < or >"),
        In::number("limit", Content::UNIT, CONTENT, "what is kept in the soil").optional(),
        In::of("guideline", InputKind::Text, "a guideline's key, in place of the limit").optional(),
        DEPTH,
        In::number("bulk_density", "t/m3", (0.1, 2.2), "bulk density of the layer")
            .or_default("1.5", "woods-2014-recommendation: 10 cm at 1.5 t/m3"),
        In::number("season_use", Dose::UNIT, DOSE, "what the grass uses this season").optional(),
        In::number("nitrogen", Dose::UNIT, DOSE, "nitrogen of the season, for the use from it")
            .optional(),
        In::number("use_to_nitrogen", "", (0.0, 5.0), "nutrient used for each unit of nitrogen")
            .optional(),
        In::of(
            "grass",
            InputKind::Word(&["cool-season", "bermudagrass", "paspalum"]),
            "kind of grass, for potassium's use from nitrogen",
        )
        .or_default("cool-season", "woods-2017: nitrogen to potassium 2:1"),
        In::number("supply", Dose::UNIT, DOSE, "what is already planned or put on")
            .or_default("0", "nothing planned"),
        In::number(
            "log_deviation",
            "",
            (0.0, 3.0),
            "standard uncertainty of the reading's logarithm",
        )
        .optional(),
        In::of("cores", InputKind::Count, "cores in the composite")
            .in_unit("", (1.0, 1000.0))
            .or_default("15", "florida-ss317 and kansas-turf-sampling: 10 to 15 cores"),
        In::of("material", InputKind::Text, "a material to meet the need with").optional(),
        GROUND,
    ],
    outputs: &[
        Out::new("need", Dose::UNIT, "the need, as the element"),
        Out::new("low", Dose::UNIT, "least, if the reading is high"),
        Out::new("high", Dose::UNIT, "most, if the reading is low"),
        Out::new("season_use", Dose::UNIT, "use of the season"),
        Out::new("product", Dose::UNIT, "the material, where one is named"),
        Out::new("visits", "", "visits on the ground asked"),
        Out::new("each", Dose::UNIT, "at each visit"),
        Out::new("days_between", "d", "least days between visits"),
        Out::new("years", "", "years they take"),
    ],
    sources: &["woods-2014", "woods-2014-recommendation", "woods-2017", "gum-2008"],
    run,
};

fn run(given: &Given) -> Result<Answer, Problem> {
    let season = season_use(given)?;
    let limit = limit(given)?;
    let (log_deviation, scatter) = scatter(given);
    let qualifier = match given.word("qualifier") {
        "below" => Qualifier::Below,
        "above" => Qualifier::Above,
        _ => Qualifier::Exact,
    };
    let inputs = NeedInputs {
        reading: NeedReading {
            content: Content(given.number("reading")),
            qualifier,
            log_deviation,
        },
        limit: limit.value,
        layer: layer(given),
        season_use: season.value,
        supply: Dose(given.number("supply")),
    };
    let worked = nutrient_need(&inputs)?;
    let before = joined(joined(season.working, &limit.working), &scatter);
    let answer = Answer::new(joined(before, &worked.working))
        .quantity("need", worked.value.need.value(), Dose::UNIT)
        .quantity("low", worked.value.low.value(), Dose::UNIT)
        .quantity("high", worked.value.high.value(), Dose::UNIT)
        .quantity("season_use", season.value.value(), Dose::UNIT);
    with_material(answer, worked.value.need, given)
}

fn season_use(given: &Given) -> Result<Worked<Dose>, Problem> {
    if let Some(used) = given.number_if("season_use") {
        if given.number_if("nitrogen").is_some() {
            return Err(Problem::bad("nitrogen", "give either season_use or nitrogen, not both"));
        }
        return Ok(Worked::new(Dose(used), Working::default()));
    }
    let Some(nitrogen) = given.number_if("nitrogen") else {
        return Ok(Worked::new(
            Dose(0.0),
            Working::default()
                .assumed("Use in the season", 0.0, Dose::UNIT, "none was given")
                .caution("No use of the season was given: this brings the soil to its limit only."),
        ));
    };
    let ratio = match (given.number_if("use_to_nitrogen"), given.word_if("nutrient")) {
        (Some(ratio), _) => ratio,
        (None, Some("k")) => GrassUse::from_id(given.word("grass"))
            .unwrap_or(GrassUse::CoolSeason)
            .potassium_to_nitrogen(),
        (None, Some("p")) => swardbook_agronomy::need::PHOSPHORUS_TO_NITROGEN,
        _ => {
            return Err(Problem::missing(
                "use_to_nitrogen",
                "no published ratio for this nutrient is known; give one, or season_use",
            ));
        }
    };
    Ok(use_from_nitrogen(Dose(nitrogen), ratio)?)
}

fn limit(given: &Given) -> Result<Worked<Content>, Problem> {
    match (given.number_if("limit"), given.word_if("guideline")) {
        (Some(_), Some(_)) => {
            Err(Problem::bad("guideline", "give either a limit or a guideline, not both"))
        }
        (Some(limit), None) => Ok(Worked::new(Content(limit), Working::default())),
        (None, None) => Err(Problem::missing(
            "limit",
            "give what is to be kept in the soil, or a guideline such as mlsn-2014 with the nutrient",
        )),
        (None, Some(id)) => of_guideline(id, given.word_if("nutrient")),
    }
}

fn of_guideline(id: &str, nutrient: Option<&str>) -> Result<Worked<Content>, Problem> {
    let Some(guideline) = guideline(id) else {
        let known = guidelines().iter().map(|g| g.id.as_str()).collect::<Vec<_>>().join(", ");
        return Err(Problem::bad(
            "guideline",
            format!("there is no guideline \"{id}\"; there are {known}"),
        ));
    };
    let nutrient = nutrient.ok_or_else(|| {
        Problem::missing("nutrient", "name the element whose limit the guideline gives")
    })?;
    let limit = guideline.limits.iter().find(|limit| limit.analyte.id == nutrient);
    let found = limit.and_then(|limit| limit.methods.first().map(|method| (limit, *method)));
    let Some((limit, method)) = found else {
        return Err(Problem::bad("nutrient", format!("{} has no limit for it", guideline.title)));
    };
    let values = limit.values_for(method)?;
    if values.value.unit.symbol != Content::UNIT {
        return Err(Problem::refused(format!(
            "{} keeps {nutrient} in {}; give the limit in mg/kg",
            guideline.title, values.value.unit.symbol
        ))
        .at("guideline"));
    }
    let mut working = values.working.source(guideline.source.clone()).caution(&format!(
        "The limit is for readings by {}: a reading by another method must not meet it.",
        method.name
    ));
    for caution in &guideline.cautions {
        working = working.caution(caution);
    }
    Ok(Worked::new(Content(values.value.short_below), working))
}

/// Uncertainty of the reading: as given, or the published default of the nutrient.
fn scatter(given: &Given) -> (Option<f64>, Working) {
    if let Some(own) = given.number_if("log_deviation") {
        return (Some(own), Working::default());
    }
    let sampling = Sampling { cores: given.count("cores"), repeats: 1 };
    let spread = given
        .word_if("nutrient")
        .and_then(analyte)
        .and_then(|analyte| composite_spread(analyte, &sampling, &[]));
    match spread {
        Some(worked) => (Some(worked.value.u), worked.working),
        None => (None, Working::default()),
    }
}

fn with_material(answer: Answer, need: Dose, given: &Given) -> Result<Answer, Problem> {
    let Some(name) = given.word_if("material") else { return Ok(answer) };
    let material = material(name)?;
    let Some(nutrient) = given.word_if("nutrient") else {
        return Err(Problem::missing("nutrient", "name the element that the material is to bring"));
    };
    let symbol = symbol(nutrient);
    if need.value() <= 0.0 {
        return Ok(answer.quantity("product", 0.0, Dose::UNIT).quantity("visits", 0.0, ""));
    }
    let dose = material.dose_for(&symbol, need)?;
    let answer = answer.with_working(|w| joined(w, &dose.working)).quantity(
        "product",
        dose.value.value(),
        Dose::UNIT,
    );
    with_visits(answer, material, dose.value.value(), given)
}

/// `mg` is written Mg.
fn symbol(nutrient: &str) -> String {
    let mut letters = nutrient.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
