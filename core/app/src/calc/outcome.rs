//! What a calculation answers.

use serde::Serialize;
use swardbook_units::{Worked, Working};
use ts_rs::TS;

use super::Calculation;
use crate::{
    Problem,
    dto::{QuantityDto, SourceDto, WorkingDto},
};

/// One value of a result.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
#[serde(untagged)]
pub enum ResultValue {
    /// A number with its unit.
    Quantity(QuantityDto),
    /// Words.
    Words(String),
    /// Yes or no.
    Flag(bool),
    /// A list.
    List(Vec<Self>),
    /// Named parts.
    Parts(Vec<NamedValue>),
    /// Not available, which is an answer.
    None(()),
}

/// A value with its name.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct NamedValue {
    /// Name.
    pub name: String,
    /// Value.
    pub value: ResultValue,
}

/// What a calculation's function returns: named values and their working.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Answer {
    values: Vec<NamedValue>,
    working: Working,
}

impl Answer {
    /// Starts with the working.
    #[must_use]
    pub const fn new(working: Working) -> Self {
        Self { values: Vec::new(), working }
    }

    /// Starts with one value and its working.
    #[must_use]
    pub fn of(name: &str, unit: &str, worked: Worked<f64>) -> Self {
        Self::new(worked.working).quantity(name, worked.value, unit)
    }

    /// Adds a number.
    #[must_use]
    pub fn quantity(self, name: &str, value: f64, unit: &str) -> Self {
        self.value(name, ResultValue::Quantity(QuantityDto::new(value, unit)))
    }

    /// Adds a number that may not be available.
    #[must_use]
    pub fn quantity_if(self, name: &str, value: Option<f64>, unit: &str) -> Self {
        match value {
            Some(value) => self.quantity(name, value, unit),
            None => self.value(name, ResultValue::None(())),
        }
    }

    /// Adds words.
    #[must_use]
    pub fn words(self, name: &str, words: impl Into<String>) -> Self {
        self.value(name, ResultValue::Words(words.into()))
    }

    /// Adds a flag.
    #[must_use]
    pub fn flag(self, name: &str, flag: bool) -> Self {
        self.value(name, ResultValue::Flag(flag))
    }

    /// Adds any value.
    #[must_use]
    pub fn value(mut self, name: &str, value: ResultValue) -> Self {
        self.values.push(NamedValue { name: name.to_owned(), value });
        self
    }

    /// The values as the parts of one row.
    #[must_use]
    pub fn into_parts(self) -> ResultValue {
        ResultValue::Parts(self.values)
    }

    /// Changes the working.
    #[must_use]
    pub fn with_working(mut self, change: impl FnOnce(Working) -> Working) -> Self {
        self.working = change(self.working);
        self
    }

    pub(super) fn finish(self, calculation: &Calculation) -> Result<CalcOutcome, Problem> {
        // A number that is not finite would become `null` on the way out and look like "none".
        if let Some(odd) = self.values.iter().find(|v| !v.value.is_finite()) {
            return Err(Problem::refused(format!(
                "{} has no finite answer for these inputs ({})",
                calculation.title, odd.name
            )));
        }
        let working = WorkingDto::from(&self.working);
        Ok(CalcOutcome {
            id: calculation.id.to_owned(),
            result: self.values,
            sources: working.sources.clone(),
            cautions: working.cautions.clone(),
            working,
        })
    }
}

impl ResultValue {
    fn is_finite(&self) -> bool {
        match self {
            Self::Quantity(q) => q.value.is_finite(),
            Self::List(list) => list.iter().all(Self::is_finite),
            Self::Parts(parts) => parts.iter().all(|p| p.value.is_finite()),
            Self::Words(_) | Self::Flag(_) | Self::None(()) => true,
        }
    }

    /// The value as plain JSON, parts as an object.
    #[must_use]
    pub fn to_json(&self) -> serde_json::Value {
        match self {
            Self::Quantity(q) => serde_json::json!({ "value": q.value, "unit": q.unit }),
            Self::Words(words) => words.as_str().into(),
            Self::Flag(flag) => (*flag).into(),
            Self::List(list) => list.iter().map(Self::to_json).collect(),
            Self::Parts(parts) => {
                parts.iter().map(|p| (p.name.clone(), p.value.to_json())).collect()
            }
            Self::None(()) => serde_json::Value::Null,
        }
    }
}

/// What one run of a calculation answers.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct CalcOutcome {
    /// The calculation.
    pub id: String,
    /// Named values.
    pub result: Vec<NamedValue>,
    /// The shown arithmetic.
    pub working: WorkingDto,
    /// On whose word.
    pub sources: Vec<SourceDto>,
    /// What to mind.
    pub cautions: Vec<String>,
}

impl CalcOutcome {
    /// The outcome as the command line prints it: the result is an object, the working a list.
    #[must_use]
    pub fn to_json(&self) -> serde_json::Value {
        let result: serde_json::Map<_, _> =
            self.result.iter().map(|v| (v.name.clone(), v.value.to_json())).collect();
        let mut working = Vec::new();
        for i in &self.working.inputs {
            working.push(serde_json::json!({
                "input": i.name, "value": i.value, "unit": i.unit, "origin": i.origin, "why": i.why
            }));
        }
        for equation in &self.working.equation {
            working.push(serde_json::json!({ "equation": equation }));
        }
        for s in &self.working.steps {
            working.push(serde_json::json!({
                "step": s.what, "arithmetic": s.arithmetic, "value": s.value, "unit": s.unit
            }));
        }
        serde_json::json!({
            "id": self.id,
            "result": result,
            "working": working,
            "sources": self.sources,
            "cautions": self.cautions,
        })
    }
}
