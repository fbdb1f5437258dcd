//! Carrying files for as long as a device is connected: fetching what is wanted, letting go what the
//! rule does not keep, and learning what is there.

use std::{
    collections::{BTreeSet, HashMap},
    sync::Arc,
    time::Duration,
};

use iroh::endpoint::Connection;
use swardbook_journal::sync::{FileHash, FileSort, KeepRule, MAX_HASHES, spare, wants};
use swardbook_store::{Batch, BlobHash};
use tokio::sync::broadcast;

use super::{HAVE, KEEP, RULE, SAFE, announce, arriving::fetch_planned, ask, note_there};
use crate::{
    LinkError, LinkEvent, PeerId, StoreHolder,
    ledger::{files_here, known_there},
    rule::write_rule,
    shared::Shared,
    tables::PROMISED,
};

/// After this long it is asked again which files are there, and tried again what failed.
const AGAIN: Duration = Duration::from_secs(20);

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
    // Entries go first; looking for files reads every document, and none is to be read twice. But
    // entries that do not come to an end hold no file up for ever.
    let mut waits_for_entries = true;
    let mut again = tokio::time::interval(AGAIN);
    again.reset();
    loop {
        tokio::select! {
            heard = woken.recv() => match heard {
                Ok(()) | Err(broadcast::error::RecvError::Lagged(_)) => {}
                Err(broadcast::error::RecvError::Closed) => return Ok(()),
            },
            _ = again.tick() => {
                asked.clear();
                if !std::mem::take(&mut waits_for_entries) && !failed {
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
        if waits_for_entries && !shared.state(|state| state.equal.contains(&peer)) {
            continue;
        }
        waits_for_entries = false;
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
pub(super) fn look<S: StoreHolder>(
    shared: &Shared<S>,
) -> Result<(Vec<FileHash>, Vec<FileHash>), LinkError> {
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
