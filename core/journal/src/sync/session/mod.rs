//! One exchange with one other device, from the first word on.

mod talk;

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use super::{
    bytes::Malformed,
    frame::{Frame, Heard, MAX_FRAME, Parcel, Refused},
    held::{Digest, DocumentId, Held, Piece, covers, merge},
    hello::{Hello, Nonce, Speech, speech},
    pack,
    reconcile::{Holding, Range, Root, answer, begin, root},
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

/// Batches that are on the way at one time.
const WINDOW: usize = 8;
/// A batch is sent when it has so many bytes: enough that one commit for it is not much, and few
/// enough that both sides have something to do.
const BATCH: usize = 128 << 10;
/// A single change larger than this is not sent.
const MAX_PIECE: usize = MAX_FRAME / 2;
/// Documents in one [`Frame::Clocks`].
const CLOCKS: usize = 2_000;
/// Passes without coming to an end, after which it is left for later.
const PASSES: u64 = 12;

/// Where the dialler's comparison stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Turn {
    Idle,
    Checking { pass: u64, round: u64 },
    Draining { pass: u64, asked: bool, flushed: bool },
}

/// Changes of one document that are to be sent together.
#[derive(Debug, Default)]
struct Run {
    changes: Vec<Vec<u8>>,
    gives: Held,
}

/// One exchange with one other device.
#[derive(Debug)]
pub struct Session {
    role: Role,
    hello: Hello,
    memory: Memory,
    speech: Option<Speech>,
    their_nonce: Nonce,
    mine: BTreeMap<DocumentId, Digest>,
    /// What the other keeps safely, as far as it is known.
    theirs: BTreeMap<DocumentId, Held>,
    /// What it will keep when everything that was sent has arrived.
    flying: BTreeMap<DocumentId, Held>,
    /// Batches on the way, and what the other holds of each document with them.
    unacknowledged: BTreeMap<u64, Vec<(DocumentId, Held)>>,
    queue: BTreeSet<DocumentId>,
    asked: BTreeSet<DocumentId>,
    /// What was asked about, question by question, until it is answered.
    questions: VecDeque<Vec<DocumentId>>,
    /// Documents that the other asked about in this pass.
    heard: BTreeSet<DocumentId>,
    /// Batches that are being committed here, document by document.
    committing: BTreeMap<u64, Vec<DocumentId>>,
    /// Documents whose changes are sent without short names.
    plainly: BTreeSet<DocumentId>,
    stuck: BTreeSet<DocumentId>,
    /// What is held here of documents that were looked at, in the state that `mine` tells.
    looked: BTreeMap<DocumentId, Held>,
    /// Documents that changed here and were not looked at since.
    stale: BTreeSet<DocumentId>,
    skipped: BTreeSet<u8>,
    next_batch: u64,
    turn: Turn,
    passes: u64,
    last_pass: u64,
    checked_root: Root,
    again: bool,
    /// The listener's: the round expected next, and the flush that waits for an answer.
    listening: (u64, u64),
    flush: Option<u64>,
    out: Vec<Effect>,
}

impl Session {
    /// A session that has said nothing yet. `hello` is this device's, without what it remembers.
    #[must_use]
    pub fn new(role: Role, mut hello: Hello, memory: Memory) -> Self {
        hello.remembers = *memory.nonce.first_chunk().expect("a nonce has eight bytes");
        Self {
            role,
            hello,
            memory,
            speech: None,
            their_nonce: [0; 8],
            mine: BTreeMap::new(),
            theirs: BTreeMap::new(),
            flying: BTreeMap::new(),
            unacknowledged: BTreeMap::new(),
            queue: BTreeSet::new(),
            asked: BTreeSet::new(),
            questions: VecDeque::new(),
            heard: BTreeSet::new(),
            committing: BTreeMap::new(),
            plainly: BTreeSet::new(),
            stuck: BTreeSet::new(),
            looked: BTreeMap::new(),
            stale: BTreeSet::new(),
            skipped: BTreeSet::new(),
            next_batch: 1,
            turn: Turn::Idle,
            passes: 0,
            last_pass: 0,
            checked_root: Root([0; 8]),
            again: false,
            listening: (0, 0),
            flush: None,
            out: Vec::new(),
        }
    }

