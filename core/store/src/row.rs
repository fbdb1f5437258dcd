//! Reading the rows of lists: the index and the values of this device.

use crate::{
    Row, StoreError,
    batch::{Span, prefixed},
    document::Reading,
    frame,
    handle::Trouble,
    table::{LOCAL, Table},
};

/// What an altered row of a table means.
pub(crate) fn altered(table: Table) -> StoreError {
    if table.name == LOCAL.name {
        StoreError::DamagedValue { what: "a value of this device" }
    } else {
        StoreError::DamagedIndex
    }
}

impl Reading<'_> {
    /// One value of a list.
    pub(crate) fn value(
        &self,
        table: Table,
        list: u8,
        key: &[u8],
    ) -> Result<Option<Vec<u8>>, Trouble> {
        self.get(table, &prefixed(list, key), || altered(table))
    }

    /// The rows of a list within a span.
    pub(crate) fn span(&self, table: Table, list: u8, span: &Span) -> Result<Vec<Row>, Trouble> {
        let (from, until) = span.keys(list);
        if until.as_ref().is_some_and(|until| *until <= from) {
            return Ok(Vec::new());
        }
        let rows = self.rows(table)?;
        let range = match &until {
            Some(until) => rows.range(from.as_slice()..until.as_slice())?,
            None => rows.range(from.as_slice()..)?,
        };
        let take = |row: Result<_, redb::StorageError>| {
            let (key, stored): (redb::AccessGuard<'_, &[u8]>, redb::AccessGuard<'_, &[u8]>) = row?;
            let key = key.value();
            let value = frame::open(table.name, key, stored.value()).map_err(|_| altered(table))?;
            let key = key.split_first().map_or(&[][..], |(_, key)| key);
            Ok(Row { key: key.to_vec(), value: value.to_vec() })
        };
        if span.is_backwards() {
            range.rev().take(span.limit()).map(take).collect()
        } else {
            range.take(span.limit()).map(take).collect()
        }
    }
}
