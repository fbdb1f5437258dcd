//! Two processes at one notebook: one writes, others read.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use std::{
    io::{BufRead as _, BufReader, Write as _},
    path::Path,
    process::{Child, ChildStdin, ChildStdout, Command, Stdio},
    time::Duration,
};

use swardbook_store::{
    Access, ActorBytes, Batch, Change, DocumentName, LocalTable, Randomness, Store, StoreError,
};
use swardbook_units::Id;

const FOLDER: &str = "SWARDBOOK_STORE_PROCESS_FOLDER";
const AT_ONCE: Access = Access::Write { patience: Duration::ZERO };

fn random(seed: u8) -> Randomness {
    Randomness { nonce: [seed; 16], actor: [seed ^ 0xff; 16] }
}

fn name() -> DocumentName {
    DocumentName { kind: 1, id: Id::from_random([5; 10]) }
}

fn add(store: &mut Store, number: u64) {
    let actor = ActorBytes::new(&[1; 16]).unwrap();
    let mut batch = Batch::new();
    let bytes = number.to_string().into_bytes();
    batch.change(name(), vec![Change { actor, sequence: number, bytes }], vec![1]);
    store.commit(&batch).unwrap();
}

fn count(store: &Store) -> usize {
    store.read_document(name()).unwrap().map_or(0, |document| document.tail.len())
}

/// The other process: does what each line on its standard input says, and answers with a line.
#[test]
fn other() {
    let Ok(folder) = std::env::var(FOLDER) else { return };
    let folder = Path::new(&folder);
    let mut store: Option<Store> = None;
    let mut out = std::io::stdout();
    for line in std::io::stdin().lines() {
        let answer = match line.unwrap().as_str() {
            "write" => match Store::open(folder, AT_ONCE, random(9)) {
                Ok(opened) => {
                    store = Some(opened.store);
                    "opened".to_owned()
                }
                Err(error) => error.to_string(),
            },
            "read" => match Store::open(folder, Access::Read, random(9)) {
                Ok(opened) => {
                    store = Some(opened.store);
                    "opened".to_owned()
                }
                Err(error) => error.to_string(),
            },
            "count" => count(store.as_ref().unwrap()).to_string(),
            "add" => {
                let store = store.as_mut().unwrap();
                let number = u64::try_from(count(store)).unwrap() + 1;
                add(store, number);
                number.to_string()
            }
            "close" => {
                store.take().unwrap().close().unwrap();
                "closed".to_owned()
            }
            line => panic!("what is {line}?"),
        };
        writeln!(out, "= {answer}").unwrap();
        out.flush().unwrap();
    }
}

struct Other {
    child: Child,
    tell: ChildStdin,
    hear: BufReader<ChildStdout>,
}

impl Other {
    fn start(folder: &Path) -> Self {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "other", "--nocapture"])
            .env(FOLDER, folder)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let tell = child.stdin.take().unwrap();
        let hear = BufReader::new(child.stdout.take().unwrap());
        Self { child, tell, hear }
    }

    fn ask(&mut self, line: &str) -> String {
        writeln!(self.tell, "{line}").unwrap();
        loop {
            let mut answer = String::new();
            assert!(self.hear.read_line(&mut answer).unwrap() > 0, "the other process ended");
            if let Some(answer) = answer.trim_end().strip_prefix("= ") {
                return answer.to_owned();
            }
        }
    }

    fn kill(mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }
}

#[test]
fn a_reader_reads_beside_a_writer_and_sees_its_commits() {
    let folder = tempfile::tempdir().unwrap();
    let mut store = Store::create(folder.path(), random(1)).unwrap();
    add(&mut store, 1);
    let mut other = Other::start(folder.path());
    assert_eq!(other.ask("read"), "opened", "beside the writer");
    assert_eq!(other.ask("count"), "1", "what was there");
    add(&mut store, 2);
    assert_eq!(other.ask("count"), "2", "and what came later");
    store.close().unwrap();
    assert_eq!(other.ask("count"), "2", "the writer may leave");
    other.kill();
}

#[test]
fn a_second_writer_is_refused_in_words_and_gets_its_turn() {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::create(folder.path(), random(1)).unwrap();
    let mut other = Other::start(folder.path());
    let refusal = other.ask("write");
    let path = folder.path().to_str().unwrap();
    let expected = format!(
        "the notebook in {path} is open for writing in another program; close it there, then try \
         again"
    );
    assert_eq!(refusal, expected, "in words");
    store.close().unwrap();
    assert_eq!(other.ask("write"), "opened", "when it is free");
    assert_eq!(other.ask("add"), "1", "and writes");
    let refused = Store::open(folder.path(), AT_ONCE, random(2)).unwrap_err();
    assert!(matches!(refused, StoreError::InUse { .. }), "the other way round: {refused}");
    let patient = Access::Write { patience: Duration::from_secs(10) };
    let waiter = {
        let folder = folder.path().to_owned();
        std::thread::spawn(move || Store::open(&folder, patient, random(2)))
    };
    assert_eq!(other.ask("close"), "closed", "in order");
    let store = waiter.join().unwrap().unwrap().store;
    assert_eq!(count(&store), 1, "patience is rewarded");
    other.kill();
}

#[test]
fn a_reader_puts_right_what_a_killed_writer_left() {
    let folder = tempfile::tempdir().unwrap();
    drop(Store::create(folder.path(), random(1)).unwrap());
    let mut other = Other::start(folder.path());
    other.ask("write");
    for number in 1..=5 {
        assert_eq!(other.ask("add"), number.to_string(), "acknowledged");
    }
    other.kill();
    let mut opened = Store::open(folder.path(), Access::Read, random(2)).unwrap();
    assert_eq!((opened.findings.len(), opened.was_copy), (0, false), "nothing is damaged");
    assert_eq!(count(&opened.store), 5, "all of it");
    let mut batch = Batch::new();
    batch.put_local(LocalTable(1), b"k", vec![]);
    let refused = opened.store.commit(&batch).unwrap_err();
    assert!(matches!(refused, StoreError::ReadAccess), "a reader does not write: {refused}");
    let refused = opened.store.actor().unwrap_err();
    assert!(matches!(refused, StoreError::ReadAccess), "nor has it a name to: {refused}");
    assert_eq!(count(&opened.store), 5, "and goes on reading");
}

#[test]
fn readers_and_a_writer_at_once_see_whole_commits_only() {
    let folder = tempfile::tempdir().unwrap();
    let mut store = Store::create(folder.path(), random(1)).unwrap();
    let actor = ActorBytes::new(&[1; 16]).unwrap();
    let second = DocumentName { kind: 2, ..name() };
    let readers: Vec<_> = (0..2)
        .map(|_| {
            let folder = folder.path().to_owned();
            std::thread::spawn(move || {
                let store = Store::open(&folder, Access::Read, random(2)).unwrap().store;
                let mut last = 0;
                while last < 100 {
                    let heads = store.documents().unwrap();
                    assert!(heads.len() != 1, "both documents or none");
                    assert!(heads.iter().all(|d| d.heads == heads[0].heads), "of one commit");
                    let seen = heads.first().map_or(0, |d| d.heads[0]);
                    assert!(seen >= last, "never back");
                    last = seen;
                }
            })
        })
        .collect();
    for number in 1..=100_u8 {
        let mut batch = Batch::new();
        for document in [name(), second] {
            let sequence = u64::from(number);
            let change = Change { actor: actor.clone(), sequence, bytes: vec![number; 500] };
            batch.change(document, vec![change], vec![number]);
        }
        store.commit(&batch).unwrap();
    }
    for reader in readers {
        reader.join().unwrap();
    }
}
