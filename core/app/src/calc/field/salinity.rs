//! How salty the ground is, and what that means for a grass.

use swardbook_agronomy::{
    salinity::{
        EceMethod, Regression, ToleranceRating, at_25_degrees, class_of_ec, class_of_ece,
        ece_by_regressions, ece_from_ec, rating_without_texture, relative_yield,
        remembered_tolerance, soluble_salts, tolerance_rating,
    },
    texture::Texture,
};
use swardbook_units::{Conductivity, Working};

use crate::{
    Problem,
    calc::{
        Answer, Calculation, Given, InputKind, InputSpec as In, OutputSpec as Out, ResultValue,
    },
};

const TEXTURES: &[&str] = &[
    "sand",
    "loamy-sand",
    "sandy-loam",
    "loam",
    "silt-loam",
    "sandy-clay-loam",
    "clay-loam",
    "light-clay",
    "medium-clay",
    "heavy-clay",
];

pub(in crate::calc) const SALINITY: Calculation = Calculation {
    id: "salinity",
    title: "From EC 1:5 to the saturated extract, and what it means for grass",
    inputs: &[
        In::number("ec", Conductivity::UNIT, (0.0, 80.0), "conductivity of the 1:5 suspension"),
        In::number(
            "temperature",
            "\u{b0}C",
            (0.0, 50.0),
            "temperature of a reading that was not brought to 25 degrees",
        )
        .optional(),
        In::of("texture", InputKind::Word(TEXTURES), "texture by feel").optional(),
        In::number(
            "saturation_water",
            "%",
            (5.0, 500.0),
            "water of the saturated paste over dry soil",
        )
        .optional(),
        In::of(
            "method",
            InputKind::Word(&[
                "best",
                "texture",
                "saturation",
                "remembered",
                "talsma",
                "loveday",
                "murray",
                "shaw",
                "lyons",
            ]),
            "how the saturated extract is worked out",
        )
        .or_default("best", "the confirmed method that what is known allows"),
        In::of("grass", InputKind::Text, "grass, such as tall-fescue").optional(),
    ],
    outputs: &[
        Out::new("ec_25", Conductivity::UNIT, "conductivity at 25 degrees"),
        Out::new("rating", "", "rating of EC 1:5 without texture"),
        Out::new("salts", "%", "soluble salts"),
        Out::new("ece_low", Conductivity::UNIT, "saturated extract, lower end"),
        Out::new("ece", Conductivity::UNIT, "saturated extract, most likely"),
        Out::new("ece_high", Conductivity::UNIT, "saturated extract, upper end"),
        Out::new("class", "", "class of the most likely value"),
        Out::new("class_low", "", "class of the lower end"),
        Out::new("class_high", "", "class of the upper end"),
        Out::new("class_by_ec", "", "class by the texture's column of EC 1:5"),
        Out::new("regressions", Conductivity::UNIT, "what five regressions give"),
        Out::new("grass_rating", "", "published salt rating of the grass"),
        Out::new("growth_left", "%", "growth left at the most likely value, from memory"),
    ],
    sources: &[
        "rayment-lyons-2011",
        "barrett-lennard-2008",
        "slavich-petterson-1993",
        "texture-multipliers",
        "uddin-juraimi-2013",
        "fao-61",
        "maas-hoffman-1977",
    ],
    run,
};

