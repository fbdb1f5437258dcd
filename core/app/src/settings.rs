//! The settings that all devices share.

use swardbook_journal::records::{SETTINGS_KEY, Settings};

use crate::{
    Notebook, Problem,
    notebook::NOTEBOOK,
    record::{EditRecord, GivenFields, RecordView},
};

impl Notebook {
    /// The settings as stored; defaults where nothing was set.
    pub(crate) fn settings_record(&mut self) -> Result<Settings, Problem> {
        let entry = self.document(NOTEBOOK)?.entry(SETTINGS_KEY);
        Ok(entry.and_then(|entry| entry.read()).unwrap_or_default())
    }

    /// Shows the settings.
    ///
    /// # Errors
    /// [`Problem`]
    pub fn settings(&mut self) -> Result<RecordView, Problem> {
        self.record(SETTINGS_KEY)
    }

    /// Changes settings.
    ///
    /// # Errors
    /// [`Problem`] naming the field.
    pub fn set_settings(&mut self, fields: GivenFields) -> Result<RecordView, Problem> {
        self.edit_record(&EditRecord { id: SETTINGS_KEY.into(), fields })
    }
}
