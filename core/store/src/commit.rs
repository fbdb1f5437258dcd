//! Writing a batch: one transaction, safe on the disk before it is acknowledged.

use redb::{Durability, ReadableTable as _, TableHandle as _, WriteTransaction};

use crate::{
    Batch, DocumentName, Fault, StoreError, StoreSequence,
    batch::{DocumentWrite, Put},
    frame,
    handle::{Handle, Trouble},
    table::{
        self, BLOB, BlobRow, CHANGED, DOCUMENT, DocumentRow, INDEX, INDEX_STAMP_KEY, LOCAL, LOOSE,
        META, NOTEBOOK_KEY, Notebook, SNAPSHOT, TAIL, Table,
    },
};

/// One table being written, which seals what goes in and counts the bytes.
pub(crate) struct Sealed<'txn> {
    table: Table,
    rows: redb::Table<'txn, &'static [u8], &'static [u8]>,
}

impl<'txn> Sealed<'txn> {
    pub(crate) fn open(transaction: &'txn WriteTransaction, table: Table) -> Result<Self, Trouble> {
        Ok(Self { table, rows: transaction.open_table(table.definition)? })
    }

    pub(crate) fn put(
        &mut self,
        notebook: &mut Notebook,
        key: &[u8],
        value: &[u8],
    ) -> Result<(), Trouble> {
        let stored = frame::seal(self.table.name, key, value);
        let old = self.rows.insert(key, stored.as_slice())?.map(|old| old.value().len());
        let added = stored.len() + if old.is_some() { 0 } else { key.len() };
        notebook.content = notebook
            .content
            .saturating_add(added as u64)
            .saturating_sub(old.unwrap_or_default() as u64);
        Ok(())
    }

    pub(crate) fn delete(&mut self, notebook: &mut Notebook, key: &[u8]) -> Result<(), Trouble> {
        if let Some(old) = self.rows.remove(key)? {
            let removed = old.value().len() + key.len();
            notebook.content = notebook.content.saturating_sub(removed as u64);
        }
        Ok(())
    }

    /// The sealed value under a key, unless it was altered.
    fn get(&self, key: &[u8]) -> Result<Option<Result<Vec<u8>, frame::Altered>>, Trouble> {
        let Some(stored) = self.rows.get(key)? else { return Ok(None) };
        Ok(Some(frame::open(self.table.name, key, stored.value()).map(<[u8]>::to_vec)))
    }

    fn delete_prefix(&mut self, notebook: &mut Notebook, prefix: &[u8]) -> Result<(), Trouble> {
        let end = table::after_prefix(prefix);
        let keys: Vec<Vec<u8>> = {
            let rows = match &end {
                Some(end) => self.rows.range(prefix..end.as_slice())?,
                None => self.rows.range(prefix..)?,
            };
            rows.map(|row| row.map(|(key, _)| key.value().to_vec())).collect::<Result<_, _>>()?
        };
        keys.iter().try_for_each(|key| self.delete(notebook, key))
    }
}

/// Writes a batch on top of `notebook` and returns the notebook's row as it is then.
pub(crate) fn commit(
    handle: &Handle,
    notebook: Notebook,
    batch: &Batch,
) -> Result<Notebook, Trouble> {
    write(handle, notebook, |transaction, notebook| {
        notebook.sequence += 1;
        if !batch.documents.is_empty() {
            write_documents(transaction, notebook, batch)?;
        }
        for (table, puts) in [(INDEX, &batch.index), (LOCAL, &batch.local)] {
            if puts.is_empty() {
                continue;
            }
            let mut rows = Sealed::open(transaction, table)?;
            for (key, put) in puts {
                match put {
                    Put::Value(value) => rows.put(notebook, key, value)?,
                    Put::Nothing => rows.delete(notebook, key)?,
                }
            }
        }
        if let Some(stamp) = &batch.index_stamp {
            Sealed::open(transaction, META)?.put(notebook, INDEX_STAMP_KEY, stamp)?;
        }
        if !batch.files.is_empty() {
            put_blobs(transaction, notebook, &batch.files)?;
        }
        Ok(())
    })
}

/// Empties the index and takes its stamp away.
pub(crate) fn clear_index(handle: &Handle, notebook: Notebook) -> Result<Notebook, Trouble> {
    write(handle, notebook, |transaction, notebook| {
        notebook.sequence += 1;
        // A table that cannot be read need not be, to be thrown away; its size is then a guess.
        let freed = content_of(transaction, INDEX).unwrap_or_default();
        transaction.delete_table(INDEX.definition)?;
        Sealed::open(transaction, INDEX)?;
        notebook.content = notebook.content.saturating_sub(freed);
        Sealed::open(transaction, META)?.delete(notebook, INDEX_STAMP_KEY)
    })
}

fn content_of(transaction: &WriteTransaction, table: Table) -> Result<u64, Trouble> {
    let rows = transaction.open_table(table.definition)?;
    let mut bytes = 0;
    for row in rows.iter()? {
        let (key, value) = row?;
        bytes += (key.value().len() + value.value().len()) as u64;
    }
    Ok(bytes)
}

/// Records files that are safely in their folder.
pub(crate) fn record_blobs(
    handle: &Handle,
    notebook: Notebook,
    blobs: &[(crate::BlobHash, BlobRow)],
) -> Result<Notebook, Trouble> {
    write(handle, notebook, |transaction, notebook| put_blobs(transaction, notebook, blobs))
}