    /// What both speak, once the other has said what it is.
    #[must_use]
    pub const fn speech(&self) -> Option<&Speech> {
        self.speech.as_ref()
    }

    /// Whether nothing is on the way in either direction, as far as this side knows.
    #[must_use]
    pub fn is_quiet(&self) -> bool {
        self.speech.is_some() && self.is_drained() && self.turn == Turn::Idle
    }

    /// Whether it would send more at once when told to go on.
    ///
    /// One batch is read and sent at a time, so that the other commits it while the next is read.
    #[must_use]
    pub fn has_more(&self) -> bool {
        !self.queue.is_empty() && self.unacknowledged.len() < WINDOW
    }

    /// Takes one input; what is to be done comes back in order.
    ///
    /// # Errors
    /// [`SessionError`]; the session is over then, and nothing that was acknowledged is lost.
    pub fn handle<H: Holdings>(
        &mut self,
        input: Input<'_>,
        holdings: &mut H,
    ) -> Result<Vec<Effect>, SessionError<H::Error>> {
        match input {
            Input::Opened => self.send(&Frame::Hello(self.hello.clone())),
            Input::Frame(bytes) => match Frame::decode(bytes)? {
                Heard::Frame(Frame::Hello(hello)) => self.meet(hello, holdings)?,
                Heard::Frame(_) if self.speech.is_none() => return Err(SessionError::NoHello),
                Heard::Frame(frame) => self.hear(frame, holdings)?,
                Heard::Unknown(kind) => {
                    if self.skipped.insert(kind) {
                        self.tell(Event::Skipped { kind });
                    }
                }
            },
            Input::Committed { batch, documents } => self.committed(batch, documents),
            Input::Changed(ids) => self.changed(ids, holdings)?,
            Input::Recheck => {
                if self.speech.is_some() {
                    self.list(holdings)?;
                }
                self.passes = 0;
                self.check_soon();
            }
            Input::GoOn => {}
        }
        if self.speech.is_some() {
            self.pump(holdings)?;
            self.advance(holdings)?;
        }
        Ok(std::mem::take(&mut self.out))
    }

    fn meet<H: Holdings>(
        &mut self,
        hello: Hello,
        holdings: &mut H,
    ) -> Result<(), SessionError<H::Error>> {
        if self.speech.is_some() {
            return Ok(());
        }
        let Some(speech) = speech(&self.hello, &hello) else {
            let older = hello.newest < self.hello.oldest;
            let difference =
                if older { Difference::OtherIsOlder } else { Difference::OtherIsNewer };
            self.tell(Event::NeedsUpdate { difference });
            self.out.push(Effect::Close);
            return Ok(());
        };
        let ours = (self.hello.newest, self.hello.schema, self.hello.kinds.len());
        let difference = match (hello.newest, hello.schema, hello.kinds.len()).cmp(&ours) {
            std::cmp::Ordering::Less => Difference::OtherIsOlder,
            std::cmp::Ordering::Equal => Difference::None,
            std::cmp::Ordering::Greater => Difference::OtherIsNewer,
        };
        self.their_nonce = hello.nonce;
        if self.memory.nonce == hello.nonce {
            self.theirs = std::mem::take(&mut self.memory.held);
        }
        self.speech = Some(speech);
        self.list(holdings)?;
        self.tell(Event::Met { hello, difference });
        self.check_soon();
        Ok(())
    }

