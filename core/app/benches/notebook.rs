//! How long a notebook takes to open and to show one zone, by its size, and how much memory.
//!
//! `nice -n 10 cargo bench -p swardbook-app --bench notebook`
//!
//! The notebooks are made at the first run, which takes some minutes, and kept in the target folder.

#![allow(clippy::unwrap_used, reason = "a bench fails by panicking")]

#[allow(dead_code, reason = "another bench uses the rest")]
mod ten_years;

use divan::{AllocProfiler, Bencher, black_box};
use serde_json::json;
use swardbook_app::{Notebook, call};

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
