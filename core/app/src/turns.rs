//! Long work that needs the notebook only now and then, so that others have their turns between.

use crate::{Notebook, Problem, devices::LinkedNotebook};

/// A notebook that is held for one turn at a time.
#[derive(Debug)]
pub(crate) enum Turns<'n> {
    /// Nobody else asks it.
    Alone(&'n mut Notebook),
    /// Others ask it meanwhile, and other devices.
    Shared(&'n LinkedNotebook),
}

impl Turns<'_> {
    /// Works on the notebook for one turn, which should be short.
    ///
    /// # Errors
    /// What the work refuses.
    pub(crate) fn with<T>(
        &mut self,
        work: impl FnOnce(&mut Notebook) -> Result<T, Problem>,
    ) -> Result<T, Problem> {
        match self {
            Self::Alone(notebook) => work(notebook),
            Self::Shared(linked) => linked.with(work),
        }
    }
}
