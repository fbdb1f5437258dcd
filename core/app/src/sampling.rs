//! Taking a sample: when the ground is clear, how many cores, where, and what the bag weighs.

mod bag;
mod points;
mod window;

pub use bag::{CoreView, SampleRef, SampleView};
pub(crate) use points::zone_outline;
pub use points::{PointView, SamplePlanRequest, SamplePlanView};
pub use window::{CalendarView, WaitView, WindowRequest, WindowView};
