//! The account of every cell: what it became, so that none can be dropped silently.

use super::{
    grid::Grid,
    outcome::{CellCount, Ignored, Place, Unread},
    reason::Reason,
};

/// What became of a cell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(u8)]
pub(super) enum Fate {
    Open,
    Heading,
    Attribute,
    Reading,
    Unread,
    Ignored,
}

/// The cells of one sheet.
#[derive(Debug)]
pub(super) struct Ledger {
    sheet: u16,
    width: usize,
    fates: Vec<Fate>,
    pub(super) unread: Vec<Unread>,
    pub(super) ignored: Vec<Ignored>,
}

impl Ledger {
    /// Every cell is open at first.
    pub(super) fn new(sheet: u16, grid: &Grid) -> Self {
        Self {
            sheet,
            width: grid.width(),
            fates: vec![Fate::Open; grid.width() * grid.height()],
            unread: Vec::new(),
            ignored: Vec::new(),
        }
    }

    /// The place of a cell given by row and column from zero.
    #[inline]
    pub(super) fn place(&self, cell: (usize, usize)) -> Place {
        Place::new(self.sheet, cell)
    }

    /// Settles a cell; a cell that is settled already keeps its fate.
    #[inline]
    pub(super) fn settle(&mut self, (row, column): (usize, usize), fate: Fate) -> bool {
        match self.fates.get_mut(row * self.width + column) {
            Some(open) if *open == Fate::Open => {
                *open = fate;
                true
            }
            _ => false,
        }
    }

    /// Lists a cell as unread; an empty one says nothing and is not listed.
    pub(super) fn refuse(&mut self, cell: (usize, usize), text: &str, reason: Reason) {
        if !text.is_empty() && self.settle(cell, Fate::Unread) {
            self.unread.push(Unread { place: self.place(cell), text: text.to_owned(), reason });
        }
    }

    /// Leaves a cell out by the rule that its heading or label names.
    pub(super) fn leave_out(&mut self, cell: (usize, usize), heading: &str) {
        if !self.settle(cell, Fate::Ignored) {
            return;
        }
        // The cells of one rule come in stretches; the last few entries hold theirs.
        match self.ignored.iter_mut().rev().take(64).find(|known| known.heading == heading) {
            Some(known) => known.cells += 1,
            None => {
                let place = self.place(cell);
                self.ignored.push(Ignored { heading: heading.to_owned(), place, cells: 1 });
            }
        }
    }

    /// Lists every cell that is still open and counts all.
    pub(super) fn close(&mut self, grid: &Grid, reason: Reason) -> CellCount {
        let mut count = CellCount::default();
        for row in 0..grid.height() {
            for (column, is_filled) in grid.filled_in_row(row).enumerate() {
                if !is_filled {
                    continue;
                }
                count.filled += 1;
                match self.fates[row * self.width + column] {
                    Fate::Heading => count.headings += 1,
                    Fate::Attribute => count.attributes += 1,
                    Fate::Reading => count.readings += 1,
                    Fate::Ignored => count.ignored += 1,
                    Fate::Unread => count.unread += 1,
                    Fate::Open => {
                        self.refuse((row, column), grid.text(row, column), reason);
                        count.unread += 1;
                    }
                }
            }
        }
        self.unread.sort_by_key(|unread| unread.place);
        count
    }
}
