//! What changed, analyte by analyte.

use serde::Serialize;
use swardbook_agronomy::{
    analyte::{Analyte, Scale as AnalyteScale},
    expected_change::{expected_change, kept_fraction},
    reading::{Qualifier, Reading, SoilLayer},
    spread::{Spread, default_spread},
};
use swardbook_stats::{
    change::{Change, Verdict, change_from_difference, judge},
    interval::Scale,
    multiplicity::benjamini_hochberg,
    regression_to_mean::{Population, expected_retest},
    uncertainty::{ComparisonBudget, Scatter, comparison},
};
use swardbook_units::{BulkDensity, Depth, Dose, Origin, Working};
use ts_rs::TS;

use super::{CompareRequest, Side, comparable::laboratory_changed, expected::PutOn};
use crate::{Problem, dto::WorkingDto, sampling::USUAL_DENSITY};

/// A range.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, TS)]
pub struct IntervalView {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// What the applications in between should have done.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct ExpectedView {
    /// If the least is kept.
    pub low: f64,
    /// The middle.
    pub likely: f64,
    /// If the most is kept.
    pub high: f64,
    /// Share of the dose that the test found again, where a rise was seen: observed over whole.
    pub kept: Option<f64>,
    /// How it came about.
    pub working: WorkingDto,
}

/// One analyte, before and after.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct CompareRow {
    /// Analyte id.
    pub analyte: String,
    /// Its name.
    pub name: String,
    /// The method's name; both where they differ.
    pub method_name: String,
    /// The unit of the values.
    pub unit: String,
    /// Decimals worth showing.
    pub decimals: u32,
    /// `linear`, `log` or `logit`: the scale on which the change was taken.
    pub scale: String,
    /// The earlier value, with `<` or `>` before it where it is only a bound.
    pub before: Option<f64>,
    /// Its sign.
    pub before_sign: String,
    /// The later value.
    pub after: Option<f64>,
    /// Its sign.
    pub after_sign: String,
    /// 90 % (or as asked) interval of the earlier value.
    pub before_interval: Option<IntervalView>,
    /// And of the later.
    pub after_interval: Option<IntervalView>,
    /// The change: in the unit on the linear scale, in % on the others.
    pub change: Option<f64>,
    /// Its unit: the unit of the values, or `%`.
    pub change_unit: String,
    /// Its interval.
    pub change_interval: Option<IntervalView>,
    /// Probability of a true rise.
    pub rise: Option<f64>,
    /// Probability of a true fall.
    pub fall: Option<f64>,
    /// Two-sided p of no change, corrected for the number of analytes.
    pub p: Option<f64>,
    /// Smallest change that counts as real here, upwards.
    pub least_significant: Option<f64>,
    /// The margin within which it counts as the same.
    pub margin: Option<f64>,
    /// `rise`, `fall`, `same`, `cannot-tell` or `not-compared`.
    pub verdict: String,
    /// The verdict in a sentence.
    pub sentence: String,
    /// What the applications in between should have done.
    pub expected: Option<ExpectedView>,
    /// How it came about.
    pub working: Option<WorkingDto>,
}

/// What the rows are worked out from.
pub(super) struct Question<'a> {
    pub(super) baseline: &'a Side,
    pub(super) retest: &'a Side,
    pub(super) level: f64,
    pub(super) request: &'a CompareRequest,
    pub(super) applied: &'a [PutOn],
    pub(super) population: Option<&'a (String, Population)>,
}

/// Margin where nobody says another: common practice, no source.
const USUAL_PH_MARGIN: f64 = 0.3;
/// Margin of a concentration where nobody says another, %: common practice, no source.
const USUAL_PERCENT_MARGIN: f64 = 25.0;

const fn scale_of(analyte: &Analyte) -> Scale {
    match analyte.scale {
        AnalyteScale::Linear => Scale::Linear,
        AnalyteScale::Log => Scale::Log,
        AnalyteScale::Logit => Scale::Logit,
    }
}

