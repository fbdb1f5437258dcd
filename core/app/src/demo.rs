//! The demo season: an invented practitioner's three years, kept through the same commands that a
//! person uses.
//!
//! Every person, place, laboratory and number in it is invented.

mod clock;
mod letters;
mod picture;
mod season;
mod steps;
mod story;

use std::path::Path;

use serde::Serialize;
use ts_rs::TS;

use crate::Problem;

/// One step of the way through, with what it says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct DemoStep {
    /// The day.
    pub day: String,
    /// What is done.
    pub title: String,
    /// What comes of it.
    pub lines: Vec<String>,
}

/// Makes the demo notebook in an empty or absent folder, and tells each step as it is done.
///
/// # Errors
/// [`Problem`] when the folder is taken or the disk refuses.
pub fn make_demo(folder: &Path, tell: &mut dyn FnMut(&DemoStep)) -> Result<(), Problem> {
    let letters = letters::Letters::write()?;
    let mut story = story::Story::begin(folder, tell)?;
    season::tell(&mut story, &letters)?;
    story.end()
}
