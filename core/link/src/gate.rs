//! Who is let in: nobody but paired devices, before a byte of the notebook is sent.

use std::{
    collections::BTreeSet,
    sync::{Arc, Mutex, MutexGuard, PoisonError},
};

use iroh::endpoint::{
    AfterHandshakeOutcome, Connection, EndpointHooks, Side, VarInt, WeakConnectionHandle,
};

use crate::{PeerId, endpoint::PAIR};

/// The code with which a stranger is sent away.
pub(crate) const STRANGER: u32 = 401;
/// The code with which a device is sent away that was removed while it was connected.
pub(crate) const REMOVED: u32 = 410;

/// Who is let in, and who is connected.
#[derive(Debug, Clone, Default)]
pub(crate) struct Gate(Arc<Mutex<State>>);

#[derive(Debug, Default)]
struct State {
    allowed: BTreeSet<PeerId>,
    // Weak: a strong handle would keep the connection open.
    live: Vec<(PeerId, WeakConnectionHandle)>,
}

impl Gate {
    fn state(&self) -> MutexGuard<'_, State> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Lets exactly these in from now on, and closes the connections of all others.
    pub(crate) fn allow(&self, allowed: BTreeSet<PeerId>) {
        let mut state = self.state();
        state.allowed = allowed;
        let State { allowed, live } = &mut *state;
        live.retain(|(peer, handle)| {
            let Some(connection) = handle.upgrade() else { return false };
            let stays = allowed.contains(peer) || connection.alpn() == PAIR;
            if !stays {
                connection.close(VarInt::from_u32(REMOVED), b"removed");
            }
            stays
        });
    }

    pub(crate) fn allows(&self, peer: PeerId) -> bool {
        self.state().allowed.contains(&peer)
    }

    pub(crate) fn allowed(&self) -> BTreeSet<PeerId> {
        self.state().allowed.clone()
    }
}

impl EndpointHooks for Gate {
    async fn after_handshake<'a>(&'a self, connection: &'a Connection) -> AfterHandshakeOutcome {
        let peer = PeerId::of(connection.remote_id());
        let mut state = self.state();
        // Whoever dials chose whom to dial; pairing has its own proof.
        let known = state.allowed.contains(&peer);
        if known || connection.side() == Side::Client || connection.alpn() == PAIR {
            state.live.retain(|(_, handle)| handle.upgrade().is_some());
            state.live.push((peer, connection.weak_handle()));
            AfterHandshakeOutcome::Accept
        } else {
            AfterHandshakeOutcome::Reject {
                error_code: VarInt::from_u32(STRANGER),
                reason: Vec::new(),
            }
        }
    }
}
