//! All methods that the readings support, side by side; one is used and said to be.

use swardbook_units::{Confidence, Dose, Working};

use super::{LimeAim, LimeMethod, LimeReadings, lime_need};
use crate::AgronomyError;

/// The methods that have all their readings, in the order in which one is chosen.
#[must_use]
pub fn methods_supported(readings: &LimeReadings) -> Vec<LimeMethod> {
    LimeMethod::ALL.into_iter().filter(|m| readings.missing_for(*m).is_empty()).collect()
}

/// One method's answer.
#[derive(Debug, Clone, PartialEq)]
pub struct LimeAnswer {
    /// The method.
    pub method: LimeMethod,
    /// Pure calcium carbonate.
    pub need: Dose,
    /// How it came about.
    pub working: Working,
}

/// Every method that answers, and what it says.
#[derive(Debug, Clone, PartialEq)]
pub struct LimeComparison {
    /// The answers, in the order in which one is chosen; the first is used.
    pub answers: Vec<LimeAnswer>,
    /// Methods that have their readings and still do not answer, with the reason.
    pub refused: Vec<(LimeMethod, AgronomyError)>,
    /// The answer used; none where no method answers.
    pub chosen: Option<usize>,
    /// Least and greatest answer of the confirmed methods that aim at a pH; of all answers where
    /// no such method answers.
    pub spread: Option<(Dose, Dose)>,
    /// Why that one.
    pub reason: String,
}

impl LimeComparison {
    /// The answer used.
    #[must_use]
    pub fn used(&self) -> Option<&LimeAnswer> {
        self.chosen.and_then(|at| self.answers.get(at))
    }
}

/// Every supported method's answer side by side; a confirmed method is chosen before one from
/// memory, and among the confirmed one that aims at a pH before one that only meets an acidity.
///
/// # Source Those of the methods; the order is common practice.
#[must_use]
pub fn compare_lime_needs(readings: &LimeReadings, aim: &LimeAim) -> LimeComparison {
    let mut answers = Vec::new();
    let mut refused = Vec::new();
    for method in methods_supported(readings) {
        match lime_need(method, readings, aim) {
            Ok(worked) => {
                answers.push(LimeAnswer { method, need: worked.value, working: worked.working });
            }
            Err(error) => refused.push((method, error)),
        }
    }
    // The word of a working also counts a reading taken in another buffer from memory.
    answers.sort_by_key(|a| {
        (a.working.confidence() == Confidence::FromMemory, !a.method.aims_at_ph())
    });
    let chosen = (!answers.is_empty()).then_some(0);
    let counts =
        |a: &&LimeAnswer| a.working.confidence() != Confidence::FromMemory && a.method.aims_at_ph();
    let sure: Vec<f64> = answers.iter().filter(counts).map(|a| a.need.value()).collect();
    let all: Vec<f64> = answers.iter().map(|a| a.need.value()).collect();
    let spread = range(if sure.is_empty() { &all } else { &sure });
    let reason = match answers.first() {
        None => "no method has the readings it needs for this target".to_owned(),
        Some(first) if first.working.confidence() == Confidence::FromMemory => format!(
            "{}: no confirmed method applies; its figures are from memory, unconfirmed",
            first.method.title()
        ),
        Some(first) if !first.method.aims_at_ph() => {
            format!("{}: no method that aims at a pH has its readings", first.method.title())
        }
        Some(first) => format!("{}: the first confirmed method in order", first.method.title()),
    };
    LimeComparison { answers, refused, chosen, spread, reason }
}

fn range(needs: &[f64]) -> Option<(Dose, Dose)> {
    let low = needs.iter().copied().reduce(f64::min)?;
    let high = needs.iter().copied().reduce(f64::max)?;
    Some((Dose(low), Dose(high)))
}
