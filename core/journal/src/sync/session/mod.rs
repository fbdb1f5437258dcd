//! One exchange with one other device, from the first word on.

mod sending;
mod talk;
mod terms;

pub use terms::{
    Difference, Effect, Event, Holdings, Incoming, Input, Memory, Outcomes, Refusal, Role,
    SessionError, Taken, Unsent,
};

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use super::{
    frame::{Frame, Heard, Refused},
    held::{Digest, DocumentId, Held, covers, merge},
    hello::{Hello, Nonce, Speech, speech},
    reconcile::{Holding, Range, Root, answer, begin, root},
};
use sending::WINDOW;

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
