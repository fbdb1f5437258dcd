//! From a file, bytes or pasted text to sheets of cells.

use std::{fs::File, io::Read, path::Path};

use super::{
    delimited::{Delimiter, read_delimited},
    encoding::{TextEncoding, decode_text},
    grid::Grid,
    limits,
    problem::PanelFileError,
    sniff::{Content, sniff},
    workbook::read_workbook,
};

/// How the cells were stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// A text file.
    Text {
        /// The encoding it was read in.
        encoding: TextEncoding,
        /// The mark between its cells.
        delimiter: Delimiter,
    },
    /// An XLSX workbook.
    Workbook,
}

/// Everything that stands in a file, before any meaning.
#[derive(Debug, Clone)]
pub struct Sheets {
    /// The file's name, or "the pasted text".
    pub file: String,
    /// How the cells were stored.
    pub form: Form,
    /// The sheets in their order; a text file has one without a name.
    pub grids: Vec<Grid>,
}

/// Opens a panel file.
///
/// # Errors
/// A file that is too large is refused by its length alone, before it is read.
pub fn open(path: &Path) -> Result<Sheets, PanelFileError> {
    let name = path
        .file_name()
        .map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned());
    let unreadable = |cause| PanelFileError::Unreadable { file: name.clone(), cause };
    let file = File::open(path).map_err(unreadable)?;
    let length = file.metadata().map_err(unreadable)?.len();
    decode(file, length, &name)
}

/// Reads a panel file of a known length from anywhere.
///
/// # Errors
/// [`PanelFileError`]; a reader that gives more than its stated length is cut off at the limit.
pub fn decode(reader: impl Read, length: u64, name: &str) -> Result<Sheets, PanelFileError> {
    limits::check_length(name, length)?;
    let mut bytes = Vec::with_capacity(usize::try_from(length).unwrap_or(0));
    reader
        .take(limits::MOST_BYTES + 1)
        .read_to_end(&mut bytes)
        .map_err(|cause| PanelFileError::Unreadable { file: name.to_owned(), cause })?;
    decode_bytes(&bytes, name)
}

/// Reads a panel file that is in memory.
///
/// # Errors
/// [`PanelFileError`].
pub fn decode_bytes(bytes: &[u8], name: &str) -> Result<Sheets, PanelFileError> {
    limits::check_length(name, bytes.len() as u64)?;
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return Err(PanelFileError::Empty { file: name.to_owned() });
    }
    let refused = |looks_like, remedy| PanelFileError::NotATable {
        file: name.to_owned(),
        looks_like,
        remedy,
    };
    let named_workbook = extension(name) == "xlsx" || extension(name) == "xlsm";
    match sniff(bytes) {
        Content::Xlsx if !named_workbook => Err(refused(
            "an XLSX workbook under another name",
            "give it back the ending .xlsx and import it again",
        )),
        Content::Xlsx => Ok(Sheets {
            file: name.to_owned(),
            form: Form::Workbook,
            grids: read_workbook(name, bytes)?,
        }),
        Content::Text if named_workbook => Err(refused(
            "text under the name of a workbook",
            "give it the ending .csv and import it again",
        )),
        Content::Text => {
            let (text, encoding) = decode_text(bytes);
            let (grid, delimiter) = read_delimited(name, &text)?;
            let form = Form::Text { encoding, delimiter };
            Ok(Sheets { file: name.to_owned(), form, grids: vec![grid] })
        }
        Content::Protected => Err(PanelFileError::Protected { file: name.to_owned() }),
        Content::Other { looks_like, remedy } => Err(refused(looks_like, remedy)),
    }
}

fn extension(name: &str) -> String {
    name.rsplit_once('.').map_or_else(String::new, |(_, end)| end.to_ascii_lowercase())
}
