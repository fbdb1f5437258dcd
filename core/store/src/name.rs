//! What the stored things are called.

use std::{fmt, str::FromStr};

use swardbook_units::Id;

/// A document's name: what kind it is and which one.
///
/// The store gives the kind no meaning; it keeps documents of one kind together when it lists them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct DocumentName {
    /// The kind, numbered by the caller.
    pub kind: u8,
    /// Which one.
    pub id: Id,
}

impl DocumentName {
    /// Length of the stored form.
    pub(crate) const LEN: usize = 11;

    /// The name that some bytes begin with: its kind, then its id.
    #[must_use]
    pub fn from_bytes(bytes: &[u8]) -> Option<Self> {
        Self::from_key(bytes)
    }

    pub(crate) fn to_key(self) -> [u8; Self::LEN] {
        let mut key = [self.kind; Self::LEN];
        key[1..].copy_from_slice(self.id.as_bytes());
        key
    }

    /// The name whose key begins `key`, where it is long enough to hold one.
    pub(crate) fn from_key(key: &[u8]) -> Option<Self> {
        let (kind, rest) = key.split_first()?;
        Some(Self { kind: *kind, id: Id::from_random(*rest.first_chunk()?) })
    }
}

impl fmt::Display for DocumentName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:02x}-{}", self.kind, self.id)
    }
}

impl FromStr for DocumentName {
    type Err = NameError;

    fn from_str(text: &str) -> Result<Self, NameError> {
        let (kind, id) = text.split_once('-').ok_or(NameError)?;
        if kind.len() != 2 {
            return Err(NameError);
        }
        Ok(Self {
            kind: u8::from_str_radix(kind, 16).map_err(|_| NameError)?,
            id: id.parse().map_err(|_| NameError)?,
        })
    }
}

/// A text that names no document or file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("that is not the name of a stored document or file")]
pub struct NameError;

/// Who wrote a change: the bytes of a document library's actor, 1 to 255 of them.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ActorBytes(Box<[u8]>);

impl ActorBytes {
    /// # Errors
    /// [`NameError`] for no bytes or more than 255.
    pub fn new(bytes: &[u8]) -> Result<Self, NameError> {
        if bytes.is_empty() || bytes.len() > 255 {
            return Err(NameError);
        }
        Ok(Self(bytes.into()))
    }

    /// The bytes.
    #[must_use]
    pub fn as_bytes(&self) -> &[u8] {
        &self.0
    }
}

/// One change of a document, as written and sent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// Who wrote it.
    pub actor: ActorBytes,
    /// Its number in that actor's unbroken chain.
    pub sequence: u64,
    /// Its bytes, which the store does not read.
    pub bytes: Vec<u8>,
}

/// Counts the commits of one store file; never goes back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct StoreSequence(pub u64);

/// A calendar day as a running number, days since 1970-01-01, which the caller reads off its clock.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Day(pub u32);

/// A file's name: the blake3 hash of its bytes.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct BlobHash([u8; 32]);

impl BlobHash {
    /// The name of these bytes.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        Self(*blake3::hash(bytes).as_bytes())
    }

    /// A hash that was worked out or received.
    #[must_use]
    pub const fn from_bytes(bytes: [u8; 32]) -> Self {
        Self(bytes)
    }

    /// The 32 bytes.
    #[must_use]
    pub const fn as_bytes(&self) -> &[u8; 32] {
        &self.0
    }
}

impl fmt::Display for BlobHash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

impl fmt::Debug for BlobHash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "BlobHash({self})")
    }
}

impl FromStr for BlobHash {
    type Err = NameError;

    /// Reads exactly what `Display` writes, so that a checked hash can stand in a path.
    fn from_str(text: &str) -> Result<Self, NameError> {
        let lower_hex = |b: &u8| b.is_ascii_digit() || (b'a'..=b'f').contains(b);
        if text.len() != 64 || !text.as_bytes().iter().all(lower_hex) {
            return Err(NameError);
        }
        let mut bytes = [0; 32];
        for (byte, place) in bytes.iter_mut().zip((0..64).step_by(2)) {
            *byte = u8::from_str_radix(&text[place..place + 2], 16).map_err(|_| NameError)?;
        }
        Ok(Self(bytes))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_round_trip() {
        let name = DocumentName { kind: 0xa3, id: Id::from_random(*b"0123456789") };
        assert_eq!(name.to_string().parse(), Ok(name), "as text");
        assert_eq!(DocumentName::from_key(&name.to_key()), Some(name), "as a key");
        let hash = BlobHash::from_bytes(std::array::from_fn(|i| u8::try_from(i * 7).unwrap()));
        assert_eq!(hash.to_string().parse(), Ok(hash), "as text");
    }

    #[test]
    fn a_hash_that_could_leave_its_folder_is_refused() {
        for text in ["", "../x", &"A".repeat(64), &"é".repeat(32), &"g".repeat(64)] {
            assert_eq!(text.parse::<BlobHash>(), Err(NameError), "{text}");
        }
    }
}
