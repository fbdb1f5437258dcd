//! Creating and opening a notebook.

use std::{fs, path::Path, time::Duration};

use redb::Database;

use crate::{
    Damage, Store, StoreError, closed, commit, copies,
    device::{self, Device, Found},
    document::Reading,
    handle::{self, Handle, Trouble},
    layout::{self, Layout},
    lock::WriterLock,
    repair,
    table::{FORMAT, FORMAT_KEY, META, Notebook},
};

/// What the notebook is opened for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Access {
    /// To read, beside whoever writes.
    Read,
    /// To read and write; one process at a time.
    Write {
        /// How long to wait for another writer to finish.
        patience: Duration,
    },
}

/// Random bytes that the caller drew, used where the notebook needs a new identity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Randomness {
    /// For the store file.
    pub nonce: [u8; 16],
    /// For the name under which this device writes.
    pub actor: [u8; 16],
}

/// An opened notebook and what there is to tell about it.
#[derive(Debug)]
pub struct Opened {
    /// The notebook.
    pub store: Store,
    /// What was damaged, and what was done about it; empty when all is well.
    pub findings: Vec<Damage>,
    /// It was copied from another folder or device, so that it now writes under a new name.
    ///
    /// The files in [`Store::device_folder`] belonged to the original and are gone: keys must be made
    /// anew.
    pub was_copy: bool,
}

impl Store {
    /// Makes a notebook in a folder, which may exist and hold other things.
    ///
    /// # Errors
    /// [`StoreError`]: there is one already, or the folder cannot be written.
    pub fn create(folder: &Path, randomness: Randomness) -> Result<Self, StoreError> {
        let layout = Layout::new(folder);
        layout::make_folder(&layout.device())?;
        let lock = WriterLock::take(&layout, Duration::ZERO)?;
        if layout.notebook().exists() {
            return Err(StoreError::AlreadyThere { path: folder.to_owned() });
        }
        let device = Device { nonce: randomness.nonce, actor: randomness.actor };
        device::write(&layout, &device)?;
        make_file(&layout, Notebook { nonce: device.nonce, ..Notebook::default() })?;
        Ok(open_to_write(layout, lock, randomness, &plainly)?.store)
    }

    /// Opens the notebook in a folder.
    ///
    /// # Errors
    /// [`StoreError`]: there is none, another program writes to it, it cannot be written or read.
    pub fn open(
        folder: &Path,
        access: Access,
        randomness: Randomness,
    ) -> Result<Opened, StoreError> {
        let layout = Layout::new(folder);
        if !folder.is_dir() {
            return Err(StoreError::NoFolder { path: folder.to_owned() });
        }
        if !layout.notebook().exists() && copies::list(&layout)?.is_empty() {
            return Err(StoreError::NotANotebook { path: folder.to_owned() });
        }
        match access {
            Access::Read => open_to_read(layout, randomness),
            Access::Write { patience } => {
                layout::make_folder(&layout.device())?;
                let lock = WriterLock::take(&layout, patience)?;
                open_to_write(layout, lock, randomness, &plainly)
            }
        }
    }

    /// Gives the notebook a new nonce and this device a new name to write under.
    fn take_identity(&mut self, randomness: Randomness) -> Result<(), StoreError> {
        let device = Device { nonce: randomness.nonce, actor: randomness.actor };
        device::forget_original(&self.layout)?;
        // Should the second step not happen, the two differ and this is done again.
        device::write(&self.layout, &device)?;
        self.device = device;
        self.write("giving the notebook a new identity", |handle, notebook| {
            let notebook = Notebook { nonce: device.nonce, ..notebook };
            commit::write(handle, notebook, |_, _| Ok(()))
        })
    }
}

/// Files up to this size are not compacted.
const COMPACTED: u64 = 4 << 20;

/// How long a reader waits for a writer that is only just opening the notebook.
const READER_PATIENCE: Duration = Duration::from_secs(2);
const READER_STEP: Duration = Duration::from_millis(20);

/// Makes the notebook's file, empty but for its own entry.
fn make_file(layout: &Layout, notebook: Notebook) -> Result<(), StoreError> {
    repair::make_part(layout, |handle| {
        commit::write(handle, notebook, |transaction, notebook| {
            commit::make_tables(transaction)?;
            commit::Sealed::open(transaction, META)?.put(
                notebook,
                FORMAT_KEY,
                &FORMAT.to_le_bytes(),
            )
        })
    })?;
    layout::rename_durably(&layout.unfinished(), &layout.notebook())
}

/// Opens the database's file to write.
pub(crate) type OpenFile = dyn Fn(&Path) -> Result<Database, redb::DatabaseError>;

fn plainly(path: &Path) -> Result<Database, redb::DatabaseError> {
    handle::builder().open(path)
}

/// Opens for writing; what is damaged is repaired first.
pub(crate) fn open_to_write(
    layout: Layout,
    lock: WriterLock,
    randomness: Randomness,
    open_file: &OpenFile,
) -> Result<Opened, StoreError> {
    let device = device::read(&layout)?;
    let last = closed::last_closing(&layout);
    // A file that was not closed in good order, or not by us, is looked through before it is
    // touched; repairing writes to it.
    let mut wrong = if last.vouches() { None } else { repair::inspect(&layout, last.sequence())? };
    if wrong.is_none() {
        match open_file_of(&layout, open_file) {
            Ok((_, notebook)) if notebook.sequence < last.sequence() => {
                wrong = Some(repair::OLDER.to_owned());
            }
            Ok((handle, notebook)) => {
                let mut opened = opened(layout, handle, notebook, device, lock);
                if opened.was_copy {
                    opened.store.take_identity(randomness)?;
                }
                return Ok(opened);
            }
            Err(error) if last.vouches() && error.is_damage() => {
                wrong = repair::inspect(&layout, last.sequence())?;
                if wrong.is_none() {
                    return Err(error);
                }
            }
            Err(error) => return Err(error),
        }
    }
    let why = wrong.expect("every other way has returned");
    let findings = repair::repair(&layout, why, last.sequence(), randomness)?;
    let (handle, notebook) = open_file_of(&layout, open_file)?;
    let device = device::read(&layout)?;
    Ok(Opened { findings, ..opened(layout, handle, notebook, device, lock) })
}

