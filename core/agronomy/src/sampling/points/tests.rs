use swardbook_stats::distribution::chi_squared_quantile;

use super::*;
use crate::{
    area::Outline,
    sampling::ground::tests::{l_shape, l_shape_open_at_one_metre, ring},
};

fn ask(design: Design, cores: usize, seed: u64) -> PointsQuestion {
    PointsQuestion { design, cores, seed, start: Point::new(0.0, 0.0) }
}

const ONE_EACH: Design = Design::Stratified { per_stratum: 1 };

/// How often a sound generator fails one of the tests of uniformity below.
const FALSE_ALARM: f64 = 1e-4;

/// Pearson's test of counts against expected counts.
fn looks_right(counts: &[f64], expected: &[f64]) {
    let statistic: f64 = counts.iter().zip(expected).map(|(n, e)| (n - e).powi(2) / e).sum();
    let limit = chi_squared_quantile(1.0 - FALSE_ALARM, counts.len() as f64 - 1.0).unwrap();
    assert!(statistic <= limit, "{statistic} above {limit}: {counts:?} for {expected:?}");
}

#[test]
fn every_point_and_spare_is_open_ground_of_its_stratum() {
    let ground = l_shape(1.0);
    for seed in 0..4 {
        let plan = sample_points(&ground, &ask(ONE_EACH, 15, seed)).unwrap().value;
        assert_eq!(plan.points.len(), 15, "one for each core");
        let mut strata: Vec<usize> = plan.points.iter().map(|p| p.stratum).collect();
        strata.sort_unstable();
        assert_eq!(strata, (0..15).collect::<Vec<_>>(), "one in each stratum");
        for point in &plan.points {
            for place in [point.place, point.spare] {
                assert!(ground.contains(place), "{point:?}");
                assert!(plan.strata[point.stratum].bounds.contains(place), "{point:?}");
            }
            assert!(point.place != point.spare, "two places");
        }
    }
}

#[test]
fn a_seed_gives_the_same_points_again_and_another_seed_others_in_the_same_strata() {
    let ground = l_shape(1.0);
    for design in [ONE_EACH, Design::Stratified { per_stratum: 3 }, Design::Balanced] {
        let plan = |seed| sample_points(&ground, &ask(design, 12, seed)).unwrap().value;
        let (first, again, retest) = (plan(2_026), plan(2_026), plan(2_027));
        assert_eq!(first, again, "repeatable");
        assert_eq!(first.strata, retest.strata, "the same strata");
        let same = first.points.iter().filter(|p| retest.points.iter().any(|q| q.place == p.place));
        assert_eq!(same.count(), 0, "no point twice");
    }
}

#[test]
fn the_points_of_a_seed_never_change() {
    // Whoever printed a plan must be able to draw it again with a later version.
    let plan = sample_points(&l_shape(1.0), &ask(ONE_EACH, 4, 42)).unwrap().value;
    let places: Vec<String> =
        plan.points.iter().map(|p| format!("{:.3} {:.3}", p.place.x, p.place.y)).collect();
    assert_eq!(
        places,
        ["8.880 2.371", "14.806 3.965", "1.437 16.318", "3.608 23.489"],
        "kept as first drawn"
    );
}

/// Places of one plan, without the way of walking them; strata are cut once.
fn places(ground: &Ground, strata: &[Stratum], cores: usize, seed: u64) -> Vec<Point> {
    let points = if strata.is_empty() {
        balanced(ground, &ask(Design::Balanced, cores, seed)).unwrap()
    } else {
        in_strata(ground, strata, cores / strata.len(), seed).unwrap()
    };
    points.into_iter().map(|point| point.place).collect()
}

