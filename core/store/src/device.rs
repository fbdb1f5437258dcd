//! What ties a notebook's file to this device's folder, so that a copy is known as one.
//!
//! Two copies of one notebook must not write under one name. The notebook's file and the device
//! file hold the same nonce, and the device file remembers the folder it was made in: a file put
//! beside another device file, and a folder copied whole, are both noticed.
//! A folder that was only moved within its disk is not a copy.
//! In doubt it is one: a spare writer's name costs bytes, a shared one costs records.

use std::{fs, path::Path};

use crate::{
    StoreError,
    layout::{self, Layout},
    lock::LOCK,
    table::FORMAT,
};

/// First line of the device file, but for the number of the notebook's format.
///
/// A newer version raises the number here too, so that a file which this one cannot read at all is
/// known as newer, not taken for a damaged one.
const HEADING: &str = "swardbook device ";

/// The device file's contents.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Device {
    pub(crate) nonce: [u8; 16],
    pub(crate) actor: [u8; 16],
}

/// What was found in the device folder.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Found {
    /// A device file made in this very folder.
    Ours(Device),
    /// None, an unreadable one, or one made in another folder.
    Copied,
}

pub(crate) fn read(layout: &Layout) -> Result<Found, StoreError> {
    let folder = layout.device();
    let Ok(text) = fs::read_to_string(folder.join("identity")) else { return Ok(Found::Copied) };
    let heading = text.lines().next().and_then(|line| line.strip_prefix(HEADING));
    if let Some(found) = heading.and_then(|number| number.parse().ok())
        && found > FORMAT
    {
        let path = layout.folder().to_owned();
        return Err(StoreError::NewerFormat { path, found, known: FORMAT });
    }
    Ok(match parse(&text) {
        Some((device, made_in)) if made_in == place(&folder) => Found::Ours(device),
        _ => Found::Copied,
    })
}

pub(crate) fn write(layout: &Layout, device: &Device) -> Result<(), StoreError> {
    let folder = layout.device();
    let text = format!(
        "{HEADING}{FORMAT}\nnonce {}\nactor {}\nplace {}\n",
        hex(&device.nonce),
        hex(&device.actor),
        place(&folder)
    );
    layout::write_durably(&folder.join("identity"), text.as_bytes())
}

/// Takes away what else lies in the device folder: in a copy it belongs to the original, and two
/// devices with one key would take each other's messages.
pub(crate) fn forget_original(layout: &Layout) -> Result<(), StoreError> {
    let folder = layout.device();
    let failed = |e| StoreError::io(&folder, e);
    for entry in fs::read_dir(&folder).map_err(failed)? {
        let path = entry.map_err(failed)?.path();
        let ours = path.file_name().is_some_and(|name| name == "identity" || name == LOCK);
        if !ours {
            let gone =
                if path.is_dir() { fs::remove_dir_all(&path) } else { fs::remove_file(&path) };
            gone.map_err(failed)?;
        }
    }
    Ok(())
}

/// What a folder keeps when it is moved and a copy of it does not share.
///
/// The moment the file system made the folder; on Apple systems, where copying can carry that
/// over, and where the moment is not known, its number in the file system.
/// The number alone would not do everywhere: removable disks give new ones at each connection.
fn place(folder: &Path) -> String {
    let Ok(metadata) = fs::metadata(folder) else { return "unknown".to_owned() };
    let born = metadata.created().ok().and_then(|t| t.duration_since(std::time::UNIX_EPOCH).ok());
    match born {
        Some(born) if !cfg!(target_vendor = "apple") => format!("made {}", born.as_nanos()),
        _ => numbered(&metadata),
    }
}

#[cfg(unix)]
fn numbered(metadata: &fs::Metadata) -> String {
    format!("number {}", std::os::unix::fs::MetadataExt::ino(metadata))
}

#[cfg(not(unix))]
fn numbered(_metadata: &fs::Metadata) -> String {
    "unknown".to_owned()
}

fn parse(text: &str) -> Option<(Device, String)> {
    let mut lines = text.lines();
    lines.next()?.strip_prefix(HEADING)?;
    let nonce = unhex(lines.next()?.strip_prefix("nonce ")?)?;
    let actor = unhex(lines.next()?.strip_prefix("actor ")?)?;
    let place = lines.next()?.strip_prefix("place ")?.to_owned();
    Some((Device { nonce, actor }, place))
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

fn unhex(text: &str) -> Option<[u8; 16]> {
    if text.len() != 32 || !text.is_ascii() {
        return None;
    }
    Some(u128::from_str_radix(text, 16).ok()?.to_be_bytes())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_device_file_is_known_where_it_was_made_and_not_in_a_copy() {
        let folder = tempfile::tempdir().unwrap();
        let here = Layout::new(&folder.path().join("here"));
        let device = Device { nonce: [1; 16], actor: [2; 16] };
        layout::make_folder(&here.device()).unwrap();
        write(&here, &device).unwrap();
        assert_eq!(read(&here).unwrap(), Found::Ours(device), "in its own folder");

        let moved = Layout::new(&folder.path().join("moved"));
        fs::rename(here.folder(), moved.folder()).unwrap();
        assert_eq!(read(&moved).unwrap(), Found::Ours(device), "moved");

        let copy = Layout::new(&folder.path().join("copy"));
        layout::make_folder(&copy.device()).unwrap();
        fs::copy(moved.device().join("identity"), copy.device().join("identity")).unwrap();
        assert_eq!(read(&copy).unwrap(), Found::Copied, "copied");
    }
}
