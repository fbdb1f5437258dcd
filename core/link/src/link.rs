//! The running link of one device.

use std::{
    collections::{BTreeSet, HashMap},
    net::SocketAddr,
    sync::{Arc, Mutex, PoisonError, atomic::Ordering},
};

use iroh::{Endpoint, RelayUrl, endpoint::Connection};
use swardbook_journal::{
    DocumentKind, SCHEMA,
    sync::{DocumentId, Hello, KeepRule, Keeping, OLDEST, VERSION},
};
use swardbook_store::{Batch, DocumentName, Span};
use tokio::{
    sync::{Notify, broadcast},
    task::{AbortHandle, JoinSet},
};

use crate::{
    Introduction, KnownDevice, LinkConfig, LinkError, LinkEvent, PeerId, StoreHolder, Waiting,
    addresses::{PORT, remember_port},
    config::read_relay,
    devices,
    discovery::LocalLookup,
    endpoint,
    gate::Gate,
    inviting::Inviting,
    key::read_key,
    meeting::{Live, accept},
    relay,
    rule::{RULE, read_rule, write_rule},
    shared::{Shared, State},
    tables::{OWN, PROMISED, document_id},
};

/// Events that a slow listener may fall behind.
const EVENTS: usize = 1_024;

/// The running link of one device. Clones are the same link; it ends with [`Link::stop`].
pub struct Link<S: StoreHolder>(pub(crate) Arc<Inner<S>>);

pub(crate) struct Inner<S> {
    pub(crate) shared: Arc<Shared<S>>,
    pub(crate) endpoint: Endpoint,
    pub(crate) inviting: Inviting,
    pub(crate) live: Mutex<HashMap<PeerId, Live>>,
    pub(crate) tasks: Mutex<Vec<AbortHandle>>,
    pub(crate) relay: Option<RelayUrl>,
}

/// How far files are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Progress {
    /// Files that are still to come.
    pub files: usize,
    /// Their bytes that are still to come, as far as they are known.
    pub bytes: u64,
    /// Bytes of files that came since the link was started.
    pub received: u64,
    /// Bytes of files that were given since the link was started.
    pub given: u64,
}

impl<S: StoreHolder> Clone for Link<S> {
    fn clone(&self) -> Self {
        Self(Arc::clone(&self.0))
    }
}

impl<S: StoreHolder> std::fmt::Debug for Link<S> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Link").field("me", &self.0.shared.me).finish_non_exhaustive()
    }
}

impl<S: StoreHolder> Link<S> {
    /// Opens the network and lets paired devices in. Only the holder of the notebook's lock may.
    ///
    /// # Errors
    /// [`LinkError`] when the network, the key or the notebook cannot be used.
    pub async fn start(config: LinkConfig, holder: Arc<S>) -> Result<Self, LinkError> {
        let relay = config.relay.as_deref().map(read_relay).transpose()?;
        let folder = holder.with_store(|store| store.device_folder());
        let key = read_key(&folder)?;
        let me = PeerId::of(key.public());
        let (port, rule, promised) = holder.with_store(|store| {
            let port = store.get_local(OWN, PORT)?;
            let rule = store.get_local(OWN, RULE)?;
            let promised = store.range_local(PROMISED, &Span::all())?;
            Ok::<_, LinkError>((port, rule, promised))
        })?;
        let port = port.and_then(|row| row.try_into().ok()).map(u16::from_le_bytes);
        let rule = rule.as_deref().map_or(KeepRule::All, read_rule);
        let promised = promised.into_iter().filter_map(|row| row.key.try_into().ok()).collect();
        let gate = Gate::default();
        let endpoint = endpoint::bind(key, gate.clone(), port, relay.as_ref()).await?;
        if config.discovery {
            // Without it there are still known addresses and invitations.
            if let (Some(local), Ok(lookups)) =
                (LocalLookup::begin(endpoint.id()), endpoint.address_lookup())
            {
                lookups.add(local);
            }
        }
        let hello = Hello {
            oldest: OLDEST,
            newest: VERSION,
            kinds: DocumentKind::ALL.iter().map(|kind| kind.number()).collect(),
            schema: u32::try_from(SCHEMA).expect("a schema number is small"),
            nonce: [0; 8],
            remembers: [0; 4],
            program: config.program,
        };
        let shared = Arc::new(Shared {
            holder,
            me,
            device: config.device,
            introduction: Mutex::new(config.introduction),
            hello,
            clock: config.clock,
            gate,
            events: broadcast::channel(EVENTS).0,
            changes: broadcast::channel(EVENTS).0,
            files: broadcast::channel(8).0,
            state: Mutex::new(State {
                keeping: Keeping::new(rule, promised),
                rule,
                ..State::default()
            }),
            seek: Notify::new(),
            ledger: Mutex::default(),
            carried: Default::default(),
        });
        shared.read_devices()?;
        remember_port(&shared, &endpoint, port)?;
        endpoint::wait_for_addresses(&endpoint).await;
        let link = Self(Arc::new(Inner {
            shared,
            endpoint,
            inviting: Inviting::default(),
            live: Mutex::default(),
            tasks: Mutex::default(),
            relay,
        }));
        link.open_invitation_again()?;
        let accepting = tokio::spawn(accept(link.clone())).abort_handle();
        lock(&link.0.tasks).push(accepting);
        if link.0.relay.is_some() {
            let watched = link.clone();
            let watching = tokio::spawn(async move {
                let Inner { endpoint, shared, .. } = &*watched.0;
                relay::watch(endpoint, |answers| shared.tell(LinkEvent::Relay { answers })).await
            });
            lock(&link.0.tasks).push(watching.abort_handle());
        }
        Ok(link)
    }

