//! What a link is started with.

use iroh::RelayUrl;

use crate::{Clock, Introduction, LinkError};

/// What a link is started with.
#[derive(Clone)]
pub struct LinkConfig {
    /// This device's id as it stands in notes of changes.
    pub device: String,
    /// How it presents itself.
    pub introduction: Introduction,
    /// The program's version, to be shown on the other device.
    pub program: String,
    /// Reads the time.
    pub clock: Clock,
    /// Look for paired devices on the local network and let them find this one.
    ///
    /// It tells everyone on that network this device's key, address and port, and no name.
    pub discovery: bool,
    /// The address of a relay that carries what cannot go directly, such as
    /// `https://relay.example`; the same on both devices. None is used without it.
    ///
    /// A relay sees which devices talk, from where, when and how much, and nothing of what they
    /// say.
    pub relay: Option<String>,
}

impl std::fmt::Debug for LinkConfig {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("LinkConfig")
            .field("device", &self.device)
            .field("introduction", &self.introduction)
            .field("program", &self.program)
            .field("discovery", &self.discovery)
            .field("relay", &self.relay)
            .finish_non_exhaustive()
    }
}

/// Whether a text is a relay's address, or empty.
///
/// # Errors
/// [`LinkError::Relay`]
pub fn check_relay(address: &str) -> Result<(), LinkError> {
    if address.is_empty() { Ok(()) } else { read_relay(address).map(drop) }
}

pub(crate) fn read_relay(address: &str) -> Result<RelayUrl, LinkError> {
    let wrong = || LinkError::Relay { address: address.to_owned() };
    let url: RelayUrl = address.trim().parse().map_err(|_| wrong())?;
    if matches!(url.scheme(), "https" | "http") && url.host().is_some() {
        Ok(url)
    } else {
        Err(wrong())
    }
}
