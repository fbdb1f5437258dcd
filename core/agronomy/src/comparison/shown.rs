//! A comparison in the unit of its readings, in words, and with its arithmetic.

use swardbook_stats::{
    change::{Change, Verdict},
    uncertainty::ComparisonBudget,
};
use swardbook_units::Working;

use super::{Comparison, ComparisonQuestion, begin};
use crate::{analyte::Scale, source};

/// A change with its interval in the unit of the readings, or in % on the log scale.
#[derive(Debug, Clone, PartialEq)]
pub struct Shown {
    /// The change.
    pub change: f64,
    /// Lower end of the interval.
    pub low: f64,
    /// Upper end of the interval.
    pub high: f64,
    /// The unit: the readings' own, `%`, or log odds.
    pub unit: String,
}

impl Shown {
    pub(super) fn of(change: &Change, scale: Scale, unit: &str) -> Self {
        Self {
            change: shown(change.difference, scale),
            low: shown(change.interval.low, scale),
            high: shown(change.interval.high, scale),
            unit: shown_unit(scale, unit).to_owned(),
        }
    }
}

/// A difference on the scale as shown: ratios as % up or down.
pub(crate) fn shown(difference: f64, scale: Scale) -> f64 {
    match scale {
        Scale::Linear | Scale::Logit => difference,
        Scale::Log => 100.0 * difference.exp_m1(),
    }
}

pub(crate) const fn shown_unit(scale: Scale, unit: &str) -> &str {
    match scale {
        Scale::Linear => unit,
        Scale::Log => "%",
        Scale::Logit => "log odds",
    }
}

/// Three digits, as many as such a number bears.
pub(crate) fn digits(value: f64) -> String {
    let size = value.abs();
    if size >= 100.0 {
        format!("{value:.0}")
    } else if size >= 10.0 {
        format!("{value:.1}")
    } else {
        format!("{value:.2}")
    }
}

pub(super) fn words(found: &Comparison, question: &ComparisonQuestion) -> String {
    let Shown { change, low, high, unit } = &found.shown;
    let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
    let percent = digits(100.0 * question.level);
    let reach = format!("{} to {}{unit} at {percent} %", digits(*low), digits(*high));
    let margin = match (question.margin, found.beyond_margin) {
        (Some(margin), Some(true)) => {
            format!(", more than the {}{unit} that matters", digits(margin))
        }
        (Some(margin), _) => {
            format!(", perhaps less than the {}{unit} that matters", digits(margin))
        }
        _ => String::new(),
    };
    let mut words = match found.verdict {
        Verdict::Rise => format!("rise of {}{unit} ({reach}){margin}", digits(*change)),
        Verdict::Fall => format!("fall of {}{unit} ({reach}){margin}", digits(change.abs())),
        Verdict::SameWithinMargin => format!(
            "no change bigger than {}{unit} ({reach})",
            digits(question.margin.unwrap_or_default())
        ),
        Verdict::CannotTell => {
            let settle = match found.cores_to_settle {
                Some(cores) => format!("{cores} cores in each of two samples would settle it"),
                None => "more cores alone would not settle it within reason".to_owned(),
            };
            format!(
                "cannot tell: {}{unit} ({reach}); less than a rise of {}{unit} or a fall of \
                 {}{unit} is not told from scatter; {settle}",
                digits(*change),
                digits(found.least_significant.1),
                digits(found.least_significant.0.abs()),
            )
        }
    };
    if question.picked.is_some() {
        words.push_str(&format!(
            "; {}{unit} of what was read is expected of a zone picked for its reading and is taken off",
            digits(found.expected_without_treatment)
        ));
    }
    words
}

pub(super) fn working(
    found: &Comparison,
    question: &ComparisonQuestion,
    budget: &ComparisonBudget,
    core_share: f64,
) -> Working {
    let scale_unit = match question.scale {
        Scale::Linear => question.unit.as_str(),
        Scale::Log => "ln",
        Scale::Logit => "log odds",
    };
    let mut working =
        begin(question, "u^2 = s_core^2 (1/n1 + 1/n2) + s_lab^2 (1/k1 + 1/k2) (+ 2 s_between^2)");
    working = question.core.shown("Scatter between cores", working);
    working = question.laboratory.shown("Scatter in the laboratory", working);
    if let Some(between) = &question.between_laboratories {
        working = between.shown("Scatter between laboratories", working).caution(
            "The laboratory changed: part of any difference may be the laboratories', and the interval \
             is wider for it.",
        );
    }
    let mut of_relation = String::new();
    if let Some(converted) = &question.converted {
        let u = converted.standard_uncertainty;
        working = working.given("Uncertainty of the conversion", u, scale_unit);
        working = working.caution(&converted.words);
        for source in &converted.sources {
            working = working.source(source.clone());
        }
        of_relation = format!(" + {u:.4}^2");
        working.equation.push("+ u_conversion^2".to_owned());
    }
    let change = &found.change;
    let [n1, n2] = budget.cores;
    working = working
        .step(
            "uncertainty of the difference",
            format!(
                "sqrt({:.4}^2 x (1/{n1} + 1/{n2}) + {:.4}^2 x (1/{} + 1/{}){of_relation})",
                budget.core.deviation,
                budget.laboratory.deviation,
                budget.repeats[0],
                budget.repeats[1]
            ),
            change.uncertainty.u,
            scale_unit,
        )
        .step("share of it from the cores", "of the variance".to_owned(), 100.0 * core_share, "%")
        .step(
            "change as read",
            "retest less baseline, on the scale".to_owned(),
            change.difference + off(found, question),
            scale_unit,
        );
    if let Some(picked) = &question.picked {
        working = working
            .given("Mean of the zones it was picked from", picked.mean, &question.unit)
            .given("Reliability of a reading", picked.reliability, "")
            .step(
                "expected without any treatment",
                format!("(1 - {}) x (mean - baseline), on the scale", picked.reliability),
                off(found, question),
                scale_unit,
            )
            .caution(
                "The zone was picked for its reading, so it would have moved towards the others by \
                 itself; that part is taken off.",
            );
        working.equation.push("expected change untreated = (1 - r)(mean - first)".to_owned());
    }
    working
        .step("change", "what is left".to_owned(), change.difference, scale_unit)
        .step(
            "least significant change",
            format!("t x {:.4}", change.uncertainty.u),
            change.least_significant,
            scale_unit,
        )
        .step(
            "probability of a true rise",
            "from a t around the change".to_owned(),
            change.probability_of_rise,
            "",
        )
        .source(source("definition"))
        .caution(
            "Without a control the strongest word is \"changed\": season, weather and feed changed as \
             well.",
        )
}

/// What was taken off, on the scale.
fn off(found: &Comparison, question: &ComparisonQuestion) -> f64 {
    match question.scale {
        Scale::Linear | Scale::Logit => found.expected_without_treatment,
        Scale::Log => (found.expected_without_treatment / 100.0).ln_1p(),
    }
}
