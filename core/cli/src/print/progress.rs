//! How far long work is, as one line on a terminal that is written over until the work is done.

use std::io::{IsTerminal, Write};

use swardbook_app::{Part, Progress, Step, Watch};

/// Shows progress on standard error where that is a terminal, and nowhere else.
///
/// Nobody has to ask it to stop: ending the program before the last step leaves nothing behind.
pub(crate) struct Line<W: Write> {
    to: Option<W>,
    /// Letters that stand there now.
    standing: usize,
}

impl Line<std::io::Stderr> {
    /// The line of this terminal.
    pub(crate) fn of_this_terminal() -> Self {
        let terminal = std::io::stderr();
        Self { to: terminal.is_terminal().then_some(terminal), standing: 0 }
    }
}

impl<W: Write> Line<W> {
    fn write(&mut self, words: &str) {
        let Some(to) = &mut self.to else { return };
        let width = words.chars().count();
        let rest = self.standing.saturating_sub(width);
        // A terminal that went away is no reason to end the work.
        let _went_away = write!(to, "\r{words}{:rest$}", "").and_then(|()| to.flush());
        self.standing = width;
    }
}

impl<W: Write> Watch for Line<W> {
    fn tell(&mut self, progress: &Progress) {
        self.write(&words(progress));
    }

    fn is_stopped(&self) -> bool {
        false
    }
}

/// The line is gone when the work is done, so that the answer begins at the left.
impl<W: Write> Drop for Line<W> {
    fn drop(&mut self) {
        if self.standing > 0 {
            self.write("");
            self.write("");
        }
    }
}

fn words(progress: &Progress) -> String {
    let what = match progress.step {
        Step::Reading => return "Reading the file".to_owned(),
        Step::Keeping => return "Writing to the disk".to_owned(),
        Step::Looking => "Looking at",
        Step::Placing => "Taking in",
        Step::Measuring => "Measuring",
        Step::TakingBack => "Taking back",
        Step::Preparing => "Making ready",
        Step::Listing => "Making the lists of the notebook again",
    };
    let parts = match progress.part {
        Part::Rows => "rows",
        Part::Readings => "readings",
        Part::Journals => "journals of zones",
        Part::Records => "records",
        Part::Photos => "photos",
        Part::Whole => return what.to_owned(),
    };
    let left = match progress.seconds_left {
        Some(seconds) => format!(", about {seconds} s left"),
        None => String::new(),
    };
    format!("{what}: {} of {} {parts}{left}", progress.done, progress.all)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn placing(done: u32, seconds_left: Option<u32>) -> Progress {
        Progress {
            step: Step::Placing,
            part: Part::Rows,
            done,
            all: 2000,
            seconds_left,
            can_stop: true,
        }
    }

    #[test]
    fn a_shorter_line_leaves_nothing_of_the_longer_one() {
        let mut shown = Vec::new();
        {
            let mut line = Line { to: Some(&mut shown), standing: 0 };
            line.tell(&placing(500, Some(12)));
            line.tell(&placing(600, None));
        }
        let shown = String::from_utf8(shown).expect("words");
        let longer = "\rTaking in: 500 of 2000 rows, about 12 s left";
        let shorter = "\rTaking in: 600 of 2000 rows";
        let over = " ".repeat(longer.len() - shorter.len());
        let gone = format!("\r{}\r", " ".repeat(shorter.len() - 1));
        assert_eq!(shown, format!("{longer}{shorter}{over}{gone}"));
    }

    #[test]
    fn nothing_is_written_where_there_is_no_terminal() {
        let mut line: Line<Vec<u8>> = Line { to: None, standing: 0 };
        line.tell(&placing(1, None));
        assert_eq!(line.standing, 0);
    }
}
