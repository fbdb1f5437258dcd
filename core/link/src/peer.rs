//! A device's name on the network: its public key.

use std::{fmt, str::FromStr};

use iroh::EndpointId;

/// A device's public key.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PeerId(pub [u8; 32]);

impl PeerId {
    pub(crate) fn of(id: EndpointId) -> Self {
        Self(*id.as_bytes())
    }

    /// The transport's form of it; none when the bytes are no key.
    pub(crate) fn endpoint(self) -> Option<EndpointId> {
        EndpointId::from_bytes(&self.0).ok()
    }
}

impl fmt::Display for PeerId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

impl fmt::Debug for PeerId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "PeerId({self})")
    }
}

/// A text that is no device's key.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("a device's key has 64 hexadecimal digits")]
pub struct PeerIdError;

impl FromStr for PeerId {
    type Err = PeerIdError;

    fn from_str(text: &str) -> Result<Self, PeerIdError> {
        if text.len() != 64 || !text.is_ascii() {
            return Err(PeerIdError);
        }
        let mut bytes = [0; 32];
        for (byte, place) in bytes.iter_mut().zip((0..64).step_by(2)) {
            *byte = u8::from_str_radix(&text[place..place + 2], 16).map_err(|_| PeerIdError)?;
        }
        Ok(Self(bytes))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_round_trips_as_text() {
        let key = PeerId(std::array::from_fn(|i| u8::try_from(i * 7).unwrap()));
        assert_eq!(key.to_string().parse(), Ok(key), "decode(encode(x)) = x");
        assert!("zz".repeat(32).parse::<PeerId>().is_err(), "no digits");
    }
}