    /// What happens from now on.
    #[must_use]
    pub fn events(&self) -> broadcast::Receiver<LinkEvent> {
        self.0.shared.events.subscribe()
    }

    /// This device's key.
    #[must_use]
    pub fn me(&self) -> PeerId {
        self.0.shared.me
    }

    /// Where this device can be reached.
    #[must_use]
    pub fn addresses(&self) -> Vec<SocketAddr> {
        endpoint::addresses(&self.0.endpoint)
    }

    /// The devices of the notebook, removed ones included.
    #[must_use]
    pub fn devices(&self) -> Vec<KnownDevice> {
        self.0.shared.state(|state| state.devices.clone())
    }

    /// Paired devices that are connected now.
    #[must_use]
    pub fn connected(&self) -> BTreeSet<PeerId> {
        self.0.shared.state(|state| state.connected.clone())
    }

    /// Documents were committed here: connected devices are given them at once.
    pub fn documents_changed(&self, documents: &[DocumentName]) {
        let ids: Vec<DocumentId> = documents.iter().copied().map(document_id).collect();
        self.0.shared.changed(None, ids);
    }

    /// What this device keeps of photos and papers.
    #[must_use]
    pub fn keep_rule(&self) -> KeepRule {
        self.0.shared.state(|state| state.rule)
    }

    /// Changes what this device keeps of photos and papers.
    ///
    /// # Errors
    /// [`LinkError::Store`]
    pub fn set_keep_rule(&self, rule: KeepRule) -> Result<(), LinkError> {
        let mut batch = Batch::new();
        batch.put_local(OWN, RULE, write_rule(rule).to_vec());
        self.0.shared.holder.with_store(|store| store.commit(&batch))?;
        self.0.shared.state(|state| {
            state.rule = rule;
            state.keeping.set_rule(rule);
        });
        self.0.shared.wake_files();
        Ok(())
    }

    /// Says what this device is called and is for, to those that it meets from now on.
    pub fn introduce(&self, introduction: Introduction) {
        *lock(&self.0.shared.introduction) = introduction;
    }

    /// Holds files back, or carries them again; entries are exchanged either way.
    pub fn hold_files(&self, holds: bool) {
        self.0.shared.state(|state| state.holds_files = holds);
        self.0.shared.wake_files();
    }

    /// How far files are.
    #[must_use]
    pub fn progress(&self) -> Progress {
        let [received, given] =
            [0, 1].map(|way: usize| self.0.shared.carried[way].load(Ordering::Relaxed));
        self.0.shared.state(|state| Progress {
            files: state.wanted.len(),
            bytes: state.wanted.values().sum(),
            received,
            given,
        })
    }

    /// What waits here for each other device that is let in.
    ///
    /// # Errors
    /// [`LinkError`] when the notebook cannot be read.
    pub fn waiting(&self) -> Result<Vec<Waiting>, LinkError> {
        let shared = &self.0.shared;
        shared.with_ledger(|ledger| ledger.waiting(&*shared.holder, &shared.device))
    }

    /// Removes a device from the notebook, for ever and on every device that hears of it.
    ///
    /// It keeps what it already has.
    ///
    /// # Errors
    /// [`LinkError::NotPaired`] for one that the notebook does not list.
    pub fn remove(&self, peer: PeerId, why: &str) -> Result<(), LinkError> {
        let shared = &self.0.shared;
        let known = self.devices().into_iter().find(|device| device.peer == peer);
        let device = known.ok_or(LinkError::NotPaired)?;
        let note = shared.note("device removed");
        devices::write_removal(&shared.holder, peer, &device.name, why, &note)?;
        // Others hear of it before the removed device's connection is closed with its own.
        shared.changed(None, vec![document_id(devices::notebook_name())]);
        crate::library::Library::new(Arc::clone(&shared.holder)).forget(peer)
    }

    /// The network changed, or the app came back to the front.
    pub async fn network_changed(&self) {
        self.0.endpoint.network_change().await;
        self.0.shared.seek.notify_one();
    }

    /// Before leaving: waits until the connected devices know that they hold the same as this one,
    /// or a few seconds.
    pub async fn farewell(&self) {
        let open: Vec<Connection> = {
            let live = lock(&self.0.live);
            live.values().filter_map(|live| live.handle.upgrade()).collect()
        };
        let mut asked = JoinSet::new();
        for connection in open {
            asked.spawn(async move { crate::files::farewell(&connection).await });
        }
        asked.join_all().await;
    }

    /// Ends all connections.
    pub async fn stop(&self) {
        for task in lock(&self.0.tasks).drain(..) {
            task.abort();
        }
        self.0.endpoint.close().await;
    }
}

pub(crate) fn lock<T>(mutex: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

pub(crate) fn random<const N: usize>() -> Result<[u8; N], LinkError> {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes).map_err(|_| LinkError::NoRandomness)?;
    Ok(bytes)
}
