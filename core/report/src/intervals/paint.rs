//! Lays interval rows out, beside each other in the office and under each other in the field.

use super::{AnalyteRow, Bounds, Estimate, IntervalRows, Limit, Reading, Role, Scale, table};
use crate::canvas::{Anchor, Canvas, Px, Rect, Says, Stroke};
use crate::figure::{DataTable, Figure};
use crate::legend::{self, Sample};
use crate::look::Look;
use crate::mark::{self, HALF, Shape};
use crate::number_axis::{NumberAxis, Spacing};
use crate::palette::Ink;
use crate::text::{self, Font};
use crate::words::Words;

const NAME: Font = Font::plain(14.0);
const VERDICT: Font = Font::plain(14.0);
const SMALL: Font = Font::plain(12.0);
const TICK: Font = Font::plain(10.5);
/// From one mark of a row to the next below it.
const MARK_PITCH: f64 = 13.0;
/// Height of a limit's own lane.
const LIMIT_LANE: f64 = 12.0;
/// Between two rows.
const ROW_GAP: f64 = 14.0;
/// The words that stand beside a track may take this many lines.
const MOST_LINES: usize = 4;

/// Where a row's three parts go.
struct Columns {
    is_field: bool,
    name: (f64, f64),
    track: (f64, f64),
    words: (f64, f64),
}

impl Columns {
    fn of(width: f64, is_field: bool) -> Self {
        if is_field {
            let all = (0.0, width);
            return Self { is_field, name: all, track: (2.0, width - 2.0), words: all };
        }
        let name = (width * 0.24).clamp(150.0, 270.0);
        let words = (width * 0.27).clamp(160.0, 330.0);
        let gap = 20.0;
        Self {
            is_field,
            name: (0.0, name),
            track: (name + gap, width - words - gap),
            words: (width - words, width),
        }
    }
}

pub(super) fn paint(
    rows: &IntervalRows,
    look: &Look,
    description: &str,
    table: DataTable,
) -> Figure {
    let mut canvas = Canvas::new(look);
    let width = canvas.width();
    let columns = Columns::of(width, look.is_field());
    let mut y = 2.0;
    for line in text::wrap(&rows.context, SMALL, width, 3) {
        canvas.text((0.0, y), Anchor::Start, &line, SMALL, Ink::Soft);
        y += SMALL.line_height();
    }
    y += legend::draw(&mut canvas, y, &legend_entries(rows, &look.words)) + 10.0;
    if rows.rows.is_empty() {
        let nothing = text::fit(&look.words.nothing, SMALL, width);
        canvas.text((0.0, y), Anchor::Start, &nothing, SMALL, Ink::Soft);
        y += SMALL.line_height();
    }
    for (index, row) in rows.rows.iter().enumerate() {
        if index > 0 {
            canvas.line((0.0, y), (width, y), Stroke::solid(Ink::Rule2, 1.0));
            y += ROW_GAP / 2.0;
        }
        let painter = RowPainter { row, index, columns: &columns, words: &look.words };
        y = painter.paint(&mut canvas, y) + ROW_GAP / 2.0;
    }
    canvas.finish("intervals", &rows.title, description, y, table)
}

fn legend_entries(rows: &IntervalRows, words: &Words) -> Vec<(Sample, String)> {
    let mut entries = Vec::new();
    for role in [Role::Before, Role::After, Role::ControlBefore, Role::ControlAfter] {
        if rows.rows.iter().any(|row| row.marks.iter().any(|mark| mark.role == role)) {
            let (shape, ink) = shape_of(role);
            entries.push((Sample::Mark(shape, ink), table::role(role, words)));
        }
    }
    if rows.rows.iter().any(|row| !row.limits.is_empty()) {
        entries.push((Sample::Hatch, words.beyond_limit.clone()));
    }
    entries
}

const fn shape_of(role: Role) -> (Shape, Ink) {
    match role {
        Role::Before => (Shape::OpenCircle, Ink::Before),
        Role::After => (Shape::FilledCircle, Ink::After),
        Role::ControlBefore => (Shape::OpenSquare, Ink::Control),
        Role::ControlAfter => (Shape::FilledSquare, Ink::Control),
        Role::Alone => (Shape::Diamond, Ink::Text),
    }
}

struct RowPainter<'a> {
    row: &'a AnalyteRow,
    index: usize,
    columns: &'a Columns,
    words: &'a Words,
}

