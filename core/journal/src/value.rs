//! The scalars an entry is made of.

use std::collections::BTreeMap;

/// One stored scalar.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// Text, dates (year-month-day) and ids included.
    Text(String),
    /// A measured or typed number; always finite.
    Number(f64),
    /// A count or an instant in seconds.
    Integer(i64),
    /// Yes or no.
    Flag(bool),
    /// A kind of value that a newer version wrote; kept untouched, shown as such.
    Foreign(String),
}

/// An entry's scalars by their dotted key.
pub type Fields = BTreeMap<String, Value>;

impl Value {
    /// The value as a person may read it in a list of conflicting values or in the history.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Text(text) | Self::Foreign(text) => text.clone(),
            Self::Number(number) => number.to_string(),
            Self::Integer(number) => number.to_string(),
            Self::Flag(flag) => if *flag { "yes" } else { "no" }.to_owned(),
        }
    }

    pub(crate) fn from_automerge(value: &automerge::ScalarValue) -> Self {
        use automerge::ScalarValue as S;
        match value {
            S::Str(text) => Self::Text(text.to_string()),
            S::F64(number) => Self::Number(*number),
            S::Int(number) | S::Timestamp(number) => Self::Integer(*number),
            S::Uint(number) => match i64::try_from(*number) {
                Ok(number) => Self::Integer(number),
                Err(_) => Self::Foreign(number.to_string()),
            },
            S::Boolean(flag) => Self::Flag(*flag),
            other => Self::Foreign(format!("{other:?}")),
        }
    }

    /// The stored form; `None` for a foreign value, which is never written by us.
    pub(crate) fn to_automerge(&self) -> Option<automerge::ScalarValue> {
        Some(match self {
            Self::Text(text) => automerge::ScalarValue::Str(text.as_str().into()),
            Self::Number(number) => automerge::ScalarValue::F64(*number),
            Self::Integer(number) => automerge::ScalarValue::Int(*number),
            Self::Flag(flag) => automerge::ScalarValue::Boolean(*flag),
            Self::Foreign(_) => return None,
        })
    }
}
