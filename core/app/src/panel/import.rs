//! Bringing the readings of a file into the journal.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};
use swardbook_journal::records::{Laboratory, Layout, Panel, ReadingRecord, Sample};
use swardbook_store::DocumentName;
use swardbook_units::Id;
use ts_rs::TS;

use super::{
    preview::{AnswerGiven, PreviewView, ReadFile},
    source::PanelSource,
    stored::stored_qualifier,
    waiting::WaitingSamples,
};
use crate::{
    Notebook, Part, Problem, Step, Watch,
    notebook::{NOTEBOOK, zone_document},
    panel_file::{Imported, ImportedSample, fingerprint},
    progress::Course,
};

/// Where the readings of one sample of the file go.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct ImportTarget {
    /// The sample in the file: its label, or its number counted from 0 where it has none.
    pub label: String,
    /// The sample of the notebook, by id.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub sample: Option<String>,
    /// The zone in which a sample is made from what the file says of it, by id or name.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub zone: Option<String>,
    /// Leave these readings out.
    #[serde(default)]
    pub skip: bool,
}

/// What to import.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct ImportRequest {
    /// The file or text.
    #[serde(flatten)]
    pub source: PanelSource,
    /// The laboratory, by id or name; its layout is remembered for the next file.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub laboratory: Option<String>,
    /// Answers to the questions of the preview, in the order they were given.
    #[serde(default)]
    pub answers: Vec<AnswerGiven>,
    /// Where samples go whose label no waiting sample carries.
    #[serde(default)]
    pub targets: Vec<ImportTarget>,
    /// A zone for every sample that has no other target.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub zone: Option<String>,
}

/// One panel that was made.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct ImportedPanel {
    /// The panel.
    pub panel: String,
    /// Its sample.
    pub sample: String,
    /// Whether the sample was made from the file.
    pub made_sample: bool,
    /// Its zone.
    pub zone: String,
    /// The label.
    pub label: String,
    /// Readings.
    pub readings: u32,
}

/// What an import did.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct ImportOutcome {
    /// The panels made.
    pub panels: Vec<ImportedPanel>,
    /// Labels of samples that were left out on purpose.
    pub skipped: Vec<String>,
    /// blake3 hash of the original file, which is kept.
    pub file: String,
    /// What was read and what was not.
    pub preview: PreviewView,
}

/// Where one sample of the file goes.
enum Goal {
    Sample(DocumentName, String),
    Zone(DocumentName),
    Skip,
}

impl Notebook {
    /// Imports a panel file: all of it, or nothing; it can be stopped until the disk is written.
    ///
    /// # Errors
    /// [`Problem`] when a sample has no target, with the label that needs one, and
    /// [`crate::Code::Cancelled`] when it was stopped; nothing of the file is in the notebook then.
    pub fn import_panel(
        &mut self,
        request: &ImportRequest,
        watch: &mut dyn Watch,
    ) -> Result<ImportOutcome, Problem> {
        let stopped = "stopped; nothing of the file was taken in".to_owned();
        let mut course = Course::begin(watch, self.stopwatch(), stopped);
        course.step(Step::Reading, Part::Whole, 0)?;
        let laboratory = match request.laboratory.as_deref() {
            Some(name) => Some(self.find_record("laboratory", "laboratory", name, None)?),
            None => None,
        };
        let read = self.read_file(&request.source, laboratory.as_deref(), &request.answers)?;
        let laboratory = laboratory.or_else(|| read.laboratory.clone());
        let preview = self.preview_of(&read)?;
        let goals = self.goals(&read, request)?;
        // The original is on the disk before the readings that point to it.
        let limit = crate::panel_file::MOST_BYTES;
        let kept = self.store.add_blob(&mut request.source.original()?, limit)?;
        let file = kept.hash.to_string();
        match self.take_in(&read, goals, laboratory.as_deref(), &file, &mut course) {
            Ok((panels, skipped)) => Ok(ImportOutcome { panels, skipped, file, preview }),
            Err(problem) => {
                if kept.was_new {
                    // What stands in the way of the import is told; a file too many is swept later.
                    let _still_there = self.store.release_blobs(&[kept.hash]);
                }
                Err(problem)
            }
        }
    }

