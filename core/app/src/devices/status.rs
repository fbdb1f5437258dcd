//! How syncing stands, in numbers and in words.

use std::collections::BTreeMap;

use serde::Serialize;
use swardbook_link::{Ledger, PeerId, Waiting};
use ts_rs::TS;

use super::{linked::LinkedNotebook, view::DevicesView};
use crate::{Problem, dto::counted};

/// What waits here for one device.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct WaitingLine {
    /// The device, by its key.
    pub device: String,
    /// What it is called.
    pub name: String,
    /// Entries it has not confirmed.
    pub entries: u32,
    /// Photos it keeps by its rule and has not confirmed.
    pub photos: u32,
    /// Small pictures, likewise.
    pub previews: u32,
    /// Laboratories' papers, likewise.
    pub papers: u32,
    /// The bytes of these files, as far as entries say them.
    #[ts(type = "number")]
    pub bytes: u64,
    /// In words, such as "7 entries, 3 photos"; empty when nothing waits.
    pub words: String,
}

/// How syncing stands.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct SyncStatus {
    /// `gone` (the notebook's folder is no longer there), `alone` (no other device holds the
    /// notebook), `removed` (this one was removed), `paused`,
    /// `elsewhere` (another program has the notebook open and syncs it), `stopped` (nothing runs),
    /// `apart` (no device answers), `working`, or `in-sync`.
    pub state: String,
    /// In a sentence.
    pub words: String,
    /// Devices that are connected.
    pub connected: Vec<String>,
    /// What waits for each device.
    pub waiting: Vec<WaitingLine>,
    /// Files that are still to come here.
    pub files_to_come: u32,
    /// Their bytes, as far as known.
    #[ts(type = "number")]
    pub bytes_to_come: u64,
    /// Bytes carried a second, both ways together; none when nothing was lately.
    pub bytes_a_second: Option<f64>,
    /// About how long the known bytes will take; none when it cannot be told.
    pub seconds_left: Option<f64>,
    /// Documents that arrived since the link was started.
    pub arrived_documents: u32,
    /// Files that arrived since then.
    pub arrived_files: u32,
    /// What is in the way, with the device's name.
    pub problems: Vec<String>,
}

fn number(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}

impl WaitingLine {
    pub(super) fn new(waiting: &Waiting, name: &str) -> Self {
        let mut line = Self {
            device: waiting.peer.to_string(),
            name: name.to_owned(),
            entries: number(waiting.entries),
            photos: number(waiting.photos),
            previews: number(waiting.previews),
            papers: number(waiting.papers),
            bytes: waiting.bytes,
            words: String::new(),
        };
        let mut parts = Vec::new();
        if line.entries > 0 {
            parts.push(counted(line.entries, "entry", "entries"));
        }
        if line.photos > 0 {
            parts.push(counted(line.photos, "photo", "photos"));
        } else if line.previews > 0 {
            parts.push(counted(line.previews, "small picture", "small pictures"));
        }
        if line.papers > 0 {
            parts.push(counted(line.papers, "laboratory file", "laboratory files"));
        }
        line.words = parts.join(", ");
        line
    }

    fn waits(&self) -> bool {
        !self.words.is_empty()
    }
}

impl LinkedNotebook {
    /// What waits here for each other device.
    pub(super) fn waiting(&self) -> Result<Vec<Waiting>, Problem> {
        if let Some(running) = self.if_running() {
            return Ok(running.link().waiting()?);
        }
        let mark = self.holder().lock().device_mark().to_owned();
        Ok(Ledger::default().waiting(&**self.holder(), &mark)?)
    }

