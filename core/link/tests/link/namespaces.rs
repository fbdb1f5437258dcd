//! A phone and an office in two network namespaces, joined by one cable and nothing else: no
//! default route, no internet, and the cable can be pulled.
//!
//! The namespaces are made as an unprivileged user may make them; where that is not allowed the
//! test says so, and the tests on loopback have run all the same.

use std::{
    path::Path,
    process::{Command, Stdio},
};

use crate::process::Process;

/// Set for the run of this program inside its own namespace.
const INSIDE: &str = "SWARDBOOK_LINK_NAMESPACE";

pub(crate) fn run(words: &str) {
    let mut words = words.split(' ');
    let status = Command::new(words.next().unwrap()).args(words).status().unwrap();
    assert!(status.success(), "the network is set up");
}

fn are_allowed() -> Result<(), String> {
    let tried = Command::new("unshare")
        .args(["--user", "--map-root-user", "--net", "ip", "link", "add", "va", "type", "veth"])
        .args(["peer", "name", "vb"])
        .stderr(Stdio::piped())
        .output();
    match tried {
        Ok(done) if done.status.success() => Ok(()),
        Ok(done) => Err(String::from_utf8_lossy(&done.stderr).trim().to_owned()),
        Err(error) => Err(error.to_string()),
    }
}

/// Runs one of the tests below inside a fresh namespace, which becomes the office's.
pub(crate) fn inside(test: &str) {
    run_inside(&["--exact".to_owned(), test.to_owned(), "--nocapture".to_owned()]);
}

/// Runs this program inside a fresh namespace.
pub(crate) fn run_inside(words: &[String]) {
    if let Err(reason) = are_allowed() {
        println!("not run: network namespaces cannot be made here: {reason}");
        return;
    }
    let status = Command::new("unshare")
        .args(["--user", "--map-root-user", "--net"])
        .arg(std::env::current_exe().unwrap())
        .args(words)
        .env(INSIDE, "1")
        .status()
        .unwrap();
    assert!(status.success(), "{words:?} inside its namespace");
}

pub(crate) fn is_inside() -> bool {
    std::env::var_os(INSIDE).is_some()
}

pub(crate) const ENTER: &str = "nsenter -n -t";

/// The phone's end of the cable.
fn plug_in(phone: &Process) {
    let pid = phone.child.id();
    plug_in_without_route(phone);
    run("ip route add 224.0.0.0/4 dev va");
    run(&format!("{ENTER} {pid} ip route add 224.0.0.0/4 dev vb"));
}

fn plug_in_without_route(phone: &Process) {
    let pid = phone.child.id();
    // The cable to a phone that has ended goes a moment after it; without one this does nothing.
    let _none = Command::new("ip").args(["link", "del", "va"]).stderr(Stdio::null()).status();
    run(&format!("ip link add va type veth peer name vb netns {pid}"));
    run("ip addr add 10.77.0.1/24 dev va");
    run("ip link set lo up");
    run("ip link set va up");
    run(&format!("{ENTER} {pid} ip addr add 10.77.0.2/24 dev vb"));
    run(&format!("{ENTER} {pid} ip link set lo up"));
    run(&format!("{ENTER} {pid} ip link set vb up"));
}

pub(crate) fn two(folder: &Path) -> (Process, Process) {
    let mut office = Process::spawn(&folder.join("office"), &[]);
    let mut phone = Process::spawn(&folder.join("phone"), &["unshare", "-n"]);
    plug_in(&phone);
    office.begin();
    phone.begin();
    (office, phone)
}

#[test]
fn devices_find_each_other_on_a_network_that_is_not_the_systems_first_choice() {
    if !is_inside() {
        return inside(
            "namespaces::devices_find_each_other_on_a_network_that_is_not_the_systems_first_choice",
        );
    }
    let folder = tempfile::tempdir().unwrap();
    // The office has another network, and the system would speak to a group there.
    run("ip link add desk type veth peer name wall");
    run("ip addr add 10.66.0.1/24 dev desk");
    run("ip link set desk up");
    run("ip link set wall up");
    run("ip route add default dev desk");
    let mut office = Process::spawn(&folder.path().join("office"), &[]);
    let mut phone = Process::spawn(&folder.path().join("phone"), &["unshare", "-n"]);
    let pid = phone.child.id();
    plug_in_without_route(&phone);
    office.begin();
    phone.begin();
    Process::pair(&mut office, &mut phone);
    run("ip link set va down");
    office.ask("apart", "apart");
    phone.ask("apart", "apart");
    // Both come back under other addresses: what was remembered leads nowhere.
    run("ip addr flush dev va");
    run(&format!("{ENTER} {pid} ip addr flush dev vb"));
    run("ip addr add 10.78.0.1/24 dev va");
    run(&format!("{ENTER} {pid} ip addr add 10.78.0.2/24 dev vb"));
    run("ip link set va up");
    phone.ask("note from-the-hotspot", "noted");
    office.ask("await from-the-hotspot", "has");
}