pub(super) fn rows(question: &Question<'_>) -> Result<Vec<CompareRow>, Problem> {
    let (before, _) = question.baseline.context.usable();
    let (after, _) = question.retest.context.usable();
    let asked = &question.request.analytes;
    if let Some(unknown) = asked.iter().find(|id| !before.iter().any(|b| b.analyte().id == **id)) {
        return Err(Problem::bad(
            "analytes",
            format!("the baseline has no reading of \"{unknown}\""),
        ));
    }
    let mut rows = Vec::new();
    let mut changes: Vec<Option<(Change, f64)>> = Vec::new();
    for earlier in before.iter().filter(|b| asked.is_empty() || asked.contains(&b.analyte().id)) {
        let same = |later: &&Reading| {
            later.analyte().id == earlier.analyte().id && later.method().id == earlier.method().id
        };
        let (row, change) = match after.iter().find(same) {
            Some(later) => compared(question, earlier, later)?,
            None => {
                let other = after.iter().find(|later| later.analyte().id == earlier.analyte().id);
                let Some(other) = other else { continue };
                // An analyte that another earlier reading already pairs with has its own row.
                if before.iter().any(|b| {
                    b.analyte().id == other.analyte().id && b.method().id == other.method().id
                }) {
                    continue;
                }
                (other_method(earlier, other), None)
            }
        };
        rows.push(row);
        changes.push(change);
    }
    name_methods(&mut rows);
    decide(question, &mut rows, &changes)?;
    Ok(rows)
}

/// Puts the method into the name where one analyte was read by several.
fn name_methods(rows: &mut [CompareRow]) {
    let twice: Vec<String> = rows
        .iter()
        .filter(|row| rows.iter().filter(|other| other.analyte == row.analyte).count() > 1)
        .map(|row| row.analyte.clone())
        .collect();
    for row in rows.iter_mut().filter(|row| twice.contains(&row.analyte)) {
        row.name = format!("{} ({})", row.name, row.method_name);
    }
}

fn other_method(earlier: &Reading, later: &Reading) -> CompareRow {
    let name = &earlier.analyte().name;
    let mut row = blank(earlier);
    row.method_name = format!("{} against {}", earlier.method().name, later.method().name);
    "not-compared".clone_into(&mut row.verdict);
    row.sentence = format!(
        "{name} is not compared: {} and {} read different parts of the soil; ask for the same \
         method next time.",
        earlier.method().name,
        later.method().name
    );
    row
}

fn blank(reading: &Reading) -> CompareRow {
    let analyte = reading.analyte();
    CompareRow {
        analyte: analyte.id.clone(),
        name: analyte.name.clone(),
        method_name: reading.method().name.clone(),
        unit: reading.by().unit.symbol.to_owned(),
        decimals: crate::dto::decimals(analyte, reading.by().unit),
        scale: match analyte.scale {
            AnalyteScale::Linear => "linear",
            AnalyteScale::Log => "log",
            AnalyteScale::Logit => "logit",
        }
        .to_owned(),
        before: None,
        before_sign: String::new(),
        after: None,
        after_sign: String::new(),
        before_interval: None,
        after_interval: None,
        change: None,
        change_unit: if analyte.scale == AnalyteScale::Linear {
            reading.by().unit.symbol.to_owned()
        } else {
            "%".to_owned()
        },
        change_interval: None,
        rise: None,
        fall: None,
        p: None,
        least_significant: None,
        margin: None,
        verdict: String::new(),
        sentence: String::new(),
        expected: None,
        working: None,
    }
}

