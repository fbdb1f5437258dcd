//! The notebook that a command works on: where it lies, who works on it, and opening it only for
//! as long and as widely as the command needs.

use std::path::{Path, PathBuf};

use clap::ArgMatches;
use serde_json::{Value as Json, json};
use swardbook_app::{
    Code, Notebook, Problem, RealSurroundings, call, call_watched, commands, default_folder,
    devices::LinkedNotebook,
};

use crate::{
    arguments,
    print::{self, progress::Line},
};

/// What the notebook is opened for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Access {
    /// Looking, beside whoever writes.
    Read,
    /// Writing, alone.
    Write,
}

/// A notebook that is not open yet.
#[derive(Debug, Clone)]
pub(crate) struct Book {
    folder: PathBuf,
    person: String,
}

impl Book {
    /// The one that the arguments name.
    pub(crate) fn of(matches: &ArgMatches) -> Self {
        Self {
            folder: matches
                .get_one::<PathBuf>(arguments::NOTEBOOK)
                .cloned()
                .unwrap_or_else(default_folder),
            person: matches.get_one::<String>(arguments::PERSON).cloned().unwrap_or_default(),
        }
    }

    /// The one in another folder.
    pub(crate) fn in_folder(self, folder: &Path) -> Self {
        Self { folder: folder.to_owned(), ..self }
    }

    /// Makes it.
    ///
    /// # Errors
    /// [`Problem`] when there is one already, or it cannot be written.
    pub(crate) fn create(&self) -> Result<Json, Problem> {
        let mut notebook = Notebook::create(&self.folder, Box::new(RealSurroundings))?;
        let status = call(&mut notebook, "notebook.status", json!({}))?;
        notebook.close()?;
        Ok(status)
    }

    /// Runs one command, with the notebook open for writing only where the command writes.
    ///
    /// # Errors
    /// [`Problem`]
    pub(crate) fn call(&self, name: &'static str, request: Json) -> Result<Json, Problem> {
        let access = if writes(name) { Access::Write } else { Access::Read };
        if name == "notebook.status" {
            // It tells of damage itself.
            return self.open_quietly(access, |notebook| call(notebook, name, request));
        }
        self.open(access, |notebook| {
            call_watched(notebook, name, request, &mut Line::of_this_terminal())
        })
    }

    /// Runs several commands on the notebook opened once.
    ///
    /// # Errors
    /// [`Problem`]
    pub(crate) fn open<T>(
        &self,
        access: Access,
        work: impl FnOnce(&mut Notebook) -> Result<T, Problem>,
    ) -> Result<T, Problem> {
        self.open_quietly(access, |notebook| {
            warn_of(&notebook.damage());
            work(notebook)
        })
    }

    /// Works on the notebook with its link to other devices, which are met when the work asks for
    /// it.
    ///
    /// # Errors
    /// [`Problem`]
    pub(crate) fn link<T>(
        &self,
        work: impl FnOnce(&LinkedNotebook) -> Result<T, Problem>,
    ) -> Result<T, Problem> {
        self.linked(Access::Write, LinkedNotebook::when_asked, work)
    }

    /// The same, looking for other devices all the time.
    ///
    /// # Errors
    /// [`Problem`]
    pub(crate) fn link_live<T>(
        &self,
        work: impl FnOnce(&LinkedNotebook) -> Result<T, Problem>,
    ) -> Result<T, Problem> {
        self.linked(Access::Write, LinkedNotebook::live, work)
    }

    /// Looks at what is known of other devices, beside whoever writes.
    ///
    /// # Errors
    /// [`Problem`]
    pub(crate) fn look<T>(
        &self,
        work: impl FnOnce(&LinkedNotebook) -> Result<T, Problem>,
    ) -> Result<T, Problem> {
        self.linked(Access::Read, LinkedNotebook::when_asked, work)
    }

    fn linked<T>(
        &self,
        access: Access,
        with: fn(Notebook) -> LinkedNotebook,
        work: impl FnOnce(&LinkedNotebook) -> Result<T, Problem>,
    ) -> Result<T, Problem> {
        let notebook = self.opened(access)?;
        if access == Access::Write {
            warn_of(&notebook.damage());
        }
        let linked = with(notebook);
        let done = work(&linked);
        match (done, linked.close()) {
            (Ok(_), Err(problem)) | (Err(problem), _) => Err(problem),
            (done, Ok(())) => done,
        }
    }

    fn opened(&self, access: Access) -> Result<Notebook, Problem> {
        let (around, mut line) = (Box::new(RealSurroundings), Line::of_this_terminal());
        let opened = match access {
            Access::Write => Notebook::open_watched(&self.folder, around, &mut line),
            Access::Read => Notebook::open_to_read_watched(&self.folder, around, &mut line),
        };
        drop(line);
        let mut notebook = opened.map_err(|problem| self.with_remedy(problem))?;
        notebook.set_person(&self.person);
        // Where even the settings are damaged, amounts are shown as they are kept.
        if let Ok(measure) = notebook.measure() {
            print::measure_in(measure);
        }
        Ok(notebook)
    }

    fn open_quietly<T>(
        &self,
        access: Access,
        work: impl FnOnce(&mut Notebook) -> Result<T, Problem>,
    ) -> Result<T, Problem> {
        let mut notebook = self.opened(access)?;
        let done = work(&mut notebook);
        // What the command refused matters more than a hitch in closing after it.
        match (done, notebook.close()) {
            (Ok(_), Err(problem)) | (Err(problem), _) => Err(problem),
            (done, Ok(())) => done,
        }
    }

    fn with_remedy(&self, problem: Problem) -> Problem {
        if problem.code != Code::NoNotebook {
            return problem;
        }
        let folder = self.folder.display();
        Problem {
            message: format!(
                "{}; make a notebook with `swardbook init \"{folder}\"`, or name another folder with \
                 --notebook",
                problem.message
            ),
            ..problem
        }
    }
}

/// Whether a command writes.
fn writes(name: &str) -> bool {
    commands().iter().any(|command| command.name == name && command.writes)
}

/// Damage concerns whoever runs any command, not only whoever asks for the status.
fn warn_of(damage: &[String]) {
    for part in damage {
        print::err(&format!("swardbook: damage was found: {part}\n"));
    }
}
