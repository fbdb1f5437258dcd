//! The notebook that lies open, or why none does.

use std::{
    collections::BTreeMap,
    panic::{AssertUnwindSafe, catch_unwind},
    path::{Path, PathBuf},
    sync::{
        Arc, Mutex, MutexGuard, Once,
        atomic::{AtomicBool, Ordering},
    },
};

use serde_json::{Value, json};
use swardbook_app::{
    Code, KeptFile, Notebook, Problem, Progress, RealSurroundings, Watch,
    devices::{LinkedNotebook, News},
};

use crate::{arguments::Asked, commands};

/// The notebook behind the window.
pub(crate) struct Desk {
    asked: Asked,
    folder: PathBuf,
    lying: Mutex<Lying>,
    /// Done once the notebook was opened for the first time, or could not be.
    opened: Once,
    hear: Mutex<Option<Hear>>,
    /// Long work that can be stopped, by its number.
    under_way: Mutex<BTreeMap<u32, Arc<AtomicBool>>>,
}

/// The window that waits for long work.
struct Window<T> {
    tell: T,
    stopped: Arc<AtomicBool>,
}

impl<T: FnMut(Progress)> Watch for Window<T> {
    fn tell(&mut self, progress: &Progress) {
        (self.tell)(*progress);
    }

    fn is_stopped(&self) -> bool {
        self.stopped.load(Ordering::Relaxed)
    }
}

type Hear = Arc<dyn Fn(News) + Send + Sync>;

impl std::fmt::Debug for Desk {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Desk").field("folder", &self.folder).finish_non_exhaustive()
    }
}

/// What lies on the desk.
#[derive(Debug)]
struct Lying {
    notebook: Option<Arc<LinkedNotebook>>,
    /// Why there is none, or why it can only be read.
    problem: Option<Problem>,
}

impl Lying {
    const fn none(problem: Problem) -> Self {
        Self { notebook: None, problem: Some(problem) }
    }

    fn open(notebook: Notebook) -> Self {
        Self { notebook: Some(linked(notebook)), problem: None }
    }
}

impl Desk {
    /// A desk on which nothing lies yet; whoever asks for the notebook waits for
    /// [`Desk::open_asked`], which must follow.
    pub(crate) fn new(asked: Asked) -> Self {
        let folder = match &asked {
            Asked::Unclear(_) => PathBuf::new(),
            Asked::Folder(folder) | Asked::Usual(folder) => folder.clone(),
        };
        Self {
            asked,
            folder,
            lying: Mutex::new(Lying::none(closed())),
            opened: Once::new(),
            hear: Mutex::default(),
            under_way: Mutex::default(),
        }
    }

    /// Opens what was asked for; whatever stands in the way is kept to be told.
    ///
    /// After an update the lists are made again first, and `tell` hears how far that is.
    pub(crate) fn open_asked(&self, tell: impl FnMut(Progress)) {
        self.lay(|| match &self.asked {
            Asked::Unclear(problem) => Lying::none(problem.clone()),
            Asked::Folder(folder) => open(folder, tell),
            Asked::Usual(folder) => match open(folder, tell) {
                Lying { problem: Some(Problem { code: Code::NoNotebook, .. }), .. } => {
                    create(folder)
                }
                other => other,
            },
        });
        self.begin();
    }

    /// Lays the first notebook on the desk, for which everybody waits: where opening it breaks, that
    /// is told, and it can be opened again.
    fn lay(&self, opening: impl FnOnce() -> Lying) {
        self.opened.call_once(|| {
            let lying = catch_unwind(AssertUnwindSafe(opening))
                .unwrap_or_else(|_| Lying::none(commands::broken()));
            *self.lying.lock().unwrap_or_else(std::sync::PoisonError::into_inner) = lying;
        });
    }

    /// Has this called whenever something arrived from another device.
    pub(crate) fn on_news(&self, hear: impl Fn(News) + Send + Sync + 'static) {
        *self.hear.lock().unwrap_or_else(std::sync::PoisonError::into_inner) = Some(Arc::new(hear));
    }

    /// Begins to exchange with other devices, away from the thread that draws.
    fn begin(&self) {
        let Some(notebook) = self.lying().notebook.clone() else { return };
        let hear = self.hear.lock().unwrap_or_else(std::sync::PoisonError::into_inner).clone();
        if let Some(hear) = hear {
            notebook.on_news(move |news| hear(news));
        }
        // A network that cannot be used is told with how syncing stands.
        std::thread::spawn(move || {
            let _told = notebook.start();
        });
    }

    /// The system puts the program to sleep: connections end in good order.
    #[cfg_attr(not(mobile), allow(dead_code, reason = "only phones put programs to sleep"))]
    pub(crate) fn sleep(&self) {
        if !self.opened.is_completed() {
            // Nothing is connected yet, and the thread that draws must not wait.
            return;
        }
        if let Some(notebook) = self.lying().notebook.clone() {
            notebook.stop();
        }
    }

