//! A panel file of thousands of rows is taken in: how far it is, and stopping it half-way.

#![allow(clippy::unwrap_used, reason = "a test stops at the first thing that is not as expected")]

mod book;

use std::{fmt::Write, path::PathBuf};

use book::Book;
use serde_json::{Value, json};
use swardbook_app::{Code, Part, Problem, Progress, Step, Watch, call_watched};

/// More than the notebook keeps open of its own accord.
const ZONES: usize = 40;
const ROWS: usize = 2_000;

struct Kept {
    book: Book,
    file: PathBuf,
}

/// A notebook of many zones and one file with as many samples in each.
fn begin() -> Kept {
    let mut book = Book::on("2026-03-02");
    book.add("property", None, json!({ "name": "Kettle Bend" }));
    for at in 0..ZONES {
        book.add("zone", Some("Kettle Bend"), json!({ "name": format!("Green {at}") }));
    }
    let mut text =
        "Sample,Zone,Date sampled,Depth (mm),K (Mehlich-3) mg/kg,EC (1:5) dS/m\n".to_owned();
    for row in 0..ROWS {
        writeln!(
            text,
            "S{row},Green {},2026-02-01,0-100,{},0.{}",
            row % ZONES,
            40 + row % 30,
            11 + row % 9
        )
        .unwrap();
    }
    let file = book.scratch.path().join("panel.csv");
    std::fs::write(&file, text).unwrap();
    Kept { book, file }
}

impl Kept {
    fn take_in(&mut self, watch: &mut dyn Watch) -> Result<Value, Problem> {
        call_watched(&mut self.book.notebook, "panel.import", json!({ "path": self.file }), watch)
    }

    /// Samples, panels, and files kept.
    fn holds(&mut self) -> (u64, u64, usize) {
        let zones = self.book.ask("zone.list", Value::Null);
        let sum = |what: &str| -> u64 {
            zones.as_array().unwrap().iter().map(|zone| zone[what].as_u64().unwrap()).sum()
        };
        let (samples, panels) = (sum("samples"), sum("panels"));
        (samples, panels, files_under(&self.book.folder()))
    }
}

/// Files of the notebook's folder that begin as the panel file does.
fn files_under(folder: &std::path::Path) -> usize {
    let mut found = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found += files_under(&path);
        } else if std::fs::read(&path).is_ok_and(|bytes| bytes.starts_with(b"Sample,Zone,")) {
            found += 1;
        }
    }
    found
}

/// Hears everything and asks to stop when it has heard enough.
struct Ear<'a> {
    heard: Vec<Progress>,
    enough: &'a dyn Fn(&Progress) -> bool,
}

impl<'a> Ear<'a> {
    fn new(enough: &'a dyn Fn(&Progress) -> bool) -> Self {
        Self { heard: Vec::new(), enough }
    }
}

impl Watch for Ear<'_> {
    fn tell(&mut self, progress: &Progress) {
        self.heard.push(*progress);
    }

    fn is_stopped(&self) -> bool {
        self.heard.iter().any(|progress| (self.enough)(progress))
    }
}

#[test]
fn every_zone_of_a_large_file_gets_its_panels_and_one_undo_takes_them_back() {
    let mut kept = begin();
    let mut ear = Ear::new(&|_| false);
    let outcome = kept.take_in(&mut ear).unwrap();
    assert_eq!(outcome["panels"].as_array().unwrap().len(), ROWS);
    let rows = u64::try_from(ROWS).unwrap();
    assert_eq!(kept.holds(), (rows, rows, 1), "nothing of any zone was dropped on the way");

    let zones = kept.book.ask("zone.list", Value::Null);
    assert!(
        zones.as_array().unwrap().iter().all(|zone| zone["panels"] == json!(ROWS / ZONES)),
        "{zones}"
    );
    let placing: Vec<&Progress> =
        ear.heard.iter().filter(|now| now.step == Step::Placing).collect();
    assert!(placing.iter().all(|now| now.part == Part::Rows && now.all == 2_000), "{placing:?}");
    assert!(placing.is_sorted_by_key(|now| now.done), "it never goes back: {placing:?}");
    assert_eq!(placing.last().map(|now| now.done), Some(2_000));
    assert!(placing.len() >= 100, "at least every hundredth is told: {}", placing.len());
    let preparing = ear.heard.iter().rfind(|now| now.step == Step::Preparing).unwrap();
    assert_eq!((preparing.part, preparing.done, preparing.all), (Part::Journals, 40, 40));
    let last = ear.heard.last().unwrap();
    assert_eq!((last.step, last.can_stop), (Step::Keeping, false), "said before it is written");
    assert!(ear.heard.iter().all(|now| now.can_stop == (now.step != Step::Keeping)));

    assert_eq!(kept.book.ask("notebook.undo", Value::Null)["what"], "imported panel.csv");
    assert_eq!(kept.holds(), (0, 0, 1), "one act, one undo; the original stays for the history");
}

