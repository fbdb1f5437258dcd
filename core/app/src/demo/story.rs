//! Telling a story through commands.

use std::path::Path;

use serde_json::{Value as Json, json};

use super::{DemoStep, clock::StoryClock};
use crate::{Notebook, Problem, call};

/// A notebook that is being told into.
pub(super) struct Story<'a> {
    notebook: Notebook,
    clock: StoryClock,
    day: String,
    tell: &'a mut dyn FnMut(&DemoStep),
}

impl<'a> Story<'a> {
    pub(super) fn begin(
        folder: &Path,
        tell: &'a mut dyn FnMut(&DemoStep),
    ) -> Result<Self, Problem> {
        let first = "2023-08-14";
        let clock = StoryClock::new(swardbook_units::parse_date(first)?);
        let mut notebook = Notebook::create(folder, Box::new(clock.clone()))?;
        notebook.set_person("Tamsin Okoro");
        Ok(Self { notebook, clock, day: first.to_owned(), tell })
    }

    pub(super) fn end(self) -> Result<(), Problem> {
        self.notebook.close()
    }

    /// Moves to a day.
    pub(super) fn on(&mut self, day: &str) -> Result<(), Problem> {
        self.clock.set(swardbook_units::parse_date(day)?);
        day.clone_into(&mut self.day);
        Ok(())
    }

    /// Asks the notebook as a person's shell does.
    pub(super) fn ask(&mut self, command: &str, request: Json) -> Result<Json, Problem> {
        call(&mut self.notebook, command, request)
    }

    /// Adds a record and returns its id.
    pub(super) fn add(
        &mut self,
        kind: &str,
        within: Option<&str>,
        fields: Json,
    ) -> Result<String, Problem> {
        let asked = json!({ "kind": kind, "within": within, "fields": fields });
        Ok(text(&self.ask("record.add", asked)?, "id"))
    }

    /// Tells a step.
    pub(super) fn step(&mut self, title: impl Into<String>, lines: Vec<String>) {
        (self.tell)(&DemoStep { day: self.day.clone(), title: title.into(), lines });
    }
}

/// A text of an answer; empty where there is none.
pub(super) fn text(answer: &Json, key: &str) -> String {
    answer[key].as_str().unwrap_or_default().to_owned()
}

/// The texts of a list in an answer.
pub(super) fn texts(answer: &Json, key: &str) -> Vec<String> {
    answer[key]
        .as_array()
        .map(|all| all.iter().filter_map(|one| one.as_str().map(str::to_owned)).collect())
        .unwrap_or_default()
}

/// The members of a list in an answer.
pub(super) fn rows<'j>(answer: &'j Json, key: &str) -> &'j [Json] {
    answer[key].as_array().map_or(&[], Vec::as_slice)
}
