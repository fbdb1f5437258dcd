//! A device of the simulation: a disk that outlives it, and what is lost when it stops.

use std::{collections::BTreeMap, convert::Infallible};

use swardbook_journal::{
    ClockError, Document, DocumentKind, LoadError, Stamp, Value, records,
    sync::{
        Digest, DocumentId, Held, Hello, Holding, Holdings, Incoming, Memory, Nonce, Outcomes,
        Refusal, TakeError, Taken, Unsent, VERSION, held_by, pieces_of_tail,
    },
};
use swardbook_units::Id;

/// One document on the disk.
#[derive(Debug, Clone, Default)]
pub(crate) struct Stored {
    pub(crate) chunks: Vec<Vec<u8>>,
    pub(crate) held: Held,
    pub(crate) heads: Vec<u8>,
    pub(crate) digest: Option<Digest>,
    /// The commit that last changed it.
    pub(crate) changed: u64,
}

/// What is remembered of another device.
#[derive(Debug, Clone, Default)]
pub(crate) struct Remembered {
    pub(crate) nonce: Nonce,
    pub(crate) held: BTreeMap<DocumentId, Held>,
    /// The commit up to which both were equal.
    pub(crate) agreed: u64,
}

/// What is safe.
#[derive(Debug, Clone)]
pub(crate) struct Disk {
    pub(crate) nonce: Nonce,
    pub(crate) actor: [u8; 16],
    pub(crate) documents: BTreeMap<DocumentId, Stored>,
    pub(crate) peers: BTreeMap<usize, Remembered>,
    pub(crate) sequence: u64,
}

/// A device.
#[derive(Debug)]
pub(crate) struct Device {
    pub(crate) disk: Disk,
    /// Documents in memory.
    open: BTreeMap<DocumentId, Document>,
    /// Days its clock is off.
    pub(crate) clock_error: i64,
}

pub(crate) const NOTEBOOK: DocumentId = DocumentId { kind: 0, id: Id::from_random([0; 10]) };

pub(crate) fn kind_of(id: DocumentId) -> DocumentKind {
    match id.kind {
        0 => DocumentKind::Notebook,
        1 => DocumentKind::Property,
        _ => DocumentKind::Zone,
    }
}

/// One change that a device said is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Kept {
    pub(crate) document: DocumentId,
    pub(crate) actor: Vec<u8>,
    pub(crate) sequence: u64,
    pub(crate) key: String,
}

impl Device {
    pub(crate) fn new(actor: [u8; 16], nonce: Nonce) -> Self {
        let disk =
            Disk { nonce, actor, documents: BTreeMap::new(), peers: BTreeMap::new(), sequence: 0 };
        Self::of(disk)
    }

    /// A device that starts from this disk.
    pub(crate) fn of(disk: Disk) -> Self {
        Self { disk, open: BTreeMap::new(), clock_error: 0 }
    }

    /// Everything that is not on the disk is gone.
    pub(crate) fn restart(&mut self) {
        self.open.clear();
    }

    pub(crate) fn document(&mut self, id: DocumentId) -> &mut Document {
        let disk = &self.disk;
        self.open.entry(id).or_insert_with(|| match disk.documents.get(&id) {
            None => Document::new(kind_of(id), &disk.actor),
            Some(stored) => {
                let chunks = stored.chunks.iter().map(Vec::as_slice);
                Document::load(kind_of(id), &disk.actor, None, chunks).unwrap()
            }
        })
    }

    /// One entry is written; `safe` decides whether the disk got it before the power went.
    pub(crate) fn write(
        &mut self,
        id: DocumentId,
        key: &str,
        value: i64,
        safe: bool,
    ) -> Option<Kept> {
        let at = 1_790_000_000 + self.clock_error * 86_400;
        let document = self.document(id);
        let before = document.clock();
        if document.entry(key).is_none() {
            document.put(key, &records::Observation::default()).unwrap();
        }
        document.set(key, "value", Some(Value::Integer(value))).unwrap();
        let note = Stamp { device: "d".into(), person: "T".into(), action: "write".into(), at };
        let committed = document.commit(&note)?;
        if !safe {
            self.restart();
            return None;
        }
        self.store(id, &before);
        Some(Kept {
            document: id,
            actor: committed.actor,
            sequence: committed.sequence,
            key: key.to_owned(),
        })
    }

    /// One entry as a person makes it: a rating, something put on, or a note.
    pub(crate) fn make_entry(&mut self, id: DocumentId, number: u32) {
        let document = self.document(id);
        let before = document.clock();
        let key =
            Id::from_random(*blake3::hash(&number.to_le_bytes()).as_bytes().first_chunk().unwrap());
        let (key, day) =
            (key.to_string(), format!("2026-{:02}-{:02}", 3 + number % 7, 1 + number % 28));
        let amount = f64::from(number * 37 % 90) / 10.0;
        match number % 3 {
            0 => document.put(
                &key,
                &records::Application {
                    material: "sulfate-of-potash".into(),
                    amount_kg: Some(amount),
                    date: day.parse().ok(),
                    how: "spreader".into(),
                    ..Default::default()
                },
            ),
            1 => document.put(
                &key,
                &records::Observation {
                    sort: Some(records::ObservationKind::Rating),
                    date: day.parse().ok(),
                    what: "colour".into(),
                    value: Some(amount),
                    ..Default::default()
                },
            ),
            _ => document.put(
                &key,
                &records::Observation {
                    sort: Some(records::ObservationKind::Note),
                    date: day.parse().ok(),
                    note: format!("dry by gate {}, mown short", number % 20),
                    ..Default::default()
                },
            ),
        }
        .unwrap();
        let note = Stamp {
            device: "a1b2c3d4".into(),
            person: "Tamsin Okoro".into(),
            action: "added an entry".into(),
            at: 1_790_000_000 + i64::from(number) * 3_607,
        };
        document.commit(&note).unwrap();
        self.store(id, &before);
    }

