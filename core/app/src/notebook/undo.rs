//! The list of this device's actions that can be taken back, across restarts.

use serde::{Deserialize, Serialize};
use swardbook_journal::Undoing;
use swardbook_store::{Batch, DocumentName, LocalTable, Span};
use ts_rs::TS;

use super::Notebook;
use crate::{
    Code, Problem, Watch,
    progress::{Course, Part, Step},
};

/// Where the list is kept.
const ACTIONS: LocalTable = LocalTable(1);
/// Actions remembered.
const MOST: usize = 200;

/// One remembered action.
#[derive(Debug, Clone, Serialize, Deserialize)]
struct Remembered {
    what: String,
    at: i64,
    changes: Vec<(String, String)>,
    undone: bool,
}

/// An action as shells list it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct UndoEntry {
    /// Its number; the newest has the highest.
    pub number: u32,
    /// What was done.
    pub what: String,
    /// Whether it has been taken back.
    pub undone: bool,
}

fn hex(hash: &[u8]) -> String {
    hash.iter().map(|byte| format!("{byte:02x}")).collect()
}

fn unhex(text: &str) -> Option<[u8; 32]> {
    let mut hash = [0; 32];
    if text.len() != 64 || !text.is_ascii() {
        return None;
    }
    for (byte, pair) in hash.iter_mut().zip(text.as_bytes().chunks_exact(2)) {
        *byte = u8::from_str_radix(std::str::from_utf8(pair).ok()?, 16).ok()?;
    }
    Some(hash)
}

fn stored<T: Serialize>(value: &T) -> Vec<u8> {
    serde_json::to_vec(value).expect("plain data has a JSON form")
}

/// Adds an action to the list within the batch that writes it, and forgets the oldest.
pub(super) fn remember(
    notebook: &Notebook,
    batch: &mut Batch,
    what: &str,
    hashes: &[(DocumentName, [u8; 32])],
) -> Result<(), Problem> {
    let newest = notebook.store.range_local(ACTIONS, &Span::all().backwards().at_most(1))?;
    let number = newest.first().map_or(1, |row| number_of(&row.key) + 1);
    let changes = hashes.iter().map(|(name, hash)| (name.to_string(), hex(hash))).collect();
    let action = Remembered {
        what: what.to_owned(),
        at: notebook.surroundings.now(),
        changes,
        undone: false,
    };
    batch.put_local(ACTIONS, &number.to_be_bytes(), stored(&action));
    let most = u32::try_from(MOST).expect("a small number");
    if number > most {
        batch.delete_local(ACTIONS, &(number - most).to_be_bytes());
    }
    Ok(())
}

fn number_of(key: &[u8]) -> u32 {
    key.try_into().map_or(0, u32::from_be_bytes)
}

impl Notebook {
    /// The actions that can be taken back, newest first.
    ///
    /// # Errors
    /// [`Problem`]
    pub fn undo_list(&self) -> Result<Vec<UndoEntry>, Problem> {
        Ok(self
            .remembered()?
            .into_iter()
            .map(|(number, r)| UndoEntry { number, what: r.what, undone: r.undone })
            .collect())
    }

    fn remembered(&self) -> Result<Vec<(u32, Remembered)>, Problem> {
        let rows = self.store.range_local(ACTIONS, &Span::all().backwards().at_most(MOST))?;
        Ok(rows
            .into_iter()
            .filter_map(|row| Some((number_of(&row.key), serde_json::from_slice(&row.value).ok()?)))
            .collect())
    }

    /// Takes back the newest action that was not taken back yet, or the one of that number; it can
    /// be stopped until the disk is written.
    ///
    /// # Errors
    /// [`Problem`] when there is none, or a field was written again since, and
    /// [`Code::Cancelled`] when it was stopped; everything is as it was then.
    pub fn undo(
        &mut self,
        number: Option<u32>,
        watch: &mut dyn Watch,
    ) -> Result<UndoEntry, Problem> {
        let all = self.remembered()?;
        let found = all.into_iter().find(|(at, action)| match number {
            Some(number) => *at == number,
            None => !action.undone && !action.what.starts_with(UNDO_WORD),
        });
        let Some((number, mut action)) = found else {
            return Err(Problem::new(Code::NotFound, "there is nothing to take back"));
        };
        if action.undone {
            return Err(Problem::refused(format!("\"{}\" was taken back already", action.what)));
        }
        let stopped = format!("stopped; \"{}\" stands as it was", action.what);
        let mut course = Course::begin(watch, self.stopwatch(), stopped);
        let at = self.surroundings.now();
        let mut undoing = self.begin_action(format!("{UNDO_WORD}{}", action.what));
        // Every document is asked before any is written on, so that a refusal costs nothing.
        course.step(Step::Looking, Part::Journals, action.changes.len())?;
        let mut plans = Vec::new();
        for (name, hash) in &action.changes {
            let (Ok(name), Some(hash)) = (name.parse::<DocumentName>(), unhex(hash)) else {
                return Err(Problem::new(Code::Damaged, "the list of actions is damaged"));
            };
            plans.push((name, undoing.hold(name)?.plan_undo(&hash, at)?));
            course.did(1)?;
        }
        let entries = plans.iter().map(|(_, plan)| plan.len()).sum();
        course.step(Step::TakingBack, Part::Records, entries)?;
        for (name, plan) in plans {
            for Undoing { key, kind, wanted, removed } in plan {
                undoing.write_fields(name, &key, &kind, wanted, removed)?;
                course.did(1)?;
            }
        }
        undoing.keep_on_course(&mut course)?;
        action.undone = true;
        let mut batch = Batch::new();
        batch.put_local(ACTIONS, &number.to_be_bytes(), stored(&action));
        self.store.commit(&batch)?;
        Ok(UndoEntry { number, what: action.what, undone: true })
    }
}

/// How the taking back of an action is listed.
const UNDO_WORD: &str = "took back: ";
