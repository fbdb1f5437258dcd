//! One device in its own process, told what to do line by line.

use std::{
    io::Write as _,
    net::SocketAddr,
    path::{Path, PathBuf},
};

use iroh::{
    Endpoint, EndpointAddr, EndpointId, RelayMode, TransportAddr,
    endpoint::{Connection, presets},
};
use swardbook_link::{DeviceRole, LinkEvent, PeerId};

use crate::{
    device::{Device, pair},
    process::{FOLDER, say},
};

/// Whether this process is a device.
pub(crate) fn is_one() -> bool {
    std::env::var_os(FOLDER).is_some()
}

#[tokio::main(flavor = "multi_thread", worker_threads = 2)]
pub(crate) async fn run() {
    let folder = PathBuf::from(std::env::var_os(FOLDER).unwrap());
    let name = folder.file_name().unwrap().to_string_lossy().into_owned();
    let role = if name == "office" { DeviceRole::Office } else { DeviceRole::Field };
    let (lines, mut told) = tokio::sync::mpsc::unbounded_channel();
    std::thread::spawn(move || {
        for line in std::io::stdin().lines().map_while(Result::ok) {
            if lines.send(line).is_err() {
                return;
            }
        }
    });
    say("up");
    told.recv().await.unwrap();
    let mut side = Side { device: Device::start(&folder, &name, role).await, bare: None };
    say("ready");
    while let Some(line) = told.recv().await {
        side.obey(&line).await;
    }
}

struct Side {
    device: Device,
    bare: Option<Endpoint>,
}

const BARE: &[u8] = b"bare";
const PIECE: usize = 256 << 10;
const FILE: u64 = 4 << 20;

impl Side {
    async fn obey(&mut self, line: &str) {
        let words: Vec<&str> = line.split(' ').collect();
        match words[..] {
            ["where"] => {
                let link = &self.device.link;
                say(&format!("where {} {}", link.me(), link.addresses()[0]));
            }
            ["meet", key, address] => {
                let peer: PeerId = key.parse().unwrap();
                self.device.link.meet(peer, &[address.parse().unwrap()]).await.unwrap();
                self.equal().await;
            }
            ["equal"] => self.equal().await,
            ["photos", count] => {
                let count: usize = count.parse().unwrap();
                let here = |device: &Device| device.store().blobs().unwrap().len() >= count;
                self.device.until("all photos", here).await;
                say("photos");
            }
            ["note", key] => {
                self.device.note(key);
                say("noted");
            }
            ["has", key] => {
                self.device.until(key, |device| device.has(key)).await;
                say("has");
            }
            ["settled"] => {
                say(&format!("settled {} {}", resident("VmRSS"), resident("VmHWM")));
            }
            ["bare"] => {
                let endpoint = bare().await;
                let port = endpoint.bound_sockets()[0].port();
                let ip = self.device.link.addresses()[0].ip();
                say(&format!("bare {} {}", endpoint.id(), SocketAddr::from((ip, port))));
                self.bare = Some(endpoint.clone());
                tokio::spawn(give(endpoint));
            }
            ["take", key, address, bytes] => {
                take(key.parse().unwrap(), address.parse().unwrap(), bytes.parse().unwrap(), None)
                    .await;
                say("taken");
            }
            ["keep", key, address, bytes] => {
                let folder = self.device.folder.join("bare");
                std::fs::create_dir_all(&folder).unwrap();
                let bytes = bytes.parse().unwrap();
                let (key, address) = (key.parse().unwrap(), address.parse().unwrap());
                take(key, address, bytes, Some(&folder)).await;
                say("taken");
                std::fs::remove_dir_all(&folder).unwrap();
            }
            _ => panic!("{line} is no command"),
        }
    }

    async fn equal(&mut self) {
        self.device.event(|event| matches!(event, LinkEvent::InSync { .. })).await;
        say("equal");
    }
}

