//! A device in a process of its own, told what to do line by line; it can be killed.

use std::{
    io::{BufRead as _, BufReader, Write as _},
    path::Path,
    process::{Child, ChildStdin, Command, Stdio},
    sync::mpsc,
    time::Duration,
};

use crate::device::{Device, Network, bytes, open_store};

/// Names the folder to the device process, which is this same program.
pub(crate) const FOLDER: &str = "SWARDBOOK_LINK_DEVICE";
/// Marks what the process says, among what the test harness prints.
const MARK: &str = "@ ";
/// What says that the network is there, and perhaps a relay's address.
const GO: &str = "go";
/// Nothing takes this long; only a failure does.
const PATIENCE: Duration = Duration::from_secs(120);

/// The process: does what it is told until it is killed or its input ends.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn device_process() {
    // The bench has this file without its test.
    use swardbook_link::{DeviceRole, LinkEvent};
    let Ok(folder) = std::env::var(FOLDER) else { return };
    let folder = std::path::PathBuf::from(folder);
    let name = folder.file_name().unwrap().to_string_lossy().into_owned();
    let role = if name == "office" { DeviceRole::Office } else { DeviceRole::Field };
    let (lines, mut told) = tokio::sync::mpsc::unbounded_channel();
    std::thread::spawn(move || {
        for line in std::io::stdin().lines() {
            let Ok(line) = line else { return };
            if lines.send(line).is_err() {
                return;
            }
        }
    });
    // The first line says that the network is there.
    say("up");
    let begin = told.recv().await.unwrap();
    let relay = begin.strip_prefix(GO).map(str::trim).filter(|relay| !relay.is_empty());
    // A relay is tried without any other way to be found.
    let network = Network { discovery: relay.is_none(), relay: relay.map(str::to_owned) };
    let mut device = Device::start_with(&folder, &name, role, network).await;
    let link = device.link.clone();
    tokio::spawn(async move { link.keep().await });
    let (link, mut events) = (device.link.clone(), device.link.events());
    // The two people at this table always agree.
    tokio::spawn(async move {
        while let Ok(event) = events.recv().await {
            if let LinkEvent::PairingAsked { guest, .. } = event {
                link.answer_guest(guest, true).unwrap();
            }
        }
    });
    say("ready");
    while let Some(line) = told.recv().await {
        obey(&mut device, &line).await;
    }
}

async fn obey(device: &mut Device, line: &str) {
    let words: Vec<&str> = line.split(' ').collect();
    match words[..] {
        ["invite"] => say(&format!("invitation {}", device.link.invite(600).unwrap())),
        ["join", text] => {
            let joining = device.link.join(&text.parse().unwrap()).await.unwrap();
            joining.confirm().await.unwrap();
            say("joined");
        }
        ["note", key] => {
            device.note(key);
            say(&format!("noted {key}"));
        }
        ["await", key] => {
            device.until(key, |device| device.has(key)).await;
            say(&format!("has {key}"));
        }
        ["apart"] => {
            device.until("nobody there", |device| device.link.connected().is_empty()).await;
            say("apart");
        }
        ["keys"] => say(&format!("keys {}", device.keys().join(" "))),
        ["photo", key, seed, size] => {
            let photo = bytes(seed.parse().unwrap(), size.parse().unwrap());
            device.photo(key, &photo, &[]);
            say("photo");
        }
        ["photos", count, size] => {
            for seed in 0..count.parse().unwrap() {
                device.photo(&format!("photo-{seed}"), &bytes(seed, size.parse().unwrap()), &[]);
            }
            say("photos");
        }
        ["waiting"] => {
            let waiting = device.link.waiting().unwrap();
            say(&format!("waiting {}", waiting.iter().map(|one| one.photos).sum::<usize>()));
        }
        ["file", seed, size] => {
            let photo = bytes(seed.parse().unwrap(), size.parse().unwrap());
            let hash = *blake3::hash(&photo).as_bytes();
            device.until("a file", |device| device.file(hash).is_some()).await;
            assert_eq!(device.file(hash).unwrap(), photo, "byte for byte");
            say("file whole");
        }
        _ => panic!("{line} is no command"),
    }
}