impl RowPainter<'_> {
    /// Draws the row from `y` down and returns where it ends.
    fn paint(&self, canvas: &mut Canvas<'_>, y: f64) -> f64 {
        if self.columns.is_field { self.stacked(canvas, y) } else { self.beside(canvas, y) }
    }

    fn beside(&self, canvas: &mut Canvas<'_>, y: f64) -> f64 {
        let left_end = self.name_lines(canvas, y);
        let (from, to) = self.columns.words;
        let mut right_end = y + 1.0;
        for line in text::wrap(&self.row.verdict, VERDICT, to - from, MOST_LINES) {
            canvas.text((from, right_end), Anchor::Start, &line, VERDICT, Ink::Text);
            right_end += VERDICT.line_height();
        }
        let has_lanes = self.row.limits.len() > 1;
        if let [only] = self.row.limits.as_slice() {
            for line in text::wrap(&table::limit(only, self.words), SMALL, to - from, 3) {
                canvas.text((from, right_end), Anchor::Start, &line, SMALL, Ink::Soft);
                right_end += SMALL.line_height();
            }
        }
        // The lanes begin under the verdict, so that each can have its words beside it.
        let marks_end = y + 2.0 + self.marks_height();
        let lanes_from = if has_lanes { marks_end.max(right_end + 2.0) } else { marks_end };
        let end = self.track(canvas, y + 2.0, lanes_from, Some(self.columns.words));
        left_end.max(right_end).max(end)
    }

    fn stacked(&self, canvas: &mut Canvas<'_>, y: f64) -> f64 {
        let mut end = self.name_lines(canvas, y) + 2.0;
        let marks_end = end + self.marks_height();
        end = self.track(canvas, end, marks_end, None) + 2.0;
        let (from, to) = self.columns.words;
        for line in text::wrap(&self.row.verdict, VERDICT, to - from, MOST_LINES) {
            canvas.text((from, end), Anchor::Start, &line, VERDICT, Ink::Text);
            end += VERDICT.line_height();
        }
        if let [only] = self.row.limits.as_slice() {
            for line in text::wrap(&table::limit(only, self.words), SMALL, to - from, 3) {
                canvas.text((from, end), Anchor::Start, &line, SMALL, Ink::Soft);
                end += SMALL.line_height();
            }
        }
        end
    }

    /// The analyte and its readings as written: "310 to 480 mg/kg" with an arrow between.
    fn name_lines(&self, canvas: &mut Canvas<'_>, y: f64) -> f64 {
        let (from, to) = self.columns.name;
        let mut lines = self.readings();
        let mut end = y;
        if self.columns.is_field
            && !self.row.name.trim().is_empty()
            && let [only] = lines.as_slice()
            && text::width(&self.row.name, NAME) + 16.0 + text::width(only, SMALL) <= to - from
        {
            canvas.text((to, end + 2.0), Anchor::End, only, SMALL, Ink::Soft);
            lines.clear();
        }
        for line in text::wrap(&self.row.name, NAME, to - from, 3) {
            canvas.text((from, end), Anchor::Start, &line, NAME, Ink::Text);
            end += NAME.line_height();
        }
        for line in lines {
            let line = text::fit(&line, SMALL, to - from);
            canvas.text((from, end), Anchor::Start, &line, SMALL, Ink::Soft);
            end += SMALL.line_height();
        }
        end
    }

    /// The row's readings as written, the control's on a line of their own.
    fn readings(&self) -> Vec<String> {
        let shown = |is_control: bool| {
            let of_control = |role| matches!(role, Role::ControlBefore | Role::ControlAfter);
            let marks = self.row.marks.iter().filter(|mark| of_control(mark.role) == is_control);
            marks.map(|mark| mark.shown.as_str()).collect::<Vec<_>>().join(" \u{2192} ")
        };
        let (main, control) = (shown(false), shown(true));
        let mut lines = Vec::new();
        if self.row.marks.is_empty() {
            lines.push(self.words.no_reading.clone());
        }
        if !main.is_empty() {
            lines.push(format!("{main} {}", self.row.unit).trim_end().to_owned());
        }
        if !control.is_empty() {
            let line = format!("{} {control} {}", self.words.control, self.row.unit);
            lines.push(line.trim_end().to_owned());
        }
        lines
    }

    fn marks_height(&self) -> f64 {
        let marks = u32::try_from(self.row.marks.len().max(1)).unwrap_or(u32::MAX);
        (f64::from(marks) * MARK_PITCH + 3.0).max(28.0)
    }

    fn axis(&self) -> NumberAxis {
        let marks = self.row.marks.iter().flat_map(|mark| {
            let (low, high) =
                mark.interval.as_ref().map_or((None, None), |i| (Some(i.low), Some(i.high)));
            // A censored reading lies somewhere beyond its number: leave room to show that.
            let value = mark.reading.number();
            let beyond = match (mark.reading, self.row.scale) {
                (Reading::At(_), _) => None,
                (Reading::Below(_), Scale::Log) => Some(value / 2.0),
                (Reading::Above(_), Scale::Log) => Some(value * 2.0),
                (Reading::Below(_), Scale::Linear { least_span }) => Some(value - least_span / 2.0),
                (Reading::Above(_), Scale::Linear { least_span }) => Some(value + least_span / 2.0),
            };
            [Some(value), beyond, low, high]
        });
        let limits = self.row.limits.iter().flat_map(|limit| {
            let (low, high) = limit.bounds.ends();
            [low, high]
        });
        let spacing = match self.row.scale {
            Scale::Log => Spacing::Log,
            Scale::Linear { least_span } => Spacing::Linear { least: least_span },
        };
        let (from, to) = self.columns.track;
        NumberAxis::around(marks.chain(limits).flatten(), spacing, from, to)
    }

    /// Draws hatching, scale and marks; `beside` is where a limit lane's words go, or above it.
    fn track(
        &self,
        canvas: &mut Canvas<'_>,
        y: f64,
        lanes_from: f64,
        beside: Option<(f64, f64)>,
    ) -> f64 {
        let axis = self.axis();
        let (from, to) = self.columns.track;
        let height = self.marks_height();
        let marks_rect = Rect { x: from, y, width: to - from, height };
        let mut end = y + height;
        let limits = self.row.limits.as_slice();
        let middle = y + height / 2.0;
        canvas.line((from, middle), (to, middle), Stroke::solid(Ink::Rule, 1.0));
        if let [only] = limits {
            self.limit(canvas, &axis, only, marks_rect);
        }
        if limits.len() > 1 {
            end = self.limit_lanes(canvas, &axis, lanes_from, beside);
            if beside.is_some() {
                self.drop_lines(canvas, &axis, y + 4.0, end);
            }
        }
        let count = f64::from(u32::try_from(self.row.marks.len()).unwrap_or(u32::MAX));
        for (place, shown) in self.row.marks.iter().enumerate() {
            let place = f64::from(u32::try_from(place).unwrap_or(u32::MAX));
            let at = middle + (place - (count - 1.0) / 2.0) * MARK_PITCH;
            self.estimate(canvas, &axis, shown, at);
        }
        self.scale(canvas, &axis, end)
    }

    /// Several limits: each has its own lane, so that none hides another.
    fn limit_lanes(
        &self,
        canvas: &mut Canvas<'_>,
        axis: &NumberAxis,
        y: f64,
        beside: Option<(f64, f64)>,
    ) -> f64 {
        let (from, to) = self.columns.track;
        let mut end = y + 4.0;
        for limit in &self.row.limits {
            let words = table::limit(limit, self.words);
            let rect = if let Some((words_from, words_to)) = beside {
                let lines = text::wrap(&words, SMALL, words_to - words_from, 2);
                let rect = Rect { x: from, y: end + 2.0, width: to - from, height: LIMIT_LANE };
                for line in &lines {
                    canvas.text((words_from, end), Anchor::Start, line, SMALL, Ink::Soft);
                    end += SMALL.line_height();
                }
                end = (end + 2.0).max(rect.y + LIMIT_LANE + 4.0);
                rect
            } else {
                for line in text::wrap(&words, SMALL, to - from, 2) {
                    canvas.text((from, end), Anchor::Start, &line, SMALL, Ink::Soft);
                    end += SMALL.line_height();
                }
                let rect = Rect { x: from, y: end, width: to - from, height: LIMIT_LANE };
                end += LIMIT_LANE + 5.0;
                rect
            };
            let base = rect.y + rect.height;
            canvas.line((from, base), (to, base), Stroke::solid(Ink::Rule2, 1.0));
            if beside.is_none() {
                // Words lie between the lanes here, so each lane shows the marks for itself.
                self.drop_lines(canvas, axis, rect.y, base);
            }
            self.limit(canvas, axis, limit, rect);
        }
        end
    }

    /// Thin lines from each exact mark down through the limits' lanes.
    fn drop_lines(&self, canvas: &mut Canvas<'_>, axis: &NumberAxis, y: f64, end: f64) {
        for shown in &self.row.marks {
            let x = axis.at(shown.reading.number());
            let (_, ink) = shape_of(shown.role);
            canvas.line((x, y), (x, end), Stroke::dashed(ink, 1.2, "1.5 2.5"));
        }
    }

    fn limit(&self, canvas: &mut Canvas<'_>, axis: &NumberAxis, limit: &Limit, rect: Rect) {
        let readout = format!("{}: {}", self.row.name, table::limit(limit, self.words));
        let edges: Vec<f64> = match limit.bounds {
            Bounds::AtLeast(v) | Bounds::AtMost(v) => vec![axis.at(v)],
            Bounds::Between(low, high) => vec![axis.at(low), axis.at(high)],
        };
        let right = rect.x + rect.width;
        let first = edges[0];
        let last = edges[edges.len() - 1];
        if matches!(limit.bounds, Bounds::AtLeast(_) | Bounds::Between(..)) {
            canvas.hatch(Rect { width: first - rect.x, ..rect });
        }
        if matches!(limit.bounds, Bounds::AtMost(_) | Bounds::Between(..)) {
            canvas.hatch(Rect { x: last, width: right - last, ..rect });
        }
        let place = Rect { x: first - 1.0, width: last - first + 2.0, ..rect };
        let says = Says { kind: "limit", readout: &readout, rows: &[self.index], id: "" };
        canvas.mark(says, place, |canvas| {
            for x in edges {
                let (top, bottom) = (rect.y - 1.0, rect.y + rect.height + 1.0);
                canvas.line((x, top), (x, bottom), Stroke::solid(Ink::Limit, 1.8));
            }
        });
    }

    fn estimate(&self, canvas: &mut Canvas<'_>, axis: &NumberAxis, shown: &Estimate, y: f64) {
        let (shape, ink) = shape_of(shown.role);
        let (from, to) = self.columns.track;
        let bar = Stroke::solid(ink, 2.2);
        let x = axis.at(shown.reading.number());
        let readout = table::readout(self.row, shown, self.words);
        let place = Rect::around(x, y, HALF);
        let says =
            Says { kind: "estimate", readout: &readout, rows: &[self.index], id: &self.row.id };
        canvas.mark(says, place, |canvas| {
            if let Some(interval) = &shown.interval {
                let (low, high) = (axis.at(interval.low), axis.at(interval.high));
                canvas.line((low, y), (high, y), bar);
                // An end that the scale cannot show is open, with an arrow.
                if !axis.holds(interval.low) {
                    arrow_head(canvas, (from, y), -1.0, ink);
                }
                if !axis.holds(interval.high) {
                    arrow_head(canvas, (to, y), 1.0, ink);
                }
            }
            match shown.reading {
                Reading::At(value) => {
                    if !axis.holds(value) {
                        arrow_head(canvas, (from, y), -1.0, ink);
                    }
                    mark::draw(canvas, shape, x, y, ink);
                }
                Reading::Below(_) => censored(canvas, shown.role, (x, y), from, ink),
                Reading::Above(_) => censored(canvas, shown.role, (x, y), to, ink),
            }
        });
    }

    /// Round numbers under the track; those that would touch are left out.
    fn scale(&self, canvas: &mut Canvas<'_>, axis: &NumberAxis, y: f64) -> f64 {
        let (from, to) = self.columns.track;
        let most = if to - from < 260.0 { 4 } else { 5 };
        let mut free_from = from;
        for (tick, shown) in axis.labelled_ticks(most, self.words) {
            let x = axis.at(tick);
            let width = text::width(&shown, TICK);
            if x - width / 2.0 < free_from || x + width / 2.0 > to {
                continue;
            }
            canvas.line((x, y + 1.0), (x, y + 4.0), Stroke::solid(Ink::Rule, 1.0));
            canvas.text((x, y + 5.0), Anchor::Middle, &shown, TICK, Ink::Soft);
            free_from = x + width / 2.0 + 6.0;
        }
        y + 5.0 + TICK.line_height()
    }
}

