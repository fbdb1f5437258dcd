//! The devices as they are listed, renamed and removed; pausing.

use chrono::{DateTime, Local};
use serde::{Deserialize, Serialize};
use swardbook_link::{DeviceRole, Introduction, KeepRule, PeerId};
use ts_rs::TS;

use super::{
    linked::LinkedNotebook,
    name::find,
    own::{self, OwnDevice, OwnDeviceEdit},
    status::{SyncStatus, WaitingLine},
};
use crate::{Code, Notebook, Problem, notebook::NOTEBOOK};

/// A device that holds the notebook, or did.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct DeviceLine {
    /// Its key, 64 hexadecimal digits.
    pub id: String,
    /// What it is called.
    pub name: String,
    /// `field`, `office`, `always-on`, or empty while it is not known.
    pub role: String,
    /// It is the one that this is asked on.
    pub is_this: bool,
    /// It was removed: it keeps what it has and is given nothing more.
    pub removed: bool,
    /// It is connected now.
    pub connected: bool,
    /// When it was met last, by this device's clock, as local time `2026-11-27 18:40`.
    pub last_met: Option<String>,
    /// What waits here for it; none for this one and for those removed.
    pub waiting: Option<WaitingLine>,
    /// How its program differs, or what is in the way, in words.
    pub remark: String,
}

/// The devices that hold the notebook.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct DevicesView {
    /// How this device syncs.
    pub own: OwnDevice,
    /// What it keeps of photos and files: `all`, `own-until-office` or `previews`.
    pub keep_rule: String,
    /// This device was removed from the notebook.
    pub removed_here: bool,
    /// This one first, then the others by name, those removed last.
    pub devices: Vec<DeviceLine>,
}

/// A new name or role for a device.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct RenameDevice {
    /// Name, key, or beginning of the key; `this` for the one it is asked on.
    pub device: String,
    /// What it is to be called.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub name: Option<String>,
    /// What it is for: `field`, `office` or `always-on`.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub role: Option<String>,
}

/// Removing a device.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct RemoveDevice {
    /// Name, key, or beginning of the key.
    pub device: String,
    /// Why.
    #[serde(default)]
    pub why: String,
}

/// What this device keeps of photos and files.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct KeepRuleRequest {
    /// `all`; `own-until-office`: small pictures, and what was made here until an office or an
    /// always-on device has promised to keep it; `previews`: small pictures, and what was made here
    /// until any device has.
    pub rule: String,
}

fn rule_word(rule: KeepRule) -> &'static str {
    match rule {
        KeepRule::All => "all",
        KeepRule::OwnUntilOffice => "own-until-office",
        KeepRule::Previews => "previews",
    }
}

fn read_rule(word: &str) -> Result<KeepRule, Problem> {
    match word {
        "all" => Ok(KeepRule::All),
        "own-until-office" => Ok(KeepRule::OwnUntilOffice),
        "previews" => Ok(KeepRule::Previews),
        _ => Err(Problem::bad(
            "rule",
            format!("\"{word}\" is no rule; there are all, own-until-office, previews"),
        )),
    }
}

fn local_minute(seconds: i64) -> Option<String> {
    let at = DateTime::from_timestamp(seconds, 0)?;
    Some(at.with_timezone(&Local).format("%Y-%m-%d %H:%M").to_string())
}

impl LinkedNotebook {
    /// The devices that hold the notebook, and what waits for each.
    ///
    /// # Errors
    /// [`Problem`] when the notebook cannot be read.
    pub fn devices(&self) -> Result<DevicesView, Problem> {
        let mut view = self.devices_without_waiting()?;
        for waiting in self.waiting()? {
            let id = waiting.peer.to_string();
            if let Some(line) = view.devices.iter_mut().find(|line| line.id == id) {
                line.waiting = Some(WaitingLine::new(&waiting, &line.name));
            }
        }
        Ok(view)
    }