#[test]
fn stopped_at_any_step_nothing_of_the_file_is_in_the_notebook() {
    let half = |now: &Progress| now.step == Step::Placing && now.done >= now.all / 2;
    let reading = |now: &Progress| now.step == Step::Reading;
    let preparing = |now: &Progress| now.step == Step::Preparing && now.done >= 20;
    type Enough<'a> = &'a dyn Fn(&Progress) -> bool;
    let cases: [(&str, Enough<'_>); 3] =
        [("while reading", &reading), ("half-way", &half), ("before writing", &preparing)];
    let mut kept = begin();
    let before = kept.book.ask("notebook.undo_list", Value::Null);
    for (when, enough) in cases {
        let problem = kept.take_in(&mut Ear::new(enough)).unwrap_err();
        assert_eq!(problem.code, Code::Cancelled, "{when}");
        assert!(problem.message.contains("nothing of the file"), "{when}: {problem}");
        assert_eq!(kept.holds(), (0, 0, 0), "{when}: no sample, no panel, no file");
        assert_eq!(kept.book.ask("notebook.undo_list", Value::Null), before, "{when}: no act");
    }
    // What was stopped can be taken in afterwards, whole.
    kept.take_in(&mut Ear::new(&|_| false)).unwrap();
    assert_eq!(kept.holds(), (2_000, 2_000, 1));
}

#[test]
fn a_stop_that_comes_too_late_leaves_everything() {
    let mut kept = begin();
    kept.take_in(&mut Ear::new(&|now| now.step == Step::Keeping)).unwrap();
    assert_eq!(kept.holds(), (2_000, 2_000, 1));
}

#[test]
fn taking_back_is_told_record_by_record_and_can_be_stopped() {
    let mut kept = begin();
    kept.take_in(&mut Ear::new(&|_| false)).unwrap();
    let undo = |kept: &mut Kept, ear: &mut Ear<'_>| {
        call_watched(&mut kept.book.notebook, "notebook.undo", json!({}), ear)
    };
    let half = |now: &Progress| now.step == Step::TakingBack && now.done >= now.all / 2;
    let problem = undo(&mut kept, &mut Ear::new(&half)).unwrap_err();
    assert_eq!(problem.code, Code::Cancelled, "{problem}");
    assert!(problem.message.contains("imported panel.csv"), "{problem}");
    assert_eq!(kept.holds(), (2_000, 2_000, 1), "all of it stands");

    let mut ear = Ear::new(&|_| false);
    undo(&mut kept, &mut ear).unwrap();
    assert_eq!(kept.holds(), (0, 0, 1));
    let back: Vec<&Progress> =
        ear.heard.iter().filter(|now| now.step == Step::TakingBack).collect();
    // A sample and a panel of each row.
    assert!(back.iter().all(|now| now.part == Part::Records && now.all == 4_000), "{back:?}");
    assert_eq!(back.last().map(|now| now.done), Some(4_000));
    assert!(back.len() >= 100, "at least every hundredth is told: {}", back.len());
    let last = ear.heard.last().unwrap();
    assert_eq!((last.step, last.can_stop), (Step::Keeping, false), "said before it is written");
}
