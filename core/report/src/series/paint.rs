//! Lays a series out: the quantity's scale at the left, days along the top, applications below.

use super::lines::Lines;
use super::table::{self, Entry};
use super::{Card, SeriesRows};
use crate::canvas::{Anchor, Canvas, Rect, Says, Stroke};
use crate::figure::{DataTable, Figure};
use crate::legend::{self, Sample};
use crate::look::Look;
use crate::mark::{self, Shape};
use crate::number_axis::{NumberAxis, Spacing};
use crate::packing::{self, Item, LABEL_GAP, Packed, Shelf, Side};
use crate::palette::Ink;
use crate::text::{self, Font};
use crate::time_axis::TimeAxis;
use crate::words::Words;

const TICK: Font = Font::plain(11.0);
pub(super) const LABEL: Font = Font::plain(12.0);
const NAME: Font = Font::plain(13.0);
const ROW: f64 = 19.0;
/// Half the width of an application's bar.
const BAR: f64 = 2.0;

/// A row of the table with its number.
pub(super) type Numbered<'e, 'a> = (usize, &'e Entry<'a>);

pub(super) fn paint(
    rows: &SeriesRows,
    entries: &[Entry<'_>],
    look: &Look,
    description: &str,
    table: DataTable,
) -> Figure {
    let mut canvas = Canvas::new(look);
    let plot = Plot::new(rows, look, canvas.width());
    let shown: Vec<Numbered<'_, '_>> =
        entries.iter().enumerate().filter(|(_, entry)| rows.span.holds(entry.date())).collect();
    let outside = entries.len() - shown.len();
    let mut y = plot.paint(&mut canvas, &shown) + 8.0;
    // A lane of weather alone is still an empty series.
    if entries.iter().all(|entry| matches!(entry, Entry::Bar(..))) {
        let nothing = text::fit(&look.words.nothing, LABEL, canvas.width());
        canvas.text((0.0, y), Anchor::Start, &nothing, LABEL, Ink::Soft);
        y += LABEL.line_height();
    }
    if outside > 0 {
        let note = format!("{}: {outside}", look.words.outside);
        for line in text::wrap(&note, LABEL, canvas.width(), 3) {
            canvas.text((0.0, y), Anchor::Start, &line, LABEL, Ink::Soft);
            y += LABEL.line_height();
        }
    }
    y += legend::draw(&mut canvas, y, &legend_entries(rows, &look.words));
    canvas.finish("series", &rows.title, description, y + 2.0, table)
}

fn legend_entries(rows: &SeriesRows, words: &Words) -> Vec<(Sample, String)> {
    const MOST: usize = 12;
    let dashes = dashes(rows);
    let lines = rows.lines.iter().zip(dashes).take(MOST);
    let mut entries: Vec<(Sample, String)> =
        lines.map(|(line, dash)| (Sample::Track(line.track, dash), line.name.clone())).collect();
    if rows.lines.iter().any(|line| line.points.iter().any(|p| p.card == Card::Uncorrected)) {
        entries.push((Sample::Mark(Shape::OpenDot, Ink::Text), words.uncorrected.clone()));
    }
    if !rows.applications.is_empty() {
        entries.push((Sample::Mark(Shape::Bar, Ink::Accent), words.application.clone()));
    }
    entries
}

/// Lines of one track differ in their dashes.
pub(super) fn dashes(rows: &SeriesRows) -> Vec<&'static str> {
    let mut before = std::collections::BTreeMap::new();
    rows.lines
        .iter()
        .map(|line| {
            let count: &mut usize = before.entry(line.track).or_default();
            *count += 1;
            mark::DASHES[(*count - 1) % mark::DASHES.len()]
        })
        .collect()
}

/// What a mark for several entries says, and their rows.
pub(super) fn says(
    rows: &SeriesRows,
    members: &[Numbered<'_, '_>],
    words: &Words,
) -> (String, Vec<usize>) {
    const NAMED: usize = 5;
    let named = members.iter().take(NAMED).map(|(_, entry)| table::readout(rows, entry, words));
    let mut readout = named.collect::<Vec<_>>().join("; ");
    if members.len() > NAMED {
        readout = format!("{} {}: {readout}; \u{2026}", members.len(), words.entries);
    }
    (readout, members.iter().map(|(row, _)| *row).collect())
}

