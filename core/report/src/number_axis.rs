//! A scale for numbers, straight or logarithmic, and round numbers to mark on it.

use crate::words::Words;

/// How a quantity's steps are spaced.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Spacing {
    /// Equal factors take equal room: concentrations.
    Log,
    /// Equal differences take equal room, and the scale spans at least `least`.
    Linear { least: f64 },
}

/// Numbers mapped onto px.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct NumberAxis {
    is_log: bool,
    low: f64,
    high: f64,
    /// Px of the lower end.
    from: f64,
    /// Px of the upper end; it may be less than `from`.
    to: f64,
}

/// Numbers beyond this are drawn at the edge, so that no sum can overflow.
const LARGEST: f64 = 1e300;

impl NumberAxis {
    /// An axis that holds all `values`, with a little room beyond them.
    ///
    /// On a logarithmic axis values that are not positive do not widen it; they are drawn at its
    /// lower end.
    pub(crate) fn around(
        values: impl IntoIterator<Item = f64>,
        spacing: Spacing,
        from: f64,
        to: f64,
    ) -> Self {
        let (is_log, least) = match spacing {
            // A factor of four.
            Spacing::Log => (true, 2.0 * std::f64::consts::LN_2),
            Spacing::Linear { least } => (false, least.clamp(1e-12, LARGEST)),
        };
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for value in values {
            if is_log && value <= 0.0 {
                continue;
            }
            let value = value.clamp(-LARGEST, LARGEST);
            let value = if is_log { value.max(1e-300).ln() } else { value };
            low = low.min(value);
            high = high.max(value);
        }
        if low > high {
            (low, high) = (0.0, 0.0);
        }
        // Two huge values of opposite sign still have a finite difference below 2e300.
        let lacking = (least - (high - low)).max(0.0) / 2.0;
        let room = (high - low) * 0.09;
        // A least span too small to be seen beside the value itself would leave no span at all.
        let floor = (low.abs().max(high.abs()) * 1e-6).max(1e-12);
        let widen = (lacking + room).max(floor);
        Self { is_log, low: low - widen, high: high + widen, from, to }
    }

    /// An axis with given ends, straight.
    pub(crate) const fn between(low: f64, high: f64, from: f64, to: f64) -> Self {
        Self { is_log: false, low, high, from, to }
    }

    /// Px of a value; values beyond the axis lie at its end.
    pub(crate) fn at(&self, value: f64) -> f64 {
        let share = self.share(value).clamp(0.0, 1.0);
        self.from + (self.to - self.from) * share
    }

    /// Whether a value lies within the axis.
    pub(crate) fn holds(&self, value: f64) -> bool {
        (0.0..=1.0).contains(&self.share(value))
    }

    fn share(&self, value: f64) -> f64 {
        let value = value.clamp(-LARGEST, LARGEST);
        let value = match (self.is_log, value > 0.0) {
            (true, true) => value.max(1e-300).ln(),
            (true, false) => return -1.0,
            (false, _) => value,
        };
        (value - self.low) / (self.high - self.low)
    }

    /// Round numbers within the axis, in order, at most `most` of them.
    pub(crate) fn ticks(&self, most: usize) -> Vec<f64> {
        let most = most.max(2);
        if self.is_log { self.log_ticks(most) } else { self.linear_ticks(most) }
    }

