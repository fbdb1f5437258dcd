//! What another device asks of this one's files, and tells of its own.

use std::{
    collections::BTreeSet,
    sync::{Arc, atomic::Ordering},
    time::Duration,
};

use iroh::endpoint::{RecvStream, SendStream};
use swardbook_journal::sync::{FileHash, Malformed};
use swardbook_store::{Batch, BlobHash};

use super::{
    DONE, FAREWELL, GET, HAVE, KEEP, MAX_QUESTION, RULE, SAFE, hashes, is_here, note_there,
};
use crate::{
    LinkError, LinkEvent, PeerId, StoreHolder, framing,
    shared::Shared,
    tables::{PROMISED, RULES},
    verified::Source,
};

/// The longest word for what is kept.
const MAX_RULE: usize = 16;
/// How often it is looked whether a device that leaves has everything.
const LOOK: Duration = Duration::from_millis(20);

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

fn present<S: StoreHolder>(shared: &Shared<S>, asked: &[FileHash]) -> Result<Vec<u8>, LinkError> {
    shared
        .holder
        .with_store(|store| asked.iter().map(|hash| Ok(u8::from(is_here(store, *hash)?))).collect())
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

/// Whether the other has every entry that was written here; what was equal a moment ago may have been
/// written on since.
fn nothing_waits<S: StoreHolder>(shared: &Arc<Shared<S>>, peer: PeerId) -> bool {
    let waiting = tokio::task::block_in_place(|| {
        shared.with_ledger(|ledger| ledger.waiting(&*shared.holder, &shared.device))
    });
    waiting.is_ok_and(|all| all.iter().all(|one| one.peer != peer || one.entries == 0))
}
