//! A record as shells show it.

use std::collections::BTreeMap;

use serde::Serialize;
use serde_json::Value as Json;
use swardbook_journal::{Entry, Stamp, Value};
use swardbook_units::{Currency, Money};
use ts_rs::TS;

use super::spec::{FieldKind, FieldSpec, RecordSpec};

/// One field of a record.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct FieldView {
    /// Name in requests; the stored key where no form knows it.
    pub name: String,
    /// Label.
    pub label: String,
    /// The value: number, text or flag.
    #[ts(type = "number | string | boolean")]
    pub value: Json,
    /// The unit of a number.
    pub unit: String,
    /// The value in words, with names in place of ids.
    pub text: String,
}

/// Who wrote something, where and when.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct StampView {
    /// Device: its name where it is known, else its mark.
    pub device: String,
    /// Person; empty when nobody said.
    pub person: String,
    /// What was done.
    pub action: String,
    /// Day by that device's clock.
    pub day: String,
    /// Seconds since 1970 by that device's clock.
    #[ts(type = "number")]
    pub at: i64,
}

impl StampView {
    /// Says the device's name in place of its mark, where it is known.
    pub(crate) fn say_device(&mut self, names: &BTreeMap<String, String>) {
        if let Some(name) = names.get(&self.device) {
            self.device.clone_from(name);
        }
    }

    pub(crate) fn with_device(mut self, names: &BTreeMap<String, String>) -> Self {
        self.say_device(names);
        self
    }
}

impl From<Stamp> for StampView {
    fn from(stamp: Stamp) -> Self {
        Self {
            day: crate::local_day(stamp.at)
                .map_or_else(String::new, |day| day.format("%Y-%m-%d").to_string()),
            device: stamp.device,
            person: stamp.person,
            action: stamp.action,
            at: stamp.at,
        }
    }
}

/// A record.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct RecordView {
    /// Id.
    pub id: String,
    /// Kind.
    pub kind: String,
    /// What a person calls the kind.
    pub title: String,
    /// Property it belongs to, by id; empty for the notebook's own.
    pub property: String,
    /// Zone it belongs to, by id; empty where it is no zone's.
    pub zone: String,
    /// Fields that are filled in.
    pub fields: Vec<FieldView>,
    /// Labels of what is still to fill in.
    pub missing: Vec<String>,
    /// Names of fields that two devices wrote apart.
    pub conflicting: Vec<String>,
    /// Why it was taken away; none while it stands.
    pub voided: Option<String>,
    /// Who made it.
    pub made: Option<StampView>,
}

/// The words of a stored value, and its unit.
pub(super) fn field_view(
    spec: &FieldSpec,
    value: &Value,
    currency: Option<Currency>,
    name_of: &mut dyn FnMut(&FieldSpec, &str) -> Option<String>,
) -> FieldView {
    let unit = match spec.kind {
        FieldKind::Number { unit, .. } => unit,
        _ => "",
    };
    let mut json = json_of(value);
    let text = match (spec.kind, value) {
        (FieldKind::Record(_) | FieldKind::Material, Value::Text(id)) => {
            name_of(spec, id).unwrap_or_else(|| id.clone())
        }
        (FieldKind::Money, Value::Integer(minor)) => match currency {
            Some(currency) => {
                let money = Money { minor: *minor, currency };
                json = Json::from(money.major());
                money.to_string()
            }
            None => format!("{minor} minor units"),
        },
        (FieldKind::Choice(_), Value::Text(word)) => word.replace('-', " "),
        (_, Value::Number(number)) if !unit.is_empty() => format!("{number} {unit}"),
        _ => value.words(),
    };
    FieldView {
        name: spec.name.to_owned(),
        label: spec.label.to_owned(),
        value: json,
        unit: unit.to_owned(),
        text,
    }
}

/// A stored value as JSON.
pub(crate) fn json_of(value: &Value) -> Json {
    match value {
        Value::Text(text) | Value::Foreign(text) => Json::from(text.as_str()),
        Value::Number(number) => Json::from(*number),
        Value::Integer(number) => Json::from(*number),
        Value::Flag(flag) => Json::from(*flag),
    }
}

/// The fields of an entry that its form knows, in the form's order.
pub(super) fn field_views(
    spec: &RecordSpec,
    entry: &Entry,
    currency: Option<Currency>,
    name_of: &mut dyn FnMut(&FieldSpec, &str) -> Option<String>,
) -> Vec<FieldView> {
    spec.fields
        .iter()
        .filter_map(|field| {
            let value = entry.fields.get(field.key)?;
            Some(field_view(field, value, currency, name_of))
        })
        .collect()
}