    /// Writes the samples to their goals as one action.
    fn take_in(
        &mut self,
        read: &ReadFile,
        goals: Vec<Goal>,
        laboratory: Option<&str>,
        file: &str,
        course: &mut Course<'_>,
    ) -> Result<(Vec<ImportedPanel>, Vec<String>), Problem> {
        let laboratory_id = laboratory.and_then(|id| id.parse::<Id>().ok());
        let today = self.today();
        let ids: Vec<(Id, Id)> =
            read.imported.samples.iter().map(|_| (self.new_id(), self.new_id())).collect();
        let counted = Counted::of(&read.imported);
        course.step(Step::Placing, counted.part, counted.of_sample.iter().sum())?;
        let mut action = self.begin_action(format!("imported {}", read.sheets.file));
        let mut panels = Vec::new();
        let mut skipped = Vec::new();
        for (at, (sample, goal)) in read.imported.samples.iter().zip(goals).enumerate() {
            let (panel_id, new_sample) = ids[at];
            let label = sample_label(at, sample);
            let (document, sample_key, made_sample) = match goal {
                Goal::Skip => {
                    skipped.push(label);
                    course.did(counted.of_sample[at])?;
                    continue;
                }
                Goal::Sample(document, key) => (document, key, false),
                Goal::Zone(document) => {
                    let record = sample_of(sample, &label, laboratory_id);
                    action.put(document, &new_sample.to_string(), &record)?;
                    (document, new_sample.to_string(), true)
                }
            };
            let record = Panel {
                sample: sample_key.parse().ok(),
                laboratory: laboratory_id,
                report: sample.attributes.laboratory_number.clone().unwrap_or_default(),
                date: sample.attributes.reported.or(Some(today)),
                file: file.to_owned(),
                file_name: read.sheets.file.clone(),
                reading: reading_records(sample),
                note: sample.attributes.remarks.clone().unwrap_or_default(),
            };
            action.put(document, &panel_id.to_string(), &record)?;
            panels.push(ImportedPanel {
                panel: panel_id.to_string(),
                sample: sample_key,
                made_sample,
                zone: document.id.to_string(),
                label,
                readings: u32::try_from(record.reading.len()).unwrap_or(u32::MAX),
            });
            course.did(counted.of_sample[at])?;
        }
        if let Some(id) = laboratory {
            remember_layout(&mut action, id, read)?;
        }
        action.keep_on_course(course)?;
        Ok((panels, skipped))
    }

    fn goals(&mut self, read: &ReadFile, request: &ImportRequest) -> Result<Vec<Goal>, Problem> {
        let samples = &read.imported.samples;
        if samples.is_empty() {
            return Err(Problem::refused(format!(
                "no sample with a reading was found in {}; nothing was imported",
                read.sheets.file
            ))
            .at("path"));
        }
        let labels: Vec<String> =
            samples.iter().enumerate().map(|(at, sample)| sample_label(at, sample)).collect();
        let known: BTreeSet<&str> = labels.iter().map(String::as_str).collect();
        for target in &request.targets {
            if !known.contains(target.label.as_str()) {
                return Err(Problem::bad(
                    "targets",
                    format!("the file has no sample labelled \"{}\"", target.label),
                ));
            }
        }
        // Where two speak of one label, the first counts.
        let targets: BTreeMap<&str, &ImportTarget> =
            request.targets.iter().rev().map(|target| (target.label.as_str(), target)).collect();
        let waiting = self.waiting_samples()?;
        let mut goals = Vec::new();
        for (sample, label) in samples.iter().zip(&labels) {
            let goal = match targets.get(label.as_str()) {
                Some(ImportTarget { skip: true, .. }) => Goal::Skip,
                Some(ImportTarget { sample: Some(id), .. }) => {
                    let (document, _) = self.typed::<Sample>("targets", id)?;
                    Goal::Sample(document, id.clone())
                }
                Some(ImportTarget { zone: Some(zone), .. }) => {
                    Goal::Zone(zone_document(self.find_zone("targets", zone)?))
                }
                _ => self.goal_without_target(sample, label, &waiting, request)?,
            };
            goals.push(goal);
        }
        Ok(goals)
    }

