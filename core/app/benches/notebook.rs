//! How long a notebook takes to open and to show one zone, by its size, and how long one more entry
//! takes until it is safe on the disk.
//!
//! `nice -n 10 cargo bench -p swardbook-app --bench notebook`
//!
//! The notebooks are made at the first run, which takes some minutes, and kept in the target folder.

#![allow(clippy::unwrap_used, reason = "a bench fails by panicking")]

mod ten_years;

use divan::{AllocProfiler, Bencher, black_box};
use serde_json::json;
use swardbook_app::{Notebook, call};
use swardbook_testkit::BareTable;

/// So that the most memory in use stands beside each time.
#[global_allocator]
static MEMORY: AllocProfiler = AllocProfiler::system();

const SIZES: [usize; 3] = [20, 200, 2_000];

fn main() {
    divan::main();
}

/// From the closed notebook to one zone with its ten years.
#[divan::bench(args = SIZES, sample_count = 30, sample_size = 1)]
fn open_and_show_one_zone(bencher: Bencher<'_, '_>, zones: usize) {
    let folder = ten_years::notebook(zones);
    let name = ten_years::middle(zones);
    bencher.bench_local(|| {
        let mut notebook = Notebook::open_to_read(&folder, ten_years::surroundings(7)).unwrap();
        let shown = call(&mut notebook, "zone.show", json!({ "zone": name })).unwrap();
        assert_eq!(shown["season"].as_array().unwrap().len(), 360, "ten years");
        notebook.close().unwrap();
        black_box(shown)
    });
}

/// From the closed notebook to the list of all zones.
#[divan::bench(args = SIZES, sample_count = 30, sample_size = 1)]
fn open_and_list_all_zones(bencher: Bencher<'_, '_>, zones: usize) {
    let folder = ten_years::notebook(zones);
    bencher.bench_local(|| {
        let mut notebook = Notebook::open_to_read(&folder, ten_years::surroundings(7)).unwrap();
        let listed = call(&mut notebook, "zone.list", json!({})).unwrap();
        assert_eq!(listed.as_array().unwrap().len(), zones, "all of them");
        notebook.close().unwrap();
        black_box(listed)
    });
}

/// The same zone once the notebook is open.
#[divan::bench(args = SIZES, sample_count = 30, sample_size = 1)]
fn show_one_zone(bencher: Bencher<'_, '_>, zones: usize) {
    let folder = ten_years::notebook(zones);
    let name = ten_years::middle(zones);
    let mut notebook = Notebook::open_to_read(&folder, ten_years::surroundings(7)).unwrap();
    bencher.bench_local(|| call(&mut notebook, "zone.show", json!({ "zone": name })).unwrap());
    notebook.close().unwrap();
}

/// One more entry on a zone of ten years, until it is safe on the disk.
#[divan::bench(sample_count = 100, sample_size = 1)]
fn add_one_entry(bencher: Bencher<'_, '_>) {
    let scratch = tempfile::tempdir_in(ten_years::kept()).unwrap();
    let folder = ten_years::copy(&ten_years::notebook(20), &scratch.path().join("book"));
    let mut notebook = Notebook::open(&folder, ten_years::surroundings(7)).unwrap();
    let zone = ten_years::middle(20);
    // The first entry opens the journal, as showing the zone would have.
    add_entry(&mut notebook, &zone);
    bencher.bench_local(|| add_entry(&mut notebook, &zone));
    notebook.close().unwrap();
}

fn add_entry(notebook: &mut Notebook, zone: &str) {
    let fields = json!({ "sort": "note", "date": "2026-03-02", "note": "dry by the gate" });
    let asked = json!({ "kind": "observation", "within": zone, "fields": fields });
    black_box(call(notebook, "record.add", asked).unwrap());
}

/// Rows of the same sizes in the database by itself, on the same disk.
#[divan::bench(sample_count = 100, sample_size = 1)]
fn bare_commit_of_the_same_bytes(bencher: Bencher<'_, '_>) {
    let scratch = tempfile::tempdir_in(ten_years::kept()).unwrap();
    let lengths = ten_years::rows_of_one_entry(scratch.path(), add_entry);
    let mut table = BareTable::create(&scratch.path().join("bare.redb")).unwrap();
    table.commit(&lengths).unwrap();
    bencher.bench_local(|| table.commit(&lengths).unwrap());
}
