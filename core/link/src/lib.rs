//! Carries a notebook between paired devices.
//!
//! Devices talk directly, over QUIC, on a local network with no internet or across it. There is no
//! server and no published address, and no relay unless the person names one.
//!
//! - Who is let in is written in the notebook itself ([`KnownDevice`]); everyone else is sent away
//!   before a byte of it is sent.
//! - A device joins by an [`Invitation`] that is good for one try and a limited time, and after both
//!   people have compared four words.
//! - Entries are exchanged by `swardbook_journal::sync`, which has no network; this crate carries
//!   its frames, and commits what arrives before it is acknowledged.
//! - Photos and papers come on streams of their own, in pieces that are each checked against the
//!   file's name, and are taken up where they were left.
//!
//! What this crate does not own: what a record means, when to be connected, and what people are
//! told.

mod addresses;
mod check_words;
mod config;
#[doc(hidden)]
pub mod decoders;
mod devices;
mod discovery;
mod endpoint;
mod error;
mod event;
mod exchange;
mod files;
mod framing;
mod gate;
mod holder;
mod invitation;
mod inviting;
mod key;
mod ledger;
mod library;
mod link;
mod meeting;
mod pairing;
#[doc(hidden)]
pub mod parts;
mod peer;
mod relay;
mod rule;
mod shared;
mod tables;
mod taking;
mod verified;

pub use config::{LinkConfig, check_relay};
pub use devices::{KnownDevice, known_devices};
pub use error::LinkError;
pub use event::LinkEvent;
pub use holder::StoreHolder;
pub use invitation::Invitation;
pub use inviting::Joining;
pub use ledger::{Ledger, Waiting, own_id};
pub use link::{Link, Progress};
pub use pairing::Introduction;
pub use peer::{PeerId, PeerIdError};
pub use rule::kept_rule;
pub use shared::Clock;
pub use swardbook_journal::{
    records::DeviceRole,
    sync::{Difference, DocumentId, KeepRule, Refusal},
};
