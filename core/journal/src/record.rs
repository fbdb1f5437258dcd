//! Typed records over flat fields.
//!
//! Reading never fails: a key that is absent, or that holds another type, gives the field's
//! default, and what was stored stays stored.
//! Writing touches only the keys that changed, so an older version keeps what a newer one wrote.

use std::collections::BTreeMap;

use swardbook_units::{Id, NaiveDate, NaiveTime};

use crate::{Fields, Value};

/// A kind of record.
pub trait Record: Sized {
    /// The word stored with every entry of this kind.
    const KIND: &'static str;
    /// Reads what is there, with defaults for what is not.
    fn from_fields(fields: &Fields) -> Self;
    /// The fields this record wants stored.
    fn to_fields(&self) -> Fields;
}

/// The stored fields of a record.
pub fn fields_of<R: Record>(record: &R) -> Fields {
    record.to_fields()
}

/// A type stored as one scalar.
pub trait Scalar: Sized {
    /// Reads the scalar, when it is of this type.
    fn from_value(value: &Value) -> Option<Self>;
    /// The stored scalar.
    fn to_value(&self) -> Value;
}

/// A type stored under one key or under keys that begin with it.
pub trait Field: Sized {
    /// Reads from the record's fields.
    fn read(fields: &Fields, key: &str) -> Self;
    /// Adds what is to be stored.
    fn write(&self, out: &mut Fields, key: &str);
}

impl<T: Scalar> Field for Option<T> {
    fn read(fields: &Fields, key: &str) -> Self {
        fields.get(key).and_then(T::from_value)
    }
    fn write(&self, out: &mut Fields, key: &str) {
        if let Some(value) = self {
            out.insert(key.to_owned(), value.to_value());
        }
    }
}

impl Field for String {
    fn read(fields: &Fields, key: &str) -> Self {
        fields.get(key).and_then(Self::from_value).unwrap_or_default()
    }
    fn write(&self, out: &mut Fields, key: &str) {
        if !self.is_empty() {
            out.insert(key.to_owned(), Value::Text(self.clone()));
        }
    }
}

impl Field for bool {
    fn read(fields: &Fields, key: &str) -> Self {
        fields.get(key).and_then(Self::from_value).unwrap_or_default()
    }
    fn write(&self, out: &mut Fields, key: &str) {
        if *self {
            out.insert(key.to_owned(), Value::Flag(true));
        }
    }
}

/// A repeated group: the key, the member's own short name, and the member's fields, dotted.
impl<R: Record> Field for BTreeMap<String, R> {
    fn read(fields: &Fields, key: &str) -> Self {
        let prefix = format!("{key}.");
        let mut members: BTreeMap<String, Fields> = BTreeMap::new();
        for (full, value) in fields.range(prefix.clone()..) {
            let Some(rest) = full.strip_prefix(&prefix) else { break };
            if let Some((member, field)) = rest.split_once('.') {
                members
                    .entry(member.to_owned())
                    .or_default()
                    .insert(field.to_owned(), value.clone());
            }
        }
        members.into_iter().map(|(name, fields)| (name, R::from_fields(&fields))).collect()
    }
    fn write(&self, out: &mut Fields, key: &str) {
        for (member, record) in self {
            for (field, value) in record.to_fields() {
                out.insert(format!("{key}.{member}.{field}"), value);
            }
        }
    }
}

impl Scalar for String {
    fn from_value(value: &Value) -> Option<Self> {
        match value {
            Value::Text(text) => Some(text.clone()),
            _ => None,
        }
    }
    fn to_value(&self) -> Value {
        Value::Text(self.clone())
    }
}

impl Scalar for f64 {
    #[expect(clippy::cast_precision_loss, reason = "a count a person typed is far below 2^53")]
    fn from_value(value: &Value) -> Option<Self> {
        match value {
            Value::Number(number) => Some(*number),
            Value::Integer(number) => Some(*number as Self),
            _ => None,
        }
    }
    fn to_value(&self) -> Value {
        Value::Number(*self)
    }
}

