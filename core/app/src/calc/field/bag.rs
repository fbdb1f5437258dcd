//! How many cores, and how much soil they make.

use swardbook_agronomy::{
    analyte,
    sampling::{
        composite_mass::{Ask, CoreSize, composite_mass},
        cores::{
            LaboratoryPart, NamedScatter, cores_at_t, cores_for_margin,
            cores_for_margin_with_laboratory, default_core_scatter, default_laboratory_scatter,
        },
    },
};
use swardbook_units::{BulkDensity, Depth, Mass};

use crate::{
    Problem,
    calc::{Answer, Calculation, Given, InputKind, InputSpec as In, OutputSpec as Out},
};

const ABOVE_ZERO: (f64, f64) = (f64::MIN_POSITIVE, f64::INFINITY);
const SHARE: (f64, f64) = (0.01, 1000.0);

pub(in crate::calc) const CORE_COUNT: Calculation = Calculation {
    id: "core-count",
    title: "How many cores a margin takes",
    inputs: &[
        In::of("analyte", InputKind::Text, "the analyte whose default scatter is taken, such as p")
            .optional(),
        In::number("cv", "%", SHARE, "scatter between cores as a share of the mean").optional(),
        In::number("sd", "", ABOVE_ZERO, "scatter between cores in the reading's own unit")
            .optional(),
        In::number("margin", "%", SHARE, "wanted margin either way, as a share of the mean")
            .optional(),
        In::number(
            "margin_units",
            "",
            ABOVE_ZERO,
            "wanted margin either way in the reading's own unit",
        )
        .optional(),
        In::number("level", "%", (50.0, 99.99), "how often the margin is to hold")
            .or_default("95", "common practice, no source: nineteen times in twenty"),
        In::of("with_laboratory", InputKind::Flag, "count the laboratory's scatter as well")
            .optional(),
        In::number("lab_cv", "%", SHARE, "scatter in the laboratory as a share of the mean")
            .optional(),
        In::number("lab_sd", "", ABOVE_ZERO, "scatter in the laboratory in the reading's own unit")
            .optional(),
        In::of("repeats", InputKind::Count, "repeats that the laboratory averages")
            .in_unit("", (1.0, 100.0))
            .or_default("1", "common practice, no source: laboratories read a sample once"),
        In::number("t", "", (0.1, 1e6), "a t to take as given instead of solving for it")
            .optional(),
    ],
    outputs: &[
        Out::new("cores", "", "whole cores"),
        Out::new("raw", "", "cores before rounding up"),
        Out::new(
            "reached",
            "",
            "the margin that the whole number reaches, in the unit of the margin",
        ),
    ],
    sources: &[
        "moisture-instrument-manual",
        "kansas-turf-sampling",
        "gum-2008",
        "common-practice",
        "ferrari-vermeulen",
        "limesoda-fields",
        "nz-hill-country-sampling",
        "oxford-panels",
        "rayment-lyons-2011",
        "soil250-panels",
        "waynick-sharp-1918",
    ],
    run: run_core_count,
};

fn run_core_count(given: &Given) -> Result<Answer, Problem> {
    let known = match given.word_if("analyte") {
        Some(id) => Some(analyte::analyte(id).ok_or_else(|| {
            Problem::bad(
                "analyte",
                format!("\"{id}\" is no analyte known here; write it as in p, k or ph-water"),
            )
        })?),
        None => None,
    };
    let core = match (given.number_if("cv"), given.number_if("sd"), known) {
        (Some(_), Some(_), _) => {
            return Err(Problem::bad("sd", "give the scatter once: cv or sd, not both"));
        }
        (Some(cv), None, _) => NamedScatter::given(cv, "%"),
        (None, Some(sd), _) => NamedScatter::given(sd, ""),
        (None, None, Some(known)) => default_core_scatter(known).ok_or_else(|| {
            Problem::missing("cv", "no default scatter is known for this analyte; give cv or sd")
        })?,
        (None, None, None) => {
            return Err(Problem::missing("cv", "give cv, sd or an analyte with a default"));
        }
    };
    let relative = core.unit == "%";
    let (wanted, other) =
        if relative { ("margin", "margin_units") } else { ("margin_units", "margin") };
    if given.number_if(other).is_some() {
        return Err(Problem::bad(
            other,
            format!("{other} does not fit this scatter; give {wanted} instead"),
        ));
    }
    let margin = given.number_if(wanted).ok_or_else(|| {
        Problem::missing(wanted, "give the margin that the mean is to be known to, either way")
    })?;
    let level = given.number("level") / 100.0;
    let laboratory = laboratory_part(given, &core)?;
    let worked = match (given.number_if("t"), laboratory) {
        (Some(_), Some(_)) => {
            return Err(Problem::bad(
                "t",
                "with the laboratory's scatter t cannot be taken as given",
            ));
        }
        (Some(t), None) => cores_at_t(t, &core, margin)?,
        (None, Some(laboratory)) => {
            cores_for_margin_with_laboratory(&core, &laboratory, margin, level)?
        }
        (None, None) => cores_for_margin(&core, margin, level)?,
    };
    let found = worked.value;
    Ok(Answer::new(worked.working)
        .quantity("cores", found.cores as f64, "")
        .quantity("raw", found.raw, "")
        .quantity("reached", found.reached, &core.unit))
}

