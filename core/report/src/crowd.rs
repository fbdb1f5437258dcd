//! Points of one line that lie too close to be told apart, drawn as the range they span.

use std::ops::Range;

/// Points that begin within this many px of the first of them are drawn as one.
const WITHIN: f64 = 5.0;

/// Neighbouring points that are drawn as one.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Run {
    /// Which points.
    pub(crate) points: Range<usize>,
    /// Middle of their places.
    pub(crate) x: f64,
    pub(crate) low: f64,
    pub(crate) high: f64,
    pub(crate) mean: f64,
}

/// Runs of points given as place and value, sorted by place.
pub(crate) fn runs(points: &[(f64, f64)]) -> Vec<Run> {
    let mut runs = Vec::new();
    let mut start = 0;
    while start < points.len() {
        let first = points[start].0;
        let more = points[start..].iter().take_while(|(x, _)| x - first < WITHIN).count();
        let members = &points[start..start + more.max(1)];
        let values = members.iter().map(|(_, value)| *value);
        let count = f64::from(u32::try_from(members.len()).unwrap_or(u32::MAX));
        runs.push(Run {
            points: start..start + members.len(),
            x: f64::midpoint(first, members[members.len() - 1].0),
            low: values.clone().fold(f64::INFINITY, f64::min),
            high: values.clone().fold(f64::NEG_INFINITY, f64::max),
            // Each is divided before the sum, which huge values would overflow.
            mean: values.map(|value| value / count).sum(),
        });
        start += members.len();
    }
    runs
}

/// Whether so many points share their place that a ribbon reads better than ranges.
pub(crate) fn is_ribbon(runs: &[Run], points: usize) -> bool {
    runs.len() > 3 && runs.len() * 2 < points
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn near_points_are_one_run_and_far_ones_are_not() {
        let runs = runs(&[(0.0, 4.0), (2.0, 6.0), (40.0, 5.0)]);
        assert_eq!(runs.len(), 2);
        assert_eq!((runs[0].low, runs[0].high, runs[0].mean), (4.0, 6.0, 5.0));
        assert_eq!(runs[1].points, 2..3);
    }
}