fn opened(
    layout: Layout,
    handle: Handle,
    notebook: Notebook,
    device: Found,
    lock: WriterLock,
) -> Opened {
    let (device, was_copy) = match device {
        Found::Ours(device) => (device, device.nonce != notebook.nonce),
        Found::Copied => (Device { nonce: notebook.nonce, actor: [0; 16] }, true),
    };
    let store = Store::new(layout, handle, notebook, device, Some(lock));
    Opened { store, findings: Vec::new(), was_copy }
}

fn open_file_of(layout: &Layout, open_file: &OpenFile) -> Result<(Handle, Notebook), StoreError> {
    let path = layout.notebook();
    handle::guard(&path, "opening", || {
        let mut handle = Handle::Writer(open_file(&path)?);
        let notebook = notebook_of(&handle, layout)?;
        let length = fs::metadata(&path).map_err(|e| StoreError::io(&path, e))?.len();
        if length > COMPACTED && length / 4 > notebook.content {
            handle.compact()?;
        }
        Ok((handle, notebook))
    })
}

/// Opens for reading, beside a writer if there is one.
fn open_to_read(layout: Layout, randomness: Randomness) -> Result<Opened, StoreError> {
    let last = closed::last_closing(&layout);
    if last.vouches()
        && let Ok((handle, notebook)) = reader(&layout)
        && notebook.sequence >= last.sequence()
    {
        return Ok(opened_to_read(layout, handle, notebook));
    }
    // A writer is at work, or it was ended, or the file is damaged.
    let lock = layout::make_folder(&layout.device())
        .and_then(|()| WriterLock::take(&layout, Duration::ZERO));
    let found = match lock {
        Err(StoreError::InUse { .. }) => return open_beside_writer(layout),
        Err(error) => Err(error),
        // What only a writer can put right is put right first.
        Ok(lock) => open_to_write(layout.clone(), lock, randomness, &plainly),
    };
    match found {
        Ok(Opened { store, findings, was_copy }) => {
            store.close()?;
            let (handle, notebook) = reader(&layout)?;
            Ok(Opened { findings, was_copy, ..opened_to_read(layout, handle, notebook) })
        }
        // Reading needs no room and no permission to write.
        Err(StoreError::ReadOnly { .. } | StoreError::DiskFull { .. }) => {
            open_unwritable(layout, last.sequence())
        }
        Err(error) => Err(error),
    }
}

/// Opens for reading while another process has the right to write.
fn open_beside_writer(layout: Layout) -> Result<Opened, StoreError> {
    let mut waited = Duration::ZERO;
    loop {
        match reader(&layout) {
            Ok((handle, notebook)) => return Ok(opened_to_read(layout, handle, notebook)),
            // The writer is only just opening the file, after it was not closed in good order.
            Err(error) if error.is_damage() && waited < READER_PATIENCE => {
                std::thread::sleep(READER_STEP);
                waited += READER_STEP;
            }
            Err(error) if error.is_damage() => {
                return Err(StoreError::InUse { path: layout.folder().to_owned() });
            }
            Err(error) => return Err(error),
        }
    }
}

/// Opens for reading where nothing can be written, not even to repair.
fn open_unwritable(layout: Layout, at_least: u64) -> Result<Opened, StoreError> {
    if let Ok((handle, notebook)) = reader(&layout)
        && notebook.sequence >= at_least
        && repair::is_whole(&layout.notebook(), &handle)
    {
        return Ok(opened_to_read(layout, handle, notebook));
    }
    let wrong = repair::inspect(&layout, at_least)?;
    let (handle, findings) = repair::image(&layout, wrong, at_least)?;
    let notebook = handle::guard(&layout.notebook(), "opening", || notebook_of(&handle, &layout))?;
    Ok(Opened { findings, ..opened_to_read(layout, handle, notebook) })
}

fn reader(layout: &Layout) -> Result<(Handle, Notebook), StoreError> {
    let path = layout.notebook();
    handle::guard(&path, "opening", || {
        let handle = Handle::Reader(handle::builder().open_read_only(&path)?);
        let notebook = notebook_of(&handle, layout)?;
        Ok((handle, notebook))
    })
}

fn opened_to_read(layout: Layout, handle: Handle, notebook: Notebook) -> Opened {
    let device = Device { nonce: notebook.nonce, actor: [0; 16] };
    let store = Store::new(layout, handle, notebook, device, None);
    Opened { store, findings: Vec::new(), was_copy: false }
}

/// The notebook's own entry, of a format this version knows.
pub(crate) fn notebook_of(handle: &Handle, layout: &Layout) -> Result<Notebook, Trouble> {
    let transaction = handle.begin_read()?;
    let reading = Reading::new(&transaction);
    let damaged = || StoreError::DamagedValue { what: "the notebook's format number" };
    let format = reading.get(META, FORMAT_KEY, damaged)?.ok_or_else(damaged)?;
    let found = u32::from_le_bytes(format.as_slice().try_into().map_err(|_| damaged())?);
    if found > FORMAT {
        let path = layout.folder().to_owned();
        return Err(StoreError::NewerFormat { path, found, known: FORMAT }.into());
    }
    reading.notebook()
}
