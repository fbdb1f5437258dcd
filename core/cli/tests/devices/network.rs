//! Namespaces for devices, joined by a switch.

use std::{
    io::Write as _,
    process::{Child, Command, Stdio},
};

/// Set for the run of this program inside its own namespace.
const INSIDE: &str = "SWARDBOOK_DEVICES_NAMESPACE";

pub(crate) fn run(words: &str) {
    let mut words_of = words.split(' ');
    let done = Command::new(words_of.next().unwrap()).args(words_of).output().unwrap();
    assert!(done.status.success(), "{words}: {}", String::from_utf8_lossy(&done.stderr));
}

/// Why namespaces cannot be made here, if they cannot.
fn not_allowed() -> Option<String> {
    let tried = Command::new("unshare")
        .args(["--user", "--map-root-user", "--net", "--mount", "ip", "link", "add", "br0"])
        .args(["type", "bridge"])
        .output();
    match tried {
        Ok(done) if done.status.success() => None,
        Ok(done) => Some(String::from_utf8_lossy(&done.stderr).trim().to_owned()),
        Err(error) => Some(error.to_string()),
    }
}

/// How the devices of a test are joined.
pub(crate) enum Joined {
    /// By a switch, in namespaces.
    Switch,
    /// They are all on this machine's loopback.
    Loopback,
}

/// Runs a test of this program inside fresh namespaces; gives back how devices are joined where the
/// test is to run here and now, and nothing where it has run inside.
pub(crate) fn joined(test: &str) -> Option<Joined> {
    if std::env::var_os(INSIDE).is_some() {
        run("ip link add br0 type bridge mcast_snooping 0");
        run("ip link set br0 up");
        return Some(Joined::Switch);
    }
    if let Some(reason) = not_allowed() {
        println!("on loopback: network namespaces cannot be made here: {reason}");
        return Some(Joined::Loopback);
    }
    let status = Command::new("unshare")
        .args(["--user", "--map-root-user", "--net", "--mount"])
        .arg(std::env::current_exe().unwrap())
        .args(["--exact", test, "--nocapture"])
        .env(INSIDE, "1")
        .status()
        .unwrap();
    assert!(status.success(), "{test} inside its namespaces");
    None
}

/// The same for a test that makes no sense without a cable.
pub(crate) fn with_cables(test: &str) -> bool {
    match joined(test) {
        Some(Joined::Switch) => true,
        Some(Joined::Loopback) => {
            println!("not run: it needs a cable to pull");
            false
        }
        None => false,
    }
}

/// A namespace with one device in it, for as long as this lives.
pub(crate) struct Place {
    // Waits for its input to end; the namespace lives as long as it does.
    holder: Child,
    number: u8,
}

impl Place {
    pub(crate) fn new(number: u8) -> Self {
        let mut holder = Command::new("unshare")
            .args(["--net", "sh", "-c", "echo up; exec cat"])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut up = [0; 3];
        std::io::Read::read_exact(holder.stdout.as_mut().unwrap(), &mut up).unwrap();
        assert_eq!(&up, b"up\n", "the namespace is there");
        let place = Self { holder, number };
        let pid = place.holder.id();
        run(&format!("ip link add sw{number} type veth peer name wire netns {pid}"));
        run(&format!("ip link set sw{number} master br0"));
        run(&format!("ip link set sw{number} up"));
        place.inside("ip link set lo up");
        place.inside("ip link set wire up");
        place.take_address("10.77.0");
        place
    }

    /// Takes an address of this net, and gives up every other.
    pub(crate) fn take_address(&self, net: &str) {
        self.inside("ip addr flush dev wire");
        self.inside(&format!("ip addr add {net}.{}/24 dev wire", self.number));
        // Local discovery speaks on the interface of the multicast route.
        self.inside("ip route replace 224.0.0.0/4 dev wire");
    }

    pub(crate) fn pull(&self) {
        run(&format!("ip link set sw{} down", self.number));
    }

    pub(crate) fn plug_in(&self) {
        run(&format!("ip link set sw{} up", self.number));
    }

    fn inside(&self, words: &str) {
        run(&format!("nsenter -n -t {} {words}", self.holder.id()));
    }

    /// The program to run inside, with the words before its own.
    pub(crate) fn by_way_of(&self) -> Vec<String> {
        let pid = self.holder.id().to_string();
        ["nsenter", "-n", "-t", &pid].map(str::to_owned).to_vec()
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        if let Some(mut input) = self.holder.stdin.take() {
            let _ = input.flush();
        }
        let _ = self.holder.kill();
        let _ = self.holder.wait();
    }
}
