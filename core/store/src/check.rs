//! Looking at everything on demand.

use std::{collections::BTreeSet, sync::atomic::Ordering};

use crate::{
    BlobHash, DocumentName, Fault, Store, StoreError,
    handle::{self, Handle},
};

/// What a full check found; empty when all is well.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Report {
    /// What the database says of its file, if it is not well.
    pub file: Option<String>,
    /// Documents whose bytes are not those written.
    pub documents: Vec<(DocumentName, Fault)>,
    /// Documents are gone from the list.
    pub list: bool,
    /// Rows of the index are not what was written.
    pub index: bool,
    /// Values of this device are not what was written.
    pub local: bool,
    /// Recorded files that are not on the disk.
    pub files_missing: Vec<BlobHash>,
    /// Files whose bytes are not what their name says.
    pub files_damaged: Vec<BlobHash>,
}

impl Report {
    /// Whether all is well.
    #[must_use]
    pub fn is_clean(&self) -> bool {
        *self == Self::default()
    }
}

impl Store {
    /// Reads every row and every file, and has a writer's database check each of its pages.
    ///
    /// What it finds is repaired when the notebook is next opened.
    ///
    /// # Errors
    /// [`StoreError`] when it could not be carried through; damage is no error but an answer.
    pub fn check(&mut self) -> Result<Report, StoreError> {
        let mut report = Report::default();
        match self.read("checking", |reading| reading.survey()) {
            Ok(survey) => {
                report.documents = survey.documents.into_iter().collect();
                report.list = survey.list;
                report.index = survey.index;
                report.local = survey.local;
                if survey.files {
                    report.file = Some("the record of files is damaged".to_owned());
                }
            }
            Err(error) if error.is_damage() => report.file = Some(error.to_string()),
            Err(error) => return Err(error),
        }
        if report.file.is_none() {
            self.check_files(&mut report)?;
            self.let_go_of_view();
            let path = self.layout.notebook();
            if let Some(Handle::Writer(database)) = &mut self.handle {
                let checked = handle::guard(&path, "checking", || Ok(database.check_integrity()?));
                match checked {
                    Ok(true) => {}
                    Ok(false) => report.file = Some("its pages did not add up".to_owned()),
                    Err(error) if error.is_damage() => {
                        // The database must be opened anew after this.
                        self.failed.store(true, Ordering::Relaxed);
                        report.file = Some(error.to_string());
                    }
                    Err(error) => return Err(error),
                }
            }
        }
        let files = Report {
            files_missing: report.files_missing.clone(),
            files_damaged: report.files_damaged.clone(),
            ..Report::default()
        };
        if report != files {
            self.damaged.store(true, Ordering::Relaxed);
        }
        Ok(report)
    }

    fn check_files(&self, report: &mut Report) -> Result<(), StoreError> {
        let recorded = self.blobs()?.into_iter().map(|(hash, _)| hash);
        let stored = self.stored_blobs()?.into_iter().map(|(hash, _)| hash);
        for hash in recorded.chain(stored).collect::<BTreeSet<_>>() {
            match self.verify_blob(hash) {
                Ok(()) => {}
                Err(StoreError::BlobMissing { .. }) => report.files_missing.push(hash),
                Err(StoreError::BlobDamaged { .. }) => report.files_damaged.push(hash),
                Err(error) => return Err(error),
            }
        }
        Ok(())
    }
}
