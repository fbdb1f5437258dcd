//! Reading every row and saying what is wrong.

use std::collections::BTreeMap;

use redb::ReadableTable as _;

use crate::{
    DocumentName, Fault, StoreError,
    document::Reading,
    frame,
    handle::Trouble,
    table::{self, DOCUMENT, DocumentRow, INDEX, LOCAL, LOOSE, Notebook, SNAPSHOT, TAIL, Table},
};

/// What a look at every row found wrong; empty when all is well.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Survey {
    pub(crate) documents: BTreeMap<DocumentName, Fault>,
    /// Documents are missing whose names are not known.
    pub(crate) list: bool,
    pub(crate) index: bool,
    pub(crate) local: bool,
    pub(crate) files: bool,
}

impl Survey {
    /// The first thing that is wrong.
    pub(crate) fn first(&self) -> Option<StoreError> {
        if let Some((document, fault)) = self.documents.first_key_value() {
            return Some(StoreError::DamagedDocument { document: *document, fault: *fault });
        }
        let value = |what| Some(StoreError::DamagedValue { what });
        match self {
            Self { list: true, .. } => value("the list of documents"),
            Self { local: true, .. } => value("a value of this device"),
            Self { files: true, .. } => value("the record of files"),
            Self { index: true, .. } => Some(StoreError::DamagedIndex),
            _ => None,
        }
    }
}

impl Reading<'_> {
    /// Reads every row once.
    ///
    /// # Errors
    /// Those of the database; what is wrong with rows it could read is in the answer.
    pub(crate) fn survey(&self) -> Result<Survey, Trouble> {
        let notebook = self.notebook()?;
        let mut survey = Survey::default();
        let mut said: BTreeMap<DocumentName, DocumentRow> = BTreeMap::new();
        let mut seen: BTreeMap<DocumentName, DocumentRow> = BTreeMap::new();
        let mut counted = Notebook::default();

        self.each_row(DOCUMENT, |key, payload| {
            let Some(name) = DocumentName::from_key(key) else { return survey.list = true };
            counted.count(name);
            match payload.and_then(DocumentRow::decode) {
                Some(row) => drop(said.insert(name, row)),
                None => drop(survey.documents.insert(name, Fault::Checksum)),
            }
        })?;
        survey.list |= (counted.documents, counted.names) != (notebook.documents, notebook.names);
        self.each_row(SNAPSHOT, |key, payload| {
            let Some(name) = DocumentName::from_key(key) else { return survey.list = true };
            let Some(stamped) = payload else {
                survey.documents.insert(name, Fault::Checksum);
                return;
            };
            let row = seen.entry(name).or_default();
            row.snapshot_at = table::split_stamped(stamped).map_or(0, |(at, _)| at);
            row.snapshot_check = table::snapshot_digest(key, stamped);
        })?;
        self.each_row(TAIL, |key, payload| {
            let Some(name) = DocumentName::from_key(key) else { return survey.list = true };
            match payload {
                Some(stamped) => seen.entry(name).or_default().count(key, stamped),
                None => drop(survey.documents.insert(name, Fault::Checksum)),
            }
        })?;
        self.each_row(LOOSE, |key, payload| {
            let Some(name) = DocumentName::from_key(key) else { return survey.list = true };
            match payload {
                Some(_) => seen.entry(name).or_default().loose_count += 1,
                None => drop(survey.documents.insert(name, Fault::Checksum)),
            }
        })?;
        for (name, said) in &said {
            let seen = seen.remove(name).unwrap_or_default();
            let parts = |row: &DocumentRow| (row.tail_count, row.tail_sum, row.loose_count);
            let fault = if (said.snapshot_at, said.snapshot_check)
                != (seen.snapshot_at, seen.snapshot_check)
            {
                Fault::SnapshotMissing
            } else if parts(said) != parts(&seen) {
                Fault::ChangesMissing
            } else {
                continue;
            };
            survey.documents.entry(*name).or_insert(fault);
        }
        for name in seen.into_keys() {
            survey.documents.entry(name).or_insert(Fault::RowMissing);
        }
        let rest = |table, wrong: &mut bool| {
            self.each_row(table, |_, payload| *wrong |= payload.is_none())
        };
        rest(INDEX, &mut survey.index)?;
        rest(LOCAL, &mut survey.local)?;
        rest(table::BLOB, &mut survey.files)?;
        rest(table::CHANGED, &mut survey.list)?;
        rest(table::META, &mut survey.list)?;
        Ok(survey)
    }

    /// Every row of a table; no payload where the row is not what was written.
    pub(crate) fn each_row(
        &self,
        table: Table,
        mut take: impl FnMut(&[u8], Option<&[u8]>),
    ) -> Result<(), Trouble> {
        for row in self.rows(table)?.iter()? {
            let (key, stored) = row?;
            take(key.value(), frame::open(table.name, key.value(), stored.value()).ok());
        }
        Ok(())
    }
}
