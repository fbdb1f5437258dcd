//! Where devices were met last, and the port at which this one is found again.

use std::net::SocketAddr;

use iroh::{Endpoint, TransportAddr, endpoint::Connection};
use swardbook_store::Batch;

use crate::{
    LinkError, PeerId, StoreHolder,
    shared::Shared,
    tables::{ADDRESSES, OWN},
};

/// Where this device's port stands.
pub(crate) const PORT: &[u8] = b"port";

pub(crate) fn remember_port<S: StoreHolder>(
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

pub(crate) fn known_addresses<S: StoreHolder>(
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

pub(crate) fn remember_address<S: StoreHolder>(
    shared: &Shared<S>,
    connection: &Connection,
    peer: PeerId,
) {
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
