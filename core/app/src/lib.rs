//! The use cases of Swardbook: everything a shell may ask of it.
//!
//! This is the only crate that reads a clock, draws random bytes, and knows both the records and
//! the arithmetic.
//! It does not own argument parsing, screens or windows.

pub mod calc;
pub mod dto;
pub mod panel_file;
pub mod photo;
mod problem;
mod surroundings;

pub use problem::{Code, Problem};
pub use surroundings::{FixedSurroundings, RealSurroundings, Surroundings, local_day};
