//! The plan drawing of a property or of one zone with its cores.

use serde::Deserialize;
use swardbook_agronomy::area::{LocalFrame, Outline, Point, Ring};
use swardbook_journal::records::Zone;
use swardbook_report::plan_drawing::{
    CoreFate, CorePoint, Extent, PlanRows, Spot, ZoneShape, draw,
};
use swardbook_units::Id;
use ts_rs::TS;

use super::{FigureLook, FigureView, ask::raised};
use crate::{Notebook, Problem, sampling::zone_outline};

/// What to draw.
#[derive(Debug, Clone, Default, Deserialize, TS)]
pub struct PlanFigureRequest {
    /// A property: all its zones.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub property: Option<String>,
    /// A zone by itself.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub zone: Option<String>,
    /// A sample: its zone with its cores.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub sample: Option<String>,
    /// Width and theme.
    #[serde(flatten)]
    pub look: FigureLook,
}

impl Notebook {
    /// Draws the plan of a property, a zone or a sample.
    ///
    /// # Errors
    /// [`Problem`] when nothing is named, or nothing about its shape is known.
    pub fn plan_figure(&mut self, request: &PlanFigureRequest) -> Result<FigureView, Problem> {
        let mut rows = PlanRows {
            title: String::new(),
            up_bearing: Some(0.0),
            zones: Vec::new(),
            strips: Vec::new(),
            cores: Vec::new(),
            photos: Vec::new(),
        };
        match (&request.sample, &request.zone, &request.property) {
            (Some(sample), ..) => {
                let view = self.sample(sample)?;
                let (document, _) = self.entry("sample", sample)?;
                rows.title = format!("Cores of {}", view.zone_name);
                rows.zones.extend(self.zone_shape(document.id, &mut None)?);
                rows.cores = view
                    .cores
                    .iter()
                    .filter_map(|core| {
                        Some(CorePoint {
                            id: core.id.clone(),
                            label: core.number.map_or_else(String::new, |n| n.to_string()),
                            at: Spot { east: core.east?, north: core.north? },
                            fate: if core.set_aside {
                                CoreFate::SetAside { reason: core.reason.clone() }
                            } else {
                                CoreFate::Kept
                            },
                        })
                    })
                    .collect();
            }
            (None, Some(zone), _) => {
                let id = self.find_zone("zone", zone)?;
                let row = self.zone_row(id)?.expect("found by its row");
                rows.title = row.name;
                rows.zones.extend(self.zone_shape(id, &mut None)?);
            }
            (None, None, Some(property)) => {
                let id = self.find_property("property", property)?;
                rows.title = self.property_row(id)?.map_or_else(String::new, |row| row.name);
                let mut plane = None;
                for zone in self.zone_rows(Some(id))? {
                    if let Ok(zone) = zone.id.parse() {
                        rows.zones.extend(self.zone_shape(zone, &mut plane)?);
                    }
                }
            }
            _ => return Err(Problem::missing("property", "name a property, zone or sample")),
        }
        if rows.zones.is_empty() && rows.cores.is_empty() {
            return Err(Problem::refused(
                "nothing is known yet of the shape or area: enter an area or an outline",
            )
            .at("area"));
        }
        let look = self.look("plan", &request.look)?;
        Ok(draw(&rows, &look)?.into())
    }

    /// A zone's shape; zones by positions are brought to the plane of the first of them.
    fn zone_shape(
        &mut self,
        id: Id,
        plane: &mut Option<LocalFrame>,
    ) -> Result<Option<ZoneShape>, Problem> {
        let (_, zone) = self.typed::<Zone>("zone", &id.to_string())?;
        let plan = zone_outline(&zone)?;
        let area = zone.area_m2.or_else(|| plan.as_ref().map(|plan| plan.area.value));
        let extent = match (plan, area) {
            (Some(plan), _) => {
                let shift = match &plan.frame {
                    Some(frame) => {
                        let first = plane.get_or_insert_with(|| *frame);
                        first.project(frame.origin())
                    }
                    None => Point::new(0.0, 0.0),
                };
                outline_extent(&plan.outline, shift)
            }
            (None, Some(square_metres)) => Extent::Area { square_metres },
            (None, None) => return Ok(None),
        };
        let measure = self.measure()?;
        let area = area.map_or_else(String::new, |area| raised(&measure.say(area, "m2", 4)));
        let parts = [area, zone.grass_words];
        Ok(Some(ZoneShape {
            id: id.to_string(),
            name: zone.name,
            detail: parts
                .iter()
                .filter(|part| !part.is_empty())
                .cloned()
                .collect::<Vec<_>>()
                .join(", "),
            extent,
        }))
    }
}

fn outline_extent(outline: &Outline, shift: Point) -> Extent {
    let spots = |ring: &Ring| {
        ring.corners()
            .iter()
            .map(|&Point { x, y }| Spot { east: x + shift.x, north: y + shift.y })
            .collect()
    };
    Extent::Outline {
        outer: spots(outline.outer()),
        holes: outline.holes().iter().map(spots).collect(),
    }
}