fn put_blobs(
    transaction: &WriteTransaction,
    notebook: &mut Notebook,
    blobs: &[(crate::BlobHash, BlobRow)],
) -> Result<(), Trouble> {
    let mut rows = Sealed::open(transaction, BLOB)?;
    blobs.iter().try_for_each(|(hash, row)| rows.put(notebook, hash.as_bytes(), &row.encode()))
}

/// Takes files off the record.
pub(crate) fn forget_blobs(
    handle: &Handle,
    notebook: Notebook,
    blobs: &[crate::BlobHash],
) -> Result<Notebook, Trouble> {
    write(handle, notebook, |transaction, notebook| {
        let mut rows = Sealed::open(transaction, BLOB)?;
        blobs.iter().try_for_each(|hash| rows.delete(notebook, hash.as_bytes()))
    })
}

/// One transaction that ends with the notebook's row.
pub(crate) fn write(
    handle: &Handle,
    mut notebook: Notebook,
    work: impl FnOnce(&WriteTransaction, &mut Notebook) -> Result<(), Trouble>,
) -> Result<Notebook, Trouble> {
    let mut transaction = handle.begin_write()?;
    transaction.set_durability(Durability::Immediate).map_err(redb::Error::from)?;
    work(&transaction, &mut notebook)?;
    {
        // Not counted among the content that it counts.
        let stored = frame::seal(META.name, NOTEBOOK_KEY, &notebook.encode());
        let mut meta = transaction.open_table(META.definition)?;
        meta.insert(NOTEBOOK_KEY, stored.as_slice())?;
    }
    transaction.commit()?;
    Ok(notebook)
}

fn write_documents(
    transaction: &WriteTransaction,
    notebook: &mut Notebook,
    batch: &Batch,
) -> Result<(), Trouble> {
    let mut tables = DocumentTables {
        documents: Sealed::open(transaction, DOCUMENT)?,
        tail: Sealed::open(transaction, TAIL)?,
        changed: Sealed::open(transaction, CHANGED)?,
    };
    batch.documents.iter().try_for_each(|(name, write)| {
        // Seldom written, and a table that is open costs at every commit.
        if write.snapshot.is_some() {
            let snapshots = Sealed::open(transaction, SNAPSHOT)?;
            let loose = Sealed::open(transaction, LOOSE)?;
            tables.write(notebook, *name, write, Some((snapshots, loose)))
        } else {
            tables.write(notebook, *name, write, None)
        }
    })
}

struct DocumentTables<'txn> {
    documents: Sealed<'txn>,
    tail: Sealed<'txn>,
    changed: Sealed<'txn>,
}

impl DocumentTables<'_> {
    fn write(
        &mut self,
        notebook: &mut Notebook,
        name: DocumentName,
        write: &DocumentWrite,
        whole: Option<(Sealed<'_>, Sealed<'_>)>,
    ) -> Result<(), Trouble> {
        let key = name.to_key();
        let damaged = |fault| StoreError::DamagedDocument { document: name, fault };
        let mut row = match self.documents.get(&key)? {
            None => {
                notebook.count(name);
                DocumentRow::default()
            }
            Some(stored) => {
                let payload = stored.map_err(|_| damaged(Fault::Checksum))?;
                DocumentRow::decode(&payload).ok_or_else(|| damaged(Fault::Checksum))?
            }
        };
        for change in &write.changes {
            let tail_key = table::tail_key(name, &change.actor, change.sequence);
            match self.tail.get(&tail_key)? {
                None => {
                    let stamped = table::stamped(notebook.sequence, &change.bytes);
                    self.tail.put(notebook, &tail_key, &stamped)?;
                    row.count(&tail_key, &stamped);
                }
                Some(Err(_)) => return Err(damaged(Fault::Checksum).into()),
                Some(Ok(stored)) => {
                    let stored = table::split_stamped(&stored).map(|(_, bytes)| bytes);
                    if stored != Some(change.bytes.as_slice()) {
                        let sequence = change.sequence;
                        return Err(StoreError::SequenceTaken { document: name, sequence }.into());
                    }
                }
            }
        }
        if let (Some(snapshot), Some((mut snapshots, mut loose))) = (&write.snapshot, whole) {
            self.tail.delete_prefix(notebook, &key)?;
            loose.delete_prefix(notebook, &key)?;
            let stamped = table::stamped(notebook.sequence, snapshot);
            snapshots.put(notebook, &key, &stamped)?;
            row = DocumentRow {
                snapshot_bytes: snapshot.len() as u64,
                snapshot_at: notebook.sequence,
                snapshot_check: table::snapshot_digest(&key, &stamped),
                changed: row.changed,
                ..DocumentRow::default()
            };
        }
        self.changed.delete(notebook, &table::changed_key(row.changed, name))?;
        row.changed = notebook.sequence;
        self.changed.put(notebook, &table::changed_key(row.changed, name), &[])?;
        row.heads.clone_from(&write.heads);
        self.documents.put(notebook, &key, &row.encode())
    }
}

impl Notebook {
    /// The number of the last commit.
    pub(crate) const fn last(&self) -> StoreSequence {
        StoreSequence(self.sequence)
    }
}

/// Makes every table, so that a reader finds them all.
pub(crate) fn make_tables(transaction: &WriteTransaction) -> Result<(), Trouble> {
    for table in table::ALL {
        let made = transaction.open_table(table.definition)?;
        debug_assert_eq!(made.name(), table.name, "a table is made under its own name");
    }
    Ok(())
}
