//! How two devices find out what they do not share and give it to each other.
//!
//! Everything here is input -> effects: a [`Session`] is told what arrived and what was committed,
//! looks into what this device holds through [`Holdings`], and answers with what is to be sent,
//! committed, remembered and told.
//! It has no network, no files, no clock and no threads, and it keeps nothing that is lost when it
//! is dropped: whatever was acknowledged is safe, everything else is found again next time.
//!
//! One exchange:
//!
//! 1. Both say [`Hello`]: versions, kinds of document, and whether they remember each other.
//! 2. The dialler sends a digest of all it holds. Equal: done, one round.
//! 3. If both remember each other, each sends what changed here since, without asking.
//! 4. Otherwise, and if that did not settle it, ranges of documents are compared by digest and
//!    split until the few that differ are known ([`reconcile`]).
//! 5. Of those each says what it holds as a clock (writer -> last number), and each sends exactly the
//!    changes the other's clock lacks.
//! 6. The receiver acknowledges with the clock it has *after* its commit is safe on the disk.
//! 7. The dialler checks the digests again, until they are equal.
//! 8. From then on each change is sent as it is made.
//!
//! The cost follows the difference, not the notebook.

mod bytes;
mod files;
mod frame;
mod held;
mod hello;
mod keeping;
mod pack;
mod reconcile;
mod session;
mod tail;

pub use bytes::Malformed;
pub use files::{FileHash, FilePlan, FileSort, FileWish, KeepRule, files_of, spare, wants};
pub use frame::{MAX_FRAME, frame_length};
pub use held::{
    Digest, DocumentId, Held, Last, Piece, TakeError, covers, decode_held, encode_held, held_by,
};
pub use hello::{Hello, Nonce, OLDEST, Speech, VERSION, speech};
pub use keeping::{Keeping, MAX_HASHES};
pub use reconcile::{Holding, Range, Root, Said, Short, answer, begin, root};
pub use session::{
    Difference, Effect, Event, Holdings, Incoming, Input, Memory, Outcomes, Refusal, Role, Session,
    SessionError, Taken, Unsent,
};
pub use tail::pieces_of_tail;
