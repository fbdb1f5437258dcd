//! Draws that anybody can repeat from a printed number.

/// A sequence of draws from a seed; the same on every machine and in every version.
///
/// # Source `SplitMix64`: Steele GL, Lea D, Flood CH (2014) Fast splittable pseudorandom number
/// generators, OOPSLA; constants of the public-domain reference program by Vigna S (2015).
#[derive(Debug, Clone)]
pub(super) struct Draws {
    state: u64,
}

impl Draws {
    pub(super) const fn from_seed(seed: u64) -> Self {
        Self { state: seed }
    }

    /// A second sequence of the same seed, for draws that must not disturb the first.
    pub(super) const fn aside(seed: u64) -> Self {
        // Zero would mix to itself, so another number stands in its place.
        Self { state: mixed(seed ^ 0x5851_f42d_4c95_7f2d) }
    }

    fn next(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        mixed(self.state)
    }

    /// A number from 0 up to, not including, 1.
    pub(super) fn uniform(&mut self) -> f64 {
        // The upper 53 bits fill a number's digits exactly.
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A number from `low` up to `high`.
    pub(super) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.uniform()
    }
}

const fn mixed(mut z: u64) -> u64 {
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sequence_is_that_of_the_reference_program() {
        // First five of seed 1234567, as printed by the reference program in several collections.
        let mut draws = Draws::from_seed(1_234_567);
        let first: Vec<u64> = (0..5).map(|_| draws.next()).collect();
        assert_eq!(
            first,
            [
                6_457_827_717_110_365_317,
                3_203_168_211_198_807_973,
                9_817_491_932_198_370_423,
                4_593_380_528_125_082_431,
                16_408_922_859_458_223_821,
            ]
        );
    }

    #[test]
    fn uniform_draws_reach_neither_below_zero_nor_one() {
        let mut draws = Draws::from_seed(0);
        let (mut low, mut high) = (1.0_f64, 0.0_f64);
        for _ in 0..100_000 {
            let draw = draws.uniform();
            assert!((0.0..1.0).contains(&draw), "{draw}");
            low = low.min(draw);
            high = high.max(draw);
        }
        assert!(low < 1e-3 && high > 1.0 - 1e-3, "{low} to {high}");
    }

    #[test]
    fn the_sequence_aside_is_another_one() {
        for seed in [0, 1, 7, u64::MAX] {
            let (mut one, mut other) = (Draws::from_seed(seed), Draws::aside(seed));
            assert!((0..10).all(|_| one.next() != other.next()), "no draw in common: {seed}");
        }
    }
}
