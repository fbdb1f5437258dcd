//! Did the ground change between a baseline and a retest: interval, chances, and a verdict in words.
//!
//! Both results are composites, so the scatter between cores always counts.
//! It does not own whether two samples may be compared at all (the use cases), nor what made the
//! change (`trial`).

mod scatter;
mod shown;

use swardbook_stats::{
    change::{Change, Judgement, change_from_difference, judge, smallest_detectable_change},
    interval::Scale as StatisticalScale,
    regression_to_mean::{Population, expected_retest},
    uncertainty::{
        ComparisonBudget, CompositeUncertainty, Scatter as Known, Uncertainty, combine,
        comparison as budget_of,
    },
};
use swardbook_units::{Source, Worked, Working};

pub use scatter::ScatterPart;
pub use shown::Shown;
pub(crate) use shown::{digits, shown, shown_unit};
pub use swardbook_stats::change::Verdict;

use crate::{
    AgronomyError,
    analyte::Scale,
    error::{not_negative, positive, refused_by_statistics, within},
    source,
};

/// One result as it was taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Taken {
    /// The reading, in the unit of the comparison.
    pub value: f64,
    /// Cores in the composite.
    pub cores: u32,
    /// Repeats that the laboratory averaged.
    pub repeats: u32,
}

/// The zones that a zone was picked from because it read low or high.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Picked {
    /// Mean of those zones, in the unit of the comparison.
    pub mean: f64,
    /// Share of the variance of single readings that is true differences between the zones, 0 to 1.
    pub reliability: f64,
}

/// A reading that was brought to the method of the other by a published relation.
#[derive(Debug, Clone, PartialEq)]
pub struct Converted {
    /// Standard uncertainty of the relation, on the scale of the comparison.
    pub standard_uncertainty: f64,
    /// What was done, in words.
    pub words: String,
    /// Where the relation is published.
    pub sources: Vec<Source>,
}

/// What is compared.
#[derive(Debug, Clone, PartialEq)]
pub struct ComparisonQuestion {
    /// The scale on which the analyte's errors are even.
    pub scale: Scale,
    /// Unit of the readings.
    pub unit: String,
    /// The baseline.
    pub before: Taken,
    /// The retest.
    pub after: Taken,
    /// Scatter between cores of the zone.
    pub core: ScatterPart,
    /// Scatter between repeats in one laboratory.
    pub laboratory: ScatterPart,
    /// Scatter between laboratories, where the laboratory changed.
    pub between_laboratories: Option<ScatterPart>,
    /// Where one of the two was converted: how.
    pub converted: Option<Converted>,
    /// Where the zone was picked by its first reading: what it was picked from.
    pub picked: Option<Picked>,
    /// Smallest change that would matter: in the unit, or in % on the log scale.
    pub margin: Option<f64>,
    /// Confidence level, such as 0.95.
    pub level: f64,
    /// Power at which the smallest change that could have been seen is stated, such as 0.8.
    pub power: f64,
}

/// The answer of a comparison.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// The change on the scale, less what is expected without any treatment.
    pub change: Change,
    /// The change and its interval as shown: in the unit, or in % on the log scale.
    pub shown: Shown,
    /// The change as read, before anything is taken off, as shown.
    pub observed: f64,
    /// What a zone picked for its reading is expected to change by itself, as shown; zero where it
    /// was not picked.
    pub expected_without_treatment: f64,
    /// Smallest fall and rise that count as real, as shown; the fall is negative.
    pub least_significant: (f64, f64),
    /// Smallest rise that such a pair of samples finds with the power asked for, as shown.
    pub smallest_detectable: f64,
    /// The verdict.
    pub verdict: Verdict,
    /// Whether the change is shown to be larger than the margin; `None` without a margin.
    pub beyond_margin: Option<bool>,
    /// Cores in each of two new samples that would find the margin (or the change seen); `None` where
    /// no number within reason would, or nothing is left to settle.
    pub cores_to_settle: Option<u32>,
    /// The verdict in a sentence.
    pub words: String,
}

const OPERATION: &str = "comparison of two samples";
/// More cores than anybody pulls from one zone.
///
/// # Source `common-practice`.
const MOST_CORES: u32 = 200;