pub(crate) fn say(line: &str) {
    let mut out = std::io::stdout().lock();
    writeln!(out, "\n{MARK}{line}").unwrap();
    out.flush().unwrap();
}

/// A running device process.
pub(crate) struct Process {
    pub(crate) child: Child,
    input: ChildStdin,
    output: mpsc::Receiver<String>,
}

impl Process {
    /// Starts a device in a folder, by way of another program where one is given (`unshare -n`).
    pub(crate) fn spawn(folder: &Path, by_way_of: &[&str]) -> Self {
        let this = std::env::current_exe().unwrap();
        let mut words = by_way_of.iter().map(std::ffi::OsString::from).collect::<Vec<_>>();
        words.push(this.into_os_string());
        let mut child = Command::new(&words[0])
            .args(&words[1..])
            .args(["--exact", "process::device_process", "--nocapture", "--test-threads=1"])
            .env(FOLDER, folder)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let input = child.stdin.take().unwrap();
        let said = BufReader::new(child.stdout.take().unwrap());
        let (lines, output) = mpsc::channel();
        std::thread::spawn(move || {
            for line in said.lines().map_while(Result::ok) {
                if let Some(line) = line.strip_prefix(MARK)
                    && lines.send(line.to_owned()).is_err()
                {
                    return;
                }
            }
        });
        let process = Self { child, input, output };
        process.hear("up");
        process
    }

    /// The network is there: begin.
    pub(crate) fn begin(&mut self) {
        self.tell(GO);
        self.hear("ready");
    }

    /// The same, and there is a relay.
    pub(crate) fn begin_with_relay(&mut self, relay: &str) {
        self.tell(&format!("{GO} {relay}"));
        self.hear("ready");
    }

    pub(crate) fn tell(&mut self, line: &str) {
        writeln!(self.input, "{line}").unwrap();
    }

    /// Waits for an answer that begins so, and gives back the rest.
    pub(crate) fn hear(&self, beginning: &str) -> String {
        let line = self.output.recv_timeout(PATIENCE);
        let line = line.unwrap_or_else(|error| panic!("no \"{beginning}\": {error}"));
        let rest = line.strip_prefix(beginning);
        rest.unwrap_or_else(|| panic!("\"{line}\" instead of \"{beginning}\"")).trim().to_owned()
    }

    pub(crate) fn ask(&mut self, line: &str, answer: &str) -> String {
        self.tell(line);
        self.hear(answer)
    }

    /// Whatever it said before it was killed.
    pub(crate) fn said(&self) -> Vec<String> {
        self.output.iter().collect()
    }

    pub(crate) fn kill(&mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }

    pub(crate) fn pair(inviter: &mut Self, guest: &mut Self) {
        let invitation = inviter.ask("invite", "invitation");
        guest.ask(&format!("join {invitation}"), "joined");
    }
}

