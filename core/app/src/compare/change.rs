//! One analyte, before and after: what the arithmetic is asked, and its answer as a row.

use swardbook_agronomy::{
    analyte::{Analyte, Scale},
    comparison::{Comparison, ComparisonQuestion, Converted, Picked, ScatterPart, Taken, compare},
    interpret::{Sampling, composite_spread},
    reading::{Qualifier, Reading},
};
use swardbook_stats::change::Change;

use super::{
    CompareRequest, Side,
    comparable::laboratory_changed,
    expected::expected,
    rows::{CompareRow, IntervalView, Question, blank},
};
use crate::{Problem, dto::WorkingDto, standing::interval_of};

/// Margin where nobody says another: common practice, no source.
const USUAL_PH_MARGIN: f64 = 0.3;
/// Margin of a concentration where nobody says another, %: common practice, no source.
const USUAL_PERCENT_MARGIN: f64 = 25.0;

/// Power at which it is said what would settle a change; common practice, no source.
const POWER: f64 = 0.8;

fn cannot_tell(mut row: CompareRow, why: &str) -> (CompareRow, Option<Comparison>) {
    "cannot-tell".clone_into(&mut row.verdict);
    row.sentence = format!("{}: cannot tell; {why}", row.name);
    (row, None)
}

const fn cores(side: &Side) -> u32 {
    match side.cores {
        Some(cores) => cores,
        None => 1,
    }
}

/// Compares two readings of one analyte; the verdict is given over all rows together.
pub(super) fn compared(
    question: &Question<'_>,
    earlier: &Reading,
    later: &Reading,
    converted: Option<Converted>,
) -> Result<(CompareRow, Option<Comparison>), Problem> {
    let analyte = earlier.analyte();
    let mut row = blank(earlier);
    let before = earlier.canonical(&question.baseline.context.ground())?.value;
    let after = later.canonical(&question.retest.context.ground())?.value;
    let interval = |reading: &Reading, value: f64, side: &Side| {
        let sampling = Sampling { cores: cores(side), repeats: 1 };
        interval_of(reading, Some(value), sampling, question.own, question.level)
            .map(|(low, high)| IntervalView { low, high })
    };
    row.before = Some(before);
    row.after = Some(after);
    earlier.qualifier().sign().clone_into(&mut row.before_sign);
    later.qualifier().sign().clone_into(&mut row.after_sign);
    row.before_interval = interval(earlier, before, question.baseline);
    row.after_interval = interval(later, after, question.retest);
    if let Some(converted) = &converted {
        row.method_name = format!("{}, the retest converted", earlier.method().name);
        row.conversion.clone_from(&converted.words);
    }
    if earlier.qualifier() != Qualifier::Exact || later.qualifier() != Qualifier::Exact {
        return Ok(cannot_tell(row, "a reading that is only a bound shows no exact change."));
    }
    let (Some(core), Some(laboratory), Some(between)) = (
        ScatterPart::between_cores(analyte, question.own),
        ScatterPart::in_laboratory(analyte),
        ScatterPart::between_laboratories(analyte),
    ) else {
        return Ok(cannot_tell(
            row,
            "neither the scatter between cores nor that of laboratories is published for it here.",
        ));
    };
    if analyte.scale != Scale::Linear && (before <= 0.0 || after <= 0.0) {
        return Ok(cannot_tell(row, "a value of zero has no ratio."));
    }
    let margin = margin(question.request, analyte)?;
    let taken = |value, side| Taken { value, cores: cores(side), repeats: 1 };
    let asked = ComparisonQuestion {
        scale: analyte.scale,
        unit: row.unit.clone(),
        before: taken(before, question.baseline),
        after: taken(after, question.retest),
        core,
        laboratory,
        between_laboratories: laboratory_changed(question.baseline, question.retest)
            .then_some(between),
        converted,
        picked: picked(question, analyte),
        margin: Some(margin),
        level: question.level,
        power: POWER,
    };
    let worked = compare(&asked)?;
    row.expected = expected(question, earlier, before, after)?;
    fill(&mut row, &worked.value.change, analyte.scale, before);
    row.margin = Some(match analyte.scale {
        Scale::Linear | Scale::Log => margin,
        Scale::Logit => 100.0 * margin.exp_m1(),
    });
    row.working = Some(WorkingDto::from(&worked.working));
    Ok((row, Some(worked.value)))
}

/// The zones that this one was chosen from for its reading, where it was: what a single reading's
/// error takes of their spread is not true difference between them.
fn picked(question: &Question<'_>, analyte: &'static Analyte) -> Option<Picked> {
    let (_, population) = question.population.filter(|(of, _)| *of == analyte.id)?;
    let (mean, deviation) = match analyte.scale {
        Scale::Linear => (population.mean, population.deviation),
        // The spread of a ratio, and the geometric mean of a lognormal.
        Scale::Log => {
            let variance = (population.deviation / population.mean).powi(2).ln_1p();
            (population.mean * (-0.5 * variance).exp(), variance.sqrt())
        }
        Scale::Logit => return None,
    };
    let sampling = Sampling { cores: cores(question.baseline), repeats: 1 };
    let error = composite_spread(analyte, &sampling, question.own)?.value.u.powi(2);
    let all = deviation * deviation;
    let reliability = if all > 0.0 { ((all - error) / all).clamp(0.0, 1.0) } else { 0.0 };
    Some(Picked { mean, reliability })
}

/// The margin as the comparison takes it: pH units, % of a concentration, or log odds.
fn margin(request: &CompareRequest, analyte: &Analyte) -> Result<f64, Problem> {
    let given = request.margins.get(&analyte.id).copied();
    let margin = match analyte.scale {
        Scale::Linear => given.unwrap_or(USUAL_PH_MARGIN),
        Scale::Log => given.unwrap_or(USUAL_PERCENT_MARGIN),
        Scale::Logit => (given.unwrap_or(USUAL_PERCENT_MARGIN) / 100.0).ln_1p(),
    };
    if margin > 0.0 && margin.is_finite() {
        return Ok(margin);
    }
    Err(Problem::bad("margins", format!("the margin of {} must be above zero", analyte.id)))
}

/// The change as rows show it: in the unit on the linear scale, in % of the earlier value on the
/// others.
fn fill(row: &mut CompareRow, change: &Change, scale: Scale, before: f64) {
    let shown = |on_scale: f64| match scale {
        Scale::Linear => on_scale,
        Scale::Log => 100.0 * on_scale.exp_m1(),
        Scale::Logit => {
            let odds = (before / (100.0 - before)).ln() + on_scale;
            let share = 100.0 / (1.0 + (-odds).exp());
            100.0 * (share / before - 1.0)
        }
    };
    row.change = Some(shown(change.difference));
    row.change_interval =
        Some(IntervalView { low: shown(change.interval.low), high: shown(change.interval.high) });
    row.rise = Some(change.probability_of_rise);
    row.fall = Some(change.probability_of_fall);
    row.least_significant = Some(shown(change.least_significant));
}
