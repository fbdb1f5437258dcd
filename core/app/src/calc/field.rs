//! In the field: when to sample, how many cores, how much soil, how large the ground is, how salty.

mod area;
mod bag;
mod salinity;
mod window;

pub(super) use area::AREA;
pub(super) use bag::{COMPOSITE_MASS, CORE_COUNT};
pub(super) use salinity::SALINITY;
pub(super) use window::SAMPLING_WINDOW;
