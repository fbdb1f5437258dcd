//! The records of a notebook as mergeable documents.
//!
//! A notebook is a handful of Automerge documents: one for the notebook itself, one for each
//! property and one for each zone's journal.
//! Every document holds entries by random id, and every entry is **one flat map of scalars**:
//! repeated groups (the readings of a panel, the items of a plan) use dotted keys such as
//! `reading.k7.value`, so that two devices can never create one container twice and hide each
//! other's work, and every single value can be told apart in a conflict.
//!
//! What this crate does not own: files, the clock, which document an entry belongs in
//! (`swardbook-app`), and anything worked out from the records.

mod clock;
mod conflict;
mod document;
mod entry;
mod genesis;
mod history;
mod record;
pub mod records;
pub mod sync;
mod undo;
mod value;

pub use clock::{Clock, ClockError, Missing};
pub use conflict::{Claim, Conflict, WrittenApart};
pub use document::{Committed, Document, LoadError, WriteError};
pub use entry::{CausalOrder, Entry, Stamp, Voided};
pub use genesis::{DocumentKind, SCHEMA};
pub use history::Revision;
pub use record::{Field, Record, Scalar, fields_of};
pub use undo::{UndoError, Undoing};
pub use value::{Fields, Value};
