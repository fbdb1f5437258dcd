//! The running link of one device.

use std::{
    collections::{BTreeSet, HashMap},
    net::SocketAddr,
    path::Path,
    sync::{Arc, Mutex, PoisonError, atomic::Ordering},
    time::Duration,
};

use iroh::{
    Endpoint, RelayUrl, SecretKey, TransportAddr,
    endpoint::{Connection, VarInt, WeakConnectionHandle},
};
use swardbook_journal::{
    DocumentKind, SCHEMA,
    sync::{DocumentId, Hello, KeepRule, Keeping, OLDEST, Role, VERSION},
};
use swardbook_store::{Batch, DocumentName, Span, Store};
use tokio::{
    sync::{Notify, broadcast},
    task::{AbortHandle, JoinSet},
};

use crate::{
    Clock, Introduction, KnownDevice, LinkError, LinkEvent, PeerId, StoreHolder, Waiting, devices,
    discovery::LocalLookup,
    endpoint::{self, PAIR, SYNC},
    exchange,
    gate::Gate,
    inviting::Inviting,
    shared::{Shared, State},
    tables::{ADDRESSES, OWN, PROMISED, document_id},
};

/// What a link is started with.
#[derive(Clone)]
pub struct LinkConfig {
    /// This device's id as it stands in notes of changes.
    pub device: String,
    /// How it presents itself.
    pub introduction: Introduction,
    /// The program's version, to be shown on the other device.
    pub program: String,
    /// Reads the time.
    pub clock: Clock,
    /// Look for paired devices on the local network and let them find this one.
    ///
    /// It tells everyone on that network this device's key, address and port, and no name.
    pub discovery: bool,
    /// The address of a relay that carries what cannot go directly, such as
    /// `https://relay.example`; the same on both devices. None is used without it.
    ///
    /// A relay sees which devices talk, from where, when and how much, and nothing of what they
    /// say.
    pub relay: Option<String>,
}

impl std::fmt::Debug for LinkConfig {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("LinkConfig")
            .field("device", &self.device)
            .field("introduction", &self.introduction)
            .field("program", &self.program)
            .field("discovery", &self.discovery)
            .field("relay", &self.relay)
            .finish_non_exhaustive()
    }
}

/// How long to wait before a device that does not answer is tried again, at first and at most.
const AGAIN: (Duration, Duration) = (Duration::from_secs(5), Duration::from_secs(60));
/// Events that a slow listener may fall behind.
const EVENTS: usize = 1_024;

const RULE: &[u8] = b"keep";
const PORT: &[u8] = b"port";
const KEY: &str = "network-key";

/// The running link of one device. Clones are the same link; it ends with [`Link::stop`].
pub struct Link<S: StoreHolder>(pub(crate) Arc<Inner<S>>);

pub(crate) struct Inner<S> {
    pub(crate) shared: Arc<Shared<S>>,
    pub(crate) endpoint: Endpoint,
    pub(crate) inviting: Inviting,
    live: Mutex<HashMap<PeerId, Live>>,
    tasks: Mutex<Vec<AbortHandle>>,
    relay: Option<RelayUrl>,
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

/// The one connection to a device.
struct Live {
    dialler: PeerId,
    id: usize,
    handle: WeakConnectionHandle,
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

    /// Meets a device now, at these addresses or where it was met last or is found.
    ///
    /// # Errors
    /// [`LinkError`] when it is not paired or does not answer; that it let this device in shows
    /// with [`LinkEvent::Connected`].
    pub async fn meet(&self, peer: PeerId, addresses: &[SocketAddr]) -> Result<(), LinkError> {
        let shared = &self.0.shared;
        if !shared.gate.allows(peer) {
            return Err(LinkError::NotPaired);
        }
        let mut all = addresses.to_vec();
        all.extend(known_addresses(shared, peer)?);
        let relay = self.0.relay.as_ref();
        let connection = endpoint::dial(&self.0.endpoint, peer, &all, SYNC, relay).await?;
        self.serve(connection, Role::Dialler);
        Ok(())
    }

    /// Meets every paired device that is not connected, and says how that went.
    pub async fn meet_all(&self) -> Vec<(PeerId, Result<(), LinkError>)> {
        let mut meetings = JoinSet::new();
        for peer in self.0.shared.gate.allowed().difference(&self.connected()) {
            let (link, peer) = (self.clone(), *peer);
            meetings.spawn(async move { (peer, link.meet(peer, &[]).await) });
        }
        meetings.join_all().await
    }

