//! Satellite positions brought to a plane in metres, and back.
//!
//! It does not own map files: a position is two numbers in degrees.

use swardbook_units::{Area, Worked, Working};

use super::{Outline, Point, Ring, outline_area};
use crate::{AgronomyError, error::within, source};

/// A position on the earth, WGS 84.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GeoPoint {
    /// Degrees north; negative in the south.
    pub latitude: f64,
    /// Degrees east; negative in the west.
    pub longitude: f64,
}

/// Equatorial radius, m.
///
/// # Source `wgs84-ellipsoid`.
const EQUATORIAL_RADIUS: f64 = 6_378_137.0;
/// Flattening.
///
/// # Source `wgs84-ellipsoid`.
const FLATTENING: f64 = 1.0 / 298.257_223_563;
/// Metres beyond which a plane is no longer taken for the ground.
const WIDEST: f64 = 10_000.0;

const OPERATION: &str = "area of an outline by positions";

/// A plane that touches the earth at one place; metres to the east and north of it.
///
/// # Source `wgs84-ellipsoid`: meridian radius a (1 - e^2) / (1 - e^2 sin^2)^1.5 and prime-vertical
/// radius a / sqrt(1 - e^2 sin^2) at the place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LocalFrame {
    origin: GeoPoint,
    metres_per_degree_east: f64,
    metres_per_degree_north: f64,
}

impl LocalFrame {
    /// The plane at a place.
    ///
    /// # Errors `Argument` for a latitude beyond 89 degrees either way or a longitude that is not -180
    ///   to 180.
    pub fn at(origin: GeoPoint) -> Result<Self, AgronomyError> {
        let latitude = within(OPERATION, "latitude", origin.latitude, "degrees", -89.0, 89.0)?;
        within(OPERATION, "longitude", origin.longitude, "degrees", -180.0, 180.0)?;
        let e2 = FLATTENING * (2.0 - FLATTENING);
        let (sine, cosine) = latitude.to_radians().sin_cos();
        let w2 = 1.0 - e2 * sine * sine;
        let meridian = EQUATORIAL_RADIUS * (1.0 - e2) / (w2 * w2.sqrt());
        let prime_vertical = EQUATORIAL_RADIUS / w2.sqrt();
        Ok(Self {
            origin,
            metres_per_degree_east: (prime_vertical * cosine).to_radians(),
            metres_per_degree_north: meridian.to_radians(),
        })
    }

    /// The plane for an outline: at the mean latitude of its corners and the longitude of its first.
    ///
    /// # Errors As [`LocalFrame::at`]; `Missing` without a corner, `Refused` when a corner lies more
    ///   than ten kilometres off.
    pub fn for_outline(corners: &[GeoPoint]) -> Result<Self, AgronomyError> {
        let Some(first) = corners.first() else {
            return Err(AgronomyError::Missing {
                operation: OPERATION,
                argument: "outline",
                remedy: "give three corners or more",
            });
        };
        for corner in corners {
            within(OPERATION, "latitude", corner.latitude, "degrees", -89.0, 89.0)?;
            within(OPERATION, "longitude", corner.longitude, "degrees", -180.0, 180.0)?;
        }
        let latitude =
            corners.iter().map(|corner| corner.latitude).sum::<f64>() / corners.len() as f64;
        let frame = Self::at(GeoPoint { latitude, longitude: first.longitude })?;
        for corner in corners {
            let p = frame.project(*corner);
            let off = p.x.hypot(p.y);
            if off > WIDEST {
                return Err(AgronomyError::Refused {
                    operation: OPERATION,
                    argument: "outline",
                    why: format!(
                        "a corner lies {:.1} km from the others; a zone is at most 10 km across, so \
                         a coordinate may be swapped or mistyped",
                        off / 1000.0
                    ),
                });
            }
        }
        Ok(frame)
    }

    /// Where the plane touches.
    #[must_use]
    pub const fn origin(&self) -> GeoPoint {
        self.origin
    }

    /// Metres in one degree to the east and to the north.
    #[must_use]
    pub const fn metres_per_degree(&self) -> (f64, f64) {
        (self.metres_per_degree_east, self.metres_per_degree_north)
    }

