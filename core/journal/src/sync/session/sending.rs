//! Giving the other device what it lacks, in batches.

use super::super::{
    frame::{Frame, MAX_FRAME, Parcel},
    held::{DocumentId, Held, merge},
    pack,
};
use super::{Holdings, Refusal, Session, SessionError, Unsent};

/// Batches that are on the way at one time.
pub(super) const WINDOW: usize = 8;
/// A batch is sent when it has so many bytes: enough that one commit for it is not much, and few
/// enough that both sides have something to do.
const BATCH: usize = 128 << 10;
/// A single change larger than this is not sent.
const MAX_PIECE: usize = MAX_FRAME / 2;
/// Changes of one document that are to be sent together.
#[derive(Debug, Default)]
struct Run {
    changes: Vec<Vec<u8>>,
    gives: Held,
}

impl Session {
    /// Sends what is new of these documents where it is known what the other has, and asks where
    /// it is not.
    pub(super) fn offer<H: Holdings>(
        &mut self,
        ids: Vec<DocumentId>,
        holdings: &mut H,
    ) -> Result<(), SessionError<H::Error>> {
        let mut unknown = Vec::new();
        for id in ids {
            if !self.is_shared(id) || self.stuck.contains(&id) {
                continue;
            }
            if self.theirs.contains_key(&id) {
                self.queue.insert(id);
            } else {
                unknown.push(id);
            }
        }
        self.ask(&unknown, holdings)
    }

    /// Sends one batch of waiting documents, unless enough are on the way.
    pub(super) fn pump<H: Holdings>(
        &mut self,
        holdings: &mut H,
    ) -> Result<(), SessionError<H::Error>> {
        if self.unacknowledged.len() >= WINDOW {
            return Ok(());
        }
        let mut parcels = Vec::new();
        let mut size = 0;
        while size < BATCH {
            let Some(id) = self.queue.pop_first() else { break };
            if self.stuck.contains(&id) {
                continue;
            }
            let mut known = self.theirs.get(&id).cloned().unwrap_or_default();
            if let Some(flying) = self.flying.get(&id) {
                merge(&mut known, flying);
            }
            let unsent = holdings.unsent(id, &known).map_err(SessionError::Holdings)?;
            let Some(Unsent { digest, pieces }) = unsent else { continue };
            self.mine.insert(id, digest);
            self.stale.remove(&id);
            if pieces.is_empty() {
                continue;
            }
            if pieces.iter().any(|piece| piece.bytes.len() > MAX_PIECE) {
                self.give_up(id, Some(Refusal::TooLarge));
                continue;
            }
            for piece in &pieces {
                merge(&mut known, &piece.gives);
            }
            merge(self.flying.entry(id).or_default(), &known);
            let mut run = Run::default();
            let mut pieces = pieces.into_iter().peekable();
            while let Some(piece) = pieces.next() {
                size += piece.bytes.len();
                merge(&mut run.gives, &piece.gives);
                run.changes.push(piece.bytes);
                // A document's own changes go all at once, in as many batches as they fill.
                if size >= BATCH && pieces.peek().is_some() {
                    parcels.push((id, std::mem::take(&mut run)));
                    self.send_batch(&mut parcels);
                    size = 0;
                }
            }
            parcels.push((id, run));
        }
        self.send_batch(&mut parcels);
        Ok(())
    }

    fn send_batch(&mut self, runs: &mut Vec<(DocumentId, Run)>) {
        if runs.is_empty() {
            return;
        }
        let batch = self.next_batch;
        self.next_batch += 1;
        let (mut parcels, mut gives) = (Vec::new(), Vec::new());
        for (id, run) in std::mem::take(runs) {
            let is_plain = self.plainly.contains(&id);
            let changes =
                if is_plain { pack::plain(&run.changes) } else { pack::pack(&run.changes) };
            parcels.push(Parcel { id, changes });
            gives.push((id, run.gives));
        }
        self.unacknowledged.insert(batch, gives);
        self.send(&Frame::Changes { batch, parcels });
    }
}
