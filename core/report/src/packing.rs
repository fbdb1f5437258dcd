//! Puts marks and their labels into rows so that none touches another.
//!
//! First every mark gets its own label; where that does not go, neighbours are drawn as one mark
//! with a count, in wider and wider groups; at last only the counts are left, and those always fit.
//! The cost grows with the number of marks alone.

use crate::text::{self, Font};

/// A mark on its way to a place; marks come sorted by `x`.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Item {
    /// Middle of the mark.
    pub(crate) x: f64,
    /// Words beside it, or nothing.
    pub(crate) label: String,
}

/// One mark as it is to be drawn.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Packed {
    /// The items it stands for.
    pub(crate) items: std::ops::Range<usize>,
    /// Middle of the mark.
    pub(crate) x: f64,
    /// Row from the top.
    pub(crate) row: usize,
    /// Words beside it, or nothing.
    pub(crate) label: String,
    /// On which side the words stand.
    pub(crate) side: Side,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Side {
    Right,
    Left,
}

/// The room marks are put into.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Shelf<'a> {
    pub(crate) from: f64,
    pub(crate) to: f64,
    /// Half the width of a mark.
    pub(crate) half: f64,
    pub(crate) rows: usize,
    pub(crate) font: Font,
    /// Upright lines that words had better not cross.
    pub(crate) fences: &'a [f64],
}

impl Shelf<'_> {
    /// The side for a label and the ends of the mark with it, or nothing when neither side has room.
    fn place(&self, x: f64, label: &str) -> Option<(Side, f64, f64)> {
        let room = label_room(label, self.font);
        let right = (Side::Right, x - self.half, x + self.half + room);
        let left = (Side::Left, x - self.half - room, x + self.half);
        let goes = |(_, from, to): &(Side, f64, f64)| {
            *from >= self.from - self.half && (*to <= self.to || room == 0.0)
        };
        let is_clear = |(side, from, to): &(Side, f64, f64)| {
            let (from, to) = match side {
                Side::Right => (x + self.half, *to),
                Side::Left => (*from, x - self.half),
            };
            !self.fences.iter().any(|fence| (from..to).contains(fence))
        };
        let sides = [right, left];
        sides
            .iter()
            .find(|s| goes(s) && is_clear(s))
            .or_else(|| sides.iter().find(|s| goes(s)))
            .copied()
    }
}

/// Between a mark and its words.
pub(crate) const LABEL_GAP: f64 = 4.0;
/// Between the words of one mark and the next mark in its row.
const NEXT_GAP: f64 = 7.0;

/// Packs the items; the result is in their order and holds each item once.
pub(crate) fn pack(items: &[Item], shelf: Shelf<'_>) -> Vec<Packed> {
    let count_width = text::width("\u{d7}99999", shelf.font);
    let widest = 2.0 * shelf.half + LABEL_GAP + count_width + NEXT_GAP;
    for within in [0.0, 10.0, 24.0, 42.0] {
        let groups = group(items, within);
        if let Some(packed) = all_labelled(&groups, shelf) {
            return packed;
        }
    }
    some_labelled(&group(items, widest), shelf)
}

/// How many rows a packing uses.
pub(crate) fn rows_used(packed: &[Packed]) -> usize {
    packed.iter().map(|mark| mark.row + 1).max().unwrap_or(0)
}

/// Neighbours that begin within a distance of the first of them become one mark.
fn group(items: &[Item], within: f64) -> Vec<Packed> {
    let mut groups: Vec<Packed> = Vec::new();
    let mut first_x = f64::NEG_INFINITY;
    for (index, item) in items.iter().enumerate() {
        match groups.last_mut() {
            Some(last) if item.x - first_x < within => last.items.end = index + 1,
            _ => {
                first_x = item.x;
                groups.push(Packed {
                    items: index..index + 1,
                    x: item.x,
                    row: 0,
                    label: String::new(),
                    side: Side::Right,
                });
            }
        }
    }
    for group in &mut groups {
        let members = &items[group.items.clone()];
        group.label = match members {
            [only] => only.label.clone(),
            [first, rest @ ..] if rest.iter().all(|item| item.label == first.label) => {
                format!("{} {}", first.label, count(members.len())).trim_start().to_owned()
            }
            _ => count(members.len()),
        };
    }
    groups
}

fn count(members: usize) -> String {
    format!("\u{d7}{members}")
}

fn label_room(label: &str, font: Font) -> f64 {
    if label.is_empty() { 0.0 } else { LABEL_GAP + text::width(label, font) }
}

/// Every group with its label, or nothing.
fn all_labelled(groups: &[Packed], shelf: Shelf<'_>) -> Option<Vec<Packed>> {
    let mut row_ends = vec![f64::NEG_INFINITY; shelf.rows];
    let mut packed = Vec::with_capacity(groups.len());
    for group in groups {
        let (side, left, right) = shelf.place(group.x, &group.label)?;
        let row = row_ends.iter().position(|end| *end + NEXT_GAP <= left)?;
        row_ends[row] = right;
        packed.push(Packed { row, side, ..group.clone() });
    }
    Some(packed)
}

