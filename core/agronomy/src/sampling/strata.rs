//! Strata of equal area: the zone cut so that every part gets its share of cores.
//!
//! The cuts follow from the outline, the margin and the number alone, so that a retest has the same
//! strata without any of them being stored.

use super::ground::{Axis, Bounds, Ground, OPERATION, Slice};
use crate::AgronomyError;

/// One part of the zone: the open ground within a rectangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stratum {
    /// The rectangle, drawn in to the open ground it holds.
    pub bounds: Bounds,
    /// Open ground within it, m2.
    pub area: f64,
}

/// More strata than anybody walks.
const MOST: usize = 1_000;

/// Cuts the ground into so many strata of equal area.
///
/// The longer way is halved again and again, so that strata are compact; an uneven number leaves
/// the larger part to the larger number.
///
/// # Errors `Argument` for a number not from 1 to 1000.
/// # Source Equal-area strata as in Cochran WG (1977) Sampling Techniques, 3rd ed., chapter 5; the
/// way of cutting is ours.
pub fn equal_strata(ground: &Ground, number: usize) -> Result<Vec<Stratum>, AgronomyError> {
    if number == 0 || number > MOST {
        return Err(AgronomyError::Argument {
            operation: OPERATION,
            argument: "cores",
            value: number as f64,
            unit: "",
            allowed: format!("from 1 to {MOST}"),
        });
    }
    let mut strata = Vec::with_capacity(number);
    cut(ground, ground.bounds(), number, &mut strata);
    Ok(strata)
}

fn cut(ground: &Ground, bounds: Bounds, number: usize, strata: &mut Vec<Stratum>) {
    let slices = ground.slices(Axis::X, &bounds);
    let bounds = drawn_in(bounds, &slices);
    let area = |slices: &[Slice]| slices.iter().map(Slice::area).sum::<f64>();
    if number <= 1 {
        strata.push(Stratum { bounds, area: area(&slices) });
        return;
    }
    let wide = bounds.high.x - bounds.low.x >= bounds.high.y - bounds.low.y;
    let (axis, slices) =
        if wide { (Axis::X, slices) } else { (Axis::Y, ground.slices(Axis::Y, &bounds)) };
    let first = number / 2;
    let wanted = area(&slices) * first as f64 / number as f64;
    let at = place_of(&slices, wanted);
    let (mut before, mut after) = (bounds, bounds);
    match axis {
        Axis::X => (before.high.x, after.low.x) = (at, at),
        Axis::Y => (before.high.y, after.low.y) = (at, at),
    }
    cut(ground, before, first, strata);
    cut(ground, after, number - first, strata);
}

/// Where the slices before hold the wanted area.
fn place_of(slices: &[Slice], wanted: f64) -> f64 {
    let mut held = 0.0;
    for slice in slices {
        let area = slice.area();
        if held + area >= wanted && area > 0.0 {
            return slice.from + (wanted - held) / area * (slice.to - slice.from);
        }
        held += area;
    }
    slices.last().map_or(0.0, |slice| slice.to)
}

/// The rectangle drawn in to the open ground, with the width of a slice to spare.
fn drawn_in(bounds: Bounds, slices: &[Slice]) -> Bounds {
    let open: Vec<&Slice> = slices.iter().filter(|slice| slice.length > 0.0).collect();
    let (Some(first), Some(last)) = (open.first(), open.last()) else { return bounds };
    let spare = open.iter().map(|slice| slice.to - slice.from).fold(0.0, f64::max);
    let low = open.iter().map(|slice| slice.extent.0).fold(f64::INFINITY, f64::min);
    let high = open.iter().map(|slice| slice.extent.1).fold(f64::NEG_INFINITY, f64::max);
    let mut drawn = bounds;
    drawn.low.x = bounds.low.x.max(first.from - spare);
    drawn.high.x = bounds.high.x.min(last.to + spare);
    drawn.low.y = bounds.low.y.max(low - spare);
    drawn.high.y = bounds.high.y.min(high + spare);
    drawn
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        area::{Outline, Point},
        sampling::ground::tests::{l_shape, l_shape_open_at_one_metre, ring},
    };

    #[test]
    fn every_stratum_holds_its_share() {
        for number in [1, 2, 3, 7, 12, 15, 30] {
            let strata = equal_strata(&l_shape(1.0), number).unwrap();
            assert_eq!(strata.len(), number, "so many");
            let share = l_shape_open_at_one_metre() / number as f64;
            for stratum in &strata {
                assert!((stratum.area - share).abs() < 2e-3 * share, "{number}: {stratum:?}");
            }
        }
    }

    #[test]
    fn every_place_lies_in_exactly_one() {
        let ground = l_shape(1.0);
        let strata = equal_strata(&ground, 13).unwrap();
        for i in 0..120 {
            for j in 0..130 {
                let p = Point::new(0.2 * f64::from(i) + 0.037, 0.2 * f64::from(j) + 0.041);
                if ground.contains(p) {
                    let held = strata.iter().filter(|s| s.bounds.contains(p)).count();
                    assert_eq!(held, 1, "{p:?}");
                }
            }
        }
    }

    #[test]
    fn a_square_falls_into_quarters_and_a_verge_into_a_row() {
        let square = ring(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]);
        let strata = equal_strata(&Ground::new(Outline::of(square), 0.0).unwrap(), 4).unwrap();
        let middle = |s: &Stratum| {
            let (low, high) = (s.bounds.low, s.bounds.high);
            (0.5 * (low.x + high.x), 0.5 * (low.y + high.y))
        };
        for (at, expected) in
            strata.iter().map(middle).zip([(2.5, 2.5), (2.5, 7.5), (7.5, 2.5), (7.5, 7.5)])
        {
            let off = (at.0 - expected.0).hypot(at.1 - expected.1);
            assert!(off < 0.02, "{at:?} {expected:?}");
        }
        let verge = ring(&[(0.0, 0.0), (40.0, 0.0), (40.0, 2.0), (0.0, 2.0)]);
        let strata = equal_strata(&Ground::new(Outline::of(verge), 0.2).unwrap(), 8).unwrap();
        assert!(
            strata.iter().all(|s| s.bounds.high.y - s.bounds.low.y > 1.5),
            "no cut lengthwise: {strata:?}"
        );
    }

    #[test]
    fn a_number_beyond_reason_is_named() {
        let refused = equal_strata(&l_shape(1.0), 0).unwrap_err();
        assert_eq!(refused.argument(), "cores", "none");
        assert_eq!(equal_strata(&l_shape(1.0), 1_001).unwrap_err().argument(), "cores", "too many");
    }
}
