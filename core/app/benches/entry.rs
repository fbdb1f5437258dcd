//! How long one more entry on a zone of ten years takes until it is safe on the disk.
//!
//! `cargo bench -p swardbook-app --bench entry`

#![allow(clippy::unwrap_used, reason = "a bench fails by panicking")]

#[allow(dead_code, reason = "another bench uses the rest")]
mod ten_years;

use divan::{Bencher, black_box};
use serde_json::json;
use swardbook_app::{Notebook, call};
use swardbook_journal::{Fields, Stamp, Value};
use swardbook_testkit::{BareTable, Beside};

fn main() {
    divan::main();
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

/// The same record written on the same journal and made into a change, in memory: what the document
/// library takes of an entry.
#[divan::bench(sample_count = 100, sample_size = 1)]
fn same_change_in_memory(bencher: Bencher<'_, '_>) {
    let scratch = tempfile::tempdir_in(ten_years::kept()).unwrap();
    let mut journal = ten_years::journal_in_memory(scratch.path());
    let mut number = 0;
    bencher.bench_local(|| {
        number += 1;
        let words = [("sort", "note"), ("date", "2026-03-02"), ("note", "dry by the gate")];
        let fields = words.map(|(key, word)| (key.to_owned(), Value::Text(word.to_owned())));
        let key = format!("0123456789abc{number:03}");
        journal.write_fields(&key, "observation", Fields::from(fields), Vec::new()).unwrap();
        let stamp = Stamp {
            device: "07070707".to_owned(),
            person: String::new(),
            action: "added observation 2026-03-02".to_owned(),
            at: 1_772_409_600,
        };
        black_box(journal.commit(&stamp).unwrap())
    });
}

/// Rows of the same sizes in one table of the database by itself, on the same disk, by whether other
/// processes may read meanwhile, as they may beside a notebook.
#[divan::bench(args = [Beside::Readers, Beside::Nobody], sample_count = 100, sample_size = 1)]
fn bare_commit_of_the_same_bytes(bencher: Bencher<'_, '_>, beside: Beside) {
    let scratch = tempfile::tempdir_in(ten_years::kept()).unwrap();
    let lengths = ten_years::rows_of_one_entry(scratch.path(), add_entry);
    let mut table = BareTable::create(&scratch.path().join("bare.redb"), beside).unwrap();
    table.commit(&lengths).unwrap();
    bencher.bench_local(|| table.commit(&lengths).unwrap());
}
