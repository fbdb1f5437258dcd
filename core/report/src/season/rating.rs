//! The lane of visual ratings: points from 1 to 9, joined only within one rater and one track.

use super::table::{Entry, From, group_readout};
use super::{SeasonRows, Track, What};
use crate::canvas::{Anchor, Canvas, Rect, Says, Stroke};
use crate::crowd;
use crate::mark;
use crate::number_axis::NumberAxis;
use crate::palette::Ink;
use crate::text::Font;
use crate::time_axis::TimeAxis;
use crate::words::Words;
use std::collections::{BTreeMap, BTreeSet};

const TICK: Font = Font::plain(11.0);
const POINT: f64 = 3.6;

/// One rater's points of one track.
struct Line<'e, 'a> {
    track: Track,
    dash: &'static str,
    points: Vec<(usize, &'e Entry<'a>, f64)>,
}

/// Everyone who rated, sorted.
pub(super) fn raters(rows: &SeasonRows) -> BTreeSet<&str> {
    let raters = rows.events.iter().filter_map(|event| match &event.what {
        What::Rating { rater, .. } => Some(rater.as_str()),
        _ => None,
    });
    raters.collect()
}

/// Each rater's lines have a dash of their own.
pub(super) fn dash_of(raters: &BTreeSet<&str>, rater: &str) -> &'static str {
    let place = raters.range(..rater).count();
    mark::DASHES[place % mark::DASHES.len()]
}

fn lines<'e, 'a>(entries: &[(usize, &'e Entry<'a>)], raters: &BTreeSet<&str>) -> Vec<Line<'e, 'a>> {
    let mut lines: BTreeMap<(Track, &str), Line<'e, 'a>> = BTreeMap::new();
    for (row, entry) in entries {
        if let From::Event(event) = entry.from
            && let What::Rating { value, track, rater } = &event.what
        {
            let line = lines.entry((*track, rater.as_str())).or_insert_with(|| Line {
                track: *track,
                dash: dash_of(raters, rater),
                points: Vec::new(),
            });
            line.points.push((*row, entry, *value));
        }
    }
    lines.into_values().collect()
}

pub(crate) const fn ink_of(track: Track) -> Ink {
    match track {
        Track::Whole => Ink::Text,
        Track::Treated => Ink::After,
        Track::Control => Ink::Control,
    }
}

/// Draws the points between `y` and `y + height`.
pub(super) fn paint(
    canvas: &mut Canvas<'_>,
    entries: &[(usize, &Entry<'_>)],
    axis: &TimeAxis,
    y: f64,
    height: f64,
    raters: &BTreeSet<&str>,
    words: &Words,
) {
    let scale = NumberAxis::between(1.0, 9.0, y + height - 7.0, y + 7.0);
    for value in [1.0, 5.0, 9.0] {
        let at = scale.at(value);
        canvas.line((axis.from, at), (axis.to, at), Stroke::solid(Ink::Rule2, 1.0));
        let top = at - TICK.box_height() / 2.0;
        canvas.text((axis.from - 5.0, top), Anchor::End, &words.number(value), TICK, Ink::Soft);
    }
    for line in lines(entries, raters) {
        paint_line(canvas, &line, axis, &scale, words);
    }
}

fn paint_line(
    canvas: &mut Canvas<'_>,
    line: &Line<'_, '_>,
    axis: &TimeAxis,
    scale: &NumberAxis,
    words: &Words,
) {
    let ink = ink_of(line.track);
    let points: Vec<(f64, f64)> =
        line.points.iter().map(|(_, entry, value)| (axis.at(entry.date), *value)).collect();
    let runs = crowd::runs(&points);
    let path: Vec<(f64, f64)> = runs.iter().map(|run| (run.x, scale.at(run.mean))).collect();
    // Where most points share their place with others, their range is a ribbon around their mean.
    let is_ribbon = crowd::is_ribbon(&runs, points.len());
    if is_ribbon {
        let lows = runs.iter().map(|run| (run.x, scale.at(run.low) + 1.0));
        let highs = runs.iter().rev().map(|run| (run.x, scale.at(run.high) - 1.0));
        let around: Vec<(f64, f64)> = lows.chain(highs).collect();
        canvas.tint(&mark::polygon(&around), ink, 0.22);
    }
    if runs.len() > 1 {
        canvas.path(&mark::polyline(&path), None, Some(Stroke::dashed(ink, 1.4, line.dash)));
    }
    for run in &runs {
        let (x, low, high) = (run.x, scale.at(run.low), scale.at(run.high));
        let rows: Vec<usize> =
            line.points[run.points.clone()].iter().map(|(row, _, _)| *row).collect();
        let entries: Vec<&Entry<'_>> =
            line.points[run.points.clone()].iter().map(|(_, entry, _)| *entry).collect();
        let readout = group_readout(&entries, words);
        let id = match entries.as_slice() {
            [only] => match only.from {
                From::Event(event) => event.id.as_str(),
                From::Clear(_) | From::Renovation(_) => "",
            },
            _ => "",
        };
        let place = Rect {
            x: x - POINT,
            y: high - POINT,
            width: 2.0 * POINT,
            height: low - high + 2.0 * POINT,
        };
        canvas.mark(Says { kind: "rating", readout: &readout, rows: &rows, id }, place, |canvas| {
            if run.points.len() > 1 && !is_ribbon {
                // Several ratings in one place: the range they span.
                canvas.line((x, high - 2.0), (x, low + 2.0), Stroke::solid(ink, 2.6));
            } else if !is_ribbon {
                draw_point(canvas, line.track, x, low);
            }
        });
    }
}

/// Circles for what was treated or is whole, squares for the control.
pub(crate) fn draw_point(canvas: &mut Canvas<'_>, track: Track, x: f64, y: f64) {
    let ink = ink_of(track);
    let ground = Some(Stroke::solid(Ink::Paper, 1.2));
    let d = match track {
        Track::Whole | Track::Treated => mark::circle(x, y, POINT),
        Track::Control => mark::square(x, y, POINT - 0.4),
    };
    canvas.path(&d, Some(ink), ground);
}
