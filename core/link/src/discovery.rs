//! Finding devices on the local networks this one is in, by multicast DNS (RFC 6762).
//!
//! It speaks on every network that this device has an address of its own in, not only on the one
//! that the system would choose: a phone's hotspot is often another.
//! What is told there is this device's key, its addresses and its port, and no name.

use std::{
    collections::{BTreeMap, BTreeSet},
    fmt,
    net::{IpAddr, Ipv4Addr, SocketAddr},
    sync::{Arc, Mutex, PoisonError},
    time::Duration,
};

use data_encoding::BASE32_NOPAD;
use iroh::{
    EndpointId, TransportAddr,
    address_lookup::{AddressLookup, EndpointData, EndpointInfo, Error, Item},
};
use swarm_discovery::{Discoverer, DropGuard, IpClass, Peer};
use tokio::sync::mpsc;
use tokio_stream::wrappers::UnboundedReceiverStream;

use crate::PeerId;

/// The name under which devices look for each other.
const SERVICE: &str = "swardbook";
/// How often it is asked who is there.
const CADENCE: Duration = Duration::from_millis(700);

type Answer = Result<Item, Error>;

/// Where devices were last seen, and who waits to be told.
#[derive(Debug, Default)]
struct Seen {
    devices: BTreeMap<PeerId, BTreeSet<SocketAddr>>,
    waiting: Vec<(PeerId, mpsc::UnboundedSender<Answer>)>,
}

/// Looks for devices, and lets them find this one, until it is dropped.
pub(crate) struct LocalLookup {
    seen: Arc<Mutex<Seen>>,
    speaking: DropGuard,
    /// The networks it speaks on, by this device's address in each.
    networks: Mutex<BTreeSet<Ipv4Addr>>,
}

impl fmt::Debug for LocalLookup {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("LocalLookup").field("networks", &self.networks).finish_non_exhaustive()
    }
}

impl LocalLookup {
    /// Begins to speak; none where the system does not allow it.
    pub(crate) fn begin(me: EndpointId) -> Option<Self> {
        let seen = Arc::<Mutex<Seen>>::default();
        let hears = Arc::clone(&seen);
        let speaking = Discoverer::new_interactive(SERVICE.to_owned(), name_of(me))
            .with_cadence(CADENCE)
            .with_ip_class(IpClass::Auto)
            .with_callback(move |name, found| {
                if let Some(peer) = read_name(name).filter(|peer| *peer != PeerId::of(me)) {
                    hear(&hears, peer, found);
                }
            })
            .spawn(&tokio::runtime::Handle::current())
            .ok()?;
        Some(Self { seen, speaking, networks: Mutex::default() })
    }
}

impl AddressLookup for LocalLookup {
    fn publish(&self, data: &EndpointData) {
        let mut addresses: BTreeMap<u16, Vec<IpAddr>> = BTreeMap::new();
        let mut now = BTreeSet::new();
        for address in data.ip_addrs() {
            addresses.entry(address.port()).or_default().push(address.ip());
            if let IpAddr::V4(own) = address.ip() {
                now.insert(own);
            }
        }
        self.speaking.remove_all();
        for (port, all) in addresses {
            self.speaking.add(port, all);
        }
        let mut networks = self.networks.lock().unwrap_or_else(PoisonError::into_inner);
        for gone in networks.difference(&now) {
            self.speaking.remove_interface_v4(*gone);
        }
        for new in now.difference(&networks) {
            self.speaking.add_interface_v4(*new);
        }
        *networks = now;
    }

    fn resolve(
        &self,
        endpoint: EndpointId,
    ) -> Option<std::pin::Pin<Box<dyn tokio_stream::Stream<Item = Answer> + Send>>> {
        let (tell, told) = mpsc::unbounded_channel();
        let peer = PeerId::of(endpoint);
        let mut seen = self.seen.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(addresses) = seen.devices.get(&peer) {
            // Whoever asked is waiting below.
            let _ = tell.send(Ok(item(endpoint, addresses)));
        }
        seen.waiting.retain(|(_, waiting)| !waiting.is_closed());
        seen.waiting.push((peer, tell));
        Some(Box::pin(UnboundedReceiverStream::new(told)))
    }
}

/// A device was seen, or has not been for a while.
fn hear(seen: &Mutex<Seen>, peer: PeerId, found: &Peer) {
    let mut seen = seen.lock().unwrap_or_else(PoisonError::into_inner);
    let Seen { devices, waiting } = &mut *seen;
    waiting.retain(|(_, waiting)| !waiting.is_closed());
    if found.is_expiry() {
        devices.remove(&peer);
        return;
    }
    let addresses: BTreeSet<SocketAddr> =
        found.addrs().iter().map(|(ip, port)| SocketAddr::new(*ip, *port)).collect();
    let Some(endpoint) = peer.endpoint() else { return };
    if devices.get(&peer) == Some(&addresses) {
        return;
    }
    for (_, tell) in waiting.iter().filter(|(wanted, _)| *wanted == peer) {
        // It may have stopped waiting.
        let _ = tell.send(Ok(item(endpoint, &addresses)));
    }
    devices.insert(peer, addresses);
}

fn item(endpoint: EndpointId, addresses: &BTreeSet<SocketAddr>) -> Item {
    let addresses = addresses.iter().map(|address| TransportAddr::Ip(*address));
    let info = EndpointInfo::from_parts(endpoint, EndpointData::new(addresses.collect()));
    Item::new(info, "local network", None)
}

/// A key as one label of a name has it, which is too short for hexadecimal digits.
fn name_of(endpoint: EndpointId) -> String {
    BASE32_NOPAD.encode(endpoint.as_bytes()).to_ascii_lowercase()
}

fn read_name(name: &str) -> Option<PeerId> {
    let bytes = BASE32_NOPAD.decode(name.to_ascii_uppercase().as_bytes()).ok()?;
    Some(PeerId(bytes.try_into().ok()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_round_trips_as_a_label() {
        let key = iroh::SecretKey::from_bytes(&[5; 32]).public();
        let name = name_of(key);
        assert!(name.len() <= 63, "RFC 1035, 2.3.4: a label has at most 63 bytes");
        assert_eq!(read_name(&name), Some(PeerId::of(key)), "decode(encode(x)) = x");
        assert_eq!(read_name("not-a-key"), None, "another's name");
    }
}