fn budget(question: &Question<'_>, spread: &Spread, analyte: &Analyte) -> Option<ComparisonBudget> {
    let on = |term: &swardbook_agronomy::spread::SpreadTerm| {
        term.scatter.on_scale(analyte.scale).map(Scatter::known)
    };
    let cores = |side: &Side| usize::try_from(side.cores.unwrap_or(1)).unwrap_or(1);
    Some(ComparisonBudget {
        core: on(&spread.core)?,
        cores: [cores(question.baseline), cores(question.retest)],
        laboratory: on(&spread.laboratory)?,
        repeats: [1, 1],
        between_laboratories: if laboratory_changed(question.baseline, question.retest) {
            Some(on(&spread.between_laboratories)?)
        } else {
            None
        },
    })
}

fn refused(error: swardbook_stats::StatsError) -> Problem {
    Problem::refused(format!("the change cannot be worked out: {error}"))
}

fn compared(
    question: &Question<'_>,
    earlier: &Reading,
    later: &Reading,
) -> Result<(CompareRow, Option<(Change, f64)>), Problem> {
    let analyte = earlier.analyte();
    let scale = scale_of(analyte);
    let mut row = blank(earlier);
    let before = earlier.canonical(&question.baseline.context.ground())?.value;
    let after = later.canonical(&question.retest.context.ground())?.value;
    let level_of = |reading: &Reading, value: f64, side: &Side| {
        crate::standing::interval_of(reading, Some(value), side.cores.unwrap_or(1))
            .map(|(low, high)| IntervalView { low, high })
    };
    row.before = Some(before);
    row.after = Some(after);
    earlier.qualifier().sign().clone_into(&mut row.before_sign);
    later.qualifier().sign().clone_into(&mut row.after_sign);
    row.before_interval = level_of(earlier, before, question.baseline);
    row.after_interval = level_of(later, after, question.retest);
    if earlier.qualifier() != Qualifier::Exact || later.qualifier() != Qualifier::Exact {
        "cannot-tell".clone_into(&mut row.verdict);
        row.sentence = format!(
            "{}: cannot tell; a reading that is only a bound shows no exact change.",
            row.name
        );
        return Ok((row, None));
    }
    let Some(spread) = default_spread(analyte) else {
        "cannot-tell".clone_into(&mut row.verdict);
        row.sentence = format!(
            "{}: cannot tell; no scatter between cores is published for it here. Replicate \
             composites of one zone would give this ground's own.",
            row.name
        );
        return Ok((row, None));
    };
    let Some(budget) = budget(question, spread, analyte) else { return Ok((row, None)) };
    let parts = comparison(&budget).map_err(refused)?;
    let share = |value: f64| if scale == Scale::Logit { value / 100.0 } else { value };
    let forward = |value: f64| scale.forward(share(value)).map_err(refused);
    let (Ok(from), Ok(to)) = (forward(before), forward(after)) else {
        "cannot-tell".clone_into(&mut row.verdict);
        row.sentence = format!("{}: cannot tell; a value of zero has no ratio.", row.name);
        return Ok((row, None));
    };
    let mut difference = to - from;
    let mut working = working(question, spread, &budget, (before, after), &row);
    if let Some((of, population)) = question.population
        && *of == analyte.id
    {
        let (pull, with_pull) = pulled(population, from, scale, &parts.combined, working)?;
        difference -= pull;
        working = with_pull;
    }
    let change = change_from_difference(difference, parts.combined, scale, question.level)
        .map_err(refused)?;
    let margin = margin(question.request, analyte, scale)?;
    working = working
        .step("difference on its scale", format!("{to:.4} - {from:.4}"), difference, "")
        .step(
            "standard uncertainty of the difference",
            "as above".to_owned(),
            parts.combined.u,
            "",
        );
    row.expected = expected(question, analyte, scale, before, after)?;
    fill(&mut row, &change, margin, before);
    row.working = Some(WorkingDto::from(&working));
    Ok((row, Some((change, margin))))
}

