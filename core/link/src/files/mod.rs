//! Photos and papers on streams of their own, so that no entry waits for one.
//!
//! A question is one frame on a new stream: which of these files are there, give me this one from
//! here on, will you keep these. Two more are told rather than asked: these files are safe here
//! now, and this is what is kept here, so that each device can say what waits for the other.

use std::{
    collections::{BTreeSet, HashMap},
    path::PathBuf,
    sync::{Arc, atomic::Ordering},
    time::Duration,
};

use iroh::endpoint::{Connection, RecvStream, SendStream};
use swardbook_journal::sync::{FileHash, FileSort, KeepRule, MAX_HASHES, Malformed, spare, wants};
use swardbook_store::{Batch, BlobHash, CheckedPart, Store};
use tokio::{sync::broadcast, task::JoinSet};

use crate::{
    LinkError, LinkEvent, PeerId, StoreHolder, framing,
    ledger::{files_here, known_there},
    link::write_rule,
    shared::Shared,
    tables::{PROMISED, RULES, THERE, there_key},
    verified::{MAX_ENCODED, Sink, Source},
};

const HAVE: u8 = 1;
const GET: u8 = 2;
const KEEP: u8 = 3;
/// Not a question: these files are safe here now.
const SAFE: u8 = 4;
/// Not a question: this is what is kept here of files.
const RULE: u8 = 5;
/// The longest question.
const MAX_QUESTION: usize = 1 + MAX_HASHES * 32;
/// Files that arrive at one time.
const AT_ONCE: usize = 3;
/// Files that are told to be safe at one time.
const TOGETHER: usize = 8;
/// Tell me when you know that we hold the same: whoever asks is about to leave.
const DONE: u8 = 6;
/// How long the answer to that may take, and how often it is looked.
const FAREWELL: Duration = Duration::from_secs(5);
const LOOK: Duration = Duration::from_millis(20);
/// The longest word for what is kept.
const MAX_RULE: usize = 16;
/// After this long it is asked again which files are there, and tried again what failed.
const AGAIN: Duration = Duration::from_secs(20);
/// A file larger than this is not taken.
const MAX_FILE: u64 = 4 << 30;

/// Answers one question.
pub(crate) async fn answer<S: StoreHolder>(
    shared: Arc<Shared<S>>,
    peer: PeerId,
    mut send: SendStream,
    mut receive: RecvStream,
) -> Result<(), LinkError> {
    let Some(question) = framing::receive(&mut receive, MAX_QUESTION).await? else { return Ok(()) };
    let (kind, rest) = question.split_first().ok_or(Malformed("an empty question"))?;
    match *kind {
        HAVE => {
            let here = tokio::task::block_in_place(|| present(&shared, &hashes(rest)?))?;
            framing::send(&mut send, &here).await?;
        }
        GET => give(&shared, &mut send, rest).await?,
        KEEP => {
            let promised = tokio::task::block_in_place(|| promise(&shared, &hashes(rest)?))?;
            framing::send(&mut send, &promised).await?;
        }
        SAFE => {
            let safe = hashes(rest)?;
            tokio::task::block_in_place(|| note_there(&shared, peer, &safe))?;
            // It carries files again, perhaps.
            if safe.is_empty() {
                shared.wake_files();
            }
            shared.tell(LinkEvent::Acknowledged { peer });
        }
        RULE => {
            let known = rest.get(..MAX_RULE).unwrap_or(rest).to_vec();
            let mut batch = Batch::new();
            batch.put_local(RULES, &peer.0, known);
            tokio::task::block_in_place(|| shared.holder.with_store(|s| s.commit(&batch)))?;
            shared.tell(LinkEvent::Acknowledged { peer });
        }
        DONE => {
            let known = async {
                let mut look = tokio::time::interval(LOOK);
                while !(shared.state(|state| state.equal.contains(&peer))
                    && nothing_waits(&shared, peer))
                {
                    look.tick().await;
                }
            };
            // It may leave all the same; what was not noted here is compared the next time.
            let _ = tokio::time::timeout(FAREWELL, known).await;
            framing::send(&mut send, &[1]).await?;
        }
        // A newer version's question: no answer is an answer.
        _ => {}
    }
    // The other side may have gone meanwhile.
    let _ = send.finish();
    Ok(())
}

