//! The first words of both devices: what each speaks, and what they have in common.

use std::collections::BTreeSet;

use super::bytes::{Malformed, Reader, Writer};

/// The newest version of the exchange that this program speaks, and the one it is written in.
pub const VERSION: u32 = 2;

/// The oldest version that it still speaks.
pub const OLDEST: u32 = 2;

/// What tells a device's store from an earlier one of the same device.
pub type Nonce = [u8; 8];

/// The first thing each device says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hello {
    /// Oldest version of the exchange it speaks.
    pub oldest: u32,
    /// Newest version it speaks.
    pub newest: u32,
    /// Kinds of document it knows, each less than 64.
    pub kinds: BTreeSet<u8>,
    /// Highest schema it reads without loss.
    pub schema: u32,
    /// What tells its store from an earlier one under the same key; a new one means that nothing
    /// remembered holds.
    pub nonce: Nonce,
    /// The beginning of the other's nonce as it remembers it; zeros for nothing. It only decides
    /// where the exchange begins.
    pub remembers: [u8; 4],
    /// The program's version, to be shown.
    pub program: String,
}

/// What two devices have in common.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Speech {
    /// The version of the exchange.
    pub version: u32,
    /// Kinds of document that both know.
    pub kinds: BTreeSet<u8>,
    /// Each remembers the other as it is.
    pub both_remember: bool,
}

/// Longest program version that is read.
const PROGRAM_LEN: usize = 64;

impl Hello {
    pub(super) fn write(&self, out: &mut Writer) {
        out.number(u64::from(self.oldest));
        out.number(u64::from(self.newest));
        // One bit for each.
        let known = self.kinds.iter().filter(|kind| **kind < 64);
        out.number(known.fold(0, |bits, kind| bits | 1 << kind));
        out.number(u64::from(self.schema));
        out.fixed(&self.nonce);
        out.fixed(&self.remembers);
        out.string(self.program.as_bytes());
    }

    /// What a newer version says after these fields is not read.
    pub(super) fn read(from: &mut Reader<'_>) -> Result<Self, Malformed> {
        let small = |number: u64| u32::try_from(number).map_err(|_| Malformed("a version number"));
        let oldest = small(from.number()?)?;
        let newest = small(from.number()?)?;
        let bits = from.number()?;
        let kinds = (0..64).filter(|kind| bits >> kind & 1 == 1).collect();
        let schema = small(from.number()?)?;
        let nonce = from.fixed()?;
        let remembers = from.fixed()?;
        let program = String::from_utf8_lossy(from.string()?);
        let program = program.chars().filter(|c| !c.is_control()).take(PROGRAM_LEN).collect();
        Ok(Self { oldest, newest, kinds, schema, nonce, remembers, program })
    }
}

/// What both speak; none when there is no version in common.
#[must_use]
pub fn speech(mine: &Hello, theirs: &Hello) -> Option<Speech> {
    let version = mine.newest.min(theirs.newest);
    (version >= mine.oldest.max(theirs.oldest)).then(|| Speech {
        version,
        kinds: mine.kinds.intersection(&theirs.kinds).copied().collect(),
        both_remember: theirs.nonce.starts_with(&mine.remembers)
            && mine.nonce.starts_with(&theirs.remembers),
    })
}
