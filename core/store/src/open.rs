//! Creating and opening a notebook.

use std::{fs, path::Path, sync::atomic::AtomicBool, time::Duration};

use crate::{
    Damage, Store, StoreError, commit,
    device::{self, Device, Found},
    document::Reading,
    handle::{self, Handle, Trouble},
    layout::{self, Layout},
    lock::WriterLock,
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
    /// It was copied from another folder or device, so that it now writes under a new name, and
    /// keys it shared with the original must be made anew.
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
        Ok(open_writer(layout, lock)?.store)
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
        if !layout.notebook().exists() {
            return Err(StoreError::NotANotebook { path: folder.to_owned() });
        }
        match access {
            Access::Read => open_reader(layout),
            Access::Write { patience } => {
                layout::make_folder(&layout.device())?;
                let lock = WriterLock::take(&layout, patience)?;
                let mut opened = open_writer(layout, lock)?;
                if opened.was_copy {
                    opened.store.take_identity(randomness)?;
                }
                Ok(opened)
            }
        }
    }

    /// Gives the notebook a new nonce and this device a new name to write under.
    fn take_identity(&mut self, randomness: Randomness) -> Result<(), StoreError> {
        let device = Device { nonce: randomness.nonce, actor: randomness.actor };
        // Should the second step not happen, the two differ and this is done again.
        device::write(&self.layout, &device)?;
        self.device = device;
        self.write("giving the notebook a new identity", |handle, notebook| {
            let notebook = Notebook { nonce: device.nonce, ..notebook };
            commit::write(handle, notebook, |_, _| Ok(()))
        })
    }
}

/// Makes the notebook's file, empty but for its own entry.
fn make_file(layout: &Layout, notebook: Notebook) -> Result<(), StoreError> {
    let part = layout.unfinished();
    match fs::remove_file(&part) {
        Err(e) if e.kind() != std::io::ErrorKind::NotFound => return Err(StoreError::io(part, e)),
        _ => {}
    }
    handle::guard(&part, "making the notebook", || {
        let handle = Handle::Writer(handle::builder().create(&part)?);
        commit::write(&handle, notebook, |transaction, notebook| {
            commit::make_tables(transaction)?;
            commit::Sealed::open(transaction, META)?.put(
                notebook,
                FORMAT_KEY,
                &FORMAT.to_le_bytes(),
            )
        })?;
        if let Handle::Writer(database) = handle {
            database.close()?;
        }
        Ok(())
    })?;
    layout::rename_durably(&part, &layout.notebook())
}

fn open_writer(layout: Layout, lock: WriterLock) -> Result<Opened, StoreError> {
    let path = layout.notebook();
    let (handle, notebook) = handle::guard(&path, "opening", || {
        let handle = Handle::Writer(handle::builder().open(&path)?);
        let notebook = notebook_of(&handle, &layout)?;
        Ok((handle, notebook))
    })?;
    let (device, was_copy) = match device::read(&layout) {
        Found::Ours(device) => (device, device.nonce != notebook.nonce),
        Found::Copied => (Device { nonce: notebook.nonce, actor: [0; 16] }, true),
    };
    let store = Store {
        layout,
        handle: Some(handle),
        notebook,
        device,
        failed: AtomicBool::new(false),
        damaged: AtomicBool::new(false),
        lock: Some(lock),
    };
    Ok(Opened { store, findings: Vec::new(), was_copy })
}

fn open_reader(layout: Layout) -> Result<Opened, StoreError> {
    let path = layout.notebook();
    let (handle, notebook) = handle::guard(&path, "opening", || {
        let handle = Handle::Reader(handle::builder().open_read_only(&path)?);
        let notebook = notebook_of(&handle, &layout)?;
        Ok((handle, notebook))
    })?;
    let store = Store {
        layout,
        handle: Some(handle),
        notebook,
        device: Device { nonce: notebook.nonce, actor: [0; 16] },
        failed: AtomicBool::new(false),
        damaged: AtomicBool::new(false),
        lock: None,
    };
    Ok(Opened { store, findings: Vec::new(), was_copy: false })
}

/// The notebook's own entry, of a format this version knows.
fn notebook_of(handle: &Handle, layout: &Layout) -> Result<Notebook, Trouble> {
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