pub(crate) fn hashes(bytes: &[u8]) -> Result<Vec<FileHash>, LinkError> {
    let (hashes, rest) = bytes.as_chunks::<32>();
    if rest.is_empty() { Ok(hashes.to_vec()) } else { Err(Malformed("a list of files").into()) }
}

fn present<S: StoreHolder>(shared: &Shared<S>, asked: &[FileHash]) -> Result<Vec<u8>, LinkError> {
    shared
        .holder
        .with_store(|store| asked.iter().map(|hash| Ok(u8::from(is_here(store, *hash)?))).collect())
}

fn is_here(store: &Store, hash: FileHash) -> Result<bool, LinkError> {
    let hash = BlobHash::from_bytes(hash);
    Ok(store.blob_size(hash)?.is_some() && store.blob_path(hash).exists())
}

async fn give<S: StoreHolder>(
    shared: &Shared<S>,
    send: &mut SendStream,
    rest: &[u8],
) -> Result<(), LinkError> {
    let malformed = Malformed("a question for a file");
    let (hash, from) = rest.split_first_chunk::<32>().ok_or(malformed)?;
    let mut from = u64::from_le_bytes(from.try_into().map_err(|_| malformed)?);
    if shared.state(|state| state.holds_files) {
        return framing::send(send, &[]).await;
    }
    let opened = tokio::task::block_in_place(|| {
        let path = shared.holder.with_store(|store| {
            let here = is_here(store, *hash)?;
            Ok::<_, LinkError>(here.then(|| store.blob_path(BlobHash::from_bytes(*hash))))
        })?;
        path.map(|path| Source::open(&path, *hash)).transpose()
    });
    // A file that went bad on this disk is as good as none: another device may have it whole.
    let Ok(Some(source)) = opened else { return framing::send(send, &[]).await };
    framing::send(send, &source.size().to_le_bytes()).await?;
    loop {
        let piece = tokio::task::block_in_place(|| source.piece(from))?;
        framing::send(send, &piece).await?;
        shared.carried[1].fetch_add(piece.len() as u64, Ordering::Relaxed);
        if shared.state(|state| state.holds_files) {
            // The rest goes when files are carried again.
            return Err(LinkError::Lost);
        }
        from = from.saturating_add(crate::verified::PIECE);
        if from >= source.size() {
            return Ok(());
        }
    }
}

/// Writes down that these files are safe on a device.
fn note_there<S: StoreHolder>(
    shared: &Shared<S>,
    peer: PeerId,
    safe: &[FileHash],
) -> Result<(), LinkError> {
    shared.holder.with_store(|store| {
        let mut batch = Batch::new();
        for hash in safe {
            // What is not here is not waited for; nobody fills this disk with names of files.
            if is_here(store, *hash)? {
                batch.put_local(THERE, &there_key(peer, hash), Vec::new());
            }
        }
        if !batch.is_empty() {
            store.commit(&batch)?;
        }
        Ok(())
    })
}

fn promise<S: StoreHolder>(shared: &Shared<S>, asked: &[FileHash]) -> Result<Vec<u8>, LinkError> {
    // A promise is made for bytes that were looked at.
    let whole: BTreeSet<FileHash> = shared.holder.with_store(|store| {
        asked
            .iter()
            .filter(|hash| store.verify_blob(BlobHash::from_bytes(**hash)).is_ok())
            .copied()
            .collect()
    });
    let promised = shared.state(|state| state.keeping.asked(asked, |hash| whole.contains(hash)));
    let mut batch = Batch::new();
    for hash in &promised {
        batch.put_local(PROMISED, hash, vec![1]);
    }
    if !batch.is_empty() {
        // Safe before it is said.
        shared.holder.with_store(|store| store.commit(&batch))?;
    }
    Ok(asked.iter().map(|hash| u8::from(promised.contains(hash))).collect())
}

