//! One Automerge document: loading, reading and writing entries, committing.

use std::collections::HashMap;

use automerge::{
    ActorId, AutoCommit, ChangeHash, ObjId, ROOT, ReadDoc, hydrate,
    iter::MapRangeItem,
    transaction::{CommitOptions, Transactable},
};

use crate::{
    CausalOrder, DocumentKind, Entry, Fields, Record, SCHEMA, Stamp, Value,
    entry::{KIND, VOIDED, VOIDED_WHY},
    genesis::{ENTRIES, KIND_KEY, SCHEMA_KEY, founding_changes, new_document, schema_of},
};

/// Why stored bytes are no document of ours.
#[derive(Debug, thiserror::Error)]
pub enum LoadError {
    /// The bytes are damaged or not a document.
    #[error("the stored document is damaged: {0}")]
    Damaged(#[from] automerge::AutomergeError),
    /// A document of another kind or of another program.
    #[error("the stored document is not a {expected} document")]
    Kind {
        /// The kind that was asked for.
        expected: &'static str,
    },
    /// One actor wrote twice: the notebook was restored from a backup or copied.
    #[error("two copies of this notebook wrote under one name; this device must take a new one")]
    Forked,
}

/// Why something could not be written.
#[derive(Debug, thiserror::Error)]
pub enum WriteError {
    /// A newer version of the program has written here.
    #[error(
        "a newer Swardbook (document version {found}) has written here; update this device to write"
    )]
    NewerSchema {
        /// The document's schema.
        found: i64,
    },
    /// No entry of that name.
    #[error("there is no record {key} here")]
    NoEntry {
        /// The name asked for.
        key: String,
    },
    /// A number that is not a number.
    #[error("{field} is not a finite number")]
    NotFinite {
        /// The field.
        field: String,
    },
    /// The document refused the operation.
    #[error("the document could not take the change: {0}")]
    Document(#[from] automerge::AutomergeError),
}

/// One committed change as it is stored and sent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Committed {
    /// The actor that wrote it.
    pub actor: Vec<u8>,
    /// Its number in that actor's unbroken chain, from 1.
    pub sequence: u64,
    /// Its hash.
    pub hash: [u8; 32],
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// One open document.
#[derive(Debug)]
pub struct Document {
    pub(crate) doc: AutoCommit,
    pub(crate) entries: ObjId,
    kind: DocumentKind,
}

impl Document {
    /// A new document, empty but for what every document of its kind begins with.
    #[must_use]
    pub fn new(kind: DocumentKind, actor: &[u8]) -> Self {
        let mut doc = new_document(kind);
        doc.set_actor(ActorId::from(actor));
        Self::wrap(doc, kind).expect("a new document carries its own kind")
    }

