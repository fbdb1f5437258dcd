//! An exchange between two notebooks without a network, part by part: for the bench, which shows
//! where its time goes.

use std::{
    collections::VecDeque,
    path::Path,
    sync::{Arc, Mutex},
    time::Duration,
};

use swardbook_journal::{
    DocumentKind, SCHEMA,
    sync::{
        Digest, DocumentId, Effect, Event, Held, Hello, Holding, Holdings, Input, Nonce, OLDEST,
        Role, Session, Unsent, VERSION, frame_length,
    },
};
use swardbook_store::{Access, Randomness, Store};

use crate::{LinkError, PeerId, StoreHolder as _, ledger, library::Library};

/// How long since some fixed moment; this crate reads no clock of its own.
pub type StopWatch = fn() -> Duration;

/// Where the time of an exchange went, and what it carried.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Parts {
    /// Listing what is held, and its digests.
    pub list: Duration,
    /// Reading documents: what is held of them, and the changes the other lacks.
    pub read: Duration,
    /// Comparing, packing and unpacking: the rest of the session's own work.
    pub talk: Duration,
    /// Loading documents and applying what arrived.
    pub apply: Duration,
    /// Writing it, until it is safe on the disk.
    pub write: Duration,
    /// Noting down what the other keeps.
    pub note: Duration,
    /// Bytes of all frames, both ways together.
    pub bytes: u64,
    /// Frames.
    pub frames: u64,
}

struct Side {
    peer: PeerId,
    session: Session,
    library: Timed,
    wire: VecDeque<Vec<u8>>,
    kept: Vec<(Nonce, Vec<(DocumentId, Held)>)>,
    is_equal: bool,
}

struct Timed {
    library: Library<Mutex<Store>>,
    list: Duration,
    read: Duration,
    now: StopWatch,
}

impl Timed {
    fn timed<T>(
        &mut self,
        which: fn(&mut Self) -> &mut Duration,
        work: impl FnOnce(&mut Library<Mutex<Store>>) -> T,
    ) -> T {
        let begun = (self.now)();
        let done = work(&mut self.library);
        let took = (self.now)() - begun;
        *which(self) += took;
        done
    }
}

impl Holdings for Timed {
    type Error = LinkError;

    fn list(&mut self) -> Result<Vec<Holding>, LinkError> {
        self.timed(|t| &mut t.list, Holdings::list)
    }

    fn held(&mut self, id: DocumentId) -> Result<Option<(Held, Digest)>, LinkError> {
        self.timed(|t| &mut t.read, |library| library.held(id))
    }

    fn unsent(&mut self, id: DocumentId, theirs: &Held) -> Result<Option<Unsent>, LinkError> {
        self.timed(|t| &mut t.read, |library| library.unsent(id, theirs))
    }

    fn is_forked(&mut self, id: DocumentId, theirs: &Held) -> Result<bool, LinkError> {
        self.timed(|t| &mut t.read, |library| library.is_forked(id, theirs))
    }
}

/// Has the two notebooks in these folders exchange what they do not share, as their devices would:
/// the first one dials. Both are written.
///
/// # Errors
/// [`LinkError`] when a notebook cannot be read or written.
pub fn exchange(dialler: &Path, listener: &Path, now: StopWatch) -> Result<Parts, LinkError> {
    let stores = [open(dialler)?, open(listener)?];
    let peers = [ledger::own_id(&stores[0])?, ledger::own_id(&stores[1])?];
    let [Some(first), Some(second)] = peers else { return Err(LinkError::NotPaired) };
    let [own, other] = stores;
    let mut sides =
        [side(own, second, Role::Dialler, now)?, side(other, first, Role::Listener, now)?];
    let mut parts = Parts::default();
    for which in 0..2 {
        hear(&mut sides, which, Input::Opened, &mut parts)?;
    }
    while let Some(which) = (0..2).find(|which| !sides[*which].wire.is_empty()) {
        let frame = sides[which].wire.pop_front().unwrap_or_default();
        hear(&mut sides, which, Input::Frame(&frame), &mut parts)?;
    }
    for side in &sides {
        parts.list += side.library.list;
        parts.read += side.library.read;
    }
    parts.talk = parts.talk.saturating_sub(parts.list + parts.read);
    if sides.iter().all(|side| side.is_equal) { Ok(parts) } else { Err(LinkError::Lost) }
}

fn open(folder: &Path) -> Result<Store, LinkError> {
    let access = Access::Write { patience: Duration::from_secs(10) };
    // Never needed: both have written before.
    let randomness = Randomness { nonce: [0; 16], actor: [0; 16] };
    Ok(Store::open(folder, access, randomness)?.store)
}

fn side(store: Store, peer: PeerId, role: Role, now: StopWatch) -> Result<Side, LinkError> {
    let library = Library::new(Arc::new(Mutex::new(store)));
    let hello = Hello {
        oldest: OLDEST,
        newest: VERSION,
        kinds: DocumentKind::ALL.iter().map(|kind| kind.number()).collect(),
        schema: u32::try_from(SCHEMA).expect("a schema number is small"),
        nonce: library.nonce()?,
        remembers: [0; 4],
        program: "0.1.0".into(),
    };
    let session = Session::new(role, hello, library.memory(peer)?);
    let library = Timed { library, list: Duration::ZERO, read: Duration::ZERO, now };
    let (wire, kept) = (VecDeque::new(), Vec::new());
    Ok(Side { peer, session, library, wire, kept, is_equal: false })
}

fn hear(
    sides: &mut [Side; 2],
    which: usize,
    input: Input<'_>,
    parts: &mut Parts,
) -> Result<(), LinkError> {
    let now = sides[which].library.now;
    let begun = now();
    let Side { session, library, .. } = &mut sides[which];
    let effects = session.handle(input, library).map_err(crate::exchange::link_error)?;
    parts.talk += now() - begun;
    for effect in effects {
        match effect {
            Effect::Send(frame) => {
                parts.bytes += (frame_length(frame.len()).len() + frame.len()) as u64;
                parts.frames += 1;
                sides[1 - which].wire.push_back(frame);
            }
            Effect::Commit { batch, documents } => {
                let library = &mut sides[which].library.library;
                let documents = Arc::clone(library.holder()).with_store(|store| {
                    let begun = now();
                    let ready = library.apply(store, documents)?;
                    let applied = now();
                    let kept = library.keep(store, ready)?;
                    parts.apply += applied - begun;
                    parts.write += now() - applied;
                    Ok::<_, LinkError>(kept)
                })?;
                hear(sides, which, Input::Committed { batch, documents }, parts)?;
            }
            // Noted down together, as a live exchange does.
            Effect::Remember { nonce, documents } => {
                sides[which].kept.push((nonce, documents));
            }
            Effect::Tell(Event::InSync { .. }) => {
                let begun = now();
                let Side { library, peer, kept, .. } = &mut sides[which];
                let nonce = kept.last().map(|(nonce, _)| *nonce);
                let documents: Vec<_> =
                    kept.drain(..).flat_map(|(_, documents)| documents).collect();
                if let Some(nonce) = nonce {
                    library.library.remember(*peer, nonce, &documents, true)?;
                }
                parts.note += now() - begun;
                sides[which].is_equal = true;
            }
            Effect::Tell(_) | Effect::Close => {}
        }
    }
    Ok(())
}
