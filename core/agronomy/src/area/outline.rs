//! The outline of a zone with its beds and paving cut out.

use swardbook_units::{Area, Worked, Working};

use crate::{AgronomyError, source};

/// A place on the plane, in metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// To the east, or along the base line.
    pub x: f64,
    /// To the north, or away from it.
    pub y: f64,
}

impl Point {
    /// A place by its two distances.
    #[must_use]
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// Metres to another place.
    #[must_use]
    pub fn distance(self, other: Self) -> f64 {
        (self.x - other.x).hypot(self.y - other.y)
    }
}

/// A closed line that does not cross itself; the first corner is not repeated at the end.
#[derive(Debug, Clone, PartialEq)]
pub struct Ring(Vec<Point>);

const OPERATION: &str = "outline";
/// More corners than a walked outline has; each is compared with each.
const MOST_CORNERS: usize = 5_000;

impl Ring {
    /// A ring from its corners, in either direction; a repeated last corner is taken as the end.
    ///
    /// # Units  metres.
    /// # Errors `Missing` with fewer than three corners, `Argument` for a corner that is not a finite
    ///   number, `Refused` when the line crosses or touches itself.
    pub fn new(corners: &[Point]) -> Result<Self, AgronomyError> {
        let mut ring: Vec<Point> = Vec::with_capacity(corners.len());
        for corner in corners {
            for value in [corner.x, corner.y] {
                crate::error::within(OPERATION, "outline", value, "m", -1e7, 1e7)?;
            }
            if ring.last() != Some(corner) {
                ring.push(*corner);
            }
        }
        if ring.len() > 1 && ring.first() == ring.last() {
            ring.pop();
        }
        if ring.len() < 3 {
            return Err(AgronomyError::Missing {
                operation: OPERATION,
                argument: "outline",
                remedy: "give three corners or more that are not all one place",
            });
        }
        if ring.len() > MOST_CORNERS {
            return refused(format!("{} corners; thin it out to {MOST_CORNERS}", ring.len()));
        }
        let ring = Self(ring);
        let edges: Vec<_> = ring.edges().collect();
        let last = edges.len() - 1;
        for (i, (a, b)) in edges.iter().enumerate() {
            for (j, (c, d)) in edges.iter().enumerate().skip(i + 1) {
                let neighbours = j == i + 1 || (i == 0 && j == last);
                let bad = if neighbours {
                    let (from, shared, to) = if j == i + 1 { (a, b, d) } else { (c, a, b) };
                    folds_back(*from, *shared, *to)
                } else {
                    touch(*a, *b, *c, *d)
                };
                if bad {
                    return refused(format!(
                        "the sides {} and {} cross or touch; put the corners in the order one walks \
                         them",
                        i + 1,
                        j + 1
                    ));
                }
            }
        }
        Ok(ring)
    }

    /// Its corners.
    #[must_use]
    pub fn corners(&self) -> &[Point] {
        &self.0
    }

    /// Its sides, each from corner to corner.
    pub fn edges(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        self.0.iter().zip(self.0.iter().cycle().skip(1)).map(|(a, b)| (*a, *b))
    }

    /// Area in m2, positive when the corners go anticlockwise.
    ///
    /// # Source Shoelace formula; taken from the first corner, so that far-off coordinates keep their
    /// digits.
    #[must_use]
    pub fn signed_area(&self) -> f64 {
        let o = self.0[0];
        let twice: f64 =
            self.edges().map(|(a, b)| (a.x - o.x) * (b.y - o.y) - (b.x - o.x) * (a.y - o.y)).sum();
        0.5 * twice
    }

    /// Length of the line, m.
    #[must_use]
    pub fn perimeter(&self) -> f64 {
        self.edges().map(|(a, b)| a.distance(b)).sum()
    }

    /// Whether a place lies inside; on the line itself either may be answered.
    ///
    /// # Source Even-odd rule: sides crossed by a ray to the east.
    #[must_use]
    pub fn contains(&self, p: Point) -> bool {
        let crossed = |(a, b): &(Point, Point)| {
            (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)
        };
        self.edges().filter(crossed).count() % 2 == 1
    }

    /// Metres from a place to the nearest point of the line.
    #[must_use]
    pub fn distance(&self, p: Point) -> f64 {
        self.edges().map(|(a, b)| distance_to_side(p, a, b)).fold(f64::INFINITY, f64::min)
    }

    /// Least and greatest x and y.
    #[must_use]
    pub fn bounds(&self) -> (Point, Point) {
        let infinite = f64::INFINITY;
        self.0.iter().fold(
            (Point::new(infinite, infinite), Point::new(-infinite, -infinite)),
            |(low, high), p| {
                (
                    Point::new(low.x.min(p.x), low.y.min(p.y)),
                    Point::new(high.x.max(p.x), high.y.max(p.y)),
                )
            },
        )
    }
}

