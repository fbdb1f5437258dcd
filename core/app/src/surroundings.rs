//! The clock and the dice: the only place where either is read.

use std::{
    sync::Arc,
    time::{Duration, Instant, SystemTime, UNIX_EPOCH},
};

use chrono::{DateTime, Local, NaiveDate};
use swardbook_units::Id;

use crate::progress::Stopwatch;

/// Where "now" and random bytes come from.
pub trait Surroundings: Send {
    /// Seconds since 1970.
    fn now(&self) -> i64;
    /// The civil day here.
    fn today(&self) -> NaiveDate;
    /// Fills a buffer with random bytes.
    fn random(&mut self, buffer: &mut [u8]);

    /// The clock for other threads; one that stands stands for them too.
    fn clock(&self) -> Arc<dyn Fn() -> i64 + Send + Sync> {
        let now = self.now();
        Arc::new(move || now)
    }

    /// The time since now; a clock that stands says that none goes by.
    fn stopwatch(&self) -> Stopwatch {
        Box::new(|| Duration::ZERO)
    }

    /// A new record's name.
    fn new_id(&mut self) -> Id {
        let mut bytes = [0; 10];
        self.random(&mut bytes);
        Id::from_random(bytes)
    }
}

/// The real clock and the system's randomness.
#[derive(Debug, Clone, Copy, Default)]
pub struct RealSurroundings;

impl Surroundings for RealSurroundings {
    #[expect(clippy::disallowed_methods, reason = "this is the one place that reads the clock")]
    fn now(&self) -> i64 {
        let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
        i64::try_from(since.as_secs()).unwrap_or(i64::MAX)
    }

    #[expect(clippy::disallowed_methods, reason = "this is the one place that reads the clock")]
    fn today(&self) -> NaiveDate {
        Local::now().date_naive()
    }

    fn clock(&self) -> Arc<dyn Fn() -> i64 + Send + Sync> {
        Arc::new(|| Self.now())
    }

    #[expect(clippy::disallowed_methods, reason = "this is the one place that reads the clock")]
    fn stopwatch(&self) -> Stopwatch {
        let begun = Instant::now();
        Box::new(move || begun.elapsed())
    }

    fn random(&mut self, buffer: &mut [u8]) {
        getrandom::fill(buffer).expect("every system we run on has a source of randomness");
    }
}

/// A clock that stands where it is set and dice that always fall the same way: for the demo
/// season, which must come out the same on every machine, and for tests.
#[derive(Debug, Clone)]
pub struct FixedSurroundings {
    /// The day it is.
    pub today: NaiveDate,
    /// Where the dice stand.
    pub state: u64,
}

impl FixedSurroundings {
    /// A clock at noon of a day, dice thrown from a seed.
    #[must_use]
    pub const fn new(today: NaiveDate, seed: u64) -> Self {
        Self { today, state: seed }
    }
}

impl Surroundings for FixedSurroundings {
    fn now(&self) -> i64 {
        self.today.and_hms_opt(12, 0, 0).map_or(0, |noon| noon.and_utc().timestamp())
    }

    fn today(&self) -> NaiveDate {
        self.today
    }

    /// splitmix64 (Steele, Lea and Flood 2014), good enough for names that must only differ.
    fn random(&mut self, buffer: &mut [u8]) {
        for chunk in buffer.chunks_mut(8) {
            self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
            let mut z = self.state;
            z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
            z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
            chunk.copy_from_slice(&(z ^ (z >> 31)).to_le_bytes()[..chunk.len()]);
        }
    }
}

/// The civil day of an instant, in this machine's time zone.
#[must_use]
pub fn local_day(seconds: i64) -> Option<NaiveDate> {
    DateTime::from_timestamp(seconds, 0).map(|t| t.with_timezone(&Local).date_naive())
}
