//! A sheet as it stands in the file: text, kind and place of every cell, before any meaning.

use std::collections::HashMap;

use swardbook_units::NaiveDate;

/// What a cell holds besides its text.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CellKind {
    /// Text as typed; whether it is a number is for the reader to decide.
    Text,
    /// A number stored as a number, so its decimal mark is not in question.
    Number(f64),
    /// A calendar day stored as one.
    Date(NaiveDate),
    /// A spreadsheet error such as `#N/A`.
    Error,
    /// A formula whose result was never stored.
    FormulaWithoutResult,
}

/// Cells drawn as one; rows and columns are counted from zero, both ends included.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Merged {
    /// First row.
    pub top: usize,
    /// First column.
    pub left: usize,
    /// Last row.
    pub bottom: usize,
    /// Last column.
    pub right: usize,
}

/// One sheet of a workbook, or the whole of a text file.
///
/// The text of all cells lies in one buffer: a file of a hundred thousand cells costs three
/// allocations and not a hundred thousand.
#[derive(Debug, Clone, Default)]
pub struct Grid {
    name: Option<String>,
    text: String,
    /// Where each cell's text lies in `text`, row after row.
    cells: Vec<(u32, u32)>,
    /// First entry of each row in `cells`; one more entry than there are rows.
    rows: Vec<u32>,
    /// Kinds that are not plain text.
    kinds: HashMap<(u32, u32), CellKind>,
    merged: Vec<Merged>,
    formulas: usize,
    is_hidden: bool,
    /// No cell holds a comma.
    is_comma_free: bool,
    width: usize,
}

impl Grid {
    /// An empty grid; a text file has no name.
    pub(super) fn new(name: Option<String>) -> Self {
        Self { name, rows: vec![0], ..Self::default() }
    }

    /// The sheet's name; none for a text file.
    #[must_use]
    pub fn name(&self) -> Option<&str> {
        self.name.as_deref()
    }

    /// Rows down to the last one with a cell.
    #[must_use]
    pub fn height(&self) -> usize {
        self.rows.len() - 1
    }

    /// Columns of the widest row.
    #[must_use]
    pub const fn width(&self) -> usize {
        self.width
    }

    /// Text of a cell without surrounding white space; empty where there is no cell.
    #[must_use]
    #[inline]
    pub fn text(&self, row: usize, column: usize) -> &str {
        let Some(bounds) = self.rows.get(row..row + 2) else { return "" };
        let at = bounds[0] as usize + column;
        if at >= bounds[1] as usize {
            return "";
        }
        let (start, end) = self.cells[at];
        &self.text[start as usize..end as usize]
    }

    /// Kind of a cell.
    #[must_use]
    #[inline]
    pub fn kind(&self, row: usize, column: usize) -> CellKind {
        if self.kinds.is_empty() {
            return CellKind::Text;
        }
        let key = (narrow(row), narrow(column));
        self.kinds.get(&key).copied().unwrap_or(CellKind::Text)
    }

    /// Whether a cell says anything.
    #[must_use]
    pub fn is_filled(&self, row: usize, column: usize) -> bool {
        !self.text(row, column).is_empty()
    }

    /// Number of cells that say anything.
    #[must_use]
    pub fn filled(&self) -> usize {
        (0..self.height())
            .map(|row| (0..self.row_width(row)).filter(|&c| self.is_filled(row, c)).count())
            .sum()
    }

    /// Ranges of merged cells.
    #[must_use]
    pub fn merged(&self) -> &[Merged] {
        &self.merged
    }

    /// Number of cells that are formulas with a stored result.
    #[must_use]
    pub const fn formulas(&self) -> usize {
        self.formulas
    }

    /// Whether a spreadsheet program does not show the sheet.
    #[must_use]
    pub const fn is_hidden(&self) -> bool {
        self.is_hidden
    }

    /// Says that the sheet is not shown.
    pub(super) fn hide(&mut self) {
        self.is_hidden = true;
    }

    /// Whether every cell is text that stands for itself: no kinds, nothing merged.
    pub(super) fn is_plain(&self) -> bool {
        self.kinds.is_empty() && self.merged.is_empty()
    }

    /// Whether it is known that no cell holds a comma.
    pub(super) const fn is_comma_free(&self) -> bool {
        self.is_comma_free
    }

    /// Says that no cell holds a comma.
    pub(super) fn is_without_commas(&mut self) {
        self.is_comma_free = true;
    }