fn refused<T>(why: String) -> Result<T, AgronomyError> {
    Err(AgronomyError::Refused { operation: OPERATION, argument: "outline", why })
}

fn distance_to_side(p: Point, a: Point, b: Point) -> f64 {
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    let along = ((p.x - a.x) * dx + (p.y - a.y) * dy) / (dx * dx + dy * dy);
    let along = along.clamp(0.0, 1.0);
    p.distance(Point::new(a.x + along * dx, a.y + along * dy))
}

/// Twice the area of the triangle, positive when c lies to the left of a to b.
fn turn(a: Point, b: Point, c: Point) -> f64 {
    (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)
}

fn folds_back(from: Point, shared: Point, to: Point) -> bool {
    let straight = turn(from, shared, to) == 0.0;
    let back = (shared.x - from.x) * (to.x - shared.x) + (shared.y - from.y) * (to.y - shared.y);
    straight && back < 0.0
}

/// Whether two sides share a point.
fn touch(a: Point, b: Point, c: Point, d: Point) -> bool {
    let sides = [turn(a, b, c), turn(a, b, d), turn(c, d, a), turn(c, d, b)];
    let opposite = |p: f64, q: f64| (p > 0.0 && q < 0.0) || (p < 0.0 && q > 0.0);
    if opposite(sides[0], sides[1]) && opposite(sides[2], sides[3]) {
        return true;
    }
    let on = |p: Point, q: Point, r: Point| {
        p.x.min(q.x) <= r.x && r.x <= p.x.max(q.x) && p.y.min(q.y) <= r.y && r.y <= p.y.max(q.y)
    };
    [(sides[0], a, b, c), (sides[1], a, b, d), (sides[2], c, d, a), (sides[3], c, d, b)]
        .into_iter()
        .any(|(side, p, q, r)| side == 0.0 && on(p, q, r))
}

/// A zone on the plane: an outer line, and what is cut out of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    outer: Ring,
    holes: Vec<Ring>,
}

impl Outline {
    /// An outline without holes.
    #[must_use]
    pub const fn of(outer: Ring) -> Self {
        Self { outer, holes: Vec::new() }
    }

    /// An outline with beds, trees or paving cut out.
    ///
    /// # Errors `Refused` when a hole is not wholly inside, or two holes share ground.
    pub fn with_holes(outer: Ring, holes: Vec<Ring>) -> Result<Self, AgronomyError> {
        let meet = |one: &Ring, other: &Ring| {
            one.edges().any(|(a, b)| other.edges().any(|(c, d)| touch(a, b, c, d)))
        };
        for (i, hole) in holes.iter().enumerate() {
            if meet(hole, &outer) || !outer.contains(hole.0[0]) {
                return refused(format!("the hole {} is not wholly inside", i + 1));
            }
            for (j, other) in holes.iter().enumerate().skip(i + 1) {
                if meet(hole, other) || other.contains(hole.0[0]) || hole.contains(other.0[0]) {
                    return refused(format!("the holes {} and {} share ground", i + 1, j + 1));
                }
            }
        }
        Ok(Self { outer, holes })
    }

    /// The outer line.
    #[must_use]
    pub const fn outer(&self) -> &Ring {
        &self.outer
    }

    /// What is cut out.
    #[must_use]
    pub fn holes(&self) -> &[Ring] {
        &self.holes
    }

    /// Every line, the outer one first.
    pub fn rings(&self) -> impl Iterator<Item = &Ring> {
        std::iter::once(&self.outer).chain(&self.holes)
    }

    /// Area in m2, holes taken off.
    #[must_use]
    pub fn area(&self) -> f64 {
        let holes: f64 = self.holes.iter().map(|hole| hole.signed_area().abs()).sum();
        self.outer.signed_area().abs() - holes
    }

    /// Whether a place is turf: inside the outer line and in no hole.
    #[must_use]
    pub fn contains(&self, p: Point) -> bool {
        self.outer.contains(p) && !self.holes.iter().any(|hole| hole.contains(p))
    }

    /// Metres from a place to the nearest line.
    #[must_use]
    pub fn distance_to_edge(&self, p: Point) -> f64 {
        self.rings().map(|ring| ring.distance(p)).fold(f64::INFINITY, f64::min)
    }
}

