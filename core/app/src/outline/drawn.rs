//! A zone's shape as it is drawn by hand: its corners on the plan, the length of each side, the
//! area, and the outline that the record keeps.

use serde::{Deserialize, Serialize};
use swardbook_agronomy::area::{LocalFrame, Outline as PlanOutline, Point, Ring, outline_area};
use swardbook_journal::records::Zone;
use swardbook_units::Id;
use ts_rs::TS;

use crate::{
    Notebook, Problem,
    sampling::{ZonePlan, zone_outline},
};

/// A place on the plan, in metres.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
pub struct PlanSpot {
    /// To the east.
    pub east: f64,
    /// To the north.
    pub north: f64,
}

/// Which zone's shape to look at.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct OutlineRequest {
    /// Id, name, or `property / zone`.
    pub zone: String,
    /// Corners as they are drawn, in the order one walks them; what the record says when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<Vec<PlanSpot>>")]
    pub corners: Option<Vec<PlanSpot>>,
}

/// Another zone of the property, to draw beside.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct Neighbour {
    /// Its name.
    pub name: String,
    /// Its outer line.
    pub corners: Vec<PlanSpot>,
}

/// A zone's shape as it is drawn.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct OutlineView {
    /// The zone.
    pub zone: String,
    /// Its name.
    pub name: String,
    /// The corners, in metres on the plan.
    pub corners: Vec<PlanSpot>,
    /// Metres from each corner to the next; the last leads back to the first where there are three
    /// corners or more.
    pub sides: Vec<f64>,
    /// Area, m2, beds taken off; none while it is no shape.
    pub area_m2: Option<f64>,
    /// Why it is no shape yet, and what to do; empty where it is one.
    pub problem: String,
    /// The outline as the zone's record keeps it; empty while it is no shape.
    pub outline: String,
    /// Lines cut out of it, which drawing leaves as they are.
    pub holes: Vec<Vec<PlanSpot>>,
    /// The zone's area as it was measured, m2, which counts before the shape's.
    pub measured_m2: Option<f64>,
    /// Other zones of the property that have a shape; only where no corners were given.
    pub others: Vec<Neighbour>,
}

impl Notebook {
    /// A zone's shape: as its record says, or as it would be with these corners.
    ///
    /// # Errors
    /// [`Problem`] when there is no such zone, or when its stored outline cannot be read.
    pub fn zone_shape_drawn(&mut self, request: &OutlineRequest) -> Result<OutlineView, Problem> {
        let id = self.find_zone("zone", &request.zone)?;
        let (property, zone) = self.typed::<Zone>("zone", &id.to_string())?;
        let known = zone_outline(&zone)?;
        let others = match &request.corners {
            Some(_) => Vec::new(),
            None => self.neighbours(property.id, id, known.as_ref())?,
        };
        let holes = known.as_ref().map_or_else(Vec::new, |plan| plan.outline.holes().to_vec());
        let corners: Vec<Point> = match &request.corners {
            Some(corners) => corners.iter().map(|c| Point::new(c.east, c.north)).collect(),
            None => {
                known.as_ref().map_or_else(Vec::new, |plan| plan.outline.outer().corners().to_vec())
            }
        };
        let shape = shape(&corners, &holes);
        let (area_m2, outline, problem) = match shape {
            Ok((outline, area)) => {
                let frame = known.as_ref().and_then(|plan| plan.frame);
                (Some(area), written(&outline, frame), String::new())
            }
            Err(problem) => (None, String::new(), problem),
        };
        Ok(OutlineView {
            zone: id.to_string(),
            name: zone.name,
            sides: sides(&corners),
            corners: corners.into_iter().map(spot).collect(),
            area_m2,
            problem,
            outline,
            holes: holes.iter().map(spots).collect(),
            measured_m2: zone.area_m2,
            others,
        })
    }

    /// Shapes of the property's other zones, on the plane of this one.
    fn neighbours(
        &mut self,
        property: Id,
        zone: Id,
        own: Option<&ZonePlan>,
    ) -> Result<Vec<Neighbour>, Problem> {
        let mut plane = own.and_then(|plan| plan.frame);
        let mut others = Vec::new();
        for row in self.zone_rows(Some(property))? {
            if row.id == zone.to_string() {
                continue;
            }
            let (_, record) = self.typed::<Zone>("zone", &row.id)?;
            // A neighbour that cannot be read is no reason not to draw this zone; it is told there.
            let Ok(Some(plan)) = zone_outline(&record) else { continue };
            let shift = match &plan.frame {
                Some(frame) => plane.get_or_insert(*frame).project(frame.origin()),
                None => Point::new(0.0, 0.0),
            };
            let corners = plan.outline.outer().corners().iter();
            let corners = corners.map(|p| spot(Point::new(p.x + shift.x, p.y + shift.y))).collect();
            others.push(Neighbour { name: row.name, corners });
        }
        Ok(others)
    }
}

fn spot(point: Point) -> PlanSpot {
    PlanSpot { east: point.x, north: point.y }
}

