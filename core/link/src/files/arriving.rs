//! Files on their way here: several at once, each checked as it comes, safe before it is said.
//!
//! While one file is made safe the next ones come in already, and whatever has come whole meanwhile
//! is named and recorded in one go: the disk is waited for once for all of them.

use std::{
    collections::{BTreeSet, VecDeque},
    sync::{Arc, atomic::Ordering},
};

use iroh::endpoint::Connection;
use swardbook_journal::sync::{FileHash, MAX_HASHES};
use swardbook_store::{Arriving, Batch, BlobHash, CheckedPart};
use tokio::{
    sync::{Semaphore, broadcast},
    task::{JoinSet, block_in_place},
};

use super::{GET, HAVE, SAFE, announce, ask, carrying::look};
use crate::{
    LinkError, LinkEvent, PeerId, StoreHolder, framing,
    shared::Shared,
    tables::{THERE, there_key},
    verified::{MAX_ENCODED, Sink},
};

/// Files whose bytes come in at one time.
const AT_ONCE: usize = 3;
/// Files that are begun and not safe yet; those beyond the first few wait for the disk.
const UNFINISHED: usize = 12;
/// Files that are told to be safe at one time, since each telling is a commit on the other side.
const TOGETHER: usize = 8;
/// A file larger than this is not taken.
const MAX_FILE: u64 = 4 << 30;

/// One file is fetched by one connection at a time; given back however that ends.
struct Claim<S: StoreHolder> {
    shared: Arc<Shared<S>>,
    hash: FileHash,
}

impl<S: StoreHolder> Claim<S> {
    fn take(shared: &Arc<Shared<S>>, hash: FileHash) -> Option<Self> {
        let is_free = shared.state(|state| state.fetching.insert(hash));
        is_free.then(|| Self { shared: Arc::clone(shared), hash })
    }
}

impl<S: StoreHolder> Drop for Claim<S> {
    fn drop(&mut self) {
        self.shared.state(|state| state.fetching.remove(&self.hash));
    }
}

/// What one of the things that go on at one time came to.
enum Step<S: StoreHolder> {
    /// A file came, and its bytes are safe.
    Came(Claim<S>, Result<CheckedPart, LinkError>),
    /// Files were named and recorded.
    Kept(Result<Vec<Claim<S>>, LinkError>),
}

/// Fetches by plan; begins anew when something more pressing may have come up.
pub(super) async fn fetch_planned<S: StoreHolder>(
    shared: &Arc<Shared<S>>,
    connection: &Connection,
    woken: &mut broadcast::Receiver<()>,
) -> Result<(), LinkError> {
    let mut absent: BTreeSet<FileHash> = BTreeSet::new();
    loop {
        let (plan, _) = look(shared)?;
        let wanted: Vec<FileHash> =
            plan.into_iter().filter(|hash| !absent.contains(hash)).take(MAX_HASHES).collect();
        if wanted.is_empty() {
            return Ok(());
        }
        let there = ask(connection, HAVE, &wanted).await?;
        absent.extend(wanted.iter().filter(|hash| !there.contains(*hash)));
        fetch_all(shared, connection, there, &mut absent, woken).await?;
        if shared.state(|state| state.holds_files) {
            return Ok(());
        }
    }
}

/// Fetches files that the other has; fewer, when it is time to plan anew.
async fn fetch_all<S: StoreHolder>(
    shared: &Arc<Shared<S>>,
    connection: &Connection,
    there: Vec<FileHash>,
    absent: &mut BTreeSet<FileHash>,
    woken: &mut broadcast::Receiver<()>,
) -> Result<(), LinkError> {
    let peer = PeerId::of(connection.remote_id());
    let places = Arc::new(Semaphore::new(AT_ONCE));
    let mut left = there.len();
    let mut to_come = VecDeque::from(there);
    let mut steps = JoinSet::new();
    let mut whole = Vec::new();
    let mut is_keeping = false;
    let mut safe = Vec::new();
    let mut failed = None;
    loop {
        if !is_keeping && !whole.is_empty() {
            let (own, parts) = (Arc::clone(shared), std::mem::take(&mut whole));
            steps.spawn_blocking(move || Step::Kept(keep(&own, peer, parts)));
            is_keeping = true;
        }
        if safe.len() >= TOGETHER {
            tell_safe(connection, &mut safe).await?;
        }
        let goes_on = !to_come.is_empty() && steps.len() + whole.len() < UNFINISHED;
        tokio::select! {
            place = Arc::clone(&places).acquire_owned(), if goes_on => {
                let place = place.map_err(|_| LinkError::Lost)?;
                let Some(hash) = to_come.pop_front() else { continue };
                // Another connection may be at it.
                let Some(claim) = Claim::take(shared, hash) else {
                    absent.insert(hash);
                    left = left.saturating_sub(1);
                    continue;
                };
                let own = connection.clone();
                steps.spawn(async move {
                    let came = receive_one(&claim.shared, &own, hash).await;
                    drop(place);
                    let safe = came.and_then(|came| block_in_place(|| came.make_safe()));
                    Step::Came(claim, safe)
                });
                if woken.try_recv().is_ok() {
                    to_come.clear();
                }
            }
            Some(step) = steps.join_next() => match step.map_err(|_| LinkError::Lost)? {
                Step::Came(claim, Ok(part)) => whole.push((claim, part)),
                // Not from this device; another may have it whole.
                Step::Came(claim, Err(LinkError::WrongBytes)) => {
                    absent.insert(claim.hash);
                }
                Step::Kept(Ok(claims)) => {
                    is_keeping = false;
                    for claim in claims {
                        let hash = claim.hash;
                        left = left.saturating_sub(1);
                        shared.state(|state| state.wanted.remove(&hash));
                        shared.tell(LinkEvent::FileArrived { hash, left });
                        safe.push(hash);
                    }
                }
                Step::Came(_, Err(error)) => {
                    to_come.clear();
                    failed.get_or_insert(error);
                }
                Step::Kept(Err(error)) => {
                    is_keeping = false;
                    to_come.clear();
                    failed.get_or_insert(error);
                }
            },
            else => break,
        }
    }
    // What did arrive is said, whatever became of the rest.
    tell_safe(connection, &mut safe).await?;
    failed.map_or(Ok(()), Err)
}

