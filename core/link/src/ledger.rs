//! What this device holds that another one does not, and which files its entries refer to.

use std::collections::{BTreeSet, HashMap};

use swardbook_journal::{
    Document, DocumentKind,
    sync::{FileHash, FileSort, FileWish, Held, KeepRule, Memory, files_of},
};
use swardbook_store::{DocumentName, Span, Store, StoreError, StoreSequence};

use crate::{
    LinkError, PeerId, StoreHolder, devices, library,
    tables::{RULES, THERE, document_id},
};

/// What waits here for one other device.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Waiting {
    /// The device.
    pub peer: PeerId,
    /// Entries of which it has not confirmed to hold what is said here.
    pub entries: usize,
    /// Photos as they were taken that it keeps by its rule and has not confirmed to hold.
    pub photos: usize,
    /// Small pictures, likewise.
    pub previews: usize,
    /// Laboratories' papers, likewise.
    pub papers: usize,
    /// The bytes of these files, as far as entries say them.
    pub bytes: u64,
}

/// Counts what waits. What was counted once is counted again only where something changed.
#[derive(Debug, Default)]
pub struct Ledger {
    wishes: HashMap<DocumentName, (StoreSequence, Vec<FileWish>)>,
    entries: HashMap<(PeerId, DocumentName), (StoreSequence, Option<Held>, usize)>,
}

impl Ledger {
    /// What waits here for each device that is let in; `device` is this one's name in notes.
    ///
    /// The store is lent for one document at a time, and need not be open for writing.
    ///
    /// # Errors
    /// [`LinkError`] when the notebook cannot be read.
    pub fn waiting<S: StoreHolder>(
        &mut self,
        holder: &S,
        device: &str,
    ) -> Result<Vec<Waiting>, LinkError> {
        let (known, me) = holder
            .with_store(|store| Ok::<_, LinkError>((devices::known(store)?, own_id(store)?)))?;
        let mut peers = devices::allowed(&known);
        if let Some(me) = me {
            peers.remove(&me);
        }
        if peers.is_empty() {
            return Ok(Vec::new());
        }
        let wishes = self.wishes(holder, device)?;
        let here = holder.with_store(|store| files_here(store))?;
        let mut all = Vec::new();
        for peer in peers {
            let entries = self.entries_for(holder, peer)?;
            let (there, rule) = holder.with_store(|store| known_there(store, peer))?;
            let mut counted = BTreeSet::new();
            let mut waiting =
                Waiting { peer, entries, photos: 0, previews: 0, papers: 0, bytes: 0 };
            for wish in &wishes {
                let is_kept = rule == KeepRule::All || wish.sort == FileSort::Preview;
                let waits = is_kept && here.contains(&wish.hash) && !there.contains(&wish.hash);
                if waits && counted.insert(wish.hash) {
                    match wish.sort {
                        FileSort::Original => waiting.photos += 1,
                        FileSort::Preview => waiting.previews += 1,
                        FileSort::Paper => waiting.papers += 1,
                    }
                    waiting.bytes = waiting.bytes.saturating_add(wish.size.unwrap_or_default());
                }
            }
            all.push(waiting);
        }
        Ok(all)
    }

    fn entries_for<S: StoreHolder>(
        &mut self,
        holder: &S,
        peer: PeerId,
    ) -> Result<usize, LinkError> {
        let (memory, changed) = holder.with_store(|store| {
            let memory = library::memory(store, peer)?;
            let heads = store.documents()?;
            Ok::<_, LinkError>((memory, heads))
        })?;
        let Memory { held, changed: differing, .. } = memory;
        let mut count: usize = 0;
        for head in changed {
            let id = document_id(head.name);
            if !differing.contains(&id) || DocumentKind::from_number(head.name.kind).is_none() {
                continue;
            }
            let theirs = held.get(&id);
            let key = (peer, head.name);
            if let Some((as_of, known, entries)) = self.entries.get(&key)
                && *as_of == head.changed
                && known.as_ref() == theirs
            {
                count += entries;
                continue;
            }
            let document = holder.with_store(|store| open(store, head.name))?;
            let entries = document.map_or(0, |mut document| {
                let nothing = Held::new();
                document.entries_beyond(theirs.unwrap_or(&nothing)).len()
            });
            self.entries.insert(key, (head.changed, theirs.cloned(), entries));
            count += entries;
        }
        Ok(count)
    }

    /// The files that the entries of all documents refer to.
    ///
    /// Only documents that changed since the last call are read.
    pub(crate) fn wishes<S: StoreHolder>(
        &mut self,
        holder: &S,
        device: &str,
    ) -> Result<Vec<FileWish>, LinkError> {
        let heads = holder.with_store(|store| store.documents())?;
        let mut all = Vec::new();
        for head in heads {
            let known = self.wishes.get(&head.name).filter(|(changed, _)| *changed == head.changed);
            if let Some((_, wishes)) = known {
                all.extend_from_slice(wishes);
                continue;
            }
            if DocumentKind::from_number(head.name.kind).is_none() {
                continue;
            }
            let document = holder.with_store(|store| open(store, head.name))?;
            let wishes = document.map_or_else(Vec::new, |mut one| files_of(&mut one, device));
            all.extend_from_slice(&wishes);
            self.wishes.insert(head.name, (head.changed, wishes));
        }
        Ok(all)
    }
}

/// The files that are here.
pub(crate) fn files_here(store: &Store) -> Result<BTreeSet<FileHash>, StoreError> {
    Ok(store.blobs()?.into_iter().map(|(hash, _)| *hash.as_bytes()).collect())
}

/// The files that are known to be safe on a device, and what it keeps.
pub(crate) fn known_there(
    store: &Store,
    peer: PeerId,
) -> Result<(BTreeSet<FileHash>, KeepRule), LinkError> {
    let rows = store.range_local(THERE, &Span::beginning(&peer.0))?;
    let there = rows
        .into_iter()
        .filter_map(|row| row.key.get(32..).and_then(|hash| hash.try_into().ok()))
        .collect();
    let rule = store.get_local(RULES, &peer.0)?;
    Ok((there, rule.map_or(KeepRule::All, |row| crate::rule::read_rule(&row))))
}

/// This device's key, when it has one: it gets one with its first link.
///
/// # Errors
/// [`LinkError::Key`] when it cannot be read.
pub fn own_id(store: &Store) -> Result<Option<PeerId>, LinkError> {
    crate::key::own_key(&store.device_folder()).map(|key| key.map(|key| PeerId::of(key.public())))
}

/// Opens a document; whoever only reads may have the store open for reading only.
pub(crate) fn open(store: &Store, name: DocumentName) -> Result<Option<Document>, LinkError> {
    let Some(kind) = DocumentKind::from_number(name.kind) else { return Ok(None) };
    let Some(stored) = store.read_document(name)? else { return Ok(None) };
    let actor = match store.actor() {
        Err(StoreError::ReadAccess) => [0; 16],
        actor => actor?,
    };
    let tail = stored.tail.iter().map(Vec::as_slice);
    Ok(Some(Document::load(kind, &actor, stored.snapshot.as_deref(), tail)?))
}
