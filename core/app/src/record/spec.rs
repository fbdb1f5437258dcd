//! How a kind of record is filled in: its fields as data.
//!
//! One table serves the validation, the forms of the window, the flags of the command line and
//! the printing of a record, so that they cannot disagree.

use serde::Serialize;
use swardbook_journal::Fields;
use ts_rs::TS;

use crate::Problem;

/// What a field takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FieldKind {
    /// One line of text.
    Text,
    /// Several lines of text.
    Lines,
    /// A number kept in this unit; typed in it or in any unit of the same kind.
    Number {
        /// The unit kept.
        unit: &'static str,
        /// Least and greatest value that can be.
        range: (f64, f64),
    },
    /// A whole number.
    Count {
        /// Least and greatest value that can be.
        range: (i64, i64),
    },
    /// An amount of the notebook's money, kept in minor units.
    Money,
    /// A civil day.
    Date,
    /// A civil day of work, which lies ahead as a rule.
    DateAhead,
    /// A time of day.
    Time,
    /// One of these words.
    Choice(&'static [&'static str]),
    /// Yes or no.
    Flag,
    /// Another record of this kind, by its id or its name.
    Record(&'static str),
    /// A material, ours or the person's own, by its id or its name.
    Material,
}

/// How much a field is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Need {
    /// The record cannot be made without it.
    Required,
    /// The record can be made now and this filled in later; it is listed as missing until then.
    Later,
    /// May stay empty.
    Optional,
}

/// One field of a kind of record.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FieldSpec {
    /// Its name in requests; with dashes it is the flag of the command line.
    pub name: &'static str,
    /// The key it is stored under.
    pub key: &'static str,
    /// What it takes.
    pub kind: FieldKind,
    /// How much it is wanted.
    pub need: Need,
    /// Its label.
    pub label: &'static str,
    /// What it is and why it is asked for.
    pub about: &'static str,
    /// A stored key that takes its place: an outline gives the area.
    pub instead: Option<&'static str>,
    /// A stored key and the only words of it with which the field is wanted: a rating wants its
    /// rater, a photo does not.
    pub only_with: Option<(&'static str, &'static [&'static str])>,
}

/// Which document a kind of record is kept in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Home {
    /// The notebook's own.
    Notebook,
    /// A property's.
    Property,
    /// A zone's journal.
    Zone,
}

/// A kind of record.
#[derive(Debug, Clone, Copy)]
pub struct RecordSpec {
    /// The stored word.
    pub kind: &'static str,
    /// What a person calls it.
    pub title: &'static str,
    /// Where it is kept.
    pub home: Home,
    /// Its fields, in the order of the form.
    pub fields: &'static [FieldSpec],
    /// What must hold between fields.
    pub check: fn(&Fields) -> Result<(), Problem>,
}

impl RecordSpec {
    /// Whether a field of it counts money, so that the notebook's currency is needed.
    #[must_use]
    pub fn counts_money(&self) -> bool {
        self.fields.iter().any(|field| field.kind == FieldKind::Money)
    }

    /// The field of that name in requests.
    #[must_use]
    pub fn field(&self, name: &str) -> Option<&'static FieldSpec> {
        self.fields.iter().find(|field| field.name == name)
    }

    /// The field stored under that key.
    #[must_use]
    pub fn stored(&self, key: &str) -> Option<&'static FieldSpec> {
        self.fields.iter().find(|field| field.key == key)
    }

    /// Labels of what is still to fill in.
    #[must_use]
    pub fn missing(&self, fields: &Fields) -> Vec<String> {
        self.fields
            .iter()
            .filter(|f| f.need != Need::Optional && !fields.contains_key(f.key))
            .filter(|f| f.instead.is_none_or(|other| !fields.contains_key(other)))
            .filter(|f| f.is_wanted_with(fields))
            .map(|f| f.label.to_owned())
            .collect()
    }
}

pub(super) const fn field(
    name: &'static str,
    key: &'static str,
    kind: FieldKind,
    label: &'static str,
    about: &'static str,
) -> FieldSpec {
    FieldSpec {
        name,
        key,
        kind,
        need: Need::Optional,
        label,
        about,
        instead: None,
        only_with: None,
    }
}

