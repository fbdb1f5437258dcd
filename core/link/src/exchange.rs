//! One live exchange: carries frames between a session and a connection, and commits what arrives.

use std::{sync::Arc, time::Duration};

use iroh::endpoint::{Connection, RecvStream, SendStream};
use swardbook_journal::sync::{
    DocumentId, Effect, Event, Held, Hello, Input, MAX_FRAME, Nonce, Role, Session, SessionError,
};
use tokio::{
    sync::{broadcast, mpsc},
    task::JoinSet,
};

use crate::{
    LinkError, LinkEvent, PeerId, StoreHolder, endpoint, files, framing, library::Library,
    shared::Shared,
};

/// Everything is compared again after this long, in case something was missed.
const RECHECK: Duration = Duration::from_secs(60);
/// What the other keeps is written down at the latest after this long.
const NOTE_DOWN: Duration = Duration::from_secs(1);
/// Frames that have arrived and wait.
const WAITING: usize = 8;

/// Runs until the connection ends.
pub(crate) async fn run<S: StoreHolder>(
    shared: Arc<Shared<S>>,
    connection: Connection,
    role: Role,
) -> Result<(), LinkError> {
    let peer = PeerId::of(connection.remote_id());
    if !shared.gate.allows(peer) {
        return Err(LinkError::NotPaired);
    }
    let (send, receive) = match role {
        Role::Dialler => connection.open_bi().await,
        Role::Listener => connection.accept_bi().await,
    }
    .map_err(|_| endpoint::end_of(&connection))?;
    // Entries go before files.
    let _ = send.set_priority(10);
    let changes = shared.changes.subscribe();
    let library = Library::new(Arc::clone(&shared.holder));
    let memory = library.memory(peer)?;
    let hello = Hello { nonce: library.nonce()?, ..shared.hello.clone() };
    let session = Session::new(role, hello, memory);
    let (frames_out, outgoing) = mpsc::unbounded_channel();
    let mut exchange = Exchange {
        shared,
        peer,
        library,
        session,
        frames_out,
        kept: Vec::new(),
        their_nonce: None,
        is_over: false,
    };
    let (frames_in, incoming) = mpsc::channel(WAITING);
    let mut files = JoinSet::new();
    files.spawn(files::fetch(Arc::clone(&exchange.shared), connection.clone()));
    files.spawn(answer_questions(Arc::clone(&exchange.shared), connection.clone()));
    let writer = tokio::spawn(write_frames(send, outgoing));
    let reader = tokio::spawn(read_frames(receive, frames_in));
    let ended = exchange.work(incoming, changes, &connection).await;
    reader.abort();
    drop(exchange);
    // What was said last still goes out; a connection that is gone ends this at once.
    let _ = writer.await;
    ended
}

async fn answer_questions<S: StoreHolder>(
    shared: Arc<Shared<S>>,
    connection: Connection,
) -> Result<(), LinkError> {
    let mut answering = JoinSet::new();
    loop {
        let asked = connection.accept_bi().await;
        let (send, receive) = asked.map_err(|_| endpoint::end_of(&connection))?;
        let peer = PeerId::of(connection.remote_id());
        answering.spawn(files::answer(Arc::clone(&shared), peer, send, receive));
        // One that failed is asked again by the other side.
        while answering.try_join_next().is_some() {}
    }
}

async fn write_frames(mut send: SendStream, mut outgoing: mpsc::UnboundedReceiver<Vec<u8>>) {
    while let Some(frame) = outgoing.recv().await {
        if framing::send(&mut send, &frame).await.is_err() {
            return;
        }
    }
    let _ = send.finish();
}

async fn read_frames(mut receive: RecvStream, frames: mpsc::Sender<Result<Vec<u8>, LinkError>>) {
    loop {
        let frame = match framing::receive(&mut receive, MAX_FRAME).await {
            Ok(Some(frame)) => Ok(frame),
            Ok(None) => return,
            Err(error) => Err(error),
        };
        let is_last = frame.is_err();
        if frames.send(frame).await.is_err() || is_last {
            return;
        }
    }
}

struct Exchange<S: StoreHolder> {
    shared: Arc<Shared<S>>,
    peer: PeerId,
    library: Library<S>,
    session: Session,
    frames_out: mpsc::UnboundedSender<Vec<u8>>,
    /// What the other keeps, not written down yet.
    kept: Vec<(DocumentId, Held)>,
    their_nonce: Option<Nonce>,
    is_over: bool,
}

