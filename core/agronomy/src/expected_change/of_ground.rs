//! The share of a dose that this ground's test finds again, learned from its own retests.

use swardbook_stats::uncertainty::Uncertainty;
use swardbook_units::Content;

use super::KeptFraction;
use crate::{
    AgronomyError,
    error::{positive, within},
    source,
};

const OPERATION: &str = "share kept by this ground";
/// Steps in which the share is looked through from none to all.
const STEPS: u32 = 2_000;
/// Standard normal quantile between whose signs nine in ten lie.
const NINE_IN_TEN: f64 = 1.645;

/// A retest after a known dose.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KeptObservation {
    /// The test before.
    pub before: Content,
    /// Natural logarithm of the test after over that before.
    pub log_change: f64,
    /// Its standard uncertainty, with its degrees of freedom.
    pub uncertainty: Uncertainty,
    /// Rise of the test if all of the dose were found again.
    pub whole: Content,
}

/// Brings what retests of this ground showed to the published prior, by Bayes' rule.
///
/// The prior is taken as normal on the log odds of the share, nine in ten of it between its ends;
/// each retest says how likely every share makes what was read, `ln(1 + share x whole / before)`
/// with the scatter of the comparison.
/// The answer's ends hold nine in ten of what is then believed.
/// Uptake, feed from elsewhere and drift are in what a retest shows, so it is the share under this
/// ground's own keeping.
///
/// # Errors `Argument` for a test, rise or uncertainty that is not above zero, or a prior whose ends
///   are not between 0 and 1.
/// # Source Bayes' rule (Gelman et al. 2013, Bayesian Data Analysis, 3rd ed., 1.3), on a grid; the
///   prior's own.
pub fn kept_by_ground(
    prior: &KeptFraction,
    retests: &[KeptObservation],
) -> Result<KeptFraction, AgronomyError> {
    if retests.is_empty() {
        return Ok(prior.clone());
    }
    // An end at none or all has no log odds.
    let end = |argument, share| within(OPERATION, argument, share, "", 0.0, 1.0);
    let log_odds = |share: f64| (share / (1.0 - share)).ln();
    let [low, likely, high] =
        [("kept_low", prior.low), ("kept", prior.likely), ("kept_high", prior.high)]
            .map(|(name, share)| end(name, share).map(|share| share.clamp(0.005, 0.995)));
    let (low, likely, high) = (log_odds(low?), log_odds(likely?), log_odds(high?));
    let spread = ((high - low) / (2.0 * NINE_IN_TEN)).max(1e-6);
    for one in retests {
        positive(OPERATION, "before", one.before.value(), Content::UNIT)?;
        positive(OPERATION, "whole", one.whole.value(), Content::UNIT)?;
        positive(OPERATION, "uncertainty", one.uncertainty.u, "")?;
    }
    let shares: Vec<f64> =
        (0..STEPS).map(|step| (f64::from(step) + 0.5) / f64::from(STEPS)).collect();
    let logs: Vec<f64> = shares
        .iter()
        .map(|share| {
            let z = (log_odds(*share) - likely) / spread;
            // The density of the log odds, brought to the share.
            let believed = -0.5 * z * z - (share * (1.0 - share)).ln();
            believed + retests.iter().map(|one| log_likelihood(one, *share)).sum::<f64>()
        })
        .collect();
    let highest = logs.iter().copied().fold(f64::MIN, f64::max);
    let weights: Vec<f64> = logs.iter().map(|log| (log - highest).exp()).collect();
    let all: f64 = weights.iter().sum();
    let quantile = |part: f64| {
        let mut sum = 0.0;
        let reached = shares.iter().zip(&weights).find(|(_, weight)| {
            sum += **weight;
            sum >= part * all
        });
        reached.map_or(1.0, |(share, _)| *share)
    };
    let count = match retests.len() {
        1 => "one retest".to_owned(),
        more => format!("{more} retests"),
    };
    Ok(KeptFraction {
        low: quantile(0.05),
        likely: quantile(0.5),
        high: quantile(0.95),
        source: prior.source.clone(),
        from: format!("{count} of this ground on top of a published prior ({})", prior.from),
    })
}

/// How likely a share makes what was read, as a logarithm, but for a constant.
fn log_likelihood(one: &KeptObservation, share: f64) -> f64 {
    let expected = (share * one.whole.value() / one.before.value()).ln_1p();
    let t = (one.log_change - expected) / one.uncertainty.u;
    let df = one.uncertainty.df;
    if df.is_finite() { -0.5 * (df + 1.0) * (t * t / df).ln_1p() } else { -0.5 * t * t }
}