    /// Loads a document from its snapshot and the changes after it, in any order, and brings it to [`SCHEMA`].
    ///
    /// # Errors
    /// [`LoadError`] when the bytes are damaged or of another kind.
    pub fn load<'a>(
        kind: DocumentKind,
        actor: &[u8],
        snapshot: Option<&[u8]>,
        tail: impl IntoIterator<Item = &'a [u8]>,
    ) -> Result<Self, LoadError> {
        let mut bytes = snapshot.map(<[u8]>::to_vec).unwrap_or_default();
        // Migrations are part of every load and so need not be stored: an old snapshot gets them
        // here, one that has them ignores the repetition.
        bytes.extend_from_slice(&founding_changes(kind).bytes);
        // Loading one run of chunks is many times faster than applying them one by one.
        for change in tail {
            bytes.extend_from_slice(change);
        }
        let mut doc = AutoCommit::load(&bytes).map_err(load_error)?;
        doc.set_actor(ActorId::from(actor));
        Self::wrap(doc, kind)
    }

    fn wrap(doc: AutoCommit, kind: DocumentKind) -> Result<Self, LoadError> {
        let wrong = LoadError::Kind { expected: kind.word() };
        let stored = doc.get(ROOT, KIND_KEY)?.and_then(|(v, _)| v.into_string().ok());
        if stored.as_deref() != Some(kind.word()) {
            return Err(wrong);
        }
        let Some((_, entries)) = doc.get(ROOT, ENTRIES)? else { return Err(wrong) };
        Ok(Self { doc, entries, kind })
    }

    /// The document's kind.
    #[must_use]
    pub const fn kind(&self) -> DocumentKind {
        self.kind
    }

    /// The highest schema that wrote here.
    #[must_use]
    pub fn schema(&self) -> i64 {
        schema_of(&self.doc)
    }

    /// The whole document as one run of bytes.
    pub fn save(&mut self) -> Vec<u8> {
        self.doc.save()
    }

    /// Heads of the history, sorted: equal heads mean equal documents.
    pub fn heads(&mut self) -> Vec<[u8; 32]> {
        let mut heads: Vec<[u8; 32]> = self.doc.get_heads().into_iter().map(|h| h.0).collect();
        heads.sort_unstable();
        heads
    }

    /// One entry, hidden ones included.
    #[must_use]
    pub fn entry(&self, key: &str) -> Option<Entry> {
        let (_, id) = self.doc.get(&self.entries, key).ok()??;
        Some(self.read_entry(key, &id))
    }

    /// Every entry, hidden ones included, in the order of their keys.
    #[must_use]
    pub fn entries(&self) -> Vec<Entry> {
        self.doc
            .map_range(&self.entries, ..)
            .map(|item| self.read_entry(&item.key, &item.id()))
            .collect()
    }

    /// The entries of one kind, hidden ones included, in the order of their keys; the others are
    /// not read but for their kind.
    #[must_use]
    pub fn entries_of(&self, kind: &str) -> Vec<Entry> {
        let is_of = |id: &ObjId| {
            let stored = self.doc.get(id, KIND).ok().flatten();
            stored.is_some_and(|(word, _)| word.as_str() == Some(kind))
        };
        self.doc
            .map_range(&self.entries, ..)
            .filter(|item| is_of(&item.id()))
            .map(|item| self.read_entry(&item.key, &item.id()))
            .collect()
    }

    fn read_entry(&self, key: &str, id: &ObjId) -> Entry {
        let mut fields = Fields::new();
        let mut kind = String::new();
        let mut conflicting = Vec::new();
        for item in self.doc.map_range(id, ..) {
            let value = scalar(&item);
            if item.conflict {
                conflicting.push(item.key.to_string());
            }
            match value {
                Value::Text(word) if item.key == KIND => kind = word,
                value => {
                    fields.insert(item.key.to_string(), value);
                }
            }
        }
        Entry { key: key.to_owned(), kind, fields, order: causal_order(id), conflicting }
    }

    /// Who made the entry.
    #[must_use]
    pub fn made(&mut self, key: &str) -> Option<Stamp> {
        let (_, id) = self.doc.get(&self.entries, key).ok()??;
        let hash = self.doc.hash_for_opid(&id)?;
        self.stamp_of(&hash)
    }

    pub(crate) fn stamp_of(&mut self, hash: &ChangeHash) -> Option<Stamp> {
        let meta = self.doc.get_change_meta_by_hash(hash)?;
        Some(stamp(meta.message.as_deref(), meta.timestamp))
    }

    /// Writes a record: makes the entry, or changes only the keys that differ.
    /// Says whether anything differed.
    ///
    /// # Errors
    /// [`WriteError`]; nothing is written then.
    pub fn put<R: Record>(&mut self, key: &str, record: &R) -> Result<bool, WriteError> {
        let wanted = record.to_fields();
        let known = match self.entry(key) {
            Some(entry) => R::from_fields(&entry.fields).to_fields(),
            None => Fields::new(),
        };
        let removed = known.into_keys().filter(|k| !wanted.contains_key(k)).collect();
        self.write_fields(key, R::KIND, wanted, removed)
    }

    /// Writes one field, or removes it.
    ///
    /// # Errors
    /// [`WriteError`]; nothing is written then.
    pub fn set(
        &mut self,
        key: &str,
        field: &str,
        value: Option<Value>,
    ) -> Result<bool, WriteError> {
        let entry = self.entry(key).ok_or_else(|| WriteError::NoEntry { key: key.to_owned() })?;
        let (wanted, removed) = match value {
            Some(value) => (Fields::from([(field.to_owned(), value)]), Vec::new()),
            None => (Fields::new(), vec![field.to_owned()]),
        };
        self.write_fields(key, &entry.kind, wanted, removed)
    }

    /// Hides an entry on every device; it stays in the file's history and can be brought back.
    ///
    /// # Errors
    /// [`WriteError`]
    pub fn void(&mut self, key: &str, why: &str, at: i64) -> Result<bool, WriteError> {
        let entry = self.entry(key).ok_or_else(|| WriteError::NoEntry { key: key.to_owned() })?;
        let mark = Fields::from([
            (VOIDED.to_owned(), Value::Integer(at)),
            (VOIDED_WHY.to_owned(), Value::Text(why.to_owned())),
        ]);
        self.write_fields(key, &entry.kind, mark, Vec::new())
    }

    /// Brings a hidden entry back.
    ///
    /// # Errors
    /// [`WriteError`]
    pub fn restore(&mut self, key: &str) -> Result<bool, WriteError> {
        let entry = self.entry(key).ok_or_else(|| WriteError::NoEntry { key: key.to_owned() })?;
        let mark = vec![VOIDED.to_owned(), VOIDED_WHY.to_owned()];
        self.write_fields(key, &entry.kind, Fields::new(), mark)
    }

    /// Writes some fields of an entry and removes others; the entry is made when there is none.
    /// Says whether anything differed.
    ///
    /// # Errors
    /// [`WriteError`]; nothing is written then.
    pub fn write_fields(
        &mut self,
        key: &str,
        kind: &str,
        wanted: Fields,
        removed: Vec<String>,
    ) -> Result<bool, WriteError> {
        let schema = self.schema();
        if schema > SCHEMA {
            return Err(WriteError::NewerSchema { found: schema });
        }
        if let Some((field, _)) =
            wanted.iter().find(|(_, v)| matches!(v, Value::Number(n) if !n.is_finite()))
        {
            return Err(WriteError::NotFinite { field: field.clone() });
        }
        if schema < SCHEMA {
            self.doc.put(ROOT, SCHEMA_KEY, SCHEMA)?;
        }
        let Some((_, id)) = self.doc.get(&self.entries, key)? else {
            self.make(key, kind, &wanted)?;
            return Ok(true);
        };
        let stored = self.read_entry(key, &id).fields;
        let mut changed = false;
        for (field, value) in wanted {
            if stored.get(&field) != Some(&value)
                && let Some(scalar) = value.to_automerge()
            {
                self.doc.put(&id, field, scalar)?;
                changed = true;
            }
        }
        for field in removed {
            if stored.contains_key(&field) {
                self.doc.delete(&id, field)?;
                changed = true;
            }
        }
        Ok(changed)
    }

    /// Makes an entry in one go, which costs a fraction of putting its fields one by one.
    fn make(&mut self, key: &str, kind: &str, wanted: &Fields) -> Result<(), WriteError> {
        let mut fields: HashMap<&str, hydrate::Value> = wanted
            .iter()
            .filter_map(|(field, value)| {
                Some((field.as_str(), hydrate::Value::Scalar(value.to_automerge()?)))
            })
            .collect();
        fields.insert(KIND, hydrate::Value::Scalar(kind.into()));
        let entry = hydrate::Value::Map(hydrate::Map::from(fields));
        self.doc.batch_create_object(&self.entries, key, &entry, false)?;
        Ok(())
    }

    /// Ends the change; `None` when nothing was written since the last.
    pub fn commit(&mut self, note: &Stamp) -> Option<Committed> {
        let options = CommitOptions::default().with_message(message(note)).with_time(note.at);
        let hash = self.doc.commit_with(options)?;
        let change = self.doc.get_change_by_hash(&hash)?;
        Some(Committed {
            actor: change.actor_id().to_bytes().to_vec(),
            sequence: change.seq(),
            hash: hash.0,
            bytes: change.raw_bytes().to_vec(),
        })
    }

    /// Throws away what was written since the last commit.
    pub fn rollback(&mut self) {
        self.doc.rollback();
    }
}

