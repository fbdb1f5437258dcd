//! A device of a test: a notebook's folder, its store and its link.

use std::{
    path::{Path, PathBuf},
    sync::{
        Arc, Mutex,
        atomic::{AtomicI64, AtomicU64, Ordering},
    },
    time::Duration,
};

use swardbook_journal::{Document, DocumentKind, Stamp, records};
use swardbook_link::{DeviceRole, Introduction, Invitation, Link, LinkConfig, LinkEvent};
use swardbook_store::{
    Access, ActorBytes, Batch, Change, DocumentName, Randomness, Store, StoreError,
};
use tokio::sync::broadcast;

/// When every test happens.
pub(crate) const NOW: i64 = 1_795_000_000;
/// Nothing in these tests takes this long; only a failure does.
const PATIENCE: Duration = Duration::from_secs(120);

/// The zone that entries are written on.
pub(crate) fn zone() -> DocumentName {
    DocumentName::from_bytes(&[2, 7, 7, 7, 7, 7, 7, 7, 7, 7, 7]).unwrap()
}

pub(crate) struct Device {
    pub(crate) folder: PathBuf,
    pub(crate) store: Arc<Mutex<Store>>,
    pub(crate) link: Link<Mutex<Store>>,
    pub(crate) events: broadcast::Receiver<LinkEvent>,
    pub(crate) clock: Arc<AtomicI64>,
    name: String,
    role: DeviceRole,
    network: Network,
}

/// How a device finds others, beside their addresses.
#[derive(Debug, Clone, Default)]
pub(crate) struct Network {
    pub(crate) discovery: bool,
    pub(crate) relay: Option<String>,
}

/// Different in every call of every process, as real randomness is.
pub(crate) fn randomness() -> Randomness {
    static CALLS: AtomicU64 = AtomicU64::new(0);
    let call = CALLS.fetch_add(1, Ordering::Relaxed);
    let mut hasher = blake3::Hasher::new();
    hasher.update(&std::process::id().to_le_bytes()).update(&call.to_le_bytes());
    // The address of a fresh allocation differs between runs.
    let place = Box::new(0_u8);
    hasher.update(format!("{:p}", &raw const *place).as_bytes());
    let hash = hasher.finalize();
    let (nonce, actor) = hash.as_bytes().split_at(16);
    Randomness { nonce: nonce.try_into().unwrap(), actor: actor.try_into().unwrap() }
}

pub(crate) fn open_store(folder: &Path) -> Result<Store, StoreError> {
    let access = Access::Write { patience: Duration::from_secs(10) };
    Ok(Store::open(folder, access, randomness())?.store)
}

impl Device {
    pub(crate) async fn start(folder: &Path, name: &str, role: DeviceRole) -> Self {
        Self::start_with(folder, name, role, Network::default()).await
    }

    pub(crate) async fn start_with(
        folder: &Path,
        name: &str,
        role: DeviceRole,
        network: Network,
    ) -> Self {
        if !folder.join("notebook.redb").exists() {
            Store::create(folder, randomness()).unwrap();
        }
        let store = Arc::new(Mutex::new(open_store(folder).unwrap()));
        let clock = Arc::new(AtomicI64::new(NOW));
        let read = Arc::clone(&clock);
        let config = LinkConfig {
            device: name.to_owned(),
            introduction: Introduction { name: name.to_owned(), role: role.clone() },
            program: "test".to_owned(),
            clock: Arc::new(move || read.load(Ordering::Relaxed)),
            discovery: network.discovery,
            relay: network.relay.clone(),
        };
        let link = Link::start(config, Arc::clone(&store)).await.unwrap();
        let events = link.events();
        let (folder, name) = (folder.to_owned(), name.to_owned());
        Self { folder, store, link, events, clock, name, role, network }
    }

    /// Stops and starts again from the disk.
    pub(crate) async fn restart(self) -> Self {
        let Self { folder, store, link, name, role, network, .. } = self;
        link.stop().await;
        drop(link);
        // Whatever still runs lets go of the store in a moment.
        let waiting = async {
            while Arc::strong_count(&store) > 1 {
                tokio::task::yield_now().await;
            }
        };
        tokio::time::timeout(PATIENCE, waiting).await.expect("the link lets go of the store");
        drop(store);
        Self::start_with(&folder, &name, role, network).await
    }

    /// Waits for an event; what comes before it is left out.
    pub(crate) async fn event(&mut self, wanted: impl Fn(&LinkEvent) -> bool) -> LinkEvent {
        let waiting = async {
            loop {
                match self.events.recv().await {
                    Ok(event) if wanted(&event) => return event,
                    Ok(_) | Err(broadcast::error::RecvError::Lagged(_)) => {}
                    Err(error) => panic!("{}: {error}", self.name),
                }
            }
        };
        tokio::time::timeout(PATIENCE, waiting).await.unwrap_or_else(|_| {
            panic!("{} waited in vain", self.name);
        })
    }

    /// Waits until something holds; it is looked at whenever something happens.
    pub(crate) async fn until(&mut self, what: &str, holds: impl Fn(&Self) -> bool) {
        let waiting = async {
            while !holds(self) {
                if let Err(broadcast::error::RecvError::Closed) = self.events.recv().await {
                    panic!("{}: the link is gone", self.name);
                }
            }
        };
        if tokio::time::timeout(PATIENCE, waiting).await.is_err() {
            panic!("{what} did not come true");
        }
    }

