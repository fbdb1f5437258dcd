//! The inputs of one run: read, converted to the documented units and checked, each by its name.

use std::collections::BTreeMap;

use serde_json::{Map, Value};
use swardbook_units::{
    DecimalMark, NaiveDate, Working, convert, parse_date, parse_number, parse_unit,
};

use super::{Calculation, InputKind, InputSpec};
use crate::Problem;

/// One input as read.
#[derive(Debug, Clone, PartialEq)]
enum Item {
    Number(f64),
    Numbers(Vec<f64>),
    Text(String),
    Date(NaiveDate),
    Flag(bool),
    Rows(Vec<Given>),
}

/// The inputs of one run.
#[derive(Debug, Clone, PartialEq)]
pub struct Given {
    specs: &'static [InputSpec],
    items: BTreeMap<&'static str, (Item, bool)>,
}

impl Given {
    /// Reads and checks a JSON object.
    ///
    /// # Errors
    /// [`Problem`] naming the input that is unknown, missing or impossible.
    pub fn read(calculation: &Calculation, inputs: &Value) -> Result<Self, Problem> {
        let object = inputs.as_object().ok_or_else(|| {
            Problem::bad("input", "the input must be a JSON object such as { \"ph\": 5.2 }")
        })?;
        Self::read_object(calculation.inputs, object, "")
    }

    fn read_object(
        specs: &'static [InputSpec],
        object: &Map<String, Value>,
        inside: &str,
    ) -> Result<Self, Problem> {
        let path = |name: &str| format!("{inside}{name}");
        for name in object.keys() {
            if !specs.iter().any(|s| s.name == name) {
                let known = specs.iter().map(|s| s.name).collect::<Vec<_>>().join(", ");
                let path = path(name);
                return Err(Problem::bad(
                    &path,
                    format!("{path} is not an input here; the inputs are {known}"),
                ));
            }
        }
        let mut items = BTreeMap::new();
        for spec in specs {
            let path = path(spec.name);
            let item = match object.get(spec.name) {
                Some(Value::Null) | None => match spec.default {
                    Some((text, _)) => Some((default(spec, text, &path)?, true)),
                    None if spec.required => {
                        return Err(Problem::missing(&path, &remedy(spec)));
                    }
                    None => None,
                },
                Some(value) => Some((item(spec, value, &path)?, false)),
            };
            if let Some(item) = item {
                items.insert(spec.name, item);
            }
        }
        Ok(Self { specs, items })
    }

    fn spec(&self, name: &str) -> &'static InputSpec {
        self.specs.iter().find(|s| s.name == name).expect("a calculation asks for its own inputs")
    }

    /// A number that is required or has a default.
    #[must_use]
    pub fn number(&self, name: &str) -> f64 {
        self.number_if(name).expect("required and defaulted inputs are read before the run")
    }

    /// A number that may be absent.
    #[must_use]
    pub fn number_if(&self, name: &str) -> Option<f64> {
        let spec = self.spec(name);
        match self.items.get(spec.name) {
            Some((Item::Number(number), _)) => Some(*number),
            _ => None,
        }
    }

    /// A count that is required or has a default.
    #[must_use]
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "counts are checked to be whole and from 0 to 4e9 when read"
    )]
    pub fn count(&self, name: &str) -> u32 {
        self.number(name) as u32
    }

    /// A count that may be absent.
    #[must_use]
    pub fn count_if(&self, name: &str) -> Option<u32> {
        self.number_if(name).is_some().then(|| self.count(name))
    }

    /// A list of numbers; empty when absent.
    #[must_use]
    pub fn numbers(&self, name: &str) -> &[f64] {
        match self.items.get(self.spec(name).name) {
            Some((Item::Numbers(numbers), _)) => numbers,
            _ => &[],
        }
    }

    /// A word or text that is required or has a default.
    #[must_use]
    pub fn word(&self, name: &str) -> &str {
        self.word_if(name).expect("required and defaulted inputs are read before the run")
    }

    /// A word or text that may be absent.
    #[must_use]
    pub fn word_if(&self, name: &str) -> Option<&str> {
        match self.items.get(self.spec(name).name) {
            Some((Item::Text(text), _)) => Some(text),
            _ => None,
        }
    }

    /// A date that may be absent.
    #[must_use]
    pub fn date_if(&self, name: &str) -> Option<NaiveDate> {
        match self.items.get(self.spec(name).name) {
            Some((Item::Date(date), _)) => Some(*date),
            _ => None,
        }
    }

    /// A date that is required.
    #[must_use]
    pub fn date(&self, name: &str) -> NaiveDate {
        self.date_if(name).expect("required inputs are read before the run")
    }

    /// A flag; false when absent.
    #[must_use]
    pub fn flag(&self, name: &str) -> bool {
        matches!(self.items.get(self.spec(name).name), Some((Item::Flag(true), _)))
    }

    /// Rows; empty when absent.
    #[must_use]
    pub fn rows(&self, name: &str) -> &[Self] {
        match self.items.get(self.spec(name).name) {
            Some((Item::Rows(rows), _)) => rows,
            _ => &[],
        }
    }

    /// Whether the input was left to its default.
    #[must_use]
    pub fn is_default(&self, name: &str) -> bool {
        matches!(self.items.get(self.spec(name).name), Some((_, true)))
    }

    /// Adds to a working which numbers were left to their defaults and where those come from,
    /// unless the calculation said so itself.
    pub(super) fn note_defaults(&self, mut working: Working) -> Working {
        for spec in self.specs {
            let (Some((Item::Number(number), true)), Some((_, source))) =
                (self.items.get(spec.name), spec.default)
            else {
                continue;
            };
            let said = working.inputs.iter().any(|i| {
                (i.value - number).abs() <= 1e-12 * number.abs().max(1.0) && i.unit == spec.unit
            });
            if !said {
                working = working.assumed(spec.about, *number, spec.unit, source);
            }
        }
        working
    }
}

