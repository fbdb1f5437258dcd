//! What is due across the whole notebook.

use serde::{Deserialize, Serialize};
use swardbook_units::{Id, NaiveDate};
use ts_rs::TS;

use crate::{Measure, Notebook, Problem, dto::day_text};

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

/// Months after which a zone is sampled again.
///
/// # Source `penn-state-lawn-notes`: every three years by default.
const RETEST_MONTHS: u32 = 36;
/// Days in which a laboratory usually reports, where it does not say; common practice, no source.
const USUAL_TURNAROUND: i64 = 24;
/// Days before and after which a zone's becoming clear is worth a line.
const CLEAR_AHEAD: u64 = 30;
const CLEAR_SINCE: u64 = 14;
/// Things shown where nobody asked for more.
const USUALLY_SHOWN: u32 = 100;

impl Notebook {
    /// What is due across the notebook.
    ///
    /// It reads one short row of the lists for each zone and opens no zone's journal.
    ///
    /// # Errors
    /// [`Problem`]
    pub fn due_today(&mut self, request: &TodayRequest) -> Result<TodayView, Problem> {
        let today = self.today();
        let settings = self.settings_record()?;
        let measure = Measure::of(&settings);
        let names: std::collections::BTreeMap<String, String> =
            self.property_rows()?.into_iter().map(|row| (row.id, row.name)).collect();
        let rows = self.zone_rows(None)?;
        let zones = u32::try_from(rows.len()).unwrap_or(u32::MAX);
        let mut clear_zones = 0;
        let mut due: Vec<(Option<NaiveDate>, DueView)> = Vec::new();
        for row in rows {
            let Ok(id) = row.id.parse::<Id>() else { continue };
            let facts = self.zone_facts(id)?;
            let clear = self.clear_of(&facts, &settings, today)?;
            if clear.day.is_none_or(|day| day <= today) {
                clear_zones += 1;
            }
            let mut say = |what: &str,
                           date: Option<NaiveDate>,
                           sentence: String,
                           record: &str,
                           item: &str| {
                due.push((
                    date,
                    DueView {
                        what: what.to_owned(),
                        date: date.map(day_text),
                        late: what != "clear" && date.is_some_and(|date| date < today),
                        zone: row.id.clone(),
                        zone_name: row.name.clone(),
                        property_name: names.get(&row.property).cloned().unwrap_or_default(),
                        sentence,
                        record: record.to_owned(),
                        item: item.to_owned(),
                    },
                ));
            };
            for visit in &facts.due {
                let material =
                    self.material_name(&visit.material).unwrap_or_else(|| visit.material.clone());
                let amount = match row.area_m2 {
                    Some(area) => measure.say(area * visit.dose_g_m2 / 1000.0, "kg", 3),
                    None => measure.say(visit.dose_g_m2, "g/m2", 3),
                };
                let sentence = format!("Put on {amount} of {}.", material.to_lowercase());
                say("visit", visit.date, sentence, &visit.plan, &visit.item);
            }
            for waiting in &facts.waiting {
                match (waiting.pulled, waiting.sent) {
                    (_, Some(sent)) => {
                        let back = sent + chrono::Days::new(USUAL_TURNAROUND.unsigned_abs());
                        let sentence =
                            format!("The panel of {} is due back.", named(&waiting.label));
                        say("panel", Some(back), sentence, &waiting.sample, "");
                    }
                    (Some(pulled), None) => {
                        let sentence = format!("Post {} to the laboratory.", named(&waiting.label));
                        say("post", Some(pulled), sentence, &waiting.sample, "");
                    }
                    (None, None) => {
                        let sentence = format!(
                            "Pull the cores of {}. {}",
                            named(&waiting.label),
                            clear.sentence
                        );
                        say(
                            "sample",
                            clear.day.filter(|day| *day > today),
                            sentence,
                            &waiting.sample,
                            "",
                        );
                    }
                }
            }
            match &facts.last_sample {
                None if facts.waiting.is_empty() => {
                    let sentence = format!("Never sampled. {}", clear.sentence);
                    say("sample", clear.day.filter(|day| *day > today), sentence, "", "");
                }
                Some(last) => {
                    let again = last.date.checked_add_months(chrono::Months::new(RETEST_MONTHS));
                    let near = clear.day.filter(|day| {
                        (back(today, CLEAR_SINCE)..=ahead(today, CLEAR_AHEAD)).contains(day)
                    });
                    if again.is_some_and(|again| again <= today) {
                        let sentence = format!(
                            "Sample again: the last was {}, three years or more ago. {}",
                            last.date, clear.sentence
                        );
                        say("sample", again, sentence, "", "");
                    } else if facts.waiting.is_empty()
                        && let Some(day) = near
                    {
                        say("clear", Some(day), clear.sentence.clone(), "", "");
                    }
                }
                None => {}
            }
            let unfinished = facts.unfinished + u32::from(row.missing > 0);
            if unfinished > 0 {
                let things = if unfinished == 1 { "record has" } else { "records have" };
                say(
                    "unfinished",
                    None,
                    format!("{unfinished} {things} something to fill in."),
                    "",
                    "",
                );
            }
        }
        let most = usize::try_from(request.most.unwrap_or(USUALLY_SHOWN)).unwrap_or(usize::MAX);
        // Dated things by day; what has no day comes last.
        due.sort_by(|a, b| match (a.0, b.0) {
            (Some(x), Some(y)) => x.cmp(&y),
            (Some(_), None) => std::cmp::Ordering::Less,
            (None, Some(_)) => std::cmp::Ordering::Greater,
            (None, None) => std::cmp::Ordering::Equal,
        });
        let more = u32::try_from(due.len().saturating_sub(most)).unwrap_or(u32::MAX);
        due.truncate(most);
        Ok(TodayView {
            more,
            today: day_text(today),
            due: due.into_iter().map(|(_, view)| view).collect(),
            zones,
            clear_zones,
        })
    }
}

fn ahead(day: NaiveDate, days: u64) -> NaiveDate {
    day.checked_add_days(chrono::Days::new(days)).unwrap_or(day)
}

fn back(day: NaiveDate, days: u64) -> NaiveDate {
    day.checked_sub_days(chrono::Days::new(days)).unwrap_or(day)
}

fn named(label: &str) -> String {
    if label.is_empty() { "the unlabelled sample".to_owned() } else { format!("sample {label}") }
}
