//! One pass of sync: everybody is met and everything exchanged.

use std::{
    collections::BTreeSet,
    time::{Duration, Instant},
};

use serde::{Deserialize, Serialize};
use swardbook_link::PeerId;
use ts_rs::TS;

use super::{
    linked::LinkedNotebook,
    status::{SyncStatus, WaitingLine},
};
use crate::Problem;

/// One pass of sync.
#[derive(Debug, Clone, Copy, Default, Deserialize, TS)]
pub struct SyncPassRequest {
    /// Give up when nothing has moved for so many seconds; 20 when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<u32>")]
    pub patience: Option<u32>,
}

/// What one pass did.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct SyncPass {
    /// Everything that could be exchanged was, with every device that was met.
    pub done: bool,
    /// Devices that were met.
    pub met: Vec<String>,
    /// Devices that did not answer.
    pub away: Vec<String>,
    /// How things stand after it.
    pub status: SyncStatus,
}

/// How soon a pass that was cut off meets the others again.
const AGAIN: Duration = Duration::from_secs(1);
/// How often a pass looks how far it is.
const STEP: Duration = Duration::from_millis(100);

#[expect(clippy::disallowed_methods, reason = "patience is measured by the steady clock")]
fn steady_now() -> Instant {
    Instant::now()
}

impl LinkedNotebook {
    /// Meets every other device once and exchanges everything, until nothing is left or nothing
    /// moves any more.
    ///
    /// # Errors
    /// [`Problem`] when there is no other device, or sync is paused.
    pub fn sync_once(
        &self,
        request: SyncPassRequest,
        tell: &mut dyn FnMut(&SyncStatus),
    ) -> Result<SyncPass, Problem> {
        let patience = Duration::from_secs(u64::from(request.patience.unwrap_or(20)));
        {
            let notebook = self.holder().lock();
            if notebook.own_device()?.paused {
                return Err(Problem::refused("sync is paused on this device; resume it first"));
            }
            if !notebook.has_other_devices()? {
                return Err(Problem::refused(
                    "no other device holds this notebook; pair one first, `swardbook invite`",
                ));
            }
        }
        let running = self.running()?;
        let meetings = running.wait(running.link().meet_all());
        let (known, _) = self.holder().lock().devices_here()?;
        let name = |peer: PeerId| {
            let device = known.iter().find(|device| device.peer == peer);
            device.map_or_else(|| peer.to_string(), |device| device.name.clone())
        };
        // One that has just been here and has everything need not come again.
        let settled = running.live().lock().settled.clone();
        let away: Vec<String> = meetings
            .iter()
            .filter(|(peer, met)| met.is_err() && !settled.contains(peer))
            .map(|(peer, _)| name(*peer))
            .collect();
        let answered = meetings.iter().filter(|(_, met)| met.is_ok()).map(|(peer, _)| *peer);
        let mut seen: BTreeSet<PeerId> = answered.collect();
        seen.extend(running.link().connected());
        seen.extend(settled);
        let (mut moved, mut looked) = (steady_now(), steady_now());
        let mut before = None;
        loop {
            let status = self.sync_status()?;
            tell(&status);
            let (ready, broken) = {
                let live = running.live().lock();
                let ready = seen.iter().all(|peer| {
                    live.settled.contains(peer)
                        || (live.equal.contains(peer) && live.files_done.contains(peer))
                });
                (ready, seen.iter().all(|peer| live.problems.contains_key(peer)))
            };
            let met: Vec<String> = seen.iter().map(|peer| name(*peer)).collect();
            let left = |line: &WaitingLine| !line.words.is_empty() && met.contains(&line.name);
            let nothing_waits = !status.waiting.iter().any(left);
            if seen.is_empty() || (ready && nothing_waits) {
                // So that the others know it too, before this one leaves.
                running.wait(running.link().farewell());
                return Ok(SyncPass {
                    done: away.is_empty() && !seen.is_empty(),
                    met,
                    away,
                    status,
                });
            }
            let now = (
                status.arrived_documents,
                status.arrived_files,
                status.bytes_to_come,
                status.waiting.clone(),
                running.link().progress(),
            );
            if before.as_ref() != Some(&now) {
                moved = steady_now();
                before = Some(now);
            }
            let gone = !seen.iter().any(|peer| running.link().connected().contains(peer));
            if moved.elapsed() > patience || (gone && broken) {
                return Ok(SyncPass { done: false, met, away, status });
            }
            if gone && looked.elapsed() > AGAIN {
                // Cut off in the middle, or both called at once and each took the other's call for
                // the one to be kept: whoever is there still is met again.
                running.wait(running.link().meet_all());
                looked = steady_now();
            }
            std::thread::sleep(STEP);
        }
    }
}
