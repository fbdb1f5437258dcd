//! What this device is and how it syncs: kept on this device, and in no record.

use serde::{Deserialize, Serialize};
use swardbook_link::{DeviceRole, PeerId};
use swardbook_store::{Batch, LocalTable, Span, Store};
use ts_rs::TS;

use crate::{Notebook, Problem};

const OWN: LocalTable = LocalTable(3);
const KEY: &[u8] = b"own";
/// Peer -> when it was met last, seconds since 1970.
const MET: LocalTable = LocalTable(4);

/// How this device syncs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(default)]
pub struct OwnDevice {
    /// What it is called on other devices.
    pub name: String,
    /// What it is for: `field`, `office` or `always-on`.
    pub role: String,
    /// Look for paired devices on the local network, and let them find this one.
    pub discovery: bool,
    /// The address of a relay of one's own; none is used while it is empty.
    pub relay: String,
    /// Nothing is exchanged for now.
    pub paused: bool,
    /// Entries are exchanged and files are not, for a connection that is paid by the byte.
    pub holds_files: bool,
    /// It keeps the notebook for the others and writes no records itself.
    pub only_keeps: bool,
}

impl Default for OwnDevice {
    fn default() -> Self {
        let is_phone = cfg!(any(target_os = "android", target_os = "ios"));
        Self {
            name: machine_name(),
            role: if is_phone { "field" } else { "office" }.to_owned(),
            discovery: true,
            relay: String::new(),
            paused: false,
            holds_files: false,
            only_keeps: false,
        }
    }
}

/// What to change of it; what is left out stays.
#[derive(Debug, Clone, Default, Deserialize, TS)]
pub struct OwnDeviceEdit {
    /// Look for devices on the local network.
    #[serde(default)]
    #[ts(optional, as = "Option<bool>")]
    pub discovery: Option<bool>,
    /// A relay's address, such as `https://relay.example`; empty for none.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub relay: Option<String>,
    /// Hold files back.
    #[serde(default)]
    #[ts(optional, as = "Option<bool>")]
    pub holds_files: Option<bool>,
    /// Keep the notebook and write no records.
    #[serde(default)]
    #[ts(optional, as = "Option<bool>")]
    pub only_keeps: Option<bool>,
}

/// What the system calls this machine.
fn machine_name() -> String {
    let told = std::env::var("COMPUTERNAME")
        .ok()
        .or_else(|| std::fs::read_to_string("/proc/sys/kernel/hostname").ok());
    let name = told.map(|name| name.trim().to_owned()).filter(|name| !name.is_empty());
    name.unwrap_or_else(|| "this device".to_owned())
}

/// Reads a role's word.
pub(super) fn role(word: &str) -> Result<DeviceRole, Problem> {
    DeviceRole::from_word(word).ok_or_else(|| {
        Problem::bad("role", format!("\"{word}\" is no role; there are field, office, always-on"))
    })
}

impl Notebook {
    /// How this device syncs.
    ///
    /// # Errors
    /// [`Problem`] when it cannot be read.
    pub fn own_device(&self) -> Result<OwnDevice, Problem> {
        let row = self.store.get_local(OWN, KEY)?;
        Ok(row.and_then(|row| serde_json::from_slice(&row).ok()).unwrap_or_default())
    }

    pub(super) fn keep_own_device(&mut self, own: &OwnDevice) -> Result<(), Problem> {
        let bytes = serde_json::to_vec(own).expect("plain data has a JSON form");
        let mut batch = Batch::new();
        batch.put_local(OWN, KEY, bytes);
        self.store.commit(&batch)?;
        Ok(())
    }

    /// Refuses on a device that keeps the notebook for others.
    ///
    /// # Errors
    /// [`Problem`] saying so.
    pub(crate) fn must_edit(&self) -> Result<(), Problem> {
        if self.own_device()?.only_keeps {
            return Err(Problem::new(
                crate::Code::ReadOnly,
                "this device only keeps the notebook and writes no records; work on another one, \
                 or let it write with `swardbook devices this --edits`",
            ));
        }
        Ok(())
    }

    /// When each device was met last.
    pub(super) fn met(&self) -> Result<Vec<(PeerId, i64)>, Problem> {
        let rows = self.store.range_local(MET, &Span::all())?;
        Ok(rows
            .into_iter()
            .filter_map(|row| {
                let peer = PeerId(row.key.try_into().ok()?);
                Some((peer, i64::from_le_bytes(row.value.try_into().ok()?)))
            })
            .collect())
    }
}

/// Notes when a device was met.
pub(super) fn note_met(store: &mut Store, peer: PeerId, at: i64) {
    let mut batch = Batch::new();
    batch.put_local(MET, &peer.0, at.to_le_bytes().to_vec());
    // Only for people to read; what goes wrong with the disk is told by what matters more.
    let _not_noted = store.commit(&batch);
}
