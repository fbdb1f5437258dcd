//! How far long work has come, and how whoever waits for it has it stopped.
//!
//! It does not own the work: a use case tells it each part that is done and asks whether to go on.

use std::time::Duration;

use serde::Serialize;
use ts_rs::TS;

use crate::{Code, Problem};

/// What long work is at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, TS)]
#[serde(rename_all = "kebab-case")]
pub enum Step {
    /// Reading the file.
    Reading,
    /// Looking at what will be touched.
    Looking,
    /// Putting its parts in their places, in memory.
    Placing,
    /// Measuring photos.
    Measuring,
    /// Writing the opposite of an earlier act, in memory.
    TakingBack,
    /// Making the journals and lists ready to be written.
    Preparing,
    /// Writing to the disk, all at once.
    Keeping,
    /// Making the lists of the notebook from its documents, after an update or damage.
    Listing,
}

/// What the parts of a step are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, TS)]
#[serde(rename_all = "kebab-case")]
pub enum Part {
    /// Rows of a file.
    Rows,
    /// Readings, where one row of the file belongs to several samples.
    Readings,
    /// Journals of zones.
    Journals,
    /// Records, whatever their kind.
    Records,
    /// Photos.
    Photos,
    /// The step is one part.
    Whole,
}

/// How far long work has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, TS)]
pub struct Progress {
    /// What it is at.
    pub step: Step,
    /// What is counted.
    pub part: Part,
    /// Parts of this step that are done.
    pub done: u32,
    /// Parts of this step.
    pub all: u32,
    /// Seconds until the step is done, once it goes steadily; none before.
    pub seconds_left: Option<u32>,
    /// Whether it still can be stopped.
    pub can_stop: bool,
}

/// Whoever waits for long work.
pub trait Watch {
    /// Hears how far it is; must come back soon, since the work waits meanwhile.
    fn tell(&mut self, progress: &Progress);

    /// Whether to stop; asked after every part.
    fn is_stopped(&self) -> bool;
}

/// Nobody in particular waits.
#[derive(Debug, Clone, Copy, Default)]
pub struct Unwatched;

impl Watch for Unwatched {
    fn tell(&mut self, _: &Progress) {}

    fn is_stopped(&self) -> bool {
        false
    }
}

/// Time since something began.
pub type Stopwatch = Box<dyn Fn() -> Duration + Send>;

/// Work under way, told to whoever waits.
pub(crate) struct Course<'w> {
    watch: &'w mut dyn Watch,
    stopwatch: Stopwatch,
    /// What is said when it is stopped.
    stopped: String,
    now: Progress,
    pace: Pace,
}

impl std::fmt::Debug for Course<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Course").field("now", &self.now).finish_non_exhaustive()
    }
}

impl<'w> Course<'w> {
    /// Begins; nothing is told before the first step.
    pub(crate) fn begin(watch: &'w mut dyn Watch, stopwatch: Stopwatch, stopped: String) -> Self {
        let now = Progress {
            step: Step::Reading,
            part: Part::Whole,
            done: 0,
            all: 0,
            seconds_left: None,
            can_stop: true,
        };
        Self { watch, stopwatch, stopped, now, pace: Pace::default() }
    }

    /// Goes on to a step of so many parts.
    ///
    /// # Errors
    /// [`Code::Cancelled`] when it is to stop here.
    pub(crate) fn step(&mut self, step: Step, part: Part, all: usize) -> Result<(), Problem> {
        self.go_on()?;
        let all = u32::try_from(all).unwrap_or(u32::MAX);
        let can_stop = step != Step::Keeping;
        self.now = Progress { step, part, done: 0, all, seconds_left: None, can_stop };
        self.pace = Pace::begun((self.stopwatch)());
        self.watch.tell(&self.now);
        Ok(())
    }

    /// So many parts of the step are done since.
    ///
    /// # Errors
    /// [`Code::Cancelled`] when it is to stop here.
    pub(crate) fn did(&mut self, parts: usize) -> Result<(), Problem> {
        self.go_on()?;
        let Progress { done, all, .. } = self.now;
        let now_done = done.saturating_add(u32::try_from(parts).unwrap_or(u32::MAX)).min(all);
        self.now.done = now_done;
        // A whole hundredth more, so that telling costs the same however many parts there are.
        if hundredths(now_done, all) > hundredths(done, all) {
            self.now.seconds_left = self.pace.seconds_left((self.stopwatch)(), now_done, all);
            self.watch.tell(&self.now);
        }
        Ok(())
    }

    /// Whether it is to stop; for work that keeps what it has done until then.
    pub(crate) fn is_stopped(&self) -> bool {
        self.watch.is_stopped()
    }

