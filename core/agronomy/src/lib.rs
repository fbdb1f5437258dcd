//! Soil, nutrient, sampling and material arithmetic with its published tables.
//!
//! Every public calculation returns its value with its working, or says what was wrong with which
//! argument.
//! This crate does not own records of a notebook, files, clocks or the rounding of shown numbers.

pub mod acidity;
pub mod analyte;
pub mod area;
pub mod availability;
pub mod calcium_source;
pub mod cations;
pub mod comparison;
pub mod elements;
mod error;
pub mod expected_change;
pub mod growth;
pub mod guideline;
pub mod gypsum;
pub mod interpret;
pub mod lime;
pub mod materials;
pub mod need;
pub mod neutralising_value;
pub mod organic;
pub mod panel_check;
pub mod purchase;
pub mod reading;
pub mod salinity;
pub mod sampling;
pub mod sodicity;
mod sources;
pub mod split;
pub mod spread;
pub mod sulfur;
pub mod texture;
pub mod trial;

pub use error::AgronomyError;
pub use sources::{find_source, source, source_keys};
