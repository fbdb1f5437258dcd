//! Disks that fail: every commit acknowledged before the failure is there afterwards.

use std::{
    collections::BTreeSet,
    fs::File,
    io,
    ops::Bound,
    path::Path,
    sync::{Arc, Mutex},
    time::Duration,
};

use redb::{BackendError, StorageBackend, backends::FileBackend};
use swardbook_units::Id;

use crate::{
    Access, ActorBytes, Batch, Change, DocumentName, IndexTable, Opened, Randomness, Store,
    StoreError, handle, layout::Layout, lock::WriterLock, open::open_to_write,
};

/// How a disk fails.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Fault {
    /// A write fails, and everything after it.
    Write,
    /// Half of a write is done, and nothing after it.
    Torn,
    /// Waiting for the disk fails, and everything after it.
    Sync,
    /// There is no more room: nothing can be written from then on.
    Full,
    /// The power goes: of what was written since the last wait, some is there and some is not.
    PowerCut,
}

/// What a failing disk remembers; shared by the backend and the test.
#[derive(Debug)]
struct Disk {
    fault: Fault,
    /// How many operations go well.
    good: u64,
    done: u64,
    failed: bool,
    /// Writes that no wait has made safe yet, in order.
    pending: Vec<(u64, Vec<u8>)>,
    seed: u64,
}

impl Disk {
    /// Counts an operation of a kind that the fault is about, and says whether it fails.
    fn fails(&mut self, counted: bool) -> bool {
        if counted {
            self.done += 1;
        }
        let now = counted && self.done > self.good;
        self.failed |= now;
        now
    }

    fn random(&mut self) -> u64 {
        self.seed = self.seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        self.seed >> 33
    }
}

#[derive(Debug)]
struct Faulty {
    file: FileBackend,
    disk: Arc<Mutex<Disk>>,
}

fn gone() -> io::Error {
    io::Error::other("the disk is gone")
}

impl Faulty {
    fn full() -> io::Error {
        io::ErrorKind::StorageFull.into()
    }

    /// The power goes: a part of the pending writes reaches the file, one of them in part.
    fn cut(&self, disk: &mut Disk) {
        let pending = std::mem::take(&mut disk.pending);
        for (offset, data) in pending {
            match disk.random() % 4 {
                0 => {}
                1 => {
                    let sectors = data.len() / 512;
                    let kept = usize::try_from(disk.random()).unwrap() % (sectors + 1) * 512;
                    self.file.write(offset, &data[..kept]).unwrap();
                }
                _ => self.file.write(offset, &data).unwrap(),
            }
        }
    }
}

impl StorageBackend for Faulty {
    fn len(&self) -> io::Result<u64> {
        self.file.len()
    }

    fn read(&self, offset: u64, out: &mut [u8]) -> io::Result<()> {
        let disk = self.disk.lock().unwrap();
        if disk.failed && disk.fault != Fault::Full {
            return Err(gone());
        }
        self.file.read(offset, out)?;
        for (at, data) in &disk.pending {
            for (place, byte) in (*at..).zip(data) {
                if let Some(index) = place.checked_sub(offset)
                    && let Some(out) = out.get_mut(usize::try_from(index).unwrap())
                {
                    *out = *byte;
                }
            }
        }
        Ok(())
    }

    fn set_len(&self, len: u64) -> io::Result<()> {
        let disk = self.disk.lock().unwrap();
        if disk.failed && disk.fault != Fault::Full {
            return Err(gone());
        }
        if disk.failed && len > self.file.len()? {
            return Err(Self::full());
        }
        self.file.set_len(len)
    }

    fn sync_data(&self) -> io::Result<()> {
        let mut disk = self.disk.lock().unwrap();
        if disk.failed && disk.fault != Fault::Full {
            return Err(gone());
        }
        if matches!(disk.fault, Fault::Sync | Fault::PowerCut) && disk.fails(true) {
            if disk.fault == Fault::PowerCut {
                self.cut(&mut disk);
            }
            return Err(gone());
        }
        for (offset, data) in std::mem::take(&mut disk.pending) {
            self.file.write(offset, &data)?;
        }
        self.file.sync_data()
    }

