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
    #[error("this device's network key could not be read or written: {0}")]
    Key(#[source] std::io::Error),
    /// Random numbers are not to be had.
    #[error("this system gives no random numbers")]
    NoRandomness,

    // Meeting.
    /// The other device is not one of ours.
    #[error("that device is not paired with this one")]
    NotPaired,
    /// The relay's address is none.
    #[error("\"{address}\" is no address of a relay; write it as https://relay.example")]
    Relay {
        /// What was given.
        address: String,
    },
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
    #[error("that is not a whole invitation; copy all of it, from \"sward1-\" to the end")]
    NotAnInvitation,
    /// The invitation's time is over.
    #[error("the invitation has expired; make a new one")]
    Expired,
    /// The invitation was used, or a wrong secret was tried.
    #[error(
        "the invitation is no longer open: it was used, has expired or was closed; make a new one"
    )]
    InvitationClosed,
    /// Both devices hold records, and not of one notebook.
    #[error(
        "the other device holds another notebook, and this one holds records of its own; two \
         practitioners' notebooks are not mixed: join from a notebook that is still empty"
    )]
    AnotherNotebook,
    /// The two are paired already.
    #[error("these two devices are paired already; there is nothing more to do")]
    AlreadyPaired,
    /// The invitation was made on this very device.
    #[error("this invitation was made on this device; take it to the other one")]
    OwnInvitation,
    /// One of the two people said that the words differ.
    #[error(
        "the pairing was called off: the words were not confirmed on both devices; make a new \
         invitation and compare them again"
    )]
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
    #[error("a file could not be read or written: {0}")]
    File(#[source] std::io::Error),
    /// A file's bytes are not those its name stands for.
    #[error("the other device sent bytes that do not belong to the file")]
    WrongBytes,
}
