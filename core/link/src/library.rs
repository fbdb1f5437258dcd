//! The open notebook as an exchange sees it: documents are loaded, compared and committed here.

use std::{
    collections::{BTreeMap, HashMap, btree_map, hash_map::Entry},
    sync::Arc,
};

use swardbook_journal::{
    Document, DocumentKind,
    sync::{
        Digest, DocumentId, Held, Holding, Holdings, Incoming, Memory, Nonce, Outcomes, Unsent,
        decode_held, encode_held, pieces_of_tail,
    },
};
use swardbook_store::{Batch, DocumentName, Span, Store, StoreSequence};

use crate::{
    LinkError, PeerId, StoreHolder,
    tables::{AGREED, KEPT_THERE, RULES, THERE, document_id, document_name, kept_there_key},
    taking::{self, Done, Open, Source, Work},
};

/// Documents are kept open as long as they are not more bytes than these on the disk; in memory they
/// are some seventy times as much.
const OPEN: usize = 1 << 20;

/// What was applied in memory and is to be written.
#[derive(Debug)]
pub(crate) struct Applied {
    batch: Batch,
    outcomes: Outcomes,
}

/// The open notebook as one exchange sees it.
#[derive(Debug)]
pub(crate) struct Library<S> {
    holder: Arc<S>,
    open: HashMap<DocumentName, Open>,
    /// The commit that `open` belongs to.
    as_of: StoreSequence,
}

impl<S: StoreHolder> Library<S> {
    pub(crate) fn new(holder: Arc<S>) -> Self {
        Self { holder, open: HashMap::new(), as_of: StoreSequence(0) }
    }

    pub(crate) fn holder(&self) -> &Arc<S> {
        &self.holder
    }

    /// Takes a batch: all of it is on the disk when this returns, or nothing.
    pub(crate) fn commit(&mut self, documents: Vec<Incoming>) -> Result<Outcomes, LinkError> {
        let holder = Arc::clone(&self.holder);
        let outcomes = holder.with_store(|store| {
            let applied = self.apply(store, documents)?;
            self.keep(store, applied)
        })?;
        let arrived: Vec<DocumentName> = outcomes
            .iter()
            .filter(|(_, outcome)| outcome.as_ref().is_ok_and(|taken| !taken.given.is_empty()))
            .map(|(id, _)| document_name(*id))
            .collect();
        if !arrived.is_empty() {
            holder.documents_arrived(&arrived);
        }
        Ok(outcomes)
    }

    /// Applies what arrived to the documents in memory.
    ///
    /// What is in memory is ahead of the disk until [`Self::keep`], so the store is not given back
    /// between the two.
    pub(crate) fn apply(
        &mut self,
        store: &Store,
        documents: Vec<Incoming>,
    ) -> Result<Applied, LinkError> {
        self.refresh(store)?;
        // A document may come in several pieces.
        let mut arrived: Vec<(DocumentId, Vec<Vec<u8>>)> = Vec::new();
        let mut places: HashMap<DocumentId, usize> = HashMap::new();
        for Incoming { id, changes } in documents {
            let place = *places.entry(id).or_insert_with(|| {
                arrived.push((id, Vec::new()));
                arrived.len() - 1
            });
            arrived[place].1.push(changes);
        }
        let mut applied = Applied { batch: Batch::new(), outcomes: Vec::new() };
        let (mut works, mut size) = (Vec::new(), 0);
        for (id, runs) in arrived {
            let work = self.work(store, id, runs)?;
            size += work.source.size();
            works.push(work);
            if size > OPEN {
                self.grow(std::mem::take(&mut works), &mut applied)?;
                size = 0;
            }
        }
        self.grow(works, &mut applied)?;
        Ok(applied)
    }

    /// Reads what a document needs to take what arrived for it.
    fn work(
        &mut self,
        store: &Store,
        id: DocumentId,
        runs: Vec<Vec<u8>>,
    ) -> Result<Work, LinkError> {
        let name = document_name(id);
        let kind = DocumentKind::from_number(name.kind).ok_or(LinkError::UnknownKind)?;
        let source = match self.open.remove(&name) {
            Some(open) => Source::Open(Box::new(open)),
            None => store.read_document(name)?.map_or(Source::Nothing, Source::Stored),
        };
        let needs_snapshot = store.needs_snapshot(name)?;
        Ok(Work { id, kind, actor: store.actor()?, source, runs, needs_snapshot })
    }