pub(crate) fn scalar(item: &MapRangeItem<'_>) -> Value {
    match &item.value {
        automerge::ValueRef::Scalar(scalar) => Value::from_automerge(&scalar.to_owned().into()),
        automerge::ValueRef::Object(kind) => Value::Foreign(kind.to_string()),
    }
}

pub(crate) fn causal_order(id: &ObjId) -> CausalOrder {
    match id {
        ObjId::Root => CausalOrder { counter: 0, actor: Vec::new() },
        ObjId::Id(counter, actor, _) => {
            CausalOrder { counter: *counter, actor: actor.to_bytes().to_vec() }
        }
    }
}

pub(crate) fn load_error(error: automerge::AutomergeError) -> LoadError {
    match error {
        automerge::AutomergeError::DuplicateSeqNumber(..)
        | automerge::AutomergeError::DuplicateActorId(..) => LoadError::Forked,
        other => LoadError::Damaged(other),
    }
}

/// Unit separator: cannot be typed into a name.
const SEPARATOR: char = '\u{1f}';

fn message(note: &Stamp) -> String {
    let clean = |s: &str| s.replace(SEPARATOR, " ");
    [clean(&note.device), clean(&note.person), clean(&note.action)].join("\u{1f}")
}

pub(crate) fn stamp(message: Option<&str>, at: i64) -> Stamp {
    let mut parts = message.unwrap_or_default().splitn(3, SEPARATOR).map(str::to_owned);
    let mut next = || parts.next().unwrap_or_default();
    Stamp { device: next(), person: next(), action: next(), at }
}
