//! The notebook's documents: what they are called, and opening them when they are needed.

use std::collections::{BTreeMap, BTreeSet};

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

/// Documents kept in memory; beyond it the one not used for longest is let go.
const MOST_OPEN: usize = 16;

/// The documents in memory.
#[derive(Default)]
pub(super) struct OpenDocuments {
    documents: BTreeMap<DocumentName, Opened>,
    /// Counts uses, to tell which document was used last.
    uses: u64,
    /// Documents on which an action writes. What it wrote is nowhere else until it is kept, so
    /// they stay, however many they are.
    held: BTreeSet<DocumentName>,
}

struct Opened {
    document: Document,
    last_use: u64,
}

impl OpenDocuments {
    fn get(&mut self, name: DocumentName) -> Option<&mut Document> {
        self.uses += 1;
        let opened = self.documents.get_mut(&name)?;
        opened.last_use = self.uses;
        Some(&mut opened.document)
    }

    fn insert(&mut self, name: DocumentName, document: Document) {
        while self.documents.len() >= MOST_OPEN + self.held.len() {
            let free = self.documents.iter().filter(|(name, _)| !self.held.contains(name));
            let Some((&oldest, _)) = free.min_by_key(|(_, opened)| opened.last_use) else { break };
            self.documents.remove(&oldest);
        }
        self.documents.insert(name, Opened { document, last_use: self.uses });
    }

    /// Keeps a document in memory until it is let go.
    pub(super) fn hold(&mut self, name: DocumentName) {
        self.held.insert(name);
    }

    /// Lets the held documents go with the others, when there are too many.
    pub(super) fn release(&mut self) {
        self.held.clear();
    }

    /// Forgets what is in memory of a document; it is read again when it is needed.
    pub(super) fn forget(&mut self, name: DocumentName) {
        self.documents.remove(&name);
    }

    /// Forgets every document.
    pub(super) fn forget_all(&mut self) {
        self.documents.clear();
    }
}

impl Notebook {
    /// Opens a document, or begins it.
    ///
    /// # Errors
    /// [`Problem`] when its bytes are damaged.
    pub(crate) fn document(&mut self, name: DocumentName) -> Result<&mut Document, Problem> {
        if self.open.get(name).is_none() {
            let document = self.load(name)?;
            self.open.insert(name, document);
        }
        Ok(self.open.get(name).expect("opened just now or before"))
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
