//! Taking one action back: a new change that writes what the fields said before.

use automerge::{ChangeHash, ObjId, ReadDoc, legacy};

use crate::{Document, Fields, Value, WriteError, history::is_object};

/// Why an action cannot be taken back.
#[derive(Debug, thiserror::Error)]
pub enum UndoError {
    /// The change is not in this document.
    #[error("that action is not in this document")]
    NoChange,
    /// One of its fields says something else since, here or on another device.
    #[error("{field} was changed again since; change it by hand instead")]
    ChangedSince {
        /// The entry.
        key: String,
        /// The field.
        field: String,
    },
    /// Nothing in it can be taken back.
    #[error("there is nothing in that action to take back")]
    Nothing,
    /// Writing failed.
    #[error(transparent)]
    Write(#[from] WriteError),
}

/// What one action wrote, entry by entry.
struct Touched {
    key: String,
    made_here: bool,
    fields: Vec<String>,
}

impl Document {
    /// Writes the opposite of one earlier change: entries it made are hidden, fields it wrote get
    /// their earlier values.
    /// All or nothing: nothing is written when any field says something else since.
    /// Returns the entries written.
    ///
    /// # Errors
    /// [`UndoError`]
    pub fn undo(&mut self, change: &[u8; 32], at: i64) -> Result<Vec<String>, UndoError> {
        let hash = ChangeHash(*change);
        let stored = self.doc.get_change_by_hash(&hash).ok_or(UndoError::NoChange)?;
        let deps = stored.deps().to_vec();
        let operations = stored.decode().operations;
        let mut plans: Vec<(String, String, Fields, Vec<String>)> = Vec::new();
        for touched in self.touched(&operations) {
            let Ok(Some((_, id))) = self.doc.get(&self.entries, touched.key.as_str()) else {
                return Err(UndoError::NoChange);
            };
            let kind = self.entry(&touched.key).map(|e| e.kind).unwrap_or_default();
            if touched.made_here {
                let mark = Fields::from([
                    (crate::entry::VOIDED.to_owned(), Value::Integer(at)),
                    (crate::entry::VOIDED_WHY.to_owned(), Value::Text("undone".to_owned())),
                ]);
                plans.push((touched.key, kind, mark, Vec::new()));
                continue;
            }
            let (mut wanted, mut removed) = (Fields::new(), Vec::new());
            for field in touched.fields {
                if !self.still_says(&id, &field, &operations) {
                    return Err(UndoError::ChangedSince { key: touched.key, field });
                }
                let before = self.doc.get_at(&id, field.as_str(), &deps).ok().flatten();
                match before.and_then(|(v, _)| v.as_scalar().map(Value::from_automerge)) {
                    Some(value) => {
                        wanted.insert(field, value);
                    }
                    None => removed.push(field),
                }
            }
            plans.push((touched.key, kind, wanted, removed));
        }
        if plans.is_empty() {
            return Err(UndoError::Nothing);
        }
        let mut written = Vec::new();
        for (key, kind, wanted, removed) in plans {
            self.write_fields(&key, &kind, wanted, removed)?;
            written.push(key);
        }
        Ok(written)
    }

    /// Whether a field says now what the change wrote, and nothing else beside it.
    ///
    /// By value, not by who wrote it last: taking back a later action writes the earlier value anew,
    /// and the earlier action must still be there to be taken back in its turn.
    fn still_says(&self, id: &ObjId, field: &str, operations: &[legacy::Op]) -> bool {
        let wrote = operations.iter().rev().find(|op| {
            is_object(&op.obj, id) && matches!(&op.key, legacy::Key::Map(k) if k == field)
        });
        let says = self.doc.get_all(id, field).unwrap_or_default();
        match (wrote.map(|op| &op.action), says.as_slice()) {
            (Some(legacy::OpType::Put(wrote)), [(now, _)]) => now.as_scalar() == Some(wrote),
            (Some(legacy::OpType::Delete), []) => true,
            _ => false,
        }
    }

    fn touched(&self, operations: &[legacy::Op]) -> Vec<Touched> {
        let mut all: Vec<Touched> = Vec::new();
        for item in self.doc.map_range(&self.entries, ..) {
            let id = item.id();
            let made_here = operations.iter().any(|op| {
                is_object(&op.obj, &self.entries)
                    && matches!(&op.key, legacy::Key::Map(k) if **k == *item.key)
            });
            let mut fields: Vec<String> = operations
                .iter()
                .filter(|op| is_object(&op.obj, &id))
                .filter_map(|op| match &op.key {
                    legacy::Key::Map(field) => Some(field.to_string()),
                    legacy::Key::Seq(_) => None,
                })
                .collect();
            fields.sort_unstable();
            fields.dedup();
            if made_here || !fields.is_empty() {
                all.push(Touched { key: item.key.to_string(), made_here, fields });
            }
        }
        all
    }
}
