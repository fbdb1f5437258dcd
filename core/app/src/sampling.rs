//! Taking a sample: when the ground is clear, how many cores, where, and what the bag weighs.

mod bag;
mod points;
mod window;

pub(crate) use bag::USUAL_DENSITY;
pub use bag::{CoreView, SampleRef, SampleView};
pub use points::{PointView, SamplePlanRequest, SamplePlanView};
pub(crate) use points::{USUAL_DEPTH_MM, ZonePlan, zone_outline};
pub(crate) use window::Clear;
pub use window::{CalendarView, WaitView, WindowRequest, WindowView};
