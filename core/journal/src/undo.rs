//! Taking one action back: a new change that writes what the fields said before.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use automerge::{ActorId, ChangeHash, ObjId, Prop, ReadDoc, legacy};

use crate::{
    Document, Fields, Value, WriteError,
    entry::{KIND, VOIDED, VOIDED_WHY},
    history::is_object,
};

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

/// What has to be written on one entry to take an action back.
#[derive(Debug, Clone, PartialEq)]
pub struct Undoing {
    /// The entry.
    pub key: String,
    /// Its kind.
    pub kind: String,
    /// Fields that get a value.
    pub wanted: Fields,
    /// Fields that go.
    pub removed: Vec<String>,
}

/// The last operation on each field of one object.
type OfObject<'o> = BTreeMap<&'o str, &'o legacy::Op>;

/// What one action wrote, object by object, so that no operation is looked for among the others.
#[derive(Default)]
struct Written<'o> {
    /// Entries it made.
    made: BTreeSet<&'o str>,
    /// Objects that were there before.
    earlier: HashMap<&'o legacy::OpId, OfObject<'o>>,
}

impl<'o> Written<'o> {
    /// Reads each operation once.
    ///
    /// `first` is the number of the action's first operation: an object of its writer from there on
    /// is one that it made, and goes with its entry.
    fn of(
        operations: impl Iterator<Item = &'o legacy::Op>,
        entries: &ObjId,
        first: u64,
        writer: &ActorId,
    ) -> Self {
        let mut written = Self::default();
        for op in operations {
            let legacy::Key::Map(field) = &op.key else { continue };
            if is_object(&op.obj, entries) {
                written.made.insert(field);
            } else if let legacy::ObjectId::Id(object) = &op.obj
                && (object.counter() < first || object.actor() != writer)
            {
                written.earlier.entry(object).or_default().insert(field, op);
            }
        }
        written
    }
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
        let mut written = Vec::new();
        for Undoing { key, kind, wanted, removed } in self.plan_undo(change, at)? {
            self.write_fields(&key, &kind, wanted, removed)?;
            written.push(key);
        }
        Ok(written)
    }

    /// What [`Self::undo`] would write, in the order of the entries' keys; nothing is written.
    ///
    /// It costs what the change wrote, however large the document is.
    ///
    /// # Errors
    /// [`UndoError`]
    pub fn plan_undo(&mut self, change: &[u8; 32], at: i64) -> Result<Vec<Undoing>, UndoError> {
        let hash = ChangeHash(*change);
        let stored = self.doc.get_change_by_hash(&hash).ok_or(UndoError::NoChange)?;
        let (deps, first) = (stored.deps().to_vec(), stored.start_op().get());
        let writer = stored.actor_id().clone();
        let operations = stored.decode().operations;
        let written = Written::of(operations.iter(), &self.entries, first, &writer);
        let mut plans = BTreeMap::new();
        for key in &written.made {
            let Ok(Some((_, id))) = self.doc.get(&self.entries, *key) else {
                return Err(UndoError::NoChange);
            };
            let wanted = Fields::from([
                (VOIDED.to_owned(), Value::Integer(at)),
                (VOIDED_WHY.to_owned(), Value::Text("undone".to_owned())),
            ]);
            let (key, kind) = ((*key).to_owned(), self.kind_of(&id));
            plans.insert(key.clone(), Undoing { key, kind, wanted, removed: Vec::new() });
        }
        for (object, fields) in written.earlier {
            let Some((key, id)) = self.entry_of(object) else { continue };
            if plans.contains_key(&key) {
                continue;
            }
            let plan = self.earlier_values(key.clone(), &id, &fields, &deps)?;
            plans.insert(key, plan);
        }
        if plans.is_empty() {
            return Err(UndoError::Nothing);
        }
        Ok(plans.into_values().collect())
    }

    fn earlier_values(
        &self,
        key: String,
        id: &ObjId,
        fields: &OfObject<'_>,
        deps: &[ChangeHash],
    ) -> Result<Undoing, UndoError> {
        let kind = self.kind_of(id);
        let (mut wanted, mut removed) = (Fields::new(), Vec::new());
        for (field, wrote) in fields {
            if !self.still_says(id, field, wrote) {
                return Err(UndoError::ChangedSince { key, field: (*field).to_owned() });
            }
            let before = self.doc.get_at(id, *field, deps).ok().flatten();
            match before.and_then(|(v, _)| v.as_scalar().map(Value::from_automerge)) {
                Some(value) => {
                    wanted.insert((*field).to_owned(), value);
                }
                None => removed.push((*field).to_owned()),
            }
        }
        Ok(Undoing { key, kind, wanted, removed })
    }

    /// The entry that an object is, where it still is one: of two that devices made under one key
    /// one stands.
    fn entry_of(&self, object: &legacy::OpId) -> Option<(String, ObjId)> {
        let id = self.doc.import_obj(&object.to_string()).ok()?;
        let parent = self.doc.parents(&id).ok()?.next()?;
        let Prop::Map(key) = parent.prop else { return None };
        let (_, standing) = self.doc.get(&self.entries, key.as_str()).ok()??;
        (parent.obj == self.entries && standing == id).then_some((key, id))
    }

    fn kind_of(&self, id: &ObjId) -> String {
        let stored = self.doc.get(id, KIND).ok().flatten();
        stored.and_then(|(word, _)| word.into_string().ok()).unwrap_or_default()
    }

    /// Whether a field says now what the change wrote, and nothing else beside it.
    ///
    /// By value, not by who wrote it last: taking back a later action writes the earlier value anew,
    /// and the earlier action must still be there to be taken back in its turn.
    fn still_says(&self, id: &ObjId, field: &str, wrote: &legacy::Op) -> bool {
        let says = self.doc.get_all(id, field).unwrap_or_default();
        match (&wrote.action, says.as_slice()) {
            (legacy::OpType::Put(wrote), [(now, _)]) => now.as_scalar() == Some(wrote),
            (legacy::OpType::Delete, []) => true,
            _ => false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::DocumentKind;

    /// The operations that two changes hold, and how many of them were looked at.
    fn looked_at(samples: usize, others: usize) -> (usize, usize) {
        let mut doc = Document::new(DocumentKind::Zone, &[7; 16]);
        let fields = |n: usize| {
            let n = i64::try_from(n).expect("a small number");
            Fields::from([
                ("label".to_owned(), Value::Text(format!("S{n}"))),
                ("cores".to_owned(), Value::Integer(n)),
            ])
        };
        let note = |action: &str| crate::Stamp {
            device: "office".to_owned(),
            person: String::new(),
            action: action.to_owned(),
            at: 1,
        };
        for n in 0..others {
            let written = doc.write_fields(&format!("o{n:05}"), "sample", fields(n), Vec::new());
            written.expect("written");
        }
        let _earlier = doc.commit(&note("earlier"));
        for n in 0..samples {
            let written = doc.write_fields(&format!("s{n:05}"), "sample", fields(n), Vec::new());
            written.expect("written");
        }
        let hash = doc.commit(&note("imported")).expect("something was written").hash;
        let stored = doc.doc.get_change_by_hash(&ChangeHash(hash)).expect("just written");
        let operations = stored.decode().operations;
        let mut count = 0;
        let looked = operations.iter().inspect(|_| count += 1);
        let written = Written::of(looked, &doc.entries, stored.start_op().get(), stored.actor_id());
        assert_eq!((written.made.len(), written.earlier.len()), (samples, 0));
        assert_eq!(doc.plan_undo(&hash, 2).expect("it can be").len(), samples);
        (operations.len(), count)
    }

    #[test]
    fn taking_back_looks_at_each_operation_once_however_many_entries_there_are() {
        for (samples, others) in [(10, 0), (10, 500), (400, 500)] {
            let (all, looked) = looked_at(samples, others);
            assert_eq!(looked, all, "{samples} samples beside {others}");
            assert_eq!(all, 4 * samples, "an entry, its kind and two fields each");
        }
    }
}
