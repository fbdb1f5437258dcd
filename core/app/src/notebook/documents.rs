//! The notebook's documents: what they are called, and opening them when they are needed.

use swardbook_journal::{Document, DocumentKind};
use swardbook_store::DocumentName;
use swardbook_units::Id;

use super::Notebook;
use crate::Problem;

/// The one document about the notebook itself.
pub(crate) const NOTEBOOK: DocumentName = DocumentName { kind: 0, id: Id::from_random([0; 10]) };

/// A property's document.
pub(crate) const fn property_document(id: Id) -> DocumentName {
    DocumentName { kind: 1, id }
}

/// A zone's journal.
pub(crate) const fn zone_document(id: Id) -> DocumentName {
    DocumentName { kind: 2, id }
}

pub(super) const fn kind_of(name: DocumentName) -> DocumentKind {
    match name.kind {
        0 => DocumentKind::Notebook,
        1 => DocumentKind::Property,
        _ => DocumentKind::Zone,
    }
}

/// Documents kept open; beyond it the ones not in use are let go.
const MOST_OPEN: usize = 16;

impl Notebook {
    /// Opens a document, or begins it.
    ///
    /// # Errors
    /// [`Problem`] when its bytes are damaged.
    pub(crate) fn document(&mut self, name: DocumentName) -> Result<&mut Document, Problem> {
        if !self.open.contains_key(&name) {
            while self.open.len() >= MOST_OPEN {
                let unused = self.open.keys().find(|name| !self.unkept.contains(name)).copied();
                let Some(unused) = unused else { break };
                self.open.remove(&unused);
            }
            let document = self.load(name)?;
            self.open.insert(name, document);
        }
        Ok(self.open.get_mut(&name).expect("opened just now or before"))
    }

    pub(super) fn load(&self, name: DocumentName) -> Result<Document, Problem> {
        let kind = kind_of(name);
        let Some(stored) = self.store.read_document(name)? else {
            return Ok(Document::new(kind, &self.actor));
        };
        let tail = stored.tail.iter().map(Vec::as_slice);
        let mut document = Document::load(kind, &self.actor, stored.snapshot.as_deref(), tail)?;
        for loose in &stored.loose {
            // What survived damage without what it builds on cannot be applied; it stays in the
            // kept file and was named when the notebook was opened.
            let _cannot_be_applied = document.receive(loose);
        }
        Ok(document)
    }
}
