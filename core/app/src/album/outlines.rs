//! Points of a photo as text, as a measurement keeps them.

use swardbook_imaging::{
    frame::{Point, Region},
    homography::Corners,
};

use crate::Problem;

/// A point as it crosses to the shells: from the left and from the top, pixels of the upright
/// photo.
pub(super) type Place = (f64, f64);

pub(super) fn points(places: &[Place]) -> Vec<Point> {
    places.iter().map(|(x, y)| Point::new(*x, *y)).collect()
}

pub(super) fn places(points: &[Point]) -> Vec<Place> {
    points.iter().map(|point| (point.x, point.y)).collect()
}

/// Four corners as given.
pub(super) fn corners(places: &[Place]) -> Result<Corners, Problem> {
    let points: [Point; 4] = points(places).try_into().map_err(|_| {
        Problem::bad(
            "corners",
            format!(
                "there are {} corners; give four, clockwise from the card's upper left",
                places.len()
            ),
        )
    })?;
    Ok(Corners(points))
}

/// `x,y x,y ...`; the shortest digits that give the same numbers back.
pub(super) fn to_text(points: &[Point]) -> String {
    points.iter().map(|p| format!("{},{}", p.x, p.y)).collect::<Vec<_>>().join(" ")
}

/// Reads one outline.
///
/// # Errors
/// [`Problem`] naming the field and the pair.
pub(super) fn from_text(field: &str, text: &str) -> Result<Vec<Point>, Problem> {
    text.split_whitespace()
        .map(|pair| {
            let number = |part: &str| part.parse::<f64>().ok().filter(|n| n.is_finite());
            pair.split_once(',')
                .and_then(|(x, y)| Some(Point::new(number(x)?, number(y)?)))
                .ok_or_else(|| {
                    Problem::bad(field, format!("{field}: \"{pair}\" is no pair such as 120,80"))
                })
        })
        .collect()
}

/// A region from what is kept of it.
pub(super) fn region(within: &str, without: &str) -> Result<Region, Problem> {
    let within = from_text("region", within)?;
    let without: Vec<Vec<Point>> = without
        .split(';')
        .filter(|part| !part.trim().is_empty())
        .map(|part| from_text("left_out", part))
        .collect::<Result<_, _>>()?;
    Ok(Region { within: (!within.is_empty()).then_some(within), without })
}

/// The outlines that are left out, as text.
pub(super) fn left_out_text(region: &Region) -> String {
    region.without.iter().map(|outline| to_text(outline)).collect::<Vec<_>>().join("; ")
}

/// Checks that an outline encloses something.
pub(super) fn checked(field: &str, places: &[Place]) -> Result<Vec<Point>, Problem> {
    if places.len() < 3 {
        return Err(Problem::bad(
            field,
            format!("{field} has {} points; an outline needs at least three", places.len()),
        ));
    }
    Ok(points(places))
}