impl<S: StoreHolder> Exchange<S> {
    async fn work(
        &mut self,
        mut incoming: mpsc::Receiver<Result<Vec<u8>, LinkError>>,
        mut changes: broadcast::Receiver<(Option<PeerId>, Vec<DocumentId>)>,
        connection: &Connection,
    ) -> Result<(), LinkError> {
        self.input(Input::Opened)?;
        let mut recheck = tokio::time::interval(RECHECK);
        recheck.reset();
        let mut note_down = tokio::time::interval(NOTE_DOWN);
        let ended = loop {
            if self.is_over {
                break Ok(());
            }
            let done = tokio::select! {
                frame = incoming.recv() => match frame {
                    Some(Ok(frame)) => self.input(Input::Frame(&frame)),
                    Some(Err(LinkError::Lost)) | None => break Err(endpoint::end_of(connection)),
                    Some(Err(error)) => Err(error),
                },
                changed = changes.recv() => match changed {
                    // What came from there is known there.
                    Ok((Some(from), _)) if from == self.peer => Ok(()),
                    Ok((_, ids)) => self.input(Input::Changed(ids)),
                    Err(broadcast::error::RecvError::Lagged(_)) => self.input(Input::Recheck),
                    Err(broadcast::error::RecvError::Closed) => break Ok(()),
                },
                _ = recheck.tick() => self.input(Input::Recheck),
                _ = note_down.tick() => self.note_down(false),
                _ = connection.closed() => break Err(endpoint::end_of(connection)),
            };
            if let Err(error) = done {
                break Err(error);
            }
        };
        self.note_down(false)?;
        ended
    }

    /// Loading and committing documents takes longer than a network task may: others go on.
    fn input(&mut self, input: Input<'_>) -> Result<(), LinkError> {
        tokio::task::block_in_place(|| {
            let effects = self.session.handle(input, &mut self.library).map_err(link_error)?;
            self.carry_out(effects)?;
            // What was sent is on its way while the next is read.
            while self.session.has_more() {
                let effects = self.session.handle(Input::GoOn, &mut self.library);
                self.carry_out(effects.map_err(link_error)?)?;
            }
            Ok(())
        })
    }

    fn carry_out(&mut self, effects: Vec<Effect>) -> Result<(), LinkError> {
        for effect in effects {
            match effect {
                // Whoever wrote the frames is gone only when the connection is.
                Effect::Send(frame) => self.frames_out.send(frame).map_err(|_| LinkError::Lost)?,
                Effect::Commit { batch, documents } => {
                    let ids: Vec<DocumentId> = documents.iter().map(|one| one.id).collect();
                    let documents = self.library.commit(documents)?;
                    self.shared.arrived(self.peer, ids);
                    let input = Input::Committed { batch, documents };
                    let effects =
                        self.session.handle(input, &mut self.library).map_err(link_error)?;
                    self.carry_out(effects)?;
                }
                Effect::Remember { nonce, documents } => {
                    self.their_nonce = Some(nonce);
                    self.kept.extend(documents);
                }
                Effect::Tell(event) => self.tell(event)?,
                Effect::Close => self.is_over = true,
            }
        }
        Ok(())
    }

    fn tell(&mut self, event: Event) -> Result<(), LinkError> {
        let peer = self.peer;
        let told = match event {
            Event::Met { hello, difference } => {
                self.their_nonce = Some(hello.nonce);
                LinkEvent::Connected { peer, program: hello.program, difference }
            }
            Event::NeedsUpdate { difference } => LinkEvent::NeedsUpdate { peer, difference },
            Event::Skipped { .. } => LinkEvent::Skipped { peer },
            Event::InSync { documents, except } => {
                self.note_down(true)?;
                self.shared.state(|state| state.equal.insert(peer));
                // Entries are there: now files may come.
                self.shared.wake_files();
                LinkEvent::InSync { peer, documents, except: except.len() }
            }
            Event::Stuck { id, why } => LinkEvent::Stuck { peer, document: id, why },
            // It is tried again with the next change or comparison.
            Event::Unsettled => return Ok(()),
        };
        self.shared.tell(told);
        Ok(())
    }

    fn note_down(&mut self, are_equal: bool) -> Result<(), LinkError> {
        let Some(nonce) = self.their_nonce else { return Ok(()) };
        if self.kept.is_empty() && !are_equal {
            return Ok(());
        }
        let kept = std::mem::take(&mut self.kept);
        self.library.remember(self.peer, nonce, &kept, are_equal)?;
        self.shared.tell(LinkEvent::Acknowledged { peer: self.peer });
        Ok(())
    }
}

pub(crate) fn link_error(error: SessionError<LinkError>) -> LinkError {
    match error {
        SessionError::Malformed(error) => error.into(),
        SessionError::NoHello => {
            swardbook_journal::sync::Malformed("it did not say what it is").into()
        }
        SessionError::Holdings(error) => error,
    }
}
