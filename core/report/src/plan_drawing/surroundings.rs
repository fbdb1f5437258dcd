//! What stands around the plan: zones of known area alone, the scale bar, the north arrow, the legend.

use super::ground::Ground;
use super::paint::{DETAIL, NAME, core_look, size_of, stroke_of, write_lines};
use super::{CoreFate, Extent, PlanRows, Track, ZoneShape, table};
use crate::canvas::{Anchor, Canvas, Rect, Says, Stroke};
use crate::legend::Sample;
use crate::mark::{self, Shape};
use crate::palette::Ink;
use crate::text;
use crate::words::Words;

pub(super) fn area_of(zone: &ZoneShape) -> Option<f64> {
    match zone.extent {
        Extent::Outline { .. } => None,
        Extent::Area { square_metres } => Some(square_metres),
    }
}

/// Zones of known area alone: blocks of that size in rows, each with its words under it.
pub(super) fn blocks(
    canvas: &mut Canvas<'_>,
    rows: &PlanRows,
    px_per_metre: f64,
    y: f64,
    words: &Words,
) -> f64 {
    const GAP: f64 = 18.0;
    let room = canvas.width();
    let mut x = 0.0;
    let (mut top, mut line_end) = (y, y);
    for (row, zone) in rows.zones.iter().enumerate() {
        let Some(area) = area_of(zone) else { continue };
        let side = (area.sqrt() * px_per_metre).clamp(3.0, room);
        let lines = [
            (text::fit(&zone.name, NAME, room), NAME, Ink::Text),
            (text::fit(&zone.detail, DETAIL, room), DETAIL, Ink::Soft),
        ];
        let size = size_of(&lines);
        let cell = size.width.max(side);
        if x > 0.0 && x + cell > room {
            x = 0.0;
            top = line_end + 10.0;
        }
        let rect = Rect { x: x + 0.7, y: top, width: side - 1.4, height: side };
        let corners = [
            (rect.x, rect.y),
            (rect.x + rect.width, rect.y),
            (rect.x + rect.width, rect.y + rect.height),
            (rect.x, rect.y + rect.height),
        ];
        let d = mark::polygon(&corners);
        let readout = table::zone(zone, words);
        let says = Says { kind: "zone", readout: &readout, rows: &[row], id: &zone.id };
        canvas.ground_mark(says, rect, &d, |canvas| {
            canvas.tint(&d, Ink::After, 0.1);
            canvas.path(&d, None, Some(Stroke::dashed(Ink::Text, 1.4, "2 4")));
        });
        let words_at = Rect { x, y: top + side + 4.0, width: cell, height: size.height };
        write_lines(canvas, &lines, words_at, Anchor::Start);
        line_end = line_end.max(words_at.y + size.height);
        x += cell + GAP;
    }
    if line_end > y { line_end + 8.0 } else { y }
}

/// A bar of a round length at the left, and the north arrow at the right.
pub(super) fn scale_and_north(
    canvas: &mut Canvas<'_>,
    ground: &Ground,
    rows: &PlanRows,
    y: f64,
    words: &Words,
) -> f64 {
    const TALL: f64 = 40.0;
    let unit = words.length_unit.metres;
    let px_per_unit = ground.px_per_metre * unit;
    if px_per_unit > 0.0 && px_per_unit.is_finite() {
        // The longest of 1, 2, 5 times a power of ten within a quarter of the width.
        let most = canvas.width() * 0.25 / px_per_unit;
        let power = 10_f64.powf(most.log10().floor());
        let factor = [5.0, 2.0, 1.0].into_iter().find(|f| f * power <= most).unwrap_or(1.0);
        let length = factor * power;
        let (bar, at) = (length * px_per_unit, y + TALL / 2.0);
        let d =
            mark::polyline(&[(1.0, at - 5.0), (1.0, at), (1.0 + bar, at), (1.0 + bar, at - 5.0)]);
        canvas.path(&d, None, Some(Stroke::solid(Ink::Text, 1.4)));
        let label = format!("{} {}", words.number(length), words.length_unit.symbol);
        let top = at - DETAIL.box_height() / 2.0 - 2.0;
        canvas.text((bar + 9.0, top), Anchor::Start, &label, DETAIL, Ink::Text);
    }
    if rows.up_bearing.is_some() {
        let (dx, dy) = ground.towards(0.0);
        let (x, middle) = (canvas.width() - 24.0, y + TALL / 2.0);
        let along = |reach: f64, aside: f64| {
            (x + dx * reach - dy * aside, middle + dy * reach + dx * aside)
        };
        let needle = [along(9.0, 0.0), along(-9.0, 5.0), along(-5.0, 0.0), along(-9.0, -5.0)];
        canvas.path(&mark::polygon(&needle), Some(Ink::Text), None);
        let (nx, ny) = along(17.0, 0.0);
        let top = ny - DETAIL.box_height() / 2.0;
        canvas.text((nx, top), Anchor::Middle, &words.north, DETAIL, Ink::Text);
    }
    y + TALL
}

pub(super) fn legend_entries(rows: &PlanRows, words: &Words) -> Vec<(Sample, String)> {
    let mut entries = Vec::new();
    let roles = [(Track::Treated, &words.treated), (Track::Control, &words.control)];
    for (role, name) in roles {
        if rows.strips.iter().any(|strip| strip.role == role) {
            entries.push((Sample::Line(stroke_of(role)), format!("{}, {name}", words.strip)));
        }
    }
    if rows.zones.iter().any(|zone| area_of(zone).is_some()) {
        let stroke = Stroke::dashed(Ink::Text, 1.4, "2 4");
        entries.push((Sample::Line(stroke), words.only_area.clone()));
    }
    let fates = [
        (CoreFate::Planned, &words.planned),
        (CoreFate::Kept, &words.kept),
        (CoreFate::SetAside { reason: String::new() }, &words.set_aside),
    ];
    for (fate, name) in fates {
        let is_same =
            |other: &CoreFate| std::mem::discriminant(other) == std::mem::discriminant(&fate);
        if rows.cores.iter().any(|core| is_same(&core.fate)) {
            let (shape, ink) = core_look(&fate);
            entries.push((Sample::Mark(shape, ink), format!("{}, {name}", words.core)));
        }
    }
    if !rows.photos.is_empty() {
        entries.push((Sample::Mark(Shape::Camera, Ink::Text), words.photo.clone()));
    }
    entries
}
