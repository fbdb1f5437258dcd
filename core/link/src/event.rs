//! What the link tells the app.

use swardbook_journal::sync::{Difference, DocumentId, Refusal};

use crate::{Introduction, PeerId};

/// Something that happened between devices.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LinkEvent {
    /// A paired device answered.
    Connected {
        /// Which.
        peer: PeerId,
        /// Its program's version.
        program: String,
        /// How its program differs from this one.
        difference: Difference,
    },
    /// A connection ended.
    Disconnected {
        /// Which device.
        peer: PeerId,
    },
    /// A device said what it keeps safely: less may wait for it now.
    Acknowledged {
        /// Which device.
        peer: PeerId,
    },
    /// An exchange ended because of something here or there, not because of the network; it is
    /// tried again.
    ExchangeFailed {
        /// With which device.
        peer: PeerId,
        /// Why, in words.
        reason: String,
    },
    /// A device does not let this one in: it does not know it, or has heard of its removal.
    SentAway {
        /// Which device.
        peer: PeerId,
    },
    /// Changes of another device are safe on this disk.
    DocumentsArrived {
        /// Where they came from.
        peer: PeerId,
        /// The documents.
        documents: Vec<DocumentId>,
    },
    /// Both devices hold the same entries.
    InSync {
        /// Which device.
        peer: PeerId,
        /// How many documents both hold.
        documents: usize,
        /// Documents that could not be exchanged.
        except: usize,
    },
    /// A document cannot be exchanged with a device.
    Stuck {
        /// Which device.
        peer: PeerId,
        /// Which document.
        document: DocumentId,
        /// Why, as seen here; none when the other device refused it.
        why: Option<Refusal>,
    },
    /// The two devices speak no common version.
    NeedsUpdate {
        /// Which device.
        peer: PeerId,
        /// Which of the two is older.
        difference: Difference,
    },
    /// The other sent something this version does not know and left out.
    Skipped {
        /// Which device.
        peer: PeerId,
    },
    /// A photo or paper is here now.
    FileArrived {
        /// Its hash.
        hash: [u8; 32],
        /// How many of the planned ones are still to come.
        left: usize,
    },
    /// Everything this device wants of another device's files is here.
    FilesArrived {
        /// Which device.
        peer: PeerId,
    },
    /// Files could not be taken; it is tried again later.
    FilesFailed {
        /// From which device.
        peer: PeerId,
        /// Why, in words.
        reason: String,
    },
    /// Files were let go here, because another device promised to keep them.
    FilesReleased {
        /// How many.
        count: usize,
    },
    /// A guest knocked with the right secret: both people compare the words.
    PairingAsked {
        /// Who.
        guest: PeerId,
        /// How it presents itself.
        introduction: Introduction,
        /// The words that the other device must show too.
        words: [&'static str; 4],
    },
    /// Two devices trust each other now.
    Paired {
        /// The other.
        peer: PeerId,
    },
    /// A pairing came to nothing.
    PairingFailed {
        /// Why, in words.
        reason: String,
    },
    /// The relay that was named has been silent for a while, or answers again.
    Relay {
        /// Whether it answers.
        answers: bool,
    },
    /// The list of devices changed.
    DevicesChanged,
    /// This device was removed from the notebook.
    RemovedHere,
}
