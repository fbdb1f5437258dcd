//! What the lists need to know of a zone's journal without opening it.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};
use swardbook_journal::{
    Entry, Record as _,
    records::{Application, Observation, Panel, PlanRecord, PlanStatus, Sample},
};
use swardbook_units::NaiveDate;

use crate::record::form;

/// A record with its day.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub(crate) struct Dated {
    /// The day.
    pub(crate) date: NaiveDate,
    /// The record.
    pub(crate) id: String,
}

/// A sample without a panel.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Waiting {
    pub(crate) sample: String,
    pub(crate) label: String,
    pub(crate) pulled: Option<NaiveDate>,
    pub(crate) sent: Option<NaiveDate>,
    pub(crate) laboratory: String,
}

/// A visit of an accepted plan that nothing was put on for yet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct Due {
    pub(crate) plan: String,
    pub(crate) item: String,
    pub(crate) material: String,
    pub(crate) date: Option<NaiveDate>,
    pub(crate) dose_g_m2: f64,
}

/// The facts of one zone's journal.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub(crate) struct ZoneFacts {
    pub(crate) samples: u32,
    pub(crate) panels: u32,
    pub(crate) applications: u32,
    pub(crate) observations: u32,
    pub(crate) plans: u32,
    pub(crate) last_sample: Option<Dated>,
    pub(crate) last_panel: Option<Dated>,
    pub(crate) last_observation: Option<Dated>,
    /// Newest application of each material, which decides when the ground is clear.
    pub(crate) last_applied: BTreeMap<String, Dated>,
    pub(crate) waiting: Vec<Waiting>,
    pub(crate) due: Vec<Due>,
    /// Records with something still to fill in.
    pub(crate) unfinished: u32,
}

/// How an application without a listed material begins in [`ZoneFacts::last_applied`].
const UNLISTED: &str = "unlisted:";

/// What was put on, for telling materials apart: the listed material's id, or the form and the
/// person's words.
pub(crate) fn material_key(application: &Application) -> String {
    if application.material.is_empty() {
        let form = application.form.as_ref().map_or("", |form| form.word());
        format!("{UNLISTED}{form}:{}", application.material_words)
    } else {
        application.material.clone()
    }
}

/// Form and words of an unlisted material's key.
pub(crate) fn unlisted(key: &str) -> Option<(&str, &str)> {
    key.strip_prefix(UNLISTED)?.split_once(':')
}

/// Of two of one day, the one of the higher id, so that the order in which they came does not tell.
fn newest(slot: &mut Option<Dated>, date: Option<NaiveDate>, id: &str) {
    let found = date.map(|date| Dated { date, id: id.to_owned() });
    if *slot < found {
        *slot = found;
    }
}

impl ZoneFacts {
    /// The facts of a whole journal.
    pub(crate) fn of(entries: &[Entry]) -> Self {
        let mut facts = Self::default();
        // Gathered first, so that a journal of thousands of samples is gone through once.
        let (mut read, mut done) = (BTreeSet::new(), BTreeSet::new());
        for entry in entries {
            facts.count(entry);
            match entry.kind.as_str() {
                Panel::KIND => {
                    let sample = entry.read::<Panel>().and_then(|panel| panel.sample);
                    read.extend(sample.map(|id| id.to_string()));
                }
                Application::KIND => {
                    let application = entry.read::<Application>();
                    done.extend(application.and_then(|a| Some((a.plan?.to_string(), a.plan_item))));
                }
                _ => {}
            }
        }
        facts.waiting.retain(|waiting| !read.contains(&waiting.sample));
        facts.due.retain(|due| !done.contains(&(due.plan.clone(), due.item.clone())));
        facts.waiting.sort_by(|a, b| a.sample.cmp(&b.sample));
        facts
    }

    /// Whether the same things are due by both, on whatever day one looks.
    pub(crate) fn asks_the_same(&self, other: &Self) -> bool {
        self.due == other.due
            && self.waiting == other.waiting
            && self.last_sample == other.last_sample
            && self.last_applied == other.last_applied
            && self.unfinished.min(1) == other.unfinished.min(1)
    }

    /// Whether a new entry can be added without looking at the others.
    pub(crate) fn takes(entry: &Entry) -> bool {
        match entry.kind.as_str() {
            "sample" | "core" | "observation" | "measurement" => true,
            "application" => !entry.fields.contains_key("plan"),
            _ => false,
        }
    }

    /// Adds entries that [`Self::takes`].
    pub(crate) fn add(&mut self, entries: &[Entry]) {
        for entry in entries {
            self.count(entry);
        }
        self.waiting.sort_by(|a, b| a.sample.cmp(&b.sample));
    }

    fn count(&mut self, entry: &Entry) {
        if entry.voided().is_some() {
            return;
        }
        if form(&entry.kind).is_some_and(|form| !form.missing(&entry.fields).is_empty()) {
            self.unfinished += 1;
        }
        if let Some(sample) = entry.read::<Sample>() {
            self.samples += 1;
            newest(&mut self.last_sample, sample.date, &entry.key);
            self.waiting.push(Waiting {
                sample: entry.key.clone(),
                label: sample.label,
                pulled: sample.date,
                sent: sample.sent,
                laboratory: sample.laboratory.map_or_else(String::new, |id| id.to_string()),
            });
        } else if let Some(panel) = entry.read::<Panel>() {
            self.panels += 1;
            newest(&mut self.last_panel, panel.date, &entry.key);
        } else if let Some(application) = entry.read::<Application>() {
            self.applications += 1;
            let material = material_key(&application);
            if let Some(date) = application.date {
                let found = Dated { date, id: entry.key.clone() };
                let known = self.last_applied.entry(material).or_insert_with(|| found.clone());
                if *known < found {
                    *known = found;
                }
            }
        } else if let Some(observation) = entry.read::<Observation>() {
            self.observations += 1;
            newest(&mut self.last_observation, observation.date, &entry.key);
        } else if let Some(plan) = entry.read::<PlanRecord>() {
            self.plans += 1;
            if plan.status == Some(PlanStatus::Accepted) {
                self.due.extend(plan.item.into_iter().map(|(item, visit)| Due {
                    plan: entry.key.clone(),
                    item,
                    material: visit.material,
                    date: visit.date,
                    dose_g_m2: visit.dose_g_m2.unwrap_or_default(),
                }));
            }
        }
    }
}