    /// How syncing stands.
    ///
    /// # Errors
    /// [`Problem`] when the notebook cannot be read.
    pub fn sync_status(&self) -> Result<SyncStatus, Problem> {
        let DevicesView { own, devices, removed_here, .. } = self.devices_without_waiting()?;
        let others: Vec<_> = devices.iter().filter(|d| !d.is_this && !d.removed).collect();
        let names: BTreeMap<&str, &str> =
            others.iter().map(|device| (device.id.as_str(), device.name.as_str())).collect();
        let is_writable = self.holder().lock().is_writable();
        let waiting: Vec<WaitingLine> = self
            .waiting()?
            .iter()
            .map(|one| {
                let key = one.peer.to_string();
                WaitingLine::new(one, names.get(key.as_str()).copied().unwrap_or_default())
            })
            .collect();
        let mut status = SyncStatus {
            state: String::new(),
            words: String::new(),
            connected: others.iter().filter(|d| d.connected).map(|d| d.name.clone()).collect(),
            waiting,
            files_to_come: 0,
            bytes_to_come: 0,
            bytes_a_second: None,
            seconds_left: None,
            arrived_documents: 0,
            arrived_files: 0,
            problems: Vec::new(),
        };
        let mut are_equal = true;
        let running = self.if_running();
        if let Some(running) = &running {
            let (progress, speed) = running.progress();
            status.files_to_come = number(progress.files);
            status.bytes_to_come = progress.bytes;
            status.bytes_a_second = speed;
            let connected = |line: &&WaitingLine| status.connected.contains(&line.name);
            let going: u64 = status.waiting.iter().filter(connected).map(|line| line.bytes).sum();
            let left = going.saturating_add(progress.bytes);
            #[expect(clippy::cast_precision_loss, reason = "a time for people")]
            let seconds = speed.filter(|_| left > 0).map(|speed| left as f64 / speed);
            status.seconds_left = seconds;
            let live = running.live().lock();
            (status.arrived_documents, status.arrived_files) = live.arrived;
            are_equal = live.connected.keys().all(|peer| live.equal.contains(peer));
            status.problems = problems(&live.problems, &names);
            if live.relay_is_silent {
                status.problems.push(format!(
                    "the relay {} does not answer: devices on other networks are not reached; see \
                     that it runs and that its address is right",
                    own.relay
                ));
            }
        }
        if let (None, Some(trouble)) = (&running, self.trouble()) {
            status.problems.push(trouble.message);
        }
        status.state = if !self.is_here() {
            status.problems.push(format!(
                "the folder {} is gone: put it back where it was, or close this and open the \
                 notebook where it is now",
                self.folder().display()
            ));
            "gone"
        } else if removed_here {
            "removed"
        } else if others.is_empty() {
            "alone"
        } else if !is_writable {
            "elsewhere"
        } else if own.paused {
            "paused"
        } else if running.is_none() {
            "stopped"
        } else if status.connected.is_empty() {
            "apart"
        } else if !are_equal || status.files_to_come > 0 || met_and_waiting(&status) {
            "working"
        } else {
            "in-sync"
        }
        .to_owned();
        status.words = sentence(&status);
        Ok(status)
    }
}

fn problems(problems: &BTreeMap<PeerId, String>, names: &BTreeMap<&str, &str>) -> Vec<String> {
    let named = |(peer, problem): (&PeerId, &String)| {
        let key = peer.to_string();
        let name = names.get(key.as_str()).copied().unwrap_or("a device");
        format!("{name}: {problem}")
    };
    problems.iter().map(named).collect()
}

fn met_and_waiting(status: &SyncStatus) -> bool {
    status.waiting.iter().any(|line| line.waits() && status.connected.contains(&line.name))
}

fn sentence(status: &SyncStatus) -> String {
    let waits: Vec<String> = status
        .waiting
        .iter()
        .filter(|line| line.waits())
        .map(|line| format!("{} not yet at {}", line.words, line.name))
        .collect();
    let mut parts = match status.state.as_str() {
        "gone" => {
            return "The folder of this notebook is gone; nothing more can be kept.".to_owned();
        }
        "removed" => {
            return "This device was removed from the notebook. It keeps what it has and gets \
                    nothing new."
                .to_owned();
        }
        "alone" => return "Only this device holds the notebook.".to_owned(),
        "paused" => vec!["sync is paused".to_owned()],
        _ => Vec::new(),
    };
    let nothing_waits = waits.is_empty();
    parts.extend(waits);
    if status.files_to_come > 0 {
        let files = counted(status.files_to_come, "file", "files");
        parts.push(format!("{files} still to come here"));
    }
    if nothing_waits && status.files_to_come == 0 {
        parts.push(match status.state.as_str() {
            "in-sync" => format!("the same as on {}", status.connected.join(" and ")),
            "working" => format!("comparing with {}", status.connected.join(" and ")),
            _ => "nothing waits here for another device".to_owned(),
        });
    }
    let words = parts.join("; ");
    let mut letters = words.chars();
    let first = letters.next().map(|first| first.to_uppercase().to_string()).unwrap_or_default();
    format!("{first}{}.", letters.as_str())
}
