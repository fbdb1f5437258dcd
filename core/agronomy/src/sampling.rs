//! When to sample, how many cores, how much soil, and where to put the tool in the ground.
//!
//! It does not own the scatter of readings (`spread`), the statistics behind a number of cores
//! (`swardbook-stats`), nor which day it is: every day is given.

pub mod calendar;
pub mod clear_date;
pub mod composite_mass;
pub mod cores;
mod draw;
pub mod ground;
pub mod points;
pub mod season;
pub mod strata;
mod walk;
