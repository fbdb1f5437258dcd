//! A trial in the unit of its readings, in words, and with its arithmetic.

use swardbook_stats::change::Verdict;
use swardbook_units::Working;

use super::{Assignment, Effect, Test, Trial, TrialQuestion};
use crate::{
    analyte::Scale,
    comparison::{Shown, digits, shown as as_shown, shown_unit},
    source,
};

pub(super) fn shown(found: &Effect, question: &TrialQuestion) -> Shown {
    let (low, high) = found
        .spread
        .map_or((found.effect, found.effect), |(_, _, interval, _)| (interval.low, interval.high));
    Shown {
        change: as_shown(found.effect, question.scale),
        low: as_shown(low, question.scale),
        high: as_shown(high, question.scale),
        unit: shown_unit(question.scale, &question.unit).to_owned(),
    }
}

pub(super) fn sentence(found: &Trial, question: &TrialQuestion) -> String {
    let Shown { change, low, high, unit } = &found.shown;
    let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
    let percent = digits(100.0 * question.level);
    let reach = if found.standard_error.is_some() {
        format!("{} to {}{unit} at {percent} %", digits(*low), digits(*high))
    } else {
        "the same in every unit".to_owned()
    };
    if found.test == Test::NotPossible {
        let rate = 1.0 - question.level;
        let why = if found.smallest_p > rate + 1e-12 {
            format!(
                "the smallest p this design can reach is {:.3}, above the stated {rate:.3}",
                found.smallest_p
            )
        } else {
            "nothing scatters, so there is nothing to judge chance by".to_owned()
        };
        return format!(
            "the treated changed by {}{unit} more than the control, which cannot be told from chance: \
             {why}",
            digits(*change)
        );
    }
    let p = found.p.unwrap_or(1.0);
    match found.verdict {
        Verdict::Rise | Verdict::Fall => {
            let way = if found.verdict == Verdict::Rise { "rose" } else { "fell" };
            let cause = if found.because {
                "because of the treatment: the plots were drawn by lot"
            } else {
                "cause not shown: the plots were not drawn by lot, so what set them apart may have done it"
            };
            format!(
                "the treated {way} by {}{unit} more than the control ({reach}, p = {p:.3}); {cause}",
                digits(change.abs())
            )
        }
        Verdict::SameWithinMargin | Verdict::CannotTell => format!(
            "no effect shown: {}{unit} more than the control ({reach}, p = {p:.3}); an effect within that \
             range may still be there",
            digits(*change)
        ),
    }
}

pub(super) fn working(found: &Trial, question: &TrialQuestion, effect: &Effect) -> Working {
    let unit = match question.scale {
        Scale::Linear => question.unit.as_str(),
        Scale::Log => "ln",
        Scale::Logit => "log odds",
    };
    let mut working = Working::new("effect = (treated after - before) - (control after - before)")
        .given("Plots", question.plots.len() as f64, "")
        .given("Units that are compared", effect.units as f64, "")
        .given("Level", question.level, "")
        .step("change of the treated", "mean of their units".to_owned(), found.treated_change, unit)
        .step("change of the control", "mean of its units".to_owned(), found.control_change, unit)
        .step(
            "effect",
            format!("{:.4} - {:.4}", found.treated_change, found.control_change),
            found.effect,
            unit,
        )
        .source(source("definition"));
    if let (Some(se), Some(df)) = (found.standard_error, found.df) {
        working = working.step("standard error", format!("{df:.1} degrees of freedom"), se, unit);
    }
    working =
        working.step("smallest p of the design", by(found.test).to_owned(), found.smallest_p, "");
    if let Some(p) = found.p {
        working = working.step("p", by(found.test).to_owned(), p, "");
    }
    if let Some((at_equal_start, p)) = found.at_equal_start {
        working = working
            .step(
                "effect at equal start",
                "analysis of covariance, after on before".to_owned(),
                at_equal_start,
                unit,
            )
            .step("p of the effect at equal start", "the same".to_owned(), p, "");
    }
    if question.assignment == Assignment::Chosen {
        working = working.caution(
            "Plots chosen by eye differ before anything is put on: strips of untreated grass side by \
             side differ in about half of all cases.",
        );
    }
    working.caution(
        "Holds only if the control was not touched (drift, run-off, clippings) and one thing was changed.",
    )
}

const fn by(test: Test) -> &'static str {
    match test {
        Test::BlocksBySigns => "every pattern of signs over the blocks",
        Test::PlotsByLot => "every way the treatment could have fallen",
        Test::StudentT => "Student's t",
        Test::NotPossible => "no test is possible",
    }
}
