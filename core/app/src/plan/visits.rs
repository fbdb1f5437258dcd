//! Doses split into visits, with their days.

use serde::Serialize;
use swardbook_agronomy::{
    materials::{LimitGround, Material},
    split::{SplitRules, split_dose},
};
use swardbook_journal::records::TurfUse;
use swardbook_units::{Dose, NaiveDate, Working};
use ts_rs::TS;

use crate::{
    Problem,
    dto::{WorkingDto, day_text},
    panel::PanelContext,
};

/// One visit of a plan.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct VisitView {
    /// Its key in the plan, such as `acidity-1`.
    pub key: String,
    /// What it is for: `acidity`, `sodium`, `k`, ...
    pub purpose: String,
    /// Material id.
    pub material: String,
    /// Material's name.
    pub material_name: String,
    /// Dose of the material, g/m2.
    pub dose_g_m2: f64,
    /// Which visit of how many.
    pub visit: u32,
    /// How many.
    pub visits: u32,
    /// The day.
    pub date: String,
    /// Mass for the zone, kg; none while its area is not known.
    pub amount_kg: Option<f64>,
    /// Whether it has to be watered in.
    pub water_in: bool,
    /// What to mind.
    pub cautions: Vec<String>,
    /// How the dose and its split came about.
    pub working: WorkingDto,
}

/// A dose that is wanted, before it is split.
#[derive(Debug)]
pub(super) struct Wanted {
    pub(super) purpose: String,
    pub(super) material: Material,
    pub(super) dose: Dose,
    working: Working,
}

impl Wanted {
    pub(super) fn new(purpose: &str, material: Material, dose: Dose, working: Working) -> Self {
        Self { purpose: purpose.to_owned(), material, dose, working }
    }
}

/// What the visits of a zone follow.
#[derive(Debug, Clone, Copy)]
pub(super) struct VisitRules {
    start: NaiveDate,
    ground: LimitGround,
}

/// Below this height of cut the limits of close-mown grass hold, mm; common practice, no source.
const CLOSE_MOWN_MM: f64 = 15.0;

impl VisitRules {
    pub(super) fn of(context: &PanelContext, start: NaiveDate) -> Self {
        let close = context.zone.turf == Some(TurfUse::Green)
            || context.zone.mowing_mm.is_some_and(|height| height < CLOSE_MOWN_MM);
        Self { start, ground: if close { LimitGround::LowMown } else { LimitGround::Grass } }
    }
}

/// Splits one wanted dose into visits.
pub(super) fn visits(
    wanted: &Wanted,
    rules: &VisitRules,
    area_m2: Option<f64>,
    notes: &mut Vec<String>,
) -> Result<Vec<VisitView>, Problem> {
    let material = &wanted.material;
    let limit = material.single_dose(rules.ground)?;
    let (single, limit_working) = match &limit {
        Some(worked) => (worked.value.dose, worked.working.clone()),
        None => {
            notes.push(format!(
                "No limit for one visit of {} is known here: its label decides.",
                material.name
            ));
            (wanted.dose, Working::default())
        }
    };
    let split = split_dose(
        wanted.dose,
        &SplitRules {
            single_dose: single,
            interval_days: material.interval(),
            per_year: material.yearly_dose(),
        },
    )?;
    let working = wanted.working.clone().after(&limit_working).after(&split.working);
    let days = split.value.dates(rules.start);
    let count = split.value.visits.len();
    if split.value.years() > 1 {
        notes.push(format!(
            "{} for {} takes {count} visits over {} years: sample again before the second year, \
             and plan the rest from that panel.",
            material.name,
            wanted.purpose,
            split.value.years()
        ));
    }
    let number = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    Ok(split
        .value
        .visits
        .iter()
        .zip(days)
        .enumerate()
        .map(|(at, (visit, day))| VisitView {
            key: format!("{}-{}", wanted.purpose, at + 1),
            purpose: wanted.purpose.clone(),
            material: material.id.clone(),
            material_name: material.name.clone(),
            dose_g_m2: visit.dose.value(),
            visit: number(at + 1),
            visits: number(count),
            date: day_text(day),
            amount_kg: area_m2.map(|area| area * visit.dose.value() / 1000.0),
            water_in: material.has_to_be_watered_in(visit.dose, rules.ground),
            cautions: working.cautions.clone(),
            working: WorkingDto::from(&working),
        })
        .collect())
}