    fn list<H: Holdings>(&mut self, holdings: &mut H) -> Result<(), SessionError<H::Error>> {
        let all = holdings.list().map_err(SessionError::Holdings)?;
        self.mine = all
            .into_iter()
            .filter(|held| self.is_shared(held.id))
            .map(|held| (held.id, held.digest))
            .collect();
        Ok(())
    }

    fn changed<H: Holdings>(
        &mut self,
        ids: Vec<DocumentId>,
        holdings: &mut H,
    ) -> Result<(), SessionError<H::Error>> {
        if self.speech.is_none() {
            return Ok(());
        }
        self.passes = 0;
        self.stale.extend(&ids);
        self.offer(ids, holdings)
    }

    /// Sends what is new of these documents where it is known what the other has, and asks where
    /// it is not.
    fn offer<H: Holdings>(
        &mut self,
        ids: Vec<DocumentId>,
        holdings: &mut H,
    ) -> Result<(), SessionError<H::Error>> {
        let mut unknown = Vec::new();
        for id in ids {
            if !self.is_shared(id) || self.stuck.contains(&id) {
                continue;
            }
            if self.theirs.contains_key(&id) {
                self.queue.insert(id);
            } else {
                unknown.push(id);
            }
        }
        self.ask(&unknown, holdings)
    }

    fn ask<H: Holdings>(
        &mut self,
        ids: &[DocumentId],
        holdings: &mut H,
    ) -> Result<(), SessionError<H::Error>> {
        let mut clocks = Vec::new();
        for id in ids {
            if !self.stuck.contains(id) && self.asked.insert(*id) {
                clocks.push((*id, self.look(*id, holdings)?));
            }
        }
        for documents in clocks.chunks(CLOCKS) {
            self.questions.push_back(documents.iter().map(|(id, _)| *id).collect());
            self.send(&Frame::Clocks { documents: documents.to_vec() });
        }
        Ok(())
    }

    /// What is held of a document here; its digest is brought up to date on the way.
    fn look<H: Holdings>(
        &mut self,
        id: DocumentId,
        holdings: &mut H,
    ) -> Result<Held, SessionError<H::Error>> {
        let Some((held, digest)) = holdings.held(id).map_err(SessionError::Holdings)? else {
            return Ok(Held::new());
        };
        self.mine.insert(id, digest);
        self.stale.remove(&id);
        self.looked.insert(id, held.clone());
        Ok(held)
    }

    fn committed(&mut self, batch: u64, documents: Outcomes) {
        let places = self.committing.remove(&batch).unwrap_or_default();
        let mut safe = Vec::new();
        let mut not_taken = BTreeMap::new();
        for (id, outcome) in documents {
            match outcome {
                Ok(Taken { held, digest, given }) => {
                    self.mine.insert(id, digest);
                    // Whoever gives changes holds them, and of a document that is new here all of it.
                    if given == held || self.theirs.contains_key(&id) {
                        let theirs = self.theirs.entry(id).or_default();
                        merge(theirs, &given);
                        safe.push((id, theirs.clone()));
                    }
                    self.looked.insert(id, held);
                }
                Err(Refusal::Unclear) => {
                    not_taken.insert(id, Refused::Unclear);
                }
                Err(why) => {
                    not_taken.insert(id, Refused::ForGood);
                    self.give_up(id, Some(why));
                }
            }
        }
        let refused = places.into_iter().enumerate().filter_map(|(place, id)| {
            // What is stuck, or of a kind that is not known here, was not even tried.
            let untried = self.stuck.contains(&id) || !self.is_shared(id);
            let stuck = untried.then_some(Refused::ForGood);
            Some((place, not_taken.get(&id).copied().or(stuck)?))
        });
        let refused = refused.collect();
        self.send(&Frame::Ack { batch, refused });
        if !safe.is_empty() {
            self.out.push(Effect::Remember { nonce: self.their_nonce, documents: safe });
        }
    }

    fn give_up(&mut self, id: DocumentId, why: Option<Refusal>) {
        self.queue.remove(&id);
        self.asked.remove(&id);
        if self.stuck.insert(id) {
            self.tell(Event::Stuck { id, why });
        }
    }

