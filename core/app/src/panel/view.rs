//! A panel as shells show it, with its checks.

use serde::{Deserialize, Serialize};
use swardbook_agronomy::{
    panel_check::{Severity, check_panel},
    reading::{Ground, Reading, SoilLayer},
};
use swardbook_journal::records::{Panel, Sample, Zone};
use swardbook_units::{BulkDensity, Depth};
use ts_rs::TS;

use super::stored::{StoredReading, readings_of};
use crate::{
    Notebook, Problem,
    dto::{SourceDto, day_text},
    record::RecordView,
};

/// One panel.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct PanelRef {
    /// Its id.
    pub panel: String,
}

/// One reading of a panel.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct ReadingView {
    /// Its short name in the panel.
    pub key: String,
    /// Analyte id.
    pub analyte: String,
    /// Analyte's name.
    pub name: String,
    /// Analyte's symbol.
    pub symbol: String,
    /// Method id.
    pub method: String,
    /// Method's name.
    pub method_name: String,
    /// The compound the number is of; empty when it is the element itself.
    pub form: String,
    /// `<`, `>` or empty.
    pub qualifier: String,
    /// The number as reported.
    pub value: Option<f64>,
    /// The unit as reported.
    pub unit: String,
    /// The number in the unit the analyte is kept in; none where it cannot be brought there.
    pub kept_value: Option<f64>,
    /// That unit.
    pub kept_unit: String,
    /// Decimals worth showing in that unit.
    pub decimals: u32,
    /// Marks and footnotes.
    pub note: String,
    /// Why this version cannot use it; empty when it can.
    pub unusable: String,
}

/// Something a check found.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct FindingView {
    /// Keys of the readings it is about.
    pub readings: Vec<String>,
    /// `note`, `doubtful` or `impossible`.
    pub severity: String,
    /// What was found.
    pub message: String,
    /// Slips that would explain it, the likeliest first.
    pub suggestions: Vec<String>,
    /// On whose word.
    pub sources: Vec<SourceDto>,
}

/// A panel with its readings and checks.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct PanelView {
    /// Its record.
    pub record: RecordView,
    /// The zone's name.
    pub zone_name: String,
    /// The sample's label.
    pub sample_label: String,
    /// The day the cores were pulled.
    pub sampled: Option<String>,
    /// Upper end of the layer, mm.
    pub from_mm: Option<f64>,
    /// Lower end of the layer, mm.
    pub to_mm: Option<f64>,
    /// The laboratory's name.
    pub laboratory_name: String,
    /// The readings.
    pub readings: Vec<ReadingView>,
    /// What the checks found.
    pub findings: Vec<FindingView>,
    /// blake3 hash of the original file; empty for a typed panel.
    pub file: String,
    /// The original file's name.
    pub file_name: String,
}

/// Everything that the arithmetic on a panel needs.
#[derive(Debug, Clone)]
pub(crate) struct PanelContext {
    pub(crate) zone_id: swardbook_units::Id,
    pub(crate) zone: Zone,
    pub(crate) sample: Sample,
    pub(crate) panel: Panel,
    pub(crate) readings: Vec<StoredReading>,
}

impl PanelContext {
    /// The readings that can be used, and the place of each in `readings`.
    pub(crate) fn usable(&self) -> (Vec<Reading>, Vec<usize>) {
        self.readings
            .iter()
            .enumerate()
            .filter_map(|(at, stored)| Some((*stored.reading.as_ref().ok()?, at)))
            .unzip()
    }

    /// What is known of the soil for conversions between mass and area.
    pub(crate) fn ground(&self) -> Ground {
        let layer = match (self.sample.from_mm, self.sample.to_mm, self.zone.bulk_density) {
            (Some(from), Some(to), Some(density)) if to > from => {
                Some(SoilLayer { thickness: Depth(to - from), bulk_density: BulkDensity(density) })
            }
            _ => None,
        };
        Ground { layer, scoop_density: None }
    }
}

