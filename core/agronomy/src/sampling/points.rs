//! Where to put the tool: random points that anybody can draw again from a printed seed.
//!
//! It does not own how many cores (`cores`) nor a core's record in the journal.

use swardbook_stats::halton::Halton;
use swardbook_units::{Worked, Working};

use super::{
    draw::Draws,
    ground::{Bounds, Ground, OPERATION},
    strata::{Stratum, equal_strata},
    walk::walking_order,
};
use crate::{AgronomyError, area::Point, error::refused_by_statistics, source};

/// How points are spread over the zone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Design {
    /// So many in each of as many strata of equal area as that makes: the usual one.
    Stratified {
        /// One, or two and more where the scatter is to be worked out from the cores themselves.
        per_stratum: usize,
    },
    /// A sequence that fills the zone evenly from a random start; any number can be added later.
    Balanced,
}

/// A plan asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct PointsQuestion {
    /// How points are spread.
    pub design: Design,
    /// Cores to pull.
    pub cores: usize,
    /// The number that the points follow from; printed with them.
    pub seed: u64,
    /// Where one comes in, so that the walk begins there.
    pub start: Point,
}

/// One place for a core.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SamplePoint {
    /// The place, m.
    pub place: Point,
    /// Its stratum, counted from zero; its number in the sequence in a balanced plan.
    pub stratum: usize,
    /// Where to core instead, in the same stratum, when the place cannot be cored.
    pub spare: Point,
}

/// Places for all cores, in walking order.
#[derive(Debug, Clone, PartialEq)]
pub struct SamplePoints {
    /// The places.
    pub points: Vec<SamplePoint>,
    /// The strata; empty in a balanced plan.
    pub strata: Vec<Stratum>,
    /// Metres to walk from the start past every point, as the crow flies.
    pub walk: f64,
    /// The seed they follow from.
    pub seed: u64,
}

/// Tries for one place before the ground is taken as too thin to hit.
const TRIES: u32 = 1_000_000;

/// Random places in the open ground, in the order to walk them.
///
/// The same ground, number, design and seed give the same places on every machine.
/// A retest keeps ground and number and takes another seed: new places in the same strata.
///
/// # Units  metres.
/// # Errors `Argument` for a number of cores not from 1 to 1000 or a start that is no place; `Refused`
///   when the cores do not divide into the strata.
/// # Source `robertson-2013` for the balanced design; strata as [`equal_strata`], whose gain was
/// computed on `soil250-panels` (variance of the mean 0.30 to 0.49 of that without strata).
pub fn sample_points(
    ground: &Ground,
    question: &PointsQuestion,
) -> Result<Worked<SamplePoints>, AgronomyError> {
    for value in [question.start.x, question.start.y] {
        crate::error::within(OPERATION, "start", value, "m", -1e7, 1e7)?;
    }
    let (strata, drawn) = match question.design {
        Design::Stratified { per_stratum } => stratified(ground, question, per_stratum)?,
        Design::Balanced => (Vec::new(), balanced(ground, question)?),
    };
    let places: Vec<Point> = drawn.iter().map(|point| point.place).collect();
    let (order, walk) = walking_order(&places, question.start);
    let points: Vec<SamplePoint> = order.into_iter().map(|place| drawn[place]).collect();
    let working = shown(ground, question, &strata, walk);
    Ok(Worked::new(SamplePoints { points, strata, walk, seed: question.seed }, working))
}

fn stratified(
    ground: &Ground,
    question: &PointsQuestion,
    per_stratum: usize,
) -> Result<(Vec<Stratum>, Vec<SamplePoint>), AgronomyError> {
    if per_stratum == 0 || !question.cores.is_multiple_of(per_stratum) {
        return Err(AgronomyError::Refused {
            operation: OPERATION,
            argument: "per_stratum",
            why: format!(
                "{} cores do not divide into strata of {per_stratum}; take a multiple",
                question.cores
            ),
        });
    }
    let strata = equal_strata(ground, question.cores / per_stratum)?;
    let points = in_strata(ground, &strata, per_stratum, question.seed)?;
    Ok((strata, points))
}