    pub(crate) fn store(&self) -> std::sync::MutexGuard<'_, Store> {
        self.store.lock().unwrap()
    }

    fn open(store: &Store, name: DocumentName, kind: DocumentKind) -> Document {
        let actor = store.actor().unwrap();
        match store.read_document(name).unwrap() {
            None => Document::new(kind, &actor),
            Some(stored) => {
                let tail = stored.tail.iter().map(Vec::as_slice);
                Document::load(kind, &actor, stored.snapshot.as_deref(), tail).unwrap()
            }
        }
    }

    /// Writes one observation; it is safe, and on its way, when this returns.
    pub(crate) fn write(&self, key: &str, record: &records::Observation) {
        self.write_on(zone(), key, record);
    }

    fn write_on(&self, name: DocumentName, key: &str, record: &records::Observation) {
        {
            let mut store = self.store();
            let is_new = store.read_document(name).unwrap().is_none();
            let mut document = Self::open(&store, name, DocumentKind::Zone);
            document.put(key, record).unwrap();
            let note = Stamp {
                device: self.name.clone(),
                person: "Tamsin".into(),
                action: "write".into(),
                at: NOW,
            };
            let Some(change) = document.commit(&note) else { return };
            let heads = document.heads().concat();
            let mut batch = Batch::new();
            if is_new {
                batch.snapshot(name, document.save(), heads);
            } else {
                let actor = ActorBytes::new(&change.actor).unwrap();
                let (sequence, bytes) = (change.sequence, change.bytes);
                batch.change(name, vec![Change { actor, sequence, bytes }], heads);
            }
            store.commit(&batch).unwrap();
        }
        self.link.documents_changed(&[name]);
    }

    pub(crate) fn note(&self, key: &str) {
        self.write(key, &records::Observation { note: key.to_owned(), ..Default::default() });
    }

    /// A note on another zone, as another notebook would have.
    pub(crate) fn note_on(&self, zone: u8, key: &str) {
        let name = DocumentName::from_bytes(&[2, zone, 7, 7, 7, 7, 7, 7, 7, 7, 7]).unwrap();
        let record = records::Observation { note: key.to_owned(), ..Default::default() };
        self.write_on(name, key, &record);
    }

    pub(crate) fn has(&self, key: &str) -> bool {
        Self::open(&self.store(), zone(), DocumentKind::Zone).entry(key).is_some()
    }

    pub(crate) fn keys(&self) -> Vec<String> {
        let store = self.store();
        let document = Self::open(&store, zone(), DocumentKind::Zone);
        document.entries().into_iter().map(|entry| entry.key).collect()
    }

    /// Keeps a file and an observation that refers to it.
    pub(crate) fn photo(&self, key: &str, photo: &[u8], preview: &[u8]) -> [u8; 32] {
        let (kept, small) = {
            let mut store = self.store();
            let mut add = |mut bytes: &[u8]| store.add_blob(&mut bytes, u64::MAX).unwrap().hash;
            (add(photo), (!preview.is_empty()).then(|| add(preview)))
        };
        self.write(
            key,
            &records::Observation {
                photo: kept.to_string(),
                preview: small.map(|hash| hash.to_string()).unwrap_or_default(),
                size: i64::try_from(photo.len()).ok(),
                ..Default::default()
            },
        );
        *kept.as_bytes()
    }

    pub(crate) fn file(&self, hash: [u8; 32]) -> Option<Vec<u8>> {
        let store = self.store();
        let hash = swardbook_store::BlobHash::from_bytes(hash);
        store.blob_size(hash).unwrap()?;
        std::fs::read(store.blob_path(hash)).ok()
    }
}

/// Bytes that differ for every seed and do not repeat.
pub(crate) fn bytes(seed: u8, length: usize) -> Vec<u8> {
    let mut out = vec![0; length];
    blake3::Hasher::new().update(&[seed]).finalize_xof().fill(&mut out);
    out
}

/// Pairs two devices as two people would.
pub(crate) async fn pair(inviter: &mut Device, guest: &mut Device) {
    let invitation = inviter.link.invite(600).unwrap().to_string();
    pair_by(inviter, guest, invitation.parse().unwrap()).await;
}

/// Pairs two devices by an invitation of the first.
pub(crate) async fn pair_by(inviter: &mut Device, guest: &mut Device, invitation: Invitation) {
    let joining = guest.link.join(&invitation).await.unwrap();
    let asked = inviter.event(|event| matches!(event, LinkEvent::PairingAsked { .. })).await;
    let LinkEvent::PairingAsked { guest: who, words, introduction } = asked else {
        unreachable!("it was waited for")
    };
    assert_eq!(words, joining.words(), "both people read the same words");
    assert_eq!(introduction.name, guest.name, "and see who it is");
    assert_eq!(joining.introduction().name, inviter.name, "on both sides");
    assert_eq!(who, guest.link.me(), "the guest's key");
    inviter.link.answer_guest(who, true).unwrap();
    joining.confirm().await.unwrap();
}
