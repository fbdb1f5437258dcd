//! What the notebook's file was like when it was last closed in good order.
//!
//! While it still is, opening looks no further. When it is not, because the program was ended, the
//! machine stopped, or something else wrote to the file or damaged it, everything is looked at.

use std::{
    fs::{self, File},
    io,
    path::Path,
    time::UNIX_EPOCH,
};

use crate::{
    StoreError,
    layout::{self, Layout},
};

/// First line.
const HEADING: &str = "swardbook closed 1";

/// Files up to this size are compared byte for byte, by their hash; reading one takes some
/// milliseconds. Larger ones are compared by length and time of the last write.
const HASHED: u64 = 16 << 20;

/// The state of a notebook's file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Closed {
    length: u64,
    /// Nanoseconds since 1970; 0 where the hash says more.
    modified: u128,
    hash: Option<String>,
    /// The number of its last commit.
    pub(crate) sequence: u64,
}

impl Closed {
    fn of(path: &Path, sequence: u64) -> io::Result<Self> {
        let metadata = fs::metadata(path)?;
        let length = metadata.len();
        if length <= HASHED {
            let mut hasher = blake3::Hasher::new();
            io::copy(&mut File::open(path)?, &mut hasher)?;
            let hash = Some(hasher.finalize().to_hex().to_string());
            return Ok(Self { length, modified: 0, hash, sequence });
        }
        let since = metadata.modified()?.duration_since(UNIX_EPOCH).unwrap_or_default();
        Ok(Self { length, modified: since.as_nanos(), hash: None, sequence })
    }

    fn to_text(&self) -> String {
        let Self { length, modified, sequence, .. } = self;
        let hash = self.hash.as_deref().unwrap_or("none");
        let body = format!(
            "{HEADING}\nlength {length}\nmodified {modified}\nsequence {sequence}\nhash {hash}\n"
        );
        let check = blake3::hash(body.as_bytes()).to_hex();
        format!("{body}check {check}\n")
    }

    fn parse(text: &str) -> Option<Self> {
        let mut lines = text.lines();
        if lines.next()? != HEADING {
            return None;
        }
        let mut next = |name: &str| lines.next()?.strip_prefix(name)?.strip_prefix(' ');
        let closed = Self {
            length: next("length")?.parse().ok()?,
            modified: next("modified")?.parse().ok()?,
            sequence: next("sequence")?.parse().ok()?,
            hash: Some(next("hash")?.to_owned()).filter(|hash| hash != "none"),
        };
        // The check is part of the text, so that comparing the whole compares it too.
        (closed.to_text() == text).then_some(closed)
    }
}

/// What is known of the last closing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum LastClosing {
    /// The file is as it was then, with this last commit.
    Unchanged { sequence: u64 },
    /// The file is not as it was then; it had at least this last commit.
    Changed { sequence: u64 },
    /// Nothing is known.
    Unknown,
}

impl LastClosing {
    /// Whether nothing has touched the file since.
    pub(crate) const fn vouches(self) -> bool {
        matches!(self, Self::Unchanged { .. })
    }

    /// A number that the file's last commit cannot be below.
    pub(crate) const fn sequence(self) -> u64 {
        match self {
            Self::Unchanged { sequence } | Self::Changed { sequence } => sequence,
            Self::Unknown => 0,
        }
    }
}

pub(crate) fn last_closing(layout: &Layout) -> LastClosing {
    let closed = fs::read_to_string(layout.closed()).ok().and_then(|text| Closed::parse(&text));
    let Some(closed) = closed else { return LastClosing::Unknown };
    let sequence = closed.sequence;
    match Closed::of(&layout.notebook(), sequence) {
        Ok(now) if now == closed => LastClosing::Unchanged { sequence },
        _ => LastClosing::Changed { sequence },
    }
}

/// Says that the file is now closed in good order.
///
/// The note stays when the file is opened again: opening it to write changes it, so that the note
/// no longer fits, while its number of the last commit goes on to be a lower bound.
pub(crate) fn write(layout: &Layout, sequence: u64) -> Result<(), StoreError> {
    let path = layout.notebook();
    let closed = Closed::of(&path, sequence).map_err(|e| StoreError::io(path, e))?;
    layout::write_durably(&layout.closed(), closed.to_text().as_bytes())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_of_the_file_or_of_the_note_is_seen() {
        let folder = tempfile::tempdir().unwrap();
        let layout = Layout::new(folder.path());
        assert_eq!(last_closing(&layout), LastClosing::Unknown, "never closed");
        fs::write(layout.notebook(), b"bytes").unwrap();
        write(&layout, 7).unwrap();
        assert_eq!(last_closing(&layout), LastClosing::Unchanged { sequence: 7 }, "just closed");

        let modified = fs::metadata(layout.notebook()).unwrap().modified().unwrap();
        fs::write(layout.notebook(), b"bytez").unwrap();
        File::options()
            .write(true)
            .open(layout.notebook())
            .unwrap()
            .set_modified(modified)
            .unwrap();
        let seen = LastClosing::Changed { sequence: 7 };
        assert_eq!(last_closing(&layout), seen, "same length and time, other bytes");

        let note = fs::read_to_string(layout.closed()).unwrap();
        fs::write(layout.closed(), note.replace("sequence 7", "sequence 8")).unwrap();
        assert_eq!(last_closing(&layout), LastClosing::Unknown, "the note was altered");
    }
}
