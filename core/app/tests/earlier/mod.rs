//! Measurements as an earlier version of the program left them, written as another device's entries
//! are: beneath the notebook, while it is closed.

use std::{path::Path, time::Duration};

use swardbook_journal::{Document, DocumentKind, Record as _, Stamp, Value, records::Measurement};
use swardbook_store::{Access, ActorBytes, Batch, Change, DocumentName, Randomness, Store};

/// Rewrites fields of every standing measurement of every zone; `None` takes a field away.
pub(crate) fn rewrite_measurements(folder: &Path, fields: &[(&str, Option<Value>)]) {
    let actor = [9; 16];
    let randomness = Randomness { nonce: [8; 16], actor };
    let access = Access::Write { patience: Duration::from_secs(2) };
    let mut store = Store::open(folder, access, randomness).unwrap().store;
    let zones: Vec<DocumentName> = store
        .documents()
        .unwrap()
        .into_iter()
        .map(|head| head.name)
        .filter(|name| name.kind == 2)
        .collect();
    for name in zones {
        let stored = store.read_document(name).unwrap().unwrap();
        let tail = stored.tail.iter().map(Vec::as_slice);
        let snapshot = stored.snapshot.as_deref();
        let mut document = Document::load(DocumentKind::Zone, &actor, snapshot, tail).unwrap();
        for entry in document.entries_of(Measurement::KIND) {
            for (field, value) in fields {
                document.set(&entry.key, field, value.clone()).unwrap();
            }
        }
        let stamp = Stamp {
            device: "old phone".to_owned(),
            person: String::new(),
            action: "measured".to_owned(),
            at: 1,
        };
        let Some(change) = document.commit(&stamp) else { continue };
        let actor = ActorBytes::new(&change.actor).unwrap();
        let mut batch = Batch::new();
        let change = Change { actor, sequence: change.sequence, bytes: change.bytes };
        batch.change(name, vec![change], document.heads().concat());
        store.commit(&batch).unwrap();
    }
    store.close().unwrap();
}
