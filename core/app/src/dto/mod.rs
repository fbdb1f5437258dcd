//! What crosses to the shells: plain data, the same for the command line and the window.
//!
//! Ids and hashes are strings, dates are `year-month-day` strings, quantities carry their unit,
//! and there are no 64-bit integers.

pub mod working;

pub use working::{QuantityDto, SourceDto, StepDto, WorkingDto, WorkingInputDto};
