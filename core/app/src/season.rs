//! Everything that happened on a zone, on one time axis.

use serde::Serialize;
use swardbook_journal::{
    Entry,
    records::{Application, Observation, ObservationKind, Panel, PlanRecord, Sample},
};
use swardbook_units::{Id, NaiveDate};
use ts_rs::TS;

use crate::{
    Measure, Notebook, Problem,
    dto::{counted, day_text},
    notebook::zone_document,
    record::form,
};

/// One thing that happened.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct SeasonEvent {
    /// The record.
    pub id: String,
    /// `sample`, `panel`, `plan`, `application` or `observation`.
    pub kind: String,
    /// The sort of an observation: `rating`, `spot`, `photo` or `note`; empty otherwise.
    pub sort: String,
    /// Its day; none while it is not known.
    pub date: Option<String>,
    /// What it is, in a few words.
    pub title: String,
    /// More of it.
    pub detail: String,
    /// A rating's or reading's number.
    pub value: Option<f64>,
    /// Its unit.
    pub unit: String,
    /// blake3 hash of a photo; empty otherwise.
    pub photo: String,
    /// Labels of what is still to fill in.
    pub missing: Vec<String>,
}

impl Notebook {
    /// What happened on a zone, newest first; what has no day yet comes first of all.
    pub(crate) fn season(&mut self, zone: Id) -> Result<Vec<SeasonEvent>, Problem> {
        let entries = self.document(zone_document(zone))?.entries();
        let measure = self.measure()?;
        let mut events: Vec<(Option<NaiveDate>, _, SeasonEvent)> = Vec::new();
        for entry in &entries {
            if entry.voided().is_some() {
                continue;
            }
            if let Some((date, event)) = self.event_of(entry, measure) {
                events.push((date, entry.order.clone(), event));
            }
        }
        // The order of causes orders what happened on one day.
        events.sort_by(|a, b| match (a.0, b.0) {
            (None, None) => b.1.cmp(&a.1),
            (None, Some(_)) => std::cmp::Ordering::Less,
            (Some(_), None) => std::cmp::Ordering::Greater,
            (Some(x), Some(y)) => y.cmp(&x).then(b.1.cmp(&a.1)),
        });
        Ok(events.into_iter().map(|(_, _, event)| event).collect())
    }

    fn event_of(
        &mut self,
        entry: &Entry,
        measure: Measure,
    ) -> Option<(Option<NaiveDate>, SeasonEvent)> {
        let (date, title, detail) = self.words_of(entry, measure)?;
        let observation = entry.read::<Observation>();
        let event = SeasonEvent {
            id: entry.key.clone(),
            kind: entry.kind.clone(),
            sort: observation
                .as_ref()
                .and_then(|o| o.sort.as_ref())
                .map_or_else(String::new, |sort| sort.word().to_owned()),
            date: date.map(day_text),
            title,
            detail,
            value: observation.as_ref().and_then(|o| o.value),
            photo: observation.as_ref().map_or_else(String::new, |o| o.photo.clone()),
            unit: observation.map_or_else(String::new, |o| o.unit),
            missing: form(&entry.kind).map_or_else(Vec::new, |f| f.missing(&entry.fields)),
        };
        Some((date, event))
    }

    fn words_of(
        &mut self,
        entry: &Entry,
        measure: Measure,
    ) -> Option<(Option<NaiveDate>, String, String)> {
        if let Some(sample) = entry.read::<Sample>() {
            let label = if sample.label.is_empty() { "unlabelled" } else { &sample.label };
            let depth = match (sample.from_mm, sample.to_mm) {
                (Some(from), Some(to)) => measure.reword(&format!("{from} to {to} mm")),
                _ => String::new(),
            };
            return Some((sample.date, format!("Sample {label}"), depth));
        }
        if let Some(panel) = entry.read::<Panel>() {
            let readings = counted(panel.reading.len(), "reading", "readings");
            return Some((panel.date, format!("Panel, {readings}"), panel.report));
        }
        if let Some(application) = entry.read::<Application>() {
            let material = if application.material.is_empty() {
                application.material_words
            } else {
                self.material_name(&application.material).unwrap_or(application.material)
            };
            let amount = match (application.amount_kg, application.amount_l) {
                (Some(kg), _) => measure.say(kg, "kg", 4),
                (None, Some(litres)) => measure.say(litres, "L", 4),
                (None, None) => String::new(),
            };
            return Some((application.date, material, amount));
        }
        if let Some(plan) = entry.read::<PlanRecord>() {
            let status = plan.status.as_ref().map_or("draft", |status| status.word()).to_owned();
            let visits = counted(plan.item.len(), "visit", "visits");
            return Some((plan.date, format!("Plan, {visits}"), status));
        }
        let observation = entry.read::<Observation>()?;
        let value = observation.value.map_or_else(String::new, |v| v.to_string());
        let title = match &observation.sort {
            Some(ObservationKind::Rating) => format!("{} rated {value}", observation.what),
            Some(ObservationKind::Spot) => {
                format!("{} {value} {}", observation.what, observation.unit)
            }
            Some(ObservationKind::Photo) => "Photo".to_owned(),
            _ => "Note".to_owned(),
        };
        let detail =
            if observation.note.is_empty() { observation.photo_name } else { observation.note };
        Some((observation.date, title.trim_end().to_owned(), detail))
    }
}
