//! The comparison of everything, and what is said of single documents.

use super::super::frame::Parcel;
use super::{
    BTreeSet, DocumentId, Effect, Event, Frame, Held, Holdings, Incoming, PASSES, Range, Refusal,
    Refused, Role, Root, Session, SessionError, Turn, answer, begin, covers, merge, root,
};

impl Session {
    pub(super) fn hear<H: Holdings>(
        &mut self,
        frame: Frame,
        holdings: &mut H,
    ) -> Result<(), SessionError<H::Error>> {
        match frame {
            Frame::Hello(_) => {}
            Frame::Check { pass, root } => self.checked(pass, root, holdings)?,
            Frame::Equal { pass } => {
                if matches!(self.turn, Turn::Checking { pass: ours, .. } if ours == pass) {
                    self.turn = Turn::Idle;
                    // What changed here meanwhile is no part of what the other found equal.
                    if root(&self.current(holdings)?, pass) == self.checked_root {
                        self.agree();
                    } else {
                        self.again = true;
                    }
                }
            }
            Frame::Pushing { pass } => {
                if matches!(self.turn, Turn::Checking { pass: ours, .. } if ours == pass) {
                    self.turn = Turn::Draining { pass, asked: false, flushed: false };
                    let changed = std::mem::take(&mut self.memory.changed);
                    self.offer(changed, holdings)?;
                }
            }
            Frame::Ranges { pass, round, ranges } => {
                self.compared(pass, round, &ranges, holdings)?;
            }
            Frame::Clocks { documents } => self.asked_about(documents, holdings)?,
            Frame::Answers { documents } => self.answered(documents, holdings)?,
            Frame::Changes { batch, parcels } => self.received(batch, parcels),
            Frame::Ack { batch, refused } => self.acknowledged(batch, &refused),
            Frame::Forked { id } => self.give_up(id, Some(Refusal::Forked)),
            Frame::Flush { pass } => self.flush = Some(pass),
            Frame::Flushed { pass } => {
                if let Turn::Draining { pass: ours, asked, .. } = self.turn
                    && ours == pass
                {
                    self.turn = Turn::Draining { pass, asked, flushed: true };
                }
            }
        }
        Ok(())
    }

    /// The dialler compares everything as soon as nothing else is being done.
    pub(super) fn check_soon(&mut self) {
        if self.role == Role::Dialler {
            self.again = true;
        }
    }

    /// Goes on with whatever waited for something to end.
    pub(super) fn advance<H: Holdings>(
        &mut self,
        holdings: &mut H,
    ) -> Result<(), SessionError<H::Error>> {
        if !self.is_drained() {
            return Ok(());
        }
        if let Some(pass) = self.flush.take() {
            self.send(&Frame::Flushed { pass });
        }
        match self.turn {
            Turn::Draining { pass, asked: false, flushed } => {
                self.turn = Turn::Draining { pass, asked: true, flushed };
                self.send(&Frame::Flush { pass });
            }
            Turn::Draining { flushed: true, .. } => {
                self.turn = Turn::Idle;
                self.again = true;
            }
            _ => {}
        }
        if self.turn == Turn::Idle && std::mem::take(&mut self.again) {
            self.passes += 1;
            if self.passes > PASSES {
                self.tell(Event::Unsettled);
                return Ok(());
            }
            self.last_pass += 1;
            self.turn = Turn::Checking { pass: self.last_pass, round: 2 };
            self.checked_root = root(&self.current(holdings)?, self.last_pass);
            self.heard.clear();
            self.send(&Frame::Check { pass: self.last_pass, root: self.checked_root });
        }
        Ok(())
    }

    fn checked<H: Holdings>(
        &mut self,
        pass: u64,
        their_root: Root,
        holdings: &mut H,
    ) -> Result<(), SessionError<H::Error>> {
        if self.role == Role::Dialler {
            return Ok(());
        }
        let mine = self.current(holdings)?;
        self.heard.clear();
        if root(&mine, pass) == their_root {
            self.send(&Frame::Equal { pass });
            self.agree();
            return Ok(());
        }
        let both_remember = self.speech.as_ref().is_some_and(|speech| speech.both_remember);
        if pass == 1 && both_remember {
            self.send(&Frame::Pushing { pass });
            let changed = std::mem::take(&mut self.memory.changed);
            return self.offer(changed, holdings);
        }
        self.listening = (pass, 3);
        self.send(&Frame::Ranges { pass, round: 2, ranges: begin(&mine, pass) });
        Ok(())
    }

