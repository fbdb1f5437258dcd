//! A notebook in a folder of its own, asked through the same commands that every shell calls.

#![allow(dead_code, reason = "no test asks for everything")]

use std::path::{Path, PathBuf};

use serde_json::{Value, json};
use swardbook_app::{FixedSurroundings, Notebook, Problem, call};
use swardbook_units::NaiveDate;

/// One open notebook; its folder goes when this does.
pub(crate) struct Book {
    pub(crate) notebook: Notebook,
    pub(crate) scratch: tempfile::TempDir,
    day: NaiveDate,
    opened: u64,
}

impl Book {
    /// A new one, on which every clock says this day.
    pub(crate) fn on(day: &str) -> Self {
        let day = day.parse().unwrap();
        let scratch = tempfile::tempdir().unwrap();
        let notebook = Notebook::create(&scratch.path().join("book"), clock(day, 1)).unwrap();
        Self { notebook, scratch, day, opened: 1 }
    }

    /// The notebook's folder.
    pub(crate) fn folder(&self) -> PathBuf {
        self.scratch.path().join("book")
    }

    /// What another program on the same day has around it.
    pub(crate) fn clock(&self, seed: u64) -> Box<FixedSurroundings> {
        clock(self.day, seed)
    }

    #[track_caller]
    pub(crate) fn ask(&mut self, command: &str, request: Value) -> Value {
        call(&mut self.notebook, command, request)
            .unwrap_or_else(|problem| panic!("{command}: {problem}"))
    }

    #[track_caller]
    pub(crate) fn refused(&mut self, command: &str, request: Value) -> Problem {
        call(&mut self.notebook, command, request).unwrap_err()
    }

    /// Adds a record, as it is shown then.
    #[track_caller]
    pub(crate) fn add(&mut self, kind: &str, within: Option<&str>, fields: Value) -> Value {
        self.ask("record.add", json!({ "kind": kind, "within": within, "fields": fields }))
    }

    /// Adds a record and gives its id.
    #[track_caller]
    pub(crate) fn add_id(&mut self, kind: &str, within: Option<&str>, fields: Value) -> String {
        self.add(kind, within, fields)["id"].as_str().unwrap().to_owned()
    }

    /// The same notebook after the program was ended and started again.
    pub(crate) fn reopen(self) -> Self {
        self.reopen_after(|_| ())
    }

    /// The same, after something was done to its folder while it was closed.
    pub(crate) fn reopen_after(self, meanwhile: impl FnOnce(&Path)) -> Self {
        let (folder, opened) = (self.folder(), self.opened + 1);
        self.notebook.close().unwrap();
        meanwhile(&folder);
        let notebook = Notebook::open(&folder, clock(self.day, opened)).unwrap();
        Self { notebook, opened, ..self }
    }
}

fn clock(day: NaiveDate, seed: u64) -> Box<FixedSurroundings> {
    Box::new(FixedSurroundings::new(day, seed))
}
