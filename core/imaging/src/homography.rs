//! A flat card seen aslant: where a point of the card lies in the photo.

use crate::{ImagingError, frame::Point};

/// The four corners of a card in a photo: upper left, upper right, lower right, lower left as one
/// looks at the card, which may lie any way round in the photo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corners(pub [Point; 4]);

impl Corners {
    /// Checks corners that a person marked.
    ///
    /// # Errors  `Corners` when they do not make a four-sided figure without dents, are mirrored,
    ///   or enclose less than `least_area` pixels.
    pub fn checked(self, least_area: f64) -> Result<Self, ImagingError> {
        let turn = |at: usize| {
            let [a, b, c] = [0, 1, 2].map(|step| self.0[(at + step) % 4]);
            (b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x)
        };
        let turns = [0, 1, 2, 3].map(turn);
        if turns.iter().any(|turn| !turn.is_finite()) {
            return Err(ImagingError::Corners { why: "one of them is nowhere" });
        }
        // With y downwards, clockwise corners turn to the positive side.
        if turns.iter().all(|turn| *turn < 0.0) {
            return Err(ImagingError::Corners {
                why: "they run the wrong way round; go clockwise from the upper left",
            });
        }
        if turns.iter().any(|turn| *turn <= 0.0) {
            return Err(ImagingError::Corners { why: "their sides cross, or one lies inside" });
        }
        if self.area() < least_area {
            return Err(ImagingError::Corners { why: "the card is too small in the photo" });
        }
        Ok(self)
    }

    /// Pixels inside.
    #[must_use]
    pub fn area(&self) -> f64 {
        let [a, b, c, d] = self.0;
        0.5 * ((c.x - a.x) * (d.y - b.y) - (c.y - a.y) * (d.x - b.x)).abs()
    }

    /// The corners moved from their middle: by 0.8 to shrink, by 1.1 to widen.
    #[must_use]
    pub fn scaled(&self, share: f64) -> Self {
        let middle = |part: fn(&Point) -> f64| self.0.iter().map(part).sum::<f64>() / 4.0;
        let (x, y) = (middle(|p| p.x), middle(|p| p.y));
        Self(self.0.map(|p| Point::new(x + share * (p.x - x), y + share * (p.y - y))))
    }
}

/// The way from the unit square to a card in a photo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Homography {
    rows: [[f64; 3]; 3],
}

impl Homography {
    /// From the unit square, whose corners go to the card's.
    ///
    /// # Source  Heckbert PS (1989) Fundamentals of texture mapping and image warping, UCB/CSD
    ///   89/516, section 2.2.3, from memory; a test sends the corners through it.
    #[must_use]
    pub fn to(corners: &Corners) -> Self {
        let [p0, p1, p2, p3] = corners.0;
        let (sum_x, sum_y) = (p0.x - p1.x + p2.x - p3.x, p0.y - p1.y + p2.y - p3.y);
        let (dx1, dx2, dy1, dy2) = (p1.x - p2.x, p3.x - p2.x, p1.y - p2.y, p3.y - p2.y);
        let whole = dx1 * dy2 - dx2 * dy1;
        let g = (sum_x * dy2 - dx2 * sum_y) / whole;
        let h = (dx1 * sum_y - sum_x * dy1) / whole;
        Self {
            rows: [
                [p1.x - p0.x + g * p1.x, p3.x - p0.x + h * p3.x, p0.x],
                [p1.y - p0.y + g * p1.y, p3.y - p0.y + h * p3.y, p0.y],
                [g, h, 1.0],
            ],
        }
    }

    /// Where a point of the unit square lies in the photo; also for points a little outside.
    #[must_use]
    pub fn map(&self, u: f64, v: f64) -> Point {
        let [x, y, w] = self.rows.map(|row| row[0] * u + row[1] * v + row[2]);
        Point::new(x / w, y / w)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ASLANT: Corners = Corners([
        Point::new(120.0, 80.0),
        Point::new(610.0, 140.0),
        Point::new(560.0, 420.0),
        Point::new(90.0, 330.0),
    ]);

    #[test]
    fn corners_go_to_corners_and_diagonals_meet() {
        let way = Homography::to(&ASLANT);
        for (corner, (u, v)) in
            ASLANT.0.iter().zip([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])
        {
            let got = way.map(u, v);
            assert!((got.x - corner.x).abs() < 1e-9 && (got.y - corner.y).abs() < 1e-9, "{got:?}");
        }
        // Straight lines stay straight: the middle lies on both diagonals.
        let middle = way.map(0.5, 0.5);
        for (a, b) in [(0, 2), (1, 3)] {
            let (a, b) = (ASLANT.0[a], ASLANT.0[b]);
            let off = (b.x - a.x) * (middle.y - a.y) - (b.y - a.y) * (middle.x - a.x);
            assert!(off.abs() < 1e-6, "{off}");
        }
    }

    #[test]
    fn corners_that_make_no_card_are_refused() {
        let [a, b, c, d] = ASLANT.0;
        let check = |corners: [Point; 4], words: &str| {
            let error = Corners(corners).checked(100.0).unwrap_err().to_string();
            assert!(error.contains(words), "{error}");
        };
        assert!(ASLANT.checked(100.0).is_ok(), "a good one");
        check([d, c, b, a], "clockwise");
        check([a, c, b, d], "cross");
        check([a, a, a, a], "cross");
        check([a, b, Point::new(f64::NAN, 0.0), d], "nowhere");
        check([a, b, c, d].map(|p| Point::new(p.x / 100.0, p.y / 100.0)), "too small");
    }
}