impl FieldSpec {
    pub(super) const fn required(mut self) -> Self {
        self.need = Need::Required;
        self
    }

    pub(super) const fn only_with(
        mut self,
        key: &'static str,
        words: &'static [&'static str],
    ) -> Self {
        self.only_with = Some((key, words));
        self
    }

    fn is_wanted_with(&self, fields: &Fields) -> bool {
        self.only_with.is_none_or(|(key, words)| {
            matches!(fields.get(key), Some(swardbook_journal::Value::Text(word))
                if words.contains(&word.as_str()))
        })
    }

    pub(super) const fn or(mut self, key: &'static str) -> Self {
        self.instead = Some(key);
        self
    }

    pub(super) const fn later(mut self) -> Self {
        self.need = Need::Later;
        self
    }
}

/// A field as shells draw it.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct FieldInfo {
    /// Name in requests.
    pub name: String,
    /// Label.
    pub label: String,
    /// What it is and why it is asked for.
    pub about: String,
    /// `text`, `lines`, `number`, `count`, `money`, `date`, `time`, `choice`, `flag`, `record` or
    /// `material`.
    #[serde(rename = "type")]
    pub kind: String,
    /// Unit kept, for numbers.
    pub unit: String,
    /// Least value that can be.
    pub least: Option<f64>,
    /// Greatest value that can be.
    pub most: Option<f64>,
    /// The words to choose from.
    pub choices: Vec<String>,
    /// Kind of record referred to.
    pub refers_to: String,
    /// `required`, `later` or `optional`.
    pub need: String,
}

/// A kind of record as shells draw its form.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct FormInfo {
    /// Kind.
    pub kind: String,
    /// What a person calls it.
    pub title: String,
    /// `notebook`, `property` or `zone`.
    pub home: String,
    /// Fields in order.
    pub fields: Vec<FieldInfo>,
}

impl From<&FieldSpec> for FieldInfo {
    #[expect(clippy::cast_precision_loss, reason = "bounds are small whole numbers")]
    fn from(spec: &FieldSpec) -> Self {
        let bound = |value: f64| value.is_finite().then_some(value);
        let mut info = Self {
            name: spec.name.to_owned(),
            label: spec.label.to_owned(),
            about: spec.about.to_owned(),
            kind: String::new(),
            unit: String::new(),
            least: None,
            most: None,
            choices: Vec::new(),
            refers_to: String::new(),
            need: match spec.need {
                Need::Required => "required",
                Need::Later => "later",
                Need::Optional => "optional",
            }
            .to_owned(),
        };
        info.kind = match spec.kind {
            FieldKind::Text => "text",
            FieldKind::Lines => "lines",
            FieldKind::Number { unit, range } => {
                unit.clone_into(&mut info.unit);
                (info.least, info.most) = (bound(range.0), bound(range.1));
                "number"
            }
            FieldKind::Count { range } => {
                (info.least, info.most) = (Some(range.0 as f64), Some(range.1 as f64));
                "count"
            }
            FieldKind::Money => "money",
            FieldKind::Date => "date",
            FieldKind::DateAhead => "date-ahead",
            FieldKind::Time => "time",
            FieldKind::Choice(words) => {
                info.choices = words.iter().map(|&w| w.to_owned()).collect();
                "choice"
            }
            FieldKind::Flag => "flag",
            FieldKind::Record(kind) => {
                kind.clone_into(&mut info.refers_to);
                "record"
            }
            FieldKind::Material => "material",
        }
        .to_owned();
        info
    }
}

impl From<&RecordSpec> for FormInfo {
    fn from(spec: &RecordSpec) -> Self {
        Self {
            kind: spec.kind.to_owned(),
            title: spec.title.to_owned(),
            home: match spec.home {
                Home::Notebook => "notebook",
                Home::Property => "property",
                Home::Zone => "zone",
            }
            .to_owned(),
            fields: spec.fields.iter().map(FieldInfo::from).collect(),
        }
    }
}