    /// The program is in front again.
    #[cfg_attr(not(mobile), allow(dead_code, reason = "only phones put programs to sleep"))]
    pub(crate) fn wake(&self) {
        if !self.opened.is_completed() {
            // It connects once it is open.
            return;
        }
        if let Some(notebook) = self.lying().notebook.clone() {
            std::thread::spawn(move || {
                let _told = notebook.start();
            });
        }
    }

    /// How the window started: the folder, and why the notebook is not open for writing.
    pub(crate) fn start(&self) -> Value {
        let lying = self.lying();
        json!({
            "notebook": self.folder.display().to_string(),
            "open": lying.notebook.is_some(),
            "problem": lying.problem,
            "phone": cfg!(mobile),
        })
    }

    /// Lets go of the notebook and opens it once more, after whatever stood in the way is gone.
    pub(crate) fn reopen(&self, tell: impl FnMut(Progress)) -> Value {
        self.replace(|folder| open(folder, tell))
    }

    /// Makes a notebook in the folder that has none.
    pub(crate) fn create(&self) -> Value {
        self.replace(create)
    }

    /// Asks the core. Several may ask at once; one that waits for another device holds nobody up.
    pub(crate) fn call(&self, name: &str, request: Value) -> Result<Value, Problem> {
        self.notebook()?.call(name, request)
    }

    /// Asks the core for something long, which tells how far it is and can be stopped by its number.
    pub(crate) fn call_watched(
        &self,
        name: &str,
        request: Value,
        number: u32,
        tell: impl FnMut(Progress),
    ) -> Result<Value, Problem> {
        let stopped = Arc::new(AtomicBool::new(false));
        let mut watch = Window { tell, stopped: Arc::clone(&stopped) };
        self.under_way().insert(number, stopped);
        let done =
            self.notebook().and_then(|notebook| notebook.call_watched(name, request, &mut watch));
        self.under_way().remove(&number);
        done
    }

    /// Has the work of that number stopped as soon as it can be.
    pub(crate) fn stop(&self, number: u32) {
        if let Some(stopped) = self.under_way().get(&number) {
            stopped.store(true, Ordering::Relaxed);
        }
    }

    fn under_way(&self) -> MutexGuard<'_, BTreeMap<u32, Arc<AtomicBool>>> {
        self.under_way.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
    }

    /// Opens a kept file.
    pub(crate) fn kept_file(&self, hash: &str) -> Result<KeptFile, Problem> {
        self.notebook()?.with(|notebook| notebook.kept_file(hash))
    }

    fn notebook(&self) -> Result<Arc<LinkedNotebook>, Problem> {
        let lying = self.lying();
        let Lying { notebook, problem } = &*lying;
        notebook.clone().ok_or_else(|| problem.clone().unwrap_or_else(closed))
    }

    /// Closes the notebook in good order, when the window goes.
    pub(crate) fn close(&self) {
        if !self.opened.is_completed() {
            // A window that goes while its notebook is being opened: nothing was written by hand.
            return;
        }
        put_away(self.lying().notebook.take());
    }

    fn replace(&self, with: impl FnOnce(&Path) -> Lying) -> Value {
        if !self.folder.as_os_str().is_empty() {
            let mut lying = self.lying();
            // First, since one folder cannot be held twice.
            put_away(lying.notebook.take());
            *lying = with(&self.folder);
            drop(lying);
            self.begin();
        }
        self.start()
    }

    /// What lies here, once it was opened. After a panic nobody knows in what state it was left, so
    /// it is opened anew; after one in the core, the notebook itself goes back to what is on the
    /// disk.
    fn lying(&self) -> MutexGuard<'_, Lying> {
        self.opened.wait();
        self.lying.lock().unwrap_or_else(|poisoned| {
            self.lying.clear_poison();
            let mut lying = poisoned.into_inner();
            put_away(lying.notebook.take());
            *lying = open(&self.folder, drop);
            lying
        })
    }
}

fn open(folder: &Path, tell: impl FnMut(Progress)) -> Lying {
    let mut watch = Window { tell, stopped: Arc::default() };
    match Notebook::open_watched(folder, Box::new(RealSurroundings), &mut watch) {
        Ok(notebook) => Lying::open(notebook),
        // Another program writes there, or nobody may: it can still be read.
        Err(problem) if matches!(problem.code, Code::InUse | Code::ReadOnly) => {
            let notebook =
                Notebook::open_to_read_watched(folder, Box::new(RealSurroundings), &mut watch);
            let notebook = notebook.ok().map(linked);
            Lying { notebook, problem: Some(problem) }
        }
        Err(problem) => Lying::none(problem),
    }
}

fn linked(notebook: Notebook) -> Arc<LinkedNotebook> {
    Arc::new(LinkedNotebook::live(notebook))
}

/// Closes a notebook in good order, unless somebody still waits for an answer of it.
fn put_away(notebook: Option<Arc<LinkedNotebook>>) {
    let Some(notebook) = notebook else { return };
    notebook.stop();
    // What was acknowledged is on the disk whether or not this succeeds, and nobody is left to be
    // told.
    let _ = Arc::try_unwrap(notebook).map(LinkedNotebook::close);
}