    fn go_on(&self) -> Result<(), Problem> {
        if self.is_stopped() {
            return Err(Problem::new(Code::Cancelled, self.stopped.clone()));
        }
        Ok(())
    }
}

fn hundredths(done: u32, all: u32) -> u64 {
    u64::from(done) * 100 / u64::from(all.max(1))
}

/// The speed of a step, and when it can be relied on.
#[derive(Debug, Clone, Copy, Default)]
struct Pace {
    begun: Duration,
    /// The last whole times that were worked out, in seconds, newest last.
    guesses: [f64; 3],
}

/// No time is said before so long, seconds.
const FIRST_WORD: f64 = 1.0;
/// How far the last guesses may lie apart, as a share, for a time to be said.
const STEADY: f64 = 0.2;

impl Pace {
    fn begun(begun: Duration) -> Self {
        Self { begun, guesses: [0.0; 3] }
    }

    /// Seconds left, at least 1; none while guesses still wander.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a cast of a number beyond the range stops at its end, which is what is wanted"
    )]
    fn seconds_left(&mut self, now: Duration, done: u32, all: u32) -> Option<u32> {
        let gone = now.saturating_sub(self.begun).as_secs_f64();
        if done == 0 || gone <= 0.0 {
            return None;
        }
        let whole = gone * f64::from(all) / f64::from(done);
        self.guesses.rotate_left(1);
        self.guesses[2] = whole;
        let least = self.guesses.iter().copied().fold(f64::INFINITY, f64::min);
        let most = self.guesses.iter().copied().fold(0.0, f64::max);
        let is_steady = gone >= FIRST_WORD && least > 0.0 && most - least <= STEADY * most;
        is_steady.then(|| (whole - gone).ceil().max(1.0) as u32)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Default)]
    struct Ear {
        heard: Vec<Progress>,
        stop_at: Option<u32>,
    }

    impl Watch for Ear {
        fn tell(&mut self, progress: &Progress) {
            self.heard.push(*progress);
        }

        fn is_stopped(&self) -> bool {
            self.heard.last().is_some_and(|now| self.stop_at.is_some_and(|at| now.done >= at))
        }
    }

    fn standing() -> Stopwatch {
        Box::new(|| Duration::ZERO)
    }

    #[test]
    fn a_million_parts_are_told_a_hundred_times() {
        let mut ear = Ear::default();
        let mut course = Course::begin(&mut ear, standing(), "stopped".to_owned());
        course.step(Step::Placing, Part::Rows, 1_000_000).expect("nobody stops it");
        for _ in 0..1_000_000 {
            course.did(1).expect("nobody stops it");
        }
        assert_eq!(ear.heard.len(), 1 + 100, "the beginning and every hundredth");
        assert!(ear.heard.is_sorted_by_key(|now| now.done), "it never goes back");
        assert_eq!(ear.heard.last().map(|now| (now.done, now.all)), Some((1_000_000, 1_000_000)));
    }

    #[test]
    fn a_stop_is_heard_at_the_next_part_with_its_words() {
        let mut ear = Ear { stop_at: Some(3), ..Ear::default() };
        let mut course = Course::begin(&mut ear, standing(), "nothing was done".to_owned());
        course.step(Step::Placing, Part::Rows, 10).expect("not yet");
        let done = (0..10).take_while(|_| course.did(1).is_ok()).count();
        assert_eq!(done, 3, "the part after the third is not begun");
        let refused = course.step(Step::Keeping, Part::Whole, 0).expect_err("stopped");
        assert_eq!((refused.code, refused.message.as_str()), (Code::Cancelled, "nothing was done"));
    }

    #[test]
    fn a_time_is_said_once_the_speed_is_steady() {
        let at = |seconds: f64| Duration::from_secs_f64(seconds);
        let mut pace = Pace::begun(at(10.0));
        // 100 parts a second from a slow beginning: guesses of 20, 12 and 11 s wander, the next are
        // 10.5 s and less.
        assert_eq!(pace.seconds_left(at(10.2), 10, 1000), None, "too early");
        assert_eq!(pace.seconds_left(at(11.2), 100, 1000), None, "20 s and 12 s are far apart");
        assert_eq!(pace.seconds_left(at(12.2), 200, 1000), None, "the first guess still counts");
        assert_eq!(
            pace.seconds_left(at(13.2), 300, 1000),
            Some(8),
            "10.7 s in all, 3.2 s are gone"
        );
        assert_eq!(pace.seconds_left(at(20.0), 1000, 1000), Some(1), "never nothing");
    }

    #[test]
    fn a_clock_that_stands_gives_no_time() {
        let mut pace = Pace::begun(Duration::ZERO);
        for done in 1..10 {
            assert_eq!(pace.seconds_left(Duration::ZERO, done, 10), None);
        }
    }
}
