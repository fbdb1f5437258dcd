//! The plan drawing: zones, strips, core points and photo spots in local metres, with a north arrow
//! and a scale bar.
//!
//! A zone of which only the area is known is drawn as a block of that size, and says so.

mod ground;
mod labels;
mod paint;
mod surroundings;
mod table;

use crate::figure::{Figure, FigureError, finite};
use crate::look::Look;
pub use crate::season::Track;

/// What a plan drawing is made from.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanRows {
    /// The figure's name: "Kettle Bend, own ground".
    pub title: String,
    /// The bearing that points up on the drawing, in degrees clockwise from north; `None` when
    /// north is not known, and then no arrow is drawn.
    pub up_bearing: Option<f64>,
    /// The zones.
    pub zones: Vec<ZoneShape>,
    /// The strips of trials.
    pub strips: Vec<StripShape>,
    /// Core points.
    pub cores: Vec<CorePoint>,
    /// Photo spots.
    pub photos: Vec<PhotoSpot>,
}

/// A point on the ground, in metres from any fixed corner of the property.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Metres to the east.
    pub east: f64,
    /// Metres to the north.
    pub north: f64,
}

/// One zone.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneShape {
    /// The record it came from, or nothing.
    pub id: String,
    /// Its name.
    pub name: String,
    /// A line under the name: "184 m2, couch".
    pub detail: String,
    /// How much is known of its shape.
    pub extent: Extent,
}

/// How much is known of a zone's shape.
#[derive(Debug, Clone, PartialEq)]
pub enum Extent {
    /// Its outline.
    Outline {
        /// The corners, in order either way round, three or more.
        outer: Vec<Spot>,
        /// What is left out inside: beds, paving.
        holes: Vec<Vec<Spot>>,
    },
    /// Its area alone.
    Area {
        /// In square metres.
        square_metres: f64,
    },
}

/// One strip of a trial.
#[derive(Debug, Clone, PartialEq)]
pub struct StripShape {
    /// The record it came from, or nothing.
    pub id: String,
    /// Its name: "strip 1".
    pub name: String,
    /// Its role.
    pub role: Track,
    /// Its corners, three or more.
    pub outline: Vec<Spot>,
}

/// One core point.
#[derive(Debug, Clone, PartialEq)]
pub struct CorePoint {
    /// The record it came from, or nothing.
    pub id: String,
    /// Its number: "3".
    pub label: String,
    /// Where it is.
    pub at: Spot,
    /// What became of it.
    pub fate: CoreFate,
}

/// What became of a core.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CoreFate {
    /// Not pulled yet: an open circle.
    Planned,
    /// Pulled and kept: a filled circle.
    Kept,
    /// Pulled and set aside: a cross.
    SetAside {
        /// Why.
        reason: String,
    },
}

/// One photo spot.
#[derive(Debug, Clone, PartialEq)]
pub struct PhotoSpot {
    /// The record it came from, or nothing.
    pub id: String,
    /// A word beside it.
    pub label: String,
    /// Where the camera stands.
    pub at: Spot,
    /// The bearing it looks towards, in degrees clockwise from north, if known.
    pub facing: Option<f64>,
}

/// Draws the plan.
///
/// # Errors
/// When nothing is given; when a number is not finite; when a coordinate lies more than 100 km off
/// the corner it is measured from; when an outline has fewer than three corners; when an area is not
/// above zero and below 10 000 km2.
pub fn draw(rows: &PlanRows, look: &Look) -> Result<Figure, FigureError> {
    check(rows)?;
    let table = table::table(rows, &look.words);
    let description = table::description(rows, &look.words);
    Ok(paint::paint(rows, look, &description, table))
}

fn check(rows: &PlanRows) -> Result<(), FigureError> {
    let is_empty = rows.zones.is_empty()
        && rows.strips.is_empty()
        && rows.cores.is_empty()
        && rows.photos.is_empty();
    if is_empty {
        return Err(FigureError::Missing("a zone, strip, core or photo spot"));
    }
    if let Some(bearing) = rows.up_bearing {
        finite(bearing, &rows.title, "bearing")?;
    }
    for zone in &rows.zones {
        match &zone.extent {
            Extent::Outline { outer, holes } => {
                for ring in std::iter::once(outer).chain(holes) {
                    check_ring(ring, &zone.name)?;
                }
            }
            Extent::Area { square_metres } => {
                let area = finite(*square_metres, &zone.name, "area")?;
                if area <= 0.0 || area > 1e10 {
                    let must_be = "above zero and below 10 000 km2";
                    return Err(out_of_range(&zone.name, "area", must_be));
                }
            }
        }
    }
    for strip in &rows.strips {
        check_ring(&strip.outline, &strip.name)?;
    }
    for core in &rows.cores {
        check_spot(core.at, &core.label)?;
    }
    for photo in &rows.photos {
        check_spot(photo.at, &photo.label)?;
        if let Some(bearing) = photo.facing {
            finite(bearing, &photo.label, "bearing")?;
        }
    }
    Ok(())
}

fn check_ring(ring: &[Spot], name: &str) -> Result<(), FigureError> {
    if ring.len() < 3 {
        return Err(out_of_range(name, "outline", "of three corners or more"));
    }
    ring.iter().try_for_each(|spot| check_spot(*spot, name))
}

fn check_spot(spot: Spot, name: &str) -> Result<(), FigureError> {
    const FARTHEST: f64 = 1e5;
    for metres in [spot.east, spot.north] {
        if finite(metres, name, "coordinate")?.abs() > FARTHEST {
            let must_be = "within 100 km of the corner it is measured from";
            return Err(out_of_range(name, "coordinate", must_be));
        }
    }
    Ok(())
}

fn out_of_range(row: &str, field: &'static str, must_be: &'static str) -> FigureError {
    FigureError::OutOfRange { row: row.to_owned(), field, must_be }
}
