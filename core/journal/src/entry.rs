//! One record as stored.

use crate::{Fields, Value};

/// Field that names the record's kind.
pub(crate) const KIND: &str = "kind";
/// Fields of the deletion mark.
pub(crate) const VOIDED: &str = "voided";
pub(crate) const VOIDED_WHY: &str = "voided_why";

/// Where an entry stands in the order of causes, whatever any clock said.
///
/// An entry made after its device had seen another always sorts after it; entries made apart sort
/// by the maker's random actor, the same way on every device.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct CausalOrder {
    /// Lamport counter of the operation that made the entry.
    pub counter: u64,
    /// The maker's actor, to break ties.
    pub actor: Vec<u8>,
}

/// Who wrote something, on what device, and when by that device's clock; it stands in every change.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stamp {
    /// The device's id as the notebook lists it.
    pub device: String,
    /// The person's name as the notebook lists it; empty when nobody said.
    pub person: String,
    /// What was done, in a few words, as the undo list shows it.
    pub action: String,
    /// Seconds since 1970; informational only, nothing is ordered by it.
    pub at: i64,
}

/// The mark of a deleted entry.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Voided {
    /// When, seconds since 1970 by the device's clock.
    pub at: i64,
    /// Why, in the person's words.
    pub why: String,
}

/// One record as stored: an id, a kind and its scalars, known and unknown alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// The entry's name inside its document.
    pub key: String,
    /// The record's kind, such as `core`.
    pub kind: String,
    /// Everything else, deletion mark included.
    pub fields: Fields,
    /// Its place in the order of causes.
    pub order: CausalOrder,
    /// Keys that hold more than one value since devices wrote apart.
    pub conflicting: Vec<String>,
}

impl Entry {
    /// The deletion mark, when the entry is hidden.
    #[must_use]
    pub fn voided(&self) -> Option<Voided> {
        let at = match self.fields.get(VOIDED)? {
            Value::Integer(at) => *at,
            _ => 0,
        };
        let why = match self.fields.get(VOIDED_WHY) {
            Some(Value::Text(why)) => why.clone(),
            _ => String::new(),
        };
        Some(Voided { at, why })
    }

    /// The entry as a typed record, when it is of that kind and not hidden.
    #[must_use]
    pub fn read<R: crate::Record>(&self) -> Option<R> {
        (self.kind == R::KIND && self.voided().is_none()).then(|| R::from_fields(&self.fields))
    }
}
