//! The running link: its threads, and what it tells.

use std::{
    collections::VecDeque,
    future::Future,
    sync::{Arc, Mutex, PoisonError},
    time::{Duration, Instant},
};

use swardbook_link::{Introduction, Link, LinkConfig, LinkEvent, Progress, StoreHolder as _};
use tokio::{
    runtime::Runtime,
    sync::{Notify, broadcast::error::RecvError},
};

use super::{
    holder::Holder,
    linked::{Hearers, News},
    live::LiveCell,
    own::{self, OwnDevice},
};
use crate::Problem;

/// Threads of the link; what takes long has others.
const THREADS: usize = 2;
/// The shell is told at most this often.
const TELL: Duration = Duration::from_millis(150);
/// How long the threads may take to end.
const ENDING: Duration = Duration::from_secs(10);
/// Speed is taken over this long.
const SPEED: Duration = Duration::from_secs(8);

/// The running link.
pub(super) struct Running {
    /// There is one until it is stopped.
    runtime: Option<Runtime>,
    link: Link<Holder>,
    live: LiveCell,
    hearers: Hearers,
    clock: swardbook_link::Clock,
    speeds: Mutex<VecDeque<(Instant, u64)>>,
}

impl std::fmt::Debug for Running {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Running").field("link", &self.link).finish_non_exhaustive()
    }
}

/// Whether other devices are sought for as long as the link runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Seeking {
    Always,
    /// Only when it is asked for.
    WhenAsked,
}

impl Running {
    /// Opens the network.
    pub(super) fn start(
        holder: &Arc<Holder>,
        hearers: Hearers,
        own: &OwnDevice,
        seeking: Seeking,
    ) -> Result<Self, Problem> {
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(THREADS)
            .thread_name("swardbook-link")
            .enable_all()
            .build()
            .map_err(|e| {
                Problem::new(crate::Code::Storage, format!("this system gives no threads: {e}"))
            })?;
        let (device, clock) = {
            let notebook = holder.lock();
            (notebook.device_mark().to_owned(), notebook.clock())
        };
        let relay = own.relay.trim();
        let config = LinkConfig {
            device,
            introduction: Introduction { name: own.name.clone(), role: own::role(&own.role)? },
            program: env!("CARGO_PKG_VERSION").to_owned(),
            clock: Arc::clone(&clock),
            discovery: own.discovery,
            relay: (!relay.is_empty()).then(|| relay.to_owned()),
        };
        let link = runtime.block_on(Link::start(config, Arc::clone(holder)))?;
        link.hold_files(own.holds_files);
        let live = LiveCell::default();
        runtime.spawn(listen(link.clone(), Arc::clone(holder), live.clone(), hearers.clone()));
        if seeking == Seeking::Always {
            let link = link.clone();
            runtime.spawn(async move { link.keep().await });
        }
        let speeds = Mutex::default();
        Ok(Self { runtime: Some(runtime), link, live, hearers, clock, speeds })
    }

    pub(super) const fn link(&self) -> &Link<Holder> {
        &self.link
    }

    pub(super) const fn live(&self) -> &LiveCell {
        &self.live
    }

    pub(super) fn news(&self) -> Hearers {
        self.hearers.clone()
    }

    pub(super) fn now(&self) -> i64 {
        (self.clock)()
    }

    /// Waits here for something that the link does.
    pub(super) fn wait<T>(&self, work: impl Future<Output = T>) -> T {
        self.runtime().block_on(work)
    }

    /// Has something done on the link's threads.
    pub(super) fn spawn(&self, work: impl Future<Output = ()> + Send + 'static) {
        self.runtime().spawn(work);
    }

    /// Listens from now on for the system to ask the program to end.
    pub(super) fn listen_for_end(&self) -> Arc<Notify> {
        let asked = Arc::new(Notify::new());
        let told = Arc::clone(&asked);
        // One listener for all the time: one made anew for each look would miss what is asked
        // between two of them.
        self.spawn(async move {
            asked_to_end().await;
            told.notify_one();
        });
        asked
    }

