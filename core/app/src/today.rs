//! What is due across the whole notebook.

#[cfg(test)]
mod tests;

use std::collections::{BTreeMap, btree_map::Entry};

use serde::{Deserialize, Serialize};
use swardbook_journal::records::Settings;
use swardbook_units::{Id, NaiveDate};
use ts_rs::TS;

use crate::{
    Code, Measure, Notebook, Problem,
    dto::day_text,
    notebook::{DueList, What, ZoneFacts, ZoneRow, asks},
    sampling::Clear,
};

/// One thing to do.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct DueView {
    /// `visit`, `panel`, `post`, `sample`, `clear` or `unfinished`.
    pub what: String,
    /// The day; none where it has none.
    pub date: Option<String>,
    /// Whether that day has passed.
    pub late: bool,
    /// The zone.
    pub zone: String,
    /// Its name.
    pub zone_name: String,
    /// Its property's name.
    pub property_name: String,
    /// What to do, in one sentence.
    pub sentence: String,
    /// The record it is about; empty where it is about the zone.
    pub record: String,
    /// The visit of a plan it is about; empty otherwise.
    pub item: String,
}

/// How much of it to show.
#[derive(Debug, Clone, Default, Deserialize, TS)]
pub struct TodayRequest {
    /// At most so many things, the most pressing; 100 when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<u32>")]
    pub most: Option<u32>,
}

/// What is due.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct TodayView {
    /// The day here.
    pub today: String,
    /// What to do, the most pressing first.
    pub due: Vec<DueView>,
    /// Things due beyond those shown.
    pub more: u32,
    /// Zones.
    pub zones: u32,
    /// Zones that are clear to sample today.
    pub clear_zones: u32,
}

/// Things shown where nobody asked for more.
const USUALLY_SHOWN: u32 = 100;

impl Notebook {
    /// What is due across the notebook.
    ///
    /// It reads what it shows and opens no zone's journal.
    ///
    /// # Errors
    /// [`Problem`]
    pub fn due_today(&mut self, request: &TodayRequest) -> Result<TodayView, Problem> {
        if self.lists_are_stale()? {
            return Err(Problem::new(
                Code::ReadOnly,
                "what is due was listed by another version of the program; open the notebook for \
                 writing once, and it is listed anew",
            ));
        }
        let today = self.today();
        let settings = self.settings_record()?;
        let most = usize::try_from(request.most.unwrap_or(USUALLY_SHOWN)).unwrap_or(usize::MAX);
        let DueList { shown, more, zones, clear_zones } = self.due_on(today, most)?;
        let mut known: BTreeMap<Id, Known> = BTreeMap::new();
        let mut properties: BTreeMap<String, String> = BTreeMap::new();
        let mut due = Vec::new();
        for (date, key) in shown {
            if let Entry::Vacant(unknown) = known.entry(key.zone) {
                unknown.insert(self.known(key.zone, &settings, today)?);
            }
            let zone = &known[&key.zone];
            let what = zone.asks.get(usize::from(key.at)).ok_or_else(|| behind(&zone.row.name))?;
            if !properties.contains_key(&zone.row.property) {
                let row = zone.row.property.parse().ok().map(|id| self.property_row(id));
                let name = row.transpose()?.flatten().map_or_else(String::new, |row| row.name);
                properties.insert(zone.row.property.clone(), name);
            }
            let said = self.say(what, zone, Measure::of(&settings))?;
            due.push(DueView {
                what: said.what.to_owned(),
                date: date.map(day_text),
                late: *what != What::Clear && date.is_some_and(|date| date < today),
                zone: zone.row.id.clone(),
                zone_name: zone.row.name.clone(),
                property_name: properties[&zone.row.property].clone(),
                sentence: said.sentence,
                record: said.record,
                item: said.item,
            });
        }
        Ok(TodayView { today: day_text(today), due, more, zones, clear_zones })
    }

    /// What the lists know of a zone of which something is shown.
    fn known(&mut self, id: Id, settings: &Settings, today: NaiveDate) -> Result<Known, Problem> {
        let row = self.zone_row(id)?.ok_or_else(|| behind(&id.to_string()))?;
        let facts = self.zone_facts(id)?;
        let clear = self.clear_of(&facts, settings, today)?;
        let asks = asks(&facts, row.missing, clear.day);
        Ok(Known { row, facts, clear, asks })
    }

    fn say(&mut self, what: &What, zone: &Known, measure: Measure) -> Result<Said, Problem> {
        let Known { row, facts, clear, .. } = zone;
        let said = |what, sentence: String| Said {
            what,
            sentence,
            record: String::new(),
            item: String::new(),
        };
        let of_sample = |what, at: usize, sentence: &dyn Fn(&str) -> String| {
            let waiting = facts.waiting.get(at).ok_or_else(|| behind(&row.name))?;
            let sentence = sentence(&named(&waiting.label));
            Ok(Said { record: waiting.sample.clone(), ..said(what, sentence) })
        };
        match what {
            What::Visit(at) => {
                let visit = facts.due.get(*at).ok_or_else(|| behind(&row.name))?;
                let material =
                    self.material_name(&visit.material).unwrap_or_else(|| visit.material.clone());
                let amount = match row.area_m2 {
                    Some(area) => measure.say(area * visit.dose_g_m2 / 1000.0, "kg", 3),
                    None => measure.say(visit.dose_g_m2, "g/m2", 3),
                };
                let sentence = format!("Put on {amount} of {}.", material.to_lowercase());
                let (record, item) = (visit.plan.clone(), visit.item.clone());
                Ok(Said { record, item, ..said("visit", sentence) })
            }
            What::Panel(at) => {
                of_sample("panel", *at, &|sample| format!("The panel of {sample} is due back."))
            }
            What::Post(at) => {
                of_sample("post", *at, &|sample| format!("Post {sample} to the laboratory."))
            }
            What::Cores(at) => of_sample("sample", *at, &|sample| {
                format!("Pull the cores of {sample}. {}", clear.sentence)
            }),
            What::Never => Ok(said("sample", format!("Never sampled. {}", clear.sentence))),
            What::Again => {
                let last = facts.last_sample.as_ref().ok_or_else(|| behind(&row.name))?;
                let sentence = format!(
                    "Sample again: the last was {}, three years or more ago. {}",
                    last.date, clear.sentence
                );
                Ok(said("sample", sentence))
            }
            What::Clear => Ok(said("clear", clear.sentence.clone())),
            What::Unfinished => {
                let unfinished = facts.unfinished + u32::from(row.missing > 0);
                let things = if unfinished == 1 { "record has" } else { "records have" };
                Ok(said("unfinished", format!("{unfinished} {things} something to fill in.")))
            }
        }
    }
}

/// A zone of which something is shown.
struct Known {
    row: ZoneRow,
    facts: ZoneFacts,
    clear: Clear,
    asks: Vec<What>,
}

/// One thing to do in words.
struct Said {
    what: &'static str,
    sentence: String,
    record: String,
    item: String,
}

/// The list names something that the zone does not ask for.
fn behind(zone: &str) -> Problem {
    Problem::new(
        Code::Damaged,
        format!("the list of what is due does not fit zone {zone}; open the notebook once more"),
    )
}

fn named(label: &str) -> String {
    if label.is_empty() { "the unlabelled sample".to_owned() } else { format!("sample {label}") }
}
