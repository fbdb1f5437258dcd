//! How many cores, and where.

use serde::{Deserialize, Serialize};
use swardbook_agronomy::{
    analyte::analyte,
    area::{
        GeoPoint, Outline as PlanOutline, Point, Ring, geographic::geographic_area, outline_area,
    },
    sampling::{
        composite_mass::{Ask, CoreSize, composite_mass},
        cores::{cores_for_margin, default_core_scatter},
        ground::Ground,
        points::{Design, PointsQuestion, sample_points},
    },
};
use swardbook_journal::records::{Laboratory, Zone};
use swardbook_units::{BulkDensity, Depth, Mass, Worked};
use ts_rs::TS;

use crate::{
    Notebook, Problem,
    dto::{Amount, WorkingDto},
    outline::{Frame, Outline},
};

/// What a sample is planned for.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct SamplePlanRequest {
    /// The zone.
    pub zone: String,
    /// Cores; worked out from the margin when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<u32>")]
    pub cores: Option<u32>,
    /// The analyte whose margin decides the number of cores; `ph-water` when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub analyte: Option<String>,
    /// The margin wanted, in the unit of the analyte's scatter: pH units, or % of the reading.
    #[serde(default)]
    #[ts(optional, as = "Option<f64>")]
    pub margin: Option<f64>,
    /// How sure; 0.9 when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<f64>")]
    pub level: Option<f64>,
    /// Seed of the points; drawn when left out, and printed.
    #[serde(default)]
    #[ts(optional, as = "Option<u32>")]
    pub seed: Option<u32>,
    /// Distance kept from the edge, m; 1 when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<Amount>")]
    pub edge: Option<Amount>,
    /// Inside diameter of the tool, mm; 19 when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<Amount>")]
    pub tool_diameter: Option<Amount>,
    /// Depth of the cores, mm; the zone's root-zone depth when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<Amount>")]
    pub depth: Option<Amount>,
    /// The laboratory whose wanted mass counts.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub laboratory: Option<String>,
}

/// One place for a core.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct PointView {
    /// Number in the walk, from 1.
    pub number: u32,
    /// Metres east in the zone's own frame.
    pub east: f64,
    /// Metres north.
    pub north: f64,
    /// Where to core instead, metres east.
    pub spare_east: f64,
    /// Metres north.
    pub spare_north: f64,
    /// Latitude, where the outline is by positions.
    pub latitude: Option<f64>,
    /// Longitude.
    pub longitude: Option<f64>,
}

/// How many cores, where, and what they weigh.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct SamplePlanView {
    /// Cores.
    pub cores: u32,
    /// How the number came about; none where it was given.
    pub cores_working: Option<WorkingDto>,
    /// What the number of cores reaches, in words.
    pub reaches: String,
    /// Depth of the cores that was counted with, mm.
    pub depth_mm: f64,
    /// Mass of the composite, g.
    pub mass_g: f64,
    /// What the laboratory asks, g.
    pub wanted_g: f64,
    /// Cores that reach it.
    pub cores_to_reach: u32,
    /// How the mass came about.
    pub mass_working: WorkingDto,
    /// The places in walking order; empty without an outline.
    pub points: Vec<PointView>,
    /// Why there are no places.
    pub points_missing: String,
    /// The seed they follow from.
    pub seed: Option<u32>,
    /// Metres to walk.
    pub walk_m: Option<f64>,
    /// How the places came about.
    pub points_working: Option<WorkingDto>,
}

/// Margin for pH where nobody says another; common practice, no source.
const USUAL_PH_MARGIN: f64 = 0.2;
/// Margin for a concentration where nobody says another, %; common practice, no source.
const USUAL_MARGIN_PERCENT: f64 = 20.0;
/// A common soil probe, mm; common practice, no source.
const USUAL_TOOL_MM: f64 = 19.0;
/// Root zone of turf where the zone does not say, mm; common practice, no source.
pub(crate) const USUAL_DEPTH_MM: f64 = 100.0;
/// Water in moist soil as pulled, g for each g of dry soil; common practice, no source.
pub(super) const USUAL_WATER: f64 = 0.2;