    /// Takes a batch, all of it or nothing.
    pub(crate) fn commit(&mut self, documents: Vec<Incoming>) -> Outcomes {
        let mut outcomes = Vec::new();
        for incoming in documents {
            let document = self.document(incoming.id);
            let before = document.clock();
            let outcome = match document.take_in(&incoming.changes) {
                Ok(new) => {
                    let given = held_by(&new);
                    assert_eq!(
                        given,
                        held_by(&document.changes_beyond(&before)),
                        "all that is new"
                    );
                    self.store(incoming.id, &before);
                    let (held, digest) = self.document(incoming.id).held();
                    Ok(Taken { held, digest, given })
                }
                Err(TakeError::Unclear) => Err(Refusal::Unclear),
                Err(TakeError::Refused(ClockError::Load(LoadError::Forked))) => {
                    Err(Refusal::Forked)
                }
                Err(_) => Err(Refusal::Damaged),
            };
            outcomes.push((incoming.id, outcome));
        }
        outcomes
    }

    fn store(&mut self, id: DocumentId, before: &swardbook_journal::Clock) {
        let is_new = !self.disk.documents.contains_key(&id);
        let document = self.document(id);
        let chunks: Vec<Vec<u8>> = if is_new {
            vec![document.save()]
        } else {
            document.changes_beyond(before).into_iter().map(|change| change.bytes).collect()
        };
        let (held, digest) = document.held();
        let heads = document.heads().concat();
        self.disk.sequence += 1;
        let stored = self.disk.documents.entry(id).or_default();
        stored.chunks.extend(chunks);
        stored.held = held;
        stored.heads = heads;
        stored.digest = Some(digest);
        stored.changed = self.disk.sequence;
    }

    pub(crate) fn hello(&self) -> Hello {
        Hello {
            oldest: VERSION,
            newest: VERSION,
            kinds: [0, 1, 2].into(),
            schema: 2,
            nonce: self.disk.nonce,
            remembers: [0; 4],
            program: "simulated".into(),
        }
    }

    pub(crate) fn memory(&self, peer: usize) -> Memory {
        let Some(known) = self.disk.peers.get(&peer) else { return Memory::default() };
        let changed = self
            .disk
            .documents
            .iter()
            .filter(|(_, stored)| stored.changed > known.agreed)
            .map(|(id, _)| *id)
            .collect();
        Memory { nonce: known.nonce, held: known.held.clone(), changed }
    }

    pub(crate) fn remember(
        &mut self,
        peer: usize,
        nonce: Nonce,
        documents: Vec<(DocumentId, Held)>,
    ) {
        let known = self.disk.peers.entry(peer).or_default();
        if known.nonce != nonce {
            *known = Remembered { nonce, ..Remembered::default() };
        }
        known.held.extend(documents);
    }

    pub(crate) fn agreed(&mut self, peer: usize) {
        let sequence = self.disk.sequence;
        self.disk.peers.entry(peer).or_default().agreed = sequence;
    }

    pub(crate) fn keeps(&self, kept: &Kept) -> bool {
        self.disk.documents.get(&kept.document).is_some_and(|stored| {
            stored.held.get(&kept.actor).is_some_and(|last| last.0 >= kept.sequence)
        })
    }
}

impl Holdings for Device {
    type Error = Infallible;

    fn list(&mut self) -> Result<Vec<Holding>, Infallible> {
        let held = self.disk.documents.iter();
        Ok(held.map(|(id, stored)| Holding { id: *id, digest: stored.digest.unwrap() }).collect())
    }

    fn held(&mut self, id: DocumentId) -> Result<Option<(Held, Digest)>, Infallible> {
        let here = self.disk.documents.contains_key(&id);
        Ok(here.then(|| self.document(id).held()))
    }

    fn unsent(&mut self, id: DocumentId, theirs: &Held) -> Result<Option<Unsent>, Infallible> {
        let Some(stored) = self.disk.documents.get(&id) else { return Ok(None) };
        let (digest, tail) = (stored.digest.unwrap(), stored.chunks.get(1..).unwrap_or_default());
        let told = pieces_of_tail(&stored.heads, tail, theirs);
        let pieces = told.unwrap_or_else(|| self.document(id).pieces_for(theirs));
        Ok(Some(Unsent { digest, pieces }))
    }

    fn is_forked(&mut self, id: DocumentId, theirs: &Held) -> Result<bool, Infallible> {
        Ok(self.disk.documents.contains_key(&id) && self.document(id).is_forked(theirs))
    }
}
