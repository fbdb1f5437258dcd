//! An open notebook with its link to other devices.

use std::{
    path::PathBuf,
    sync::{Arc, Mutex, MutexGuard, PoisonError},
    time::Duration,
};

use serde_json::Value as Json;

pub use super::live::News;
use super::{
    folder::Folder,
    holder::Holder,
    running::{Running, Seeking},
    status::SyncStatus,
};
use crate::{Notebook, Problem, command};

/// An open notebook with its link to other devices.
///
/// Any thread may ask it; those that need the notebook itself take turns.
#[derive(Debug)]
pub struct LinkedNotebook {
    holder: Arc<Holder>,
    folder: Folder,
    running: Mutex<Option<Arc<Running>>>,
    hearers: Hearers,
    seeking: Seeking,
    /// Why the link could not be started when it should have been.
    trouble: Mutex<Option<Problem>>,
}

/// How often it is looked how things stand.
const LOOK: Duration = Duration::from_secs(1);

type Hearer = Box<dyn Fn(News) + Send + Sync>;

/// Those who want to know that something may have changed.
#[derive(Clone, Default)]
pub(super) struct Hearers(Arc<Mutex<Vec<Hearer>>>);

impl std::fmt::Debug for Hearers {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Hearers").finish_non_exhaustive()
    }
}

impl Hearers {
    pub(super) fn tell(&self, news: News) {
        for hear in self.0.lock().unwrap_or_else(PoisonError::into_inner).iter() {
            hear(news);
        }
    }

    pub(super) fn devices(&self) {
        self.tell(News { devices: true, ..News::default() });
    }
}

impl LinkedNotebook {
    /// A notebook that looks for its other devices for as long as it is linked.
    #[must_use]
    pub fn live(notebook: Notebook) -> Self {
        let linked = Self::new(notebook, Seeking::Always);
        linked.folder.watch(linked.hearers.clone());
        linked
    }

    /// A notebook that meets its other devices when it is told to.
    #[must_use]
    pub fn when_asked(notebook: Notebook) -> Self {
        Self::new(notebook, Seeking::WhenAsked)
    }

    fn new(notebook: Notebook, seeking: Seeking) -> Self {
        Self {
            folder: Folder::new(notebook.folder()),
            holder: Arc::new(Holder::new(notebook)),
            running: Mutex::new(None),
            hearers: Hearers::default(),
            seeking,
            trouble: Mutex::new(None),
        }
    }

    /// Runs one command.
    ///
    /// # Errors
    /// [`Problem`] when there is no such command, when the request does not fit, or when the
    /// command refuses.
    pub fn call(&self, name: &str, given: Json) -> Result<Json, Problem> {
        command::call_linked(self, name, given)
    }

    /// Works on the notebook; other devices hear of what is written.
    ///
    /// # Errors
    /// What the work refuses, and [`Problem`] when what arrived cannot be listed.
    pub fn with<T>(
        &self,
        work: impl FnOnce(&mut Notebook) -> Result<T, Problem>,
    ) -> Result<T, Problem> {
        let (done, written) = {
            let mut notebook = self.holder.lock();
            notebook.catch_up()?;
            let done = work(&mut notebook);
            (done, notebook.take_written())
        };
        if !written.is_empty() {
            if let Some(running) = self.if_running() {
                running.link().documents_changed(&written);
            }
            // More waits now, whether or not it can go.
            self.hearers.devices();
        }
        done
    }

    /// Its folder.
    #[must_use]
    pub fn folder(&self) -> PathBuf {
        self.folder.path().to_owned()
    }

    /// Whether its folder is still there.
    #[must_use]
    pub fn is_here(&self) -> bool {
        self.folder.is_here()
    }

    /// Calls this whenever something may have changed that is shown; on the link's own threads, so
    /// it must not ask back.
    pub fn on_news(&self, hear: impl Fn(News) + Send + Sync + 'static) {
        self.hearers.0.lock().unwrap_or_else(PoisonError::into_inner).push(Box::new(hear));
    }

    /// Starts the link where there is another device to meet and it was not paused.
    ///
    /// # Errors
    /// [`Problem`] when the network cannot be used; the notebook can be.
    pub fn start(&self) -> Result<(), Problem> {
        let is_wanted = {
            let notebook = self.holder.lock();
            notebook.is_writable()
                && !notebook.own_device()?.paused
                && notebook.has_other_devices()?
        };
        let started = if is_wanted { self.running().map(drop) } else { Ok(()) };
        *self.trouble.lock().unwrap_or_else(PoisonError::into_inner) = started.clone().err();
        self.hearers.devices();
        started
    }

    /// Ends the link, for example before the system puts the program to sleep; what was
    /// acknowledged is safe, the rest goes on with the next [`Self::start`].
    pub fn stop(&self) {
        // Whoever is still using it ends it with the last use.
        let running = self.slot().take();
        drop(running);
    }

    /// Exchanges with whoever is met until the system asks the program to end.
    ///
    /// # Errors
    /// [`Problem`] when there is no other device, sync is paused, or the notebook is gone.
    pub fn keep(&self, tell: &mut dyn FnMut(&SyncStatus)) -> Result<SyncStatus, Problem> {
        {
            let notebook = self.holder.lock();
            if notebook.own_device()?.paused {
                return Err(Problem::refused(
                    "sync is paused on this device; resume it first, `swardbook devices resume`",
                ));
            }
            if !notebook.has_other_devices()? {
                return Err(Problem::refused(
                    "no other device holds this notebook; pair one first, `swardbook invite` or \
                     `swardbook join`",
                ));
            }
        }
        let running = self.running()?;
        let asked = running.listen_for_end();
        loop {
            tell(&self.sync_status()?);
            if running.wait_for_end(&asked, LOOK) {
                return self.sync_status();
            }
        }
    }

    /// Closes the notebook in good order.
    ///
    /// # Errors
    /// [`Problem`]; what was acknowledged is on the disk all the same.
    pub fn close(self) -> Result<(), Problem> {
        self.stop();
        match Arc::try_unwrap(self.holder) {
            Ok(holder) => holder.into_notebook().close(),
            // Somebody still waits for an answer of the link; every commit is safe already.
            Err(_) => Ok(()),
        }
    }

    /// The running link, started if need be.
    pub(super) fn running(&self) -> Result<Arc<Running>, Problem> {
        let mut slot = self.slot();
        if let Some(running) = &*slot {
            return Ok(Arc::clone(running));
        }
        let own = {
            let notebook = self.holder.lock();
            if !notebook.is_writable() {
                return Err(Problem::new(
                    crate::Code::InUse,
                    "this notebook is open for writing in another window or program, which is the \
                     one that syncs; do it there, or close it first",
                ));
            }
            notebook.own_device()?
        };
        let running = Running::start(&self.holder, self.hearers.clone(), &own, self.seeking)?;
        let running = Arc::new(running);
        *slot = Some(Arc::clone(&running));
        Ok(running)
    }

    /// Why the link could not be started when it should have been.
    pub(super) fn trouble(&self) -> Option<Problem> {
        self.trouble.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// The link, if it runs.
    pub(super) fn if_running(&self) -> Option<Arc<Running>> {
        self.slot().clone()
    }

    pub(super) const fn holder(&self) -> &Arc<Holder> {
        &self.holder
    }

    pub(super) fn news(&self) -> &Hearers {
        &self.hearers
    }

    fn slot(&self) -> MutexGuard<'_, Option<Arc<Running>>> {
        self.running.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
