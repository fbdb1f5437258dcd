//! A sample with its cores, and what the bag should weigh.

use serde::{Deserialize, Serialize};
use swardbook_agronomy::sampling::composite_mass::{Ask, CoreSize, composite_mass};
use swardbook_journal::records::{Core, Sample, Zone};
use swardbook_units::{BulkDensity, Depth, Id};
use ts_rs::TS;

use super::points::USUAL_WATER;
use crate::{Notebook, Problem, dto::WorkingDto, record::RecordView};

/// Bulk density where the zone does not say, t/m3.
///
/// # Source `woods-2014-recommendation`: 10 cm of root zone weigh 150 kg/m2.
pub(crate) const USUAL_DENSITY: f64 = 1.5;

/// One sample.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct SampleRef {
    /// Its id.
    pub sample: String,
}

/// One core of a sample.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct CoreView {
    /// The record.
    pub id: String,
    /// Number in the walk.
    pub number: Option<u32>,
    /// Whether it was set aside.
    pub set_aside: bool,
    /// Why.
    pub reason: String,
    /// Depth reached, mm.
    pub depth_mm: Option<f64>,
    /// Metres east.
    pub east: Option<f64>,
    /// Metres north.
    pub north: Option<f64>,
}

/// A sample with its cores.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct SampleView {
    /// Its record.
    pub record: RecordView,
    /// The zone's name.
    pub zone_name: String,
    /// Cores recorded one by one, in the order of the walk.
    pub cores: Vec<CoreView>,
    /// Cores in the bag.
    pub kept: u32,
    /// Cores set aside.
    pub set_aside: u32,
    /// What the bag should weigh, g; none while tool or depth is not known.
    pub estimate_g: Option<f64>,
    /// What the laboratory asks, g.
    pub wanted_g: Option<f64>,
    /// Cores that would reach it.
    pub cores_to_reach: Option<u32>,
    /// How the estimate came about.
    pub working: Option<WorkingDto>,
    /// Panels of this sample.
    pub panels: Vec<String>,
    /// What to do next, in one sentence.
    pub sentence: String,
}

impl Notebook {
    /// Shows a sample with its cores.
    ///
    /// # Errors
    /// [`Problem`] when there is none of that id.
    pub fn sample(&mut self, id: &str) -> Result<SampleView, Problem> {
        let (document, sample) = self.typed::<Sample>("sample", id)?;
        let (_, zone) = self.typed::<Zone>("zone", &document.id.to_string())?;
        let own: Option<Id> = id.parse().ok();
        let entries = self.document(document)?.entries();
        let mut cores: Vec<CoreView> = entries
            .iter()
            .filter_map(|entry| Some((entry, entry.read::<Core>()?)))
            .filter(|(_, core)| core.sample == own)
            .map(|(entry, core)| CoreView {
                id: entry.key.clone(),
                number: core.number.and_then(|n| u32::try_from(n).ok()),
                set_aside: core.set_aside,
                reason: core.reason,
                depth_mm: core.depth_mm,
                east: core.x_m,
                north: core.y_m,
            })
            .collect();
        cores.sort_by_key(|core| core.number.unwrap_or(u32::MAX));
        let panels: Vec<String> = entries
            .iter()
            .filter(|entry| {
                entry
                    .read::<swardbook_journal::records::Panel>()
                    .is_some_and(|panel| panel.sample == own)
            })
            .map(|entry| entry.key.clone())
            .collect();
        let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        let set_aside = count(cores.iter().filter(|core| core.set_aside).count());
        let recorded = count(cores.len()) - set_aside;
        let kept = if cores.is_empty() {
            sample.pulled_cores.and_then(|n| u32::try_from(n).ok()).unwrap_or(0)
        } else {
            recorded
        };
        let mut view = SampleView {
            record: self.record(id)?,
            zone_name: zone.name.clone(),
            cores,
            kept,
            set_aside,
            estimate_g: None,
            wanted_g: None,
            cores_to_reach: None,
            working: None,
            sentence: next_step(&sample, kept, &panels),
            panels,
        };
        if let (Some(tool), Some(from), Some(to), true) =
            (sample.tool_mm, sample.from_mm, sample.to_mm, kept > 0)
        {
            let ask = match sample.laboratory {
                Some(laboratory) => self.ask_of(&laboratory.to_string())?,
                None => Ask::usual(),
            };
            let size = CoreSize {
                diameter_mm: tool,
                depth: Depth(to - from),
                bulk_density: BulkDensity(zone.bulk_density.unwrap_or(USUAL_DENSITY)),
                water: USUAL_WATER,
            };
            let worked = composite_mass(&size, kept, &ask)?;
            view.estimate_g = Some(worked.value.moist.value() * 1000.0);
            view.wanted_g = Some(ask.mass.value() * 1000.0);
            view.cores_to_reach = Some(worked.value.cores_to_reach);
            view.working = Some(WorkingDto::from(&worked.working));
        }
        Ok(view)
    }

    /// Cores in the bag of a sample, from its cores or from the number that was typed.
    pub(crate) fn cores_of(
        &mut self,
        zone: Id,
        sample: Option<Id>,
        record: &Sample,
    ) -> Result<Option<u32>, Problem> {
        let entries = self.document(crate::notebook::zone_document(zone))?.entries();
        let kept = entries
            .iter()
            .filter_map(|entry| entry.read::<Core>())
            .filter(|core| core.sample == sample && sample.is_some() && !core.set_aside)
            .count();
        if kept > 0 {
            return Ok(u32::try_from(kept).ok());
        }
        Ok(record.pulled_cores.and_then(|n| u32::try_from(n).ok()).filter(|n| *n > 0))
    }
}

fn next_step(sample: &Sample, kept: u32, panels: &[String]) -> String {
    match (sample.date, sample.sent, panels) {
        (_, _, [_, ..]) => "The panel is here: read it.".to_owned(),
        (None, ..) => "Pull the cores.".to_owned(),
        (Some(_), None, _) if kept == 0 => "Record the cores that are in the bag.".to_owned(),
        (Some(_), None, _) => match sample.wanted_cores {
            Some(wanted) if i64::from(kept) < wanted => {
                format!("{kept} of {wanted} cores are in the bag: pull the others, or post it.")
            }
            _ => "Post the bag to the laboratory.".to_owned(),
        },
        (Some(_), Some(sent), _) => format!("Waiting for the panel since {sent}."),
    }
}
