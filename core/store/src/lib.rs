//! Keeps documents, index rows and files of one notebook on disk.
//!
//! A notebook is a folder:
//!
//! | name | holds |
//! | --- | --- |
//! | `notebook.redb` | documents as saved states and changes, the index, values of this device |
//! | `blobs/ab/abcd…` | files, named by the blake3 hash of their bytes |
//! | `device/` | what belongs to this device alone and is not to be backed up or copied |
//! | `copies/` | copies of documents outside the database, to recover from |
//! | `cache/` | what can be made again |
//! | `notebook.closed` | what the file was like when it was last closed in good order |
//!
//! What is committed is safe on the disk before [`Store::commit`] returns.
//! One process writes at a time, any number read beside it.
//! Every value carries a checksum, and the list of documents and each document's changes are
//! counted, so that altered and lost bytes are named and never passed on.
//!
//! # Damage
//!
//! A file that was closed in good order and not touched since is opened as it is.
//! Any other is first looked through without changing a byte of it.
//! If a page, a row or a whole document is not what was written, the file is kept under another
//! name and a new one is made: documents are put together from every row in the old file whose
//! checksum fits, or taken from their copies where those are newer, and [`Opened::findings`] names
//! each that is not whole.
//! The new file has a new identity, because numbers of changes that were lost must not be given out
//! again.
//!
//! What this cannot see: a file that was damaged *after* its program was killed and *before* it was
//! opened again, in such a way that the database takes the damage for an unfinished last commit,
//! goes back by that commit.
//!
//! What this crate does not own: what the bytes of a document, an index row or a file mean, the
//! clock, random numbers, and which folder the notebook is in.

mod batch;
mod blob;
mod check;
mod closed;
mod commit;
mod copies;
mod damage;
mod device;
mod document;
mod error;
#[cfg(test)]
mod faulty;
mod frame;
mod handle;
mod incoming;
mod layout;
mod lock;
mod name;
mod open;
mod overlay;
mod recover;
mod repair;
mod row;
mod scan;
mod store;
mod survey;
mod table;

pub use batch::{Batch, IndexTable, LocalTable, Row, Span};
pub use blob::{BlobAdded, Swept};
pub use check::Report;
pub use damage::{Damage, Part, Remedy};
pub use document::{DocumentHead, StoredDocument};
pub use error::{Fault, StoreError};
pub use incoming::{Arriving, CheckedPart, PlacedPart};
pub use name::{ActorBytes, BlobHash, Change, Day, DocumentName, NameError, StoreSequence};
pub use open::{Access, Opened, Randomness};
pub use store::Store;