fn in_strata(
    ground: &Ground,
    strata: &[Stratum],
    per_stratum: usize,
    seed: u64,
) -> Result<Vec<SamplePoint>, AgronomyError> {
    let mut draws = Draws::from_seed(seed);
    let mut spares = Draws::aside(seed);
    let mut points = Vec::with_capacity(strata.len() * per_stratum);
    for (stratum, part) in strata.iter().enumerate() {
        for _ in 0..per_stratum {
            points.push(SamplePoint {
                place: place_in(ground, &part.bounds, &mut draws)?,
                stratum,
                spare: place_in(ground, &part.bounds, &mut spares)?,
            });
        }
    }
    Ok(points)
}

/// One place, every spot of the open ground within the rectangle being equally likely.
fn place_in(ground: &Ground, within: &Bounds, draws: &mut Draws) -> Result<Point, AgronomyError> {
    for _ in 0..TRIES {
        let x = draws.between(within.low.x, within.high.x);
        let y = draws.between(within.low.y, within.high.y);
        let place = Point::new(x, y);
        if ground.contains(place) {
            return Ok(place);
        }
    }
    too_thin()
}

fn too_thin<T>() -> Result<T, AgronomyError> {
    Err(AgronomyError::Refused {
        operation: OPERATION,
        argument: "edge_margin",
        why: "the open ground is too thin to hit; take a smaller margin".to_owned(),
    })
}

fn balanced(ground: &Ground, question: &PointsQuestion) -> Result<Vec<SamplePoint>, AgronomyError> {
    // The same bound on the number of cores as strata have.
    if question.cores == 0 || question.cores > 1_000 {
        return Err(AgronomyError::Argument {
            operation: OPERATION,
            argument: "cores",
            value: question.cores as f64,
            unit: "",
            allowed: "from 1 to 1000".to_owned(),
        });
    }
    let mut draws = Draws::from_seed(question.seed);
    let mut places = accepted(ground, &mut draws)?;
    let mut spares = accepted(ground, &mut Draws::aside(question.seed))?;
    let mut points = Vec::with_capacity(question.cores);
    for stratum in 0..question.cores {
        let (Some(place), Some(spare)) = (places.next(), spares.next()) else { return too_thin() };
        points.push(SamplePoint { place, stratum, spare });
    }
    Ok(points)
}

/// Points of the sequence that fall on open ground; it ends where none falls for long.
///
/// Starts are drawn until the first point falls on open ground: a sequence that begins with points
/// thrown away would favour the ground that comes after them.
fn accepted<'a>(
    ground: &'a Ground,
    draws: &mut Draws,
) -> Result<impl Iterator<Item = Point> + 'a, AgronomyError> {
    let Bounds { low, high } = ground.bounds();
    let on_ground = move |[x, y]: [f64; 2]| {
        let place = Point::new(low.x + x * (high.x - low.x), low.y + y * (high.y - low.y));
        ground.contains(place).then_some(place)
    };
    for _ in 0..TRIES {
        let sequence = Halton::from_random(&mut || draws.uniform());
        let mut sequence = sequence.map_err(refused_by_statistics(OPERATION))?;
        let mut ahead = sequence;
        if ahead.next().and_then(on_ground).is_some() {
            return Ok(std::iter::from_fn(move || {
                (0..TRIES).find_map(|_| sequence.next().and_then(on_ground))
            }));
        }
    }
    too_thin()
}

fn shown(ground: &Ground, question: &PointsQuestion, strata: &[Stratum], walk: f64) -> Working {
    let open = ground.area();
    let cores = question.cores as f64;
    let equation = match question.design {
        Design::Stratified { .. } => "area of a stratum = open ground / strata; one draw in each",
        Design::Balanced => {
            "place = random start of the sequence, kept where it falls on open ground"
        }
    };
    let mut working = Working::new(equation)
        .given("Cores", cores, "")
        .given("Margin along every edge", ground.margin(), "m")
        .step("open ground", "outline less the margin, by fine slices".to_owned(), open, "m2");
    working = match question.design {
        Design::Stratified { .. } => working
            .step(
                "area of a stratum",
                format!("{open:.2} / {}", strata.len()),
                open / strata.len() as f64,
                "m2",
            )
            .source(source("soil250-panels")),
        Design::Balanced => working.source(source("robertson-2013")),
    };
    working
        .step("walk past every point", format!("drawn with seed {}", question.seed), walk, "m")
        .caution(
            "Core at the point even where the turf looks odd; leave a point only for a reason that \
             is written down, and take its spare.",
        )
        .caution("Find out where pipes and cables run before coring.")
}

#[cfg(test)]
mod tests;
