//! An open notebook: its documents, its index, and the one way anything is written.
//!
//! What is written goes through an [`Action`]: the documents' changes, the index rows that follow
//! from them and the undo entry reach the disk together or not at all.

mod action;
mod arrivals;
mod documents;
mod due;
mod facts;
mod index;
mod kept_file;
mod lookup;
mod status;
mod storage_problem;
mod undo;

use std::{
    collections::BTreeSet,
    path::{Path, PathBuf},
    time::Duration,
};

use swardbook_store::{Access, Damage, DocumentName, Opened, Randomness, Store};

pub(crate) use action::Action;
pub(crate) use documents::{NOTEBOOK, property_document, zone_document};
pub(crate) use due::{DueList, What, asks};
pub(crate) use facts::{ZoneFacts, material_key, unlisted};
pub(crate) use index::{PropertyRow, PropertyTotals, ZoneRow};
pub use kept_file::{KeptBytes, KeptFile};
pub use status::NotebookStatus;
pub use undo::UndoEntry;

use crate::{Code, Problem, Surroundings, Unwatched, Watch};

/// How long a second writer waits for the first to finish.
const PATIENCE: Duration = Duration::from_secs(2);

/// An open notebook.
pub struct Notebook {
    pub(crate) store: Store,
    actor: [u8; 16],
    surroundings: Box<dyn Surroundings>,
    open: documents::OpenDocuments,
    /// Documents whose lists are behind: another device's changes arrived.
    behind: BTreeSet<DocumentName>,
    /// Documents written here since the link was last told.
    written: BTreeSet<DocumentName>,
    findings: Vec<Damage>,
    device: String,
    person: String,
    writable: bool,
}

impl std::fmt::Debug for Notebook {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Notebook").field("folder", &self.store.folder()).finish_non_exhaustive()
    }
}

/// The folder a notebook lives in when nobody says otherwise.
#[must_use]
pub fn default_folder() -> PathBuf {
    let variable = |name: &str| std::env::var_os(name).map(PathBuf::from);
    let data = if cfg!(target_os = "macos") {
        variable("HOME").map(|home| home.join("Library/Application Support"))
    } else if cfg!(windows) {
        variable("APPDATA")
    } else {
        variable("XDG_DATA_HOME").or_else(|| variable("HOME").map(|h| h.join(".local/share")))
    };
    data.unwrap_or_default().join("swardbook")
}

impl Notebook {
    /// Makes a notebook in an empty or absent folder.
    ///
    /// # Errors
    /// [`Problem`]
    pub fn create(folder: &Path, mut surroundings: Box<dyn Surroundings>) -> Result<Self, Problem> {
        let randomness = draw(surroundings.as_mut());
        let store = Store::create(folder, randomness)?;
        let actor = store.actor()?;
        let mut notebook = Self::begin(store, actor, Vec::new(), surroundings, true);
        notebook.rebuild_index_when_stale(&mut Unwatched)?;
        Ok(notebook)
    }

    /// Opens a notebook to read and write.
    ///
    /// # Errors
    /// [`Problem`]
    pub fn open(folder: &Path, surroundings: Box<dyn Surroundings>) -> Result<Self, Problem> {
        Self::open_watched(folder, surroundings, &mut Unwatched)
    }

    /// The same while somebody waits: after an update of the program the lists may have to be made
    /// again, which takes as long as there are documents.
    ///
    /// # Errors
    /// [`Problem`]
    pub fn open_watched(
        folder: &Path,
        surroundings: Box<dyn Surroundings>,
        watch: &mut dyn Watch,
    ) -> Result<Self, Problem> {
        Self::open_for(folder, surroundings, Access::Write { patience: PATIENCE }, watch)
    }

    /// Opens a notebook to read, beside whoever writes.
    ///
    /// # Errors
    /// [`Problem`]
    pub fn open_to_read(
        folder: &Path,
        surroundings: Box<dyn Surroundings>,
    ) -> Result<Self, Problem> {
        Self::open_to_read_watched(folder, surroundings, &mut Unwatched)
    }

    /// The same while somebody waits, see [`Notebook::open_watched`].
    ///
    /// # Errors
    /// [`Problem`]
    pub fn open_to_read_watched(
        folder: &Path,
        surroundings: Box<dyn Surroundings>,
        watch: &mut dyn Watch,
    ) -> Result<Self, Problem> {
        let notebook = Self::open_for(folder, surroundings, Access::Read, watch)?;
        if notebook.lists_are_stale()? { notebook.with_lists(watch) } else { Ok(notebook) }
    }

