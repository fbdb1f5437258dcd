//! The reading of a panel: each reading against each guideline of its own method.
//!
//! Guidelines stand side by side and are never blended; one of another extractant is listed as not
//! applied, with the reason.
//! This module does not own what to put on.

mod probability;
mod settle;
mod uncertainty;

use swardbook_units::{Confidence, Working};

pub use probability::Chance;
use probability::Chances;
pub use settle::Settle;
pub use uncertainty::{CompositeSpread, Sampling, composite_spread};

use crate::{
    AgronomyError,
    analyte::Analyte,
    error::within,
    guideline::{Guideline, Limit, LimitValues, ReadingRange, TurfKind, guidelines},
    reading::{Ground, Qualifier, Reading},
    source,
    spread::OwnScatter,
    texture::Texture,
};

/// How sure one must be before a word is said.
///
/// # Source `common-practice`: no publication sets these.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thresholds {
    /// Least probability of lying below the limit for "short".
    pub short: f64,
    /// Least probability of lying at or above the limit for "enough", and within the margin for
    /// "marginal".
    pub enough: f64,
    /// Least probability of lying above the upper end for "high".
    pub high: f64,
}

impl Thresholds {
    /// Four in five for each word.
    pub const COMMON: Self = Self { short: 0.8, enough: 0.8, high: 0.8 };
}

/// What the panel is read against.
#[derive(Debug, Clone, Copy)]
pub struct Surroundings<'a> {
    /// Texture of the zone, where it is known.
    pub texture: Option<Texture>,
    /// Kind of turf, where it is known.
    pub turf: Option<TurfKind>,
    /// Layer and scoop density, for conversions.
    pub ground: Ground,
    /// Cores in the composite and repeats in the laboratory.
    pub sampling: Sampling,
    /// The notebook's own scatter, which is added to the defaults.
    pub own: &'a [OwnScatter],
    /// How sure one must be.
    pub thresholds: Thresholds,
}

/// What a reading says against a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Verdict {
    /// Likely below the limit.
    Short,
    /// Likely between the two limits of a guideline with a margin.
    Marginal,
    /// Likely at or above the limit.
    Enough,
    /// Likely above the upper end.
    High,
    /// None of these is likely enough.
    CannotTell,
}

/// One reading against one limit.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// Place of the reading in the panel.
    pub reading: usize,
    /// The guideline.
    pub guideline: &'static Guideline,
    /// Its limit.
    pub limit: &'static Limit,
    /// The limit in the unit the reading is kept in.
    pub values: LimitValues,
    /// The reading in that unit.
    pub value: f64,
    /// The printed class that the reading falls in.
    pub class: Option<&'static str>,
    /// Probability that the true value is below the lower limit; none where the scatter is unknown.
    pub below: Option<Chance>,
    /// Probability that it is at or above the limit from which it is enough.
    pub enough: Option<Chance>,
    /// Probability that it is above the upper end, where there is one.
    pub high: Option<Chance>,
    /// What that says.
    pub verdict: Verdict,
    /// What would settle a verdict that cannot be told.
    pub settle: Option<Settle>,
    /// How it came about.
    pub working: Working,
}

impl Judged {
    /// Whether the limit rests on memory; a confirmed one goes first wherever one must be chosen.
    #[must_use]
    pub fn is_remembered(&self) -> bool {
        self.guideline.source.confidence == Confidence::FromMemory
    }
}

/// A guideline that was not applied to a reading.
#[derive(Debug, Clone, PartialEq)]
pub struct NotApplied {
    /// Place of the reading in the panel.
    pub reading: usize,
    /// The guideline.
    pub guideline: &'static Guideline,
    /// Why not.
    pub because: Because,
}

