//! Our own colour chart: plain patches between markers, with their values stored beside them.
//!
//! A printer gives its own colours, so that two prints must not be mixed unless both were
//! measured: the same sheet goes along from visit to visit, or its patches are measured once and
//! the values typed in.

mod draw;
mod patches;
mod read;
pub(crate) mod sheet;

pub use draw::{draw, svg};
pub use patches::{PATCHES, Patch, PatchUse};
pub use read::{ChartReading, correct_by_chart, read_chart};
pub use sheet::{COLUMNS, ROWS, SHEET_HEIGHT, SHEET_WIDTH, Sheet};
