//! What goes wrong and is put right: a full disk, a folder that went, a clock in 2040.

use std::{path::Path, process::Command};

use serde_json::json;

use crate::{
    device::{Device, ground, pair},
    network::{Joined, joined, run, with_cables},
};

const SIZE: usize = 12 << 20;

#[test]
fn a_disk_that_is_full_in_the_middle_of_a_photo_is_told_and_it_goes_on_when_there_is_room() {
    let test = "cured::a_disk_that_is_full_in_the_middle_of_a_photo_is_told_and_it_goes_on_when_there_is_room";
    if !with_cables(test) {
        return;
    }
    let scratch = tempfile::tempdir().unwrap();
    let small = scratch.path().join("small");
    std::fs::create_dir(&small).unwrap();
    run(&format!("mount -t tmpfs -o size=10m none {}", small.display()));
    let office = Device::new(&small, "office", "office", 1, &Joined::Switch);
    let phone = Device::new(scratch.path(), "phone", "field", 2, &Joined::Switch);
    ground(&office);
    pair(&office, &phone);
    phone.photo(3, SIZE);
    let mut keeping = office.start(&["keep", "--json"]);
    keeping.hear("\"sync\"");
    let mut live = phone.start(&["sync", "--live", "--json"]);
    let told = keeping.hear("could not be taken");
    assert!(told.contains("phone"), "from whom: {told}");
    assert!(told.to_lowercase().contains("space") || told.contains("room"), "why: {told}");
    // The phone still says that it waits.
    live.hear("1 photo not yet at office");
    assert!(!office.has_whole(3, SIZE), "there is no room for it");
    run(&format!("mount -o remount,size=80m {}", small.display()));
    office.until("it goes on by itself", |office| office.has_whole(3, SIZE));
    live.hear("\"in-sync\"");
    keeping.stop().done();
    live.stop().done();
}

#[test]
fn a_folder_that_went_is_told_and_the_notebook_comes_back_from_the_other_device() {
    let test =
        "cured::a_folder_that_went_is_told_and_the_notebook_comes_back_from_the_other_device";
    let Some(joined) = joined(test) else { return };
    let scratch = tempfile::tempdir().unwrap();
    let office = Device::new(scratch.path(), "office", "office", 1, &joined);
    let phone = Device::new(scratch.path(), "phone", "field", 2, &joined);
    ground(&office);
    office.note("kept on both");
    pair(&office, &phone);
    std::fs::remove_dir_all(&office.folder).unwrap();
    let gone = office.run(&["sync"]).refused();
    assert!(gone.contains("swardbook init"), "with what to do: {gone}");
    // The phone loses nothing and says that nobody answers.
    let pass = phone.json(&["sync", "--patience", "1"]);
    assert_eq!(pass["away"], json!(["office"]), "{pass}");
    // The lost copy is removed; a new notebook there, paired anew, has everything back.
    phone.run(&["devices", "remove", "office", "--why", "its folder went"]).done();
    office.run(&["init"]).done();
    office.run(&["devices", "this", "--name", "office", "--role", "office"]).done();
    pair(&phone, &office);
    assert_eq!(office.notes(), ["kept on both"]);
}

/// A clock for one process, `SWARDBOOK_TEST_CLOCK` seconds off.
const CLOCK: &str = r#"
#define _GNU_SOURCE
#include <dlfcn.h>
#include <stdlib.h>
#include <time.h>
int clock_gettime(clockid_t which, struct timespec *at) {
    static int (*real)(clockid_t, struct timespec *);
    if (!real) real = (int (*)(clockid_t, struct timespec *))dlsym(RTLD_NEXT, "clock_gettime");
    int done = real(which, at);
    const char *off = getenv("SWARDBOOK_TEST_CLOCK");
    if (which == CLOCK_REALTIME && off) at->tv_sec += atoll(off);
    return done;
}
"#;

fn shim(scratch: &Path) -> Option<std::path::PathBuf> {
    let (source, shim) = (scratch.join("clock.c"), scratch.join("clock.so"));
    std::fs::write(&source, CLOCK).unwrap();
    let mut make = Command::new("cc");
    make.args(["-shared", "-fPIC", "-o"]).arg(&shim).arg(&source).arg("-ldl");
    match make.output() {
        Ok(done) if done.status.success() => Some(shim),
        other => {
            println!("not run: a clock cannot be made here: {other:?}");
            None
        }
    }
}

#[test]
fn a_device_whose_clock_says_2040_pairs_syncs_and_is_not_believed_about_the_day() {
    let test =
        "cured::a_device_whose_clock_says_2040_pairs_syncs_and_is_not_believed_about_the_day";
    let Some(joined) = joined(test) else { return };
    let scratch = tempfile::tempdir().unwrap();
    let Some(shim) = shim(scratch.path()) else { return };
    let office = Device::new(scratch.path(), "office", "office", 1, &joined);
    let years = 14 * 365 * 86_400;
    let phone = Device::new(scratch.path(), "phone", "field", 2, &joined).with_clock(shim, years);
    let there = phone.json(&["status"])["today"].as_str().unwrap().to_owned();
    let here = office.json(&["status"])["today"].as_str().unwrap().to_owned();
    assert!(there.as_str() > "2039" && here.as_str() < "2039", "{there} and {here}");
    ground(&office);
    pair(&office, &phone);
    phone.note("from the future");
    office.note("from now");
    let mut keeping = office.start(&["keep", "--json"]);
    keeping.hear("\"sync\"");
    let pass = phone.json(&["sync"]);
    assert_eq!(pass["done"], json!(true), "{pass}");
    keeping.stop().done();
    for device in [&office, &phone] {
        assert_eq!(device.notes(), ["from now", "from the future"]);
    }
    // The last edit by cause stands, whatever the clocks say.
    let id = phone.json(&["zone", "list"])[0]["id"].as_str().unwrap().to_owned();
    office.run(&["zone", "edit", &id, "--area", "120"]).done();
    let area = office.json(&["zone", "list"])[0]["area_m2"].clone();
    assert_eq!(area, json!(120.0));
}