struct Plot<'r> {
    rows: &'r SeriesRows,
    words: &'r Words,
    days: TimeAxis,
    edge: f64,
    is_field: bool,
}

impl<'r> Plot<'r> {
    fn new(rows: &'r SeriesRows, look: &'r Look, width: f64) -> Self {
        let days = TimeAxis::new(&rows.span, 0.0, width);
        let is_field = look.is_field();
        let plot = Self { rows, words: &look.words, days, edge: width, is_field };
        // The tick labels' width decides where the days begin.
        let ticks = plot.axis(100.0, 0.0).labelled_ticks(plot.most_ticks(), &look.words);
        let widest = ticks.iter().map(|(_, label)| text::width(label, TICK));
        let gutter = widest.fold(0.0, f64::max) + 10.0;
        let gutter = if is_field { gutter } else { gutter.max(76.0) };
        Self { days: TimeAxis::new(&rows.span, gutter.min(width / 3.0), width - 8.0), ..plot }
    }

    const fn most_ticks(&self) -> usize {
        if self.is_field { 5 } else { 6 }
    }

    fn axis(&self, bottom: f64, top: f64) -> NumberAxis {
        let points = self.rows.lines.iter().flat_map(|line| &line.points);
        let points = points.filter(|point| self.rows.span.holds(point.date));
        let values = points.flat_map(|point| {
            let (low, high) = point.interval.unwrap_or((point.value, point.value));
            [point.value, low, high]
        });
        let spacing = Spacing::Linear { least: self.rows.least_span };
        NumberAxis::around(values, spacing, bottom, top)
    }

    fn paint(&self, canvas: &mut Canvas<'_>, shown: &[Numbered<'_, '_>]) -> f64 {
        let mut top = 2.0;
        let quantity = if self.rows.unit.is_empty() {
            self.rows.quantity.clone()
        } else {
            format!("{}, {}", self.rows.quantity, self.rows.unit)
        };
        for line in text::wrap(&quantity, NAME, self.edge, 2) {
            canvas.text((0.0, top), Anchor::Start, &line, NAME, Ink::Text);
            top += NAME.line_height();
        }
        top += 4.0;
        let head = self.days.head(canvas, self.words, top) + 4.0;
        let bottom = head + if self.is_field { 170.0 } else { 220.0 };
        let is_put_down = |(_, entry): &&Numbered<'_, '_>| matches!(entry, Entry::Application(_));
        let applications: Vec<Numbered<'_, '_>> =
            shown.iter().filter(is_put_down).copied().collect();
        let packed = self.pack(&applications);
        let name_row = if self.is_field { 18.0 } else { 0.0 };
        let rows = f64::from(u32::try_from(packing::rows_used(&packed)).unwrap_or(u32::MAX));
        let lane = bottom + 10.0 + name_row;
        let end = if applications.is_empty() { bottom } else { lane + rows * ROW };
        let axis = self.axis(bottom, head);
        self.days.grid(canvas, self.words, top, head, end);
        let mut last_y = f64::INFINITY;
        for (tick, label) in axis.labelled_ticks(self.most_ticks(), self.words) {
            let y = axis.at(tick);
            if last_y - y < TICK.line_height() {
                continue;
            }
            last_y = y;
            canvas.line((self.days.from, y), (self.days.to, y), Stroke::solid(Ink::Rule2, 1.0));
            let room = self.days.from - 6.0;
            let label = text::fit(&label, TICK, room);
            let at = (room, y - TICK.box_height() / 2.0);
            canvas.text(at, Anchor::End, &label, TICK, Ink::Soft);
        }
        for place in &packed {
            let (from, to) = ((place.x, head), (place.x, bottom + 4.0));
            canvas.line(from, to, Stroke::dashed(Ink::Accent, 1.0, "1 4"));
        }
        let lines = Lines {
            rows: self.rows,
            words: self.words,
            days: self.days,
            axis,
            edge: self.edge,
            room: (head, bottom),
        };
        lines.paint(canvas, shown);
        if !applications.is_empty() {
            let y = if self.is_field { lane - name_row } else { lane + 2.0 };
            let room = if self.is_field { self.edge } else { self.days.from - 8.0 };
            let name = text::fit(&self.words.put_down, NAME, room);
            canvas.text((0.0, y), Anchor::Start, &name, NAME, Ink::Text);
            self.applications(canvas, &applications, &packed, lane);
        }
        self.context(canvas, shown, end)
    }

