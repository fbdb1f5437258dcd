//! Fields that two devices wrote apart: every value with its writer, and a person's choice.

use std::collections::{HashMap, HashSet};

use automerge::{ChangeHash, ReadDoc, transaction::Transactable};

use crate::{Document, Stamp, Value, WriteError, document::scalar};

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

/// A field that was written without knowledge of another field's present value.
#[derive(Debug, Clone, PartialEq)]
pub struct WrittenApart {
    /// The field.
    pub field: String,
    /// What it says now.
    pub value: Value,
    /// Who wrote it.
    pub stamp: Option<Stamp>,
}

impl Document {
    /// Fields of an entry whose present values were written without knowledge of what `field` says
    /// now, and the other way round; with who wrote `field`.
    ///
    /// No field of them is in conflict, yet together they may say what nobody meant: a plan that
    /// was accepted on one device and changed on another.
    pub fn written_apart(
        &mut self,
        key: &str,
        field: &str,
    ) -> Option<(Option<Stamp>, Vec<WrittenApart>)> {
        let (_, id) = self.doc.get(&self.entries, key).ok()??;
        let (_, op) = self.doc.get(&id, field).ok()??;
        let written = self.doc.hash_for_opid(&op)?;
        let mut others: Vec<(String, Value, ChangeHash)> = Vec::new();
        for item in self.doc.map_range(&id, ..) {
            if item.key != field
                && let Some(hash) = self.doc.hash_for_opid(&item.id())
                && hash != written
            {
                others.push((item.key.to_string(), scalar(&item), hash));
            }
        }
        let deps: HashMap<ChangeHash, Vec<ChangeHash>> =
            self.doc.get_changes_meta(&[]).into_iter().map(|m| (m.hash, m.deps)).collect();
        let known = causes(&deps, written);
        others.retain(|(_, _, hash)| {
            !known.contains(hash) && !causes(&deps, *hash).contains(&written)
        });
        let apart = others
            .into_iter()
            .map(|(field, value, hash)| WrittenApart { field, value, stamp: self.stamp_of(&hash) })
            .collect();
        Some((self.stamp_of(&written), apart))
    }

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
            // Written even when it equals the shown value: the write is what ends the conflict. A
            // value that stands alone would not be written again, unless it is taken away first.
            if self.doc.get_all(&id, field)?.len() == 1 {
                self.doc.delete(&id, field)?;
            }
            self.doc.put(&id, field, scalar)?;
        }
        Ok(())
    }
}

/// Everything that a change builds on.
fn causes(deps: &HashMap<ChangeHash, Vec<ChangeHash>>, of: ChangeHash) -> HashSet<ChangeHash> {
    let mut causes = HashSet::new();
    let mut open = vec![of];
    while let Some(hash) = open.pop() {
        for cause in deps.get(&hash).into_iter().flatten() {
            if causes.insert(*cause) {
                open.push(*cause);
            }
        }
    }
    causes
}
