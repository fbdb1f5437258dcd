//! Lays the strips of a season line out under each other.

use super::lane::{LABEL, Lane, ROW, look_of};
use super::table::{self, Entry, From};
use super::{Card, SeasonRows, Span, Stage, Track, What, rating};
use crate::canvas::{Anchor, Canvas, Rect, Says, Stroke};
use crate::figure::{DataTable, Figure};
use crate::legend::{self, Sample};
use crate::look::Look;
use crate::mark::Shape;
use crate::packing::{self, Item, LABEL_GAP, Shelf, Side};
use crate::palette::Ink;
use crate::text::{self, Font};
use crate::time_axis::TimeAxis;
use crate::words::Words;
use swardbook_units::NaiveDate;

const HEADING: Font = Font::bold(14.0);
const LANE_NAME: Font = Font::plain(13.0);
const NOTE: Font = Font::plain(12.0);
/// Between two lanes.
const LANE_GAP: f64 = 9.0;
/// Between two strips.
const STRIP_GAP: f64 = 22.0;
/// The top row of the soil lane, where windows have their words.
const WINDOW_ROW: f64 = 17.0;

/// Which lanes there are, in any strip.
struct Lanes {
    has_soil: bool,
    has_put_down: bool,
    has_ratings: bool,
    has_seen: bool,
}

impl Lanes {
    fn of(rows: &SeasonRows) -> Self {
        let has = |is: fn(&What) -> bool| rows.events.iter().any(|event| is(&event.what));
        Self {
            has_soil: !rows.clear.is_empty() || has(is_soil),
            has_put_down: has(is_put_down),
            has_ratings: has(is_rating),
            has_seen: has(is_seen),
        }
    }
}

const fn is_soil(what: &What) -> bool {
    matches!(what, What::Sample(_) | What::Panel(_))
}

const fn is_put_down(what: &What) -> bool {
    matches!(what, What::Application)
}

const fn is_rating(what: &What) -> bool {
    matches!(what, What::Rating { .. })
}

const fn is_seen(what: &What) -> bool {
    matches!(what, What::Photo(_) | What::Note | What::SpotReading)
}

