//! What was asked on the command line: a command of the application with its request, and how its
//! answer is shown.

use clap::ArgMatches;
use serde_json::Value as Json;
use swardbook_app::Problem;

use crate::{arguments, book::Book, print::Page};

/// Writes an answer on a page.
pub(crate) type Show = fn(&mut Page, &Json);

/// Works out an answer.
pub(crate) type Work = Box<dyn Fn() -> Result<Json, Problem>>;

/// What was asked.
pub(crate) struct Asked {
    work: Work,
    /// How the answer is shown; none where it is JSON by its nature.
    pub(crate) show: Option<Show>,
}

impl Asked {
    /// One command of the application.
    pub(crate) fn command(book: Book, name: &'static str, request: Json, show: Show) -> Self {
        Self::working(show, move || book.call(name, request.clone()))
    }

    /// Something that takes more than one command, or none.
    pub(crate) fn working(show: Show, work: impl Fn() -> Result<Json, Problem> + 'static) -> Self {
        Self { work: Box::new(work), show: Some(show) }
    }

    /// Something whose answer is a JSON document whatever was asked for.
    pub(crate) fn always_json(work: impl Fn() -> Result<Json, Problem> + 'static) -> Self {
        Self { work: Box::new(work), show: None }
    }

    /// Does it.
    ///
    /// # Errors
    /// [`Problem`]
    pub(crate) fn run(&self) -> Result<Json, Problem> {
        (self.work)()
    }
}

/// Reads what was asked out of the arguments.
///
/// # Errors
/// [`Problem`] when a file that an argument names cannot be read.
pub(crate) fn from(matches: &ArgMatches) -> Result<Asked, Problem> {
    arguments::asked(matches, &Book::of(matches))
}
