//! Reading documents, whole and checked.

use redb::{ReadTransaction, ReadableTable as _};

use crate::{
    ActorBytes, DocumentName, Fault, StoreError, StoreSequence, frame,
    handle::Trouble,
    table::{
        self, CHANGED, DOCUMENT, DocumentRow, LOOSE, META, NOTEBOOK_KEY, Notebook, SNAPSHOT, TAIL,
        Table,
    },
};

/// A document's stored bytes.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct StoredDocument {
    /// Its saved state, if it has been saved.
    pub snapshot: Option<Vec<u8>>,
    /// The changes since, actor by actor, each actor's in order.
    pub tail: Vec<Vec<u8>>,
    /// Changes that outlived damage; what they build on may be gone.
    ///
    /// Usually empty. Apply those that fit to the rest, then save the document's state, which
    /// drops them.
    pub loose: Vec<Vec<u8>>,
    /// What was said of its state at the last commit; empty after damage.
    pub heads: Vec<u8>,
}

/// A document as its rows hold it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Stored {
    pub(crate) row: DocumentRow,
    /// The saved state, stamped.
    pub(crate) snapshot: Option<Vec<u8>>,
    /// Keys and stamped changes, in the order of their keys.
    pub(crate) tail: Vec<(Vec<u8>, Vec<u8>)>,
    pub(crate) loose: Vec<Vec<u8>>,
}

/// A document as the list of documents has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DocumentHead {
    /// Its name.
    pub name: DocumentName,
    /// What was said of its state at the last commit.
    pub heads: Vec<u8>,
    /// The commit that last changed it.
    pub changed: StoreSequence,
}

/// A tail is long when it has more changes than this.
const TAIL_CHANGES: u64 = 200;
/// A tail shorter than this in bytes never counts as longer than the saved state.
const TAIL_BYTES: u64 = 16 << 10;

/// Reads inside one transaction, so that what they say belongs together.
pub(crate) struct Reading<'a> {
    transaction: &'a ReadTransaction,
}

type Rows = redb::ReadOnlyTable<&'static [u8], &'static [u8]>;

impl<'a> Reading<'a> {
    pub(crate) const fn new(transaction: &'a ReadTransaction) -> Self {
        Self { transaction }
    }

    pub(crate) fn rows(&self, table: Table) -> Result<Rows, Trouble> {
        Ok(self.transaction.open_table(table.definition)?)
    }

    /// The sealed value under a key, or what `altered` says when it is not the one written.
    pub(crate) fn get(
        &self,
        table: Table,
        key: &[u8],
        altered: impl FnOnce() -> StoreError,
    ) -> Result<Option<Vec<u8>>, Trouble> {
        let Some(stored) = self.rows(table)?.get(key)? else { return Ok(None) };
        match frame::open(table.name, key, stored.value()) {
            Ok(payload) => Ok(Some(payload.to_vec())),
            Err(frame::Altered) => Err(altered().into()),
        }
    }

    pub(crate) fn notebook(&self) -> Result<Notebook, Trouble> {
        let damaged = || StoreError::DamagedValue { what: "the notebook's own entry" };
        let row = self.get(META, NOTEBOOK_KEY, damaged)?;
        Ok(row.as_deref().and_then(Notebook::decode).ok_or_else(damaged)?)
    }

    pub(crate) fn row(&self, name: DocumentName) -> Result<Option<DocumentRow>, Trouble> {
        let damaged = || StoreError::DamagedDocument { document: name, fault: Fault::Checksum };
        let Some(row) = self.get(DOCUMENT, &name.to_key(), damaged)? else {
            // A row that was lost must not look like a document that never was.
            self.documents()?;
            return Ok(None);
        };
        Ok(Some(DocumentRow::decode(&row).ok_or_else(damaged)?))
    }

    pub(crate) fn document(&self, name: DocumentName) -> Result<Option<StoredDocument>, Trouble> {
        let Some(stored) = self.stored(name)? else { return Ok(None) };
        let altered = || StoreError::DamagedDocument { document: name, fault: Fault::Checksum };
        let plain = |bytes: Vec<u8>| {
            table::split_stamped(&bytes).map(|(_, bytes)| bytes.to_vec()).ok_or_else(altered)
        };
        Ok(Some(StoredDocument {
            snapshot: stored.snapshot.map(plain).transpose()?,
            tail: stored
                .tail
                .into_iter()
                .map(|(_, change)| plain(change))
                .collect::<Result<_, _>>()?,
            loose: stored.loose,
            heads: stored.row.heads,
        }))
    }

