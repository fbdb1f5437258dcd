//! Devices that have nothing of each other but a relay of one's own.
//!
//! The relay is the one that the transport's makers publish (`iroh-relay`), run here on plain HTTP:
//! what it carries is encrypted between the devices all the same.

use std::net::{Ipv4Addr, SocketAddr};

use iroh_relay::server::{RelayConfig, Server, ServerConfig};
use swardbook_link::{DeviceRole, LinkError, LinkEvent};

use crate::{
    device::{Device, Network, pair_by},
    namespaces::{self, ENTER, run},
    process::Process,
};

async fn relay_at(address: SocketAddr) -> Server {
    let mut config = ServerConfig::default();
    config.relay = Some(RelayConfig::new(address));
    Server::spawn(config).await.unwrap()
}

fn with_relay(server: &Server) -> Network {
    let address = server.http_addr().unwrap();
    Network { discovery: false, relay: Some(format!("http://{address}")) }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn devices_that_know_no_address_pair_and_exchange_by_a_relay_and_not_without_it() {
    let server = relay_at((Ipv4Addr::LOCALHOST, 0).into()).await;
    let folder = tempfile::tempdir().unwrap();
    let start = |name: &'static str, role, network| {
        let folder = folder.path().join(name);
        async move { Device::start_with(&folder, name, role, network).await }
    };
    let mut office = start("office", DeviceRole::Office, with_relay(&server)).await;
    let mut phone = start("phone", DeviceRole::Field, with_relay(&server)).await;
    let without = start("without", DeviceRole::Field, Network::default()).await;
    office.note("before pairing");
    let carried = |server: &Server| server.metrics().server.send_packets_sent.get();
    assert_eq!(carried(&server), 0, "nothing was said yet");

    let mut invitation = office.link.invite(600).unwrap();
    invitation.addresses.clear();
    let refused = without.link.join(&invitation).await;
    assert!(matches!(refused, Err(LinkError::Unreachable)), "it names no relay: {refused:?}");
    pair_by(&mut office, &mut phone, invitation).await;
    phone.until("the office's past", |phone| phone.has("before pairing")).await;
    phone.note("from far away");
    office.until("an entry from far away", |office| office.has("from far away")).await;
    assert!(carried(&server) > 0, "the relay carried what had no other way");

    // With the relay switched off there is no way at all.
    let late = start("late", DeviceRole::Field, with_relay(&server)).await;
    let address = server.http_addr().unwrap();
    server.shutdown().await.unwrap();
    let mut invitation = office.link.invite(600).unwrap();
    invitation.addresses.clear();
    let refused = late.link.join(&invitation).await;
    assert!(matches!(refused, Err(LinkError::Unreachable)), "the relay is off: {refused:?}");
    // And it is said, since nothing else shows it to those who meet on their own network.
    office.event(|event| matches!(event, LinkEvent::Relay { answers: false })).await;
    let _server = relay_at(address).await;
    office.event(|event| matches!(event, LinkEvent::Relay { answers: true })).await;
}

/// Where the relay is for both devices; each is on a network of its own.
const MIDDLE: Ipv4Addr = Ipv4Addr::new(10, 99, 0, 1);

/// Joins a device's namespace to this one by a cable, over which it reaches the relay and nothing
/// else.
fn plug_in(device: &Process, number: u8) {
    let pid = device.child.id();
    let (near, far) = (format!("near{number}"), format!("far{number}"));
    run(&format!("ip link add {near} type veth peer name {far} netns {pid}"));
    run(&format!("ip addr add 10.{number}.0.1/24 dev {near}"));
    run(&format!("ip link set {near} up"));
    run(&format!("{ENTER} {pid} ip addr add 10.{number}.0.2/24 dev {far}"));
    run(&format!("{ENTER} {pid} ip link set lo up"));
    run(&format!("{ENTER} {pid} ip link set {far} up"));
    run(&format!("{ENTER} {pid} ip route add {MIDDLE} via 10.{number}.0.1"));
}

#[test]
fn devices_on_two_networks_exchange_everything_by_a_relay_and_nothing_while_it_is_off() {
    if !namespaces::is_inside() {
        return namespaces::inside(
            "relay::devices_on_two_networks_exchange_everything_by_a_relay_and_nothing_while_it_is_off",
        );
    }
    const SIZE: usize = 3 << 20;
    run("ip link set lo up");
    run(&format!("ip addr add {MIDDLE}/32 dev lo"));
    let running = tokio::runtime::Runtime::new().unwrap();
    let server = running.block_on(relay_at((Ipv4Addr::UNSPECIFIED, 0).into()));
    let port = server.http_addr().unwrap().port();
    let address = format!("http://{MIDDLE}:{port}");

    let folder = tempfile::tempdir().unwrap();
    let mut office = Process::spawn(&folder.path().join("office"), &["unshare", "-n"]);
    let mut phone = Process::spawn(&folder.path().join("phone"), &["unshare", "-n"]);
    plug_in(&office, 71);
    plug_in(&phone, 72);
    office.begin_with_relay(&address);
    phone.begin_with_relay(&address);
    office.ask("note before-pairing", "noted");
    Process::pair(&mut office, &mut phone);
    phone.ask("await before-pairing", "has");
    phone.ask(&format!("photo of-the-verge 5 {SIZE}"), "photo");
    office.ask(&format!("file 5 {SIZE}"), "file whole");
    let carried = server.metrics().server.bytes_sent.get();
    assert!(carried > SIZE as u64, "all of it went by the relay: {carried} bytes");

    running.block_on(server.shutdown()).unwrap();
    office.ask("apart", "apart");
    phone.ask("apart", "apart");
    phone.ask("note while-it-is-off", "noted");
    assert!(!office.ask("keys", "keys").contains("while-it-is-off"), "there is no other way");
    let _server = running.block_on(relay_at((Ipv4Addr::UNSPECIFIED, port).into()));
    office.ask("await while-it-is-off", "has");
}