    pub(super) fn devices_without_waiting(&self) -> Result<DevicesView, Problem> {
        let (own, (known, me), met, rule) = {
            let notebook = self.holder().lock();
            let rule = swardbook_link::kept_rule(&notebook.store)?;
            (notebook.own_device()?, notebook.devices_here()?, notebook.met()?, rule)
        };
        let live = self.if_running();
        let live = live.as_ref().map(|running| running.live().lock());
        let mut devices: Vec<DeviceLine> = known
            .iter()
            .map(|device| {
                let connected = live.as_ref().and_then(|live| live.connected.get(&device.peer));
                let problem = live.as_ref().and_then(|live| live.problems.get(&device.peer));
                let met = met.iter().find(|(peer, _)| *peer == device.peer);
                let remark = problem.cloned().or_else(|| Some(connected?.difference.clone()));
                DeviceLine {
                    id: device.peer.to_string(),
                    name: device.name.clone(),
                    role: device.role.as_ref().map_or_else(String::new, |r| r.word().to_owned()),
                    is_this: Some(device.peer) == me,
                    removed: device.removed,
                    connected: connected.is_some(),
                    last_met: met.and_then(|(_, at)| local_minute(*at)),
                    waiting: None,
                    remark: remark.unwrap_or_default(),
                }
            })
            .collect();
        let removed_here = devices.iter().any(|device| device.is_this && device.removed);
        if !devices.iter().any(|device| device.is_this) {
            devices.push(this_device(&own, me));
        }
        devices.sort_by_key(|d| (!d.is_this, d.removed, d.name.to_lowercase(), d.id.clone()));
        Ok(DevicesView { own, keep_rule: rule_word(rule).to_owned(), removed_here, devices })
    }

    /// Gives a device another name or role.
    ///
    /// # Errors
    /// [`Problem`] when there is none of that name.
    pub fn rename_device(&self, request: &RenameDevice) -> Result<DevicesView, Problem> {
        let name = request.name.as_deref().map(str::trim);
        if name.is_some_and(str::is_empty) {
            return Err(Problem::missing("name", "say what the device is to be called"));
        }
        let role = request.role.as_deref().map(own::role).transpose()?;
        if name.is_none() && role.is_none() {
            return Err(Problem::missing("name", "say the new name or the new role"));
        }
        let own = self.with(|notebook| notebook.rename_device(&request.device, name, role))?;
        if let (Some(own), Some(running)) = (own, self.if_running()) {
            let role = own::role(&own.role)?;
            running.link().introduce(Introduction { name: own.name, role });
        }
        self.news().devices();
        self.devices()
    }

    /// Removes a device from the notebook, for ever and on every device that hears of it; it keeps
    /// what it has.
    ///
    /// # Errors
    /// [`Problem`] when there is none of that name, or it is this one.
    pub fn remove_device(&self, request: &RemoveDevice) -> Result<DevicesView, Problem> {
        let (known, me) = self.holder().lock().devices_here()?;
        let device = find(&known, me, &request.device)?;
        if Some(device.peer) == me {
            return Err(Problem::refused(
                "a device does not remove itself: remove it on another one, which then gives it \
                 nothing more",
            )
            .at("device"));
        }
        if device.removed {
            return Err(
                Problem::refused(format!("{} was removed already", device.name)).at("device")
            );
        }
        self.running()?.link().remove(device.peer, &request.why)?;
        self.news().devices();
        self.devices()
    }

    /// Changes what this device keeps of photos and files.
    ///
    /// # Errors
    /// [`Problem`]
    pub fn set_keep_rule(&self, request: &KeepRuleRequest) -> Result<DevicesView, Problem> {
        self.running()?.link().set_keep_rule(read_rule(&request.rule)?)?;
        self.devices()
    }