    /// Sends one batch of waiting documents, unless enough are on the way.
    fn pump<H: Holdings>(&mut self, holdings: &mut H) -> Result<(), SessionError<H::Error>> {
        if self.unacknowledged.len() >= WINDOW {
            return Ok(());
        }
        let mut parcels = Vec::new();
        let mut size = 0;
        while size < BATCH {
            let Some(id) = self.queue.pop_first() else { break };
            if self.stuck.contains(&id) {
                continue;
            }
            let mut known = self.theirs.get(&id).cloned().unwrap_or_default();
            if let Some(flying) = self.flying.get(&id) {
                merge(&mut known, flying);
            }
            let unsent = holdings.unsent(id, &known).map_err(SessionError::Holdings)?;
            let Some(Unsent { digest, pieces }) = unsent else { continue };
            self.mine.insert(id, digest);
            self.stale.remove(&id);
            if pieces.is_empty() {
                continue;
            }
            if pieces.iter().any(|piece| piece.bytes.len() > MAX_PIECE) {
                self.give_up(id, Some(Refusal::TooLarge));
                continue;
            }
            for piece in &pieces {
                merge(&mut known, &piece.gives);
            }
            merge(self.flying.entry(id).or_default(), &known);
            let mut run = Run::default();
            let mut pieces = pieces.into_iter().peekable();
            while let Some(piece) = pieces.next() {
                size += piece.bytes.len();
                merge(&mut run.gives, &piece.gives);
                run.changes.push(piece.bytes);
                // A document's own changes go all at once, in as many batches as they fill.
                if size >= BATCH && pieces.peek().is_some() {
                    parcels.push((id, std::mem::take(&mut run)));
                    self.send_batch(&mut parcels);
                    size = 0;
                }
            }
            parcels.push((id, run));
        }
        self.send_batch(&mut parcels);
        Ok(())
    }

    fn send_batch(&mut self, runs: &mut Vec<(DocumentId, Run)>) {
        if runs.is_empty() {
            return;
        }
        let batch = self.next_batch;
        self.next_batch += 1;
        let (mut parcels, mut gives) = (Vec::new(), Vec::new());
        for (id, run) in std::mem::take(runs) {
            let is_plain = self.plainly.contains(&id);
            let changes =
                if is_plain { pack::plain(&run.changes) } else { pack::pack(&run.changes) };
            parcels.push(Parcel { id, changes });
            gives.push((id, run.gives));
        }
        self.unacknowledged.insert(batch, gives);
        self.send(&Frame::Changes { batch, parcels });
    }

    fn is_shared(&self, id: DocumentId) -> bool {
        self.speech.as_ref().is_some_and(|speech| speech.kinds.contains(&id.kind))
    }

    fn is_drained(&self) -> bool {
        self.queue.is_empty()
            && self.unacknowledged.is_empty()
            && self.asked.is_empty()
            && self.committing.is_empty()
    }

    /// Everything that is compared, as it is now.
    fn current<H: Holdings>(
        &mut self,
        holdings: &mut H,
    ) -> Result<Vec<Holding>, SessionError<H::Error>> {
        while let Some(id) = self.stale.pop_first() {
            if self.is_shared(id) {
                self.look(id, holdings)?;
            }
        }
        Ok(self.listed())
    }

    /// What is stuck would never be equal, and is left out.
    fn listed(&self) -> Vec<Holding> {
        self.mine
            .iter()
            .filter(|(id, _)| !self.stuck.contains(*id))
            .map(|(id, digest)| Holding { id: *id, digest: *digest })
            .collect()
    }

    fn send(&mut self, frame: &Frame) {
        self.out.push(Effect::Send(frame.encode()));
    }

    fn tell(&mut self, event: Event) {
        self.out.push(Effect::Tell(event));
    }
}