/// Names and records files, and that the other, which gave them, has them: all of it is on the disk
/// when this returns.
fn keep<S: StoreHolder>(
    shared: &Shared<S>,
    peer: PeerId,
    parts: Vec<(Claim<S>, CheckedPart)>,
) -> Result<Vec<Claim<S>>, LinkError> {
    let (claims, parts): (Vec<_>, Vec<_>) = parts.into_iter().unzip();
    // The store is not held while the disk is waited for.
    let placed = CheckedPart::place(parts)?;
    let mut batch = Batch::new();
    placed.iter().for_each(|part| batch.file(part));
    for claim in &claims {
        batch.put_local(THERE, &there_key(peer, &claim.hash), Vec::new());
    }
    shared.holder.with_store(|store| store.commit(&batch))?;
    Ok(claims)
}

/// The other hears that these files are safe here too.
async fn tell_safe(connection: &Connection, safe: &mut Vec<FileHash>) -> Result<(), LinkError> {
    let safe = std::mem::take(safe);
    if safe.is_empty() { Ok(()) } else { announce(connection, SAFE, safe.as_flattened()).await }
}

/// A file whose last byte has come.
struct Came {
    arriving: Arriving,
    sink: Sink,
    size: u64,
}

impl Came {
    fn make_safe(self) -> Result<CheckedPart, LinkError> {
        let Self { arriving, sink, size } = self;
        Ok(match sink.into_checked() {
            Some(file) => arriving.finish(&file, size)?,
            None => arriving.check()?,
        })
    }
}

async fn receive_one<S: StoreHolder>(
    shared: &Shared<S>,
    connection: &Connection,
    hash: FileHash,
) -> Result<Came, LinkError> {
    let name = BlobHash::from_bytes(hash);
    let arriving = block_in_place(|| shared.holder.with_store(|store| store.arriving(name)))?;
    let (mut send, mut receive) = connection.open_bi().await.map_err(|_| LinkError::Lost)?;
    // What is there already is not fetched again; how much that is depends on the true size, so it
    // is asked for from the beginning of the part that is there.
    let there = std::fs::metadata(arriving.path()).map_or(0, |known| known.len());
    let from = Sink::resumes_at(there);
    let question = [&[GET][..], &hash, &from.to_le_bytes()].concat();
    framing::send(&mut send, &question).await?;
    let _ = send.finish();
    let size = framing::receive(&mut receive, 8).await?.ok_or(LinkError::Lost)?;
    let Ok(size) = <[u8; 8]>::try_from(size).map(u64::from_le_bytes) else {
        return Err(LinkError::WrongBytes);
    };
    if size > MAX_FILE || from > size {
        // What is there is longer than the file: it is none of it.
        let _ = std::fs::remove_file(arriving.path());
        return Err(LinkError::WrongBytes);
    }
    let mut sink = Sink::open(arriving.path(), hash, size, from)?;
    loop {
        let piece = framing::receive(&mut receive, MAX_ENCODED).await?.ok_or(LinkError::Lost)?;
        block_in_place(|| sink.take(&piece))?;
        shared.carried[0].fetch_add(piece.len() as u64, Ordering::Relaxed);
        let left = size.saturating_sub(sink.have());
        let holds = shared.state(|state| {
            state.wanted.insert(hash, left);
            state.holds_files
        });
        if holds {
            // What is there stays there.
            return Err(LinkError::Lost);
        }
        if sink.have() >= size {
            return Ok(Came { arriving, sink, size });
        }
    }
}
