//! Which devices hold the notebook, as its own records say.

use std::{collections::BTreeSet, sync::Arc};

use swardbook_journal::{
    Document, DocumentKind, Record as _, Stamp,
    records::{Device, DeviceRole, Removal, removal_key, removed_endpoint},
    sync::DocumentId,
};
use swardbook_store::{ActorBytes, Batch, Change, DocumentName, Span, Store};

use crate::{LinkError, PeerId, StoreHolder, ledger, tables::TRUSTED};

/// A device that holds the notebook, or did.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KnownDevice {
    /// Its key.
    pub peer: PeerId,
    /// The name of its record; empty until that has arrived.
    pub record: String,
    /// What it is called.
    pub name: String,
    /// What it is for.
    pub role: Option<DeviceRole>,
    /// It was removed: it keeps what it has and is given nothing more.
    pub removed: bool,
}

/// The document that every notebook has one of.
pub(crate) fn notebook_name() -> DocumentName {
    DocumentName::from_bytes(&[0; 11]).expect("eleven bytes are a name")
}

/// Whether a change of these documents may change who is let in.
pub(crate) fn concerns_devices<'a>(ids: impl IntoIterator<Item = &'a DocumentId>) -> bool {
    let kind = DocumentKind::Notebook.number();
    ids.into_iter().any(|id| id.kind == kind)
}

/// All devices of the notebook, removed ones included.
pub(crate) fn known(store: &Store) -> Result<Vec<KnownDevice>, LinkError> {
    let mut devices: Vec<KnownDevice> = Vec::new();
    let mut removed: BTreeSet<PeerId> = BTreeSet::new();
    if let Some(document) = notebook(store)? {
        for entry in document.entries() {
            if entry.kind == Removal::KIND {
                // Hiding it does not take it back: the removed device could do that itself.
                removed.extend(
                    removed_endpoint(&entry.key).and_then(|key| key.parse::<PeerId>().ok()),
                );
            } else if let Some(device) = entry.read::<Device>()
                && let Ok(peer) = device.endpoint.parse::<PeerId>()
                && devices.iter().all(|known| known.peer != peer)
            {
                devices.push(KnownDevice {
                    peer,
                    record: entry.key.clone(),
                    name: device.name,
                    role: device.role,
                    removed: false,
                });
            }
        }
    }
    for row in store.range_local(TRUSTED, &Span::all())? {
        let Ok(key) = row.key.try_into() else { continue };
        let peer = PeerId(key);
        if devices.iter().all(|known| known.peer != peer) {
            let name = String::from_utf8_lossy(&row.value).into_owned();
            let record = String::new();
            devices.push(KnownDevice { peer, record, name, role: None, removed: false });
        }
    }
    for device in &mut devices {
        device.removed = removed.contains(&device.peer);
    }
    Ok(devices)
}

/// Those that are let in.
pub(crate) fn allowed(devices: &[KnownDevice]) -> BTreeSet<PeerId> {
    devices.iter().filter(|device| !device.removed).map(|device| device.peer).collect()
}

fn notebook(store: &Store) -> Result<Option<Document>, LinkError> {
    ledger::open(store, notebook_name())
}

/// The devices of a notebook, removed ones included; it may be open for reading only.
///
/// # Errors
/// [`LinkError`] when they cannot be read.
pub fn known_devices(store: &Store) -> Result<Vec<KnownDevice>, LinkError> {
    known(store)
}

/// What tells one practitioner's notebook from another's: the key of the first record of a device,
/// which all later devices got from there; none before there is one.
pub(crate) fn origin(store: &Store) -> Result<Option<String>, LinkError> {
    let Some(document) = notebook(store)? else { return Ok(None) };
    let devices = document.entries().into_iter().filter(|entry| entry.kind == Device::KIND);
    let first = devices.min_by(|a, b| a.order.cmp(&b.order));
    Ok(first.map(|entry| entry.key))
}

/// The documents in which something was recorded: all but the notebook's own.
pub(crate) fn recorded(store: &Store) -> Result<Vec<DocumentName>, LinkError> {
    let own = DocumentKind::Notebook.number();
    let heads = store.documents()?;
    Ok(heads.into_iter().map(|head| head.name).filter(|name| name.kind != own).collect())
}

/// Writes that a device holds the notebook, under a new key.
pub(crate) fn write_device<S: StoreHolder>(
    holder: &Arc<S>,
    key: &str,
    peer: PeerId,
    name: &str,
    role: &DeviceRole,
    note: &Stamp,
) -> Result<(), LinkError> {
    let record = Device {
        name: name.to_owned(),
        role: Some(role.clone()),
        endpoint: peer.to_string(),
        mark: String::new(),
    };
    write(holder, note, |document| Ok(document.put(key, &record)?))
}

/// Writes that a device is removed, for ever.
pub(crate) fn write_removal<S: StoreHolder>(
    holder: &Arc<S>,
    peer: PeerId,
    name: &str,
    why: &str,
    note: &Stamp,
) -> Result<(), LinkError> {
    let record = Removal { name: name.to_owned(), why: why.to_owned() };
    write(holder, note, |document| Ok(document.put(&removal_key(&peer.to_string()), &record)?))
}

fn write<S: StoreHolder>(
    holder: &Arc<S>,
    note: &Stamp,
    work: impl FnOnce(&mut Document) -> Result<bool, LinkError>,
) -> Result<(), LinkError> {
    let name = notebook_name();
    let written = holder.with_store(|store| {
        let mut document = match notebook(store)? {
            Some(document) => document,
            None => Document::new(DocumentKind::Notebook, &store.actor()?),
        };
        let is_new = store.read_document(name)?.is_none();
        work(&mut document)?;
        let Some(change) = document.commit(note) else { return Ok(false) };
        let heads = document.heads().concat();
        let mut batch = Batch::new();
        if is_new {
            batch.snapshot(name, document.save(), heads);
        } else {
            let actor = ActorBytes::new(&change.actor).expect("a document names each writer");
            let change = Change { actor, sequence: change.sequence, bytes: change.bytes };
            batch.change(name, vec![change], heads);
        }
        store.commit(&batch)?;
        Ok::<_, LinkError>(true)
    })?;
    if written {
        holder.documents_arrived(&[name]);
    }
    Ok(())
}