    /// The lane of bars, which is one mark: a hundred weeks are no hundred things to walk through.
    fn context(&self, canvas: &mut Canvas<'_>, shown: &[Numbered<'_, '_>], top: f64) -> f64 {
        const HEIGHT: f64 = 30.0;
        let is_bar = |(_, entry): &&Numbered<'_, '_>| matches!(entry, Entry::Bar(..));
        let bars: Vec<Numbered<'_, '_>> = shown.iter().filter(is_bar).copied().collect();
        let Some(context) = self.rows.context.as_ref().filter(|_| !bars.is_empty()) else {
            return top;
        };
        let name_row = if self.is_field { 18.0 } else { 0.0 };
        let head = top + 10.0 + name_row;
        let bottom = head + HEIGHT;
        let at = if self.is_field { head - name_row } else { head };
        let room = if self.is_field { self.edge } else { self.days.from - 8.0 };
        for (line, words) in text::wrap(&context.name, LABEL, room, 2).into_iter().zip(0_u8..) {
            let y = at + f64::from(words) * LABEL.line_height();
            canvas.text((0.0, y), Anchor::Start, &line, LABEL, Ink::Text);
        }
        let (readout, rows) = says(self.rows, &bars, self.words);
        let says = Says { kind: "context", readout: &readout, rows: &rows, id: "" };
        let (from, to) = (self.days.from, self.days.to);
        let place = Rect { x: from, y: head, width: to - from, height: HEIGHT };
        canvas.mark(says, place, |canvas| {
            canvas.line((from, bottom), (to, bottom), Stroke::solid(Ink::Rule, 1.0));
            for (_, entry) in &bars {
                let Entry::Bar(_, bar) = entry else { continue };
                let (left, right) = (self.days.at(bar.first), self.days.at(bar.last).min(to));
                let height = (HEIGHT * bar.share).max(0.6);
                let width = (right - left - 0.6).max(0.8);
                let rect = Rect { x: left, y: bottom - height, width, height };
                canvas.area(rect, Ink::Limit, 0.75);
            }
        });
        bottom + 2.0
    }

    fn pack(&self, applications: &[Numbered<'_, '_>]) -> Vec<Packed> {
        let items: Vec<Item> = applications
            .iter()
            .map(|(_, entry)| {
                let label = match entry {
                    Entry::Application(application) => application.label.clone(),
                    Entry::Point(..) | Entry::Bar(..) => String::new(),
                };
                Item { x: self.days.at(entry.date()), label }
            })
            .collect();
        let (from, to) = (self.days.from, self.edge);
        packing::pack(&items, Shelf { from, to, half: BAR, rows: 4, font: LABEL, fences: &[] })
    }

    fn applications(
        &self,
        canvas: &mut Canvas<'_>,
        applications: &[Numbered<'_, '_>],
        packed: &[Packed],
        top: f64,
    ) {
        for place in packed {
            let members = &applications[place.items.clone()];
            let (readout, rows) = says(self.rows, members, self.words);
            let row = f64::from(u32::try_from(place.row).unwrap_or(u32::MAX));
            let (x, middle) = (place.x, top + (row + 0.5) * ROW);
            let id = match members {
                [(_, Entry::Application(application))] => application.id.as_str(),
                _ => "",
            };
            let says = Says { kind: "application", readout: &readout, rows: &rows, id };
            let rect = Rect { x: x - BAR, y: middle - 6.0, width: 2.0 * BAR, height: 12.0 };
            canvas.mark(says, rect, |canvas| {
                mark::draw(canvas, Shape::Bar, x, middle, Ink::Accent);
            });
            let (x, anchor) = match place.side {
                Side::Right => (x + BAR + LABEL_GAP, Anchor::Start),
                Side::Left => (x - BAR - LABEL_GAP, Anchor::End),
            };
            let y = middle - LABEL.box_height() / 2.0;
            canvas.text((x, y), anchor, &place.label, LABEL, Ink::Text);
        }
    }
}
