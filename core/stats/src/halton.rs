//! Points spread evenly over a square without a grid.
//!
//! It does not own outlines: keeping a point when it falls inside a zone is acceptance sampling and
//! belongs to whoever has the outline.

use crate::{StatsError, error::refuse};

/// A sequence of points in the unit square, bases two and three.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Halton {
    next: [u64; 2],
}

/// Starts are drawn below these powers of the bases, so that every first point is equally likely.
const STARTS: [u64; 2] = [1 << 20, 1_594_323];

impl Halton {
    /// From the first point, the corner (0, 0).
    #[must_use]
    pub fn from_origin() -> Self {
        Self { next: [0, 0] }
    }

    /// From a random start for each base, which makes it a probability sample.
    ///
    /// # Errors `Argument` for a draw that is not from 0 up to 1.
    /// # Source Robertson BL, Brown JA, `McDonald` T, Jaksons P (2013) Biometrics 69:776-784, balanced
    ///   acceptance sampling.
    pub fn from_random(uniform: &mut impl FnMut() -> f64) -> Result<Self, StatsError> {
        let mut next = [0, 0];
        for (next, starts) in next.iter_mut().zip(STARTS) {
            let draw = uniform();
            if !(0.0..1.0).contains(&draw) {
                return refuse("draw", "from 0 up to 1", draw);
            }
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "from zero to the number of starts"
            )]
            let start = (draw * starts as f64).floor() as u64;
            *next = start;
        }
        Ok(Self { next })
    }
}

impl Iterator for Halton {
    type Item = [f64; 2];

    /// The next point, x by base two and y by base three; it never ends.
    fn next(&mut self) -> Option<Self::Item> {
        let point = [reversed(self.next[0], 2), reversed(self.next[1], 3)];
        self.next = self.next.map(|next| next + 1);
        Some(point)
    }
}

/// The digits of `index` mirrored at the point.
///
/// # Source Halton JH (1960) Numerische Mathematik 2:84-90.
fn reversed(mut index: u64, base: u64) -> f64 {
    let (mut mirrored, mut scale) = (0_u64, 1_u64);
    while index > 0 {
        mirrored = mirrored * base + index % base;
        index /= base;
        scale *= base;
    }
    mirrored as f64 / scale as f64
}