pub(super) fn paint(
    rows: &SeasonRows,
    entries: &[Entry<'_>],
    look: &Look,
    description: &str,
    table: DataTable,
) -> Figure {
    let mut canvas = Canvas::new(look);
    let lanes = Lanes::of(rows);
    let mut y = 2.0;
    let is_field = look.is_field();
    for (index, span) in rows.spans.iter().enumerate() {
        if index > 0 {
            y += STRIP_GAP;
        }
        let strip = Strip::new(rows, entries, span, look, canvas.width(), is_field);
        y = strip.paint(&mut canvas, &lanes, y);
    }
    let outside =
        entries.iter().filter(|entry| !rows.spans.iter().any(|span| reaches(entry, span))).count();
    if outside > 0 {
        y += 8.0;
        let note = format!("{}: {outside}", look.words.outside);
        for line in text::wrap(&note, NOTE, canvas.width(), 3) {
            canvas.text((0.0, y), Anchor::Start, &line, NOTE, Ink::Soft);
            y += NOTE.line_height();
        }
    }
    y += 10.0;
    y += legend::draw(&mut canvas, y, &legend_entries(rows, &look.words));
    canvas.finish("season", &rows.title, description, y + 2.0, table)
}

/// Whether any part of an entry lies in a span.
fn reaches(entry: &Entry<'_>, span: &Span) -> bool {
    match entry.from {
        From::Clear(window) => {
            window.first <= span.last && window.last.is_none_or(|last| last >= span.first)
        }
        _ => span.holds(entry.date),
    }
}

fn legend_entries(rows: &SeasonRows, words: &Words) -> Vec<(Sample, String)> {
    let mut entries = Vec::new();
    let kinds: [(What, String); 9] = [
        (What::Sample(Stage::Alone), words.sample.clone()),
        (What::Sample(Stage::Before), format!("{}, {}", words.sample, words.before)),
        (What::Sample(Stage::After), format!("{}, {}", words.sample, words.after)),
        (What::Panel(Stage::Alone), words.panel.clone()),
        (What::Application, words.application.clone()),
        (What::Photo(Card::Corrected), format!("{}, {}", words.photo, words.corrected)),
        (What::Photo(Card::Uncorrected), format!("{}, {}", words.photo, words.uncorrected)),
        (What::Note, words.note.clone()),
        (What::SpotReading, words.spot_reading.clone()),
    ];
    for (kind, name) in kinds {
        let is_there = match kind {
            What::Panel(_) => rows.events.iter().any(|event| matches!(event.what, What::Panel(_))),
            _ => rows.events.iter().any(|event| event.what == kind),
        };
        if is_there {
            let (_, shape, ink) = look_of(&kind);
            entries.push((Sample::Mark(shape, ink), name));
        }
    }
    for track in [Track::Whole, Track::Treated, Track::Control] {
        let is_of = |what: &What| matches!(what, What::Rating { track: of, .. } if *of == track);
        if rows.events.iter().any(|event| is_of(&event.what)) {
            let shape = if track == Track::Control { Shape::SquareDot } else { Shape::Dot };
            let name = format!("{}, {}", words.rated, table::track(track, words));
            entries.push((Sample::Mark(shape, rating::ink_of(track)), name));
        }
    }
    entries
}

/// One season's part of the figure.
struct Strip<'r, 'a> {
    rows: &'r SeasonRows,
    /// Entries that lie in the span, with their numbers in the table.
    entries: Vec<(usize, &'r Entry<'a>)>,
    span: &'r Span,
    words: &'r Words,
    axis: TimeAxis,
    /// The right end of the room for words.
    edge: f64,
    is_field: bool,
}

impl<'r, 'a> Strip<'r, 'a> {
    fn new(
        rows: &'r SeasonRows,
        entries: &'r [Entry<'a>],
        span: &'r Span,
        look: &'r Look,
        width: f64,
        is_field: bool,
    ) -> Self {
        let words = &look.words;
        let names = [&words.soil, &words.put_down, &words.rating, &words.seen];
        let widest = names.iter().map(|name| text::width(name, LANE_NAME)).fold(0.0, f64::max);
        let gutter = if is_field { 16.0 } else { (widest + 26.0).min(width * 0.25) };
        let axis = TimeAxis::new(span, gutter, width - 8.0);
        let entries =
            entries.iter().enumerate().filter(|(_, entry)| reaches(entry, span)).collect();
        Self { rows, entries, span, words, axis, edge: width, is_field }
    }

    fn of_kind(&self, is: fn(&What) -> bool) -> Vec<(usize, &'r Entry<'a>)> {
        let events = self
            .entries
            .iter()
            .filter(|(_, entry)| matches!(entry.from, From::Event(event) if is(&event.what)));
        events.copied().collect()
    }

    fn paint(&self, canvas: &mut Canvas<'_>, lanes: &Lanes, y: f64) -> f64 {
        let mut top = y;
        if self.rows.spans.len() > 1 {
            let name = text::fit(&self.span.name, HEADING, self.edge);
            canvas.text((0.0, top), Anchor::Start, &name, HEADING, Ink::Text);
            if self.is_field {
                top += HEADING.line_height();
            }
        }
        // Grid and bands lie under everything, so heights come first.
        let fences: Vec<f64> =
            self.flag_days().iter().map(|flag| self.axis.at(flag.date)).collect();
        let pack = |is| Lane::pack(self.of_kind(is), &self.axis, self.edge, &fences);
        let (soil, put_down, seen) = (pack(is_soil), pack(is_put_down), pack(is_seen));
        let head = self.axis.head(canvas, self.words, top);
        let flags_end = head + self.flags_height();
        let is_clear = |(_, entry): &(usize, &Entry<'_>)| matches!(entry.from, From::Clear(_));
        let window_row = if self.entries.iter().any(is_clear) { WINDOW_ROW } else { 0.0 };
        let rating_height = if self.is_field { 66.0 } else { 78.0 };
        let heights = [
            (lanes.has_soil, soil.height() + window_row),
            (lanes.has_put_down, put_down.height()),
            (lanes.has_ratings, rating_height),
            (lanes.has_seen, seen.height()),
        ];
        let name_row = if self.is_field { 18.0 } else { 0.0 };
        let mut ends = flags_end + 4.0;
        let tops = heights.map(|(is_there, height)| {
            let top = ends + name_row;
            if is_there {
                ends = top + height + LANE_GAP;
            }
            top
        });
        let end = ends - LANE_GAP + 4.0;
        self.axis.grid(canvas, self.words, top, head, end);
        let soil_rect = (tops[0], heights[0].1);
        if lanes.has_soil {
            self.windows(canvas, soil_rect);
        }
        self.flags(canvas, head, end);
        let names = [&self.words.soil, &self.words.put_down, &self.words.rating, &self.words.seen];
        for (((is_there, _), top), (index, name)) in
            heights.iter().zip(tops).zip(names.iter().enumerate())
        {
            if *is_there {
                let offset = if index == 0 { window_row } else { 0.0 };
                self.lane_name(canvas, name, top, offset);
            }
        }
        if lanes.has_soil {
            soil.paint(canvas, tops[0] + window_row, self.words);
        }
        if lanes.has_put_down {
            put_down.paint(canvas, tops[1], self.words);
        }
        if lanes.has_ratings {
            let ratings = self.of_kind(is_rating);
            rating::paint(canvas, &ratings, &self.axis, tops[2], rating_height, self.words);
        }
        if lanes.has_seen {
            seen.paint(canvas, tops[3], self.words);
        }
        end
    }

    /// The lane's name: at its left in the office, over it in the field.
    fn lane_name(&self, canvas: &mut Canvas<'_>, name: &str, top: f64, offset: f64) {
        if self.is_field {
            let name = text::fit(name, LANE_NAME, self.edge);
            canvas.halo_text((0.0, top - 18.0), Anchor::Start, &name, LANE_NAME, Ink::Text);
        } else {
            let name = text::fit(name, LANE_NAME, self.axis.from - 24.0);
            let y = top + offset + (ROW - LANE_NAME.box_height()) / 2.0;
            canvas.text((0.0, y), Anchor::Start, &name, LANE_NAME, Ink::Text);
        }
    }

    /// Clear-to-sample windows as bands over the soil lane, with their words where they fit.
    fn windows(&self, canvas: &mut Canvas<'_>, soil: (f64, f64)) {
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
            // Within the band, else before it, else over its end; never over another's words.
            let (is_inside, is_over) = (width <= to - from, from + width <= next);
            let (x, anchor, end) = if is_inside && is_over && from >= words_end {
                (from + 4.0, Anchor::Start, from + width)
            } else if from - width >= words_end.max(bands_end) {
                (from - 4.0, Anchor::End, from)
            } else if is_over && from >= words_end {
                (from + 4.0, Anchor::Start, from + width)
            } else {
                bands_end = bands_end.max(to);
                continue;
            };
            canvas.text((x, top + 3.0), anchor, &self.words.clear, LABEL, Ink::Accent);
            (words_end, bands_end) = (end, bands_end.max(to));
        }
    }

    /// Today and the renovation days that lie in the span, sorted.
    fn flag_days(&self) -> Vec<Flag<'r>> {
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

    fn flags_height(&self) -> f64 {
        let rows = packing::rows_used(&self.packed_flags(&self.flag_days()));
        f64::from(u32::try_from(rows).unwrap_or(u32::MAX)) * FLAG_ROW
    }

    fn flags(&self, canvas: &mut Canvas<'_>, top: f64, end: f64) {
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
struct Flag<'r> {
    date: NaiveDate,
    label: &'r str,
    readout: String,
    /// Its row in the table; the present day has none.
    row: Option<usize>,
    id: &'r str,
}