/// Compares a retest with its baseline.
///
/// # Units  as the fields say; the answer is shown in the unit, or in % on the log scale.
/// # Errors `Argument` for a reading with no place on the scale, no cores or repeats, a negative
///   scatter, a margin not above zero, or a level or power out of range; `Refused` for scatter in
///   another unit than the scale has.
/// # Source `gum-2008` for the uncertainty of a difference; regression to the mean after Galton 1886
/// and Barnett 2005 as in `swardbook-stats`.
pub fn compare(question: &ComparisonQuestion) -> Result<Worked<Comparison>, AgronomyError> {
    let scale = question.scale;
    let level = within(OPERATION, "level", question.level, "", 0.5, 0.999_9)?;
    let power = within(OPERATION, "power", question.power, "", 0.5, 0.999)?;
    let before = on_scale("before", question.before.value, scale)?;
    let after = on_scale("after", question.after.value, scale)?;
    let budget = budget(question)?;
    let found = uncertainty(question, &budget)?;
    let of = refused_by_statistics(OPERATION);

    let observed = after - before;
    let taken_off = match &question.picked {
        None => 0.0,
        Some(picked) => {
            let mean = on_scale("population_mean", picked.mean, scale)?;
            let population = Population { mean, deviation: 0.0, reliability: picked.reliability };
            expected_retest(before, &population).map_err(&of)?.change
        }
    };
    let difference = observed - taken_off;
    let statistical = statistical(scale);
    let change =
        change_from_difference(difference, found.combined, statistical, level).map_err(&of)?;
    let smallest = smallest_detectable_change(found.combined, level, power).map_err(&of)?;
    let judgement = judged(question, &change)?;
    let verdict = judgement.map_or_else(|| by_interval(&change), |judged| judged.verdict);
    let cores_to_settle = match verdict {
        Verdict::CannotTell => cores_to_settle(question, &budget, difference)?,
        _ => None,
    };

    let as_shown = |value: f64| shown(value, scale);
    let shown = Shown::of(&change, scale, &question.unit);
    let mut comparison = Comparison {
        observed: as_shown(observed),
        expected_without_treatment: as_shown(taken_off),
        least_significant: (
            as_shown(-change.least_significant),
            as_shown(change.least_significant),
        ),
        smallest_detectable: as_shown(smallest),
        verdict,
        beyond_margin: judgement.map(|judged| judged.beyond_margin),
        cores_to_settle,
        words: String::new(),
        change,
        shown,
    };
    comparison.words = shown::words(&comparison, question);
    let working = shown::working(&comparison, question, &budget, found.core_share());
    Ok(Worked::new(comparison, working))
}

/// A reading on the scale; percentages are taken as shares on the logit scale.
fn on_scale(argument: &'static str, value: f64, scale: Scale) -> Result<f64, AgronomyError> {
    let (value, unit) = match scale {
        Scale::Linear => (within(OPERATION, argument, value, "", -1e9, 1e9)?, ""),
        Scale::Log => (positive(OPERATION, argument, value, "")?, ""),
        Scale::Logit => (within(OPERATION, argument, value, "%", 1e-6, 99.999_999)? / 100.0, "%"),
    };
    statistical(scale).forward(value).map_err(|_| AgronomyError::Argument {
        operation: OPERATION,
        argument,
        value,
        unit,
        allowed: "a number with a place on the scale".to_owned(),
    })
}

const fn statistical(scale: Scale) -> StatisticalScale {
    match scale {
        Scale::Linear => StatisticalScale::Linear,
        Scale::Log => StatisticalScale::Log,
        Scale::Logit => StatisticalScale::Logit,
    }
}

