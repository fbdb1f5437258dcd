//! Why a whole file or pasted text cannot be read, each with what to do about it.

/// A refusal to read; cells that cannot be read one by one are [`Unread`](super::Unread) instead.
#[derive(Debug, thiserror::Error)]
pub enum PanelFileError {
    /// The file could not be opened or read to its end.
    #[error("{file}: could not be read ({cause}); check that it still exists and may be opened")]
    Unreadable {
        /// The file's name.
        file: String,
        /// What the system said.
        cause: std::io::Error,
    },
    /// Nothing in it.
    #[error("{file}: the file is empty; ask the laboratory to send it again")]
    Empty {
        /// The file's name.
        file: String,
    },
    /// Larger than a panel file can be.
    #[error(
        "{file}: {megabytes} MB is more than the {limit} MB a panel file may have; \
         export only the samples wanted, or split the file"
    )]
    TooLarge {
        /// The file's name.
        file: String,
        /// Its size, in millions of bytes, rounded up.
        megabytes: u64,
        /// The most that is read, in the same unit.
        limit: u64,
    },
    /// More rows, columns or cells than are read.
    #[error("{file}, {sheet}: more than {limit} {what}; split the file and import the parts")]
    TooMany {
        /// The file's name.
        file: String,
        /// The sheet, or "the table" in a text file.
        sheet: String,
        /// Rows, columns or cells.
        what: &'static str,
        /// The most that is read.
        limit: usize,
    },
    /// The bytes are not a table of text.
    #[error("{file}: this looks like {looks_like}, not a table; {remedy}")]
    NotATable {
        /// The file's name.
        file: String,
        /// What the first bytes are known to begin.
        looks_like: &'static str,
        /// What to do.
        remedy: &'static str,
    },
    /// A workbook that needs a password.
    #[error("{file}: the workbook is protected by a password; save a copy without one")]
    Protected {
        /// The file's name.
        file: String,
    },
    /// A workbook that breaks off or contradicts itself.
    #[error(
        "{file}: the workbook is damaged ({cause}); open it in a spreadsheet program, save it as \
         XLSX and import that, or ask the laboratory for CSV"
    )]
    DamagedWorkbook {
        /// The file's name.
        file: String,
        /// What the decoder met.
        cause: String,
    },
    /// A quotation mark that swallows the rest of the file.
    #[error(
        "{file}, row {row}: a quotation mark opens a cell that never closes; remove the mark or \
         close it, then import again"
    )]
    OpenQuote {
        /// The file's name.
        file: String,
        /// The row, counted from one.
        row: usize,
    },
    /// Readable cells, but no heading or value anywhere that says it is a panel.
    #[error(
        "{file}: no table of readings was found; it needs a row or a column of analyte names (such \
         as pH or P) beside numbers"
    )]
    NoTable {
        /// The file's name, or "the pasted text".
        file: String,
    },
}
