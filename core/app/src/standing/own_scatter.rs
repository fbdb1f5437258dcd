//! This ground's own scatter, from replicate samples of one zone.

use std::collections::BTreeMap;

use swardbook_agronomy::{
    analyte::{Analyte, analyte},
    reading::{Ground, Qualifier},
    spread::{OwnScatter, core_scatter_of_replicates},
};
use swardbook_journal::records::{Panel, Sample};
use swardbook_stats::interval::Scale;
use swardbook_units::Id;

use crate::{Notebook, Problem, notebook::zone_document, panel::understood};

/// What replicates have in common: the day's mark, the layer, the laboratory, and how it read.
type Set = (String, [String; 2], Option<Id>, String);

/// Readings of replicate samples on the analyte's scale, with the cores of each sample.
#[derive(Debug, Default)]
struct Replicates {
    sets: BTreeMap<Set, Vec<f64>>,
    cores: Vec<u32>,
}

impl Notebook {
    /// Scatter between cores of a zone as its own replicate samples show it, analyte by analyte.
    ///
    /// Samples are replicates when they carry one mark (`replicate_of`), are of one layer and were
    /// read by one method in one laboratory; a sample without a number of cores says nothing.
    pub(crate) fn own_scatter(&mut self, zone: Id) -> Result<Vec<OwnScatter>, Problem> {
        let entries = self.document(zone_document(zone))?.entries();
        let samples: Vec<(String, Sample)> = entries
            .iter()
            .filter_map(|entry| Some((entry.key.clone(), entry.read::<Sample>()?)))
            .collect();
        if samples.iter().all(|(_, sample)| sample.replicate_of.is_none()) {
            return Ok(Vec::new());
        }
        let mut found: BTreeMap<&'static str, (&'static Analyte, Replicates)> = BTreeMap::new();
        for panel in entries.iter().filter_map(|entry| entry.read::<Panel>()) {
            let Some(id) = panel.sample else { continue };
            let Some((key, sample)) = samples.iter().find(|(key, _)| *key == id.to_string()) else {
                continue;
            };
            let Some(cores) = self.cores_of(zone, Some(id), sample)? else { continue };
            let mark = sample.replicate_of.map_or_else(|| key.clone(), |mark| mark.to_string());
            let layer = [sample.from_mm, sample.to_mm].map(|mm| format!("{mm:?}"));
            for record in panel.reading.values() {
                let Some((analyte, value)) = on_scale(record) else { continue };
                let set = (mark.clone(), layer.clone(), panel.laboratory, record.method.clone());
                let (_, replicates) = found
                    .entry(analyte.id.as_str())
                    .or_insert_with(|| (analyte, Replicates::default()));
                replicates.sets.entry(set).or_default().push(value);
                replicates.cores.push(cores);
            }
        }
        let mut own = Vec::new();
        for (analyte, replicates) in found.into_values() {
            let sets: Vec<Vec<f64>> = replicates.sets.into_values().collect();
            own.extend(core_scatter_of_replicates(analyte, &sets, usual(&replicates.cores))?);
        }
        Ok(own)
    }
}

fn on_scale(record: &swardbook_journal::records::ReadingRecord) -> Option<(&'static Analyte, f64)> {
    let reading = understood(record).ok()?;
    if reading.qualifier() != Qualifier::Exact {
        return None;
    }
    let analyte = analyte(&reading.analyte().id)?;
    let value = reading.canonical(&Ground::UNKNOWN).ok()?.value;
    let (scale, value) = match analyte.scale {
        swardbook_agronomy::analyte::Scale::Linear => (Scale::Linear, value),
        swardbook_agronomy::analyte::Scale::Log => (Scale::Log, value),
        swardbook_agronomy::analyte::Scale::Logit => (Scale::Logit, value / 100.0),
    };
    Some((analyte, scale.forward(value).ok()?))
}

/// Cores that stand for those of all samples: the harmonic mean, since a variance is divided by
/// them.
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a mean of whole numbers of cores"
)]
fn usual(cores: &[u32]) -> usize {
    let inverse: f64 = cores.iter().map(|n| 1.0 / f64::from(*n)).sum();
    (cores.len() as f64 / inverse).round().max(1.0) as usize
}
