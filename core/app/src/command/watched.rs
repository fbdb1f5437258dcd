//! Commands with and without somebody who waits for them.

use serde_json::Value as Json;

use super::list::{call_linked_watched, call_watched};
use crate::{Notebook, Problem, Unwatched, Watch, devices::LinkedNotebook};

/// Runs a command while nobody in particular waits.
///
/// # Errors
/// [`Problem`], as for [`call_watched`].
pub fn call(notebook: &mut Notebook, name: &str, given: Json) -> Result<Json, Problem> {
    call_watched(notebook, name, given, &mut Unwatched)
}

/// The same on a notebook with its link.
pub(crate) fn call_linked(
    linked: &LinkedNotebook,
    name: &str,
    given: Json,
) -> Result<Json, Problem> {
    call_linked_watched(linked, name, given, &mut Unwatched)
}

impl LinkedNotebook {
    /// Runs one command and tells whoever waits how far it is.
    ///
    /// # Errors
    /// [`Problem`] as for [`Self::call`], and [`crate::Code::Cancelled`] when it was stopped.
    pub fn call_watched(
        &self,
        name: &str,
        given: Json,
        watch: &mut dyn Watch,
    ) -> Result<Json, Problem> {
        call_linked_watched(self, name, given, watch)
    }
}
