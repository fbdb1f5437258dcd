//! The device's place on the network: opening it and reaching others.

use std::{net::SocketAddr, time::Duration};

use iroh::{
    Endpoint, EndpointAddr, RelayMode, RelayUrl, SecretKey, TransportAddr,
    endpoint::{
        ConnectOptions, ConnectingError, Connection, ConnectionError, QuicTransportConfig, VarInt,
        presets,
    },
};

use crate::{
    LinkError, PeerId,
    gate::{Gate, REMOVED, STRANGER},
};

/// The exchange of a notebook; the number is the version of the wire.
pub(crate) const SYNC: &[u8] = b"swardbook/sync/2";
/// Pairing.
pub(crate) const PAIR: &[u8] = b"swardbook/pair/2";

/// How long to wait for an answer; the transport itself would wait for 30 s.
const PATIENCE: Duration = Duration::from_secs(5);
/// A connection without a sign of life ends after this.
const IDLE: Duration = Duration::from_secs(8);
/// How often a sign of life is sent.
const SIGN: Duration = Duration::from_secs(2);

/// How often a remembered port is tried before another is taken.
const PORT_TRIES: usize = 10;

/// Opens the network: direct addresses only and nothing published; a relay only where the person
/// named one.
///
/// A remembered port is taken again where it is free, so that addresses others remember stay good.
pub(crate) async fn bind(
    key: SecretKey,
    gate: Gate,
    port: Option<u16>,
    relay: Option<&RelayUrl>,
) -> Result<Endpoint, LinkError> {
    if let Some(port) = port {
        // A link that has just ended gives its port back a moment later.
        let mut again = tokio::time::interval(Duration::from_millis(100));
        for _ in 0..PORT_TRIES {
            again.tick().await;
            if let Ok(endpoint) = bind_at(key.clone(), gate.clone(), port, relay).await {
                return Ok(endpoint);
            }
        }
    }
    bind_at(key, gate, 0, relay).await
}

async fn bind_at(
    key: SecretKey,
    gate: Gate,
    port: u16,
    relay: Option<&RelayUrl>,
) -> Result<Endpoint, LinkError> {
    let failed = |reason: String| LinkError::Bind { reason };
    let idle = IDLE.try_into().expect("eight seconds fit");
    // The windows stay at their defaults: larger ones ended connections.
    let quic = QuicTransportConfig::builder()
        .max_idle_timeout(Some(idle))
        .default_path_max_idle_timeout(IDLE)
        .keep_alive_interval(SIGN)
        .default_path_keep_alive_interval(SIGN)
        .build();
    Endpoint::builder(presets::Minimal)
        .secret_key(key)
        .relay_mode(relay.map_or(RelayMode::Disabled, |url| RelayMode::Custom(url.clone().into())))
        .alpns(vec![SYNC.to_vec()])
        .transport_config(quic)
        .hooks(gate)
        .bind_addr(("0.0.0.0", port))
        .map_err(|error| failed(error.to_string()))?
        .bind()
        .await
        .map_err(|error| failed(error.to_string()))
}

/// Reaches a device at any of its addresses, or wherever the local network finds it.
pub(crate) async fn dial(
    endpoint: &Endpoint,
    peer: PeerId,
    addresses: &[SocketAddr],
    alpn: &[u8],
    relay: Option<&RelayUrl>,
) -> Result<Connection, LinkError> {
    let id = peer.endpoint().ok_or(LinkError::NotPaired)?;
    let mut to = EndpointAddr::new(id);
    to.addrs.extend(addresses.iter().map(|address| TransportAddr::Ip(*address)));
    // Both devices name the same relay.
    to.addrs.extend(relay.cloned().map(TransportAddr::Relay));
    let reach = async {
        let options = ConnectOptions::new();
        let connecting = endpoint
            .connect_with_opts(to, alpn, options)
            .await
            .map_err(|_| LinkError::Unreachable)?;
        connecting.await.map_err(|error| why_not(&error))
    };
    tokio::time::timeout(PATIENCE, reach).await.map_err(|_| LinkError::Unreachable)?
}

/// TLS's alert 120, no application protocol in common, as QUIC carries it (RFC 9001, 4.8).
const NOTHING_IN_COMMON: u64 = 0x100 + 120;

fn why_not(error: &ConnectingError) -> LinkError {
    match error {
        ConnectingError::ConnectionError {
            source: ConnectionError::ConnectionClosed(closed),
            ..
        } if u64::from(closed.error_code) == NOTHING_IN_COMMON => LinkError::NoCommonVersion,
        _ => LinkError::Unreachable,
    }
}

/// Why a connection ended, as far as the other said.
pub(crate) fn end_of(connection: &Connection) -> LinkError {
    match connection.close_reason() {
        Some(ConnectionError::ApplicationClosed(closed))
            if closed.error_code == VarInt::from_u32(STRANGER)
                || closed.error_code == VarInt::from_u32(REMOVED) =>
        {
            LinkError::Refused
        }
        _ => LinkError::Lost,
    }
}

/// The system tells its addresses a moment after the port is open; without any network, never.
pub(crate) async fn wait_for_addresses(endpoint: &Endpoint) {
    let known = async {
        let mut look = tokio::time::interval(Duration::from_millis(10));
        while endpoint.addr().ip_addrs().next().is_none() {
            look.tick().await;
        }
    };
    // Without an address there is still this machine itself.
    let _ = tokio::time::timeout(Duration::from_millis(500), known).await;
}

/// The addresses at which this device can be reached on the networks it is in.
pub(crate) fn addresses(endpoint: &Endpoint) -> Vec<SocketAddr> {
    let mut addresses: Vec<SocketAddr> = endpoint.addr().ip_addrs().copied().collect();
    if addresses.is_empty() {
        // Without any network there is still this machine itself.
        addresses.extend(
            endpoint
                .bound_sockets()
                .into_iter()
                .filter(SocketAddr::is_ipv4)
                .map(|bound| SocketAddr::from(([127, 0, 0, 1], bound.port()))),
        );
    }
    addresses
}
