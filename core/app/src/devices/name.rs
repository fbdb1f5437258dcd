//! Finding the device that a person names.

use std::collections::BTreeMap;

use swardbook_journal::{Entry, Fields, Value};
use swardbook_link::{KnownDevice, PeerId, known_devices, own_id};

use crate::{Code, Notebook, Problem, notebook::NOTEBOOK};

/// Field of a device's record.
const MARK: &str = "mark";

/// Shorter beginnings of a key are no name for a device.
const LEAST_KEY: usize = 4;

impl Notebook {
    /// The devices of the notebook, and which of them this is.
    pub(super) fn devices_here(&self) -> Result<(Vec<KnownDevice>, Option<PeerId>), Problem> {
        Ok((known_devices(&self.store)?, own_id(&self.store)?))
    }

    /// Writes under which mark this device stands in the history, into its record, so that every
    /// device can say its name there.
    pub(super) fn note_own_mark(&mut self) -> Result<(), Problem> {
        let (known, me) = self.devices_here()?;
        let own = known.into_iter().find(|device| Some(device.peer) == me);
        let Some(record) = own.map(|device| device.record).filter(|record| !record.is_empty())
        else {
            return Ok(());
        };
        let mark = Value::Text(self.device_mark().to_owned());
        let noted = self.document(NOTEBOOK)?.entry(&record);
        if noted.is_none_or(|entry| entry.fields.get(MARK) == Some(&mark)) {
            return Ok(());
        }
        let fields = Fields::from([(MARK.to_owned(), mark)]);
        let mut action = self.begin_action("noted this device's mark");
        action.write_fields(NOTEBOOK, &record, "device", fields, Vec::new())?;
        action.keep()?;
        Ok(())
    }

    /// The names of devices by the marks under which they stand in the history.
    pub(crate) fn names_by_mark(&mut self) -> Result<BTreeMap<String, String>, Problem> {
        let text = |entry: &Entry, field: &str| match entry.fields.get(field) {
            Some(Value::Text(text)) => Some(text.clone()),
            _ => None,
        };
        let devices = self.document(NOTEBOOK)?.entries_of("device");
        Ok(devices
            .iter()
            .filter_map(|entry| Some((text(entry, MARK)?, text(entry, "name")?)))
            .collect())
    }

    /// Whether there is another device to meet.
    pub(super) fn has_other_devices(&self) -> Result<bool, Problem> {
        let (known, me) = self.devices_here()?;
        Ok(known.iter().any(|device| !device.removed && Some(device.peer) != me))
    }
}

/// The device of that name, key, or beginning of a key; `this` is the one it is asked on.
pub(super) fn find(
    known: &[KnownDevice],
    me: Option<PeerId>,
    text: &str,
) -> Result<KnownDevice, Problem> {
    let wanted = text.trim().to_lowercase();
    let is_key = |device: &KnownDevice| {
        wanted.len() >= LEAST_KEY && device.peer.to_string().starts_with(&wanted)
    };
    let mut found: Vec<&KnownDevice> = known
        .iter()
        .filter(|device| match wanted.as_str() {
            "this" => Some(device.peer) == me,
            _ => device.name.to_lowercase() == wanted || is_key(device),
        })
        .collect();
    if found.len() > 1 {
        // One that was removed is meant only when no other is.
        let standing: Vec<_> = found.iter().copied().filter(|device| !device.removed).collect();
        if !standing.is_empty() {
            found = standing;
        }
    }
    match found.as_slice() {
        [device] => Ok((*device).clone()),
        [] => Err(Problem::not_found(
            "device",
            format!("there is no device \"{text}\"; `devices list` shows them"),
        )),
        _ => Err(Problem::new(
            Code::Ambiguous,
            format!(
                "{} devices are called \"{text}\": give the beginning of a key, {}",
                found.len(),
                found
                    .iter()
                    .map(|device| device.peer.to_string()[..8].to_owned())
                    .collect::<Vec<_>>()
                    .join(" or ")
            ),
        )
        .at("device")),
    }
}
