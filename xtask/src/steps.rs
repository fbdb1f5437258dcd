//! Steps of a run: heading, time, result, and the table at the end.

use std::time::{Duration, Instant};

/// What became of one step.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Became {
    Passed,
    Failed,
    Skipped(String),
}

#[derive(Debug)]
struct Step {
    name: String,
    took: Duration,
    result: Became,
}

/// The steps done so far; the first failure closes the list.
#[derive(Debug, Default)]
pub(crate) struct Steps {
    done: Vec<Step>,
}

impl Steps {
    /// Does one step, unless an earlier one failed.
    pub(crate) fn step(&mut self, name: &str, work: impl FnOnce() -> Result<(), String>) {
        if self.failed() {
            return;
        }
        println!("\n== {name}");
        #[expect(
            clippy::disallowed_methods,
            reason = "how long a step took is for the person waiting; nothing computes with it"
        )]
        let started = Instant::now();
        let outcome = work();
        let took = started.elapsed();
        let result = match outcome {
            Ok(()) => {
                println!("   passed in {}", spoken(took));
                Became::Passed
            }
            Err(reason) => {
                println!("{reason}");
                println!("   FAILED after {}", spoken(took));
                Became::Failed
            }
        };
        self.done.push(Step { name: name.to_owned(), took, result });
    }

    /// Notes a step that cannot be done here, and why.
    pub(crate) fn skip(&mut self, name: &str, reason: &str) {
        if self.failed() {
            return;
        }
        println!("\n== {name}\n   skipped: {reason}");
        self.done.push(Step {
            name: name.to_owned(),
            took: Duration::ZERO,
            result: Became::Skipped(reason.to_owned()),
        });
    }

    fn failed(&self) -> bool {
        self.done.iter().any(|step| matches!(step.result, Became::Failed))
    }

    /// Prints the table and, as the last line, the count; tells whether nothing failed.
    pub(crate) fn close(&self) -> bool {
        println!("\n{}", self.table());
        !self.failed()
    }

    fn table(&self) -> String {
        let width = self.done.iter().map(|step| step.name.chars().count()).max().unwrap_or(0);
        let (mut passed, mut failed, mut skipped) = (0, 0, 0);
        let mut table = String::new();
        for step in &self.done {
            let word = match &step.result {
                Became::Passed => {
                    passed += 1;
                    "passed".to_owned()
                }
                Became::Failed => {
                    failed += 1;
                    "FAILED".to_owned()
                }
                Became::Skipped(reason) => {
                    skipped += 1;
                    format!("skipped: {reason}")
                }
            };
            table.push_str(&format!("{:width$}  {:>10}  {word}\n", step.name, spoken(step.took)));
        }
        table.push_str(&format!("\n{passed} passed, {failed} failed"));
        if skipped > 0 {
            table.push_str(&format!(", {skipped} skipped"));
        }
        table
    }
}

fn spoken(time: Duration) -> String {
    let seconds = time.as_secs();
    if seconds >= 60 {
        format!("{} min {} s", seconds / 60, seconds % 60)
    } else {
        format!("{:.1} s", time.as_secs_f64())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_failure_closes_the_list_and_is_counted() {
        let mut steps = Steps::default();
        steps.step("first", || Ok(()));
        steps.skip("second", "nothing there");
        steps.step("third", || Err("it broke".to_owned()));
        let mut ran = false;
        steps.step("fourth", || {
            ran = true;
            Ok(())
        });
        assert!(!ran, "a step after a failure must not run");
        assert!(steps.table().ends_with("\n1 passed, 1 failed, 1 skipped"), "{}", steps.table());
        assert!(!steps.close(), "a failed step fails the run");
    }

    #[test]
    fn all_good_closes_with_the_plain_count() {
        let mut steps = Steps::default();
        steps.step("first", || Ok(()));
        steps.step("second", || Ok(()));
        assert!(steps.table().ends_with("\n2 passed, 0 failed"), "{}", steps.table());
        assert!(steps.close(), "nothing failed");
    }

    #[test]
    fn times_are_said_in_minutes_from_one_minute_on() {
        assert_eq!(spoken(Duration::from_millis(1_240)), "1.2 s");
        assert_eq!(spoken(Duration::from_secs(125)), "2 min 5 s");
    }
}
