//! What a record said before: every change that touched it.

use automerge::{ObjId, ReadDoc, legacy};

use crate::{Document, Stamp, Value};

/// One change of one field.
#[derive(Debug, Clone, PartialEq)]
pub struct Revision {
    /// Hash of the change.
    pub change: [u8; 32],
    /// Who, where, when.
    pub stamp: Stamp,
    /// The field.
    pub field: String,
    /// What it said before.
    pub before: Option<Value>,
    /// What it said afterwards; `None` when it was removed.
    pub after: Option<Value>,
}

impl Document {
    /// Everything that was ever written to one entry, oldest cause first.
    pub fn history(&mut self, key: &str) -> Vec<Revision> {
        let Ok(Some((_, id))) = self.doc.get(&self.entries, key) else { return Vec::new() };
        let ObjId::Id(counter, ..) = id else { return Vec::new() };
        let later: Vec<automerge::ChangeHash> = self
            .doc
            .get_changes_meta(&[])
            .into_iter()
            .filter(|meta| meta.max_op >= counter)
            .map(|meta| meta.hash)
            .collect();
        let mut revisions = Vec::new();
        for hash in later {
            let Some(change) = self.doc.get_change_by_hash(&hash) else { continue };
            let stamp = crate::document::stamp(change.message(), change.timestamp());
            for op in change.decode().operations {
                if !is_object(&op.obj, &id) {
                    continue;
                }
                let legacy::Key::Map(field) = &op.key else { continue };
                let before = self
                    .doc
                    .get_at(&id, field.as_str(), change.deps())
                    .ok()
                    .flatten()
                    .and_then(|(v, _)| v.as_scalar().map(Value::from_automerge));
                let after = op.primitive_value().as_ref().map(Value::from_automerge);
                revisions.push(Revision {
                    change: hash.0,
                    stamp: stamp.clone(),
                    field: field.to_string(),
                    before,
                    after,
                });
            }
        }
        revisions
    }
}

/// Whether a stored operation's object is the one we hold.
pub(crate) fn is_object(stored: &legacy::ObjectId, ours: &ObjId) -> bool {
    match (stored, ours) {
        (legacy::ObjectId::Root, ObjId::Root) => true,
        (legacy::ObjectId::Id(op), ObjId::Id(counter, actor, _)) => {
            op.counter() == *counter && op.actor() == actor
        }
        _ => false,
    }
}