/// Fetches what is wanted from one device for as long as it is connected.
pub(crate) async fn fetch<S: StoreHolder>(
    shared: Arc<Shared<S>>,
    connection: Connection,
) -> Result<(), LinkError> {
    let peer = PeerId::of(connection.remote_id());
    let mut woken = shared.files.subscribe();
    let mut told = None;
    // Files that the other was asked about not long ago.
    let mut asked: BTreeSet<FileHash> = BTreeSet::new();
    let mut failed = false;
    let mut again = tokio::time::interval(AGAIN);
    loop {
        tokio::select! {
            heard = woken.recv() => match heard {
                Ok(()) | Err(broadcast::error::RecvError::Lagged(_)) => {}
                Err(broadcast::error::RecvError::Closed) => return Ok(()),
            },
            _ = again.tick() => {
                asked.clear();
                if !failed {
                    continue;
                }
            }
        }
        while woken.try_recv().is_ok() {}
        let now = shared.state(|state| (state.rule, state.holds_files));
        if told != Some(now) {
            announce(&connection, RULE, write_rule(now.0)).await?;
            if told.is_some_and(|(_, held)| held) && !now.1 {
                announce(&connection, SAFE, &[]).await?;
            }
            told = Some(now);
        }
        let round = async {
            if !now.1 {
                fetch_planned(&shared, &connection, &mut woken).await?;
                free(&shared, &connection).await?;
            }
            learn(&shared, &connection, &mut asked).await
        };
        match round.await {
            Ok(()) => {
                failed = false;
                shared.tell(LinkEvent::FilesArrived { peer });
            }
            // The stream was cut, not the connection: it is tried again.
            Err(LinkError::Lost) if connection.close_reason().is_none() => failed = true,
            Err(LinkError::Lost) => return Err(LinkError::Lost),
            // A full disk, for example: it is tried again in a while, and said.
            Err(error) => {
                failed = true;
                shared.tell(LinkEvent::FilesFailed { peer, reason: error.to_string() });
            }
        }
    }
}

/// Whether the other has every entry that was written here; what was equal a moment ago may have been
/// written on since.
fn nothing_waits<S: StoreHolder>(shared: &Arc<Shared<S>>, peer: PeerId) -> bool {
    let waiting = tokio::task::block_in_place(|| {
        shared.with_ledger(|ledger| ledger.waiting(&*shared.holder, &shared.device))
    });
    waiting.is_ok_and(|all| all.iter().all(|one| one.peer != peer || one.entries == 0))
}

/// Tells the other something that needs no answer.
async fn announce(connection: &Connection, kind: u8, rest: &[u8]) -> Result<(), LinkError> {
    let (mut send, _) = connection.open_bi().await.map_err(|_| LinkError::Lost)?;
    framing::send(&mut send, &[&[kind], rest].concat()).await?;
    let _ = send.finish();
    Ok(())
}

/// Waits until the other knows that both hold the same, before this device leaves.
pub(crate) async fn farewell(connection: &Connection) {
    let asked = async {
        let (mut send, mut receive) = connection.open_bi().await.ok()?;
        framing::send(&mut send, &[DONE]).await.ok()?;
        let _ = send.finish();
        framing::receive(&mut receive, 1).await.ok()
    };
    // One that does not answer, or does not know the question, is not waited for.
    let _ = tokio::time::timeout(FAREWELL * 2, asked).await;
}

