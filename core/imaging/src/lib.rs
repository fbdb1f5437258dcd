//! Colour and cover of turf from the pixels of a photo.
//!
//! Pure numbers on slices of 8-bit pixels: correct them with a card of known colour, pick out the
//! green ones, and say how green and how much, with an uncertainty.
//! The order of averaging is fixed: each pixel by itself, then the mean.
//! This crate does not own decoders or files (the use cases do), records of a notebook, or any
//! judgement of what a colour means for the turf.
//! Names in backquotes after `Source` are keys of the table of sources in `swardbook-agronomy`.

pub mod alike;
pub mod chart;
mod chroma;
pub mod correction;
mod detail;
pub mod difference;
mod error;
pub mod find;
pub mod frame;
pub mod homography;
pub mod hsb;
pub mod lab;
mod lanes;
pub mod mask;
pub mod matrix;
pub mod measure;
mod pass;
mod pixel;
mod planes;
pub mod primaries;
pub mod quality;
pub mod side_by_side;
pub mod srgb;
mod tally;

pub use error::ImagingError;