/// A reading known only to lie beyond its number: a flat end at the number, a line that runs on,
/// an arrow; the role's own shape is left out, for it would say "here".
fn censored(canvas: &mut Canvas<'_>, role: Role, at: (f64, f64), end: f64, ink: Ink) {
    let (x, y) = at;
    let way = if end < x { -1.0 } else { 1.0 };
    let is_later = matches!(role, Role::After | Role::ControlAfter | Role::Alone);
    let dash = if is_later { "" } else { "3 2.5" };
    canvas.line((x, y), (end - way * 4.0, y), Stroke::dashed(ink, 2.2, dash));
    canvas.line((x, y - 5.5), (x, y + 5.5), Stroke::solid(ink, 2.2));
    arrow_head(canvas, (end, y), way, ink);
}

fn arrow_head(canvas: &mut Canvas<'_>, tip: (f64, f64), way: f64, ink: Ink) {
    let (x, y) = tip;
    let back = x - way * 7.0;
    let d =
        format!("M{} {}L{} {}L{} {}z", Px(x), Px(y), Px(back), Px(y - 4.0), Px(back), Px(y + 4.0));
    canvas.path(&d, Some(ink), None);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_roles_share_a_shape() {
        let roles =
            [Role::Before, Role::After, Role::ControlBefore, Role::ControlAfter, Role::Alone];
        for (i, a) in roles.iter().enumerate() {
            for b in &roles[i + 1..] {
                assert_ne!(
                    shape_of(*a).0,
                    shape_of(*b).0,
                    "{a:?} and {b:?} differ in colour alone"
                );
            }
        }
    }
}
