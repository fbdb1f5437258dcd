//! What a calculation takes and gives.

use serde::Serialize;
use ts_rs::TS;

use super::{Given, outcome::Answer};
use crate::{Problem, dto::SourceDto};

/// What sort of thing an input is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum InputKind {
    /// A number in the documented unit, or a quantity in a unit of the same kind.
    Number,
    /// A whole number.
    Count,
    /// A list of numbers, each as [`InputKind::Number`].
    Numbers,
    /// One of these words.
    Word(&'static [&'static str]),
    /// Free text.
    Text,
    /// A civil date.
    Date,
    /// `true` or `false`.
    Flag,
    /// A list of objects with these members.
    Rows(&'static [InputSpec]),
}

/// One input.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InputSpec {
    /// Its name in the JSON object.
    pub name: &'static str,
    /// What it is, in the trade's words.
    pub about: &'static str,
    /// What sort of thing.
    pub kind: InputKind,
    /// Documented unit; empty for a plain number.
    pub unit: &'static str,
    /// Least and greatest value taken.
    pub range: (f64, f64),
    /// Whether leaving it out is an error.
    pub required: bool,
    /// The default's value as text, and where it comes from.
    pub default: Option<(&'static str, &'static str)>,
}

impl InputSpec {
    /// A required number.
    #[must_use]
    pub const fn number(
        name: &'static str,
        unit: &'static str,
        range: (f64, f64),
        about: &'static str,
    ) -> Self {
        Self { name, about, kind: InputKind::Number, unit, range, required: true, default: None }
    }

    /// A required input of another sort.
    #[must_use]
    pub const fn of(name: &'static str, kind: InputKind, about: &'static str) -> Self {
        Self {
            name,
            about,
            kind,
            unit: "",
            range: (f64::NEG_INFINITY, f64::INFINITY),
            required: true,
            default: None,
        }
    }

    /// The same, with a unit and a range: for counts and lists.
    #[must_use]
    pub const fn in_unit(mut self, unit: &'static str, range: (f64, f64)) -> Self {
        self.unit = unit;
        self.range = range;
        self
    }

    /// May be left out; the calculation then does without.
    #[must_use]
    pub const fn optional(mut self) -> Self {
        self.required = false;
        self
    }

    /// May be left out; then this value is used, with where it comes from.
    #[must_use]
    pub const fn or_default(mut self, value: &'static str, source: &'static str) -> Self {
        self.required = false;
        self.default = Some((value, source));
        self
    }
}

/// One output.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OutputSpec {
    /// Its name in the result.
    pub name: &'static str,
    /// Its unit; empty for plain numbers and words.
    pub unit: &'static str,
    /// What it is.
    pub about: &'static str,
}

impl OutputSpec {
    /// An output.
    #[must_use]
    pub const fn new(name: &'static str, unit: &'static str, about: &'static str) -> Self {
        Self { name, unit, about }
    }
}

/// One calculation of the catalogue.
#[derive(Debug, Clone, Copy)]
pub struct Calculation {
    /// Its id on the command line.
    pub id: &'static str,
    /// Its title on the bench.
    pub title: &'static str,
    /// What it takes.
    pub inputs: &'static [InputSpec],
    /// What it gives.
    pub outputs: &'static [OutputSpec],
    /// Keys of the sources it may cite.
    pub sources: &'static [&'static str],
    /// The arithmetic.
    pub run: fn(&Given) -> Result<Answer, Problem>,
}

/// A calculation as shells list it.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct CalculationInfo {
    /// Id.
    pub id: String,
    /// Title.
    pub title: String,
    /// Inputs.
    pub inputs: Vec<InputInfo>,
    /// Outputs.
    pub outputs: Vec<OutputInfo>,
    /// Sources.
    pub sources: Vec<SourceDto>,
}

/// An input as shells list it.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct InputInfo {
    /// Name.
    pub name: String,
    /// What it is.
    pub about: String,
    /// `number`, `count`, `numbers`, `word`, `text`, `date`, `flag` or `rows`.
    pub kind: String,
    /// Unit.
    pub unit: String,
    /// Least value taken; absent when there is none.
    pub least: Option<f64>,
    /// Greatest value taken; absent when there is none.
    pub greatest: Option<f64>,
    /// Words to choose from.
    pub words: Vec<String>,
    /// Members of each row.
    pub members: Vec<Self>,
    /// Whether leaving it out is an error.
    pub required: bool,
    /// The default; absent when there is none.
    pub default: Option<String>,
    /// Where the default comes from.
    pub default_source: Option<String>,
}

/// An output as shells list it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct OutputInfo {
    /// Name.
    pub name: String,
    /// Unit.
    pub unit: String,
    /// What it is.
    pub about: String,
}

impl Calculation {
    /// The calculation as shells list it.
    #[must_use]
    pub fn info(&self) -> CalculationInfo {
        CalculationInfo {
            id: self.id.to_owned(),
            title: self.title.to_owned(),
            inputs: self.inputs.iter().map(InputSpec::info).collect(),
            outputs: self
                .outputs
                .iter()
                .map(|o| OutputInfo {
                    name: o.name.to_owned(),
                    unit: o.unit.to_owned(),
                    about: o.about.to_owned(),
                })
                .collect(),
            sources: self
                .sources
                .iter()
                .map(|key| SourceDto::from(&swardbook_agronomy::source(key)))
                .collect(),
        }
    }
}

impl InputSpec {
    fn info(&self) -> InputInfo {
        let (kind, words, members): (&str, &[&str], &[Self]) = match self.kind {
            InputKind::Number => ("number", &[], &[]),
            InputKind::Count => ("count", &[], &[]),
            InputKind::Numbers => ("numbers", &[], &[]),
            InputKind::Word(words) => ("word", words, &[]),
            InputKind::Text => ("text", &[], &[]),
            InputKind::Date => ("date", &[], &[]),
            InputKind::Flag => ("flag", &[], &[]),
            InputKind::Rows(members) => ("rows", &[], members),
        };
        let finite = |x: f64| x.is_finite().then_some(x);
        InputInfo {
            name: self.name.to_owned(),
            about: self.about.to_owned(),
            kind: kind.to_owned(),
            unit: self.unit.to_owned(),
            least: finite(self.range.0),
            greatest: finite(self.range.1),
            words: words.iter().map(|w| (*w).to_owned()).collect(),
            members: members.iter().map(Self::info).collect(),
            required: self.required,
            default: self.default.map(|(value, _)| value.to_owned()),
            default_source: self.default.map(|(_, source)| source.to_owned()),
        }
    }
}
