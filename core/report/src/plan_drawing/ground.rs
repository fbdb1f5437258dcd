//! Metres on the ground to px on the drawing, and what can be asked of an outline.

use super::Spot;
use crate::canvas::Rect;

/// Turns the ground so that a bearing points up, and scales it into a rectangle.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ground {
    sin: f64,
    cos: f64,
    left: f64,
    top: f64,
    pub(super) px_per_metre: f64,
    x: f64,
    y: f64,
}

/// The least extent in metres, so that a single point has a scale.
const LEAST_EXTENT: f64 = 2.0;

impl Ground {
    /// The ground that holds all `spots`, drawn from the top left corner of `room`.
    pub(super) fn fitting(
        spots: impl Iterator<Item = Spot>,
        up_bearing: f64,
        room: Rect,
        most_px_per_metre: f64,
    ) -> (Self, f64) {
        let (sin, cos) = up_bearing.to_radians().sin_cos();
        let turned = Self { sin, cos, left: 0.0, top: 0.0, px_per_metre: 1.0, x: 0.0, y: 0.0 };
        let (mut left, mut right) = (f64::INFINITY, f64::NEG_INFINITY);
        let (mut top, mut bottom) = (f64::INFINITY, f64::NEG_INFINITY);
        for spot in spots {
            let (x, y) = turned.at(spot);
            (left, right) = (left.min(x), right.max(x));
            (top, bottom) = (top.min(y), bottom.max(y));
        }
        if left > right {
            (left, right, top, bottom) = (0.0, 0.0, 0.0, 0.0);
        }
        let width = (right - left).max(LEAST_EXTENT);
        let height = (bottom - top).max(LEAST_EXTENT);
        let px_per_metre = (room.width / width).min(room.height / height).min(most_px_per_metre);
        // Centred in the room's width.
        let x = room.x + (room.width - (right - left) * px_per_metre) / 2.0;
        let used = (bottom - top) * px_per_metre;
        (Self { left, top, px_per_metre, x, y: room.y, ..turned }, used)
    }

    /// Px of a spot.
    pub(super) fn at(&self, spot: Spot) -> (f64, f64) {
        let x = spot.east * self.cos - spot.north * self.sin;
        let y = -(spot.east * self.sin + spot.north * self.cos);
        (self.x + (x - self.left) * self.px_per_metre, self.y + (y - self.top) * self.px_per_metre)
    }

    /// Direction of a bearing on the drawing, as a unit vector in px.
    pub(super) fn towards(&self, bearing: f64) -> (f64, f64) {
        let (east, north) = bearing.to_radians().sin_cos();
        let x = east * self.cos - north * self.sin;
        (x, -(east * self.sin + north * self.cos))
    }
}

/// Smallest rectangle around points.
pub(super) fn bounds(points: &[(f64, f64)]) -> Rect {
    let (mut left, mut right) = (f64::INFINITY, f64::NEG_INFINITY);
    let (mut top, mut bottom) = (f64::INFINITY, f64::NEG_INFINITY);
    for (x, y) in points {
        (left, right) = (left.min(*x), right.max(*x));
        (top, bottom) = (top.min(*y), bottom.max(*y));
    }
    Rect { x: left, y: top, width: right - left, height: bottom - top }
}

/// Whether a point lies inside rings, by the even-odd rule.
pub(super) fn holds(rings: &[Vec<(f64, f64)>], point: (f64, f64)) -> bool {
    let mut is_inside = false;
    for (a, b) in edges(rings) {
        if (a.1 > point.1) != (b.1 > point.1) {
            let x = a.0 + (point.1 - a.1) / (b.1 - a.1) * (b.0 - a.0);
            if x > point.0 {
                is_inside = !is_inside;
            }
        }
    }
    is_inside
}

/// Whether a rectangle lies inside rings and no edge runs through it.
pub(super) fn holds_rect(rings: &[Vec<(f64, f64)>], rect: Rect) -> bool {
    holds(rings, (rect.x + rect.width / 2.0, rect.y + rect.height / 2.0))
        && !is_crossed(rings, rect)
}

/// Whether any part of rings' inside or edge lies in a rectangle.
pub(super) fn touches(rings: &[Vec<(f64, f64)>], rect: Rect) -> bool {
    holds(rings, (rect.x, rect.y)) || is_crossed(rings, rect)
}

/// Whether any edge of rings runs through a rectangle.
pub(super) fn is_crossed(rings: &[Vec<Point>], rect: Rect) -> bool {
    edges(rings).any(|(a, b)| crosses(rect, a, b))
}

type Point = (f64, f64);

fn edges(rings: &[Vec<Point>]) -> impl Iterator<Item = (Point, Point)> {
    rings.iter().flat_map(|ring| ring.iter().copied().zip(ring.iter().cycle().skip(1).copied()))
}

/// Whether a line runs through a rectangle (Liang and Barsky's clipping).
fn crosses(rect: Rect, a: Point, b: Point) -> bool {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    let sides = [
        (-dx, a.0 - rect.x),
        (dx, rect.x + rect.width - a.0),
        (-dy, a.1 - rect.y),
        (dy, rect.y + rect.height - a.1),
    ];
    for (slope, room) in sides {
        if slope.abs() < 1e-12 {
            if room < 0.0 {
                return false;
            }
        } else if slope < 0.0 {
            enter = enter.max(room / slope);
        } else {
            leave = leave.min(room / slope);
        }
    }
    enter <= leave
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square() -> Vec<Vec<Point>> {
        vec![
            vec![(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)],
            vec![(4.0, 4.0), (6.0, 4.0), (6.0, 6.0), (4.0, 6.0)],
        ]
    }

    #[test]
    fn a_hole_is_outside() {
        let rings = square();
        assert!(holds(&rings, (2.0, 2.0)), "in the turf");
        assert!(!holds(&rings, (5.0, 5.0)), "in the bed");
        assert!(!holds(&rings, (12.0, 2.0)), "beyond the edge");
    }

    #[test]
    fn a_label_has_to_lie_wholly_inside() {
        let rings = square();
        let rect = |x, y, width, height| Rect { x, y, width, height };
        assert!(holds_rect(&rings, rect(1.0, 1.0, 8.0, 2.0)), "above the bed");
        assert!(!holds_rect(&rings, rect(1.0, 3.0, 8.0, 2.0)), "over the bed's edge");
        assert!(!holds_rect(&rings, rect(8.0, 1.0, 4.0, 2.0)), "over the outer edge");
        assert!(touches(&rings, rect(8.0, 1.0, 4.0, 2.0)), "it does touch");
        assert!(!touches(&rings, rect(11.0, 1.0, 4.0, 2.0)), "it lies beside");
    }

    #[test]
    fn the_bearing_given_points_up() {
        let spots = [Spot { east: 0.0, north: 0.0 }, Spot { east: 10.0, north: 10.0 }];
        let room = Rect { x: 0.0, y: 0.0, width: 100.0, height: 100.0 };
        let (ground, _) = Ground::fitting(spots.into_iter(), 90.0, room, f64::INFINITY);
        let (dx, dy) = ground.towards(90.0);
        assert!(dx.abs() < 1e-12 && (dy + 1.0).abs() < 1e-12, "east is up: {dx} {dy}");
        let (nx, _) = ground.towards(0.0);
        assert!((nx + 1.0).abs() < 1e-12, "and north is to the left");
    }
}
