//! What all connections of this device have in common.

use std::{
    collections::{BTreeMap, BTreeSet},
    sync::{Arc, Mutex, PoisonError, atomic::AtomicU64},
};

use swardbook_journal::{
    Stamp,
    records::DeviceRole,
    sync::{DocumentId, FileHash, Hello, KeepRule, Keeping},
};
use tokio::sync::{Notify, broadcast};

use crate::{
    Introduction, Ledger, LinkError, LinkEvent, PeerId, StoreHolder,
    devices::{self, KnownDevice},
    gate::Gate,
    pairing::Holds,
};

/// Reads the time, in seconds since 1970.
pub type Clock = Arc<dyn Fn() -> i64 + Send + Sync>;

pub(crate) struct Shared<S> {
    pub(crate) holder: Arc<S>,
    pub(crate) me: PeerId,
    pub(crate) device: String,
    pub(crate) introduction: Mutex<Introduction>,
    pub(crate) hello: Hello,
    pub(crate) clock: Clock,
    pub(crate) gate: Gate,
    pub(crate) events: broadcast::Sender<LinkEvent>,
    /// Documents that changed here, and which device they came from.
    pub(crate) changes: broadcast::Sender<(Option<PeerId>, Vec<DocumentId>)>,
    /// Files may be wanted.
    pub(crate) files: broadcast::Sender<()>,
    pub(crate) state: Mutex<State>,
    /// Who is to be reached may have changed.
    pub(crate) seek: Notify,
    pub(crate) ledger: Mutex<Ledger>,
    /// Bytes of files that came, and that went out, since the link was started.
    pub(crate) carried: [AtomicU64; 2],
}

#[derive(Debug, Default)]
pub(crate) struct State {
    pub(crate) keeping: Keeping,
    pub(crate) rule: KeepRule,
    /// Files that some connection is fetching.
    pub(crate) fetching: BTreeSet<FileHash>,
    /// Files that are wanted here, with what of their bytes is still to come.
    pub(crate) wanted: BTreeMap<FileHash, u64>,
    /// No files are carried for now, entries are.
    pub(crate) holds_files: bool,
    pub(crate) connected: BTreeSet<PeerId>,
    /// Devices of which it is noted down that both hold the same.
    pub(crate) equal: BTreeSet<PeerId>,
    pub(crate) devices: Vec<KnownDevice>,
}

impl<S: StoreHolder> Shared<S> {
    pub(crate) fn state<T>(&self, work: impl FnOnce(&mut State) -> T) -> T {
        work(&mut self.state.lock().unwrap_or_else(PoisonError::into_inner))
    }

    pub(crate) fn introduction(&self) -> Introduction {
        self.introduction.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Which notebook this device holds.
    pub(crate) fn holds(&self) -> Result<Holds, LinkError> {
        self.holder.with_store(|store| {
            let origin = devices::origin(store)?.unwrap_or_default();
            let documents = devices::recorded(store)?;
            let records = !documents.is_empty();
            let documents = documents.iter().map(ToString::to_string).collect();
            Ok(Holds { origin, records, documents })
        })
    }

    pub(crate) fn with_ledger<T>(&self, work: impl FnOnce(&mut Ledger) -> T) -> T {
        work(&mut self.ledger.lock().unwrap_or_else(PoisonError::into_inner))
    }

    pub(crate) fn tell(&self, event: LinkEvent) {
        // Nobody may be listening.
        let _ = self.events.send(event);
    }

    /// Another device's changes are on the disk.
    pub(crate) fn arrived(&self, from: PeerId, ids: Vec<DocumentId>) {
        self.tell(LinkEvent::DocumentsArrived { peer: from, documents: ids.clone() });
        self.changed(Some(from), ids);
    }

    /// Documents changed here.
    pub(crate) fn changed(&self, from: Option<PeerId>, ids: Vec<DocumentId>) {
        if devices::concerns_devices(&ids) {
            // A list that cannot be read leaves the one that stands.
            let _ = self.read_devices();
        }
        let _ = self.changes.send((from, ids));
        self.wake_files();
    }

    pub(crate) fn wake_files(&self) {
        let _ = self.files.send(());
    }

    /// Reads who holds the notebook and lets in exactly those.
    pub(crate) fn read_devices(&self) -> Result<(), LinkError> {
        let known = self.holder.with_store(|store| devices::known(store))?;
        let mut allowed = devices::allowed(&known);
        let removed_here = known.iter().any(|device| device.removed && device.peer == self.me);
        allowed.remove(&self.me);
        let differs = self.state(|state| {
            let differs = state.devices != known;
            state.devices = known;
            differs
        });
        if removed_here {
            allowed.clear();
        }
        self.gate.allow(allowed);
        if differs {
            self.tell(LinkEvent::DevicesChanged);
            if removed_here {
                self.tell(LinkEvent::RemovedHere);
            }
            self.seek.notify_one();
        }
        Ok(())
    }

    pub(crate) fn role_of(&self, peer: PeerId) -> DeviceRole {
        let role = self.state(|state| {
            state.devices.iter().find(|device| device.peer == peer).and_then(|d| d.role.clone())
        });
        role.unwrap_or(DeviceRole::Field)
    }

    pub(crate) fn note(&self, action: &str) -> Stamp {
        Stamp {
            device: self.device.clone(),
            person: String::new(),
            action: action.to_owned(),
            at: (self.clock)(),
        }
    }
}
