//! Panels: bringing a laboratory's readings in, and showing them with their checks.
//!
//! How a file is read is [`crate::panel_file`]'s; what the readings say is [`crate::standing`]'s.

mod import;
mod preview;
mod source;
mod stored;
mod typed;
mod view;
mod waiting;

pub use import::{ImportOutcome, ImportRequest, ImportTarget, ImportedPanel};
pub use preview::{
    AnswerGiven, IgnoredView, PreviewReading, PreviewRequest, PreviewSample, PreviewView,
    QuestionView, UnreadView,
};
pub use source::PanelSource;
pub(crate) use stored::understood;
pub use typed::{TypedPanel, TypedReading, TypedReadingEdit};
pub(crate) use view::PanelContext;
pub use view::{FindingView, PanelRef, PanelView, ReadingView};