fn run(given: &Given) -> Result<Answer, Problem> {
    let read = Conductivity(given.number("ec"));
    let mut working = Working::default();
    let ec = match given.number_if("temperature") {
        Some(temperature) => {
            let at_25 = at_25_degrees(read, temperature)?;
            working = at_25.working.after(&working);
            at_25.value
        }
        None => read,
    };
    let texture = given.word_if("texture").and_then(Texture::from_id);
    let rating = rating_without_texture(ec)?;
    let salts = soluble_salts(ec)?;
    let regressions = ece_by_regressions(ec)?;
    let mut answer = Answer::default()
        .quantity("ec_25", ec.value(), Conductivity::UNIT)
        .words("rating", rating.value)
        .quantity("salts", salts.value.value(), "%")
        .value("regressions", by_author(&regressions.value));
    working = regressions.working.after(&salts.working.after(&working));
    if texture.is_none() {
        working = rating.working.after(&working);
    }
    let Some(method) = method(given, texture)? else {
        let working = working.caution(
            "Without texture or saturation water there is no saturated extract to judge a grass by.",
        );
        return Ok(answer.value("ece", ResultValue::None(())).with_working(|_| working));
    };
    let range = ece_from_ec(ec, method)?;
    let class = class_of_ece(range.value.likely)?;
    let name = |ece| class_of_ece(ece).map(|class| class.value.name());
    answer = answer
        .quantity("ece_low", range.value.low.value(), Conductivity::UNIT)
        .quantity("ece", range.value.likely.value(), Conductivity::UNIT)
        .quantity("ece_high", range.value.high.value(), Conductivity::UNIT)
        .words("class", class.value.name())
        .words("class_low", name(range.value.low)?)
        .words("class_high", name(range.value.high)?);
    working = class.working.after(&range.working.after(&working));
    if let Some(texture) = texture {
        let by_ec = class_of_ec(ec, texture.group())?;
        answer = answer.words("class_by_ec", by_ec.value.name());
        working = by_ec.working.after(&working);
    }
    if let Some(grass) = given.word_if("grass") {
        (answer, working) = for_grass(answer, working, grass, range.value.likely)?;
    }
    Ok(answer.with_working(|_| working))
}

fn by_author(found: &[(Regression, Conductivity)]) -> ResultValue {
    let answer = found.iter().fold(Answer::default(), |answer, (regression, ece)| {
        answer.quantity(&regression.name().to_lowercase(), ece.value(), Conductivity::UNIT)
    });
    answer.into_parts()
}

fn method(given: &Given, texture: Option<Texture>) -> Result<Option<EceMethod>, Problem> {
    let saturation = given.number_if("saturation_water").map(|percent| percent / 100.0);
    let need_texture = || Problem::missing("texture", "give the texture, or another method");
    let by = |regression| Ok(Some(EceMethod::Regression(regression)));
    match given.word("method") {
        "texture" => {
            let texture = texture.ok_or_else(need_texture)?;
            Ok(Some(EceMethod::TextureGroup(texture.group())))
        }
        "saturation" => {
            saturation.map(|theta| Some(EceMethod::SaturationWater(theta))).ok_or_else(|| {
                Problem::missing("saturation_water", "give the water of the saturated paste")
            })
        }
        "remembered" => texture
            .map(|texture| Some(EceMethod::RememberedTexture(texture)))
            .ok_or_else(need_texture),
        "talsma" => by(Regression::Talsma),
        "loveday" => by(Regression::Loveday),
        "murray" => by(Regression::Murray),
        "shaw" => by(Regression::Shaw),
        "lyons" => by(Regression::Lyons),
        _ => Ok(EceMethod::for_known(saturation, texture)),
    }
}

fn for_grass(
    mut answer: Answer,
    mut working: Working,
    grass: &str,
    ece: Conductivity,
) -> Result<(Answer, Working), Problem> {
    let (rating, tolerance) = (tolerance_rating(grass), remembered_tolerance(grass));
    if rating.is_none() && tolerance.is_none() {
        return Err(Problem::bad(
            "grass",
            format!("no salt rating is known for \"{grass}\"; write it as in tall-fescue"),
        ));
    }
    if let Some((rating, source)) = rating {
        let words = match rating {
            ToleranceRating::Sensitive => "sensitive, suffers below ECe 3 dS/m",
            ToleranceRating::ModeratelySensitive => "moderately sensitive, ECe 3 to 6 dS/m",
            ToleranceRating::ModeratelyTolerant => "moderately tolerant, ECe 6 to 10 dS/m",
            ToleranceRating::Tolerant => "tolerant, ECe above 10 dS/m",
        };
        answer = answer.words("grass_rating", words);
        working = working.source(source).caution("Salt ratings of one grass differ by author.");
    }
    if let Some(tolerance) = tolerance {
        let left = relative_yield(ece, &tolerance)?;
        answer = answer.quantity("growth_left", left.value.value(), "%");
        working = left.working.after(&working);
    }
    Ok((answer, working))
}
