//! The ground that may be cored: the outline less a margin along every edge.

use crate::{
    AgronomyError,
    area::{Outline, Point},
    error::within,
};

/// An outline with a margin kept clear of every edge, holes included.
#[derive(Debug, Clone, PartialEq)]
pub struct Ground {
    outline: Outline,
    margin: f64,
    area: f64,
}

/// A direction along which ground is sliced.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Axis {
    X,
    Y,
}

impl Axis {
    pub(super) const fn along(self, p: Point) -> f64 {
        match self {
            Self::X => p.x,
            Self::Y => p.y,
        }
    }

    const fn across(self, p: Point) -> f64 {
        match self {
            Self::X => p.y,
            Self::Y => p.x,
        }
    }
}

/// A rectangle along the axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Least x and y.
    pub low: Point,
    /// Greatest x and y.
    pub high: Point,
}

impl Bounds {
    /// Whether a place lies in it, edges included.
    #[must_use]
    pub fn contains(&self, p: Point) -> bool {
        (self.low.x..=self.high.x).contains(&p.x) && (self.low.y..=self.high.y).contains(&p.y)
    }
}

pub(super) const OPERATION: &str = "sampling points";
/// With more corners than this the slices no longer begin and end at each of them.
const MANY_CORNERS: usize = 200;
const SLICES: usize = 2_048;

/// A strip of ground between two lines square to an axis.
#[derive(Debug, Clone, Copy)]
pub(super) struct Slice {
    pub(super) from: f64,
    pub(super) to: f64,
    /// Length of open ground along its middle.
    pub(super) length: f64,
    /// Least and greatest place of open ground along its middle.
    pub(super) extent: (f64, f64),
}

impl Slice {
    pub(super) const fn area(&self) -> f64 {
        (self.to - self.from) * self.length
    }
}

impl Ground {
    /// The ground within an outline, a margin off every edge.
    ///
    /// # Units  margin in m.
    /// # Errors `Argument` for a margin not from 0 to 100 m; `Refused` when it leaves no ground.
    pub fn new(outline: Outline, margin: f64) -> Result<Self, AgronomyError> {
        let margin = within(OPERATION, "edge_margin", margin, "m", 0.0, 100.0)?;
        let mut ground = Self { outline, margin, area: 0.0 };
        let slices = ground.slices(Axis::X, &ground.bounds());
        ground.area = slices.iter().map(Slice::area).sum();
        if ground.area <= 0.0 {
            return Err(AgronomyError::Refused {
                operation: OPERATION,
                argument: "edge_margin",
                why: format!("{margin} m off every edge leaves no ground; take a smaller margin"),
            });
        }
        Ok(ground)
    }

    /// The outline.
    #[must_use]
    pub const fn outline(&self) -> &Outline {
        &self.outline
    }

    /// The margin, m.
    #[must_use]
    pub const fn margin(&self) -> f64 {
        self.margin
    }

    /// Whether a place may be cored.
    #[must_use]
    pub fn contains(&self, p: Point) -> bool {
        self.outline.contains(p) && self.outline.distance_to_edge(p) >= self.margin
    }

    /// Area that may be cored, m2, summed over fine slices.
    #[must_use]
    pub const fn area(&self) -> f64 {
        self.area
    }

    /// The rectangle around the outline.
    #[must_use]
    pub fn bounds(&self) -> Bounds {
        let (low, high) = self.outline.outer().bounds();
        Bounds { low, high }
    }

    /// Fine slices of the ground within a rectangle, in order along the axis.
    pub(super) fn slices(&self, axis: Axis, within: &Bounds) -> Vec<Slice> {
        let (from, to) = (axis.along(within.low), axis.along(within.high));
        let (low, high) = (axis.across(within.low), axis.across(within.high));
        let mut places = vec![from, to];
        let corners = || self.outline.rings().flat_map(|ring| ring.corners());
        if corners().count() <= MANY_CORNERS {
            // Between these the length of open ground changes without a jump.
            for corner in corners() {
                let at = axis.along(*corner);
                places.extend([at - self.margin, at, at + self.margin]);
            }
        }
        places.retain(|place| (from..=to).contains(place));
        places.sort_by(f64::total_cmp);
        places.dedup();
        let each = (SLICES / places.len().max(1)).max(1);
        let mut slices = Vec::with_capacity(SLICES);
        for pair in places.windows(2) {
            let width = (pair[1] - pair[0]) / each as f64;
            for i in 0..each {
                let begin = pair[0] + i as f64 * width;
                let open = self.open_along(axis, begin + 0.5 * width, low, high);
                let length = open.iter().map(|(a, b)| b - a).sum();
                let extent = match (open.first(), open.last()) {
                    (Some((first, _)), Some((_, last))) => (*first, *last),
                    _ => (high, low),
                };
                slices.push(Slice { from: begin, to: begin + width, length, extent });
            }
        }
        slices
    }

    /// Stretches of open ground on the line square to the axis at `at`, between `low` and `high`.
    fn open_along(&self, axis: Axis, at: f64, low: f64, high: f64) -> Vec<(f64, f64)> {
        let mut crossings = Vec::new();
        let mut closed = Vec::new();
        for (a, b) in self.outline.rings().flat_map(|ring| ring.edges()) {
            let (a, b) = ((axis.along(a), axis.across(a)), (axis.along(b), axis.across(b)));
            if (a.0 > at) != (b.0 > at) {
                crossings.push(a.1 + (at - a.0) / (b.0 - a.0) * (b.1 - a.1));
            }
            if self.margin > 0.0 {
                closed.extend(near_side(at, a, b, self.margin));
            }
        }
        crossings.sort_by(f64::total_cmp);
        closed.sort_by(|one, other| one.0.total_cmp(&other.0));
        let mut open = Vec::new();
        for pair in crossings.chunks_exact(2) {
            let (mut from, to) = (pair[0].max(low), pair[1].min(high));
            for (begin, end) in &closed {
                if *begin > from && from < to {
                    open.push((from, begin.min(to)));
                }
                from = from.max(*end);
            }
            if from < to {
                open.push((from, to));
            }
        }
        open.retain(|(from, to)| from < to);
        open
    }
}

