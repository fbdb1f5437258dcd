//! A lane of marks with their words: soil, put down, seen.

use super::table::{Entry, From, group_readout};
use super::{Card, Stage, What};
use crate::canvas::{Anchor, Canvas, Rect, Says};
use crate::mark::{self, HALF, Shape};
use crate::packing::{self, Item, LABEL_GAP, Packed, Shelf, Side};
use crate::palette::Ink;
use crate::text::{self, Font};
use crate::time_axis::TimeAxis;
use crate::words::Words;

pub(super) const LABEL: Font = Font::plain(12.0);
/// From one row of a lane to the next.
pub(super) const ROW: f64 = 19.0;
/// Rows a lane may grow to.
const MOST_ROWS: usize = 4;

/// A lane's entries with their places.
pub(super) struct Lane<'e, 'a> {
    /// Numbers of the entries in the table, and the entries.
    entries: Vec<(usize, &'e Entry<'a>)>,
    packed: Vec<Packed>,
    /// Half the width of its marks.
    half: f64,
    /// Upright lines through the lane.
    fences: Vec<f64>,
}

impl<'e, 'a> Lane<'e, 'a> {
    /// Finds a place for each entry; `entries` come in the order of their days.
    pub(super) fn pack(
        entries: Vec<(usize, &'e Entry<'a>)>,
        axis: &TimeAxis,
        edge: f64,
        fences: &[f64],
    ) -> Self {
        let items: Vec<Item> = entries
            .iter()
            .map(|(_, entry)| Item { x: axis.at(entry.date), label: label(entry).to_owned() })
            .collect();
        let is_narrow = entries.iter().all(|(_, entry)| {
            matches!(entry.from, From::Event(event) if matches!(event.what, What::Application | What::Planned))
        });
        let half = if is_narrow { 2.0 } else { HALF };
        let shelf = Shelf { from: axis.from, to: edge, half, rows: MOST_ROWS, font: LABEL, fences };
        let packed = packing::pack(&items, shelf);
        Self { entries, packed, half, fences: fences.to_vec() }
    }

    pub(super) fn height(&self) -> f64 {
        let rows = packing::rows_used(&self.packed).max(1);
        f64::from(u32::try_from(rows).unwrap_or(u32::MAX)) * ROW
    }

    /// Draws the lane with its first row at `y`.
    pub(super) fn paint(&self, canvas: &mut Canvas<'_>, y: f64, words: &Words) {
        for place in &self.packed {
            let members = &self.entries[place.items.clone()];
            let rows: Vec<usize> = members.iter().map(|(row, _)| *row).collect();
            let entries: Vec<&Entry<'_>> = members.iter().map(|(_, entry)| *entry).collect();
            let readout = group_readout(&entries, words);
            let row = f64::from(u32::try_from(place.row).unwrap_or(u32::MAX));
            let (x, middle) = (place.x, y + (row + 0.5) * ROW);
            let (id, what) = match (entries.as_slice(), entries[0].from) {
                ([_], From::Event(event)) => (event.id.as_str(), &event.what),
                (_, From::Event(event)) => ("", &event.what),
                _ => continue,
            };
            let (mut kind, mut shape, mut ink) = look_of(what);
            let is_other = |entry: &&Entry<'_>| matches!(entry.from, From::Event(event) if look_of(&event.what).1 != shape);
            if entries.iter().any(is_other) {
                (kind, shape, ink) = ("several", Shape::Stack, Ink::Text);
            }
            let half = self.half;
            let place_box =
                Rect { x: x - half, y: middle - HALF, width: 2.0 * half, height: 2.0 * HALF };
            let says = Says { kind, readout: &readout, rows: &rows, id };
            canvas.mark(says, place_box, |canvas| mark::draw(canvas, shape, x, middle, ink));
            let top = middle - LABEL.box_height() / 2.0;
            let room = text::width(&place.label, LABEL);
            let (x, anchor, ends) = match place.side {
                Side::Right => {
                    let x = x + self.half + LABEL_GAP;
                    (x, Anchor::Start, x..x + room)
                }
                Side::Left => {
                    let x = x - self.half - LABEL_GAP;
                    (x, Anchor::End, x - room..x)
                }
            };
            if self.fences.iter().any(|fence| ends.contains(fence)) {
                canvas.halo_text((x, top), anchor, &place.label, LABEL, Ink::Text);
            } else {
                canvas.text((x, top), anchor, &place.label, LABEL, Ink::Text);
            }
        }
    }
}

fn label<'a>(entry: &Entry<'a>) -> &'a str {
    match entry.from {
        From::Event(event) => &event.label,
        From::Renovation(day) => &day.label,
        From::Clear(window) => &window.reason,
    }
}

/// Kind, shape and colour of a mark; the colour only repeats what the shape says.
pub(super) const fn look_of(what: &What) -> (&'static str, Shape, Ink) {
    match what {
        What::Sample(Stage::Before) => ("sample", Shape::OpenSquare, Ink::Before),
        What::Sample(Stage::After) => ("sample", Shape::FilledSquare, Ink::After),
        What::Sample(Stage::Alone) => ("sample", Shape::DottedSquare, Ink::Text),
        What::Panel(Stage::Before) => ("panel", Shape::OpenSheet, Ink::Before),
        What::Panel(Stage::After) => ("panel", Shape::Sheet, Ink::After),
        What::Panel(Stage::Alone) => ("panel", Shape::BlankSheet, Ink::Text),
        What::Application => ("application", Shape::Bar, Ink::Accent),
        What::Planned => ("planned", Shape::OpenBar, Ink::Accent),
        What::Rating { .. } => ("rating", Shape::FilledCircle, Ink::After),
        What::Photo(Card::Corrected) => ("photo", Shape::FilledCamera, Ink::Soft),
        What::Photo(Card::Uncorrected) => ("photo", Shape::Camera, Ink::Soft),
        What::Note => ("note", Shape::Lines, Ink::Soft),
        What::SpotReading => ("spot", Shape::Probe, Ink::Soft),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_kinds_share_a_shape() {
        let kinds = [
            What::Sample(Stage::Before),
            What::Sample(Stage::After),
            What::Sample(Stage::Alone),
            What::Panel(Stage::Before),
            What::Panel(Stage::After),
            What::Panel(Stage::Alone),
            What::Application,
            What::Planned,
            What::Photo(Card::Corrected),
            What::Photo(Card::Uncorrected),
            What::Note,
            What::SpotReading,
        ];
        for (i, a) in kinds.iter().enumerate() {
            for b in &kinds[i + 1..] {
                assert_ne!(look_of(a).1, look_of(b).1, "{a:?} and {b:?} differ in colour alone");
            }
        }
    }
}
