//! One writer at a time: a lock on a file in the device folder.
//!
//! The database has a lock of its own; this one is taken before the database's file is touched, so
//! that looking for damage, copying and repairing are covered too.

use std::{
    fs::{File, OpenOptions, TryLockError},
    io,
    thread::sleep,
    time::Duration,
};

use crate::{StoreError, layout::Layout};

/// The lock's name in the device folder.
pub(crate) const LOCK: &str = "lock";

/// How often a lock is tried while patience lasts.
const STEP: Duration = Duration::from_millis(20);

/// The right to write; given back when dropped.
#[derive(Debug)]
pub(crate) struct WriterLock {
    _file: File,
}

impl WriterLock {
    /// Takes the lock, waiting up to `patience` for whoever holds it.
    pub(crate) fn take(layout: &Layout, patience: Duration) -> Result<Self, StoreError> {
        let path = layout.device().join(LOCK);
        let file = OpenOptions::new()
            .create(true)
            .truncate(false)
            .write(true)
            .open(&path)
            .map_err(|e| StoreError::io(layout.folder(), e))?;
        let mut waited = Duration::ZERO;
        loop {
            match file.try_lock() {
                Ok(()) => return Ok(Self { _file: file }),
                Err(TryLockError::WouldBlock) if waited < patience => {
                    sleep(STEP);
                    waited += STEP;
                }
                Err(TryLockError::WouldBlock) => {
                    return Err(StoreError::InUse { path: layout.folder().to_owned() });
                }
                Err(TryLockError::Error(e)) if e.kind() == io::ErrorKind::Unsupported => {
                    return Err(StoreError::NoLocks { path: layout.folder().to_owned() });
                }
                Err(TryLockError::Error(e)) => return Err(StoreError::io(path, e)),
            }
        }
    }
}