/// Finds out which of the files here are on the other device too, as far as that is not known.
async fn learn<S: StoreHolder>(
    shared: &Arc<Shared<S>>,
    connection: &Connection,
    asked: &mut BTreeSet<FileHash>,
) -> Result<(), LinkError> {
    let peer = PeerId::of(connection.remote_id());
    let unknown: Vec<FileHash> = tokio::task::block_in_place(|| {
        let wishes = shared.with_ledger(|l| l.wishes(&*shared.holder, &shared.device))?;
        let (here, (there, rule)) = shared.holder.with_store(|store| {
            Ok::<_, LinkError>((files_here(store)?, known_there(store, peer)?))
        })?;
        let mut unknown = BTreeSet::new();
        for wish in wishes {
            let is_kept = rule == KeepRule::All || wish.sort == FileSort::Preview;
            let is_known = there.contains(&wish.hash) || asked.contains(&wish.hash);
            if is_kept && here.contains(&wish.hash) && !is_known {
                unknown.insert(wish.hash);
            }
        }
        Ok::<_, LinkError>(unknown.into_iter().collect())
    })?;
    for some in unknown.chunks(MAX_HASHES) {
        let there = ask(connection, HAVE, some).await?;
        asked.extend(some);
        if !there.is_empty() {
            tokio::task::block_in_place(|| note_there(shared, peer, &there))?;
            shared.tell(LinkEvent::Acknowledged { peer });
        }
    }
    Ok(())
}

/// Fetches by plan; begins anew when something more pressing may have come up.
async fn fetch_planned<S: StoreHolder>(
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
        let mut running = JoinSet::new();
        let mut arrived = Vec::new();
        let mut left = there.len();
        for hash in there {
            // Another connection may be at it.
            let Some(claim) = Claim::take(shared, hash) else {
                absent.insert(hash);
                left -= 1;
                continue;
            };
            let own = connection.clone();
            running.spawn(async move { (hash, fetch_one(&claim.shared, &own, hash).await) });
            if running.len() >= AT_ONCE {
                let settled = settle_one(shared, &mut running, &mut absent, &mut left).await;
                arrived.extend(settled?);
            }
            if arrived.len() >= TOGETHER {
                tell_safe(shared, connection, &mut arrived).await?;
            }
            if woken.try_recv().is_ok() {
                break;
            }
        }
        while !running.is_empty() {
            match settle_one(shared, &mut running, &mut absent, &mut left).await {
                Ok(settled) => arrived.extend(settled),
                Err(error) => {
                    // What did arrive is said all the same.
                    tell_safe(shared, connection, &mut arrived).await?;
                    return Err(error);
                }
            }
        }
        tell_safe(shared, connection, &mut arrived).await?;
        if shared.state(|state| state.holds_files) {
            return Ok(());
        }
    }
}

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

type Fetched = (FileHash, Result<(), LinkError>);

async fn settle_one<S: StoreHolder>(
    shared: &Shared<S>,
    running: &mut JoinSet<Fetched>,
    absent: &mut BTreeSet<FileHash>,
    left: &mut usize,
) -> Result<Option<FileHash>, LinkError> {
    match running.join_next().await {
        Some(Ok((hash, Ok(())))) => {
            *left = left.saturating_sub(1);
            shared.state(|state| state.wanted.remove(&hash));
            shared.tell(LinkEvent::FileArrived { hash, left: *left });
            Ok(Some(hash))
        }
        // Not from this device; another may have it whole.
        Some(Ok((hash, Err(LinkError::WrongBytes)))) => {
            absent.insert(hash);
            Ok(None)
        }
        Some(Ok((_, Err(error)))) => Err(error),
        Some(Err(_)) => Err(LinkError::Lost),
        None => Ok(None),
    }
}

/// The other has these files, and hears that they are safe here too; several at once, since each
/// telling is a commit on both sides.
async fn tell_safe<S: StoreHolder>(
    shared: &Shared<S>,
    connection: &Connection,
    arrived: &mut Vec<FileHash>,
) -> Result<(), LinkError> {
    let arrived = std::mem::take(arrived);
    if arrived.is_empty() {
        return Ok(());
    }
    let peer = PeerId::of(connection.remote_id());
    tokio::task::block_in_place(|| note_there(shared, peer, &arrived))?;
    announce(connection, SAFE, arrived.as_flattened()).await
}