    /// A position on the plane; the short way round where the longitudes run over 180 degrees.
    #[must_use]
    pub fn project(&self, position: GeoPoint) -> Point {
        let east = position.longitude - self.origin.longitude;
        let east = (east + 180.0).rem_euclid(360.0) - 180.0;
        let north = position.latitude - self.origin.latitude;
        Point::new(east * self.metres_per_degree_east, north * self.metres_per_degree_north)
    }

    /// The position of a place on the plane.
    #[must_use]
    pub fn position(&self, place: Point) -> GeoPoint {
        let longitude = self.origin.longitude + place.x / self.metres_per_degree_east;
        GeoPoint {
            latitude: self.origin.latitude + place.y / self.metres_per_degree_north,
            longitude: (longitude + 180.0).rem_euclid(360.0) - 180.0,
        }
    }

    /// A ring of positions on the plane.
    ///
    /// # Errors As [`Ring::new`].
    pub fn ring(&self, corners: &[GeoPoint]) -> Result<Ring, AgronomyError> {
        let corners: Vec<Point> = corners.iter().map(|corner| self.project(*corner)).collect();
        Ring::new(&corners)
    }
}

/// An outline by positions: its plane, its outline on it and its area.
#[derive(Debug, Clone, PartialEq)]
pub struct LocalOutline {
    /// The plane.
    pub frame: LocalFrame,
    /// The outline in metres.
    pub outline: Outline,
    /// Its area.
    pub area: Area,
}

/// Area of an outline given by positions, with holes.
///
/// # Units  degrees in, m2 out.
/// # Errors As [`LocalFrame::for_outline`], [`Ring::new`] and [`Outline::with_holes`].
/// # Source `wgs84-ellipsoid` for the plane; within 2e-7 of `karney-2013` for zones up to 1600 m2.
pub fn geographic_area(
    outer: &[GeoPoint],
    holes: &[Vec<GeoPoint>],
) -> Result<Worked<LocalOutline>, AgronomyError> {
    let frame = LocalFrame::for_outline(outer)?;
    let holes = holes.iter().map(|hole| frame.ring(hole)).collect::<Result<_, _>>()?;
    let outline = Outline::with_holes(frame.ring(outer)?, holes)?;
    let area = outline_area(&outline)?;
    let plane =
        Working::new("x = N cos(latitude) x change of longitude, y = M x change of latitude")
            .given("Latitude of the plane", frame.origin.latitude, "degrees")
            .step(
                "one degree to the east",
                "N cos(latitude) x pi / 180".to_owned(),
                frame.metres_per_degree_east,
                "m",
            )
            .step(
                "one degree to the north",
                "M x pi / 180".to_owned(),
                frame.metres_per_degree_north,
                "m",
            )
            .source(source("wgs84-ellipsoid"));
    let working = area.working.after(&plane).source(source("karney-2013")).caution(
        "A satellite fix is metres out: on a small zone that is far more than the method; a tape \
             is better below a few hundred square metres.",
    );
    Ok(Worked::new(LocalOutline { frame, outline, area: area.value }, working))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_and_back_even_over_the_date_line() {
        for (latitude, longitude) in [(51.5, -0.12), (-37.81, 144.96), (-17.0, 179.9999)] {
            let frame = LocalFrame::at(GeoPoint { latitude, longitude }).unwrap();
            for (x, y) in [(0.0, 0.0), (30.0, -12.0), (-25.0, 40.0)] {
                let there = frame.position(Point::new(x, y));
                assert!((-180.0..=180.0).contains(&there.longitude), "{there:?}");
                let back = frame.project(there);
                assert!(back.distance(Point::new(x, y)) < 1e-6, "{there:?}: {back:?}");
            }
        }
    }

    #[test]
    fn swapped_coordinates_and_far_corners_are_refused() {
        let argument = |corners: &[(f64, f64)]| {
            let corners: Vec<GeoPoint> = corners
                .iter()
                .map(|(latitude, longitude)| GeoPoint {
                    latitude: *latitude,
                    longitude: *longitude,
                })
                .collect();
            geographic_area(&corners, &[]).unwrap_err().argument()
        };
        assert_eq!(argument(&[(144.96, -37.81), (144.96, -37.82), (144.97, -37.8)]), "latitude");
        assert_eq!(argument(&[(0.0, 0.0), (0.0, 1.0), (1.0, 1.0), (1.0, 0.0)]), "outline", "wide");
        assert_eq!(argument(&[]), "outline", "none");
    }
}