    fn grow(&mut self, works: Vec<Work>, applied: &mut Applied) -> Result<(), LinkError> {
        for Done { id, outcome } in taking::take_all(works)? {
            let outcome = outcome.map(|mut grown| {
                let name = document_name(id);
                grown.write_to(&mut applied.batch, name);
                self.open.insert(name, grown.open);
                grown.taken
            });
            applied.outcomes.push((id, outcome));
        }
        // What was given back is in the state of the batch; the rest is read again when needed.
        self.let_go();
        Ok(())
    }

    /// Keeps no more documents in memory than fit.
    fn let_go(&mut self) {
        if self.open.values().map(|open| open.size).sum::<usize>() > OPEN {
            self.open.clear();
        }
    }

    /// Makes what was applied safe on the disk.
    pub(crate) fn keep(
        &mut self,
        store: &mut Store,
        applied: Applied,
    ) -> Result<Outcomes, LinkError> {
        let Applied { batch, outcomes } = applied;
        if !batch.is_empty() {
            match store.commit(&batch) {
                Ok(sequence) => self.as_of = sequence,
                Err(error) => {
                    // In memory there is more than on the disk now.
                    self.open.clear();
                    return Err(error.into());
                }
            }
        }
        for (id, _) in outcomes.iter().filter(|(_, outcome)| outcome.is_ok()) {
            if let Some(open) = self.open.get_mut(&document_name(*id)) {
                open.is_new = false;
            }
        }
        Ok(outcomes)
    }

    /// Lets go of what someone else has written meanwhile, and of what is too much.
    fn refresh(&mut self, store: &Store) -> Result<(), LinkError> {
        let now = store.sequence()?;
        self.let_go();
        if now != self.as_of && !self.open.is_empty() {
            for (_, name) in store.changed_after(self.as_of)? {
                self.open.remove(&name);
            }
        }
        self.as_of = now;
        Ok(())
    }

    /// Opens a document, or begins one.
    fn load(&mut self, store: &Store, name: DocumentName) -> Result<&mut Open, LinkError> {
        match self.open.entry(name) {
            Entry::Occupied(open) => Ok(open.into_mut()),
            Entry::Vacant(place) => {
                let kind = DocumentKind::from_number(name.kind).ok_or(LinkError::UnknownKind)?;
                let actor = store.actor()?;
                let open = match store.read_document(name)? {
                    None => Open { document: Document::new(kind, &actor), is_new: true, size: 0 },
                    Some(stored) => taking::open(kind, &actor, &stored)?,
                };
                Ok(place.insert(open))
            }
        }
    }

    /// Works on a document that is on the disk; none when it is not.
    pub(crate) fn with_document<T>(
        &mut self,
        id: DocumentId,
        work: impl FnOnce(&mut Document) -> T,
    ) -> Result<Option<T>, LinkError> {
        let holder = Arc::clone(&self.holder);
        holder.with_store(|store| {
            self.refresh(store)?;
            let open = self.load(store, document_name(id))?;
            Ok((!open.is_new).then(|| work(&mut open.document)))
        })
    }

    /// What tells this store from an earlier one of this device.
    pub(crate) fn nonce(&self) -> Result<Nonce, LinkError> {
        let nonce = self.holder.with_store(|store| store.nonce())?;
        Ok(*nonce.first_chunk().expect("a nonce has more bytes than are said"))
    }

    /// What is remembered of a device.
    pub(crate) fn memory(&self, peer: PeerId) -> Result<Memory, LinkError> {
        let memory = self.holder.with_store(|store| memory(store, peer))?;
        // Of a device that was never met there is nothing to begin from.
        Ok(if memory.nonce == Nonce::default() { Memory::default() } else { memory })
    }