/// Takes off what a zone chosen for its reading would move without treatment.
fn pulled(
    population: &Population,
    first: f64,
    scale: Scale,
    error: &swardbook_stats::uncertainty::Uncertainty,
    working: Working,
) -> Result<(f64, Working), Problem> {
    // The population was gathered in readings; on the log scale its spread is a ratio.
    let (mean, deviation) = match scale {
        Scale::Linear => (population.mean, population.deviation),
        Scale::Log => {
            let variation = population.deviation / population.mean;
            (
                population.mean.ln() - 0.5 * variation.powi(2).ln_1p(),
                variation.powi(2).ln_1p().sqrt(),
            )
        }
        Scale::Logit => return Ok((0.0, working)),
    };
    // The error of the difference is that of two readings.
    let of_one = error.u * error.u / 2.0;
    let all = deviation * deviation;
    let reliability = if all > 0.0 { ((all - of_one) / all).clamp(0.0, 1.0) } else { 0.0 };
    let retest =
        expected_retest(first, &Population { mean, deviation, reliability }).map_err(refused)?;
    let working = working
        .given("Mean of the zones' first readings", mean, "")
        .step(
            "share of their spread that is true",
            format!("1 - {of_one:.4} / {all:.4}"),
            reliability,
            "",
        )
        .step(
            "pull towards their mean without treatment",
            format!("(1 - {reliability:.2}) x ({mean:.3} - {first:.3})"),
            retest.change,
            "",
        )
        .caution("The zone was chosen for this reading: the pull towards the mean is taken off.");
    Ok((retest.change, working))
}

fn margin(request: &CompareRequest, analyte: &Analyte, scale: Scale) -> Result<f64, Problem> {
    let given = request.margins.get(&analyte.id).copied();
    let margin = match scale {
        Scale::Linear => given.unwrap_or(USUAL_PH_MARGIN),
        Scale::Log | Scale::Logit => (given.unwrap_or(USUAL_PERCENT_MARGIN) / 100.0).ln_1p(),
    };
    if margin > 0.0 && margin.is_finite() {
        return Ok(margin);
    }
    Err(Problem::bad("margins", format!("the margin of {} must be above zero", analyte.id)))
}

fn working(
    question: &Question<'_>,
    spread: &Spread,
    budget: &ComparisonBudget,
    (before, after): (f64, f64),
    row: &CompareRow,
) -> Working {
    let mut working = Working::new(
        "u^2 = s_core^2 (1/n1 + 1/n2) + s_lab^2 (1 + 1) (+ 2 s_between^2 with another laboratory)",
    )
    .given("Before", before, &row.unit)
    .given("After", after, &row.unit)
    .input(
        "Scatter between cores",
        budget.core.deviation,
        "",
        Origin::Default(spread.core.from.clone()),
    )
    .input(
        "Scatter in the laboratory",
        budget.laboratory.deviation,
        "",
        Origin::Default(spread.laboratory.from.clone()),
    );
    if let Some(between) = budget.between_laboratories {
        working = working.input(
            "Scatter between laboratories",
            between.deviation,
            "",
            Origin::Default(spread.between_laboratories.from.clone()),
        );
    }
    for (name, side) in [("Cores before", question.baseline), ("Cores after", question.retest)] {
        working = working.given(name, f64::from(side.cores.unwrap_or(1)), "");
    }
    for term in [&spread.core, &spread.laboratory] {
        for source in &term.sources {
            working = working.source(source.clone());
        }
    }
    working.caution(
        "The scatter is a published default, not this ground's own: replicate composites of the \
         zone would take its place.",
    )
}