    fn open_for(
        folder: &Path,
        mut surroundings: Box<dyn Surroundings>,
        access: Access,
        watch: &mut dyn Watch,
    ) -> Result<Self, Problem> {
        let writable = matches!(access, Access::Write { .. });
        let (store, actor, findings) = open_store(folder, surroundings.as_mut(), access)?;
        let mut notebook = Self::begin(store, actor, findings, surroundings, writable);
        if writable {
            notebook.rebuild_index_when_stale(watch)?;
            notebook.find_what_arrived()?;
        }
        Ok(notebook)
    }

    /// Has the lists made again by opening for writing once, where that can be done.
    fn with_lists(self, watch: &mut dyn Watch) -> Result<Self, Problem> {
        let Self { store, mut surroundings, mut findings, .. } = self;
        let folder = store.folder().to_owned();
        store.close()?;
        let writing = Access::Write { patience: PATIENCE };
        match open_store(&folder, surroundings.as_mut(), writing) {
            Ok((store, actor, more)) => {
                findings.extend(more);
                let mut writer = Self::begin(store, actor, Vec::new(), surroundings, true);
                writer.rebuild_index_when_stale(watch)?;
                surroundings = writer.surroundings;
                writer.store.close()?;
            }
            // Documents can be read all the same; the lists stay as they are.
            Err(problem) if matches!(problem.code, Code::ReadOnly | Code::InUse) => {}
            Err(problem) => return Err(problem),
        }
        let (store, actor, more) = open_store(&folder, surroundings.as_mut(), Access::Read)?;
        for damage in more {
            if !findings.contains(&damage) {
                findings.push(damage);
            }
        }
        Ok(Self::begin(store, actor, findings, surroundings, false))
    }

    fn begin(
        store: Store,
        actor: [u8; 16],
        findings: Vec<Damage>,
        surroundings: Box<dyn Surroundings>,
        writable: bool,
    ) -> Self {
        let device = actor.iter().take(4).map(|byte| format!("{byte:02x}")).collect();
        Self {
            store,
            actor,
            surroundings,
            open: documents::OpenDocuments::default(),
            behind: BTreeSet::new(),
            written: BTreeSet::new(),
            findings,
            device,
            person: String::new(),
            writable,
        }
    }

    /// The folder it lives in.
    #[must_use]
    pub fn folder(&self) -> &Path {
        self.store.folder()
    }

    /// What was found damaged when it was opened, with what was done about it, in words.
    #[must_use]
    pub fn damage(&self) -> Vec<String> {
        self.findings.iter().map(ToString::to_string).collect()
    }

    /// Says who works from now on; stands in the history of what they write.
    pub fn set_person(&mut self, name: &str) {
        name.clone_into(&mut self.person);
    }

    /// This device's mark in the history.
    pub(crate) fn device_mark(&self) -> &str {
        &self.device
    }

    /// Whether it is open for writing here.
    #[must_use]
    pub const fn is_writable(&self) -> bool {
        self.writable
    }

    /// The civil day here.
    #[must_use]
    pub fn today(&self) -> swardbook_units::NaiveDate {
        self.surroundings.today()
    }

    /// Seconds since 1970.
    pub(crate) fn now(&self) -> i64 {
        self.surroundings.now()
    }

    /// The clock for other threads.
    pub(crate) fn clock(&self) -> std::sync::Arc<dyn Fn() -> i64 + Send + Sync> {
        self.surroundings.clock()
    }

    /// A seed for points, printed with them.
    pub(crate) fn draw_seed(&mut self) -> u32 {
        let mut bytes = [0; 4];
        self.surroundings.random(&mut bytes);
        u32::from_le_bytes(bytes)
    }

    /// A new record's name.
    pub(crate) fn new_id(&mut self) -> swardbook_units::Id {
        self.surroundings.new_id()
    }

    /// Closes in good order: copies what changed, then lets go of the folder.
    ///
    /// # Errors
    /// [`Problem`]; what was acknowledged is on the disk all the same.
    pub fn close(self) -> Result<(), Problem> {
        if self.writable {
            let days = self.surroundings.now().div_euclid(86_400);
            self.store.copy_documents(swardbook_store::Day(u32::try_from(days).unwrap_or(0)))?;
        }
        Ok(self.store.close()?)
    }
}

fn open_store(
    folder: &Path,
    surroundings: &mut dyn Surroundings,
    access: Access,
) -> Result<(Store, [u8; 16], Vec<Damage>), Problem> {
    let writable = matches!(access, Access::Write { .. });
    let randomness = draw(surroundings);
    // A reader writes nothing, so any actor will do for the documents it opens.
    let reader = randomness.actor;
    let Opened { store, findings, .. } = Store::open(folder, access, randomness)?;
    let actor = if writable { store.actor()? } else { reader };
    Ok((store, actor, findings))
}

fn draw(surroundings: &mut dyn Surroundings) -> Randomness {
    let mut randomness = Randomness { nonce: [0; 16], actor: [0; 16] };
    surroundings.random(&mut randomness.nonce);
    surroundings.random(&mut randomness.actor);
    randomness
}
