//! Documents are opened and given what arrived for them, several at a time.
//!
//! Opening documents is most of the work of an exchange, and none needs another: so each processor
//! opens its share. Nothing here reads or writes the disk.

use std::num::NonZero;

use swardbook_journal::{
    ClockError, Committed, Document, DocumentKind, LoadError,
    sync::{DocumentId, Refusal, TakeError, Taken, held_by},
};
use swardbook_store::{ActorBytes, Batch, Change, DocumentName, StoredDocument};

use crate::LinkError;

/// More changes than these at once are saved as one state.
const MANY: usize = 200;
/// More processors than these are not used: something else may want one.
const MOST: usize = 4;
/// Fewer documents than these are not worth another thread.
const FEW: usize = 4;

/// A document in memory.
#[derive(Debug)]
pub(crate) struct Open {
    pub(crate) document: Document,
    /// It is not on the disk yet.
    pub(crate) is_new: bool,
    /// Its bytes on the disk when it was opened.
    pub(crate) size: usize,
}

/// A document before it is given what arrived.
#[derive(Debug)]
pub(crate) enum Source {
    /// It is in memory, in the state of the disk.
    Open(Box<Open>),
    /// It is on the disk.
    Stored(StoredDocument),
    /// There is none yet.
    Nothing,
}

impl Source {
    /// About how much work it is to open it.
    pub(crate) fn size(&self) -> usize {
        match self {
            Self::Stored(stored) => size_of(stored),
            Self::Open(_) | Self::Nothing => 0,
        }
    }
}

/// One document, and what arrived for it.
#[derive(Debug)]
pub(crate) struct Work {
    pub(crate) id: DocumentId,
    pub(crate) kind: DocumentKind,
    /// This device's writer.
    pub(crate) actor: [u8; 16],
    pub(crate) source: Source,
    pub(crate) runs: Vec<Vec<u8>>,
    /// Its changes so far are many enough to be saved as one state.
    pub(crate) needs_snapshot: bool,
}

/// What became of one document.
#[derive(Debug)]
pub(crate) struct Done {
    pub(crate) id: DocumentId,
    pub(crate) outcome: Result<Grown, Refusal>,
}

/// A document that took what arrived, in memory only.
#[derive(Debug)]
pub(crate) struct Grown {
    pub(crate) open: Open,
    pub(crate) taken: Taken,
    write: Write,
    heads: Vec<u8>,
}

#[derive(Debug)]
enum Write {
    Nothing,
    Changes(Vec<Change>),
    Whole(Vec<u8>),
}

impl Grown {
    /// Adds what is to be written of it; to be called once.
    pub(crate) fn write_to(&mut self, batch: &mut Batch, name: DocumentName) {
        let heads = std::mem::take(&mut self.heads);
        match std::mem::replace(&mut self.write, Write::Nothing) {
            Write::Nothing => {}
            Write::Changes(changes) => batch.change(name, changes, heads),
            Write::Whole(bytes) => batch.snapshot(name, bytes, heads),
        }
    }
}

/// Opens a document as it is stored.
pub(crate) fn open(
    kind: DocumentKind,
    actor: &[u8],
    stored: &StoredDocument,
) -> Result<Open, LoadError> {
    let tail = stored.tail.iter().map(Vec::as_slice);
    let document = Document::load(kind, actor, stored.snapshot.as_deref(), tail)?;
    Ok(Open { document, is_new: false, size: size_of(stored) })
}

fn size_of(stored: &StoredDocument) -> usize {
    stored.tail.iter().chain(&stored.snapshot).map(Vec::len).sum()
}

/// Gives every document what arrived for it.
///
/// # Errors
/// [`LinkError::Load`] when one cannot be opened as it is stored.
pub(crate) fn take_all(mut works: Vec<Work>) -> Result<Vec<Done>, LinkError> {
    let processors = std::thread::available_parallelism().map_or(1, NonZero::get).min(MOST);
    let shares = processors.min(works.len() / FEW).max(1);
    let length = works.len().div_ceil(shares);
    std::thread::scope(|scope| {
        let mut others = Vec::new();
        for _ in 1..shares {
            let share = works.split_off(works.len().saturating_sub(length));
            others.push(scope.spawn(move || take_share(share)));
        }
        let mut done = take_share(works)?;
        // The last share was split off first.
        for other in others.into_iter().rev() {
            match other.join() {
                Ok(share) => done.extend(share?),
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
        Ok(done)
    })
}

fn take_share(works: Vec<Work>) -> Result<Vec<Done>, LinkError> {
    works.into_iter().map(take).collect()
}

fn take(work: Work) -> Result<Done, LinkError> {
    let Work { id, kind, actor, source, runs, needs_snapshot } = work;
    let opened = match (source, runs.as_slice()) {
        (Source::Stored(stored), [run]) => match together(kind, &actor, &stored, run) {
            Some(opened) => Ok(opened),
            None => one_by_one(open(kind, &actor, &stored)?, &runs),
        },
        (Source::Stored(stored), _) => one_by_one(open(kind, &actor, &stored)?, &runs),
        (Source::Open(open), _) => one_by_one(*open, &runs),
        (Source::Nothing, _) => {
            let document = Document::new(kind, &actor);
            one_by_one(Open { document, is_new: true, size: 0 }, &runs)
        }
    };
    let outcome = opened.map(|(mut open, new)| {
        let (held, digest) = open.document.held();
        let taken = Taken { held, digest, given: held_by(&new) };
        let write = if open.is_new || new.len() > MANY || needs_snapshot {
            Write::Whole(open.document.save())
        } else if new.is_empty() {
            Write::Nothing
        } else {
            Write::Changes(new.into_iter().map(stored_change).collect())
        };
        let heads = open.document.heads().concat();
        Grown { open, taken, write, heads }
    });
    Ok(Done { id, outcome })
}

/// Opens a document and gives it a run in one go, where that goes.
fn together(
    kind: DocumentKind,
    actor: &[u8],
    stored: &StoredDocument,
    run: &[u8],
) -> Option<(Open, Vec<Committed>)> {
    let StoredDocument { snapshot, tail, heads, .. } = stored;
    let opened = Document::load_with(kind, actor, snapshot.as_deref(), tail, heads, run);
    let (document, new) = opened.ok()?;
    Some((Open { document, is_new: false, size: size_of(stored) }, new))
}

fn one_by_one(mut open: Open, runs: &[Vec<u8>]) -> Result<(Open, Vec<Committed>), Refusal> {
    let mut new = Vec::new();
    for run in runs {
        let taken = open.document.take_in(run);
        // Whatever it took of the runs before is forgotten with the document.
        new.extend(taken.map_err(|error| match error {
            TakeError::Unclear => Refusal::Unclear,
            TakeError::Refused(ClockError::Load(LoadError::Forked)) => Refusal::Forked,
            TakeError::Malformed(_) | TakeError::Refused(_) => Refusal::Damaged,
        })?);
    }
    Ok((open, new))
}

fn stored_change(change: Committed) -> Change {
    let actor = ActorBytes::new(&change.actor).expect("a document names each writer");
    Change { actor, sequence: change.sequence, bytes: change.bytes }
}
