//! The lines of a series: corrected points joined, uncorrected ones hollow and by themselves.

use super::paint::{LABEL, Numbered, dashes, says};
use super::table::Entry;
use super::{Card, SeriesRows, Track};
use crate::canvas::{Anchor, Canvas, Rect, Says, Stroke};
use crate::crowd::{self, Run};
use crate::mark;
use crate::number_axis::NumberAxis;
use crate::palette::Ink;
use crate::season::ink_of;
use crate::taken::Taken;
use crate::text;
use crate::time_axis::TimeAxis;
use crate::words::Words;

const POINT: f64 = 4.0;

pub(super) struct Lines<'r> {
    pub(super) rows: &'r SeriesRows,
    pub(super) words: &'r Words,
    pub(super) days: TimeAxis,
    pub(super) axis: NumberAxis,
    /// The right end of the room for words.
    pub(super) edge: f64,
    /// The top and the bottom of it.
    pub(super) room: (f64, f64),
}

impl Lines<'_> {
    /// Draws every line; `shown` is in the table's order, so each line's points lie together.
    pub(super) fn paint(&self, canvas: &mut Canvas<'_>, shown: &[Numbered<'_, '_>]) {
        let mut taken = Taken::default();
        let mut ends = Vec::new();
        let dashes = dashes(self.rows);
        for (index, (line, dash)) in self.rows.lines.iter().zip(dashes).enumerate() {
            let start = shown.partition_point(|(_, entry)| line_of(entry) < index);
            let end = shown.partition_point(|(_, entry)| line_of(entry) <= index);
            let of = |wanted: Card| -> Vec<Numbered<'_, '_>> {
                let is_wanted = |(_, entry): &&Numbered<'_, '_>| matches!(entry, Entry::Point(_, _, point) if point.card == wanted);
                shown[start..end].iter().filter(is_wanted).copied().collect()
            };
            let hollow = of(Card::Uncorrected);
            for run in self.runs(&hollow) {
                self.point(canvas, &hollow[run.points.clone()], &run, line.track, &mut taken);
            }
            let joined = of(Card::Corrected);
            if let Some(end) = self.joined(canvas, &joined, line.track, dash, &mut taken) {
                ends.push((end, line));
            }
        }
        // A name stands at its line's end where there is room; the legend has them all.
        for ((x, y), line) in ends {
            let width = text::width(&line.name, LABEL);
            let height = LABEL.box_height();
            let place = [0.0, -9.0, 9.0, -16.0, 16.0].into_iter().find_map(|shift| {
                let rect = Rect { x: x + 9.0, y: y - height / 2.0 + shift, width, height };
                let is_within = rect.x + width <= self.edge
                    && rect.y >= self.room.0
                    && rect.y + height <= self.room.1;
                let is_free = is_within && taken.is_free(rect);
                is_free.then_some(rect)
            });
            if let Some(rect) = place {
                taken.take(rect);
                let at = (rect.x, rect.y);
                canvas.halo_text(at, Anchor::Start, &line.name, LABEL, ink_of(line.track));
            }
        }
    }

    fn runs(&self, points: &[Numbered<'_, '_>]) -> Vec<Run> {
        let points: Vec<(f64, f64)> = points
            .iter()
            .filter_map(|(_, entry)| match entry {
                Entry::Point(_, _, point) => Some((self.days.at(point.date), point.value)),
                Entry::Application(_) | Entry::Bar(..) => None,
            })
            .collect();
        crowd::runs(&points)
    }

    /// Corrected points with their line; returns where it ends.
    fn joined(
        &self,
        canvas: &mut Canvas<'_>,
        points: &[Numbered<'_, '_>],
        track: Track,
        dash: &'static str,
        taken: &mut Taken,
    ) -> Option<(f64, f64)> {
        let runs = self.runs(points);
        let ink = ink_of(track);
        let axis = &self.axis;
        let path: Vec<(f64, f64)> = runs.iter().map(|run| (run.x, axis.at(run.mean))).collect();
        let is_ribbon = crowd::is_ribbon(&runs, points.len());
        if is_ribbon {
            let lows = runs.iter().map(|run| (run.x, axis.at(run.low) + 1.0));
            let highs = runs.iter().rev().map(|run| (run.x, axis.at(run.high) - 1.0));
            let around: Vec<(f64, f64)> = lows.chain(highs).collect();
            canvas.tint(&mark::polygon(&around), ink, 0.2);
        }
        if path.len() > 1 {
            canvas.path(&mark::polyline(&path), None, Some(Stroke::dashed(ink, 1.7, dash)));
            for pair in path.windows(2) {
                take_line(taken, pair[0], pair[1]);
            }
        }
        for run in &runs {
            let members = &points[run.points.clone()];
            if is_ribbon {
                self.span(canvas, members, run, taken, |_| {});
            } else {
                self.point(canvas, members, run, track, taken);
            }
        }
        path.last().copied()
    }

    /// One point with its interval, or the range of several in one place.
    fn point(
        &self,
        canvas: &mut Canvas<'_>,
        members: &[Numbered<'_, '_>],
        run: &Run,
        track: Track,
        taken: &mut Taken,
    ) {
        let ink = ink_of(track);
        let (x, low, high) = (run.x, self.axis.at(run.low), self.axis.at(run.high));
        self.span(canvas, members, run, taken, |canvas| {
            let [(_, Entry::Point(_, _, point))] = members else {
                canvas.line((x, high - 2.0), (x, low + 2.0), Stroke::solid(ink, 2.6));
                return;
            };
            if let Some((from, to)) = point.interval {
                let (from, to) = ((x, self.axis.at(from)), (x, self.axis.at(to)));
                canvas.line(from, to, Stroke::solid(ink, 1.2));
            }
            let d = match track {
                Track::Whole | Track::Treated => mark::circle(x, low, POINT - 0.5),
                Track::Control => mark::square(x, low, POINT - 0.8),
            };
            let (fill, edge) = match point.card {
                Card::Corrected => (ink, Stroke::solid(Ink::Paper, 1.2)),
                Card::Uncorrected => (Ink::Paper, Stroke::solid(ink, 1.5)),
            };
            canvas.path(&d, Some(fill), Some(edge));
        });
    }

    /// The mark that can be pointed at, from a run's highest to its lowest value.
    fn span(
        &self,
        canvas: &mut Canvas<'_>,
        members: &[Numbered<'_, '_>],
        run: &Run,
        taken: &mut Taken,
        draw: impl FnOnce(&mut Canvas<'_>),
    ) {
        let (low, high) = (self.axis.at(run.low), self.axis.at(run.high));
        let rect = Rect {
            x: run.x - POINT,
            y: high - POINT,
            width: 2.0 * POINT,
            height: low - high + 2.0 * POINT,
        };
        taken.take(rect);
        let (readout, rows) = says(self.rows, members, self.words);
        let id = match members {
            [(_, Entry::Point(_, _, point))] => point.id.as_str(),
            _ => "",
        };
        canvas.mark(Says { kind: "point", readout: &readout, rows: &rows, id }, rect, draw);
    }
}

fn line_of(entry: &Entry<'_>) -> usize {
    match entry {
        Entry::Point(index, _, _) => *index,
        Entry::Application(_) | Entry::Bar(..) => usize::MAX,
    }
}

/// Marks the way of a line as taken, in steps short enough for a label.
fn take_line(taken: &mut Taken, from: (f64, f64), to: (f64, f64)) {
    const STEP: f64 = 6.0;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "px of a drawing over a step; a cast saturates"
    )]
    let steps = ((to.0 - from.0).hypot(to.1 - from.1) / STEP).ceil().clamp(1.0, 2000.0) as u32;
    for i in 0..=steps {
        let share = f64::from(i) / f64::from(steps);
        let at = (from.0 + (to.0 - from.0) * share, from.1 + (to.1 - from.1) * share);
        taken.take(Rect::around(at.0, at.1, 2.0));
    }
}
