//! What the link has told since it was started.

use std::{
    collections::{BTreeMap, BTreeSet},
    sync::{Arc, Mutex, MutexGuard, PoisonError},
};

use swardbook_link::{Difference, Joining, LinkEvent, PeerId};

use super::{
    holder::Holder,
    pairing::{self, Pairing},
};

/// What the link has told since it was started.
#[derive(Debug, Default)]
pub(super) struct Live {
    pub(super) connected: BTreeMap<PeerId, Connected>,
    /// Devices that hold the same entries as this one, as of their last comparison.
    pub(super) equal: BTreeSet<PeerId>,
    /// Devices from which no more files are to come.
    pub(super) files_done: BTreeSet<PeerId>,
    /// Devices that left after everything had been exchanged with them.
    pub(super) settled: BTreeSet<PeerId>,
    /// What is in the way, by device, in words.
    pub(super) problems: BTreeMap<PeerId, String>,
    /// The relay that was named does not answer.
    pub(super) relay_is_silent: bool,
    /// Documents and files that arrived.
    pub(super) arrived: (u32, u32),
    pub(super) pairing: Pairing,
    /// This device's side of a pairing that it was invited to.
    pub(super) joining: Option<Joining<Holder>>,
}

/// A device that is connected.
#[derive(Debug, Clone)]
pub(super) struct Connected {
    /// How its program differs, in words; empty for none.
    pub(super) difference: String,
}

/// What may have changed on the screen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct News {
    /// Records or files arrived.
    pub records: bool,
    /// Devices, what waits for them, or a pairing.
    pub devices: bool,
}

/// Shared between the thread that listens and those that ask.
#[derive(Debug, Clone, Default)]
pub(super) struct LiveCell(Arc<Mutex<Live>>);

impl LiveCell {
    pub(super) fn lock(&self) -> MutexGuard<'_, Live> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Live {
    /// Takes note of an event and says what it may change on the screen.
    pub(super) fn hear(&mut self, event: &LinkEvent) -> News {
        let mut news = News { records: false, devices: true };
        match event {
            LinkEvent::Connected { peer, difference, .. } => {
                let difference = difference_words(difference);
                self.connected.insert(*peer, Connected { difference });
                self.settled.remove(peer);
                self.equal.remove(peer);
                self.files_done.remove(peer);
                self.problems.remove(peer);
            }
            LinkEvent::Disconnected { peer } => {
                self.connected.remove(peer);
                if self.equal.remove(peer) & self.files_done.remove(peer) {
                    self.settled.insert(*peer);
                }
            }
            LinkEvent::DocumentsArrived { documents, .. } => {
                let count = u32::try_from(documents.len()).unwrap_or(u32::MAX);
                self.arrived.0 = self.arrived.0.saturating_add(count);
                news.records = true;
            }
            LinkEvent::InSync { peer, except, .. } => {
                self.equal.insert(*peer);
                if *except == 0 {
                    self.problems.remove(peer);
                }
            }
            LinkEvent::Stuck { peer, why, .. } => {
                let why = match why {
                    Some(swardbook_link::Refusal::Forked) => {
                        "two copies of this notebook wrote under one name; keep one of the two \
                         folders and pair the other device anew"
                    }
                    Some(swardbook_link::Refusal::Damaged) => {
                        "some of its bytes came damaged; they are asked for again"
                    }
                    _ => "one document could not be exchanged; the others were",
                };
                self.problems.insert(*peer, why.to_owned());
            }
            LinkEvent::NeedsUpdate { peer, difference } => {
                let words = difference_words(difference);
                self.problems.insert(*peer, format!("the two speak no common version; {words}"));
            }
            LinkEvent::FileArrived { .. } => {
                self.arrived.1 = self.arrived.1.saturating_add(1);
                news.records = true;
            }
            LinkEvent::FilesArrived { peer } => {
                self.files_done.insert(*peer);
            }
            LinkEvent::FilesFailed { peer, reason } => {
                let words = format!("its photos could not be taken: {reason}; it is tried again");
                self.problems.insert(*peer, words);
            }
            LinkEvent::ExchangeFailed { peer, reason } => {
                self.problems.insert(*peer, format!("{reason}; it is tried again"));
            }
            LinkEvent::SentAway { peer } => {
                self.problems.insert(
                    *peer,
                    "it does not let this device in: it has heard that this one was removed, or \
                     holds another notebook now"
                        .to_owned(),
                );
            }
            LinkEvent::Relay { answers } => self.relay_is_silent = !answers,
            LinkEvent::PairingAsked { guest, introduction, words } => {
                self.pairing = Pairing::Asked {
                    guest: *guest,
                    name: introduction.name.clone(),
                    role: introduction.role.clone(),
                    words: *words,
                };
            }
            LinkEvent::Paired { .. } => {
                if let Some(name) = self.pairing.name() {
                    self.pairing = Pairing::Done { name };
                }
            }
            LinkEvent::PairingFailed { reason } => {
                self.pairing = Pairing::Failed { reason: pairing::why_not(reason) };
            }
            LinkEvent::FilesReleased { .. }
            | LinkEvent::Acknowledged { .. }
            | LinkEvent::Skipped { .. }
            | LinkEvent::DevicesChanged
            | LinkEvent::RemovedHere => {}
        }
        news
    }
}

fn difference_words(difference: &Difference) -> String {
    match difference {
        Difference::None => "",
        Difference::OtherIsOlder => {
            "its Swardbook is older; what both know is exchanged; update it when you can"
        }
        Difference::OtherIsNewer => {
            "its Swardbook is newer; what both know is exchanged; update this one when you can"
        }
    }
    .to_owned()
}