impl Notebook {
    /// Plans a sample: number of cores, mass and places.
    ///
    /// # Errors
    /// [`Problem`] naming the field.
    pub fn plan_sample(&mut self, request: &SamplePlanRequest) -> Result<SamplePlanView, Problem> {
        let id = self.find_zone("zone", &request.zone)?;
        let (_, zone) = self.typed::<Zone>("zone", &id.to_string())?;
        let (cores, cores_working, reaches) = cores(request)?;
        let depth = match &request.depth {
            Some(depth) => depth.positive("depth", "mm")?,
            None => zone.root_zone_mm.unwrap_or(USUAL_DEPTH_MM),
        };
        let tool = match &request.tool_diameter {
            Some(tool) => tool.positive("tool_diameter", "mm")?,
            None => USUAL_TOOL_MM,
        };
        let ask = match &request.laboratory {
            Some(name) => {
                let id = self.find_record("laboratory", "laboratory", name, None)?;
                self.ask_of(&id)?
            }
            None => Ask::usual(),
        };
        let size = CoreSize {
            diameter_mm: tool,
            depth: Depth(depth),
            bulk_density: BulkDensity(zone.bulk_density.unwrap_or(super::bag::USUAL_DENSITY)),
            water: USUAL_WATER,
        };
        let composite = composite_mass(&size, cores, &ask)?;
        let mut view = SamplePlanView {
            cores,
            cores_working,
            reaches,
            depth_mm: depth,
            mass_g: composite.value.moist.value() * 1000.0,
            wanted_g: ask.mass.value() * 1000.0,
            cores_to_reach: composite.value.cores_to_reach,
            mass_working: WorkingDto::from(&composite.working),
            points: Vec::new(),
            points_missing: String::new(),
            seed: None,
            walk_m: None,
            points_working: None,
        };
        match zone_outline(&zone)? {
            None => {
                "give the zone an outline to have places drawn"
                    .clone_into(&mut view.points_missing);
            }
            Some(plan) => self.draw_points(request, &plan, cores, &mut view)?,
        }
        Ok(view)
    }

    pub(super) fn ask_of(&mut self, laboratory: &str) -> Result<Ask, Problem> {
        let (_, laboratory) = self.typed::<Laboratory>("laboratory", laboratory)?;
        Ok(laboratory.wanted_mass_g.map_or_else(Ask::usual, |g| Ask::given(Mass(g / 1000.0))))
    }

    fn draw_points(
        &mut self,
        request: &SamplePlanRequest,
        plan: &ZonePlan,
        cores: u32,
        view: &mut SamplePlanView,
    ) -> Result<(), Problem> {
        let edge = match &request.edge {
            Some(edge) => edge.within("edge", "m", 0.0, 1_000.0)?,
            None => 1.0,
        };
        let seed = request.seed.unwrap_or_else(|| self.draw_seed());
        let ground = Ground::new(plan.outline.clone(), edge)?;
        let question = PointsQuestion {
            design: Design::Stratified { per_stratum: 1 },
            cores: usize::try_from(cores).unwrap_or(usize::MAX),
            seed: u64::from(seed),
            start: plan.outline.outer().bounds().0,
        };
        let worked = sample_points(&ground, &question)?;
        view.points = worked
            .value
            .points
            .iter()
            .enumerate()
            .map(|(at, point)| {
                let position = plan.frame.as_ref().map(|frame| frame.position(point.place));
                PointView {
                    number: u32::try_from(at + 1).unwrap_or(u32::MAX),
                    east: point.place.x,
                    north: point.place.y,
                    spare_east: point.spare.x,
                    spare_north: point.spare.y,
                    latitude: position.map(|p| p.latitude),
                    longitude: position.map(|p| p.longitude),
                }
            })
            .collect();
        view.seed = Some(seed);
        view.walk_m = Some(worked.value.walk);
        view.points_working = Some(WorkingDto::from(&worked.working));
        Ok(())
    }
}

