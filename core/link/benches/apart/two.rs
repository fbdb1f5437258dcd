//! Two devices that met before and then were apart, each a process of its own.

use std::{
    fs,
    path::{Path, PathBuf},
    sync::OnceLock,
    time::Duration,
};

use swardbook_link::parts::Parts;
use swardbook_testkit::stop_watch;

use crate::{entries, namespaces, process::Process, side};

/// Two notebooks as they are when the devices meet again, kept to be taken up by each sample.
pub(crate) struct World {
    folder: PathBuf,
    /// Bytes that the exchange carries.
    pub(crate) bytes: u64,
    photos: u32,
    /// Where the time of an exchange without a network went.
    pub(crate) parts: Parts,
    /// What the document library alone takes for it.
    pub(crate) floor: Duration,
}

const PHOTOS: u32 = 200;

/// What belongs to the past of a notebook and is put back before each sample.
const BOOK: &str = "notebook.redb";

impl World {
    /// 200 zones with some entries each that both hold, and a season that they do not: 20 on each
    /// zone by the phone and 5 by the office.
    pub(crate) fn season() -> &'static Self {
        static WORLD: OnceLock<World> = OnceLock::new();
        WORLD.get_or_init(|| {
            let folder = fresh("season");
            let (office, phone) = (folder.join("office"), folder.join("phone"));
            make(&office);
            make(&phone);
            entries::write(&phone, "phone", entries::BEFORE);
            tokio::runtime::Runtime::new().unwrap().block_on(side::acquaint(&office, &phone));
            entries::write(&phone, "phone", entries::PHONE);
            entries::write(&office, "office", entries::OFFICE);
            let mut world = Self::keep(folder, 0, 0);
            world.floor = entries::floor(&office, &phone);
            world.parts = entries::parts(&office, &phone);
            world.bytes = world.parts.bytes;
            world
        })
    }

    /// 200 photos on the phone.
    pub(crate) fn photos() -> &'static Self {
        static WORLD: OnceLock<World> = OnceLock::new();
        WORLD.get_or_init(|| {
            let folder = fresh("photos");
            let (office, phone) = (folder.join("office"), folder.join("phone"));
            make(&office);
            make(&phone);
            tokio::runtime::Runtime::new().unwrap().block_on(side::acquaint(&office, &phone));
            entries::photograph(&phone, PHOTOS);
            Self::keep(folder, u64::from(PHOTOS) * (4 << 20), PHOTOS)
        })
    }

    fn keep(folder: PathBuf, bytes: u64, photos: u32) -> Self {
        for side in ["office", "phone"] {
            fs::copy(folder.join(side).join(BOOK), folder.join(format!("{side}.kept"))).unwrap();
        }
        Self { folder, bytes, photos, parts: Parts::default(), floor: Duration::ZERO }
    }

    /// Both devices, started, as they are when they meet again.
    pub(crate) fn start(&self) -> Two {
        for side in ["office", "phone"] {
            let kept = self.folder.join(format!("{side}.kept"));
            fs::copy(kept, self.folder.join(side).join(BOOK)).unwrap();
        }
        let arrived = self.folder.join("office/blobs");
        if arrived.exists() {
            fs::remove_dir_all(&arrived).unwrap();
        }
        let (mut office, mut phone) = if namespaces::is_inside() {
            namespaces::two(&self.folder)
        } else {
            let [mut office, mut phone] =
                ["office", "phone"].map(|side| Process::spawn(&self.folder.join(side), &[]));
            office.begin();
            phone.begin();
            (office, phone)
        };
        let _ = (office.ask("settled", "settled"), phone.ask("settled", "settled"));
        Two { office, phone, photos: self.photos }
    }
}

fn make(folder: &Path) {
    fs::create_dir_all(folder).unwrap();
    drop(swardbook_store::Store::create(folder, crate::device::randomness()).unwrap());
}

fn fresh(name: &str) -> PathBuf {
    let target = std::env::current_exe().unwrap();
    // target/release/deps/apart-0123456789abcdef
    let folder = target.ancestors().nth(3).unwrap().join("bench-apart").join(name);
    if folder.exists() {
        fs::remove_dir_all(&folder).unwrap();
    }
    fs::create_dir_all(&folder).unwrap();
    folder
}

/// Two running devices that have not met yet.
pub(crate) struct Two {
    office: Process,
    phone: Process,
    photos: u32,
}

impl Two {
    /// Has them meet, and waits until both know that they are equal.
    pub(crate) fn meet(mut self) -> Self {
        let there = self.phone.ask("where", "where");
        self.office.ask(&format!("meet {there}"), "equal");
        self.phone.ask("equal", "equal");
        self
    }

    /// Has them meet, and waits until every photo is on the other.
    pub(crate) fn meet_for_photos(mut self) -> Self {
        let there = self.phone.ask("where", "where");
        self.office.ask(&format!("meet {there}"), "equal");
        self.office.ask(&format!("photos {}", self.photos), "photos");
        self
    }

    /// The same number of bytes from the phone to the office on a bare stream.
    pub(crate) fn bare(self, bytes: u64) -> Self {
        self.stream("take", bytes)
    }

    /// And each 4 MB of it to the disk.
    pub(crate) fn bare_to_disk(self, bytes: u64) -> Self {
        self.stream("keep", bytes)
    }

    fn stream(mut self, what: &str, bytes: u64) -> Self {
        let there = self.phone.ask("bare", "bare");
        self.office.ask(&format!("{what} {there} {bytes}"), "taken");
        self
    }

    /// Memory of both, before meeting and at most, in MiB.
    pub(crate) fn memory(mut self) -> [(&'static str, [u64; 2]); 2] {
        let ask = |process: &mut Process| {
            let said = process.ask("settled", "settled");
            let mut numbers = said.split(' ').map(|number| number.parse::<u64>().unwrap() >> 10);
            [numbers.next().unwrap(), numbers.next().unwrap()]
        };
        let before = [ask(&mut self.office)[0], ask(&mut self.phone)[0]];
        let mut two = if self.photos > 0 { self.meet_for_photos() } else { self.meet() };
        let most = [ask(&mut two.office)[1], ask(&mut two.phone)[1]];
        [("the office", [before[0], most[0]]), ("the phone", [before[1], most[1]])]
    }

    /// How long each of so many entries takes from being written on one device to being safe on the
    /// other.
    pub(crate) fn live(self, count: usize) -> Vec<Duration> {
        let mut two = self.meet();
        let mut times = Vec::new();
        for number in 0..count {
            let begun = stop_watch();
            two.phone.tell(&format!("note live-{number}"));
            two.office.ask(&format!("has live-{number}"), "has");
            times.push(stop_watch() - begun);
            two.phone.hear("noted");
        }
        times
    }
}

/// Runs this program in a network namespace of its own, where that is wished.
pub(crate) fn goes_inside() -> bool {
    if namespaces::is_inside() {
        namespaces::run("ip link set lo up");
        return false;
    }
    if std::env::var_os("SWARDBOOK_NAMESPACES").is_some() {
        let words: Vec<String> = std::env::args().skip(1).collect();
        namespaces::run_inside(&words);
        return true;
    }
    false
}
