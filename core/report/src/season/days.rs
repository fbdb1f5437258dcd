//! What concerns whole days: the present one, renovation days, and the windows to sample in.

use super::lane::LABEL;
use super::paint::Strip;
use super::table::From;
use crate::canvas::{Anchor, Canvas, Rect, Says, Stroke};
use crate::packing::{self, Item, LABEL_GAP, Shelf, Side};
use crate::palette::Ink;
use crate::text;
use swardbook_units::NaiveDate;

impl<'r> Strip<'r, '_> {
    /// Clear-to-sample windows as bands over the soil lane, with their words where they fit.
    pub(super) fn windows(&self, canvas: &mut Canvas<'_>, soil: (f64, f64), fences: &[f64]) {
        let (top, height) = soil;
        let windows: Vec<_> = self
            .entries
            .iter()
            .filter_map(|(row, entry)| match entry.from {
                From::Clear(window) => Some((*row, *entry, window)),
                _ => None,
            })
            .collect();
        let (mut words_end, mut bands_end) = (self.axis.from, self.axis.from);
        for (index, (row, entry, window)) in windows.iter().enumerate() {
            let from = self.axis.at(window.first);
            let to = match window.last.and_then(|last| last.succ_opt()) {
                Some(after) => self.axis.at(after),
                None => self.axis.to,
            };
            let readout = entry.readout(self.words);
            let says = Says { kind: "clear", readout: &readout, rows: &[*row], id: "" };
            let edge = Rect { x: from, y: top, width: (to - from).max(2.0), height: 2.0 };
            let band = Rect { height, ..edge };
            canvas.mark(says, edge, |canvas| {
                canvas.area(band, Ink::Accent, 0.12);
                canvas.area(edge, Ink::Accent, 1.0);
            });
            let next =
                windows.get(index + 1).map_or(self.edge, |(_, _, next)| self.axis.at(next.first));
            let width = text::width(&self.words.clear, LABEL) + 8.0;
            // Within the band, clear of the flags' lines if that goes; else before it, else over
            // its end; never over another's words.
            let inside = std::iter::once(from)
                .chain(fences.iter().map(|fence| fence + 1.0))
                .filter(|left| *left >= from.max(words_end) && left + width <= to.min(next));
            let is_crossed =
                |left: f64| fences.iter().any(|fence| (left..left + width).contains(fence));
            let mut inside: Vec<f64> = inside.collect();
            inside.sort_by_key(|left| is_crossed(*left));
            let left = if let Some(left) = inside.first() {
                *left
            } else if from - width >= words_end.max(bands_end) {
                from - width
            } else if from + width <= next && from >= words_end {
                from
            } else {
                bands_end = bands_end.max(to);
                continue;
            };
            let at = (left + 4.0, top + 3.0);
            if is_crossed(left) {
                canvas.halo_text(at, Anchor::Start, &self.words.clear, LABEL, Ink::Accent);
            } else {
                canvas.text(at, Anchor::Start, &self.words.clear, LABEL, Ink::Accent);
            }
            words_end = words_end.max(left + width);
            bands_end = bands_end.max(to);
        }
    }

    /// Today and the renovation days that lie in the span, sorted.
    pub(super) fn flag_days(&self) -> Vec<Flag<'r>> {
        let mut flags: Vec<Flag<'r>> = self
            .entries
            .iter()
            .filter_map(|(row, entry)| match entry.from {
                From::Renovation(day) => {
                    let label =
                        if day.label.is_empty() { &self.words.renovation } else { &day.label };
                    let readout = entry.readout(self.words);
                    Some(Flag { date: day.date, label, readout, row: Some(*row), id: &day.id })
                }
                _ => None,
            })
            .collect();
        if let Some(today) = self.rows.today
            && self.span.holds(today)
        {
            let readout = format!("{}: {}", self.words.date_text(today), self.words.today);
            let at = flags.partition_point(|flag| flag.date < today);
            let label = &self.words.today;
            flags.insert(at, Flag { date: today, label, readout, row: None, id: "" });
        }
        flags
    }

    fn packed_flags(&self, flags: &[Flag<'_>]) -> Vec<packing::Packed> {
        let items: Vec<Item> = flags
            .iter()
            .map(|flag| Item { x: self.axis.at(flag.date), label: flag.label.to_owned() })
            .collect();
        let fences = &items.iter().map(|item| item.x).collect::<Vec<f64>>();
        let shelf =
            Shelf { from: self.axis.from, to: self.edge, half: FLAG, rows: 3, font: LABEL, fences };
        packing::pack(&items, shelf)
    }

    pub(super) fn flags_height(&self) -> f64 {
        let rows = packing::rows_used(&self.packed_flags(&self.flag_days()));
        f64::from(u32::try_from(rows).unwrap_or(u32::MAX)) * FLAG_ROW
    }

    pub(super) fn flags(&self, canvas: &mut Canvas<'_>, top: f64, end: f64) {
        let flags = self.flag_days();
        for place in self.packed_flags(&flags) {
            let members = &flags[place.items.clone()];
            let first = &members[0];
            let is_today = members.iter().any(|flag| flag.row.is_none());
            let rows: Vec<usize> = members.iter().filter_map(|flag| flag.row).collect();
            let readouts: Vec<&str> = members.iter().map(|flag| flag.readout.as_str()).collect();
            let readout = readouts.join("; ");
            let row = f64::from(u32::try_from(place.row).unwrap_or(u32::MAX));
            let (x, flag_top) = (place.x, top + row * FLAG_ROW);
            let kind = if is_today { "today" } else { "renovation" };
            let says = Says { kind, readout: &readout, rows: &rows, id: first.id };
            let foot = Rect { x: x - 1.0, y: flag_top + 2.0, width: 2.0, height: FLAG_ROW - 4.0 };
            let stroke = if is_today {
                Stroke::solid(Ink::Text, 1.4)
            } else {
                Stroke::dashed(Ink::Text, 1.4, "2 3")
            };
            canvas.mark(says, foot, |canvas| canvas.line((x, flag_top + 2.0), (x, end), stroke));
            let at = flag_top + (FLAG_ROW - LABEL.box_height()) / 2.0;
            let (x, anchor) = match place.side {
                Side::Right => (x + FLAG + LABEL_GAP, Anchor::Start),
                Side::Left => (x - FLAG - LABEL_GAP, Anchor::End),
            };
            canvas.halo_text((x, at), anchor, &place.label, LABEL, Ink::Text);
        }
    }
}

/// Half the width a flag's line takes beside its words.
const FLAG: f64 = 1.0;
const FLAG_ROW: f64 = 18.0;

/// A day with a line through every lane.
pub(super) struct Flag<'r> {
    pub(super) date: NaiveDate,
    label: &'r str,
    readout: String,
    /// Its row in the table; the present day has none.
    row: Option<usize>,
    id: &'r str,
}