async fn fetch_one<S: StoreHolder>(
    shared: &Shared<S>,
    connection: &Connection,
    hash: FileHash,
) -> Result<(), LinkError> {
    let name = BlobHash::from_bytes(hash);
    let path: PathBuf = shared.holder.with_store(|store| store.part_path(name))?;
    let (mut send, mut receive) = connection.open_bi().await.map_err(|_| LinkError::Lost)?;
    // What is there already is not fetched again; how much that is depends on the true size, so it
    // is asked for from the beginning of the part that is there.
    let there = std::fs::metadata(&path).map_or(0, |known| known.len());
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
        let _ = std::fs::remove_file(&path);
        return Err(LinkError::WrongBytes);
    }
    let mut sink = Sink::open(&path, hash, size, from)?;
    loop {
        let piece = framing::receive(&mut receive, MAX_ENCODED).await?.ok_or(LinkError::Lost)?;
        tokio::task::block_in_place(|| sink.take(&piece))?;
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
            break;
        }
    }
    drop(sink);
    tokio::task::block_in_place(|| {
        let part = CheckedPart::check(path, name)?;
        shared.holder.with_store(|store| store.take_part(part))?;
        Ok(())
    })
}

/// Lets go what the rule does not keep, as far as the other promises to keep it.
async fn free<S: StoreHolder>(
    shared: &Arc<Shared<S>>,
    connection: &Connection,
) -> Result<(), LinkError> {
    let peer = PeerId::of(connection.remote_id());
    let (_, spare) = look(shared)?;
    let asked = shared.state(|state| state.keeping.ask(&spare, peer.0));
    if asked.is_empty() {
        return Ok(());
    }
    let promised = ask(connection, KEEP, &asked).await;
    let role = shared.role_of(peer);
    let free = shared.state(|state| {
        let promised = promised.as_deref().unwrap_or_default();
        let free = state.keeping.promised_by(peer.0, &role, promised);
        state.keeping.give_up(peer.0);
        free
    });
    promised?;
    if free.is_empty() {
        return Ok(());
    }
    let hashes: Vec<BlobHash> = free.iter().map(|hash| BlobHash::from_bytes(*hash)).collect();
    shared.holder.with_store(|store| {
        store.release_blobs(&hashes)?;
        let mut batch = Batch::new();
        for hash in &free {
            batch.delete_local(PROMISED, hash);
        }
        store.commit(&batch)
    })?;
    shared.tell(LinkEvent::FilesReleased { count: free.len() });
    Ok(())
}

/// What is to be fetched, in order, and what could be let go.
fn look<S: StoreHolder>(shared: &Shared<S>) -> Result<(Vec<FileHash>, Vec<FileHash>), LinkError> {
    tokio::task::block_in_place(|| {
        let wishes = shared.with_ledger(|l| l.wishes(&*shared.holder, &shared.device))?;
        let here = shared.holder.with_store(|store| files_here(store))?;
        let rule = shared.state(|state| state.rule);
        let fetch = wants(&wishes, &here, rule).fetch;
        let sizes: HashMap<FileHash, u64> =
            wishes.iter().filter_map(|wish| Some((wish.hash, wish.size?))).collect();
        shared.state(|state| {
            let known = std::mem::take(&mut state.wanted);
            let left = |hash: &FileHash| {
                known.get(hash).or_else(|| sizes.get(hash)).copied().unwrap_or_default()
            };
            state.wanted = fetch.iter().map(|hash| (*hash, left(hash))).collect();
        });
        Ok((fetch, spare(&wishes, &here, rule)))
    })
}

/// Asks about files and names those that the answer says yes to, in the same order.
async fn ask(
    connection: &Connection,
    kind: u8,
    asked: &[FileHash],
) -> Result<Vec<FileHash>, LinkError> {
    let (mut send, mut receive) = connection.open_bi().await.map_err(|_| LinkError::Lost)?;
    let question = [&[kind][..], asked.as_flattened()].concat();
    framing::send(&mut send, &question).await?;
    let _ = send.finish();
    // No answer is a no: an older version does not know the question.
    let answer = framing::receive(&mut receive, MAX_HASHES).await?.unwrap_or_default();
    let yes = asked.iter().zip(answer).filter(|(_, yes)| *yes == 1);
    Ok(yes.map(|(hash, _)| *hash).collect())
}
