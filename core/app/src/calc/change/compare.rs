//! A baseline against a retest.

use swardbook_agronomy::{
    analyte::{self, Analyte, Scale},
    comparison::{Comparison, ComparisonQuestion, Picked, ScatterPart, Taken, Verdict, compare},
    sampling::cores::NamedScatter,
};

use crate::{
    Problem,
    calc::{
        Answer, Calculation, Given, InputKind, InputSpec as In, OutputSpec as Out, ResultValue,
    },
};

const ANY: (f64, f64) = (-1e9, 1e9);
const SCATTER: (f64, f64) = (0.0, 1e9);
const COUNT: (f64, f64) = (1.0, 100_000.0);
const FREEDOM: (f64, f64) = (1.0, 1e6);
const HABIT: &str = "common practice, no source";

const fn scatter(name: &'static str, about: &'static str) -> In {
    In::number(name, "", SCATTER, about).optional()
}

pub(in crate::calc) const COMPARE: Calculation = Calculation {
    id: "compare",
    title: "A retest against its baseline",
    inputs: &[
        In::number("baseline", "", ANY, "the earlier reading, in the unit of both"),
        In::number("retest", "", ANY, "the later reading, in the same unit"),
        In::of("unit", InputKind::Text, "the unit of both readings, for the words").optional(),
        In::of("analyte", InputKind::Text, "the analyte, which gives scale and default scatter")
            .optional(),
        In::of(
            "scale",
            InputKind::Word(&["linear", "log"]),
            "scale on which errors are even, without an analyte",
        )
        .optional(),
        In::of("cores_before", InputKind::Count, "cores of the baseline").in_unit("", COUNT),
        In::of("cores_after", InputKind::Count, "cores of the retest").in_unit("", COUNT),
        In::of("repeats_before", InputKind::Count, "repeats of the baseline in the laboratory")
            .in_unit("", COUNT)
            .or_default("1", HABIT),
        In::of("repeats_after", InputKind::Count, "repeats of the retest in the laboratory")
            .in_unit("", COUNT)
            .or_default("1", HABIT),
        scatter(
            "core_scatter",
            "scatter between cores: % of the mean on the log scale, else in the unit",
        ),
        In::number(
            "core_freedom",
            "",
            FREEDOM,
            "degrees of freedom of the cores' scatter, where it was estimated",
        )
        .optional(),
        scatter("laboratory_scatter", "scatter in the laboratory, as the cores'"),
        In::number(
            "laboratory_freedom",
            "",
            FREEDOM,
            "degrees of freedom of the laboratory's scatter",
        )
        .optional(),
        In::of("other_laboratory", InputKind::Flag, "whether the laboratory changed").optional(),
        scatter("between_scatter", "scatter between laboratories, as the cores'"),
        In::of("method_before", InputKind::Text, "method of the baseline").optional(),
        In::of("method_after", InputKind::Text, "method of the retest").optional(),
        In::number("depth_before", "mm", (0.0, 2000.0), "lower end of the baseline's depth")
            .optional(),
        In::number("depth_after", "mm", (0.0, 2000.0), "lower end of the retest's depth")
            .optional(),
        In::number(
            "margin",
            "",
            (1e-9, 1e9),
            "smallest change that matters: % on the log scale, else in the unit",
        )
        .optional(),
        In::number(
            "picked_from_mean",
            "",
            ANY,
            "mean of the zones that this one was picked from for its reading",
        )
        .optional(),
        In::number(
            "reliability",
            "",
            (0.0, 1.0),
            "share of the scatter of those readings that is true",
        )
        .optional(),
        In::number("level", "%", (50.0, 99.99), "level of the interval").or_default("95", HABIT),
        In::number("power", "%", (50.0, 99.9), "power of the smallest change that could be seen")
            .or_default("80", HABIT),
    ],
    outputs: &[
        Out::new("verdict", "", "rise, fall, same or cannot-tell"),
        Out::new("words", "", "the verdict in a sentence"),
        Out::new("change", "", "the change, in the unit or in %"),
        Out::new("low", "", "lower end of its interval"),
        Out::new("high", "", "upper end of its interval"),
        Out::new("observed", "", "the change as read"),
        Out::new("expected_untreated", "", "what a picked zone changes by itself"),
        Out::new("probability_of_rise", "", "probability of a true rise"),
        Out::new("probability_of_fall", "", "probability of a true fall"),
        Out::new("p", "", "two-sided p of no change"),
        Out::new("least_significant_fall", "", "smallest fall that counts as real, negative"),
        Out::new("least_significant_rise", "", "smallest rise that counts as real"),
        Out::new("smallest_detectable", "", "smallest rise that such samples find"),
        Out::new("uncertainty", "", "standard uncertainty of the difference, on the scale"),
        Out::new("freedom", "", "its degrees of freedom; none where all scatter is taken as known"),
        Out::new("beyond_margin", "", "whether the change is shown to matter"),
        Out::new("cores_to_settle", "", "cores in each of two samples that would settle it"),
    ],
    sources: &[
        "gum-2008",
        "definition",
        "common-practice",
        "ferrari-vermeulen",
        "limesoda-fields",
        "nz-hill-country-sampling",
        "oxford-panels",
        "rayment-lyons-2011",
        "soil250-panels",
        "waynick-sharp-1918",
    ],
    run,
};