impl Drop for Process {
    fn drop(&mut self) {
        // It may be gone already.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// How many times a device is killed.
const KILLS: usize = 6;

/// `SWARDBOOK_LINK_KILLS=100` kills so many times.
fn kills() -> usize {
    let asked = std::env::var("SWARDBOOK_LINK_KILLS").ok().map(|text| text.parse().unwrap());
    asked.unwrap_or(KILLS)
}

#[test]
fn devices_killed_at_any_moment_lose_no_entry_that_was_acknowledged() {
    let folder = tempfile::tempdir().unwrap();
    let (office_folder, phone_folder) = (folder.path().join("office"), folder.path().join("phone"));
    let mut office = Process::spawn(&office_folder, &[]);
    let mut phone = Process::spawn(&phone_folder, &[]);
    office.begin();
    phone.begin();
    Process::pair(&mut office, &mut phone);
    let mut kept = Vec::new();
    for round in 0..kills() {
        // A burst of entries on both sides, and a kill while they are on their way.
        let mut burst = Vec::new();
        for number in 0..8 {
            for (process, side) in [(&mut office, "office"), (&mut phone, "phone")] {
                process.tell(&format!("note {side}-{round}-{number}"));
                burst.push(format!("{side}-{round}-{number}"));
            }
        }
        let (victim, other, home) = if round % 2 == 0 {
            (&mut office, &mut phone, &office_folder)
        } else {
            (&mut phone, &mut office, &phone_folder)
        };
        // So many are acknowledged before it dies; where in the exchange that is differs by round.
        for _ in 0..=round % 8 {
            kept.push(victim.hear("noted"));
        }
        victim.kill();
        kept.extend(
            victim.said().iter().filter_map(|l| l.strip_prefix("noted ")).map(String::from),
        );
        for _ in 0..8 {
            kept.push(other.hear("noted"));
        }
        *victim = Process::spawn(home, &[]);
        victim.begin();
    }
    assert!(kept.len() > kills() * 8, "most were acknowledged: {}", kept.len());
    for process in [&mut office, &mut phone] {
        for key in &kept {
            process.ask(&format!("await {key}"), "has");
        }
    }
    let sorted = |process: &mut Process| {
        let keys = process.ask("keys", "keys");
        let mut keys: Vec<String> = keys.split(' ').map(str::to_owned).collect();
        keys.sort();
        keys
    };
    // One last entry each way: all before it has been exchanged then.
    office.ask("note last-office", "noted");
    phone.ask("note last-phone", "noted");
    phone.ask("await last-office", "has");
    office.ask("await last-phone", "has");
    assert_eq!(sorted(&mut office), sorted(&mut phone), "both hold the same");
}

/// Files that have their names, recorded or not.
fn named(folder: &Path) -> usize {
    let folders = std::fs::read_dir(folder.join("blobs")).into_iter().flatten().flatten();
    let is_place = |entry: &std::fs::DirEntry| entry.file_name().len() == 2;
    let count =
        |entry: std::fs::DirEntry| std::fs::read_dir(entry.path()).map_or(0, Iterator::count);
    folders.filter(is_place).map(count).sum()
}

#[test]
fn a_device_killed_while_photos_come_keeps_every_one_that_was_said_to_be_safe() {
    const PHOTOS: usize = 60;
    const SIZE: usize = 400_000;
    let folder = tempfile::tempdir().unwrap();
    let (office_folder, phone_folder) = (folder.path().join("office"), folder.path().join("phone"));
    let mut office = Process::spawn(&office_folder, &[]);
    let mut phone = Process::spawn(&phone_folder, &[]);
    office.begin();
    phone.begin();
    Process::pair(&mut office, &mut phone);
    phone.ask(&format!("photos {PHOTOS} {SIZE}"), "photos");
    let (mut kept, mut in_the_middle) = (0, 0);
    for round in 0..kills() {
        // Some more have come, and where in the next ones it is differs by round.
        while named(&office_folder) < (kept + 1 + round % 4).min(PHOTOS) {
            std::thread::sleep(Duration::from_millis(1));
        }
        std::thread::sleep(Duration::from_millis(3 * (round % 7) as u64));
        office.kill();
        let store = open_store(&office_folder).unwrap();
        let recorded = store.blobs().unwrap();
        recorded.iter().for_each(|(hash, _)| store.verify_blob(*hash).unwrap());
        store.close().unwrap();
        let waiting: usize = phone.ask("waiting", "waiting").parse().unwrap();
        assert!(recorded.len() >= kept, "what was recorded once stays recorded");
        kept = recorded.len();
        assert!(kept + waiting >= PHOTOS, "{kept} are kept, and {waiting} are said to wait");
        in_the_middle += usize::from(kept > 0 && kept < PHOTOS);
        office = Process::spawn(&office_folder, &[]);
        office.begin();
    }
    assert!(in_the_middle > 0, "it was killed while they came");
    for seed in 0..PHOTOS {
        office.ask(&format!("file {seed} {SIZE}"), "file whole");
    }
    let left = std::fs::read_dir(office_folder.join("blobs/arriving")).unwrap().count();
    assert_eq!(left, 0, "nothing is left over");
}
