//! A sheet seen so that samples run down and analytes run across, whichever way it lies.

use super::grid::{CellKind, Grid};

/// A grid, or the same grid turned over its diagonal.
#[derive(Debug, Clone, Copy)]
pub(super) struct View<'a> {
    pub(super) grid: &'a Grid,
    pub(super) is_turned: bool,
}

impl<'a> View<'a> {
    /// Lines down the view: rows of the grid, or its columns when turned.
    pub(super) fn height(self) -> usize {
        if self.is_turned { self.grid.width() } else { self.grid.height() }
    }

    /// Cells across the view.
    pub(super) fn width(self) -> usize {
        if self.is_turned { self.grid.height() } else { self.grid.width() }
    }

    /// Text of a cell.
    #[inline]
    pub(super) fn text(self, line: usize, across: usize) -> &'a str {
        let (row, column) = self.cell(line, across);
        self.grid.text(row, column)
    }

    /// Kind of a cell.
    #[inline]
    pub(super) fn kind(self, line: usize, across: usize) -> CellKind {
        let (row, column) = self.cell(line, across);
        self.grid.kind(row, column)
    }

    /// Row and column of the grid.
    #[inline]
    pub(super) const fn cell(self, line: usize, across: usize) -> (usize, usize) {
        if self.is_turned { (across, line) } else { (line, across) }
    }

    /// Text of a cell, or of the merged cell that covers it.
    #[inline]
    pub(super) fn text_through_merges(self, line: usize, across: usize) -> &'a str {
        let text = self.text(line, across);
        if !text.is_empty() || self.grid.merged().is_empty() {
            return text;
        }
        let (row, column) = self.cell(line, across);
        match self.grid.merged_into(row, column) {
            Some((row, column)) => self.grid.text(row, column),
            None => "",
        }
    }

    /// Number of lines and of cells across that the merged cell starting here covers.
    pub(super) fn merged_size(self, line: usize, across: usize) -> (usize, usize) {
        let (row, column) = self.cell(line, across);
        let found = self.grid.merged().iter().find(|m| (m.top, m.left) == (row, column));
        let (rows, columns) =
            found.map_or((1, 1), |m| (m.bottom - m.top + 1, m.right - m.left + 1));
        if self.is_turned { (columns, rows) } else { (rows, columns) }
    }
}
