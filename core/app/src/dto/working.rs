//! A number with its unit, and the shown arithmetic behind one.

use serde::{Deserialize, Serialize};
use swardbook_units::{Origin, Source, Working};
use ts_rs::TS;

/// A number with its unit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct QuantityDto {
    /// The number.
    pub value: f64,
    /// The unit's symbol; empty for a plain number.
    pub unit: String,
}

impl QuantityDto {
    /// Joins a number and a unit.
    pub fn new(value: f64, unit: impl Into<String>) -> Self {
        Self { value, unit: unit.into() }
    }
}

/// One input of a working.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct WorkingInputDto {
    /// Name.
    pub name: String,
    /// Value.
    pub value: f64,
    /// Unit.
    pub unit: String,
    /// `given`, `default` or `derived`.
    pub origin: String,
    /// For a default, where it comes from.
    pub why: String,
}

/// One line of arithmetic.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct StepDto {
    /// What is worked out.
    pub what: String,
    /// The arithmetic with the numbers in.
    pub arithmetic: String,
    /// The result.
    pub value: f64,
    /// Its unit.
    pub unit: String,
}

/// One source.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct SourceDto {
    /// Key in the table of sources.
    pub key: String,
    /// Citation.
    pub citation: String,
    /// Empty, or the words that must stand beside the value.
    pub caveat: String,
}

/// The shown arithmetic of one number.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct WorkingDto {
    /// What went in.
    pub inputs: Vec<WorkingInputDto>,
    /// Equations in letters.
    pub equation: Vec<String>,
    /// The arithmetic.
    pub steps: Vec<StepDto>,
    /// On whose word.
    pub sources: Vec<SourceDto>,
    /// What to mind.
    pub cautions: Vec<String>,
    /// Empty, or the weakest word of all sources.
    pub caveat: String,
}

impl From<&Source> for SourceDto {
    fn from(source: &Source) -> Self {
        Self {
            key: source.key.clone(),
            citation: source.citation.clone(),
            caveat: source.confidence.words().to_owned(),
        }
    }
}

impl From<&Working> for WorkingDto {
    fn from(working: &Working) -> Self {
        Self {
            inputs: working
                .inputs
                .iter()
                .map(|i| {
                    let (origin, why) = match &i.origin {
                        Origin::Given => ("given", String::new()),
                        Origin::Default(why) => ("default", why.clone()),
                        Origin::Derived => ("derived", String::new()),
                    };
                    WorkingInputDto {
                        name: i.name.clone(),
                        value: i.value,
                        unit: i.unit.clone(),
                        origin: origin.to_owned(),
                        why,
                    }
                })
                .collect(),
            equation: working.equation.clone(),
            steps: working
                .steps
                .iter()
                .map(|s| StepDto {
                    what: s.what.clone(),
                    arithmetic: s.arithmetic.clone(),
                    value: s.value,
                    unit: s.unit.clone(),
                })
                .collect(),
            sources: working.sources.iter().map(SourceDto::from).collect(),
            cautions: working.cautions.clone(),
            caveat: working.confidence().words().to_owned(),
        }
    }
}