    fn write(&self, offset: u64, data: &[u8]) -> io::Result<()> {
        let mut disk = self.disk.lock().unwrap();
        if disk.failed {
            return Err(if disk.fault == Fault::Full { Self::full() } else { gone() });
        }
        let counted = disk.fault != Fault::Sync;
        if disk.fails(counted) {
            return Err(match disk.fault {
                Fault::Full => Self::full(),
                Fault::Torn => {
                    self.file.write(offset, &data[..data.len() / 2])?;
                    gone()
                }
                Fault::PowerCut => {
                    disk.pending.push((offset, data.to_vec()));
                    self.cut(&mut disk);
                    gone()
                }
                Fault::Write | Fault::Sync => gone(),
            });
        }
        if disk.fault == Fault::PowerCut {
            disk.pending.push((offset, data.to_vec()));
            return Ok(());
        }
        self.file.write(offset, data)
    }

    fn close(&self) -> io::Result<()> {
        self.file.close()
    }

    fn try_lock_range(&self, from: Bound<u64>, to: Bound<u64>) -> Result<bool, BackendError> {
        self.file.try_lock_range(from, to)
    }

    fn try_lock_shared_range(
        &self,
        from: Bound<u64>,
        to: Bound<u64>,
    ) -> Result<bool, BackendError> {
        self.file.try_lock_shared_range(from, to)
    }

    fn lock_range(&self, from: Bound<u64>, to: Bound<u64>) -> Result<(), BackendError> {
        self.file.lock_range(from, to)
    }

    fn lock_shared_range(&self, from: Bound<u64>, to: Bound<u64>) -> Result<(), BackendError> {
        self.file.lock_shared_range(from, to)
    }

    fn unlock_range(&self, from: Bound<u64>, to: Bound<u64>) -> Result<(), BackendError> {
        self.file.unlock_range(from, to)
    }

    fn query_lock_range(&self, from: Bound<u64>, to: Bound<u64>) -> Result<bool, BackendError> {
        self.file.query_lock_range(from, to)
    }
}

const WRITE: Access = Access::Write { patience: Duration::ZERO };
const RANDOM: Randomness = Randomness { nonce: [1; 16], actor: [2; 16] };

fn open_on(folder: &Path, disk: &Arc<Mutex<Disk>>) -> Result<Opened, StoreError> {
    let layout = Layout::new(folder);
    let lock = WriterLock::take(&layout, Duration::ZERO)?;
    let disk = Arc::clone(disk);
    open_to_write(layout, lock, RANDOM, &move |path| {
        let file = File::options().read(true).write(true).open(path)?;
        let file = FileBackend::new(file)?;
        let faulty = Faulty { file, disk: Arc::clone(&disk) };
        handle::builder().create_with_backend(faulty)
    })
}

fn name(number: u64) -> DocumentName {
    DocumentName { kind: u8::try_from(number % 3).unwrap(), id: Id::from_random([9; 10]) }
}

/// One entry; every fifth saves its document's state.
fn entry(number: u64) -> Batch {
    let actor = ActorBytes::new(&[3; 16]).unwrap();
    let mut bytes = number.to_le_bytes().to_vec();
    bytes.resize(usize::try_from(number * 331 % 5_000).unwrap().max(8), 7);
    let mut batch = Batch::new();
    let change = Change { actor, sequence: number, bytes };
    batch.change(name(number), vec![change], number.to_le_bytes().to_vec());
    if number.is_multiple_of(5) {
        let state = (1..=number).filter(|n| n % 3 == number % 3).flat_map(u64::to_le_bytes);
        batch.snapshot(name(number), state.collect(), number.to_le_bytes().to_vec());
    }
    batch.put_index(IndexTable(1), &number.to_be_bytes(), vec![1; 40]);
    batch
}