async fn bare() -> Endpoint {
    Endpoint::builder(presets::Minimal)
        .relay_mode(RelayMode::Disabled)
        .alpns(vec![BARE.to_vec()])
        .bind_addr(("0.0.0.0", 0))
        .unwrap()
        .bind()
        .await
        .unwrap()
}

/// Gives whoever asks as many bytes as it asks for.
async fn give(endpoint: Endpoint) {
    let piece = crate::device::bytes(1, PIECE);
    while let Some(incoming) = endpoint.accept().await {
        let connection = incoming.await.unwrap();
        let (mut send, mut receive) = connection.accept_bi().await.unwrap();
        let mut asked = [0; 8];
        receive.read_exact(&mut asked).await.unwrap();
        let mut left = u64::from_le_bytes(asked);
        while left > 0 {
            let now = usize::try_from(left.min(PIECE as u64)).unwrap();
            send.write_all(&piece[..now]).await.unwrap();
            left -= now as u64;
        }
        send.finish().unwrap();
        connection.closed().await;
    }
}

/// Asks for so many bytes on one stream; they are thrown away, or written as files of 4 MB.
async fn take(key: EndpointId, address: SocketAddr, bytes: u64, folder: Option<&Path>) {
    let endpoint = bare().await;
    let to = EndpointAddr::from_parts(key, [TransportAddr::Ip(address)]);
    let connection: Connection = endpoint.connect(to, BARE).await.unwrap();
    let (mut send, mut receive) = connection.open_bi().await.unwrap();
    send.write_all(&bytes.to_le_bytes()).await.unwrap();
    let mut piece = vec![0; PIECE];
    let (mut left, mut number) = (bytes, 0);
    while left > 0 {
        let length = left.min(FILE);
        let mut file = folder
            .map(|folder| std::fs::File::create(folder.join(format!("{number}.part"))).unwrap());
        let mut missing = length;
        while missing > 0 {
            let now = usize::try_from(missing.min(PIECE as u64)).unwrap();
            receive.read_exact(&mut piece[..now]).await.unwrap();
            if let Some(file) = &mut file {
                tokio::task::block_in_place(|| file.write_all(&piece[..now]).unwrap());
            }
            missing -= now as u64;
        }
        if let (Some(file), Some(folder)) = (file, folder) {
            tokio::task::block_in_place(|| {
                file.sync_all().unwrap();
                let name = |end: &str| folder.join(format!("{number}{end}"));
                std::fs::rename(name(".part"), name("")).unwrap();
                std::fs::File::open(folder).unwrap().sync_all().unwrap();
            });
        }
        left -= length;
        number += 1;
    }
    connection.close(0_u32.into(), b"");
    endpoint.close().await;
}

/// Memory of this process in KiB, as the kernel counts it.
fn resident(which: &str) -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap();
    let line = status.lines().find(|line| line.starts_with(which)).unwrap();
    line.split_whitespace().nth(1).unwrap().parse().unwrap()
}

/// Pairs two devices in this process and lets them exchange what they have.
pub(crate) async fn acquaint(office: &Path, phone: &Path) {
    let mut office = Device::start(office, "office", DeviceRole::Office).await;
    let mut phone = Device::start(phone, "phone", DeviceRole::Field).await;
    pair(&mut office, &mut phone).await;
    for device in [&mut office, &mut phone] {
        let is_done = |device: &Device| {
            device.link.waiting().unwrap().iter().all(|waiting| waiting.entries == 0)
        };
        device.until("everything exchanged", is_done).await;
    }
    phone.link.farewell().await;
    for device in [office, phone] {
        device.link.stop().await;
        let Device { store, link, .. } = device;
        drop(link);
        // Whatever still runs lets go of the store in a moment.
        while std::sync::Arc::strong_count(&store) > 1 {
            tokio::task::yield_now().await;
        }
        std::sync::Arc::into_inner(store).unwrap().into_inner().unwrap().close().unwrap();
    }
}