fn fill(row: &mut CompareRow, change: &Change, margin: f64, before: f64) {
    let shown = |on_scale: f64| match change.scale {
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
    row.margin = Some(shown(margin));
}

/// Verdicts with false discoveries kept under control over all rows.
fn decide(
    question: &Question<'_>,
    rows: &mut [CompareRow],
    changes: &[Option<(Change, f64)>],
) -> Result<(), Problem> {
    let places: Vec<usize> = (0..rows.len()).filter(|at| changes[*at].is_some()).collect();
    let p: Vec<f64> =
        places.iter().filter_map(|at| changes[*at].as_ref().map(|(change, _)| change.p)).collect();
    if p.is_empty() {
        return Ok(());
    }
    let adjusted = benjamini_hochberg(&p).map_err(refused)?;
    for (place, adjusted) in places.into_iter().zip(adjusted) {
        let Some((change, margin)) = &changes[place] else { continue };
        let row = &mut rows[place];
        row.p = Some(adjusted);
        let judgement = judge(change, *margin).map_err(refused)?;
        let claimed = adjusted <= 1.0 - question.level;
        let verdict = match judgement.verdict {
            Verdict::Rise | Verdict::Fall if !claimed => Verdict::CannotTell,
            verdict => verdict,
        };
        let alone = matches!(judgement.verdict, Verdict::Rise | Verdict::Fall) && !claimed;
        let (word, sentence) = words(row, verdict, alone);
        word.clone_into(&mut row.verdict);
        row.sentence = sentence;
    }
    Ok(())
}

fn words(row: &CompareRow, verdict: Verdict, alone: bool) -> (&'static str, String) {
    let places = if row.change_unit == "%" { 0 } else { 2 };
    let number = |value: Option<f64>| format!("{:+.places$}", value.unwrap_or_default());
    let unit = if row.change_unit == "pH" || row.change_unit.is_empty() {
        String::new()
    } else {
        format!(" {}", row.change_unit)
    };
    let range = row.change_interval.map_or_else(String::new, |interval| {
        format!("{:+.places$} to {:+.places$}{unit}", interval.low, interval.high)
    });
    let name = &row.name;
    match verdict {
        Verdict::Rise => ("rise", format!("{name} rose: {}{unit} ({range}).", number(row.change))),
        Verdict::Fall => ("fall", format!("{name} fell: {}{unit} ({range}).", number(row.change))),
        Verdict::SameWithinMargin => (
            "same",
            format!(
                "{name} stayed the same: no change bigger than {:.places$}{unit} ({range}).",
                row.margin.unwrap_or_default()
            ),
        ),
        Verdict::CannotTell if alone => (
            "cannot-tell",
            format!(
                "{name}: cannot tell among so many questions; alone it would have counted as a \
                 change ({range}). Ask fewer analytes, chosen before looking, or sample again."
            ),
        ),
        Verdict::CannotTell => (
            "cannot-tell",
            format!(
                "{name}: cannot tell ({range}); a change of {:.places$}{unit} or more would have \
                 shown. More cores in both samples would settle it.",
                row.least_significant.unwrap_or_default()
            ),
        ),
    }
}

/// What the applications in between should have done to a concentration.
fn expected(
    question: &Question<'_>,
    analyte: &Analyte,
    scale: Scale,
    before: f64,
    after: f64,
) -> Result<Option<ExpectedView>, Problem> {
    if scale != Scale::Log || analyte.by.first().is_none_or(|by| by.unit.symbol != "mg/kg") {
        return Ok(None);
    }
    let symbol = analyte.symbol.as_str();
    let put_on: f64 = question
        .applied
        .iter()
        .filter_map(|one| Some(one.material.as_ref()?.element_in(one.dose?, symbol).value()))
        .sum();
    if put_on <= 0.0 {
        return Ok(None);
    }
    let sample = &question.retest.context.sample;
    let (Some(from), Some(to)) = (sample.from_mm, sample.to_mm) else { return Ok(None) };
    let density = question.retest.context.zone.bulk_density.unwrap_or(USUAL_DENSITY);
    let layer = SoilLayer { thickness: Depth(to - from), bulk_density: BulkDensity(density) };
    let prior = kept_fraction(symbol);
    let worked = expected_change(Dose(put_on), &layer, &prior)?;
    let whole = put_on * 1000.0 / ((to - from) * density);
    Ok(Some(ExpectedView {
        low: worked.value.low.value(),
        likely: worked.value.likely.value(),
        high: worked.value.high.value(),
        kept: (after > before).then(|| (after - before) / whole),
        working: WorkingDto::from(&worked.working),
    }))
}