    /// Whether each cell of a row says anything.
    pub(super) fn filled_in_row(&self, row: usize) -> impl Iterator<Item = bool> + '_ {
        let bounds = self.rows.get(row..row + 2).map_or(0..0, |b| b[0] as usize..b[1] as usize);
        self.cells[bounds].iter().map(|(start, end)| start != end)
    }

    /// Number of cells in one row, empty ones between included.
    pub(super) fn row_width(&self, row: usize) -> usize {
        self.rows.get(row..row + 2).map_or(0, |bounds| (bounds[1] - bounds[0]) as usize)
    }

    /// Adds a cell to the row being built.
    pub(super) fn push_cell(&mut self, text: &str, kind: CellKind) {
        if kind != CellKind::Text {
            let row = narrow(self.height());
            let column = narrow(self.cells.len()) - self.rows[self.rows.len() - 1];
            self.kinds.insert((row, column), kind);
        }
        let start = self.text.len();
        self.text.push_str(trim(text));
        self.cells.push((narrow(start), narrow(self.text.len())));
    }

    /// Adds a whole row whose cells lie end to end in `text`.
    pub(super) fn push_row(&mut self, text: &str, ends: impl Iterator<Item = usize>) {
        let base = self.text.len();
        self.text.push_str(text);
        let mut start = 0;
        self.cells.extend(ends.map(|end| {
            let cell = &text[start..end];
            let trimmed = trim(cell);
            let before = trimmed.as_ptr() as usize - cell.as_ptr() as usize;
            let at = base + start + before;
            start = end;
            (narrow(at), narrow(at + trimmed.len()))
        }));
        self.end_row();
    }

    /// Takes a whole text whose cells are then given by [`Self::push_range`].
    pub(super) fn take_text(&mut self, text: &str) {
        self.text.push_str(text);
        // A cell of a panel has about six bytes.
        self.cells.reserve(text.len() / 6);
    }

    /// Adds a cell that lies in the text taken to the row being built.
    #[inline]
    pub(super) fn push_range(&mut self, start: usize, end: usize) {
        let cell = &self.text[start..end];
        let trimmed = trim(cell);
        let at = start + (trimmed.as_ptr() as usize - cell.as_ptr() as usize);
        self.cells.push((narrow(at), narrow(at + trimmed.len())));
    }

    /// Number of cells in the row being built.
    pub(super) fn open_cells(&self) -> usize {
        self.cells.len() - self.rows[self.rows.len() - 1] as usize
    }

    /// Closes the row being built.
    pub(super) fn end_row(&mut self) {
        let started = self.rows[self.rows.len() - 1] as usize;
        self.width = self.width.max(self.cells.len() - started);
        self.rows.push(narrow(self.cells.len()));
    }

    /// Number of cells so far, empty ones between included.
    pub(super) fn cells(&self) -> usize {
        self.cells.len()
    }

    /// Notes a range of merged cells.
    pub(super) fn push_merged(&mut self, range: Merged) {
        self.merged.push(range);
    }

    /// Counts one formula with a stored result.
    pub(super) fn count_formula(&mut self) {
        self.formulas += 1;
    }

    /// The top left cell of the merged range that a cell lies in, if it is not that cell itself.
    pub(super) fn merged_into(&self, row: usize, column: usize) -> Option<(usize, usize)> {
        self.merged
            .iter()
            .find(|m| (m.top..=m.bottom).contains(&row) && (m.left..=m.right).contains(&column))
            .map(|m| (m.top, m.left))
            .filter(|&corner| corner != (row, column))
    }
}

/// Spaces as spreadsheets and laboratories leave them around a cell, no-break spaces included.
#[inline]
fn trim(text: &str) -> &str {
    let bytes = text.as_bytes();
    let plain = |b: Option<&u8>| b.is_some_and(|b| b.is_ascii_graphic());
    if bytes.is_empty() || (plain(bytes.first()) && plain(bytes.last())) {
        return text;
    }
    text.trim_matches(|c: char| c.is_whitespace() || matches!(c, '\u{feff}' | '\u{200b}'))
}

/// The limits on a file's size keep every place in it far below this.
fn narrow(place: usize) -> u32 {
    u32::try_from(place).expect("a panel file holds fewer than four thousand million bytes")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_are_found_by_row_and_column() {
        let mut grid = Grid::new(None);
        grid.push_row("abc", [1, 1, 3].into_iter());
        grid.end_row();
        grid.push_cell(" x\u{a0}", CellKind::Text);
        grid.push_cell("5.5", CellKind::Number(5.5));
        grid.end_row();
        assert_eq!((grid.height(), grid.width(), grid.filled()), (3, 3, 4), "shape");
        assert_eq!(grid.text(0, 0), "a", "first cell");
        assert_eq!(grid.text(0, 1), "", "an empty cell");
        assert_eq!(grid.text(0, 2), "bc", "last cell of a row");
        assert_eq!(grid.text(0, 3), "", "beyond the row is not the next row");
        assert_eq!(grid.text(2, 0), "x", "white space around a cell is not its text");
        assert_eq!(grid.kind(2, 1), CellKind::Number(5.5), "kinds belong to their cell");
        assert_eq!(grid.text(9, 9), "", "beyond the sheet");
    }
}
