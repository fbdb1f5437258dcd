//! Exact tests for few units: every way the treatment could have fallen is listed.
//!
//! A design whose smallest reachable p is above the stated rate is refused as a test before the
//! work starts.

use crate::{
    StatsError,
    describe::mean_of,
    error::{count, refuse, values as check},
};

/// Most arrangements that are listed; beyond it they are drawn.
pub const MOST_ARRANGEMENTS: u64 = 1 << 20;

/// A permutation test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Permutation {
    /// The observed mean difference.
    pub difference: f64,
    /// Arrangements looked at.
    pub arrangements: u64,
    /// Those whose difference is at least as large as the observed one, upward.
    pub at_least: u64,
    /// Those at least as far from zero as the observed one.
    pub as_far: u64,
    /// p of a rise.
    pub p_rise: f64,
    /// p of a fall.
    pub p_fall: f64,
    /// Two-sided p.
    pub p: f64,
    /// The smallest two-sided p that the design can give.
    pub smallest_p: f64,
}

/// Counts arrangements against the observed sum; equal up to rounding counts as equal.
struct Tally {
    observed: f64,
    rounding: f64,
    all: u64,
    at_least: u64,
    at_most: u64,
    as_far: u64,
}

impl Tally {
    fn new(observed: f64, size: f64) -> Self {
        Self { observed, rounding: 1e-10 * size, all: 0, at_least: 0, at_most: 0, as_far: 0 }
    }

    fn count(&mut self, sum: f64) {
        self.all += 1;
        self.at_least += u64::from(sum >= self.observed - self.rounding);
        self.at_most += u64::from(sum <= self.observed + self.rounding);
        self.as_far += u64::from(sum.abs() >= self.observed.abs() - self.rounding);
    }

    /// All arrangements were seen, the observed one among them.
    fn exact(&self, difference: f64, smallest_p: f64) -> Permutation {
        let share = |n: u64| n as f64 / self.all as f64;
        self.finished(difference, smallest_p, share)
    }

    /// Drawn arrangements; the observed one is added, so that no p is zero.
    ///
    /// # Source Phipson B, Smyth GK (2010) Statistical Applications in Genetics and Molecular
    ///   Biology 9:39.
    fn drawn(&self, difference: f64, smallest_p: f64) -> Permutation {
        let share = |n: u64| (n as f64 + 1.0) / (self.all as f64 + 1.0);
        self.finished(difference, smallest_p, share)
    }

    fn finished(
        &self,
        difference: f64,
        smallest_p: f64,
        share: impl Fn(u64) -> f64,
    ) -> Permutation {
        Permutation {
            difference,
            arrangements: self.all,
            at_least: self.at_least,
            as_far: self.as_far,
            p_rise: share(self.at_least),
            p_fall: share(self.at_most),
            p: share(self.as_far),
            smallest_p,
        }
    }
}

/// Tests paired differences by every pattern of signs.
///
/// # Errors `TooFew` for none, `TooMany` above twenty pairs, `Argument` for a value not finite.
/// # Source Fisher RA (1935) The Design of Experiments, chapter 3.
pub fn sign_flips(differences: &[f64]) -> Result<Permutation, StatsError> {
    check("differences", differences, 1)?;
    if arrangements_of_pairs(differences.len()) > MOST_ARRANGEMENTS as f64 {
        return Err(StatsError::TooMany { argument: "differences", most: MOST_ARRANGEMENTS });
    }
    let mut tally = tally_of_pairs(differences);
    flip(differences, 0.0, &mut tally);
    Ok(tally.exact(mean_of(differences), smallest_p_of_pairs(differences.len())?))
}

/// The same with `draws` random patterns; `uniform` gives numbers from 0 up to 1.
///
/// # Errors `TooFew` for no differences or no draws, `Argument` for a value not finite.
pub fn sign_flips_drawn(
    differences: &[f64],
    draws: u64,
    uniform: &mut impl FnMut() -> f64,
) -> Result<Permutation, StatsError> {
    check("differences", differences, 1)?;
    count("draws", usize::from(draws > 0), 1)?;
    let mut tally = tally_of_pairs(differences);
    for _ in 0..draws {
        let flipped = |value: &f64, uniform: &mut dyn FnMut() -> f64| {
            if uniform() < 0.5 { -value } else { *value }
        };
        let sum = differences.iter().map(|value| flipped(value, uniform)).sum();
        tally.count(sum);
    }
    Ok(tally.drawn(mean_of(differences), smallest_p_of_pairs(differences.len())?))
}

fn tally_of_pairs(differences: &[f64]) -> Tally {
    let size = differences.iter().map(|value| value.abs()).sum();
    Tally::new(differences.iter().sum(), size)
}

fn flip(rest: &[f64], sum: f64, tally: &mut Tally) {
    match rest.split_first() {
        None => tally.count(sum),
        Some((value, rest)) => {
            flip(rest, sum + value, tally);
            flip(rest, sum - value, tally);
        }
    }
}