/// Area of an outline.
///
/// # Units  metres in, m2 out.
/// # Errors `Refused` when the holes leave nothing.
/// # Source `definition`: shoelace formula.
pub fn outline_area(outline: &Outline) -> Result<Worked<Area>, AgronomyError> {
    let outer = outline.outer.signed_area().abs();
    let mut working = Working::new("area = 1/2 |sum(x_i y_(i+1) - x_(i+1) y_i)|, holes taken off")
        .step(
            "area within the outer line",
            format!("shoelace over {} corners", outline.outer.0.len()),
            outer,
            "m2",
        )
        .source(source("definition"))
        .caution("Plan area: on a slope the turf itself is larger, by 0.5 % at 1 in 10.");
    for (i, hole) in outline.holes.iter().enumerate() {
        working = working.step(
            &format!("hole {}", i + 1),
            format!("shoelace over {} corners", hole.0.len()),
            hole.signed_area().abs(),
            "m2",
        );
    }
    let area = outline.area();
    if area <= 0.0 {
        return refused("the holes leave no area".to_owned());
    }
    let working = working.step("area", "outer less holes".to_owned(), area, "m2");
    Ok(Worked::new(Area(area), working))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(corners: &[(f64, f64)]) -> Result<Ring, AgronomyError> {
        Ring::new(&corners.iter().map(|(x, y)| Point::new(*x, *y)).collect::<Vec<_>>())
    }

    #[test]
    fn a_square_either_way_round_and_closed_or_not() {
        let square = ring(&[(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)]).unwrap();
        let closed = ring(&[(0.0, 0.0), (0.0, 2.0), (2.0, 2.0), (2.0, 0.0), (0.0, 0.0)]).unwrap();
        assert!((square.signed_area() - 4.0).abs() < 1e-12, "anticlockwise");
        assert!((closed.signed_area() + 4.0).abs() < 1e-12, "clockwise");
        assert_eq!(closed.corners().len(), 4, "the repeated corner is the end");
        assert!(square.contains(Point::new(1.0, 1.0)), "inside");
        assert!(!square.contains(Point::new(3.0, 1.0)), "outside");
        assert!((square.distance(Point::new(1.0, 0.5)) - 0.5).abs() < 1e-12, "to a side");
        assert!((square.distance(Point::new(5.0, 6.0)) - 5.0).abs() < 1e-12, "to a corner");
    }

    #[test]
    fn far_off_coordinates_keep_their_digits() {
        let o = 6_000_000.0;
        let far = ring(&[(o, o), (o + 0.5, o), (o + 0.5, o + 0.5), (o, o + 0.5)]).unwrap();
        assert!((far.signed_area() - 0.25).abs() < 1e-12, "{}", far.signed_area());
    }

    #[test]
    fn lines_that_cross_touch_or_fold_back_are_refused() {
        let bow = ring(&[(0.0, 0.0), (2.0, 2.0), (2.0, 0.0), (0.0, 2.0)]).unwrap_err();
        assert!(bow.to_string().contains("the sides 1 and 3 cross"), "{bow}");
        let spike = ring(&[(0.0, 0.0), (4.0, 0.0), (2.0, 0.0), (2.0, 2.0)]);
        assert!(spike.is_err(), "a side back over the one before");
        let flat = ring(&[(0.0, 0.0), (4.0, 0.0), (2.0, 0.0)]);
        assert!(flat.is_err(), "no area");
        let pinched = ring(&[(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (2.0, 0.0), (0.0, 4.0)]);
        assert!(pinched.is_err(), "a corner on another side");
        assert!(ring(&[(0.0, 0.0), (1.0, 1.0)]).is_err(), "two corners");
        assert!(ring(&[(0.0, 0.0), (1.0, 1.0), (f64::NAN, 0.0)]).is_err(), "no number");
        // A corner on a straight side is no fault.
        assert!(ring(&[(0.0, 0.0), (1.0, 0.0), (2.0, 0.0), (1.0, 2.0)]).is_ok(), "straight on");
    }

    #[test]
    fn holes_stay_inside_and_apart() {
        let outer = ring(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]).unwrap();
        let square = |x: f64, y: f64, w: f64| {
            ring(&[(x, y), (x + w, y), (x + w, y + w), (x, y + w)]).unwrap()
        };
        let with = |holes: Vec<Ring>| Outline::with_holes(outer.clone(), holes);
        let two = with(vec![square(1.0, 1.0, 2.0), square(5.0, 5.0, 3.0)]).unwrap();
        assert!((two.area() - 87.0).abs() < 1e-12, "100 - 4 - 9");
        assert!(!two.contains(Point::new(2.0, 2.0)), "in a hole");
        assert!((two.distance_to_edge(Point::new(4.0, 2.0)) - 1.0).abs() < 1e-12, "to the hole");
        for holes in [
            vec![square(9.0, 9.0, 2.0)],
            vec![square(20.0, 20.0, 2.0)],
            vec![square(1.0, 1.0, 5.0), square(4.0, 4.0, 3.0)],
            vec![square(1.0, 1.0, 5.0), square(2.0, 2.0, 1.0)],
            vec![square(2.0, 2.0, 1.0), square(1.0, 1.0, 5.0)],
        ] {
            assert!(with(holes.clone()).is_err(), "{holes:?}");
        }
    }
}