/// Every group, with its label where there is room, else with its count alone.
///
/// The first row is kept free for the next group, which is far enough off for its count.
fn some_labelled(groups: &[Packed], shelf: Shelf<'_>) -> Vec<Packed> {
    let mut row_ends = vec![f64::NEG_INFINITY; shelf.rows];
    let mut packed = Vec::with_capacity(groups.len());
    for (index, group) in groups.iter().enumerate() {
        let next = groups.get(index + 1).map_or(f64::INFINITY, |next| next.x - shelf.half);
        let room = label_room(&group.label, shelf.font);
        let (left, right) = (group.x - shelf.half, group.x + shelf.half + room);
        let goes = |row: usize, end: f64| {
            end + NEXT_GAP <= left && right <= shelf.to && (row > 0 || right + NEXT_GAP <= next)
        };
        let row = row_ends.iter().enumerate().position(|(row, end)| goes(row, *end));
        let (row, label, side, end) = if let Some(row) = row {
            (row, group.label.clone(), Side::Right, right)
        } else {
            let members = group.items.len();
            let label = if members > 1 { count(members) } else { String::new() };
            let room = label_room(&label, shelf.font);
            let right = group.x + shelf.half;
            if right + room <= shelf.to {
                (0, label, Side::Right, right + room)
            } else if group.x - shelf.half - room >= row_ends[0] + NEXT_GAP {
                (0, label, Side::Left, right)
            } else {
                // At the very edge the number is only in what the mark says.
                (0, String::new(), Side::Right, right)
            }
        };
        row_ends[row] = row_ends[row].max(end);
        packed.push(Packed { row, label, side, ..group.clone() });
    }
    packed
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const SHELF: Shelf<'_> =
        Shelf { from: 0.0, to: 340.0, half: 6.0, rows: 3, font: Font::plain(12.0), fences: &[] };

    fn item(x: f64, label: &str) -> Item {
        Item { x, label: label.to_owned() }
    }

    /// Left and right end of a packed mark with its words.
    fn ends(mark: &Packed) -> (f64, f64) {
        let room = label_room(&mark.label, SHELF.font);
        match mark.side {
            Side::Right => (mark.x - SHELF.half, mark.x + SHELF.half + room),
            Side::Left => (mark.x - SHELF.half - room, mark.x + SHELF.half),
        }
    }

    #[test]
    fn neighbours_take_the_next_row() {
        let packed =
            pack(&[item(10.0, "lime"), item(20.0, "potash"), item(200.0, "gypsum")], SHELF);
        let rows: Vec<usize> = packed.iter().map(|mark| mark.row).collect();
        assert_eq!(rows, [0, 1, 0]);
        assert!(packed.iter().all(|mark| !mark.label.is_empty()), "{packed:?}");
    }

    #[test]
    fn a_crowd_becomes_a_count() {
        let crowd: Vec<Item> = (0..60).map(|i| item(100.0 + f64::from(i) / 10.0, "feed")).collect();
        let packed = pack(&crowd, SHELF);
        assert_eq!(packed.len(), 1);
        assert_eq!(packed[0].label, "feed \u{d7}60");
    }

    #[test]
    fn the_last_label_turns_inward() {
        let packed = pack(&[item(338.0, "retest")], SHELF);
        assert_eq!(packed[0].side, Side::Left);
    }

    #[test]
    fn words_turn_away_from_a_line() {
        let shelf = Shelf { fences: &[150.0], ..SHELF };
        let packed = pack(&[item(130.0, "cores, 100 mm")], shelf);
        assert_eq!(packed[0].side, Side::Left);
        let packed = pack(&[item(170.0, "cores, 100 mm")], shelf);
        assert_eq!(packed[0].side, Side::Right);
    }

    proptest! {
        #[test]
        fn nothing_touches_and_nothing_is_lost(
            mut xs in prop::collection::vec(0.0..340.0_f64, 0..300),
            label in "[a-z]{0,14}",
        ) {
            xs.sort_by(f64::total_cmp);
            let items: Vec<Item> = xs.iter().map(|x| item(*x, &label)).collect();
            let packed = pack(&items, SHELF);
            let mut next = 0;
            for mark in &packed {
                prop_assert_eq!(mark.items.start, next);
                next = mark.items.end;
                prop_assert!(mark.row < SHELF.rows, "{:?}", mark);
            }
            prop_assert_eq!(next, items.len());
            for (i, a) in packed.iter().enumerate() {
                for b in &packed[i + 1..] {
                    let ((a0, a1), (b0, b1)) = (ends(a), ends(b));
                    prop_assert!(a.row != b.row || a1 <= b0 || b1 <= a0, "{:?} {:?}", a, b);
                }
            }
        }
    }
}
