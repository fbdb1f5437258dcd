//! What can go wrong between devices.

use swardbook_journal::{LoadError, WriteError, sync::Malformed};
use swardbook_store::StoreError;

/// What can go wrong between devices.
#[derive(Debug, thiserror::Error)]
pub enum LinkError {
    // Starting.
    /// The network could not be used.
    #[error("this device could not open its network port: {reason}")]
    Bind {
        /// What the system said.
        reason: String,
    },
    /// The device's own key could not be read or made.
    #[error("this device's network key could not be read or written")]
    Key(#[source] std::io::Error),
    /// Random numbers are not to be had.
    #[error("this system gives no random numbers")]
    NoRandomness,

    // Meeting.
    /// The other device is not one of ours.
    #[error("that device is not paired with this one")]
    NotPaired,
    /// Nobody answered.
    #[error("the other device does not answer")]
    Unreachable,
    /// The other device does not let this one in.
    #[error("the other device does not know this one, or has removed it")]
    Refused,
    /// The connection ended.
    #[error("the connection to the other device ended")]
    Lost,
    /// There is no version in common.
    #[error("the two devices speak no common version; one of them needs an update")]
    NoCommonVersion,
    /// The other sent nonsense.
    #[error(transparent)]
    Malformed(#[from] Malformed),

    // Pairing.
    /// The text is no invitation.
    #[error("that is not an invitation; copy all of it")]
    NotAnInvitation,
    /// The invitation's time is over.
    #[error("the invitation has expired; make a new one")]
    Expired,
    /// The invitation was used, or a wrong secret was tried.
    #[error("the invitation is no longer open; make a new one")]
    InvitationClosed,
    /// One of the two people said that the words differ.
    #[error("the pairing was called off")]
    CalledOff,
    /// This device was removed from the notebook.
    #[error("this device was removed from the notebook and cannot join it under its old key")]
    RemovedHere,

    // This device.
    /// The notebook could not be read or written.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// A document could not be read.
    #[error(transparent)]
    Document(#[from] LoadError),
    /// A record could not be written.
    #[error(transparent)]
    Write(#[from] WriteError),
    /// A document of a kind that this version does not know.
    #[error("a document of a kind that only a newer Swardbook knows")]
    UnknownKind,
    /// A file could not be read or written.
    #[error("a file could not be read or written")]
    File(#[source] std::io::Error),
    /// A file's bytes are not those its name stands for.
    #[error("the other device sent bytes that do not belong to the file")]
    WrongBytes,
}