fn entries(store: &Store) -> BTreeSet<u64> {
    let mut entries = BTreeSet::new();
    for document in store.documents().unwrap() {
        let read = store.read_document(document.name).unwrap().unwrap();
        let number = |bytes: &[u8]| u64::from_le_bytes(*bytes.first_chunk().unwrap());
        entries.extend(read.snapshot.iter().flat_map(|state| state.chunks(8).map(number)));
        entries.extend(read.tail.iter().map(|change| number(change)));
        assert_eq!(read.loose.len(), 0, "a failing disk is no damage");
    }
    entries
}

/// Runs until the disk fails after `good` operations; whether it failed at all.
fn run(fault: Fault, good: u64, seed: u64) -> bool {
    let case = format!("{fault:?} after {good}");
    let folder = tempfile::tempdir_in("/dev/shm").or_else(|_| tempfile::tempdir()).unwrap();
    let mut store = Store::create(folder.path(), RANDOM).unwrap();
    let before = 7;
    for number in 1..=before {
        store.commit(&entry(number)).unwrap();
    }
    store.close().unwrap();

    let disk = Disk { fault, good, done: 0, failed: false, pending: Vec::new(), seed };
    let disk = Arc::new(Mutex::new(disk));
    let mut acknowledged = before;
    let mut tried = before;
    match open_on(folder.path(), &disk) {
        Err(error) => assert!(error.closes(), "{case}: {error}"),
        Ok(opened) => {
            let mut store = opened.store;
            while tried < before + 12 {
                tried += 1;
                match store.commit(&entry(tried)) {
                    Ok(_) => acknowledged = tried,
                    Err(error) => {
                        let full = matches!(error, StoreError::DiskFull { .. });
                        assert_eq!(full, fault == Fault::Full, "{case}: {error}");
                        let closed = store.commit(&entry(tried)).unwrap_err();
                        assert!(matches!(closed, StoreError::Closed), "{case}: {closed}");
                        let closed = store.documents().unwrap_err();
                        assert!(matches!(closed, StoreError::Closed), "{case}: {closed}");
                        break;
                    }
                }
            }
        }
    }
    let failed = disk.lock().unwrap().failed;

    let opened = Store::open(folder.path(), WRITE, RANDOM).unwrap();
    assert_eq!(opened.findings, [], "{case}: a failing disk is no damage");
    let found = entries(&opened.store);
    let expected: BTreeSet<u64> = (1..=acknowledged).collect();
    let lost: Vec<_> = expected.difference(&found).collect();
    assert!(lost.is_empty(), "{case}: acknowledged and lost: {lost:?}");
    let extra: Vec<_> = found.difference(&expected).copied().collect();
    assert!(extra.is_empty() || extra == [tried], "{case}: what was never tried: {extra:?}");
    let mut store = opened.store;
    let next = found.last().map_or(1, |last| last + 1);
    store.commit(&entry(next)).unwrap();
    assert!(entries(&store).contains(&next), "{case}: and goes on");
    failed
}

/// Runs with the failure at each place where it can be, and says how many there are.
fn at_each_place(fault: Fault) {
    let mut places = 0;
    while run(fault, places, places) {
        places += 1;
    }
    println!("{fault:?}: at each of {places} places");
    assert!(places > 10, "{fault:?}: the disk was at work");
}

#[test]
fn a_failing_write() {
    at_each_place(Fault::Write);
}

#[test]
fn a_torn_write() {
    at_each_place(Fault::Torn);
}

#[test]
fn a_failing_wait() {
    at_each_place(Fault::Sync);
}

#[test]
fn a_full_disk() {
    at_each_place(Fault::Full);
}

#[test]
fn a_power_cut() {
    at_each_place(Fault::PowerCut);
    for seed in 0..150 {
        run(Fault::PowerCut, 10 + seed, seed * 77);
    }
}
