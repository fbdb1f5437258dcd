//! Materials: ours and the person's own.

use swardbook_journal::records::OwnMaterial;

use crate::{Notebook, Problem, notebook::NOTEBOOK};

impl Notebook {
    /// The id of a material by its id or name.
    pub(crate) fn find_material(&mut self, field: &str, text: &str) -> Result<String, Problem> {
        self.find_record(field, "material", text, None)
    }

    /// What a material is called.
    pub(crate) fn material_name(&mut self, id: &str) -> Option<String> {
        let entry = self.document(NOTEBOOK).ok()?.entry(id)?;
        Some(entry.read::<OwnMaterial>()?.name)
    }
}
