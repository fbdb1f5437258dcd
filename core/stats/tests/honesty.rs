//! Simulated ground: what is claimed keeps its stated error, and what is promised is covered.
//!
//! Every simulation is seeded; a rate may be off its stated value by four standard errors of the
//! simulation, plus what a method that is only approximate is allowed, which is said beside it.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

#[path = "honesty/changes.rs"]
mod changes;
#[path = "honesty/ground.rs"]
mod ground;
#[path = "honesty/groups.rs"]
mod groups;
#[path = "honesty/trials.rs"]
mod trials;

use swardbook_stats::distribution::normal_quantile;

/// Seeded draws (xorshift64*, Vigna 2016, ACM Transactions on Mathematical Software 42:30).
struct Draws(u64);

impl Draws {
    fn new(seed: u64) -> Self {
        // Nearby seeds would begin alike.
        let mut draws = Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
        for _ in 0..8 {
            draws.uniform();
        }
        draws
    }

    /// From 0 up to 1.
    fn uniform(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        let bits = self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 11;
        bits as f64 / (1_u64 << 53) as f64
    }

    fn normal(&mut self, mean: f64, deviation: f64) -> f64 {
        let inside = self.uniform().clamp(1e-16, 1.0 - 1e-16);
        mean + deviation * normal_quantile(inside).unwrap()
    }

    fn normals(&mut self, n: usize, mean: f64, deviation: f64) -> Vec<f64> {
        (0..n).map(|_| self.normal(mean, deviation)).collect()
    }
}

/// Share of `runs` in which `happens`.
fn rate(seed: u64, runs: u32, mut happens: impl FnMut(&mut Draws) -> bool) -> f64 {
    let mut draws = Draws::new(seed);
    let hits = (0..runs).filter(|_| happens(&mut draws)).count();
    hits as f64 / f64::from(runs)
}

fn allowed(stated: f64, runs: u32) -> f64 {
    4.0 * (stated * (1.0 - stated) / f64::from(runs)).sqrt()
}

/// The rate is the stated one within the error of the simulation.
fn is_stated(what: &str, got: f64, stated: f64, runs: u32) {
    is_nearly(what, got, stated, runs, 0.0);
}

/// The same for a method that is only approximate.
fn is_nearly(what: &str, got: f64, stated: f64, runs: u32, approximation: f64) {
    let allowed = allowed(stated, runs) + approximation;
    assert!((got - stated).abs() <= allowed, "{what}: {got}, stated {stated} -+ {allowed}");
}

/// The rate is at most the stated one, but for the error of the simulation.
fn is_at_most(what: &str, got: f64, stated: f64, runs: u32) {
    let allowed = allowed(stated, runs);
    assert!(got <= stated + allowed, "{what}: {got}, stated at most {stated} + {allowed}");
}

/// A mean of simulated numbers is the expected one within four of its standard errors.
fn mean_is(what: &str, values: &[f64], expected: f64) {
    let got = swardbook_stats::describe::Summary::of(values).unwrap();
    let allowed = 4.0 * got.standard_error();
    let off = (got.mean - expected).abs();
    assert!(off <= allowed, "{what}: mean {}, expected {expected} -+ {allowed}", got.mean);
}
