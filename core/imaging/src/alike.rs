//! The difference of two photos taken in one way: what both have in common drops out.
//!
//! "One way" is one camera at one size of picture, with one card of the same colours; who calls
//! this decides that.

use swardbook_stats::uncertainty::{Uncertainty, combine};

use crate::ImagingError;

/// Degrees of freedom of three moves, each seen once.
pub(crate) const MOVES_DF: f64 = 3.0;

/// The uncertainty of a value within its frame, taken apart.
///
/// All of it together is card and detail of the reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Apart {
    /// How far the value moves, with its sign, when the photo is taken at half size, at quarter
    /// size, and with one colour for each block: what one further step of the camera's and the
    /// file's loss of detail would do.
    pub moves: [f64; 3],
    /// How far the card's own greens are off to one side, as the value's own error.
    pub offset: f64,
    /// Degrees of freedom behind the offset.
    pub offset_df: f64,
    /// What another photo taken in the same way does not share.
    pub own: Uncertainty,
}

impl Apart {
    /// From moves, what else the detail makes uncertain, the card's part, and how much of that is
    /// of one sign.
    pub(crate) fn of(moves: [f64; 3], more: f64, colour: Option<Uncertainty>, offset: f64) -> Self {
        let colour = colour.unwrap_or(Uncertainty::known(0.0));
        let rest = (colour.u * colour.u - offset * offset).max(0.0).sqrt();
        // Welch and Satterthwaite, as `combine`, of parts that are never refused.
        let parts = [Uncertainty { u: more, df: MOVES_DF }, Uncertainty { u: rest, ..colour }];
        let own = combine(&parts).unwrap_or(Uncertainty { u: more.hypot(rest), df: MOVES_DF });
        Self { moves, offset, offset_df: colour.df, own }
    }

    /// The mean of photos of one occasion: moves and offset go one way in all of them, and so does
    /// what each has for itself as far as anyone can tell.
    ///
    /// `None` of no photos.
    #[must_use]
    pub fn mean(all: &[Self]) -> Option<Self> {
        let n = all.len() as f64;
        let first = all.first()?;
        let mean = |of: &dyn Fn(&Self) -> f64| all.iter().map(of).sum::<f64>() / n;
        let least = |of: &dyn Fn(&Self) -> f64| all.iter().map(of).fold(f64::INFINITY, f64::min);
        Some(Self {
            moves: std::array::from_fn(|at| mean(&|one| one.moves[at])),
            offset: mean(&|one| one.offset),
            offset_df: least(&|one| one.offset_df).min(first.offset_df),
            own: Uncertainty {
                u: mean(&|one| one.own.u.powi(2)).sqrt(),
                df: least(&|one| one.own.df),
            },
        })
    }

    /// Uncertainty of the difference of two values whose photos were taken in one way.
    ///
    /// Both errors are taken to hang on the same unknown quantities, how strongly this camera loses
    /// detail and how far this card is off, each value by its own moves and offset; these stand for
    /// one standard deviation of them.
    /// So their parts are subtracted with their signs before they are squared (a correlation of 1),
    /// and what each photo has for itself is added in squares (a correlation of 0).
    ///
    /// # Errors  `Statistics` for parts that are no numbers.
    /// # Source  JCGM 100:2008 (GUM), 5.2.2, equation 16, with F.1.2.3: inputs that depend on common
    ///   quantities.
    ///   Taking the loss of detail of one camera as common is common practice, no source; drawn
    ///   pairs show that the intervals then hold (`tests/difference.rs`).
    pub fn difference(&self, other: &Self) -> Result<Uncertainty, ImagingError> {
        let squares: f64 = self.moves.iter().zip(other.moves).map(|(a, b)| (a - b).powi(2)).sum();
        let parts = [
            Uncertainty { u: squares.sqrt(), df: MOVES_DF },
            Uncertainty {
                u: (self.offset - other.offset).abs(),
                df: self.offset_df.min(other.offset_df),
            },
            self.own,
            other.own,
        ];
        Ok(combine(&parts)?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ONE: Apart = Apart {
        moves: [0.02, 0.03, -0.01],
        offset: 0.004,
        offset_df: 12.0,
        own: Uncertainty { u: 0.005, df: 3.0 },
    };

    #[test]
    fn what_both_share_drops_out_and_what_each_has_stays() {
        let same = ONE.difference(&ONE).expect("numbers");
        assert!((same.u - 0.005 * 2.0_f64.sqrt()).abs() < 1e-12, "{same:?}");
        let none = Apart { moves: [0.0; 3], offset: 0.0, ..ONE };
        let apart = ONE.difference(&none).expect("numbers");
        let squares = 0.02_f64.powi(2) + 0.03_f64.powi(2) + 0.01_f64.powi(2) + 0.004_f64.powi(2);
        assert!((apart.u - (squares + 2.0 * 0.005_f64.powi(2)).sqrt()).abs() < 1e-12, "{apart:?}");
        // Losses that move the two values apart count double, not half.
        let against = Apart { moves: ONE.moves.map(|one| -one), offset: -ONE.offset, ..ONE };
        let wide = ONE.difference(&against).expect("numbers");
        assert!((wide.u - (4.0 * squares + 2.0 * 0.005_f64.powi(2)).sqrt()).abs() < 1e-12);
    }

    #[test]
    fn photos_of_a_day_are_averaged_with_their_signs() {
        let other = Apart { moves: [0.04, -0.03, -0.01], offset: 0.0, ..ONE };
        let mean = Apart::mean(&[ONE, other]).expect("two");
        for (got, wanted) in mean.moves.iter().zip([0.03, 0.0, -0.01]) {
            assert!((got - wanted).abs() < 1e-12, "{mean:?}");
        }
        assert!((mean.offset - 0.002).abs() < 1e-12 && (mean.own.u - 0.005).abs() < 1e-12);
        assert_eq!(Apart::mean(&[]), None);
    }
}