impl Scalar for i64 {
    fn from_value(value: &Value) -> Option<Self> {
        match value {
            Value::Integer(number) => Some(*number),
            _ => None,
        }
    }
    fn to_value(&self) -> Value {
        Value::Integer(*self)
    }
}

impl Scalar for bool {
    fn from_value(value: &Value) -> Option<Self> {
        match value {
            Value::Flag(flag) => Some(*flag),
            _ => None,
        }
    }
    fn to_value(&self) -> Value {
        Value::Flag(*self)
    }
}

impl Scalar for NaiveDate {
    fn from_value(value: &Value) -> Option<Self> {
        match value {
            Value::Text(text) => swardbook_units::parse_date(text).ok(),
            _ => None,
        }
    }
    fn to_value(&self) -> Value {
        Value::Text(self.format("%Y-%m-%d").to_string())
    }
}

impl Scalar for NaiveTime {
    fn from_value(value: &Value) -> Option<Self> {
        match value {
            Value::Text(text) => Self::parse_from_str(text, "%H:%M").ok(),
            _ => None,
        }
    }
    fn to_value(&self) -> Value {
        Value::Text(self.format("%H:%M").to_string())
    }
}

impl Scalar for Id {
    fn from_value(value: &Value) -> Option<Self> {
        match value {
            Value::Text(text) => text.parse().ok(),
            _ => None,
        }
    }
    fn to_value(&self) -> Value {
        Value::Text(self.to_string())
    }
}

/// Declares a record kind: a struct whose fields are stored under their own names.
macro_rules! record {
    (
        $(#[$doc:meta])*
        pub struct $name:ident = $kind:literal {
            $( $(#[$field_doc:meta])* $field:ident: $type:ty, )*
        }
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Default)]
        pub struct $name {
            $( $(#[$field_doc])* pub $field: $type, )*
        }

        impl $crate::Record for $name {
            const KIND: &'static str = $kind;
            fn from_fields(fields: &$crate::Fields) -> Self {
                Self { $( $field: <$type as $crate::Field>::read(fields, stringify!($field)), )* }
            }
            fn to_fields(&self) -> $crate::Fields {
                let mut out = $crate::Fields::new();
                $( $crate::Field::write(&self.$field, &mut out, stringify!($field)); )*
                out
            }
        }
    };
}

/// Declares a closed choice stored as a word; a word of a newer version is kept as it is.
macro_rules! words {
    (
        $(#[$doc:meta])*
        pub enum $name:ident {
            $( $(#[$variant_doc:meta])* $variant:ident = $word:literal, )*
        }
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq)]
        pub enum $name {
            $( $(#[$variant_doc])* $variant, )*
            /// A word that a newer version wrote.
            Other(String),
        }

        impl $name {
            /// Every choice of this version.
            pub const ALL: &'static [Self] = &[ $( Self::$variant, )* ];

            /// The stored word.
            #[must_use]
            pub fn word(&self) -> &str {
                match self {
                    $( Self::$variant => $word, )*
                    Self::Other(word) => word,
                }
            }

            /// Reads one of this version's words.
            #[must_use]
            pub fn from_word(word: &str) -> Option<Self> {
                Self::ALL.iter().find(|known| known.word() == word).cloned()
            }
        }

        impl $crate::Scalar for $name {
            fn from_value(value: &$crate::Value) -> Option<Self> {
                match value {
                    $crate::Value::Text(word) => Some(
                        Self::from_word(word).unwrap_or_else(|| Self::Other(word.clone())),
                    ),
                    _ => None,
                }
            }
            fn to_value(&self) -> $crate::Value {
                $crate::Value::Text(self.word().to_owned())
            }
        }
    };
}

pub(crate) use record;
pub(crate) use words;