/// The prior with nothing to add to it.
#[must_use]
pub fn kept_as_given(share: f64) -> KeptFraction {
    KeptFraction {
        low: share,
        likely: share,
        high: share,
        source: source("definition"),
        from: "as given, of this ground's own retests".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::expected_change::kept_fraction;

    fn retest(before: f64, whole: f64, log_change: f64, u: f64) -> KeptObservation {
        KeptObservation {
            before: Content(before),
            log_change,
            uncertainty: Uncertainty::known(u),
            whole: Content(whole),
        }
    }

    #[test]
    fn without_a_retest_the_prior_stands() {
        let prior = kept_fraction("K");
        assert_eq!(kept_by_ground(&prior, &[]).unwrap(), prior, "nothing learned");
    }

    #[test]
    fn a_sharp_retest_decides_and_a_blunt_one_does_not() {
        let prior = kept_fraction("Mg");
        // 30 mg/kg of 100 put on were found again.
        let change = f64::ln(130.0 / 100.0);
        let sharp = kept_by_ground(&prior, &[retest(100.0, 100.0, change, 0.01)]).unwrap();
        assert!((sharp.likely - 0.30).abs() < 0.01 && sharp.high - sharp.low < 0.1, "{sharp:?}");
        let blunt = kept_by_ground(&prior, &[retest(100.0, 100.0, change, 5.0)]).unwrap();
        assert!((blunt.likely - prior.likely).abs() < 0.02, "{blunt:?}");
        assert!(blunt.from.contains("one retest"), "said: {}", blunt.from);
    }

    #[test]
    fn two_normal_sources_are_weighed_by_their_precision() {
        // Where the share hardly bends the log odds, the posterior of a normal prior and a normal
        // observation is the mean weighed by precision (Gelman et al. 2013, eq. 2.10).
        let log_odds = |share: f64| (share / (1.0 - share)).ln();
        let prior = KeptFraction { low: 0.48, likely: 0.5, high: 0.52, ..kept_fraction("Mg") };
        let prior_deviation = (log_odds(0.52) - log_odds(0.48)) / (2.0 * NINE_IN_TEN) / 4.0;
        // One mg/kg in a thousand: the change is the share in thousandths.
        let u = 0.01 / 1000.0;
        let seen = kept_by_ground(&prior, &[retest(1000.0, 1.0, 0.52 / 1000.0, u)]).unwrap();
        let (a, b) = (prior_deviation.powi(-2), 0.01_f64.powi(-2));
        let mean = (a * 0.5 + b * 0.52) / (a + b);
        assert!((seen.likely - mean).abs() < 0.001, "{seen:?} where {mean} is expected");
        let width = 2.0 * NINE_IN_TEN / (a + b).sqrt();
        assert!((seen.high - seen.low - width).abs() < 0.002, "{seen:?}: {width}");
    }

    #[test]
    fn nine_in_ten_of_what_is_drawn_from_the_prior_lie_in_its_range() {
        // Shares drawn from the prior at even steps, each read at even steps of its scatter: the range
        // holds nine in ten over all (Cook, Gelman and Rubin 2006, J. Comp. Graph. Stat. 15:675).
        let prior = kept_fraction("P");
        let log_odds = |share: f64| (share / (1.0 - share)).ln();
        let quantile = |part| swardbook_stats::distribution::normal_quantile(part).unwrap();
        let (low, high) = (log_odds(prior.low), log_odds(prior.high));
        let (middle, spread) = (log_odds(prior.likely), (high - low) / (2.0 * NINE_IN_TEN));
        let (mut held, mut all) = (0, 0);
        for drawn in 0..60 {
            let z = quantile((f64::from(drawn) + 0.5) / 60.0);
            let share = 1.0 / (1.0 + (-(middle + spread * z)).exp());
            for read in 0..20 {
                let error = 0.15 * quantile((f64::from(read) + 0.5) / 20.0);
                let seen = (share * 60.0 / 40.0).ln_1p() + error;
                let found = kept_by_ground(&prior, &[retest(40.0, 60.0, seen, 0.15)]).unwrap();
                held += u32::from((found.low..=found.high).contains(&share));
                all += 1;
            }
        }
        let covered = f64::from(held) / f64::from(all);
        assert!((covered - 0.9).abs() < 0.015, "{covered}");
    }

    #[test]
    fn what_cannot_be_is_named() {
        let bad = kept_by_ground(&kept_fraction("K"), &[retest(0.0, 1.0, 0.1, 0.1)]).unwrap_err();
        assert_eq!(bad.argument(), "before", "{bad}");
    }
}
