//! What went wrong, in words for a person and a code for a shell.

use serde::Serialize;
use ts_rs::TS;

/// What kind of problem; shells branch on this, never on the text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, TS)]
#[serde(rename_all = "kebab-case")]
pub enum Code {
    /// Something given is wrong; `field` says which.
    BadInput,
    /// Something needed was not given; `field` says which.
    MissingInput,
    /// The thing named is not in this notebook.
    NotFound,
    /// More than one thing has that name.
    Ambiguous,
    /// The answer would mislead, so it is not given.
    Refused,
    /// A record was changed elsewhere since it was read.
    ChangedSince,
    /// The notebook is open for writing in another window or program.
    InUse,
    /// The notebook may be read and not written.
    ReadOnly,
    /// The folder is no notebook, or there is none.
    NoNotebook,
    /// Stored bytes are damaged.
    Damaged,
    /// No room on the disk.
    DiskFull,
    /// The disk or the system refused.
    Storage,
    /// A file could not be read as what it claims to be.
    BadFile,
    /// A newer version of the program wrote this.
    NewerVersion,
    /// The person stopped it.
    Cancelled,
}

/// A refusal that reaches the person.
#[derive(Debug, Clone, PartialEq, Serialize, TS, thiserror::Error)]
#[error("{message}")]
pub struct Problem {
    /// What kind.
    pub code: Code,
    /// What is wrong and what to do about it, in full sentences.
    pub message: String,
    /// The field that stands in the way, by its name in the request.
    pub field: Option<String>,
}

impl Problem {
    /// A problem without a field.
    pub fn new(code: Code, message: impl Into<String>) -> Self {
        Self { code, message: message.into(), field: None }
    }

    /// A wrong input.
    pub fn bad(field: &str, message: impl Into<String>) -> Self {
        Self { code: Code::BadInput, message: message.into(), field: Some(field.to_owned()) }
    }

    /// A missing input.
    pub fn missing(field: &str, remedy: &str) -> Self {
        Self {
            code: Code::MissingInput,
            message: format!("{field} is missing; {remedy}"),
            field: Some(field.to_owned()),
        }
    }

    /// Something that is not there.
    pub fn not_found(field: &str, message: impl Into<String>) -> Self {
        Self { code: Code::NotFound, message: message.into(), field: Some(field.to_owned()) }
    }

    /// An answer that is not given because it would mislead.
    pub fn refused(message: impl Into<String>) -> Self {
        Self::new(Code::Refused, message)
    }

    /// Names the field.
    #[must_use]
    pub fn at(mut self, field: &str) -> Self {
        self.field = Some(field.to_owned());
        self
    }
}

impl From<swardbook_agronomy::AgronomyError> for Problem {
    fn from(error: swardbook_agronomy::AgronomyError) -> Self {
        use swardbook_agronomy::AgronomyError as E;
        let code = match &error {
            E::Missing { .. } => Code::MissingInput,
            E::Refused { .. } => Code::Refused,
            E::Argument { .. } | E::Formula(_) | E::Reading(_) => Code::BadInput,
        };
        Self { code, field: Some(error.argument().to_owned()), message: error.to_string() }
    }
}

impl From<swardbook_units::UnitError> for Problem {
    fn from(error: swardbook_units::UnitError) -> Self {
        Self::bad("unit", error.to_string())
    }
}

impl From<swardbook_units::DateError> for Problem {
    fn from(error: swardbook_units::DateError) -> Self {
        Self::bad("date", error.to_string())
    }
}

impl From<swardbook_units::MoneyError> for Problem {
    fn from(error: swardbook_units::MoneyError) -> Self {
        Self::bad("price", error.to_string())
    }
}
