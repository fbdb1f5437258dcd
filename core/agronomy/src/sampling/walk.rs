//! A short way past all the points.

use crate::area::Point;

/// Order in which to walk the points, from the place one starts at, and the metres it takes.
///
/// Nearest next point first, then stretches are turned round as long as that shortens the way; not
/// always the shortest, and always the same for the same points.
///
/// # Source Croes GA (1958) Operations Research 6:791-812, turning stretches round (2-opt).
pub(super) fn walking_order(points: &[Point], start: Point) -> (Vec<usize>, f64) {
    let mut left: Vec<usize> = (0..points.len()).collect();
    let mut order = Vec::with_capacity(points.len());
    let mut here = start;
    while !left.is_empty() {
        let nearest = (0..left.len())
            .min_by(|a, b| {
                let off = |at: usize| points[left[at]].distance(here);
                off(*a).total_cmp(&off(*b))
            })
            .expect("the loop ends when no point is left");
        let next = left.swap_remove(nearest);
        here = points[next];
        order.push(next);
    }
    shorten(points, start, &mut order);
    let length = length(points, start, &order);
    (order, length)
}

fn length(points: &[Point], start: Point, order: &[usize]) -> f64 {
    let mut here = start;
    let mut metres = 0.0;
    for next in order {
        metres += points[*next].distance(here);
        here = points[*next];
    }
    metres
}

fn shorten(points: &[Point], start: Point, order: &mut [usize]) {
    // Each round shortens the way, so the rounds end; the bound keeps a large zone quick.
    for _ in 0..60 {
        let mut better = false;
        for i in 0..order.len() {
            for j in i + 1..order.len() {
                let before = if i == 0 { start } else { points[order[i - 1]] };
                let (first, last) = (points[order[i]], points[order[j]]);
                let mut gained = before.distance(first) - before.distance(last);
                if let Some(after) = order.get(j + 1) {
                    let after = points[*after];
                    gained += last.distance(after) - first.distance(after);
                }
                if gained > 1e-9 {
                    order[i..=j].reverse();
                    better = true;
                }
            }
        }
        if !better {
            return;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_in_a_row_are_walked_in_a_row() {
        let points: Vec<Point> =
            [3.0, 1.0, 4.0, 0.0, 2.0].iter().map(|x| Point::new(*x, 0.0)).collect();
        let (order, metres) = walking_order(&points, Point::new(-1.0, 0.0));
        assert_eq!(order, [3, 1, 4, 0, 2], "from one end to the other");
        assert!((metres - 5.0).abs() < 1e-12, "{metres}");
    }

    #[test]
    fn a_ring_of_points_is_walked_round_however_they_are_numbered() {
        let places = [0, 7, 3, 10, 6, 1, 9, 4, 11, 2, 8, 5];
        let points: Vec<Point> = places
            .iter()
            .map(|place| {
                let turn = f64::from(*place) / 12.0 * std::f64::consts::TAU;
                Point::new(turn.cos(), turn.sin())
            })
            .collect();
        let (order, metres) = walking_order(&points, points[0]);
        let side = 2.0 * (std::f64::consts::PI / 12.0).sin();
        assert!((metres - 11.0 * side).abs() < 1e-9, "{metres}: {order:?}");
    }

    #[test]
    fn every_point_is_passed_once() {
        let points: Vec<Point> =
            (0..30).map(|i| Point::new(f64::from(i * 37 % 30), f64::from(i * 11 % 17))).collect();
        let (mut order, _) = walking_order(&points, Point::new(0.0, 0.0));
        order.sort_unstable();
        assert_eq!(order, (0..30).collect::<Vec<_>>(), "each once");
        assert!(walking_order(&[], Point::new(0.0, 0.0)).0.is_empty(), "nowhere to go");
    }
}
