//! The database by itself, for benches to stand beside.

use std::path::Path;

use redb::{Builder, ConcurrencyMode, Database, Durability, TableDefinition};

const ROWS: TableDefinition<'static, u64, &'static [u8]> = TableDefinition::new("rows");

/// Who may open the file beside the writer.
///
/// Letting other processes read makes each commit sync the disk twice instead of once.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Beside {
    /// Other processes read, as beside an open notebook.
    Readers,
    /// Nobody.
    Nobody,
}

/// One table of numbered rows in a file of its own, without anything of ours around it.
#[derive(Debug)]
pub struct BareTable {
    database: Database,
    next: u64,
}

impl BareTable {
    /// Makes one in a file.
    ///
    /// # Errors
    /// What the database says.
    pub fn create(file: &Path, beside: Beside) -> Result<Self, redb::Error> {
        let database = Builder::new()
            .set_concurrency_mode(match beside {
                Beside::Readers => ConcurrencyMode::SingleWriter,
                Beside::Nobody => ConcurrencyMode::ExclusiveWriter,
            })
            .create(file)?;
        Ok(Self { database, next: 0 })
    }

    /// Adds rows of these lengths in one commit that is safe on the disk when this returns.
    ///
    /// # Errors
    /// What the database says.
    pub fn commit(&mut self, lengths: &[usize]) -> Result<(), redb::Error> {
        let mut transaction = self.database.begin_write()?;
        transaction.set_durability(Durability::Immediate)?;
        {
            let mut table = transaction.open_table(ROWS)?;
            for &length in lengths {
                table.insert(self.next, vec![7; length].as_slice())?;
                self.next += 1;
            }
        }
        transaction.commit()?;
        Ok(())
    }
}