fn remedy(spec: &InputSpec) -> String {
    let unit = if spec.unit.is_empty() { String::new() } else { format!(", in {}", spec.unit) };
    format!("give {}{unit}", spec.about)
}

fn default(spec: &InputSpec, text: &str, path: &str) -> Result<Item, Problem> {
    let value = match spec.kind {
        InputKind::Number | InputKind::Count => {
            serde_json::from_str(text).expect("a number's default is written as a number")
        }
        InputKind::Flag => Value::Bool(text == "true"),
        _ => Value::String(text.to_owned()),
    };
    item(spec, &value, path)
}

fn item(spec: &InputSpec, value: &Value, path: &str) -> Result<Item, Problem> {
    let wrong = |what: &str| Err(Problem::bad(path, format!("{path} must be {what}")));
    match spec.kind {
        InputKind::Number => number(spec, value, path).map(Item::Number),
        InputKind::Count => {
            let number = number(spec, value, path)?;
            if number.fract() != 0.0 || !(0.0..=4e9).contains(&number) {
                return wrong("a whole number");
            }
            Ok(Item::Number(number))
        }
        InputKind::Numbers => {
            // `{ "value": [..], "unit": ".." }` is taken as well as a list of quantities.
            let (list, unit) = match value {
                Value::Object(o) => (o.get("value").unwrap_or(&Value::Null), o.get("unit")),
                other => (other, None),
            };
            let Some(list) = list.as_array() else { return wrong("a list of numbers") };
            let numbers = list.iter().enumerate().map(|(at, one)| {
                let path = format!("{path}[{at}]");
                match unit {
                    Some(unit) => {
                        number(spec, &serde_json::json!({ "value": one, "unit": unit }), &path)
                    }
                    None => number(spec, one, &path),
                }
            });
            numbers.collect::<Result<_, _>>().map(Item::Numbers)
        }
        InputKind::Word(words) => match value.as_str() {
            Some(word) if words.contains(&word) => Ok(Item::Text(word.to_owned())),
            Some(word) => Err(Problem::bad(
                path,
                format!("{path} is \"{word}\"; it must be one of {}", words.join(", ")),
            )),
            None => wrong(&format!("one of {}", words.join(", "))),
        },
        InputKind::Text => match value.as_str() {
            Some(text) => Ok(Item::Text(text.to_owned())),
            None => wrong("text"),
        },
        InputKind::Date => match value.as_str().map(parse_date) {
            Some(Ok(date)) => Ok(Item::Date(date)),
            Some(Err(error)) => Err(Problem::bad(path, format!("{path}: {error}"))),
            None => wrong("a date such as \"2026-09-14\""),
        },
        InputKind::Flag => match value.as_bool() {
            Some(flag) => Ok(Item::Flag(flag)),
            None => wrong("true or false"),
        },
        InputKind::Rows(members) => {
            let Some(list) = value.as_array() else { return wrong("a list of objects") };
            let rows = list.iter().enumerate().map(|(at, row)| {
                let path = format!("{path}[{at}]");
                let object = row
                    .as_object()
                    .ok_or_else(|| Problem::bad(&path, format!("{path} must be an object")))?;
                Given::read_object(members, object, &format!("{path}."))
            });
            rows.collect::<Result<_, _>>().map(Item::Rows)
        }
    }
}

/// A bare number in the documented unit, a number as text with either decimal mark, or a quantity.
fn number(spec: &InputSpec, value: &Value, path: &str) -> Result<f64, Problem> {
    let bare = |value: &Value| match value {
        Value::Number(number) => number.as_f64(),
        Value::String(text) => parse_number(text, DecimalMark::Either).ok(),
        _ => None,
    };
    let number = match value {
        Value::Object(quantity) => {
            if let Some(odd) = quantity.keys().find(|k| *k != "value" && *k != "unit") {
                return Err(Problem::bad(
                    path,
                    format!("{path} has \"{odd}\"; a quantity has only \"value\" and \"unit\""),
                ));
            }
            let number = quantity.get("value").and_then(bare);
            let unit = match quantity.get("unit") {
                None | Some(Value::Null) => spec.unit,
                Some(Value::String(unit)) => unit,
                Some(_) => {
                    return Err(Problem::bad(path, format!("the unit of {path} must be text")));
                }
            };
            let from = parse_unit(unit)
                .map_err(|e| Problem::bad(path, format!("the unit of {path}: {e}")))?;
            let to = parse_unit(spec.unit).expect("documented units are known units");
            match number {
                Some(number) => Some(
                    convert(number, from, to)
                        .map_err(|e| Problem::bad(path, format!("{path}: {e}")))?,
                ),
                None => None,
            }
        }
        other => bare(other),
    };
    let Some(number) = number else {
        let example = if spec.unit.is_empty() {
            "a number".to_owned()
        } else {
            format!("a number in {0}, or {{ \"value\": .., \"unit\": \"{0}\" }}", spec.unit)
        };
        return Err(Problem::bad(path, format!("{path} must be {example}")));
    };
    let (least, greatest) = spec.range;
    if !(least..=greatest).contains(&number) {
        let unit = spec.unit;
        let allowed = match (least.is_finite(), greatest.is_finite()) {
            (true, true) => format!("from {least} to {greatest} {unit}"),
            (true, false) => format!("{least} {unit} or more"),
            _ => format!("{greatest} {unit} or less"),
        };
        let allowed = allowed.trim_end();
        return Err(Problem::bad(
            path,
            format!("{path} is {number} {unit}, which cannot be; it must be {allowed}"),
        ));
    }
    Ok(number)
}
