//! Two and more devices exchange their documents: whole schedules, costs, versions, and the stock
//! protocol as the oracle.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
#![allow(clippy::print_stdout, reason = "the figures of a cost are told")]

mod chance;
mod cost;
mod device;
mod oracle;
mod pair;
mod schedule;
mod simulation;
mod versions;