fn create(folder: &Path) -> Lying {
    Notebook::create(folder, Box::new(RealSurroundings)).map_or_else(Lying::none, Lying::open)
}

fn closed() -> Problem {
    Problem::new(Code::NoNotebook, "no notebook is open")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn opened(asked: Asked) -> Desk {
        let desk = Desk::new(asked);
        desk.open_asked(drop);
        desk
    }

    fn code(started: &Value) -> Option<&str> {
        started["problem"]["code"].as_str()
    }

    #[test]
    fn the_usual_notebook_is_made_and_a_named_one_is_not() {
        let scratch = tempfile::tempdir().expect("a scratch folder");
        let named = opened(Asked::Folder(scratch.path().join("named")));
        assert_eq!(code(&named.start()), Some("no-notebook"));
        assert_eq!(
            named.call("calc.list", Value::Null).expect_err("closed").code,
            Code::NoNotebook
        );
        assert_eq!(code(&named.create()), None);
        named.call("notebook.status", Value::Null).expect("it is open now");

        let usual = opened(Asked::Usual(scratch.path().join("usual")));
        assert_eq!(code(&usual.start()), None);
        assert_eq!(usual.start()["open"], true);
    }

    #[test]
    fn a_second_window_reads_and_may_write_when_the_first_is_gone() {
        let scratch = tempfile::tempdir().expect("a scratch folder");
        let folder = scratch.path().join("notebook");
        let first = opened(Asked::Usual(folder.clone()));
        let second = opened(Asked::Folder(folder));
        assert_eq!(code(&second.start()), Some("in-use"));
        let status = second.call("notebook.status", Value::Null).expect("it can be read");
        assert_eq!(status["writable"], false);
        first.close();
        assert_eq!(code(&second.reopen(drop)), None);
        let status = second.call("notebook.status", Value::Null).expect("it is open");
        assert_eq!(status["writable"], true);
    }

    #[test]
    fn long_work_is_told_and_stopped_by_its_number() {
        let scratch = tempfile::tempdir().expect("a scratch folder");
        let desk = opened(Asked::Usual(scratch.path().join("notebook")));
        let add = |kind: &str, within: Option<&str>, name: &str| {
            let given = json!({ "kind": kind, "within": within, "fields": { "name": name } });
            desk.call("record.add", given).expect("written");
        };
        add("property", None, "Kettle Bend");
        add("zone", Some("Kettle Bend"), "Front verge");
        let given = json!({
            "text": "Sample,K (Mehlich-3) mg/kg,Ca (Mehlich-3) mg/kg\nA,54,900\nB,60,800\n",
            "zone": "Front verge",
        });
        let steps = Mutex::new(Vec::new());
        let tell = |progress: Progress| {
            steps.lock().expect("nobody panics").push(progress.step);
            // Another number is somebody else's work.
            desk.stop(8);
            desk.stop(7);
        };
        let stopped =
            desk.call_watched("panel.import", given.clone(), 7, tell).expect_err("stopped");
        assert_eq!(stopped.code, Code::Cancelled, "{stopped}");
        assert!(!steps.lock().expect("nobody panics").is_empty(), "it was told before");
        // The number is free again, and nothing of the earlier stop is left.
        let outcome = desk.call_watched("panel.import", given, 7, drop).expect("taken in");
        assert_eq!(outcome["panels"].as_array().map(Vec::len), Some(2), "{outcome}");
    }

    #[test]
    fn an_opening_that_breaks_is_told_and_can_be_tried_again() {
        let scratch = tempfile::tempdir().expect("a scratch folder");
        let folder = scratch.path().join("notebook");
        opened(Asked::Usual(folder.clone())).close();
        let desk = Desk::new(Asked::Folder(folder));
        desk.lay(|| std::panic::resume_unwind(Box::new("broken while opening")));
        let started = desk.start();
        assert_eq!((started["open"].as_bool(), code(&started)), (Some(false), Some("storage")));
        let again = desk.reopen(drop);
        assert_eq!((again["open"].as_bool(), code(&again)), (Some(true), None));
    }

    #[test]
    fn a_panic_costs_no_more_than_the_one_call() {
        let scratch = tempfile::tempdir().expect("a scratch folder");
        let desk = opened(Asked::Usual(scratch.path().join("notebook")));
        let given = json!({ "kind": "property", "fields": { "name": "Kettle Bend" } });
        desk.call("record.add", given).expect("written");
        std::thread::scope(|threads| {
            let broken = threads.spawn(|| {
                let _held = desk.lying();
                std::panic::resume_unwind(Box::new("broken while holding the notebook"));
            });
            assert!(broken.join().is_err(), "the thread went down");
        });
        let list = desk.call("property.list", Value::Null).expect("it was opened anew");
        assert_eq!(list[0]["name"], "Kettle Bend");
    }
}