fn cores(request: &SamplePlanRequest) -> Result<(u32, Option<WorkingDto>, String), Problem> {
    if let Some(cores) = request.cores {
        if cores == 0 {
            return Err(Problem::bad("cores", "cores is 0; pull at least one"));
        }
        return Ok((cores, None, String::new()));
    }
    let id = request.analyte.as_deref().unwrap_or("ph-water");
    let what = analyte(id)
        .ok_or_else(|| Problem::bad("analyte", format!("the analyte \"{id}\" is not known")))?;
    let scatter = default_core_scatter(what).ok_or_else(|| {
        Problem::refused(format!(
            "no scatter between cores of {} is published here; say how many cores to pull",
            what.name
        ))
        .at("cores")
    })?;
    let usual = if scatter.unit == "%" { USUAL_MARGIN_PERCENT } else { USUAL_PH_MARGIN };
    let margin = request.margin.unwrap_or(usual);
    let level = request.level.unwrap_or(0.9);
    let worked = cores_for_margin(&scatter, margin, level)?;
    let cores = u32::try_from(worked.value.cores).unwrap_or(u32::MAX);
    let reaches = format!(
        "{} within {:.2} {} of the zone's mean, {:.0} times in 100, counting the cores alone",
        what.name,
        worked.value.reached,
        scatter.unit,
        level * 100.0
    );
    Ok((cores, Some(WorkingDto::from(&worked.working)), reaches))
}

/// A zone's outline on a plane.
#[derive(Debug, Clone)]
pub(crate) struct ZonePlan {
    pub(crate) outline: PlanOutline,
    /// The plane, where the outline is by positions.
    pub(crate) frame: Option<swardbook_agronomy::area::LocalFrame>,
    /// Its area with the arithmetic.
    pub(crate) area: Worked<f64>,
}

/// The zone's outline, where it has one.
pub(crate) fn zone_outline(zone: &Zone) -> Result<Option<ZonePlan>, Problem> {
    if zone.outline.is_empty() {
        return Ok(None);
    }
    let outline = Outline::parse(&zone.outline)?;
    let at_outline = |e: swardbook_agronomy::AgronomyError| Problem::from(e).at("outline");
    match outline.frame {
        Frame::Metres => {
            let ring = |corners: &[(f64, f64)]| {
                let points: Vec<Point> = corners.iter().map(|&(x, y)| Point::new(x, y)).collect();
                Ring::new(&points)
            };
            let outer = ring(&outline.rings[0]).map_err(at_outline)?;
            let holes = outline.rings[1..]
                .iter()
                .map(|corners| ring(corners))
                .collect::<Result<Vec<_>, _>>()
                .map_err(at_outline)?;
            let plan = PlanOutline::with_holes(outer, holes).map_err(at_outline)?;
            let area = outline_area(&plan).map_err(at_outline)?.map(|area| area.value());
            Ok(Some(ZonePlan { outline: plan, frame: None, area }))
        }
        Frame::Wgs84 => {
            let positions = |corners: &[(f64, f64)]| -> Vec<GeoPoint> {
                corners
                    .iter()
                    .map(|&(latitude, longitude)| GeoPoint { latitude, longitude })
                    .collect()
            };
            let holes: Vec<Vec<GeoPoint>> =
                outline.rings[1..].iter().map(|corners| positions(corners)).collect();
            let worked =
                geographic_area(&positions(&outline.rings[0]), &holes).map_err(at_outline)?;
            let area = Worked::new(worked.value.area.value(), worked.working);
            Ok(Some(ZonePlan {
                outline: worked.value.outline,
                frame: Some(worked.value.frame),
                area,
            }))
        }
    }
}
