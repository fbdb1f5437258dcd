//! How long something took, for benches that report more than their own time.

use std::{
    sync::LazyLock,
    time::{Duration, Instant},
};

/// The steady clock since it was first asked.
#[must_use]
#[expect(clippy::disallowed_methods, reason = "benches measure time")]
pub fn stop_watch() -> Duration {
    static BEGUN: LazyLock<Instant> = LazyLock::new(Instant::now);
    BEGUN.elapsed()
}