fn laboratory_part(given: &Given, core: &NamedScatter) -> Result<Option<LaboratoryPart>, Problem> {
    let scatter = match (given.number_if("lab_cv"), given.number_if("lab_sd")) {
        (Some(_), Some(_)) => {
            return Err(Problem::bad(
                "lab_sd",
                "give the scatter once: lab_cv or lab_sd, not both",
            ));
        }
        (Some(cv), None) => Some(NamedScatter::given(cv, "%")),
        (None, Some(sd)) => Some(NamedScatter::given(sd, &core.unit)),
        (None, None) if given.flag("with_laboratory") => {
            let known = given.word_if("analyte").and_then(analyte::analyte);
            let default = known.and_then(default_laboratory_scatter).ok_or_else(|| {
                Problem::missing("lab_cv", "give lab_cv, lab_sd or an analyte with a default")
            })?;
            Some(default)
        }
        (None, None) => None,
    };
    if given.number_if("lab_sd").is_some() && core.unit == "%" {
        return Err(Problem::bad("lab_sd", "the cores' scatter is a share; give lab_cv instead"));
    }
    Ok(scatter.map(|scatter| LaboratoryPart { scatter, repeats: given.count("repeats") }))
}

pub(in crate::calc) const COMPOSITE_MASS: Calculation = Calculation {
    id: "composite-mass",
    title: "How much soil the cores make",
    inputs: &[
        In::number("diameter", "mm", (5.0, 300.0), "inner diameter of the tool"),
        In::number("depth", "mm", (10.0, 1000.0), "length of the core that is kept"),
        In::of("cores", InputKind::Count, "cores in the bag").in_unit("", (1.0, 100_000.0)),
        In::number("bulk_density", "t/m3", (0.1, 2.2), "oven-dry soil over volume")
            .or_default("1.3", "common practice, no source: a loam under turf"),
        In::number("water", "%", (0.0, 200.0), "water over oven-dry soil")
            .or_default("20", "common practice, no source: moist, not wet"),
        In::number("ask", "g", (1.0, 100_000.0), "what the laboratory wants in the bag")
            .or_default("500", "common practice, no source: half a kilogram of moist soil"),
    ],
    outputs: &[
        Out::new("core_volume", "L", "volume of a core"),
        Out::new("core_dry", "g", "oven-dry mass of a core"),
        Out::new("core_moist", "g", "mass of a core as pulled"),
        Out::new("moist", "g", "mass of the bag as pulled"),
        Out::new("dry", "g", "oven-dry mass of the bag"),
        Out::new("volume", "L", "volume of the bag"),
        Out::new("cores_to_reach", "", "cores that reach what the laboratory asks"),
        Out::new("share_of_ask", "%", "the bag over what the laboratory asks"),
        Out::new("enough", "", "whether the bag holds what is asked"),
    ],
    sources: &["definition", "common-practice"],
    run: run_composite_mass,
};

fn run_composite_mass(given: &Given) -> Result<Answer, Problem> {
    let core = CoreSize {
        diameter_mm: given.number("diameter"),
        depth: Depth(given.number("depth")),
        bulk_density: BulkDensity(given.number("bulk_density")),
        water: given.number("water") / 100.0,
    };
    let ask = if given.is_default("ask") {
        Ask::usual()
    } else {
        Ask::given(Mass(given.number("ask") / 1000.0))
    };
    let worked = composite_mass(&core, given.count("cores"), &ask)?;
    let found = worked.value;
    let grams = |mass: Mass| 1000.0 * mass.value();
    Ok(Answer::new(worked.working)
        .quantity("core_volume", found.core.volume.value(), "L")
        .quantity("core_dry", grams(found.core.dry), "g")
        .quantity("core_moist", grams(found.core.moist), "g")
        .quantity("moist", grams(found.moist), "g")
        .quantity("dry", grams(found.dry), "g")
        .quantity("volume", found.volume.value(), "L")
        .quantity("cores_to_reach", f64::from(found.cores_to_reach), "")
        .quantity("share_of_ask", 100.0 * found.share_of_ask, "%")
        .flag("enough", found.share_of_ask >= 1.0))
}
