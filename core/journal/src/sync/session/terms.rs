//! What a session is told, what it wants done, and what it looks into.

use std::collections::BTreeMap;

use super::super::{
    bytes::Malformed,
    held::{Digest, DocumentId, Held, Piece},
    hello::{Hello, Nonce},
    reconcile::Holding,
};

/// What this device holds, as a session looks at it.
pub trait Holdings {
    /// Why something could not be read.
    type Error;

    /// Every document and the digest of its state.
    ///
    /// # Errors
    /// When they cannot be listed.
    fn list(&mut self) -> Result<Vec<Holding>, Self::Error>;

    /// What is held of a document and the digest of its state; none when it is not here.
    ///
    /// # Errors
    /// When it cannot be read.
    fn held(&mut self, id: DocumentId) -> Result<Option<(Held, Digest)>, Self::Error>;

    /// What a copy holding `theirs` lacks of a document; none when it is not here.
    ///
    /// # Errors
    /// When it cannot be read.
    fn unsent(&mut self, id: DocumentId, theirs: &Held) -> Result<Option<Unsent>, Self::Error>;

    /// Whether a writer's last change there is another than its change of that number here.
    ///
    /// # Errors
    /// When it cannot be read.
    fn is_forked(&mut self, id: DocumentId, theirs: &Held) -> Result<bool, Self::Error>;
}

/// What another copy lacks of a document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unsent {
    /// The digest of the state here.
    pub digest: Digest,
    /// The changes, in an order in which they can be applied.
    pub pieces: Vec<Piece>,
}

/// Who began: the two take turns, and the dialler begins each.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// It made the connection.
    Dialler,
    /// It was called.
    Listener,
}

/// What this device remembers of the other.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Memory {
    /// The other's nonce; zeros for a device that was never met.
    pub nonce: Nonce,
    /// What it is known to keep safely.
    pub held: BTreeMap<DocumentId, Held>,
    /// Documents that changed here since both were last equal.
    pub changed: Vec<DocumentId>,
}

/// Changes of one document that arrived.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Incoming {
    /// The document; it may be new here.
    pub id: DocumentId,
    /// A run of changes, or a whole document, for [`crate::Document::take_in`].
    pub changes: Vec<u8>,
}

/// Why a document could not be taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Refusal {
    /// Two copies of one notebook wrote under one name.
    Forked,
    /// The bytes are damaged, or are no document of that kind.
    Damaged,
    /// One change is larger than may be sent.
    TooLarge,
    /// It cannot be told which changes these follow; they are to be sent again as they are.
    Unclear,
}

/// A document that was taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Taken {
    /// What is held now.
    pub held: Held,
    /// The digest of its state.
    pub digest: Digest,
    /// What of it was new here, which whoever gave it holds too.
    pub given: Held,
}

/// What became of each document of a batch: what is held now, or why it was refused.
pub type Outcomes = Vec<(DocumentId, Result<Taken, Refusal>)>;

/// What a session is told.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Input<'a> {
    /// The connection stands.
    Opened,
    /// A frame arrived.
    Frame(&'a [u8]),
    /// A batch that was handed out by [`Effect::Commit`] is safe on the disk.
    Committed {
        /// Its number.
        batch: u64,
        /// What became of its documents.
        documents: Outcomes,
    },
    /// Documents changed here, by the person's hand or by another device's changes.
    Changed(Vec<DocumentId>),
    /// It is time to compare everything again.
    Recheck,
    /// What was to be sent has been handed on: see [`Session::has_more`].
    GoOn,
}

/// How the other device's program differs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Difference {
    /// Both are alike.
    None,
    /// The other is older: it does not know all we do.
    OtherIsOlder,
    /// The other is newer: we do not know all it does.
    OtherIsNewer,
}

/// Something to be told to people.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Event {
    /// The other answered.
    Met {
        /// What it said.
        hello: Hello,
        /// How it differs.
        difference: Difference,
    },
    /// There is no version in common; the session is over.
    NeedsUpdate {
        /// Which of the two is older.
        difference: Difference,
    },
    /// It sent something this version does not know; the rest goes on.
    Skipped {
        /// The kind of frame.
        kind: u8,
    },
    /// Both hold the same.
    InSync {
        /// How many documents both hold.
        documents: usize,
        /// Those that could not be exchanged.
        except: Vec<DocumentId>,
    },
    /// A document cannot be exchanged.
    Stuck {
        /// Which.
        id: DocumentId,
        /// Why, as seen here; none when the other refused it.
        why: Option<Refusal>,
    },
    /// The two do not come to an end; it is tried again later.
    Unsettled,
}

/// What a session wants done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Effect {
    /// Send a frame.
    Send(Vec<u8>),
    /// Make these changes safe on the disk, all in one go, then say [`Input::Committed`].
    Commit {
        /// The batch's number, to be said back.
        batch: u64,
        /// What arrived.
        documents: Vec<Incoming>,
    },
    /// The other keeps this much safely; it may be remembered for the next time.
    Remember {
        /// The nonce it is remembered under.
        nonce: Nonce,
        /// What it keeps.
        documents: Vec<(DocumentId, Held)>,
    },
    /// Tell people.
    Tell(Event),
    /// The session is over.
    Close,
}

/// Why a session ended badly.
#[derive(Debug, thiserror::Error)]
pub enum SessionError<E> {
    /// The other device sent nonsense.
    #[error(transparent)]
    Malformed(#[from] Malformed),
    /// It spoke out of turn.
    #[error("the other device spoke before it said what it is")]
    NoHello,
    /// This device could not be read.
    #[error("this device's notebook could not be read")]
    Holdings(E),
}
