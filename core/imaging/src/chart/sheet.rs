//! Where everything lies on the sheet, in modules: the width of a marker's ring.

use super::patches::PATCHES;
use crate::{frame::Point, srgb::Linear};

/// Columns of patches.
pub const COLUMNS: usize = 6;
/// Rows of patches.
pub const ROWS: usize = 4;
/// Width of the sheet, modules.
pub const SHEET_WIDTH: f64 = 73.0;
/// Height of the sheet, modules.
pub const SHEET_HEIGHT: f64 = 39.0;

/// Side of a patch.
const PATCH: f64 = 8.0;
/// From one patch to the next.
const PITCH: f64 = 9.0;
/// Upper left corner of the first patch.
const FIRST: Point = Point::new(10.0, 2.0);
/// Share of a patch, from its middle, that is read.
const INNER: f64 = 0.5;

/// Side of a corner marker: ring, gap, core as 1:1:3:1:1, seven modules.
pub(super) const MARKER: f64 = 7.0;
/// Middles of the markers: upper left, upper right, lower right, lower left.
pub(crate) const MARKER_MIDDLES: [Point; 4] =
    [Point::new(5.5, 5.5), Point::new(67.5, 5.5), Point::new(67.5, 33.5), Point::new(5.5, 33.5)];
/// Middle of the filled square on the left side, which tells which way round the sheet lies.
pub(crate) const KEY_MIDDLE: Point = Point::new(5.5, 19.5);
/// The same place on the right side, which stays white.
pub(crate) const BLANK_MIDDLE: Point = Point::new(67.5, 19.5);
/// Side of the filled square.
pub(super) const KEY: f64 = 4.0;

/// A point of the sheet in the unit square between the markers' middles.
#[must_use]
pub(crate) fn in_unit(point: Point) -> Point {
    let [from, _, to, _] = MARKER_MIDDLES;
    Point::new((point.x - from.x) / (to.x - from.x), (point.y - from.y) / (to.y - from.y))
}

/// Corners of a patch, upper left and lower right, modules.
pub(super) fn patch_box(number: usize) -> (Point, Point) {
    let from = Point::new(
        FIRST.x + PITCH * (number % COLUMNS) as f64,
        FIRST.y + PITCH * (number / COLUMNS) as f64,
    );
    (from, Point::new(from.x + PATCH, from.y + PATCH))
}

/// The part of a patch that is read, in the unit square.
pub(super) fn inner_box(number: usize) -> (Point, Point) {
    let (from, to) = patch_box(number);
    let margin = 0.5 * (1.0 - INNER) * PATCH;
    (
        in_unit(Point::new(from.x + margin, from.y + margin)),
        in_unit(Point::new(to.x - margin, to.y - margin)),
    )
}

/// A printed sheet: the colours its patches truly have.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// Linear sRGB of each patch, in the order of [`PATCHES`].
    pub known: [Linear; 24],
}

impl Sheet {
    /// A sheet taken to be as it was drawn: good for comparing photos of one and the same print.
    #[must_use]
    pub fn as_drawn() -> Self {
        Self { known: PATCHES.map(|patch| patch.drawn()) }
    }

    /// A sheet whose patches were measured.
    #[must_use]
    pub const fn measured(known: [Linear; 24]) -> Self {
        Self { known }
    }
}
