//! Corner markers: a dark ring round a dark core, 1:1:3:1:1 along any line through the middle.
//!
//! The proportions are those of the finder pattern of ISO/IEC 18004, an open standard.

use super::reduced::Reduced;
use crate::frame::Point;

/// A marker as seen, in blocks of the reduced photo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Seen {
    pub(super) middle: Point,
    /// Width of its ring along rows and columns, mean.
    pub(super) module: f64,
    /// Rows that crossed it.
    pub(super) rows: u32,
}

/// The most markers looked at further.
const MOST: usize = 14;

/// Places that look like markers, those crossed by most rows first.
pub(super) fn markers(reduced: &Reduced) -> Vec<Seen> {
    let dark = reduced.dark();
    let (width, height) = (reduced.width, reduced.height);
    let mut seen: Vec<Seen> = Vec::new();
    for y in 0..height {
        let row = |x: usize| dark[y * width + x];
        for (from, runs) in five_runs(width, row) {
            let Some(across) = module_of(&runs) else { continue };
            let x = from + runs[0] + runs[1] + runs[2] / 2;
            let column = |y: usize| dark[y * width + x];
            let Some((top, down_runs)) = runs_through(height, y, column) else { continue };
            let Some(down) = module_of(&down_runs) else { continue };
            if across > 2.0 * down || down > 2.0 * across {
                continue;
            }
            let middle = Point::new(
                from as f64 + 0.5 * runs.iter().sum::<usize>() as f64,
                top as f64 + 0.5 * down_runs.iter().sum::<usize>() as f64,
            );
            add(&mut seen, middle, f64::midpoint(across, down));
        }
    }
    seen.sort_by_key(|one| std::cmp::Reverse(one.rows));
    seen.truncate(MOST);
    seen
}

fn add(seen: &mut Vec<Seen>, middle: Point, module: f64) {
    let near = seen.iter_mut().find(|one| {
        (one.middle.x - middle.x).hypot(one.middle.y - middle.y) < 2.0 * one.module.max(module)
    });
    match near {
        Some(one) => {
            let share = 1.0 / f64::from(one.rows + 1);
            one.middle.x += share * (middle.x - one.middle.x);
            one.middle.y += share * (middle.y - one.middle.y);
            one.module += share * (module - one.module);
            one.rows += 1;
        }
        None => seen.push(Seen { middle, module, rows: 1 }),
    }
}

/// Runs of dark, light, dark, light, dark along a line, each with its first place.
fn five_runs(
    length: usize,
    is_dark: impl Fn(usize) -> bool,
) -> impl Iterator<Item = (usize, [usize; 5])> {
    let mut ends: Vec<usize> = vec![0];
    for at in 1..length {
        if is_dark(at) != is_dark(at - 1) {
            ends.push(at);
        }
    }
    ends.push(length);
    let first_is_dark = length > 0 && is_dark(0);
    let starts = if first_is_dark { 0 } else { 1 };
    let mut found = Vec::new();
    let mut at = starts;
    while at + 5 < ends.len() {
        let runs = std::array::from_fn(|run| ends[at + run + 1] - ends[at + run]);
        found.push((ends[at], runs));
        at += 2;
    }
    found.into_iter()
}

/// The five runs along a line whose middle one holds `at`, and where the first begins.
fn runs_through(
    length: usize,
    at: usize,
    is_dark: impl Fn(usize) -> bool,
) -> Option<(usize, [usize; 5])> {
    if !is_dark(at) {
        return None;
    }
    let mut runs = [0; 5];
    let mut up = at;
    for (run, dark) in [(2, true), (1, false), (0, true)] {
        while up > 0 && is_dark(up - 1) == dark {
            up -= 1;
            runs[run] += 1;
        }
        if run > 0 && up == 0 {
            return None;
        }
    }
    let mut down = at;
    runs[2] += 1;
    for (run, dark) in [(2, true), (3, false), (4, true)] {
        while down + 1 < length && is_dark(down + 1) == dark {
            down += 1;
            runs[run] += 1;
        }
        if run < 4 && down + 1 == length {
            return None;
        }
    }
    Some((up, runs))
}

/// The width of a module, when the runs are as 1:1:3:1:1.
fn module_of(runs: &[usize; 5]) -> Option<f64> {
    let module = runs.iter().sum::<usize>() as f64 / 7.0;
    if module < 1.4 {
        return None;
    }
    // A run ends somewhere within a block, so that a block more or less is always let through.
    let allowed = |share: f64| (share * module).max(1.0);
    let fits = runs.iter().zip([1.0, 1.0, 3.0, 1.0, 1.0]).all(|(run, wanted)| {
        let off = (*run as f64 - wanted * module).abs();
        off <= allowed(if wanted > 1.0 { 0.8 } else { 0.55 })
    });
    fits.then_some(module)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(text: &str) -> Vec<bool> {
        text.chars().map(|letter| letter == '#').collect()
    }

    #[test]
    fn the_proportions_are_seen_along_a_line() {
        let check = |text: &str, expected: Option<f64>| {
            let line = line(text);
            let found: Vec<f64> = five_runs(line.len(), |at| line[at])
                .filter_map(|(_, runs)| module_of(&runs))
                .collect();
            assert_eq!(found.first().copied(), expected, "{text}");
        };
        check("...##..######..##...", Some(2.0));
        check("##..######..##", Some(2.0));
        check("...###..######..##..", Some(15.0 / 7.0));
        check("...##..##..##..##...", None);
        check("...####....####....####...", None);
        check("", None);
    }

    #[test]
    fn a_line_through_the_core_is_measured_both_ways() {
        let line = line("...##..######..##...");
        assert_eq!(
            runs_through(line.len(), 9, |at| line[at]),
            Some((3, [2, 2, 6, 2, 2])),
            "from the core"
        );
        assert_eq!(runs_through(line.len(), 5, |at| line[at]), None, "from the gap");
    }
}
