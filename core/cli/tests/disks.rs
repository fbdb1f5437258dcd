//! Disks that are full, folders that cannot be written, files that are damaged, and a second writer.
//!
//! A small disk in memory is mounted for some of it, which takes the right to mount; where that is
//! refused the test says so and checks nothing.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
#![expect(clippy::print_stdout, reason = "a test that checks nothing says so")]

mod program;

use std::{fs, path::Path, process::Command};

use program::{Book, run};
use swardbook_app::{Notebook, RealSurroundings};

fn system(program: &str, arguments: &[&str], path: &Path) -> bool {
    Command::new(program).args(arguments).arg(path).output().is_ok_and(|out| out.status.success())
}

/// A small disk in memory, taken away when dropped.
struct SmallDisk {
    at: tempfile::TempDir,
}

impl SmallDisk {
    fn mount(size: &str) -> Option<Self> {
        let at = tempfile::tempdir().unwrap();
        let size = format!("size={size}");
        if !system("mount", &["-t", "tmpfs", "-o", &size, "swardbook-test"], at.path()) {
            println!("not tested: this user may not mount a disk");
            return None;
        }
        Some(Self { at })
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        system("umount", &[], self.at.path());
    }
}

#[test]
fn a_full_disk_is_said_and_what_was_kept_stays() {
    let Some(disk) = SmallDisk::mount("4m") else { return };
    let folder = disk.at.path().join("book");
    let folder = folder.to_str().unwrap();
    let on = |arguments: &[&str]| run(&[&["--notebook", folder], arguments].concat(), "");
    on(&["init"]).done();
    on(&["property", "add", "--name", "Kettle Bend"]).done();
    on(&["zone", "add", "--property", "Kettle Bend", "--name", "Front verge"]).done();
    let filler = disk.at.path().join("filler");
    // As much as there is room for.
    let _disk_is_full = fs::write(&filler, vec![1; 8 << 20]);
    let note = "a long note ".repeat(1_500);
    let observe = ["observation", "add", "--zone", "Front verge", "--sort", "note", "--date"];
    let add = |day: &str| on(&[&observe[..], &[day, "--note", &note]].concat());
    let mut kept = 0;
    let refused = loop {
        let said = add(&format!("2026-01-{:02}", kept + 1));
        if said.code != 0 {
            break said;
        }
        kept += 1;
        assert!(kept < 31, "the disk never fills");
    };
    assert_eq!(refused.code, 1, "{}", refused.err);
    assert!(refused.err.contains("the disk is full"), "{}", refused.err);
    assert!(refused.err.contains("free some space"), "with a remedy: {}", refused.err);
    fs::remove_file(filler).unwrap();
    let zones = on(&["zone", "list", "--json"]).json();
    assert_eq!(zones[0]["observations"], kept, "what was acknowledged is there, and no more");
    add("2026-03-01").done();
}

#[test]
fn a_notebook_that_cannot_be_written_can_be_read() {
    let Some(disk) = SmallDisk::mount("8m") else { return };
    let folder = disk.at.path().join("book");
    let folder = folder.to_str().unwrap();
    let on = |arguments: &[&str]| run(&[&["--notebook", folder], arguments].concat(), "");
    on(&["init"]).done();
    on(&["property", "add", "--name", "Kettle Bend"]).done();
    assert!(system("mount", &["-o", "remount,ro"], disk.at.path()), "mounted again");
    let refused = on(&["property", "add", "--name", "Bowls club", "--json"]).refused();
    assert_eq!(refused.code, "read-only", "{refused:?}");
    assert!(refused.message.contains("cannot be written"), "{refused:?}");
    let said = on(&["property", "list"]).done();
    assert!(said.contains("Kettle Bend"), "it can still be read: {said}");
    let refused = run(&["init", disk.at.path().join("other").to_str().unwrap(), "--json"], "");
    assert_eq!(refused.refused().code, "read-only", "no notebook can be made there");
}

#[test]
fn flipped_bytes_are_named_by_status_and_the_rest_can_be_read() {
    let book = Book::with_zone();
    for day in ["2026-01-05", "2026-01-12", "2026-02-02"] {
        let note = ["--sort", "note", "--note", "dry patch", "--date", day];
        book.run(&[&["observation", "add", "--zone", "Front verge"][..], &note].concat()).done();
    }
    let file = book.folder().join("notebook.redb");
    let whole = fs::read(&file).unwrap();
    let mut named = 0;
    // One byte in many places; each time everything is there, or what is not is named.
    for at in (4_096..whole.len()).step_by(whole.len() / 12) {
        let mut bytes = whole.clone();
        for byte in &mut bytes[at..(at + 64).min(whole.len())] {
            *byte ^= 0x55;
        }
        fs::write(&file, &bytes).unwrap();
        let said = book.run(&["status"]);
        assert!(said.code == 0 || said.code == 1, "byte {at}: {said:?}");
        let words = format!("{}{}", said.out, said.err);
        assert!(!words.contains("panicked"), "byte {at}: {words}");
        if words.contains("none found") {
            let zones = book.json(&["zone", "list"]);
            assert_eq!(zones[0]["observations"], 3, "byte {at} cost something that was not named");
        } else {
            named += 1;
            assert!(words.contains("damage") || words.contains("Damage"), "byte {at}: {words}");
        }
    }
    assert!(named > 0, "no place in the file was noticed");
    // Opened to write, it is put together again from what is whole and from the copies.
    let mut bytes = whole;
    let middle = bytes.len() / 2;
    for byte in &mut bytes[middle - 2_048..middle + 2_048] {
        *byte ^= 0x55;
    }
    fs::write(&file, &bytes).unwrap();
    let said = book.run(&["property", "add", "--name", "Bowls club"]);
    assert_eq!(said.code, 0, "{}{}", said.out, said.err);
    let zones = book.json(&["zone", "list"]);
    assert_eq!(zones[0]["observations"], 3, "nothing is lost: {zones}");
}

#[test]
fn a_second_writer_is_refused_and_readers_are_not() {
    let book = Book::with_zone();
    let other = Notebook::open(&book.folder(), Box::new(RealSurroundings)).unwrap();
    let refused = book.refused(&["property", "add", "--name", "Bowls club"]);
    assert_eq!(refused.code, "in-use", "{refused:?}");
    assert!(refused.message.contains("close it there"), "with a remedy: {refused:?}");
    let said = book.run(&["zone", "list"]).done();
    assert!(said.contains("Front verge"), "a reader looks on: {said}");
    other.close().unwrap();
    book.run(&["property", "add", "--name", "Bowls club"]).done();
}