/// Why a guideline was not applied.
#[derive(Debug, Clone, PartialEq)]
pub enum Because {
    /// It was set for other methods.
    OtherMethod {
        /// Names of the methods it holds for.
        holds_for: Vec<&'static str>,
    },
    /// It was set for another texture.
    OtherTexture,
    /// It depends on the texture, which is not known.
    TextureNotKnown,
    /// It was set for another kind of turf.
    OtherTurf,
    /// It depends on the kind of turf, which is not known.
    TurfNotKnown,
    /// It depends on a reading that the panel does not have.
    ReadingMissing(&'static Analyte),
    /// It was set for other values of a reading.
    OtherGround(&'static Analyte),
    /// The reading cannot be brought to the unit of the limit.
    NotConvertible(AgronomyError),
}

impl Because {
    /// The reason in words.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::OtherMethod { holds_for } => {
                format!("set for {}; extractants are not converted", holds_for.join(" and "))
            }
            Self::OtherTexture => "set for another texture".to_owned(),
            Self::TextureNotKnown => {
                "depends on the texture: say what the zone's texture is".to_owned()
            }
            Self::OtherTurf => "set for another kind of turf".to_owned(),
            Self::TurfNotKnown => "depends on the kind of turf: say what the zone is".to_owned(),
            Self::ReadingMissing(analyte) => {
                format!("depends on {}, which the panel does not have", analyte.name)
            }
            Self::OtherGround(analyte) => format!("set for other values of {}", analyte.name),
            Self::NotConvertible(error) => error.to_string(),
        }
    }
}

/// A whole panel read.
#[derive(Debug, Clone, PartialEq)]
pub struct Interpretation {
    /// Readings against limits, in the order of the readings; confirmed guidelines first.
    pub judged: Vec<Judged>,
    /// Guidelines that were not applied, with the reason.
    pub not_applied: Vec<NotApplied>,
}

/// Reads a panel against every guideline.
///
/// # Errors `Argument` when a threshold is not a probability above one half, or the composite has
/// no core or no repeat.
/// # Source Each row carries its own.
pub fn interpret(
    readings: &[Reading],
    surroundings: &Surroundings<'_>,
) -> Result<Interpretation, AgronomyError> {
    check(surroundings)?;
    let mut interpretation = Interpretation { judged: Vec::new(), not_applied: Vec::new() };
    for (at, reading) in readings.iter().enumerate() {
        let mut rows = Vec::new();
        for guideline in guidelines() {
            let limits: Vec<&'static Limit> =
                guideline.limits.iter().filter(|l| l.analyte.id == reading.analyte().id).collect();
            let mut reasons = Vec::new();
            let mut applied = false;
            for limit in &limits {
                match obstacle(limit, readings, reading, surroundings) {
                    Some(because) => reasons.push(because),
                    None => match judge(guideline, limit, readings, at, surroundings) {
                        Ok(row) => {
                            rows.push(row);
                            applied = true;
                        }
                        Err(error) => reasons.push(Because::NotConvertible(error)),
                    },
                }
            }
            if let Some(because) = nearest_reason(reasons).filter(|_| !applied) {
                interpretation.not_applied.push(NotApplied { reading: at, guideline, because });
            }
        }
        rows.sort_by_key(Judged::is_remembered);
        interpretation.judged.append(&mut rows);
    }
    Ok(interpretation)
}

fn check(surroundings: &Surroundings<'_>) -> Result<(), AgronomyError> {
    const OPERATION: &str = "reading of a panel";
    let Thresholds { short, enough, high } = surroundings.thresholds;
    within(OPERATION, "threshold_short", short, "", 0.5, 1.0)?;
    within(OPERATION, "threshold_enough", enough, "", 0.5, 1.0)?;
    within(OPERATION, "threshold_high", high, "", 0.5, 1.0)?;
    surroundings.sampling.check()
}

/// The reason that is nearest to being met: what could be supplied before what cannot be changed.
fn nearest_reason(reasons: Vec<Because>) -> Option<Because> {
    reasons.into_iter().min_by_key(|because| match because {
        Because::TextureNotKnown | Because::TurfNotKnown => 0,
        Because::ReadingMissing(_) | Because::NotConvertible(_) => 1,
        Because::OtherTexture | Because::OtherTurf | Because::OtherGround(_) => 2,
        Because::OtherMethod { .. } => 3,
    })
}

/// Why a limit does not hold for a reading on this ground; `None` when it does.
fn obstacle(
    limit: &'static Limit,
    readings: &[Reading],
    reading: &Reading,
    surroundings: &Surroundings<'_>,
) -> Option<Because> {
    if !limit.holds_for(reading.method()) {
        let holds_for = limit.methods.iter().map(|method| method.name.as_str()).collect();
        return Some(Because::OtherMethod { holds_for });
    }
    let only = &limit.only_on;
    if !only.textures.is_empty() {
        match surroundings.texture {
            None => return Some(Because::TextureNotKnown),
            Some(texture) if !only.textures.contains(&texture) => {
                return Some(Because::OtherTexture);
            }
            Some(_) => {}
        }
    }
    if !only.turf.is_empty() {
        match surroundings.turf {
            None => return Some(Because::TurfNotKnown),
            Some(turf) if !only.turf.contains(&turf) => return Some(Because::OtherTurf),
            Some(_) => {}
        }
    }
    only.readings.iter().find_map(|range| match value_of(range, readings, &surroundings.ground) {
        None => Some(Because::ReadingMissing(range.analyte)),
        // Neighbouring ranges share an end: it belongs to the upper one.
        Some(value) if value < range.from || value >= range.to => {
            Some(Because::OtherGround(range.analyte))
        }
        Some(_) => None,
    })
}

