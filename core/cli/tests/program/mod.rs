//! The program as a person runs it, on a scratch notebook, with what varies from run to run taken
//! out of what it says.

#![allow(dead_code, reason = "every test file uses a part of it")]

use std::{
    collections::BTreeMap,
    ffi::OsStr,
    io::Write,
    path::{Path, PathBuf},
    process::{Command, Output, Stdio},
};

use serde_json::Value as Json;

/// What the program said and how it ended.
#[derive(Debug)]
pub(crate) struct Said {
    pub(crate) code: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

impl Said {
    /// The text of a run that must be done.
    #[track_caller]
    pub(crate) fn done(self) -> String {
        assert_eq!(self.code, 0, "{}{}", self.out, self.err);
        assert!(self.err.is_empty(), "nothing to complain about: {}", self.err);
        self.out
    }

    /// The JSON of a run that must be done.
    #[track_caller]
    pub(crate) fn json(self) -> Json {
        let text = self.done();
        serde_json::from_str(&text).unwrap_or_else(|e| panic!("{e}: {text}"))
    }

    /// The problem of a run with `--json` that must be refused.
    #[track_caller]
    pub(crate) fn refused(self) -> Problem {
        assert_eq!(self.code, 1, "{}{}", self.out, self.err);
        assert!(self.out.is_empty(), "a refusal is no answer: {}", self.out);
        let problem: Json = serde_json::from_str(&self.err)
            .unwrap_or_else(|e| panic!("one JSON document: {e}: {}", self.err));
        let text = |name: &str| problem[name].as_str().unwrap_or_default().to_owned();
        Problem { code: text("code"), field: text("field"), message: text("message") }
    }
}

/// A refusal.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Problem {
    pub(crate) code: String,
    pub(crate) field: String,
    pub(crate) message: String,
}

/// Runs the program.
pub(crate) fn run<A: AsRef<OsStr>>(arguments: &[A], typed: &str) -> Said {
    let mut child = Command::new(env!("CARGO_BIN_EXE_swardbook"))
        .args(arguments)
        .env_remove("XDG_DATA_HOME")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A program that does not read what was typed has ended already, which is its right.
    let _not_read = child.stdin.take().unwrap().write_all(typed.as_bytes());
    said(child.wait_with_output().unwrap())
}

fn said(output: Output) -> Said {
    Said {
        code: output.status.code().unwrap_or(-1),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

/// A notebook in a scratch folder.
#[derive(Debug)]
pub(crate) struct Book {
    pub(crate) scratch: tempfile::TempDir,
}

impl Book {
    /// An empty one.
    pub(crate) fn new() -> Self {
        let book = Self { scratch: tempfile::tempdir().unwrap() };
        book.run(&["init"]).done();
        book
    }

    /// One with a property and a zone.
    pub(crate) fn with_zone() -> Self {
        let book = Self::new();
        book.run(&["property", "add", "--name", "Kettle Bend", "--ground", "own"]).done();
        book.run(&["zone", "add", "--property", "Kettle Bend", "--name", "Front verge"]).done();
        book
    }

    pub(crate) fn folder(&self) -> PathBuf {
        self.scratch.path().join("book")
    }

    /// Runs one command on it.
    pub(crate) fn run(&self, arguments: &[&str]) -> Said {
        self.typed(arguments, "")
    }

    /// Runs one command on it and types something in.
    pub(crate) fn typed(&self, arguments: &[&str], typed: &str) -> Said {
        let folder = self.folder();
        let mut all = vec!["--notebook".as_ref(), folder.as_os_str()];
        all.extend(arguments.iter().map(OsStr::new));
        run(&all, typed)
    }

    /// The JSON answer of one command.
    #[track_caller]
    pub(crate) fn json(&self, arguments: &[&str]) -> Json {
        let all: Vec<&str> = arguments.iter().copied().chain(["--json"]).collect();
        self.run(&all).json()
    }

    /// The id of a record that one command adds.
    #[track_caller]
    pub(crate) fn id(&self, arguments: &[&str]) -> String {
        let added = self.json(arguments);
        let id = added["id"].as_str().or_else(|| added["record"]["id"].as_str());
        id.unwrap_or_else(|| panic!("no id in {added}")).to_owned()
    }

    /// The refusal of one command.
    #[track_caller]
    pub(crate) fn refused(&self, arguments: &[&str]) -> Problem {
        let all: Vec<&str> = arguments.iter().copied().chain(["--json"]).collect();
        self.run(&all).refused()
    }

    /// Everything that it holds, to see whether something was written.
    pub(crate) fn whole(&self) -> String {
        let actions = self.json(&["undo", "--list"]);
        let zones = self.json(&["zone", "list"]);
        let mut whole = format!("{actions}\n{zones}\n");
        for zone in zones.as_array().unwrap() {
            whole.push_str(&self.json(&["zone", "show", zone["id"].as_str().unwrap()]).to_string());
        }
        whole
    }

    /// What was said, without paths, ids, hashes, and the day it was said.
    pub(crate) fn steady(&self, text: &str) -> String {
        let today = self.json(&["status"])["today"].as_str().unwrap().to_owned();
        let folder = self.scratch.path().to_str().unwrap();
        steady(&text.replace(folder, "SCRATCH").replace(&today, "THIS-DAY--"))
    }
}

/// Words that vary by chance, each replaced by a word of the same width that says which it is.
pub(crate) fn steady(text: &str) -> String {
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    let mut steady = String::new();
    let mut word = String::new();
    for c in text.chars().chain(['\n']) {
        if c.is_ascii_alphanumeric() {
            word.push(c);
            continue;
        }
        if is_id(&word) || is_hash(&word) || is_device(&word) {
            let next = seen.len() + 1;
            let number = *seen.entry(word.clone()).or_insert(next);
            let name = format!("{}-{number}", if is_id(&word) { "id" } else { "hash" });
            steady.push_str(&format!("{name:-<width$}", width = word.len()));
        } else {
            steady.push_str(&word);
        }
        word.clear();
        steady.push(c);
    }
    steady.pop();
    steady
}

/// An id: sixteen of the letters and digits that ids are written with; no word is.
fn is_id(word: &str) -> bool {
    word.len() == 16 && word.chars().all(|c| "0123456789abcdefghjkmnpqrstvwxyz".contains(c))
}

fn is_hash(word: &str) -> bool {
    word.len() == 64 && word.chars().all(|c| c.is_ascii_hexdigit())
}

/// A device's mark: eight letters and digits; no word of ours is written with these letters alone.
fn is_device(word: &str) -> bool {
    word.len() == 8 && word.chars().all(|c| "0123456789abcdef".contains(c))
}

/// A file of the repository's fixtures.
pub(crate) fn fixture(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures").join(name)
}