    /// Waits for that, or for so long; says whether it was asked.
    pub(super) fn wait_for_end(&self, asked: &Notify, at_most: Duration) -> bool {
        self.wait(async { tokio::time::timeout(at_most, asked.notified()).await.is_ok() })
    }

    fn runtime(&self) -> &Runtime {
        self.runtime.as_ref().expect("there is one until it is dropped")
    }

    /// How far files are, and bytes a second both ways; none where nothing was carried lately.
    #[expect(clippy::disallowed_methods, reason = "speed is measured by the steady clock")]
    pub(super) fn progress(&self) -> (Progress, Option<f64>) {
        let progress = self.link.progress();
        let mut speeds = self.speeds.lock().unwrap_or_else(PoisonError::into_inner);
        let (now, carried) = (Instant::now(), progress.received.saturating_add(progress.given));
        speeds.push_back((now, carried));
        while speeds.len() > 2 && speeds.front().is_some_and(|(at, _)| now - *at > SPEED) {
            speeds.pop_front();
        }
        let speed = speeds.front().and_then(|(at, then)| {
            let seconds = (now - *at).as_secs_f64();
            #[expect(clippy::cast_precision_loss, reason = "a speed for people")]
            let bytes = carried.saturating_sub(*then) as f64;
            (seconds > 0.2 && bytes > 0.0).then(|| bytes / seconds)
        });
        (progress, speed)
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        let Some(runtime) = self.runtime.take() else { return };
        // What hangs in the network is left behind.
        let _ended =
            runtime.block_on(async { tokio::time::timeout(ENDING, self.link.stop()).await });
        runtime.shutdown_timeout(ENDING);
    }
}

/// Notes what the link tells and passes it on to the shell, several things at once.
async fn listen(link: Link<Holder>, holder: Arc<Holder>, live: LiveCell, hearers: Hearers) {
    let mut events = link.events();
    let mut tick = tokio::time::interval(TELL);
    let mut news = News::default();
    loop {
        tokio::select! {
            heard = events.recv() => match heard {
                Ok(event) => {
                    let more = live.lock().hear(&event);
                    news.records |= more.records;
                    news.devices |= more.devices;
                    tokio::task::block_in_place(|| note(&link, &holder, &event));
                }
                // Whatever was missed, everything is asked for anew.
                Err(RecvError::Lagged(_)) => news = News { records: true, devices: true },
                Err(RecvError::Closed) => return,
            },
            _ = tick.tick() => {
                if news != News::default() {
                    let told = std::mem::take(&mut news);
                    tokio::task::block_in_place(|| hearers.tell(told));
                }
            }
        }
    }
}

fn note(link: &Link<Holder>, holder: &Holder, event: &LinkEvent) {
    match event {
        LinkEvent::Connected { peer, .. } | LinkEvent::Disconnected { peer } => {
            let now = holder.lock().now();
            holder.with_store(|store| own::note_met(store, *peer, now));
        }
        LinkEvent::InSync { .. } => {
            let written = {
                let mut notebook = holder.lock();
                // Only for people to read; it is tried again with the next comparison.
                let _later = notebook.catch_up().and_then(|()| notebook.note_own_mark());
                notebook.take_written()
            };
            if !written.is_empty() {
                link.documents_changed(&written);
            }
        }
        _ => {}
    }
}

/// Control-C, and the signal with which a service is stopped.
async fn asked_to_end() {
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        if let Ok(mut stop) = signal(SignalKind::terminate()) {
            tokio::select! {
                _ = tokio::signal::ctrl_c() => {}
                _ = stop.recv() => {}
            }
            return;
        }
    }
    // Without it the program is ended the hard way, which costs nothing that was acknowledged.
    let _ended = tokio::signal::ctrl_c().await;
}