fn budget(question: &ComparisonQuestion) -> Result<ComparisonBudget, AgronomyError> {
    let known = |argument, part: &ScatterPart| -> Result<Known, AgronomyError> {
        let amount = not_negative(OPERATION, argument, part.scatter.amount, "")?;
        let relative = part.scatter.unit == "%";
        let deviation = match (question.scale, relative) {
            (Scale::Log, true) => (amount / 100.0).powi(2).ln_1p().sqrt(),
            (Scale::Linear, false) | (Scale::Logit, false) => amount,
            (Scale::Log, false) | (Scale::Linear | Scale::Logit, true) => {
                return Err(AgronomyError::Refused {
                    operation: OPERATION,
                    argument,
                    why: "on the log scale scatter is a % of the mean, on the others it is not"
                        .to_owned(),
                });
            }
        };
        Ok(Known { deviation, df: part.df.max(1.0) })
    };
    let pair = |argument, counts: [u32; 2]| -> Result<[usize; 2], AgronomyError> {
        for count in counts {
            within(OPERATION, argument, f64::from(count), "", 1.0, 1e6)?;
        }
        Ok(counts.map(|count| count as usize))
    };
    Ok(ComparisonBudget {
        core: known("core", &question.core)?,
        cores: pair("cores", [question.before.cores, question.after.cores])?,
        laboratory: known("laboratory", &question.laboratory)?,
        repeats: pair("repeats", [question.before.repeats, question.after.repeats])?,
        between_laboratories: question
            .between_laboratories
            .as_ref()
            .map(|part| known("between_laboratories", part))
            .transpose()?,
    })
}

/// Scatter of both samples, and of the relation where one was converted.
fn uncertainty(
    question: &ComparisonQuestion,
    budget: &ComparisonBudget,
) -> Result<CompositeUncertainty, AgronomyError> {
    let of = refused_by_statistics(OPERATION);
    let mut found = budget_of(budget).map_err(&of)?;
    if let Some(converted) = &question.converted {
        let u = not_negative(OPERATION, "converted", converted.standard_uncertainty, "")?;
        found.combined = combine(&[found.combined, Uncertainty::known(u)]).map_err(&of)?;
    }
    Ok(found)
}

/// The margin on the scale.
fn margin_on_scale(question: &ComparisonQuestion) -> Result<Option<f64>, AgronomyError> {
    let Some(margin) = question.margin else { return Ok(None) };
    let margin = positive(OPERATION, "margin", margin, "")?;
    Ok(Some(match question.scale {
        Scale::Log => (margin / 100.0).ln_1p(),
        Scale::Linear | Scale::Logit => margin,
    }))
}

fn judged(
    question: &ComparisonQuestion,
    change: &Change,
) -> Result<Option<Judgement>, AgronomyError> {
    let Some(margin) = margin_on_scale(question)? else { return Ok(None) };
    judge(change, margin).map(Some).map_err(refused_by_statistics(OPERATION))
}

fn by_interval(change: &Change) -> Verdict {
    if change.interval.low > 0.0 {
        Verdict::Rise
    } else if change.interval.high < 0.0 {
        Verdict::Fall
    } else {
        Verdict::CannotTell
    }
}

/// Cores in each of two new samples, by halving the range in which the answer lies.
fn cores_to_settle(
    question: &ComparisonQuestion,
    budget: &ComparisonBudget,
    difference: f64,
) -> Result<Option<u32>, AgronomyError> {
    let target = margin_on_scale(question)?.unwrap_or_else(|| difference.abs());
    if target <= 0.0 {
        return Ok(None);
    }
    let detectable = |cores: u32| -> Result<f64, AgronomyError> {
        let each = ComparisonBudget { cores: [cores as usize; 2], ..*budget };
        let u = uncertainty(question, &each)?.combined;
        smallest_detectable_change(u, question.level, question.power)
            .map_err(refused_by_statistics(OPERATION))
    };
    if detectable(MOST_CORES)? > target {
        return Ok(None);
    }
    let (mut low, mut high) = (1, MOST_CORES);
    while low < high {
        let middle = u32::midpoint(low, high);
        if detectable(middle)? <= target { high = middle } else { low = middle + 1 }
    }
    Ok(Some(high))
}

/// A working that begins with the two results.
fn begin(question: &ComparisonQuestion, equation: &str) -> Working {
    let unit = &question.unit;
    Working::new(equation)
        .given("Baseline", question.before.value, unit)
        .given("Retest", question.after.value, unit)
        .given("Cores of the baseline", f64::from(question.before.cores), "")
        .given("Cores of the retest", f64::from(question.after.cores), "")
        .given("Level", question.level, "")
        .source(source("gum-2008"))
}

#[cfg(test)]
mod tests;
