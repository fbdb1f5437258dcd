//! The outline of a zone as it is stored and typed.

mod drawn;

pub use drawn::{Neighbour, OutlineRequest, OutlineView, PlanSpot};

use crate::Problem;

/// In which frame the corners are given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Frame {
    /// Metres east and north of a corner of the zone's own.
    Metres,
    /// Latitude and longitude in degrees, WGS 84.
    Wgs84,
}

/// One corner: x and y in metres, or latitude and longitude in degrees.
pub(crate) type Corner = (f64, f64);

/// Rings of corners; the first ring is the outside, the others are cut out of it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Outline {
    /// The frame of every corner.
    pub(crate) frame: Frame,
    /// At least one ring, each of at least three corners.
    pub(crate) rings: Vec<Vec<Corner>>,
}

impl Outline {
    /// Reads `metres 0,0 12,0 12,15 0,15`, or `wgs84` with latitude,longitude pairs.
    ///
    /// # Errors
    /// [`Problem`] that says which corner cannot be read.
    pub(crate) fn parse(text: &str) -> Result<Self, Problem> {
        let text = text.trim();
        let (word, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
        let frame = match word {
            "metres" => Frame::Metres,
            "wgs84" => Frame::Wgs84,
            _ => {
                return Err(bad(format!(
                    "it begins with \"{word}\"; begin with `metres` or `wgs84`"
                )));
            }
        };
        let rings =
            rest.split(';').map(|ring| parse_ring(ring, frame)).collect::<Result<_, _>>()?;
        Ok(Self { frame, rings })
    }
}

fn bad(why: impl std::fmt::Display) -> Problem {
    Problem::bad("outline", format!("the outline cannot be read: {why}"))
}

fn parse_ring(text: &str, frame: Frame) -> Result<Vec<Corner>, Problem> {
    let mut corners = text.split_whitespace().map(parse_corner).collect::<Result<Vec<_>, _>>()?;
    if corners.len() > 1 && corners.first() == corners.last() {
        corners.pop();
    }
    if corners.len() < 3 {
        return Err(bad(format!("a ring has {} corners; it needs at least three", corners.len())));
    }
    if frame == Frame::Wgs84
        && let Some((latitude, longitude)) =
            corners.iter().find(|(lat, lon)| lat.abs() > 90.0 || lon.abs() > 180.0)
    {
        return Err(bad(format!(
            "{latitude},{longitude} is no place on Earth; give latitude first, then longitude"
        )));
    }
    Ok(corners)
}

fn parse_corner(text: &str) -> Result<Corner, Problem> {
    let (x, y) =
        text.split_once(',').ok_or_else(|| bad(format!("\"{text}\" is no pair such as 12.5,3")))?;
    let number = |part: &str| {
        part.parse::<f64>()
            .ok()
            .filter(|n| n.is_finite())
            .ok_or_else(|| bad(format!("\"{part}\" in \"{text}\" is no number")))
    };
    Ok((number(x)?, number(y)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_outline_is_read_ring_by_ring() {
        let outline = Outline::parse("metres 0,0 12,0 12,15 0,15 0,0; 2,2 4,2 4,4").unwrap();
        assert_eq!(outline.rings.len(), 2, "one inside the other");
        assert_eq!(outline.rings[0].len(), 4, "the closing corner is not kept twice");
    }

    #[test]
    fn what_cannot_be_read_is_named() {
        for (text, word) in [
            ("yards 0,0 1,1 2,2", "yards"),
            ("metres 0,0 1,1", "three"),
            ("metres 0,0 1;1 2,2", "no pair"),
            ("metres 0,0 1,x 2,2", "\"x\""),
            ("wgs84 151,-33 151,-34 152,-33", "latitude first"),
        ] {
            let problem = Outline::parse(text).unwrap_err();
            assert_eq!(problem.field.as_deref(), Some("outline"), "{text}");
            assert!(problem.message.contains(word), "{text}: {}", problem.message);
        }
    }
}