/// The bytes of files that are on their way.
fn arriving(folder: &Path) -> u64 {
    let parts = std::fs::read_dir(folder.join("blobs/arriving"));
    parts
        .into_iter()
        .flatten()
        .flatten()
        .filter_map(|part| part.metadata().ok())
        .map(|m| m.len())
        .sum()
}

const SIZE: usize = 48 << 20;

fn until_arriving(folder: &Path) -> u64 {
    loop {
        let there = arriving(folder);
        if there > 1 << 20 {
            return there;
        }
        std::thread::yield_now();
    }
}

/// What was there is not fetched again, but for the last part of 16 KiB.
fn goes_on(folder: &Path, there: u64) {
    loop {
        let now = arriving(folder);
        if now == 0 {
            return;
        }
        assert!(now + (16 << 10) >= there, "{now} bytes where there were {there}");
        std::thread::yield_now();
    }
}

#[test]
fn two_devices_with_a_cable_and_no_internet_exchange_everything() {
    if !is_inside() {
        return inside("namespaces::two_devices_with_a_cable_and_no_internet_exchange_everything");
    }
    let folder = tempfile::tempdir().unwrap();
    let (mut office, mut phone) = two(folder.path());
    office.ask("note before-pairing", "noted");
    Process::pair(&mut office, &mut phone);
    phone.ask("await before-pairing", "has");
    phone.ask("note from-the-yard", "noted");
    office.ask("await from-the-yard", "has");
}

#[test]
fn a_cable_pulled_in_the_middle_of_a_photo_costs_no_byte_of_it() {
    if !is_inside() {
        return inside("namespaces::a_cable_pulled_in_the_middle_of_a_photo_costs_no_byte_of_it");
    }
    let folder = tempfile::tempdir().unwrap();
    let (mut office, mut phone) = two(folder.path());
    Process::pair(&mut office, &mut phone);
    phone.ask(&format!("photo of-the-verge 3 {SIZE}"), "photo");
    let home = folder.path().join("office");
    until_arriving(&home);
    run("ip link set va down");
    // Long enough that both give the connection up.
    office.ask("apart", "apart");
    phone.ask("apart", "apart");
    let there = arriving(&home);
    assert!(there > 0 && there < SIZE as u64, "cut in the middle: {there} bytes");
    office.ask("note office-apart", "noted");
    phone.ask("note phone-apart", "noted");
    run("ip link set va up");
    run("ip route add 224.0.0.0/4 dev va");
    office.ask("await phone-apart", "has");
    phone.ask("await office-apart", "has");
    goes_on(&home, there);
    office.ask(&format!("file 3 {SIZE}"), "file whole");
}

#[test]
fn a_device_killed_in_the_middle_of_a_photo_goes_on_where_it_was() {
    if !is_inside() {
        return inside("namespaces::a_device_killed_in_the_middle_of_a_photo_goes_on_where_it_was");
    }
    let folder = tempfile::tempdir().unwrap();
    let home = folder.path().join("office");
    let (mut office, mut phone) = two(folder.path());
    Process::pair(&mut office, &mut phone);
    phone.ask(&format!("photo of-the-verge 4 {SIZE}"), "photo");
    until_arriving(&home);
    office.kill();
    let there = arriving(&home);
    assert!(there > 1 << 20, "the beginning is on the disk: {there} bytes");
    assert!(there < SIZE as u64, "and not all of it");
    let mut office = Process::spawn(&home, &[]);
    office.begin();
    goes_on(&home, there);
    office.ask(&format!("file 4 {SIZE}"), "file whole");
    assert_eq!(arriving(&home), 0, "nothing is left over");
}
