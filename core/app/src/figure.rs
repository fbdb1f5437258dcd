//! Figures of the notebook's records as SVG.
//!
//! What they look like is `swardbook-report`'s; here records become its rows.

mod ask;
mod intervals;
mod photos;
mod plan_drawing;
mod season;

pub use ask::{FigureLook, FigureTable, FigureView};
pub use intervals::{IntervalsFigureRequest, StandingFigureRequest};
pub use photos::PhotosFigureRequest;
pub use plan_drawing::PlanFigureRequest;
pub use season::SeasonFigureRequest;
