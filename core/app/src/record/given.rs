//! What a person gave for a record's fields, checked and turned into what is stored.

use serde_json::{Map, Value as Json};
use swardbook_journal::{Fields, Value};
use swardbook_units::{Currency, DecimalMark, Money, NaiveTime, parse_number};

use super::spec::{FieldKind, FieldSpec, RecordSpec};
use crate::{Problem, dto::Amount};

/// Given fields by their name in requests; `null` or an empty text takes a field away.
pub type GivenFields = Map<String, Json>;

/// The longest text kept in one field.
const LONGEST: usize = 20_000;

/// Finds what a reference means: the id of a record or material by its id or name.
pub(crate) type Find<'a> = &'a mut dyn FnMut(&FieldSpec, &str) -> Result<String, Problem>;

/// What is to be written and what is to be taken away.
#[derive(Debug, Default, PartialEq)]
pub(crate) struct Wanted {
    pub(crate) written: Fields,
    pub(crate) removed: Vec<String>,
}

/// Checks each given field by itself.
///
/// # Errors
/// [`Problem`] naming the field.
pub(crate) fn read(
    spec: &RecordSpec,
    given: &GivenFields,
    currency: Currency,
    find: Find<'_>,
) -> Result<Wanted, Problem> {
    let mut wanted = Wanted::default();
    for (name, value) in given {
        let field = spec.field(name).ok_or_else(|| unknown(spec, name))?;
        match read_one(field, value, currency, find)? {
            Some(value) => {
                wanted.written.insert(field.key.to_owned(), value);
            }
            None => wanted.removed.push(field.key.to_owned()),
        }
    }
    Ok(wanted)
}

fn unknown(spec: &RecordSpec, name: &str) -> Problem {
    let known = spec.fields.iter().map(|f| f.name).collect::<Vec<_>>().join(", ");
    Problem::bad(name, format!("a {} has no field \"{name}\"; it has {known}", spec.title))
}

fn read_one(
    field: &FieldSpec,
    given: &Json,
    currency: Currency,
    find: Find<'_>,
) -> Result<Option<Value>, Problem> {
    let name = field.name;
    if given.is_null() || given.as_str().is_some_and(|text| text.trim().is_empty()) {
        return Ok(None);
    }
    if let (FieldKind::Flag, Some(flag)) = (field.kind, given.as_bool()) {
        return Ok(flag.then_some(Value::Flag(true)));
    }
    if let FieldKind::Number { unit, range } = field.kind {
        let amount: Amount = serde_json::from_value(given.clone())
            .map_err(|_| Problem::bad(name, format!("{name}: {given} is not a number")))?;
        let value = amount.in_unit(name, unit)?;
        if !value.is_finite() {
            return Err(Problem::bad(name, format!("{name} is not a finite number")));
        }
        if !(range.0..=range.1).contains(&value) {
            let message =
                format!("{name} is {value} {unit}; it must be from {} to {}", range.0, range.1);
            return Err(Problem::bad(name, message));
        }
        return Ok(Some(Value::Number(value)));
    }
    let text = match given {
        Json::String(text) => text.trim().to_owned(),
        Json::Number(number) => number.to_string(),
        Json::Bool(flag) => if *flag { "yes" } else { "no" }.to_owned(),
        _ => return Err(Problem::bad(name, format!("{name}: {given} is neither text nor number"))),
    };
    read_text(field, text, currency, find).map(Some)
}

fn read_text(
    field: &FieldSpec,
    text: String,
    currency: Currency,
    find: Find<'_>,
) -> Result<Value, Problem> {
    let name = field.name;
    let value = match field.kind {
        FieldKind::Text | FieldKind::Lines => {
            if text.len() > LONGEST {
                return Err(Problem::bad(
                    name,
                    format!("{name} has {} bytes; at most {LONGEST} are kept", text.len()),
                ));
            }
            Value::Text(text)
        }
        FieldKind::Count { range } => {
            let count: i64 = text.parse().map_err(|_| {
                Problem::bad(name, format!("{name}: \"{text}\" is no whole number"))
            })?;
            if !(range.0..=range.1).contains(&count) {
                let message =
                    format!("{name} is {count}; it must be from {} to {}", range.0, range.1);
                return Err(Problem::bad(name, message));
            }
            Value::Integer(count)
        }
        FieldKind::Money => {
            let amount = parse_number(&text, DecimalMark::Either)
                .map_err(|e| Problem::bad(name, format!("{name}: {e}")))?;
            if amount < 0.0 {
                return Err(Problem::bad(
                    name,
                    format!("{name} is {amount}; it is never negative"),
                ));
            }
            Value::Integer(Money::from_major(amount, currency)?.minor)
        }
        FieldKind::Date | FieldKind::DateAhead => {
            let day = swardbook_units::parse_date(&text)
                .map_err(|e| Problem::bad(name, format!("{name}: {e}")))?;
            Value::Text(day.format("%Y-%m-%d").to_string())
        }
        FieldKind::Time => {
            let time = NaiveTime::parse_from_str(&text, "%H:%M").map_err(|_| {
                Problem::bad(name, format!("{name}: \"{text}\" is no time; write it as 14:30"))
            })?;
            Value::Text(time.format("%H:%M").to_string())
        }
        FieldKind::Choice(words) => {
            // "Sandy loam", as it is shown, is taken for the word that is kept.
            let word = text.to_lowercase().split_whitespace().collect::<Vec<_>>().join("-");
            if !words.contains(&word.as_str()) {
                let message = format!("{name}: \"{text}\" is none of {}", words.join(", "));
                return Err(Problem::bad(name, message));
            }
            Value::Text(word)
        }
        FieldKind::Flag => match text.as_str() {
            "yes" | "true" => Value::Flag(true),
            "no" | "false" => Value::Flag(false),
            _ => {
                return Err(Problem::bad(
                    name,
                    format!("{name}: \"{text}\" is neither yes nor no"),
                ));
            }
        },
        FieldKind::Record(_) | FieldKind::Material => Value::Text(find(field, &text)?),
        FieldKind::Number { .. } => unreachable!("numbers were read before"),
    };
    Ok(value)
}
