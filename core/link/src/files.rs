//! Photos and papers on streams of their own, so that no entry waits for one.
//!
//! A question is one frame on a new stream: which of these files are there, give me this one from
//! here on, will you keep these.

use std::{collections::BTreeSet, path::PathBuf, sync::Arc};

use iroh::endpoint::{Connection, RecvStream, SendStream};
use swardbook_journal::sync::{FileHash, MAX_HASHES, Malformed, spare, wants};
use swardbook_store::{Batch, BlobHash, CheckedPart, Store};
use tokio::{sync::broadcast, task::JoinSet};

use crate::{
    LinkError, LinkEvent, PeerId, StoreHolder, framing,
    library::Library,
    shared::Shared,
    tables::PROMISED,
    verified::{MAX_ENCODED, Sink, Source},
};

const HAVE: u8 = 1;
const GET: u8 = 2;
const KEEP: u8 = 3;
/// The longest question.
const MAX_QUESTION: usize = 1 + MAX_HASHES * 32;
/// Files that arrive at one time.
const AT_ONCE: usize = 3;
/// A file larger than this is not taken.
const MAX_FILE: u64 = 4 << 30;

/// Answers one question.
pub(crate) async fn answer<S: StoreHolder>(
    shared: Arc<Shared<S>>,
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
        // A newer version's question: no answer is an answer.
        _ => {}
    }
    // The other side may have gone meanwhile.
    let _ = send.finish();
    Ok(())
}

fn hashes(bytes: &[u8]) -> Result<Vec<FileHash>, LinkError> {
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
        from = from.saturating_add(crate::verified::PIECE);
        if from >= source.size() {
            return Ok(());
        }
    }
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
    let mut library = Library::new(Arc::clone(&shared.holder));
    let mut woken = shared.files.subscribe();
    loop {
        match woken.recv().await {
            Ok(()) | Err(broadcast::error::RecvError::Lagged(_)) => {}
            Err(broadcast::error::RecvError::Closed) => return Ok(()),
        }
        while woken.try_recv().is_ok() {}
        let fetched = match fetch_planned(&shared, &connection, &mut library, &mut woken).await {
            Ok(()) => free(&shared, &connection, &mut library).await,
            Err(error) => Err(error),
        };
        match fetched {
            Ok(()) => shared.tell(LinkEvent::FilesArrived { peer }),
            Err(LinkError::Lost) => return Err(LinkError::Lost),
            // A full disk, for example: it is tried again with the next change, and said.
            Err(error) => shared.tell(LinkEvent::FilesFailed { peer, reason: error.to_string() }),
        }
    }
}

/// Fetches by plan; begins anew when something more pressing may have come up.
async fn fetch_planned<S: StoreHolder>(
    shared: &Arc<Shared<S>>,
    connection: &Connection,
    library: &mut Library<S>,
    woken: &mut broadcast::Receiver<()>,
) -> Result<(), LinkError> {
    let mut absent: BTreeSet<FileHash> = BTreeSet::new();
    loop {
        let (plan, _) = look(shared, library)?;
        let wanted: Vec<FileHash> =
            plan.into_iter().filter(|hash| !absent.contains(hash)).take(MAX_HASHES).collect();
        if wanted.is_empty() {
            return Ok(());
        }
        let there = ask(connection, HAVE, &wanted).await?;
        absent.extend(wanted.iter().filter(|hash| !there.contains(*hash)));
        let mut running = JoinSet::new();
        let mut left = there.len();
        for hash in there {
            // Another connection may be at it.
            let Some(claim) = Claim::take(shared, hash) else {
                absent.insert(hash);
                left -= 1;
                continue;
            };
            let connection = connection.clone();
            running.spawn(async move { (hash, fetch_one(&claim.shared, &connection, hash).await) });
            if running.len() >= AT_ONCE {
                settle_one(shared, &mut running, &mut absent, &mut left).await?;
            }
            if woken.try_recv().is_ok() {
                break;
            }
        }
        while !running.is_empty() {
            settle_one(shared, &mut running, &mut absent, &mut left).await?;
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
) -> Result<(), LinkError> {
    match running.join_next().await {
        Some(Ok((hash, Ok(())))) => {
            *left = left.saturating_sub(1);
            shared.tell(LinkEvent::FileArrived { hash, left: *left });
            Ok(())
        }
        // Not from this device; another may have it whole.
        Some(Ok((hash, Err(LinkError::WrongBytes)))) => {
            absent.insert(hash);
            Ok(())
        }
        Some(Ok((_, Err(error)))) => Err(error),
        Some(Err(_)) => Err(LinkError::Lost),
        None => Ok(()),
    }
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
    library: &mut Library<S>,
) -> Result<(), LinkError> {
    let peer = PeerId::of(connection.remote_id());
    let (_, spare) = look(shared, library)?;
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
fn look<S: StoreHolder>(
    shared: &Shared<S>,
    library: &mut Library<S>,
) -> Result<(Vec<FileHash>, Vec<FileHash>), LinkError> {
    tokio::task::block_in_place(|| {
        let wishes = library.wishes(&shared.device)?;
        let here: BTreeSet<FileHash> = shared
            .holder
            .with_store(|store| store.blobs())?
            .into_iter()
            .map(|(hash, _)| *hash.as_bytes())
            .collect();
        let rule = shared.state(|state| state.rule);
        Ok((wants(&wishes, &here, rule).fetch, spare(&wishes, &here, rule)))
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