    /// Keeps meeting every paired device until the link is stopped.
    pub async fn keep(&self) {
        let mut waits: HashMap<PeerId, Duration> = HashMap::new();
        let mut due: HashMap<PeerId, tokio::time::Instant> = HashMap::new();
        let mut tick = tokio::time::interval(Duration::from_secs(1));
        loop {
            tokio::select! {
                () = self.0.shared.seek.notified() => due.clear(),
                now = tick.tick() => {
                    let connected = self.connected();
                    for peer in self.0.shared.gate.allowed().difference(&connected) {
                        if due.get(peer).is_some_and(|at| *at > now) {
                            continue;
                        }
                        let wait = waits.entry(*peer).or_insert(AGAIN.0);
                        due.insert(*peer, now + *wait);
                        *wait = (*wait * 2).min(AGAIN.1);
                        let (link, peer) = (self.clone(), *peer);
                        // A device that is away is no error; it is tried again.
                        tokio::spawn(async move { link.meet(peer, &[]).await });
                    }
                    for peer in connected {
                        waits.remove(&peer);
                    }
                }
                () = self.0.endpoint.closed() => return,
            }
        }
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

    /// Runs a connection in the background, if it is the one to be kept.
    pub(crate) fn serve(&self, connection: Connection, role: Role) {
        let peer = PeerId::of(connection.remote_id());
        let me = self.0.shared.me;
        let dialler = if role == Role::Dialler { me } else { peer };
        let id = connection.stable_id();
        {
            let mut live = lock(&self.0.live);
            if let Some(other) = live.get(&peer)
                && let Some(open) = other.handle.upgrade()
                && open.close_reason().is_none()
            {
                // Both dialled at once: both keep the connection that the smaller key dialled.
                if other.dialler != dialler && other.dialler == me.min(peer) {
                    connection.close(VarInt::from_u32(0), b"another connection");
                    return;
                }
                open.close(VarInt::from_u32(0), b"another connection");
            }
            live.insert(peer, Live { dialler, id, handle: connection.weak_handle() });
        }
        let link = self.clone();
        let task = tokio::spawn(async move {
            let shared = &link.0.shared;
            remember_address(shared, &connection, peer);
            shared.state(|state| {
                state.equal.remove(&peer);
                state.connected.insert(peer)
            });
            let ended = exchange::run(Arc::clone(shared), connection, role).await;
            let was_current = {
                let mut live = lock(&link.0.live);
                let current = live.get(&peer).is_some_and(|live| live.id == id);
                if current {
                    live.remove(&peer);
                }
                current
            };
            if was_current {
                shared.state(|state| state.connected.remove(&peer));
                match ended {
                    // The network's ups and downs are told by what follows.
                    Ok(()) | Err(LinkError::Lost | LinkError::NotPaired) => {}
                    Err(LinkError::Refused) => shared.tell(LinkEvent::SentAway { peer }),
                    Err(error) => {
                        let reason = error.to_string();
                        shared.tell(LinkEvent::ExchangeFailed { peer, reason });
                    }
                }
                shared.tell(LinkEvent::Disconnected { peer });
            }
        });
        let mut tasks = lock(&self.0.tasks);
        tasks.retain(|task| !task.is_finished());
        tasks.push(task.abort_handle());
    }
}

async fn accept<S: StoreHolder>(link: Link<S>) {
    while let Some(incoming) = link.0.endpoint.accept().await {
        let link = link.clone();
        tokio::spawn(async move {
            // Strangers and broken handshakes end here.
            let Ok(connection) = incoming.await else { return };
            if connection.alpn() == PAIR {
                link.invited(connection).await;
            } else {
                link.serve(connection, Role::Listener);
            }
        });
    }
}

pub(crate) fn lock<T>(mutex: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// The device's network key, made at first use; it lies outside what is copied and backed up.
fn read_key(folder: &Path) -> Result<SecretKey, LinkError> {
    if let Some(key) = own_key(folder)? {
        return Ok(key);
    }
    let key = SecretKey::from_bytes(&random()?);
    write_key(&folder.join(KEY), &key.to_bytes()).map_err(LinkError::Key)?;
    Ok(key)
}

/// The device's network key, if it has been made.
pub(crate) fn own_key(folder: &Path) -> Result<Option<SecretKey>, LinkError> {
    match std::fs::read(folder.join(KEY)) {
        Ok(bytes) => {
            let bytes: [u8; 32] = bytes.try_into().map_err(|_| {
                LinkError::Key(std::io::Error::new(std::io::ErrorKind::InvalidData, "length"))
            })?;
            Ok(Some(SecretKey::from_bytes(&bytes)))
        }
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(LinkError::Key(error)),
    }
}

/// What this device keeps of files, by its notebook, which may be open for reading only.
///
/// # Errors
/// [`LinkError::Store`]
pub fn kept_rule(store: &Store) -> Result<KeepRule, LinkError> {
    Ok(store.get_local(OWN, RULE)?.as_deref().map_or(KeepRule::All, read_rule))
}

/// Whether a text is a relay's address, or empty.
///
/// # Errors
/// [`LinkError::Relay`]
pub fn check_relay(address: &str) -> Result<(), LinkError> {
    if address.is_empty() { Ok(()) } else { read_relay(address).map(drop) }
}

fn read_relay(address: &str) -> Result<RelayUrl, LinkError> {
    let wrong = || LinkError::Relay { address: address.to_owned() };
    let url: RelayUrl = address.trim().parse().map_err(|_| wrong())?;
    if matches!(url.scheme(), "https" | "http") && url.host().is_some() {
        Ok(url)
    } else {
        Err(wrong())
    }
}

fn write_key(path: &Path, key: &[u8]) -> std::io::Result<()> {
    use std::io::Write as _;
    let part = path.with_extension("part");
    let mut options = std::fs::File::options();
    options.create(true).truncate(true).write(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    let mut file = options.open(&part)?;
    file.write_all(key)?;
    file.sync_all()?;
    std::fs::rename(part, path)
}

pub(crate) fn random<const N: usize>() -> Result<[u8; N], LinkError> {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes).map_err(|_| LinkError::NoRandomness)?;
    Ok(bytes)
}

fn remember_port<S: StoreHolder>(
    shared: &Shared<S>,
    endpoint: &Endpoint,
    known: Option<u16>,
) -> Result<(), LinkError> {
    let bound = endpoint.bound_sockets().into_iter().find(SocketAddr::is_ipv4);
    if let Some(port) = bound.map(|address| address.port())
        && Some(port) != known
    {
        let mut batch = Batch::new();
        batch.put_local(OWN, PORT, port.to_le_bytes().to_vec());
        shared.holder.with_store(|store| store.commit(&batch))?;
    }
    Ok(())
}

/// Addresses kept of one device.
const KEPT_ADDRESSES: usize = 8;

fn known_addresses<S: StoreHolder>(
    shared: &Shared<S>,
    peer: PeerId,
) -> Result<Vec<SocketAddr>, LinkError> {
    let row = shared.holder.with_store(|store| store.get_local(ADDRESSES, &peer.0))?;
    let text = String::from_utf8(row.unwrap_or_default()).unwrap_or_default();
    Ok(text.lines().filter_map(|line| line.parse().ok()).collect())
}

/// Keeps the addresses of the last meetings, newest first.
pub(crate) fn keep_addresses<S: StoreHolder>(
    shared: &Shared<S>,
    peer: PeerId,
    newest: &[SocketAddr],
) -> Result<(), LinkError> {
    let known = known_addresses(shared, peer)?;
    let mut all = newest.to_vec();
    all.extend(known.iter().filter(|address| !newest.contains(address)));
    all.truncate(KEPT_ADDRESSES);
    if all == known {
        return Ok(());
    }
    let text: Vec<String> = all.iter().map(SocketAddr::to_string).collect();
    let mut batch = Batch::new();
    batch.put_local(ADDRESSES, &peer.0, text.join("\n").into_bytes());
    shared.holder.with_store(|store| store.commit(&batch))?;
    Ok(())
}

fn remember_address<S: StoreHolder>(shared: &Shared<S>, connection: &Connection, peer: PeerId) {
    let met: Vec<SocketAddr> = connection
        .paths()
        .iter()
        .filter_map(|path| match path.remote_addr() {
            TransportAddr::Ip(address) => Some(*address),
            _ => None,
        })
        .collect();
    if !met.is_empty() {
        // Only a help for next time.
        let _ = keep_addresses(shared, peer, &met);
    }
}

pub(crate) const fn write_rule(rule: KeepRule) -> &'static [u8] {
    match rule {
        KeepRule::All => b"all",
        KeepRule::OwnUntilOffice => b"own",
        KeepRule::Previews => b"previews",
    }
}

pub(crate) fn read_rule(row: &[u8]) -> KeepRule {
    match row {
        b"own" => KeepRule::OwnUntilOffice,
        b"previews" => KeepRule::Previews,
        // In doubt nothing is let go.
        _ => KeepRule::All,
    }
}
