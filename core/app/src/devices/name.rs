//! Finding the device that a person names.

use swardbook_link::{KnownDevice, PeerId, known_devices, own_id};

use crate::{Code, Notebook, Problem};

/// Shorter beginnings of a key are no name for a device.
const LEAST_KEY: usize = 4;

impl Notebook {
    /// The devices of the notebook, and which of them this is.
    pub(super) fn devices_here(&self) -> Result<(Vec<KnownDevice>, Option<PeerId>), Problem> {
        Ok((known_devices(&self.store)?, own_id(&self.store)?))
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