/// The panel's own reading of what a range asks about; an effective capacity stands in for one
/// that was not measured.
fn value_of(range: &ReadingRange, readings: &[Reading], ground: &Ground) -> Option<f64> {
    let find = |id: &str| {
        readings
            .iter()
            .find(|r| r.analyte().id == id && r.qualifier() == Qualifier::Exact)
            .and_then(|r| r.canonical(ground).ok())
            .map(|worked| worked.value)
    };
    find(&range.analyte.id).or_else(|| (range.analyte.id == "cec").then(|| find("ecec")).flatten())
}

fn judge(
    guideline: &'static Guideline,
    limit: &'static Limit,
    readings: &[Reading],
    at: usize,
    surroundings: &Surroundings<'_>,
) -> Result<Judged, AgronomyError> {
    let reading = &readings[at];
    let kept = reading.canonical(&surroundings.ground)?;
    let values = limit.values_for(reading.method())?;
    let unit = values.value.unit.symbol;
    let mut working = Working::new("z = (g(limit) - g(reading)) / u, g = the analyte's own scale")
        .after(&kept.working)
        .after(&values.working)
        .given(&format!("Limit of {}", guideline.title), values.value.short_below, unit)
        .source(guideline.source.clone());
    for caution in &guideline.cautions {
        working = working.caution(caution);
    }
    for range in &limit.derived_on {
        if let Some(words) = outside_words(range, readings, &surroundings.ground) {
            working = working.caution(&words);
        }
    }
    let spread = composite_spread(reading.analyte(), &surroundings.sampling, surroundings.own);
    let (chances, working) = match spread {
        Some(spread) => {
            let chances = Chances::of(reading, kept.value, &values.value, &spread.value);
            let working = chances.shown(working.after(&spread.working), &values.value);
            (Some(chances), working)
        }
        None => {
            (None, working.caution("No scatter is known for this analyte, so nothing can be told."))
        }
    };
    let thresholds = &surroundings.thresholds;
    let verdict = chances.map_or(Verdict::CannotTell, |c| c.verdict(thresholds));
    let settle = chances
        .filter(|_| verdict == Verdict::CannotTell)
        .map(|_| settle::what_would_settle(reading, kept.value, &values.value, surroundings));
    let working = working
        .assumed("Sure enough for short", thresholds.short, "", "common practice, no source")
        .assumed("Sure enough for enough", thresholds.enough, "", "common practice, no source")
        .source(source("common-practice"));
    // Classes are printed in the limit's own unit, which is the kept one times a plain factor.
    let factor = if values.value.short_below > 0.0 {
        limit.short_below / values.value.short_below
    } else {
        1.0
    };
    let exact = reading.qualifier() == Qualifier::Exact;
    Ok(Judged {
        reading: at,
        guideline,
        limit,
        values: values.value,
        value: kept.value,
        class: if exact { limit.class_of(kept.value * factor) } else { None },
        below: chances.map(|c| c.below),
        enough: chances.map(|c| c.enough),
        high: chances.and_then(|c| c.high),
        verdict,
        settle,
        working,
    })
}

fn outside_words(range: &ReadingRange, readings: &[Reading], ground: &Ground) -> Option<String> {
    let name = &range.analyte.name;
    match value_of(range, readings, ground) {
        None => Some(format!(
            "Derived from ground with {name} from {} to {}; the panel has no such reading, so it \
             is not known whether this ground is like it.",
            range.from, range.to
        )),
        Some(value) if value < range.from || value > range.to => Some(format!(
            "Derived from ground with {name} from {} to {}; here it is {value}: outside it.",
            range.from, range.to
        )),
        Some(_) => None,
    }
}

#[cfg(test)]
mod tests;
