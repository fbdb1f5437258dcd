//! Finding our chart by its markers.

use super::{
    markers::{Seen, markers},
    reduced::Reduced,
};
use crate::{
    ImagingError,
    chart::{
        ChartReading, Sheet, correct_by_chart,
        sheet::{BLANK_MIDDLE, KEY_MIDDLE, MARKER_MIDDLES, in_unit},
    },
    correction::Correction,
    frame::{Frame, Point},
    homography::{Corners, Homography},
    primaries::ColourSpace,
};

/// A chart that was found.
#[derive(Debug, Clone, PartialEq)]
pub struct FoundChart {
    /// Middles of its markers, clockwise from the sheet's own upper left.
    pub corners: Corners,
    /// The correction.
    pub correction: Correction,
    /// What was read.
    pub reading: ChartReading,
    /// Share of the markers' modules that are dark or light as they should be.
    pub match_share: f64,
}

impl FoundChart {
    /// Outline of the whole sheet with a margin, to leave out of what is measured.
    #[must_use]
    pub fn outline(&self) -> Vec<Point> {
        sheet_outline(&self.corners)
    }
}

/// Outline of the whole sheet, and a module around it, from the middles of its markers.
#[must_use]
pub fn sheet_outline(corners: &Corners) -> Vec<Point> {
    use crate::chart::{SHEET_HEIGHT, SHEET_WIDTH};
    let way = Homography::to(corners);
    let (left, top) = (-1.0, -1.0);
    let (right, bottom) = (SHEET_WIDTH + 1.0, SHEET_HEIGHT + 1.0);
    [(left, top), (right, top), (right, bottom), (left, bottom)]
        .into_iter()
        .map(|(x, y)| {
            let unit = in_unit(Point::new(x, y));
            way.map(unit.x, unit.y)
        })
        .collect()
}

/// The longest side that markers are looked for in.
const LONGEST: usize = 1400;
/// The least share of modules that must be as they should.
const LEAST_MATCH: f64 = 0.93;

/// Finds our chart, whichever way round it lies.
///
/// # Errors  `NotFound` when no four markers make a sheet; `ChartFit` or `Corners` when a sheet is
///   there but cannot be used, such as half in shade.
pub fn find_chart(
    frame: &Frame<'_>,
    space: ColourSpace,
    sheet: &Sheet,
) -> Result<FoundChart, ImagingError> {
    let reduced = Reduced::of(frame, LONGEST);
    let seen = markers(&reduced);
    if seen.len() < 4 {
        return Err(ImagingError::NotFound {
            what: "chart",
            why: "fewer than four of its corner squares were seen",
        });
    }
    let mut best: Option<(f64, Corners)> = None;
    for_each_four(&seen, |four| {
        for corners in ways_round(four, reduced.block) {
            let Some(share) = match_share(frame, &corners) else { continue };
            if best.as_ref().is_none_or(|(most, _)| share > *most) {
                best = Some((share, corners));
            }
        }
    });
    let Some((match_share, corners)) = best.filter(|(share, _)| *share >= LEAST_MATCH) else {
        return Err(ImagingError::NotFound {
            what: "chart",
            why: "the squares that were seen are not the corners of the sheet",
        });
    };
    let (correction, reading) = correct_by_chart(frame, space, &corners, sheet)?;
    Ok(FoundChart { corners, correction, reading, match_share })
}

fn for_each_four(seen: &[Seen], mut visit: impl FnMut([Seen; 4])) {
    let n = seen.len();
    for a in 0..n {
        for b in a + 1..n {
            for c in b + 1..n {
                for d in c + 1..n {
                    visit([seen[a], seen[b], seen[c], seen[d]]);
                }
            }
        }
    }
}