fn spots(ring: &Ring) -> Vec<PlanSpot> {
    ring.corners().iter().copied().map(spot).collect()
}

/// Metres from each corner to the next.
fn sides(corners: &[Point]) -> Vec<f64> {
    let count = if corners.len() < 3 { corners.len().saturating_sub(1) } else { corners.len() };
    let next = |at: usize| corners[(at + 1) % corners.len()];
    (0..count).map(|at| corners[at].distance(next(at))).collect()
}

/// The shape with its area, or why there is none.
fn shape(corners: &[Point], holes: &[Ring]) -> Result<(PlanOutline, f64), String> {
    if corners.len() < 3 {
        return Err(match corners.len() {
            0 => "place the first corner".to_owned(),
            1 => "place two corners more".to_owned(),
            _ => "place one corner more".to_owned(),
        });
    }
    let outer = Ring::new(corners).map_err(|error| error.to_string())?;
    let outline =
        PlanOutline::with_holes(outer, holes.to_vec()).map_err(|error| error.to_string())?;
    let area = outline_area(&outline).map_err(|error| error.to_string())?.value.value();
    Ok((outline, area))
}

/// The outline as records keep it: metres, or positions where it was by positions before.
fn written(outline: &PlanOutline, frame: Option<LocalFrame>) -> String {
    let corner = |p: &Point| match frame {
        // Millimetres: finer than anyone measures turf.
        None => format!("{},{}", rounded(p.x, 1e3), rounded(p.y, 1e3)),
        Some(frame) => {
            let position = frame.position(*p);
            // A degree is about 111 km, so that nine digits are a tenth of a millimetre.
            let latitude = rounded(position.latitude, 1e9);
            let longitude = rounded(position.longitude, 1e9);
            format!("{latitude},{longitude}")
        }
    };
    let ring = |ring: &Ring| ring.corners().iter().map(corner).collect::<Vec<_>>().join(" ");
    let rings: Vec<String> = outline.rings().map(ring).collect();
    let word = if frame.is_some() { "wgs84" } else { "metres" };
    format!("{word} {}", rings.join("; "))
}

/// To so many parts of one, and no minus before a nought.
fn rounded(value: f64, parts: f64) -> f64 {
    (value * parts).round() / parts + 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(corners: &[(f64, f64)]) -> Vec<Point> {
        corners.iter().map(|(x, y)| Point::new(*x, *y)).collect()
    }

    #[test]
    fn sides_and_area_of_a_right_triangle_are_those_of_euclid() {
        // Elements I.47: the sides 3, 4 and 5; half of 3 times 4.
        let corners = points(&[(0.0, 0.0), (3.0, 0.0), (0.0, 4.0)]);
        assert_eq!(sides(&corners), [3.0, 5.0, 4.0]);
        let (_, area) = shape(&corners, &[]).expect("a triangle");
        assert!((area - 6.0).abs() < 1e-12, "{area}");
    }

    #[test]
    fn what_is_no_shape_yet_says_what_to_do() {
        assert!(sides(&[]).is_empty());
        assert!(sides(&points(&[(1.0, 1.0)])).is_empty());
        assert_eq!(sides(&points(&[(0.0, 0.0), (0.0, 2.0)])), [2.0]);
        for count in 0..3 {
            let few = shape(&points(&[(0.0, 0.0), (0.0, 2.0)])[..count.min(2)], &[]);
            assert!(few.expect_err("no shape").starts_with("place"), "{count}");
        }
        let bow = points(&[(0.0, 0.0), (2.0, 2.0), (2.0, 0.0), (0.0, 2.0)]);
        let crossed = shape(&bow, &[]).expect_err("it crosses itself");
        assert!(crossed.contains("cross") && crossed.contains("put the corners"), "{crossed}");
    }

    #[test]
    fn what_is_written_is_read_again_as_the_same_shape() {
        let corners = points(&[(-0.0001, 0.0), (12.5, 0.0), (12.5, 15.25), (0.0, 15.25)]);
        let hole = Ring::new(&points(&[(2.0, 2.0), (4.0, 2.0), (4.0, 4.0)])).expect("a bed");
        let (outline, area) = shape(&corners, &[hole]).expect("a shape");
        let frame = LocalFrame::at(swardbook_agronomy::area::GeoPoint {
            latitude: -33.5,
            longitude: 151.25,
        })
        .expect("a place");
        for frame in [None, Some(frame)] {
            let text = written(&outline, frame);
            let zone = Zone { outline: text.clone(), ..Zone::default() };
            let read = zone_outline(&zone).expect("it can be read").expect("there is one");
            let off = (read.area.value - area).abs();
            // The plane is laid anew at the mean latitude, a few metres off.
            assert!(off < 2e-3, "{text}: {} for {area}", read.area.value);
            assert_eq!(read.outline.holes().len(), 1, "{text}");
        }
        assert!(written(&outline, None).starts_with("metres 0,0 12.5,0 "), "no minus nought");
    }
}
