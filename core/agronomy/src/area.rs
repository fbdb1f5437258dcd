//! The plan area of a zone: from its outline, from simple shapes, from offsets to a base line, or
//! from satellite positions.
//!
//! Everything is in metres on a plane; `geographic` brings positions to one.
//! This module does not own where cores go (`sampling::points`) nor map files.

pub mod geographic;
pub mod offsets;
pub mod outline;
pub mod shapes;

pub use geographic::{GeoPoint, LocalFrame};
pub use offsets::{Offset, OffsetArea, offset_area};
pub use outline::{Outline, Point, Ring, outline_area};
pub use shapes::{Part, Shape, parts_area, shape_area};
