//! One connection between two devices: what each said, in order, until it is cut.

use std::collections::VecDeque;

use swardbook_journal::sync::{Effect, Event, Incoming, Input, Role, Session, frame_length};

use crate::device::Device;

/// A connection. Side 0 dialled.
#[derive(Debug)]
pub(crate) struct Connection {
    pub(crate) sides: [usize; 2],
    pub(crate) sessions: [Session; 2],
    /// Frames on the way to each side.
    pub(crate) wire: [VecDeque<Vec<u8>>; 2],
    /// Batches that a side has not written yet.
    pub(crate) unwritten: [VecDeque<(u64, Vec<Incoming>)>; 2],
    pub(crate) events: [Vec<Event>; 2],
    /// Bytes, with those that part the frames, and frames sent by each side.
    pub(crate) bytes: [usize; 2],
    pub(crate) frames: [usize; 2],
    pub(crate) closed: bool,
    /// Documents that a side took from the other, to be told to its other connections.
    pub(crate) news: [Vec<swardbook_journal::sync::DocumentId>; 2],
}

impl Connection {
    pub(crate) fn open(sides: [usize; 2], devices: &mut [Device]) -> Self {
        let session = |role, side: usize, other: usize| {
            Session::new(role, devices[side].hello(), devices[side].memory(other))
        };
        let mut connection = Self {
            sides,
            sessions: [
                session(Role::Dialler, sides[0], sides[1]),
                session(Role::Listener, sides[1], sides[0]),
            ],
            wire: Default::default(),
            unwritten: Default::default(),
            events: Default::default(),
            bytes: [0; 2],
            frames: [0; 2],
            closed: false,
            news: Default::default(),
        };
        for side in 0..2 {
            connection.input(side, Input::Opened, devices);
        }
        connection
    }

    pub(crate) fn input(&mut self, side: usize, input: Input<'_>, devices: &mut [Device]) {
        let (me, other) = (self.sides[side], self.sides[1 - side]);
        let effects = self.sessions[side].handle(input, &mut devices[me]).unwrap();
        for effect in effects {
            match effect {
                Effect::Send(frame) => {
                    self.bytes[side] += frame_length(frame.len()).len() + frame.len();
                    self.frames[side] += 1;
                    self.wire[1 - side].push_back(frame);
                }
                Effect::Commit { batch, documents } => {
                    self.unwritten[side].push_back((batch, documents));
                }
                Effect::Remember { nonce, documents } => {
                    // Whatever is said to be safe there is on that disk, at this very moment.
                    for (id, held) in &documents {
                        let there = &devices[other].disk.documents.get(id);
                        let safe = there.is_some_and(|there| {
                            swardbook_journal::sync::covers(&there.held, held)
                        });
                        assert!(safe, "{id:?} was acknowledged before it was safe");
                    }
                    devices[me].remember(other, nonce, documents);
                }
                Effect::Tell(event) => {
                    if matches!(event, Event::InSync { .. }) {
                        devices[me].agreed(other);
                    }
                    self.events[side].push(event);
                }
                Effect::Close => self.closed = true,
            }
        }
    }

    /// Writes the oldest batch that a side has waiting.
    pub(crate) fn write(&mut self, side: usize, devices: &mut [Device]) -> bool {
        let Some((batch, incoming)) = self.unwritten[side].pop_front() else { return false };
        self.news[side].extend(incoming.iter().map(|one| one.id));
        let documents = devices[self.sides[side]].commit(incoming);
        self.input(side, Input::Committed { batch, documents }, devices);
        true
    }

    /// Lets the next frame arrive at a side.
    pub(crate) fn deliver(&mut self, side: usize, devices: &mut [Device]) -> bool {
        let Some(frame) = self.wire[side].pop_front() else { return false };
        self.input(side, Input::Frame(&frame), devices);
        true
    }

    /// Lets everything arrive and be written until nothing is on the way.
    pub(crate) fn settle(&mut self, devices: &mut [Device]) {
        for _ in 0..20_000 {
            let mut moved = false;
            for side in 0..2 {
                moved |= self.write(side, devices);
                moved |= self.deliver(side, devices);
            }
            if !moved {
                return;
            }
        }
        panic!("the two never come to an end");
    }

    pub(crate) fn in_sync(&self) -> bool {
        self.events.iter().all(|told| told.iter().any(|e| matches!(e, Event::InSync { .. })))
    }
}
