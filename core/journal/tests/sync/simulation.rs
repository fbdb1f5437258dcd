//! Many schedules: random edits, splits, cuts, restarts, lost and restored devices, wrong clocks.
//!
//! `SWARDBOOK_SYNC_SCHEDULES=10000` runs so many; `SWARDBOOK_SYNC_SEED=17` runs that one.

use crate::schedule::run;

/// How many are run when nobody says.
const SCHEDULES: u64 = 500;

fn number(variable: &str) -> Option<u64> {
    std::env::var(variable).ok().map(|text| text.parse().unwrap())
}

#[test]
fn all_devices_end_alike_and_nothing_acknowledged_is_missing() {
    if let Some(seed) = number("SWARDBOOK_SYNC_SEED") {
        return run(seed);
    }
    for seed in 0..number("SWARDBOOK_SYNC_SCHEDULES").unwrap_or(SCHEDULES) {
        if std::panic::catch_unwind(|| run(seed)).is_err() {
            panic!("schedule {seed} failed; SWARDBOOK_SYNC_SEED={seed} runs it alone");
        }
    }
}