    /// Changes how this device syncs.
    ///
    /// # Errors
    /// [`Problem`] naming the field.
    pub fn set_own_device(&self, edit: &OwnDeviceEdit) -> Result<DevicesView, Problem> {
        let mut own = self.holder().lock().own_device()?;
        let before = own.clone();
        if let Some(discovery) = edit.discovery {
            own.discovery = discovery;
        }
        if let Some(relay) = &edit.relay {
            relay.trim().clone_into(&mut own.relay);
            swardbook_link::check_relay(&own.relay)?;
        }
        if let Some(holds) = edit.holds_files {
            own.holds_files = holds;
        }
        if let Some(only_keeps) = edit.only_keeps {
            own.only_keeps = only_keeps;
        }
        self.holder().lock().keep_own_device(&own)?;
        if let Some(running) = self.if_running() {
            running.link().hold_files(own.holds_files);
            drop(running);
            if (own.discovery, &own.relay) != (before.discovery, &before.relay) {
                self.stop();
                self.start()?;
            }
        }
        self.news().devices();
        self.devices()
    }

    /// Stops exchanging until [`Self::resume`], over restarts too.
    ///
    /// # Errors
    /// [`Problem`]
    pub fn pause(&self) -> Result<SyncStatus, Problem> {
        self.keep_paused(true)?;
        self.stop();
        self.news().devices();
        self.sync_status()
    }

    /// Exchanges again.
    ///
    /// # Errors
    /// [`Problem`]
    pub fn resume(&self) -> Result<SyncStatus, Problem> {
        self.keep_paused(false)?;
        self.start()?;
        self.news().devices();
        self.sync_status()
    }

    fn keep_paused(&self, paused: bool) -> Result<(), Problem> {
        let mut notebook = self.holder().lock();
        let own = OwnDevice { paused, ..notebook.own_device()? };
        notebook.keep_own_device(&own)
    }
}

/// This device before it is listed, which is with its first invitation or its first pairing.
fn this_device(own: &OwnDevice, me: Option<PeerId>) -> DeviceLine {
    DeviceLine {
        id: me.map_or_else(String::new, |me| me.to_string()),
        name: own.name.clone(),
        role: own.role.clone(),
        is_this: true,
        removed: false,
        connected: false,
        last_met: None,
        waiting: None,
        remark: String::new(),
    }
}

impl Notebook {
    /// Renames a device in its record; this device's own name is kept on it too, and given back.
    fn rename_device(
        &mut self,
        text: &str,
        name: Option<&str>,
        role: Option<DeviceRole>,
    ) -> Result<Option<OwnDevice>, Problem> {
        let (known, me) = self.devices_here()?;
        let found = match find(&known, me, text) {
            // This one is not listed before its first pairing.
            Err(problem) if problem.code == Code::NotFound && text.trim() == "this" => None,
            found => Some(found?),
        };
        let is_this = found.as_ref().is_none_or(|device| Some(device.peer) == me);
        if let Some(device) = &found {
            if device.record.is_empty() {
                return Err(Problem::refused(format!(
                    "{}'s own record has not arrived yet; sync first",
                    device.name
                )));
            }
            let mut fields = swardbook_journal::Fields::new();
            if let Some(name) = name {
                fields.insert("name".to_owned(), swardbook_journal::Value::Text(name.to_owned()));
            }
            if let Some(role) = &role {
                let word = role.word().to_owned();
                fields.insert("role".to_owned(), swardbook_journal::Value::Text(word));
            }
            let called = name.unwrap_or(&device.name);
            let mut action = self.begin_action(format!("renamed device {called}"));
            action.write_fields(NOTEBOOK, &device.record, "device", fields, Vec::new())?;
            action.keep()?;
        }
        if !is_this {
            return Ok(None);
        }
        let mut own = self.own_device()?;
        if let Some(name) = name {
            name.clone_into(&mut own.name);
        }
        if let Some(role) = role {
            role.word().clone_into(&mut own.role);
        }
        self.keep_own_device(&own)?;
        Ok(Some(own))
    }
}