/// Where the line at `at` runs within `margin` of the side from a to b: one stretch, since the
/// ground near a side bulges everywhere.
fn near_side(at: f64, a: (f64, f64), b: (f64, f64), margin: f64) -> Option<(f64, f64)> {
    let mut reach: Option<(f64, f64)> = None;
    let mut take = |low: f64, high: f64| {
        reach = Some(reach.map_or((low, high), |(l, h)| (l.min(low), h.max(high))));
    };
    for end in [a, b] {
        let off = at - end.0;
        if off.abs() <= margin {
            let half = (margin * margin - off * off).sqrt();
            take(end.1 - half, end.1 + half);
        }
    }
    let length = (b.0 - a.0).hypot(b.1 - a.1);
    let (nx, ny) = (margin * (b.1 - a.1) / length, margin * (a.0 - b.0) / length);
    let band =
        [(a.0 + nx, a.1 + ny), (b.0 + nx, b.1 + ny), (b.0 - nx, b.1 - ny), (a.0 - nx, a.1 - ny)];
    for (p, q) in band.iter().zip(band.iter().cycle().skip(1)) {
        if (p.0 > at) != (q.0 > at) {
            let y = p.1 + (at - p.0) / (q.0 - p.0) * (q.1 - p.1);
            take(y, y);
        }
    }
    reach
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::area::Ring;

    pub(in super::super) fn ring(corners: &[(f64, f64)]) -> Ring {
        Ring::new(&corners.iter().map(|(x, y)| Point::new(*x, *y)).collect::<Vec<_>>()).unwrap()
    }

    /// An L of 464 m2.
    pub(in super::super) fn l_shape(margin: f64) -> Ground {
        let outer =
            ring(&[(0.0, 0.0), (24.0, 0.0), (24.0, 10.0), (14.0, 10.0), (14.0, 26.0), (0.0, 26.0)]);
        Ground::new(Outline::of(outer), margin).unwrap()
    }

    /// Open ground of the L a metre off its edges: 22 x 8 and 12 x 16, and in the inner corner a
    /// square less a quarter of a disc.
    pub(in super::super) fn l_shape_open_at_one_metre() -> f64 {
        22.0 * 8.0 + 12.0 * 16.0 + (1.0 - std::f64::consts::FRAC_PI_4)
    }

    #[test]
    fn open_ground_is_the_outline_less_its_margin() {
        assert!((l_shape(0.0).area() - 464.0).abs() < 1e-6, "no margin");
        let open = l_shape(1.0).area();
        assert!((open - l_shape_open_at_one_metre()).abs() < 1e-3, "{open}");
    }

    #[test]
    fn a_hole_has_a_margin_too_and_round_corners() {
        let outer = ring(&[(0.0, 0.0), (20.0, 0.0), (20.0, 20.0), (0.0, 20.0)]);
        let hole = ring(&[(8.0, 8.0), (12.0, 8.0), (12.0, 12.0), (8.0, 12.0)]);
        let ground = Ground::new(Outline::with_holes(outer, vec![hole]).unwrap(), 2.0).unwrap();
        // 16 x 16 less a square of 4 with a band of 2 and four quarter discs around it.
        let expected = 256.0 - (16.0 + 4.0 * 8.0 + std::f64::consts::PI * 4.0);
        assert!((ground.area() - expected).abs() < 0.01, "{} {expected}", ground.area());
    }

    #[test]
    fn slices_agree_with_single_places() {
        // A slanting outline with a hole; a fine grid of places is counted.
        let outer = ring(&[(0.0, 0.0), (30.0, 5.0), (26.0, 22.0), (12.0, 15.0), (3.0, 25.0)]);
        let hole = ring(&[(10.0, 6.0), (15.0, 7.0), (13.0, 11.0)]);
        let ground = Ground::new(Outline::with_holes(outer, vec![hole]).unwrap(), 1.5).unwrap();
        let step = 0.05;
        let (mut inside, mut x) = (0.0, 0.5 * step);
        while x < 30.0 {
            let mut y = 0.5 * step;
            while y < 25.0 {
                inside += f64::from(u8::from(ground.contains(Point::new(x, y))));
                y += step;
            }
            x += step;
        }
        let counted = inside * step * step;
        assert!((ground.area() - counted).abs() < 0.5, "{} {counted}", ground.area());
        let other: f64 = ground.slices(Axis::Y, &ground.bounds()).iter().map(Slice::area).sum();
        assert!((ground.area() - other).abs() < 0.01, "the same along the other axis: {other}");
    }

    #[test]
    fn a_margin_that_leaves_nothing_is_refused() {
        let outer = ring(&[(0.0, 0.0), (10.0, 0.0), (10.0, 2.0), (0.0, 2.0)]);
        let refused = Ground::new(Outline::of(outer), 1.0).unwrap_err();
        assert_eq!(refused.argument(), "edge_margin", "a verge of 2 m has no ground a metre off");
    }
}