/// Tests the difference of two group means, second minus first, by every way to deal the values.
///
/// On ranks ([`mid_ranks`]) this is the exact rank-sum test, for visual ratings.
///
/// # Errors `TooFew` for an empty group, `TooMany` beyond [`MOST_ARRANGEMENTS`], `Argument` for a
///   value not finite.
/// # Source Pitman EJG (1937) Supplement to the Journal of the Royal Statistical Society 4:119-130.
pub fn two_groups(first: &[f64], second: &[f64]) -> Result<Permutation, StatsError> {
    let dealt = Dealt::new(first, second)?;
    if arrangements_of_groups(first.len(), second.len()) > MOST_ARRANGEMENTS as f64 {
        return Err(StatsError::TooMany { argument: "first and second", most: MOST_ARRANGEMENTS });
    }
    let mut tally = dealt.tally();
    deal(&dealt.centred, dealt.in_second, 0.0, &mut tally);
    Ok(tally.exact(dealt.difference, smallest_p_of_groups(first.len(), second.len())?))
}

/// The same with `draws` random deals; `uniform` gives numbers from 0 up to 1.
///
/// # Errors `TooFew` for an empty group or no draws, `Argument` for a value not finite.
pub fn two_groups_drawn(
    first: &[f64],
    second: &[f64],
    draws: u64,
    uniform: &mut impl FnMut() -> f64,
) -> Result<Permutation, StatsError> {
    let dealt = Dealt::new(first, second)?;
    count("draws", usize::from(draws > 0), 1)?;
    let mut tally = dealt.tally();
    for _ in 0..draws {
        tally.count(drawn_sum(&dealt.centred, dealt.in_second, uniform));
    }
    Ok(tally.drawn(dealt.difference, smallest_p_of_groups(first.len(), second.len())?))
}

/// All values less their common mean: the sum of the second group then says it all.
struct Dealt {
    centred: Vec<f64>,
    in_second: usize,
    difference: f64,
    observed: f64,
}

impl Dealt {
    fn new(first: &[f64], second: &[f64]) -> Result<Self, StatsError> {
        check("first", first, 1)?;
        check("second", second, 1)?;
        let all = [first, second].concat();
        let centre = mean_of(&all);
        let centred: Vec<f64> = all.iter().map(|value| value - centre).collect();
        let observed = centred[first.len()..].iter().sum();
        Ok(Self {
            centred,
            in_second: second.len(),
            difference: mean_of(second) - mean_of(first),
            observed,
        })
    }

    fn tally(&self) -> Tally {
        Tally::new(self.observed, self.centred.iter().map(|value| value.abs()).sum())
    }
}

fn deal(rest: &[f64], wanted: usize, sum: f64, tally: &mut Tally) {
    if wanted == 0 {
        tally.count(sum);
    } else if let Some((value, after)) = rest.split_first() {
        deal(after, wanted - 1, sum + value, tally);
        if after.len() >= wanted {
            deal(after, wanted, sum, tally);
        }
    }
}

/// Sum of `wanted` values drawn without replacement.
fn drawn_sum(values: &[f64], wanted: usize, uniform: &mut impl FnMut() -> f64) -> f64 {
    let mut missing = wanted as f64;
    let mut sum = 0.0;
    for (place, value) in values.iter().enumerate() {
        // Each value is taken with the chance that the places still empty leave it.
        if uniform() * ((values.len() - place) as f64) < missing {
            sum += value;
            missing -= 1.0;
        }
    }
    sum
}

/// Smallest two-sided p that n pairs can give: 2 / 2^n.
///
/// # Errors `TooFew` for no pair.
pub fn smallest_p_of_pairs(pairs: usize) -> Result<f64, StatsError> {
    count("pairs", pairs, 1)?;
    Ok((2.0 / arrangements_of_pairs(pairs)).min(1.0))
}

/// Smallest two-sided p that two groups can be relied on to give: 2 / C(n + m, n).
///
/// # Errors `TooFew` for an empty group.
pub fn smallest_p_of_groups(n_a: usize, n_b: usize) -> Result<f64, StatsError> {
    count("n_a", n_a, 1)?;
    count("n_b", n_b, 1)?;
    Ok((2.0 / arrangements_of_groups(n_a, n_b)).min(1.0))
}

/// Ways to give signs to n differences: 2^n.
#[must_use]
pub fn arrangements_of_pairs(pairs: usize) -> f64 {
    (pairs as f64).exp2()
}

/// Ways to deal n + m values into groups of n and m.
#[must_use]
pub fn arrangements_of_groups(n_a: usize, n_b: usize) -> f64 {
    let few = n_a.min(n_b);
    let all = (n_a + n_b) as f64;
    (0..few).fold(1.0, |ways, i| (ways * (all - i as f64) / (i as f64 + 1.0)).round())
}

/// Whether a design can reach an error rate at all.
///
/// # Errors `Argument` for an error rate not between 0 and 1.
pub fn can_reach(smallest_p: f64, error_rate: f64) -> Result<bool, StatsError> {
    crate::error::share("error_rate", error_rate)?;
    if !(0.0..=1.0).contains(&smallest_p) {
        return refuse("smallest_p", "from 0 to 1", smallest_p);
    }
    Ok(smallest_p <= error_rate)
}

/// Ranks from 1; equal values share the mean of their ranks.
///
/// # Errors `Argument` for a value not finite.
pub fn mid_ranks(values: &[f64]) -> Result<Vec<f64>, StatsError> {
    check("values", values, 0)?;
    Ok(values
        .iter()
        .map(|value| {
            let below = values.iter().filter(|other| *other < value).count() as f64;
            let not_above = values.iter().filter(|other| *other <= value).count() as f64;
            0.5 * (below + 1.0 + not_above)
        })
        .collect())
}
