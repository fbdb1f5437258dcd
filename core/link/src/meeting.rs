//! Meeting devices: dialling them, being dialled, and keeping one connection to each.

use std::{collections::HashMap, net::SocketAddr, sync::Arc, time::Duration};

use iroh::endpoint::{Connection, VarInt, WeakConnectionHandle};
use swardbook_journal::sync::Role;
use tokio::task::JoinSet;

use crate::{
    Link, LinkError, LinkEvent, PeerId, StoreHolder,
    addresses::{known_addresses, remember_address},
    endpoint::{self, PAIR, SYNC},
    exchange,
    link::lock,
};

/// How long to wait before a device that does not answer is tried again, at first and at most.
const AGAIN: (Duration, Duration) = (Duration::from_secs(5), Duration::from_secs(60));
/// The one connection to a device.
pub(crate) struct Live {
    dialler: PeerId,
    id: usize,
    pub(crate) handle: WeakConnectionHandle,
}

impl<S: StoreHolder> Link<S> {
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

/// Lets devices in for as long as the link runs.
pub(crate) async fn accept<S: StoreHolder>(link: Link<S>) {
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
