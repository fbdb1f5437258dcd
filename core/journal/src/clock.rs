//! What a document holds, said shortly: each actor's last change, and the changes another lacks.
//!
//! An actor's changes are an unbroken chain, so `actor -> last sequence` says exactly what a copy
//! holds; the hash beside it shows at once when one actor wrote in two places.

use std::collections::BTreeMap;

use automerge::ChangeHash;

use crate::{Document, document::load_error};

/// Each actor's last change: its sequence number and its hash.
pub type Clock = BTreeMap<Vec<u8>, (u64, [u8; 32])>;

/// Changes that another copy lacks, as one run of bytes, and how many.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Missing {
    /// How many changes.
    pub count: usize,
    /// Their bytes, one after the other.
    pub bytes: Vec<u8>,
}

/// Why changes from elsewhere were refused.
#[derive(Debug, thiserror::Error)]
pub enum ClockError {
    /// They are damaged, or this document's own writer wrote elsewhere.
    #[error(transparent)]
    Load(#[from] crate::LoadError),
}

impl Document {
    /// What this copy holds.
    pub fn clock(&mut self) -> Clock {
        let mut clock = Clock::new();
        for meta in self.doc.get_changes_meta(&[]) {
            let last = clock.entry(meta.actor.to_bytes().to_vec()).or_insert((0, meta.hash.0));
            if meta.seq >= last.0 {
                *last = (meta.seq, meta.hash.0);
            }
        }
        clock
    }

    /// The changes that a copy with `theirs` lacks.
    pub fn missing(&mut self, theirs: &Clock) -> Missing {
        let wanted: Vec<ChangeHash> = self
            .doc
            .get_changes_meta(&[])
            .into_iter()
            .filter(|m| m.seq > theirs.get(m.actor.to_bytes()).map_or(0, |last| last.0))
            .map(|m| m.hash)
            .collect();
        let mut missing = Missing::default();
        for hash in wanted {
            if let Some(change) = self.doc.get_change_by_hash(&hash) {
                missing.count += 1;
                missing.bytes.extend_from_slice(change.raw_bytes());
            }
        }
        missing
    }

    /// Takes changes of another copy, in any order, repeated or not.
    ///
    /// # Errors
    /// [`ClockError`]; the document is unchanged then.
    pub fn receive(&mut self, changes: &[u8]) -> Result<(), ClockError> {
        self.doc.load_incremental(changes).map_err(load_error)?;
        Ok(())
    }
}
