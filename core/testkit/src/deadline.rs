//! How long a test waits for other processes before it says that they did not come.

use std::time::{Duration, Instant};

/// A moment by which something must have happened.
#[derive(Debug, Clone, Copy)]
pub struct Deadline {
    begun: Instant,
    patience: Duration,
}

impl Deadline {
    /// So long from now.
    #[must_use]
    #[expect(clippy::disallowed_methods, reason = "how long a test has waited is nobody's record")]
    pub fn after(patience: Duration) -> Self {
        Self { begun: Instant::now(), patience }
    }

    /// What is left of it; nothing once it has passed.
    #[must_use]
    pub fn left(&self) -> Duration {
        self.patience.saturating_sub(self.begun.elapsed())
    }
}