fn run(given: &Given) -> Result<Answer, Problem> {
    comparable(given)?;
    let known = match given.word_if("analyte") {
        Some(id) => Some(analyte::analyte(id).ok_or_else(|| {
            Problem::bad(
                "analyte",
                format!("\"{id}\" is no analyte known here; write it as in p, k or ph-water"),
            )
        })?),
        None => None,
    };
    let scale = scale(given, known)?;
    let picked = match (given.number_if("picked_from_mean"), given.number_if("reliability")) {
        (Some(mean), Some(reliability)) => Some(Picked { mean, reliability }),
        (None, None) => None,
        (Some(_), None) => {
            return Err(Problem::missing("reliability", "give the share of scatter that is true"));
        }
        (None, Some(_)) => {
            return Err(Problem::missing("picked_from_mean", "give the mean of those zones"));
        }
    };
    let unit = match (given.word_if("unit"), known) {
        (Some(unit), _) => unit.to_owned(),
        (None, Some(known)) => known.by.first().map_or("", |by| by.unit.symbol).to_owned(),
        (None, None) => String::new(),
    };
    let between = if given.flag("other_laboratory") {
        let default = known.and_then(ScatterPart::between_laboratories);
        Some(part(given, scale, ["between_scatter", ""], default)?)
    } else {
        None
    };
    let question = ComparisonQuestion {
        scale,
        unit,
        before: Taken {
            value: given.number("baseline"),
            cores: given.count("cores_before"),
            repeats: given.count("repeats_before"),
        },
        after: Taken {
            value: given.number("retest"),
            cores: given.count("cores_after"),
            repeats: given.count("repeats_after"),
        },
        core: part(
            given,
            scale,
            ["core_scatter", "core_freedom"],
            known.and_then(|known| ScatterPart::between_cores(known, &[])),
        )?,
        laboratory: part(
            given,
            scale,
            ["laboratory_scatter", "laboratory_freedom"],
            known.and_then(ScatterPart::in_laboratory),
        )?,
        between_laboratories: between,
        converted: None,
        picked,
        margin: given.number_if("margin"),
        level: given.number("level") / 100.0,
        power: given.number("power") / 100.0,
    };
    // The library names a reading by its place in time, the command by its role.
    let worked = compare(&question).map_err(|error| {
        let problem = Problem::from(error);
        match problem.field.as_deref() {
            Some("before") => problem.at("baseline"),
            Some("after") => problem.at("retest"),
            _ => problem,
        }
    })?;
    Ok(answered(Answer::new(worked.working), &worked.value))
}

/// Another depth or extractant is no comparison.
fn comparable(given: &Given) -> Result<(), Problem> {
    if let (Some(before), Some(after)) =
        (given.word_if("method_before"), given.word_if("method_after"))
        && before != after
    {
        return Err(Problem::refused(format!(
            "{before} and {after} read different shares of the element, so their difference is no \
             change; ask for the method of the baseline"
        ))
        .at("method_after"));
    }
    if let (Some(before), Some(after)) =
        (given.number_if("depth_before"), given.number_if("depth_after"))
        && (before - after).abs() > 5.0
    {
        return Err(Problem::refused(format!(
            "{before} and {after} mm are different soil, so their difference is no change; sample the \
             depth of the baseline"
        ))
        .at("depth_after"));
    }
    Ok(())
}

fn scale(given: &Given, known: Option<&Analyte>) -> Result<Scale, Problem> {
    match (given.word_if("scale"), known) {
        (Some("linear"), _) => Ok(Scale::Linear),
        (Some(_), _) => Ok(Scale::Log),
        (None, Some(known)) => Ok(known.scale),
        (None, None) => Err(Problem::missing("scale", "give an analyte, or the scale")),
    }
}

/// Scatter as given, else the default; `names` are those of the amount and its degrees of freedom.
fn part(
    given: &Given,
    scale: Scale,
    names: [&str; 2],
    default: Option<ScatterPart>,
) -> Result<ScatterPart, Problem> {
    let [name, freedom] = names;
    let df = (!freedom.is_empty()).then(|| given.number_if(freedom)).flatten();
    let unit = if scale == Scale::Log { "%" } else { "" };
    match given.number_if(name) {
        Some(amount) => Ok(ScatterPart {
            df: df.unwrap_or(f64::INFINITY),
            ..ScatterPart::known(NamedScatter::given(amount, unit))
        }),
        None => {
            let fits = |part: &ScatterPart| (part.scatter.unit == "%") == (scale == Scale::Log);
            default.filter(fits).ok_or_else(|| {
                Problem::missing(name, "give it: no default is known for this analyte and scale")
            })
        }
    }
}

/// The verdict as scripts read it.
pub(super) const fn verdict_word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Rise => "rise",
        Verdict::Fall => "fall",
        Verdict::SameWithinMargin => "same",
        Verdict::CannotTell => "cannot-tell",
    }
}

fn answered(answer: Answer, found: &Comparison) -> Answer {
    let unit = found.shown.unit.as_str();
    let change = &found.change;
    let df = change.uncertainty.df;
    answer
        .words("verdict", verdict_word(found.verdict))
        .words("words", found.words.clone())
        .quantity("change", found.shown.change, unit)
        .quantity("low", found.shown.low, unit)
        .quantity("high", found.shown.high, unit)
        .quantity("observed", found.observed, unit)
        .quantity("expected_untreated", found.expected_without_treatment, unit)
        .quantity("probability_of_rise", change.probability_of_rise, "")
        .quantity("probability_of_fall", change.probability_of_fall, "")
        .quantity("p", change.p, "")
        .quantity("least_significant_fall", found.least_significant.0, unit)
        .quantity("least_significant_rise", found.least_significant.1, unit)
        .quantity("smallest_detectable", found.smallest_detectable, unit)
        .quantity("uncertainty", change.uncertainty.u, "")
        .quantity_if("freedom", df.is_finite().then_some(df), "")
        .value(
            "beyond_margin",
            found.beyond_margin.map_or(ResultValue::None(()), ResultValue::Flag),
        )
        .quantity_if("cores_to_settle", found.cores_to_settle.map(f64::from), "")
}
