//! The use cases of Swardbook: everything a shell may ask of it.
//!
//! This is the only crate that reads a clock, draws random bytes, and knows both the records and
//! the arithmetic.
//! It does not own argument parsing, screens or windows.

pub mod album;
pub mod analyte;
pub mod calc;
mod command;
pub mod compare;
pub mod demo;
pub mod devices;
pub mod dto;
pub mod figure;
pub mod ground;
pub mod laboratory;
pub mod material;
pub mod measure;
mod merge;
mod notebook;
pub mod observation;
pub mod outline;
pub mod panel;
pub mod panel_file;
pub mod photo;
pub mod plan;
mod problem;
mod progress;
pub mod record;
pub mod request;
pub mod sampling;
pub mod season;
mod settings;
pub mod standing;
mod surroundings;
pub mod temperature;
pub mod today;
mod turns;

pub use command::{CommandInfo, Nothing, call, call_watched, commands, type_declarations};
pub use measure::Measure;
pub use notebook::{KeptBytes, KeptFile, Notebook, NotebookStatus, UndoEntry, default_folder};
pub use problem::{Code, Problem};
pub use progress::{Part, Progress, Step, Stopwatch, Unwatched, Watch};
pub use surroundings::{FixedSurroundings, RealSurroundings, Surroundings, local_day};