/// The four orders, clockwise, in which four markers may be the corners of the sheet.
fn ways_round(mut four: [Seen; 4], block: usize) -> Vec<Corners> {
    let modules = four.map(|one| one.module);
    let (least, most) =
        modules.iter().fold((f64::INFINITY, 0.0_f64), |(low, high), m| (low.min(*m), high.max(*m)));
    if most > 2.5 * least {
        return Vec::new();
    }
    let x = four.iter().map(|one| one.middle.x).sum::<f64>() / 4.0;
    let y = four.iter().map(|one| one.middle.y).sum::<f64>() / 4.0;
    let angle = |one: &Seen| (one.middle.y - y).atan2(one.middle.x - x);
    four.sort_by(|a, b| angle(a).total_cmp(&angle(b)));
    let [from, along, _, _] = MARKER_MIDDLES;
    let modules_along = along.x - from.x;
    (0..4)
        .filter_map(|first| {
            let corners: [Point; 4] = std::array::from_fn(|at| {
                let middle = four[(first + at) % 4].middle;
                Point::new(middle.x * block as f64, middle.y * block as f64)
            });
            // A sheet seen aslant is foreshortened; what its markers say of a module holds within
            // a factor of two.
            let side = |a: Point, b: Point| (a.x - b.x).hypot(a.y - b.y);
            let long = 0.5 * (side(corners[0], corners[1]) + side(corners[3], corners[2]));
            let module = long / modules_along;
            let told = block as f64 * f64::midpoint(least, most);
            let fits = module < 2.2 * told && told < 2.2 * module;
            if fits { Corners(corners).checked(1000.0).ok() } else { None }
        })
        .collect()
}

/// Share of the modules of markers, key and blank that are dark or light as they should be.
fn match_share(frame: &Frame<'_>, corners: &Corners) -> Option<f64> {
    let way = Homography::to(corners);
    let code = |x: f64, y: f64| {
        let unit = in_unit(Point::new(x, y));
        green_at(frame, way.map(unit.x, unit.y))
    };
    let (mut right, mut all) = (0_u32, 0_u32);
    let (mut darkest, mut lightest) = (0.0, 0.0);
    for middle in MARKER_MIDDLES {
        let mut modules = Vec::with_capacity(49);
        for row in -3_i32..=3 {
            for column in -3_i32..=3 {
                let ring = row.abs().max(column.abs());
                let code = code(middle.x + f64::from(column), middle.y + f64::from(row))?;
                modules.push((ring != 2, code));
            }
        }
        let mean = |dark: bool| {
            let of = modules.iter().filter(|(is_dark, _)| *is_dark == dark);
            let (sum, count) = of.fold((0.0, 0_u32), |(sum, n), (_, code)| (sum + code, n + 1));
            sum / f64::from(count)
        };
        let (dark, light) = (mean(true), mean(false));
        if light < 1.4 * dark + 10.0 {
            return None;
        }
        darkest += 0.25 * dark;
        lightest += 0.25 * light;
        let border = f64::midpoint(dark, light);
        for (is_dark, code) in modules {
            all += 1;
            right += u32::from((code < border) == is_dark);
        }
    }
    let border = f64::midpoint(darkest, lightest);
    for (middle, is_dark) in [(KEY_MIDDLE, true), (BLANK_MIDDLE, false)] {
        for (dx, dy) in [(0.0, 0.0), (-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)] {
            // Which way round the sheet lies hangs on these alone.
            if (code(middle.x + dx, middle.y + dy)? < border) != is_dark {
                return None;
            }
        }
    }
    Some(f64::from(right) / f64::from(all))
}

/// Green code at a point, `None` outside of the photo.
fn green_at(frame: &Frame<'_>, point: Point) -> Option<f64> {
    let (x, y) = (point.x.floor(), point.y.floor());
    let is_inside = x >= 0.0 && y >= 0.0 && x < frame.width() as f64 && y < frame.height() as f64;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "checked to lie inside the frame"
    )]
    is_inside.then(|| f64::from(frame.pixel(x as usize, y as usize)[1]))
}
