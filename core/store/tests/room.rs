//! Disks without room, and disks that cannot be written.
//!
//! Small disks in memory are mounted for this, which takes the right to mount; where that is refused
//! the tests say so and check nothing. The failing disks of `src/faulty.rs` are tested everywhere.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use std::{
    fs,
    path::{Path, PathBuf},
    process::Command,
    time::Duration,
};

use swardbook_store::{
    Access, ActorBytes, Batch, Change, Day, DocumentName, Part, Randomness, Remedy, Store,
    StoreError,
};
use swardbook_units::Id;

const WRITE: Access = Access::Write { patience: Duration::ZERO };

fn random(seed: u8) -> Randomness {
    Randomness { nonce: [seed; 16], actor: [seed ^ 0xff; 16] }
}

fn name() -> DocumentName {
    DocumentName { kind: 1, id: Id::from_random([5; 10]) }
}

fn entry(number: u64) -> Batch {
    let actor = ActorBytes::new(&[1; 16]).unwrap();
    let mut bytes = number.to_le_bytes().to_vec();
    bytes.resize(700, 7);
    let mut batch = Batch::new();
    batch.change(name(), vec![Change { actor, sequence: number, bytes }], vec![1]);
    batch
}

fn count(store: &Store) -> u64 {
    u64::try_from(store.read_document(name()).unwrap().unwrap().tail.len()).unwrap()
}

/// A small disk in memory, taken away when dropped.
struct SmallDisk {
    at: tempfile::TempDir,
}

impl SmallDisk {
    /// None where mounting is refused.
    #[expect(clippy::print_stdout, reason = "a test that checks nothing says so")]
    fn mount() -> Option<Self> {
        let at = tempfile::tempdir().unwrap();
        let mounted = run("mount", &["-t", "tmpfs", "-o", "size=3m", "swardbook-test"], at.path());
        if !mounted {
            println!("not tested: this user may not mount a disk");
            return None;
        }
        Some(Self { at })
    }

    fn folder(&self) -> PathBuf {
        self.at.path().join("notebook")
    }

    fn make_read_only(&self) {
        assert!(run("mount", &["-o", "remount,ro"], self.at.path()), "mounted again");
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        run("umount", &[], self.at.path());
    }
}

fn run(program: &str, arguments: &[&str], path: &Path) -> bool {
    Command::new(program).args(arguments).arg(path).output().is_ok_and(|out| out.status.success())
}

fn copy_folder(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let to = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copy_folder(&path, &to);
        } else {
            fs::copy(&path, &to).unwrap();
        }
    }
}

#[test]
fn a_full_disk_is_said_and_costs_nothing_that_was_acknowledged() {
    let Some(disk) = SmallDisk::mount() else { return };
    let filler = disk.at.path().join("filler");
    fs::write(&filler, vec![1; 1 << 20]).unwrap();
    let mut store = Store::create(&disk.folder(), random(1)).unwrap();
    let mut kept = 0;
    let error = loop {
        match store.commit(&entry(kept + 1)) {
            Ok(_) => kept += 1,
            Err(error) => break error,
        }
    };
    println!("{kept} entries until the disk was full");
    assert!(matches!(error, StoreError::DiskFull { .. }), "{error}");
    assert!(error.to_string().contains("free some space"), "with a remedy: {error}");
    assert!(kept > 100, "there was room for some");
    assert!(matches!(store.commit(&entry(kept + 1)), Err(StoreError::Closed)), "open it again");
    drop(store);

    let opened = Store::open(&disk.folder(), Access::Read, random(2)).unwrap();
    assert_eq!(opened.findings, [], "nothing is damaged");
    assert!(count(&opened.store) >= kept, "it can be read while there is no room");
    drop(opened);
    fs::remove_file(filler).unwrap();
    let opened = Store::open(&disk.folder(), WRITE, random(2)).unwrap();
    assert_eq!(opened.findings, [], "nothing is damaged");
    let found = count(&opened.store);
    assert!(found >= kept, "{found} of {kept} acknowledged entries");
    let mut store = opened.store;
    store.commit(&entry(found + 1)).unwrap();
    let photo = store.add_blob(&mut vec![3; 4 << 20].as_slice(), 10 << 20).unwrap_err();
    assert!(matches!(photo, StoreError::DiskFull { .. }), "a file without room: {photo}");
}

#[test]
fn a_disk_that_cannot_be_written_can_be_read() {
    let Some(disk) = SmallDisk::mount() else { return };
    let work = tempfile::tempdir().unwrap();
    let mut store = Store::create(work.path(), random(1)).unwrap();
    for number in 1..=30 {
        store.commit(&entry(number)).unwrap();
    }
    store.copy_documents(Day(100)).unwrap();
    // As a killed program would leave it.
    copy_folder(work.path(), &disk.at.path().join("killed"));
    store.close().unwrap();
    copy_folder(work.path(), &disk.folder());
    let damaged = disk.at.path().join("damaged");
    copy_folder(work.path(), &damaged);
    let mut bytes = fs::read(damaged.join("notebook.redb")).unwrap();
    let place = bytes.windows(200).rposition(|bytes| bytes.iter().all(|b| *b == 7)).unwrap();
    bytes[place] = 8;
    fs::write(damaged.join("notebook.redb"), &bytes).unwrap();
    disk.make_read_only();

    for folder in [disk.folder(), disk.at.path().join("killed")] {
        let refused = Store::open(&folder, WRITE, random(2)).unwrap_err();
        assert!(matches!(refused, StoreError::ReadOnly { .. }), "{refused}");
        assert!(refused.to_string().contains("for reading only"), "with a remedy: {refused}");
        let opened = Store::open(&folder, Access::Read, random(2)).unwrap();
        assert_eq!((opened.findings.len(), count(&opened.store)), (0, 30), "{}", folder.display());
    }
    let opened = Store::open(&damaged, Access::Read, random(2)).unwrap();
    let file = opened.findings.iter().find(|damage| matches!(damage.part, Part::File { .. }));
    assert_eq!(file.map(|damage| &damage.remedy), Some(&Remedy::OnlyShown), "in words");
    assert_eq!(count(&opened.store), 30, "from its copy");
    assert!(fs::read(damaged.join("notebook.redb")).unwrap() == bytes, "untouched");
}
