//! Storage and journal errors as problems a shell can branch on.

use swardbook_journal::{ClockError, LoadError, UndoError, WriteError};
use swardbook_store::StoreError;

use crate::{Code, Problem};

impl From<StoreError> for Problem {
    fn from(error: StoreError) -> Self {
        use StoreError as E;
        let code = match &error {
            E::NoFolder { .. } | E::NotANotebook { .. } | E::AlreadyThere { .. } => {
                Code::NoNotebook
            }
            E::InUse { .. } => Code::InUse,
            E::ReadOnly { .. } | E::ReadAccess => Code::ReadOnly,
            E::DiskFull { .. } => Code::DiskFull,
            E::NewerFormat { .. } => Code::NewerVersion,
            E::Unreadable { .. } | E::DamagedDocument { .. } => Code::Damaged,
            _ => Code::Storage,
        };
        Self::new(code, error.to_string())
    }
}

impl From<LoadError> for Problem {
    fn from(error: LoadError) -> Self {
        Self::new(Code::Damaged, error.to_string())
    }
}

impl From<ClockError> for Problem {
    fn from(error: ClockError) -> Self {
        Self::new(Code::Damaged, error.to_string())
    }
}

impl From<WriteError> for Problem {
    fn from(error: WriteError) -> Self {
        let code = match &error {
            WriteError::NewerSchema { .. } => Code::NewerVersion,
            WriteError::NoEntry { .. } => Code::NotFound,
            WriteError::NotFinite { .. } => Code::BadInput,
            WriteError::Document(_) => Code::Storage,
        };
        let field = match &error {
            WriteError::NotFinite { field } => Some(field.clone()),
            _ => None,
        };
        Self { code, message: error.to_string(), field }
    }
}

impl From<UndoError> for Problem {
    fn from(error: UndoError) -> Self {
        match error {
            UndoError::ChangedSince { ref field, .. } => Self {
                code: Code::ChangedSince,
                field: Some(field.clone()),
                message: error.to_string(),
            },
            UndoError::NoChange | UndoError::Nothing => {
                Self::new(Code::NotFound, error.to_string())
            }
            UndoError::Write(error) => error.into(),
        }
    }
}
