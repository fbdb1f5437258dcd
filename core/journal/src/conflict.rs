//! Fields that two devices wrote apart: every value with its writer, and a person's choice.

use automerge::{ReadDoc, transaction::Transactable};

use crate::{Document, Stamp, Value, WriteError};

/// One of the values of a field in conflict.
#[derive(Debug, Clone, PartialEq)]
pub struct Claim {
    /// The value.
    pub value: Value,
    /// Who wrote it.
    pub stamp: Option<Stamp>,
    /// True for the value that is shown until somebody chooses.
    pub shown: bool,
}

/// A field that holds more than one value.
#[derive(Debug, Clone, PartialEq)]
pub struct Conflict {
    /// The entry.
    pub key: String,
    /// Its kind.
    pub kind: String,
    /// The field.
    pub field: String,
    /// The values, the shown one last.
    pub claims: Vec<Claim>,
}

impl Document {
    /// Every field in conflict, in the order of entries and fields.
    pub fn conflicts(&mut self) -> Vec<Conflict> {
        let found: Vec<_> = self
            .entries()
            .into_iter()
            .filter(|e| !e.conflicting.is_empty())
            .map(|e| (e.key, e.kind, e.conflicting))
            .collect();
        let mut conflicts = Vec::new();
        for (key, kind, fields) in found {
            for field in fields {
                let claims = self.claims(&key, &field);
                conflicts.push(Conflict { key: key.clone(), kind: kind.clone(), field, claims });
            }
        }
        conflicts
    }

    fn claims(&mut self, key: &str, field: &str) -> Vec<Claim> {
        let Ok(Some((_, id))) = self.doc.get(&self.entries, key) else { return Vec::new() };
        let all: Vec<_> = self
            .doc
            .get_all(&id, field)
            .unwrap_or_default()
            .into_iter()
            .map(|(value, op)| {
                let value = value
                    .as_scalar()
                    .map_or_else(|| Value::Foreign(value.to_string()), Value::from_automerge);
                (value, op)
            })
            .collect();
        let last = all.len().saturating_sub(1);
        all.into_iter()
            .enumerate()
            .map(|(at, (value, op))| Claim {
                value,
                stamp: self.doc.hash_for_opid(&op).and_then(|hash| self.stamp_of(&hash)),
                shown: at == last,
            })
            .collect()
    }

    /// Ends a conflict with the chosen value; the others stay in the history.
    ///
    /// # Errors
    /// [`WriteError`]
    pub fn choose(&mut self, key: &str, field: &str, value: &Value) -> Result<(), WriteError> {
        let found = self.doc.get(&self.entries, key)?;
        let (_, id) = found.ok_or_else(|| WriteError::NoEntry { key: key.to_owned() })?;
        if let Some(scalar) = value.to_automerge() {
            // Written even when it equals the shown value: the write is what ends the conflict.
            self.doc.put(&id, field, scalar)?;
        }
        Ok(())
    }
}