    fn goal_without_target(
        &mut self,
        sample: &ImportedSample,
        label: &str,
        waiting: &WaitingSamples,
        request: &ImportRequest,
    ) -> Result<Goal, Problem> {
        if let Some(id) = waiting.one_labelled(label) {
            let (document, _) = self.typed::<Sample>("targets", &id)?;
            return Ok(Goal::Sample(document, id));
        }
        if let Some(zone) = &request.zone {
            return Ok(Goal::Zone(zone_document(self.find_zone("zone", zone)?)));
        }
        if let Some(name) = &sample.attributes.zone {
            let name = match &sample.attributes.property {
                Some(property) => format!("{property} / {name}"),
                None => name.clone(),
            };
            if let Ok(zone) = self.find_zone("zone", &name) {
                return Ok(Goal::Zone(zone_document(zone)));
            }
        }
        Err(Problem::missing(
            "targets",
            &format!(
                "no waiting sample is labelled \"{label}\": say which sample or zone it belongs to, \
                 or to leave it out; nothing was imported"
            ),
        ))
    }
}

/// What is counted while samples are put in their places.
struct Counted {
    part: Part,
    of_sample: Vec<usize>,
}

impl Counted {
    /// Rows of the file, where no row belongs to more than one sample; readings elsewhere.
    fn of(imported: &Imported) -> Self {
        let rows = |sample: &ImportedSample| -> BTreeSet<(u16, u32)> {
            sample.readings.iter().map(|r| (r.place.sheet, r.place.row)).collect()
        };
        let of_sample: Vec<BTreeSet<_>> = imported.samples.iter().map(rows).collect();
        let each: Vec<usize> = of_sample.iter().map(BTreeSet::len).collect();
        let all: BTreeSet<(u16, u32)> = of_sample.into_iter().flatten().collect();
        if each.iter().sum::<usize>() == all.len() {
            return Self { part: Part::Rows, of_sample: each };
        }
        let readings = imported.samples.iter().map(|sample| sample.readings.len()).collect();
        Self { part: Part::Readings, of_sample: readings }
    }
}

pub(super) fn sample_label(at: usize, sample: &ImportedSample) -> String {
    sample.attributes.label.clone().unwrap_or_else(|| at.to_string())
}

fn sample_of(sample: &ImportedSample, label: &str, laboratory: Option<Id>) -> Sample {
    let a = &sample.attributes;
    Sample {
        date: a.sampled,
        from_mm: a.depth_from_mm,
        to_mm: a.depth_to_mm,
        label: label.to_owned(),
        laboratory,
        returned: a.reported,
        ..Sample::default()
    }
}

fn reading_records(sample: &ImportedSample) -> BTreeMap<String, ReadingRecord> {
    sample
        .readings
        .iter()
        .enumerate()
        .map(|(at, reading)| {
            let record = ReadingRecord {
                analyte: reading.analyte.id.clone(),
                method: reading.method.id.clone(),
                value: Some(reading.value),
                unit: reading.unit.symbol.to_owned(),
                qualifier: stored_qualifier(reading.qualifier),
                form: reading.form.map_or_else(String::new, |form| form.formula.clone()),
                // The file gives the half-width of a 95 % interval where it gives a plus-minus;
                // only a person can say that it means something else.
                uncertainty: reading.plus_minus().map(|half| half / 2.0),
                note: reading.mark().unwrap_or_default().to_owned(),
            };
            (format!("k{at:03}"), record)
        })
        .collect()
}

fn remember_layout(
    action: &mut crate::notebook::Action<'_>,
    laboratory: &str,
    read: &ReadFile,
) -> Result<(), Problem> {
    let mapping = serde_json::to_string(&read.mapping).expect("plain data has a JSON form");
    let headings = fingerprint(&read.sheets);
    let key = layout_key(headings.headings());
    action.write(NOTEBOOK, laboratory, |document| {
        let Some(mut record) =
            document.entry(laboratory).and_then(|entry| entry.read::<Laboratory>())
        else {
            return Ok(());
        };
        record.layouts.insert(key, Layout { mapping });
        document.put(laboratory, &record)?;
        Ok(())
    })
}

/// A short name for a layout that is the same on every device: FNV-1a over its headings.
fn layout_key(headings: &[String]) -> String {
    let mut hash = 0xcbf2_9ce4_8422_2325_u64;
    for byte in headings.join("\n").bytes() {
        hash = (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
    }
    format!("l{hash:016x}")
}