    /// Remembers what a device keeps and, where both are equal now, that they are.
    pub(crate) fn remember(
        &self,
        peer: PeerId,
        nonce: Nonce,
        kept: &[(DocumentId, Held)],
        are_equal: bool,
    ) -> Result<(), LinkError> {
        self.holder.with_store(|store| {
            let mut batch = Batch::new();
            let known = store.get_local(AGREED, &peer.0)?.filter(|row| row.starts_with(&nonce));
            let mut agreed = known.as_deref().and_then(|row| row.last_chunk::<8>().copied());
            if known.is_none() {
                for row in store.range_local(KEPT_THERE, &Span::beginning(&peer.0))? {
                    batch.delete_local(KEPT_THERE, &row.key);
                }
            }
            if are_equal {
                agreed = Some(store.sequence()?.0.to_le_bytes());
            }
            let row = [nonce.as_slice(), &agreed.unwrap_or_default()].concat();
            if known.as_ref() != Some(&row) {
                batch.put_local(AGREED, &peer.0, row);
            }
            let mut now: BTreeMap<DocumentId, Held> = BTreeMap::new();
            for (id, held) in kept {
                if let btree_map::Entry::Vacant(place) = now.entry(*id) {
                    let row = match &known {
                        Some(_) => store.get_local(KEPT_THERE, &kept_there_key(peer, *id))?,
                        None => None,
                    };
                    place.insert(row.and_then(|row| decode_held(&row).ok()).unwrap_or_default());
                }
                // A device never holds less than it held, under one nonce.
                let all = now.entry(*id).or_default();
                for (actor, last) in held {
                    let entry = all.entry(actor.clone()).or_insert(*last);
                    if last.0 > entry.0 {
                        *entry = *last;
                    }
                }
            }
            for (id, held) in now {
                batch.put_local(KEPT_THERE, &kept_there_key(peer, id), encode_held(&held));
            }
            if !batch.is_empty() {
                store.commit(&batch)?;
            }
            Ok(())
        })
    }

    /// Forgets a device that was removed.
    pub(crate) fn forget(&self, peer: PeerId) -> Result<(), LinkError> {
        self.holder.with_store(|store| {
            let mut batch = Batch::new();
            for row in store.range_local(KEPT_THERE, &Span::beginning(&peer.0))? {
                batch.delete_local(KEPT_THERE, &row.key);
            }
            for row in store.range_local(THERE, &Span::beginning(&peer.0))? {
                batch.delete_local(THERE, &row.key);
            }
            batch.delete_local(RULES, &peer.0);
            batch.delete_local(AGREED, &peer.0);
            store.commit(&batch)?;
            Ok(())
        })
    }
}

/// What is remembered of a device.
pub(crate) fn memory(store: &Store, peer: PeerId) -> Result<Memory, LinkError> {
    let row = store.get_local(AGREED, &peer.0)?;
    let (nonce, agreed) = row
        .as_deref()
        .and_then(|row| Some((*row.first_chunk::<8>()?, *row.last_chunk::<8>()?)))
        .unwrap_or_default();
    let agreed = StoreSequence(u64::from_le_bytes(agreed));
    let mut memory = Memory { nonce, ..Memory::default() };
    for row in store.range_local(KEPT_THERE, &Span::beginning(&peer.0))? {
        let name = row.key.get(32..).and_then(read_document_key);
        if let (Some(name), Ok(held)) = (name, decode_held(&row.value)) {
            memory.held.insert(document_id(name), held);
        }
    }
    let changed = store.changed_after(agreed)?;
    memory.changed = changed.into_iter().map(|(_, name)| document_id(name)).collect();
    Ok(memory)
}

fn read_document_key(key: &[u8]) -> Option<DocumentName> {
    DocumentName::from_bytes(key)
}

impl<S: StoreHolder> Holdings for Library<S> {
    type Error = LinkError;

    fn list(&mut self) -> Result<Vec<Holding>, LinkError> {
        let heads = self.holder.with_store(|store| store.documents())?;
        Ok(heads
            .into_iter()
            .map(|head| Holding {
                id: document_id(head.name),
                digest: Digest::of_heads(&head.heads),
            })
            .collect())
    }

    fn held(&mut self, id: DocumentId) -> Result<Option<(Held, Digest)>, LinkError> {
        self.with_document(id, Document::held)
    }

    fn unsent(&mut self, id: DocumentId, theirs: &Held) -> Result<Option<Unsent>, LinkError> {
        let name = document_name(id);
        let told = self.holder.with_store(|store| {
            let stored = store.read_document(name)?;
            Ok::<_, LinkError>(stored.and_then(|stored| {
                let pieces = pieces_of_tail(&stored.heads, &stored.tail, theirs)?;
                Some(Unsent { digest: Digest::of_heads(&stored.heads), pieces })
            }))
        })?;
        if told.is_some() {
            return Ok(told);
        }
        self.with_document(id, |document| {
            let digest = document.held().1;
            Unsent { digest, pieces: document.pieces_for(theirs) }
        })
    }

    fn is_forked(&mut self, id: DocumentId, theirs: &Held) -> Result<bool, LinkError> {
        let forked = self.with_document(id, |document| document.is_forked(theirs))?;
        Ok(forked.unwrap_or_default())
    }
}