    /// Round numbers with the words for them, all written to the same decimal.
    pub(crate) fn labelled_ticks(&self, most: usize, words: &Words) -> Vec<(f64, String)> {
        let ticks = self.ticks(most);
        let step = ticks.windows(2).map(|pair| pair[1] - pair[0]).fold(f64::INFINITY, f64::min);
        let largest = ticks.iter().fold(0.0_f64, |largest, tick| largest.max(tick.abs()));
        let is_plain = !self.is_log && (1e-6..1e9).contains(&step) && largest < 1e7;
        ticks
            .into_iter()
            .map(|tick| {
                let label = if is_plain {
                    #[expect(
                        clippy::cast_possible_truncation,
                        clippy::cast_sign_loss,
                        reason = "from 0 to 6, since the step is at least a millionth"
                    )]
                    let decimals = (-step.log10().floor()).clamp(0.0, 6.0) as usize;
                    words.fixed(tick, decimals)
                } else {
                    words.number(tick)
                };
                (tick, label)
            })
            .collect()
    }

    fn linear_ticks(&self, most: usize) -> Vec<f64> {
        let wanted = (self.high - self.low) / f64::from(u32::try_from(most).unwrap_or(u32::MAX));
        let power = 10_f64.powf(wanted.log10().floor());
        let mut step = power * 10.0;
        for factor in [1.0, 2.0, 5.0] {
            if power * factor >= wanted {
                step = power * factor;
                break;
            }
        }
        let first = (self.low / step).ceil();
        let mut ticks = Vec::new();
        let mut k = 0.0;
        while ticks.len() < most && (first + k) * step <= self.high {
            let tick = (first + k) * step;
            // Multiples of a decimal step carry the error of the step's last bit.
            let digits = (1e-9 * step).max(f64::MIN_POSITIVE);
            ticks.push(if tick.abs() < digits { 0.0 } else { round_to(tick, step) });
            k += 1.0;
        }
        ticks
    }

    fn log_ticks(&self, most: usize) -> Vec<f64> {
        let (low, high) = (self.low.exp(), self.high.exp().min(LARGEST));
        let (first, last) = (low.log10().floor(), high.log10().ceil());
        let decades = last - first;
        for factors in [&[1.0, 2.0, 3.0, 5.0, 7.0][..], &[1.0, 2.0, 5.0], &[1.0, 3.0], &[1.0]] {
            if decades > 30.0 {
                break;
            }
            let mut ticks = Vec::new();
            let mut decade = first;
            while decade <= last {
                for factor in factors {
                    let tick = factor * 10_f64.powf(decade);
                    if tick >= low && tick <= high {
                        ticks.push(if decade < 0.0 {
                            round_to(tick, 10_f64.powf(decade))
                        } else {
                            tick.round()
                        });
                    }
                }
                decade += 1.0;
            }
            if ticks.len() <= most && ticks.len() >= 2 {
                return ticks;
            }
        }
        let step = (decades / f64::from(u32::try_from(most).unwrap_or(u32::MAX))).ceil().max(1.0);
        let mut ticks = Vec::new();
        let mut decade = (first / step).ceil() * step;
        while decade <= last && ticks.len() < most {
            let tick = 10_f64.powf(decade);
            if tick >= low && tick <= high {
                ticks.push(tick);
            }
            decade += step;
        }
        ticks
    }
}

/// The nearest number that has no digits below a step's.
fn round_to(value: f64, step: f64) -> f64 {
    let digits = -step.log10().floor();
    if !(0.0..=15.0).contains(&digits) {
        return value;
    }
    let scale = 10_f64.powf(digits);
    (value * scale).round() / scale
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_log_axis_gives_equal_factors_equal_room() {
        let axis = NumberAxis::around([10.0, 1000.0], Spacing::Log, 0.0, 300.0);
        let (a, b, c) = (axis.at(10.0), axis.at(100.0), axis.at(1000.0));
        assert!(((b - a) - (c - b)).abs() < 1e-9, "{a} {b} {c}");
        assert!(axis.holds(10.0) && !axis.holds(0.0), "zero has no place on it");
        assert!((axis.at(0.0) - 0.0).abs() < 1e-9, "and is drawn at the edge");
    }

    #[test]
    fn ticks_are_round_and_lie_within() {
        let axis = NumberAxis::around([4.7, 5.4], Spacing::Linear { least: 1.0 }, 0.0, 300.0);
        assert_eq!(axis.ticks(4), [4.5, 5.0, 5.5]);
        let axis = NumberAxis::around([21.0, 44.0, 37.0], Spacing::Log, 0.0, 300.0);
        assert_eq!(axis.ticks(4), [20.0, 30.0, 50.0]);
        for value in axis.ticks(4) {
            assert!(axis.holds(value), "{value}");
        }
    }

    #[test]
    fn labels_of_a_straight_axis_share_their_decimals() {
        let words = Words::english(crate::words::Hemisphere::South);
        let labels = |low: f64, high: f64| {
            let axis = NumberAxis::around([low, high], Spacing::Linear { least: 1e-6 }, 0.0, 300.0);
            axis.labelled_ticks(5, &words).into_iter().map(|(_, label)| label).collect::<Vec<_>>()
        };
        assert_eq!(labels(0.46, 0.59), ["0.45", "0.50", "0.55", "0.60"]);
        assert_eq!(labels(1012.0, 1014.0), ["1012.0", "1012.5", "1013.0", "1013.5", "1014.0"]);
    }

    #[test]
    fn extremes_stay_finite() {
        let cases: [&[f64]; 5] =
            [&[f64::MAX, f64::MIN], &[f64::MIN_POSITIVE, f64::MAX], &[0.0], &[], &[1e-320, 5e15]];
        for values in cases {
            for spacing in [Spacing::Log, Spacing::Linear { least: 1.0 }] {
                let axis = NumberAxis::around(values.iter().copied(), spacing, 0.0, 300.0);
                for value in values {
                    let x = axis.at(*value);
                    assert!((0.0..=300.0).contains(&x), "{values:?} {spacing:?} {x}");
                }
                assert!(axis.ticks(5).len() <= 5, "{values:?} {spacing:?}");
            }
        }
    }
}