#[test]
fn every_spot_is_equally_likely() {
    // One stratum is a plain random draw over the whole open ground. Bins of known area.
    let ground = l_shape(1.0);
    let open = l_shape_open_at_one_metre();
    for strata in [equal_strata(&ground, 1).unwrap(), Vec::new()] {
        let mut counts = [0.0; 4];
        let draws = 4_000_u32;
        for seed in 0..u64::from(draws) {
            let p = places(&ground, &strata, 1, seed)[0];
            let bin = match (p.x <= 13.0, p.y <= 9.0, p.y <= 17.0) {
                (true, true, _) => 0,
                (false, true, _) => 1,
                (_, false, true) => 2,
                _ => 3,
            };
            counts[bin] += 1.0;
        }
        let areas = [12.0 * 8.0, 10.0 * 8.0, open - 12.0 * 8.0 - 10.0 * 8.0 - 12.0 * 8.0, 96.0];
        let expected = areas.map(|area| f64::from(draws) * area / open);
        looks_right(&counts, &expected);
    }
}

#[test]
fn within_its_stratum_every_spot_is_equally_likely() {
    let square = ring(&[(0.0, 0.0), (12.0, 0.0), (12.0, 12.0), (0.0, 12.0)]);
    let ground = Ground::new(Outline::of(square), 0.0).unwrap();
    let strata = equal_strata(&ground, 4).unwrap();
    let mut counts = [0.0; 9];
    let draws = 1_000_u32;
    for seed in 0..u64::from(draws) {
        for place in places(&ground, &strata, 4, seed) {
            // Quarters of 6 m; each is cut into nine.
            let third = |at: f64| (0..3_u8).rfind(|t| at.rem_euclid(6.0) >= 2.0 * f64::from(*t));
            let (x, y) = (third(place.x).unwrap(), third(place.y).unwrap());
            counts[usize::from(x + 3 * y)] += 1.0;
        }
    }
    looks_right(&counts, &[4.0 * f64::from(draws) / 9.0; 9]);
}

#[test]
fn strata_and_balance_sharpen_the_mean_of_ground_with_a_slope_and_keep_it_true() {
    let ground = l_shape(1.0);
    // Mean of x + y over the open ground, by parts: centres of the two rectangles; the sliver of
    // the inner corner adds less than the tolerance.
    let truth = (22.0 * 8.0 * (12.0 + 5.0) + 12.0 * 16.0 * (7.0 + 17.0)) / (176.0 + 192.0);
    let draws = 400_u32;
    let spread = |strata: &[Stratum]| {
        let (mut sum, mut squares) = (0.0, 0.0);
        for seed in 0..u64::from(draws) {
            let places = places(&ground, strata, 12, seed);
            let mean = places.iter().map(|p| p.x + p.y).sum::<f64>() / 12.0;
            sum += mean;
            squares += (mean - truth).powi(2);
        }
        (sum / f64::from(draws), squares / f64::from(draws))
    };
    let plain = spread(&equal_strata(&ground, 1).unwrap());
    let one_each = spread(&equal_strata(&ground, 12).unwrap());
    let balanced = spread(&[]);
    for (mean, variance) in [plain, one_each, balanced] {
        // Four standard errors: false alarm 6e-5.
        let error = (variance / f64::from(draws)).sqrt();
        assert!((mean - truth).abs() < 4.0 * error + 0.01, "{mean} is not {truth}");
    }
    assert!(one_each.1 < 0.35 * plain.1, "{one_each:?} of {plain:?}");
    assert!(balanced.1 < 0.6 * plain.1, "{balanced:?} of {plain:?}");
}

#[test]
fn what_cannot_be_planned_is_named() {
    let ground = l_shape(1.0);
    let argument =
        |design, cores| sample_points(&ground, &ask(design, cores, 1)).unwrap_err().argument();
    assert_eq!(argument(ONE_EACH, 0), "cores", "none");
    assert_eq!(argument(Design::Balanced, 0), "cores", "none");
    assert_eq!(argument(Design::Stratified { per_stratum: 2 }, 15), "per_stratum", "odd");
    assert_eq!(argument(Design::Stratified { per_stratum: 0 }, 15), "per_stratum", "none");
}
