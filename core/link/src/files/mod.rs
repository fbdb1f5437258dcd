//! Photos and papers on streams of their own, so that no entry waits for one.
//!
//! A question is one frame on a new stream: which of these files are there, give me this one from
//! here on, will you keep these. Two more are told rather than asked: these files are safe here
//! now, and this is what is kept here, so that each device can say what waits for the other.

mod answering;
mod arriving;
mod carrying;

pub(crate) use answering::answer;
pub(crate) use carrying::fetch;

use std::time::Duration;

use iroh::endpoint::Connection;
use swardbook_journal::sync::{FileHash, MAX_HASHES, Malformed};
use swardbook_store::{Batch, BlobHash, Store};

use crate::{
    LinkError, PeerId, StoreHolder, framing,
    shared::Shared,
    tables::{THERE, there_key},
};

const HAVE: u8 = 1;
const GET: u8 = 2;
const KEEP: u8 = 3;
/// Not a question: these files are safe here now.
const SAFE: u8 = 4;
/// Not a question: this is what is kept here of files.
const RULE: u8 = 5;
/// Tell me when you know that we hold the same: whoever asks is about to leave.
const DONE: u8 = 6;
/// The longest question.
const MAX_QUESTION: usize = 1 + MAX_HASHES * 32;
/// How long the answer to that may take.
const FAREWELL: Duration = Duration::from_secs(5);

pub(crate) fn hashes(bytes: &[u8]) -> Result<Vec<FileHash>, LinkError> {
    let (hashes, rest) = bytes.as_chunks::<32>();
    if rest.is_empty() { Ok(hashes.to_vec()) } else { Err(Malformed("a list of files").into()) }
}

fn is_here(store: &Store, hash: FileHash) -> Result<bool, LinkError> {
    let hash = BlobHash::from_bytes(hash);
    Ok(store.blob_size(hash)?.is_some() && store.blob_path(hash).exists())
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
