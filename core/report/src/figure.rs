//! What a figure is: a drawing, what it says, and the same in a table.

/// A drawn figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// The drawing: one `<svg>` element, ready to be put into a page or a file.
    pub svg: String,
    /// The figure's name, in a few words.
    pub title: String,
    /// What the figure shows, in sentences; the same text is the drawing's `<desc>`.
    pub description: String,
    /// Every row that was given, in words.
    pub table: DataTable,
    /// Width of the drawing, in px.
    pub width: f64,
    /// Height of the drawing, in px.
    pub height: f64,
    /// Where each text and each mark lies, in px from the top left corner.
    pub boxes: Vec<PlacedBox>,
}

/// The figure's rows in plain words, for a table beside or instead of the drawing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DataTable {
    /// What the table holds.
    pub caption: String,
    /// One heading a column.
    pub headings: Vec<String>,
    /// The rows, each as long as `headings`.
    pub rows: Vec<Vec<String>>,
}

/// The place of one text or mark.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedBox {
    /// Number of the text or mark; a turned text lies in several boxes of one number.
    pub item: usize,
    /// Text or mark.
    pub kind: BoxKind,
    /// The text itself, or the kind of mark.
    pub what: String,
    /// Left edge.
    pub x: f64,
    /// Upper edge.
    pub y: f64,
    /// Width; for a text, as estimated from the font's advance widths.
    pub width: f64,
    /// Height.
    pub height: f64,
}

impl PlacedBox {
    /// Whether boxes of two items share more than a hair's breadth of area.
    #[must_use]
    pub fn overlaps(&self, other: &Self) -> bool {
        const HAIR: f64 = 0.05;
        self.item != other.item
            && self.x + self.width > other.x + HAIR
            && other.x + other.width > self.x + HAIR
            && self.y + self.height > other.y + HAIR
            && other.y + other.height > self.y + HAIR
    }
}

/// Whether a box holds a text or a mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BoxKind {
    /// A text.
    Text,
    /// A mark that stands for a row.
    Mark,
    /// The ground a row covers, within which texts and marks may lie.
    Ground,
}

/// Why a figure cannot be drawn.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FigureError {
    /// A number of a row is not a number, or has no end.
    #[error("{row}: {field} is not a finite number")]
    NotFinite {
        /// The row's name.
        row: String,
        /// The field that holds the number.
        field: &'static str,
    },
    /// Two ends of a range are the wrong way round.
    #[error("{row}: {field} ends before it begins")]
    UpsideDown {
        /// The row's name.
        row: String,
        /// The field that holds the range.
        field: &'static str,
    },
    /// A number lies outside what it can be.
    #[error("{row}: {field} must be {must_be}")]
    OutOfRange {
        /// The row's name.
        row: String,
        /// The field that holds the number.
        field: &'static str,
        /// What it has to be.
        must_be: &'static str,
    },
    /// There is nothing to draw an axis or an outline from.
    #[error("{0} is missing")]
    Missing(&'static str),
}

/// Refuses a number that is not finite, naming the row and the field.
pub(crate) fn finite(value: f64, row: &str, field: &'static str) -> Result<f64, FigureError> {
    if value.is_finite() {
        Ok(value)
    } else {
        Err(FigureError::NotFinite { row: row.to_owned(), field })
    }
}