impl Notebook {
    /// Reads a panel with its sample and zone.
    pub(crate) fn panel_context(
        &mut self,
        field: &str,
        panel: &str,
    ) -> Result<PanelContext, Problem> {
        let (document, panel) = self.typed::<Panel>(field, panel)?;
        let sample = match panel.sample {
            Some(sample) => self.typed::<Sample>("sample", &sample.to_string())?.1,
            None => Sample::default(),
        };
        let (_, zone) = self.typed::<Zone>("zone", &document.id.to_string())?;
        let readings = readings_of(&panel);
        Ok(PanelContext { zone_id: document.id, zone, sample, panel, readings })
    }

    /// Shows a panel with its checks.
    ///
    /// # Errors
    /// [`Problem`] when there is none of that id.
    pub fn panel(&mut self, id: &str) -> Result<PanelView, Problem> {
        let context = self.panel_context("panel", id)?;
        let record = self.record(id)?;
        let ground = context.ground();
        let laboratory_name = match context.panel.laboratory {
            Some(laboratory) => {
                let (_, entry) = self.entry("laboratory", &laboratory.to_string())?;
                let record = entry.read::<swardbook_journal::records::Laboratory>();
                record.map_or_else(String::new, |record| record.name)
            }
            None => String::new(),
        };
        Ok(PanelView {
            record,
            zone_name: context.zone.name.clone(),
            sample_label: context.sample.label.clone(),
            sampled: context.sample.date.map(day_text),
            from_mm: context.sample.from_mm,
            to_mm: context.sample.to_mm,
            laboratory_name,
            readings: context.readings.iter().map(|stored| reading_view(stored, &ground)).collect(),
            findings: findings(&context, &ground),
            file: context.panel.file.clone(),
            file_name: context.panel.file_name.clone(),
        })
    }
}

fn reading_view(stored: &StoredReading, ground: &Ground) -> ReadingView {
    let record = &stored.record;
    let known = swardbook_agronomy::analyte::analyte(&record.analyte);
    let method = swardbook_agronomy::analyte::method(&record.method);
    let reading = stored.reading.as_ref().ok();
    let kept = reading.and_then(|reading| reading.canonical(ground).ok());
    ReadingView {
        key: stored.key.clone(),
        analyte: record.analyte.clone(),
        name: known.map_or_else(|| record.analyte.clone(), |a| a.name.clone()),
        symbol: known.map_or_else(String::new, |a| a.symbol.clone()),
        method: record.method.clone(),
        method_name: method.map_or_else(|| record.method.clone(), |m| m.name.clone()),
        form: record.form.clone(),
        qualifier: record.qualifier.as_ref().map_or("", |q| q.word()).to_owned(),
        value: record.value,
        unit: record.unit.clone(),
        kept_value: kept.map(|worked| worked.value),
        kept_unit: reading.map_or_else(String::new, |r| r.by().unit.symbol.to_owned()),
        decimals: reading.map_or(2, |r| crate::dto::decimals(r.analyte(), r.by().unit)),
        note: record.note.clone(),
        unusable: stored.reading.as_ref().err().cloned().unwrap_or_default(),
    }
}

fn findings(context: &PanelContext, ground: &Ground) -> Vec<FindingView> {
    let (readings, places) = context.usable();
    let key = |at: &usize| context.readings[places[*at]].key.clone();
    check_panel(&readings, ground)
        .into_iter()
        .map(|finding| FindingView {
            readings: finding.readings.iter().map(key).collect(),
            severity: match finding.severity {
                Severity::Note => "note",
                Severity::Doubtful => "doubtful",
                Severity::Impossible => "impossible",
            }
            .to_owned(),
            message: finding.message,
            suggestions: finding.suggestions.into_iter().map(|s| s.words).collect(),
            sources: finding.sources.iter().map(SourceDto::from).collect(),
        })
        .collect()
}
