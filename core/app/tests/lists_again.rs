//! The lists of a notebook, made again from its documents when they were lost or are of an older
//! version.

#![allow(clippy::unwrap_used, reason = "a test stops at the first thing that is not as expected")]

mod book;

use std::{path::Path, time::Duration};

use book::Book;
use serde_json::{Value, json};
use swardbook_app::{Code, Notebook, Part, Progress, Step, Unwatched, Watch, call};
use swardbook_store::{Access, Randomness, Store};

const ZONES: usize = 150;

/// Hears everything, and stops when so much is done.
#[derive(Default)]
struct Ear {
    heard: Vec<Progress>,
    stop_at: Option<u32>,
}

impl Watch for Ear {
    fn tell(&mut self, progress: &Progress) {
        self.heard.push(*progress);
    }

    fn is_stopped(&self) -> bool {
        self.heard.last().is_some_and(|now| self.stop_at.is_some_and(|at| now.done >= at))
    }
}

/// A closed notebook of many zones with two records each.
fn many_zones() -> (Book, Value) {
    let mut kept = Book::on("2026-03-02");
    kept.add("property", None, json!({ "name": "Kettle Bend" }));
    for zone in 0..ZONES {
        let name = format!("zone {zone}");
        kept.add("zone", Some("Kettle Bend"), json!({ "name": name, "area": 100 + zone }));
        let note = json!({ "sort": "note", "date": "2026-03-01", "note": "dry by the gate" });
        kept.add("observation", Some(&name), note);
        kept.add("sample", Some(&name), json!({ "date": "2026-02-20", "label": name }));
    }
    let lists = lists_of(&mut kept.notebook);
    (kept, lists)
}

fn lists_of(notebook: &mut Notebook) -> Value {
    let mut ask = |command: &str| call(notebook, command, json!({})).unwrap();
    json!([ask("property.list"), ask("zone.list"), ask("today")])
}

fn store_in(folder: &Path) -> Store {
    let randomness = Randomness { nonce: [7; 16], actor: [7; 16] };
    Store::open(folder, Access::Write { patience: Duration::ZERO }, randomness).unwrap().store
}

/// Leaves the lists as an update that keeps them in another form finds them.
fn lose_lists(folder: &Path) {
    let mut store = store_in(folder);
    store.clear_index().unwrap();
    store.close().unwrap();
}

/// The number of the last commit.
fn commits(folder: &Path) -> u64 {
    let store = store_in(folder);
    let last = store.sequence().unwrap().0;
    store.close().unwrap();
    last
}

#[test]
fn lists_made_again_are_the_same_and_take_few_commits() {
    let (kept, before) = many_zones();
    let (folder, clock) = (kept.folder(), kept.clock(9));
    kept.notebook.close().unwrap();
    lose_lists(&folder);
    let lost = commits(&folder);
    let mut ear = Ear::default();
    let mut notebook = Notebook::open_watched(&folder, clock, &mut ear).unwrap();
    assert_eq!(lists_of(&mut notebook), before);
    notebook.close().unwrap();

    let documents = u32::try_from(ZONES).unwrap() + 1;
    assert!(ear.heard.iter().all(|now| (now.step, now.part) == (Step::Listing, Part::Journals)));
    assert_eq!(ear.heard.first().map(|now| (now.done, now.all)), Some((0, documents)));
    assert_eq!(ear.heard.last().map(|now| (now.done, now.all)), Some((documents, documents)));
    // Clearing, the documents in three commits of 64 at most, and the stamp.
    let took = commits(&folder) - lost;
    assert!(took <= 5, "{took} commits");
}

#[test]
fn a_stop_leaves_the_lists_to_the_next_opening() {
    let (kept, before) = many_zones();
    let (folder, clock, later) = (kept.folder(), kept.clock(9), kept.clock(10));
    kept.notebook.close().unwrap();
    lose_lists(&folder);
    let mut ear = Ear { stop_at: Some(100), ..Ear::default() };
    let refused = Notebook::open_watched(&folder, clock, &mut ear).unwrap_err();
    assert_eq!(refused.code, Code::Cancelled, "{refused}");
    let mut notebook = Notebook::open_watched(&folder, later, &mut Unwatched).unwrap();
    assert_eq!(lists_of(&mut notebook), before);
}