    /// A document as its rows hold it, checked.
    pub(crate) fn stored(&self, name: DocumentName) -> Result<Option<Stored>, Trouble> {
        let Some(row) = self.row(name)? else { return Ok(None) };
        let key = name.to_key();
        let damaged = |fault| StoreError::DamagedDocument { document: name, fault };
        let altered = || damaged(Fault::Checksum);

        let snapshot = if row.has_snapshot() {
            let stamped = self
                .get(SNAPSHOT, &key, altered)?
                .ok_or_else(|| damaged(Fault::SnapshotMissing))?;
            if table::snapshot_digest(&key, &stamped) != row.snapshot_check {
                return Err(altered().into());
            }
            Some(stamped)
        } else {
            None
        };
        let mut seen = DocumentRow::default();
        let mut tail = Vec::new();
        self.each(TAIL, &key, altered, |key, stamped| {
            seen.count(key, stamped);
            tail.push((key.to_vec(), stamped.to_vec()));
        })?;
        if (seen.tail_count, seen.tail_sum) != (row.tail_count, row.tail_sum) {
            return Err(damaged(Fault::ChangesMissing).into());
        }
        let mut loose = Vec::new();
        self.each(LOOSE, &key, altered, |_, change| loose.push(change.to_vec()))?;
        if loose.len() as u64 != u64::from(row.loose_count) {
            return Err(damaged(Fault::ChangesMissing).into());
        }
        Ok(Some(Stored { row, snapshot, tail, loose }))
    }

    /// Every document, counted against what the notebook's row says.
    pub(crate) fn documents(&self) -> Result<Vec<DocumentHead>, Trouble> {
        let notebook = self.notebook()?;
        let lost = || StoreError::DamagedValue { what: "the list of documents" };
        let mut counted = Notebook::default();
        let mut heads = Vec::new();
        for row in self.rows(DOCUMENT)?.iter()? {
            let (key, stored) = row?;
            let name = DocumentName::from_key(key.value()).ok_or_else(lost)?;
            counted.count(name);
            let row = frame::open(DOCUMENT.name, key.value(), stored.value())
                .ok()
                .and_then(DocumentRow::decode)
                .ok_or(StoreError::DamagedDocument { document: name, fault: Fault::Checksum })?;
            let changed = StoreSequence(row.changed);
            heads.push(DocumentHead { name, heads: row.heads, changed });
        }
        if (counted.documents, counted.names) != (notebook.documents, notebook.names) {
            return Err(lost().into());
        }
        Ok(heads)
    }

    /// Documents changed after a commit, in the order of their last change.
    pub(crate) fn changed_after(
        &self,
        after: StoreSequence,
    ) -> Result<Vec<(StoreSequence, DocumentName)>, Trouble> {
        let lost = || StoreError::DamagedValue { what: "the list of changed documents" };
        let from = after.0.saturating_add(1).to_be_bytes();
        let mut changed = Vec::new();
        for row in self.rows(CHANGED)?.range(from.as_slice()..)? {
            let (key, stored) = row?;
            let key = key.value();
            frame::open(CHANGED.name, key, stored.value()).map_err(|_| lost())?;
            let mut fields = table::Fields(key);
            let sequence = fields.take().map(u64::from_be_bytes).ok_or_else(lost)?;
            let name = DocumentName::from_key(fields.0).ok_or_else(lost)?;
            changed.push((StoreSequence(sequence), name));
        }
        Ok(changed)
    }

    /// The changes of one actor after a number, as far as the tail still has them one by one.
    pub(crate) fn changes_after(
        &self,
        document: DocumentName,
        actor: &ActorBytes,
        after: u64,
    ) -> Result<Vec<Vec<u8>>, Trouble> {
        let altered = || StoreError::DamagedDocument { document, fault: Fault::Checksum };
        let from = table::tail_key(document, actor, after.saturating_add(1));
        let until = table::tail_key(document, actor, u64::MAX);
        let mut changes = Vec::new();
        for row in self.rows(TAIL)?.range(from.as_slice()..=until.as_slice())? {
            let (key, stored) = row?;
            let (_, change) = frame::open(TAIL.name, key.value(), stored.value())
                .ok()
                .and_then(table::split_stamped)
                .ok_or_else(altered)?;
            changes.push(change.to_vec());
        }
        Ok(changes)
    }

    pub(crate) fn needs_snapshot(&self, name: DocumentName) -> Result<bool, Trouble> {
        let Some(row) = self.row(name)? else { return Ok(false) };
        Ok(row.tail_count > TAIL_CHANGES
            || row.tail_bytes > row.snapshot_bytes.max(TAIL_BYTES)
            || row.loose_count > 0)
    }

    fn each(
        &self,
        table: Table,
        prefix: &[u8],
        altered: impl Fn() -> StoreError,
        mut take: impl FnMut(&[u8], &[u8]),
    ) -> Result<(), Trouble> {
        let rows = self.rows(table)?;
        let end = table::after_prefix(prefix);
        let range = match &end {
            Some(end) => rows.range(prefix..end.as_slice())?,
            None => rows.range(prefix..)?,
        };
        for row in range {
            let (key, stored) = row?;
            let payload = frame::open(table.name, key.value(), stored.value());
            take(key.value(), payload.map_err(|_| altered())?);
        }
        Ok(())
    }
}
