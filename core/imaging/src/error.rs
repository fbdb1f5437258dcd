//! Why a photo, a card or a setting has no answer.

use swardbook_stats::StatsError;

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ImagingError {
    /// The pixels do not fill the frame that was named.
    #[error("a frame of {width} x {height} needs {needed} bytes of colour, not {got}")]
    FrameSize {
        /// Columns.
        width: usize,
        /// Rows.
        height: usize,
        /// Bytes wanted.
        needed: usize,
        /// Bytes given.
        got: usize,
    },
    /// A setting that cannot be.
    #[error("{setting} is {got}; it must be {must_be}")]
    Setting {
        /// The setting's name.
        setting: &'static str,
        /// What it must be.
        must_be: &'static str,
        /// What it was.
        got: f64,
    },
    /// The region of interest holds too few pixels.
    #[error("the region holds {got} pixels; it must hold at least {needed}")]
    EmptyRegion {
        /// The least count.
        needed: u64,
        /// The count found.
        got: u64,
    },
    /// Corners that do not make a card.
    #[error("the four corners do not enclose a card: {why}")]
    Corners {
        /// What is wrong with them.
        why: &'static str,
    },
    /// A card that the camera recorded too bright or too dark to measure.
    #[error("the card is {what} in the photo (code {code:.0} of 255); {remedy}")]
    CardExposure {
        /// `too bright` or `too dark`.
        what: &'static str,
        /// The offending channel's mean code.
        code: f64,
        /// What to do.
        remedy: &'static str,
    },
    /// A card that is not of one colour in the photo.
    #[error(
        "the card is not evenly lit: its parts differ by {spread:.0} % (at most {most:.0} % is \
         taken); keep shadow and glare off it"
    )]
    CardUneven {
        /// Greatest difference between parts of the card, percent of its mean.
        spread: f64,
        /// The most that is taken, percent.
        most: f64,
    },
    /// The patches of a chart do not fit their known colours.
    #[error("the chart does not fit its known colours: {why}")]
    ChartFit {
        /// What is wrong.
        why: String,
    },
    /// No card or chart was found.
    #[error("no {what} was found: {why}; mark its corners by hand")]
    NotFound {
        /// `chart` or `grey card`.
        what: &'static str,
        /// What stood in the way.
        why: &'static str,
    },
    /// The statistics behind it have no answer.
    #[error(transparent)]
    Statistics(#[from] StatsError),
}