    fn compared<H: Holdings>(
        &mut self,
        pass: u64,
        round: u64,
        ranges: &[Range],
        holdings: &mut H,
    ) -> Result<(), SessionError<H::Error>> {
        match (self.role, self.turn) {
            (Role::Dialler, Turn::Checking { pass: ours, round: expected })
                if (ours, expected) == (pass, round) =>
            {
                self.turn = Turn::Checking { pass, round: round + 2 };
            }
            (Role::Listener, _) if self.listening == (pass, round) => {
                self.listening = (pass, round + 2);
            }
            // An answer to something that is over.
            _ => return Ok(()),
        }
        let (reply, differing) = answer(&self.current(holdings)?, ranges, pass);
        // What the other asked about is being dealt with.
        let is_new = |id: &DocumentId| self.is_shared(*id) && !self.heard.contains(id);
        let shared: Vec<_> = differing.into_iter().filter(is_new).collect();
        self.ask(&shared, holdings)?;
        let over = reply.is_empty();
        // The dialler needs no telling that the talk is over, it drains next.
        if self.role == Role::Listener || !over {
            self.send(&Frame::Ranges { pass, round: round + 1, ranges: reply });
        }
        if self.role == Role::Dialler && (over || ranges.is_empty()) {
            self.turn = Turn::Draining { pass, asked: false, flushed: false };
        }
        Ok(())
    }

    /// Both hold the same, but for what is stuck.
    fn agree(&mut self) {
        self.passes = 0;
        let looked = std::mem::take(&mut self.looked);
        let known: Vec<(DocumentId, Held)> =
            looked.into_iter().filter(|(id, _)| !self.stuck.contains(id)).collect();
        self.theirs.extend(known.iter().cloned());
        self.out.push(Effect::Remember { nonce: self.their_nonce, documents: known });
        let except = self.stuck.iter().copied().collect();
        self.tell(Event::InSync { documents: self.mine.len(), except });
    }

    /// The other asks what is held of some documents, and says what it holds.
    fn asked_about<H: Holdings>(
        &mut self,
        documents: Vec<(DocumentId, Held)>,
        holdings: &mut H,
    ) -> Result<(), SessionError<H::Error>> {
        let mut answers = Vec::new();
        for (id, theirs) in documents {
            if !self.is_shared(id) {
                answers.push(None);
                continue;
            }
            self.heard.insert(id);
            let mine = self.look(id, holdings)?;
            answers.push(Some(mine.clone()));
            self.hear_of(id, theirs, &mine, holdings)?;
        }
        self.send(&Frame::Answers { documents: answers });
        Ok(())
    }

    fn answered<H: Holdings>(
        &mut self,
        documents: Vec<Option<Held>>,
        holdings: &mut H,
    ) -> Result<(), SessionError<H::Error>> {
        let asked = self.questions.pop_front().unwrap_or_default();
        for (place, id) in asked.into_iter().enumerate() {
            self.asked.remove(&id);
            if let Some(Some(theirs)) = documents.get(place) {
                let mine = self.look(id, holdings)?;
                self.hear_of(id, theirs.clone(), &mine, holdings)?;
            }
        }
        Ok(())
    }

    /// What the other holds of a document is known now.
    fn hear_of<H: Holdings>(
        &mut self,
        id: DocumentId,
        theirs: Held,
        mine: &Held,
        holdings: &mut H,
    ) -> Result<(), SessionError<H::Error>> {
        if holdings.is_forked(id, &theirs).map_err(SessionError::Holdings)? {
            // Only the side that holds the longer chain can see it.
            self.send(&Frame::Forked { id });
            self.give_up(id, Some(Refusal::Forked));
            return Ok(());
        }
        let ahead = !covers(&theirs, mine);
        // Replaced, not added to: the other knows best what it keeps.
        self.theirs.insert(id, theirs);
        if ahead {
            self.queue.insert(id);
        }
        Ok(())
    }

    fn received(&mut self, batch: u64, parcels: Vec<Parcel>) {
        let places = parcels.iter().map(|parcel| parcel.id).collect();
        self.committing.insert(batch, places);
        let documents: Vec<Incoming> = parcels
            .into_iter()
            .filter(|parcel| self.is_shared(parcel.id) && !self.stuck.contains(&parcel.id))
            .map(|parcel| Incoming { id: parcel.id, changes: parcel.changes })
            .collect();
        if documents.is_empty() {
            self.committed(batch, Vec::new());
        } else {
            self.out.push(Effect::Commit { batch, documents });
        }
    }

    fn acknowledged(&mut self, batch: u64, refused: &[(usize, Refused)]) {
        let Some(sent) = self.unacknowledged.remove(&batch) else { return };
        let mut safe = Vec::new();
        let mut gone: BTreeSet<DocumentId> = BTreeSet::new();
        for (place, (id, gives)) in sent.into_iter().enumerate() {
            gone.insert(id);
            match refused.iter().find(|(at, _)| *at == place) {
                None => {
                    let theirs = self.theirs.entry(id).or_default();
                    merge(theirs, &gives);
                    safe.push((id, theirs.clone()));
                }
                Some((_, Refused::Unclear)) if self.plainly.insert(id) => {
                    self.flying.remove(&id);
                    self.queue.insert(id);
                }
                Some(_) => self.give_up(id, None),
            }
        }
        let still = self.unacknowledged.values().flatten().map(|(id, _)| *id);
        let still: BTreeSet<DocumentId> = still.collect();
        for id in gone.difference(&still) {
            self.flying.remove(id);
        }
        if !safe.is_empty() {
            self.out.push(Effect::Remember { nonce: self.their_nonce, documents: safe });
        }
    }
}
