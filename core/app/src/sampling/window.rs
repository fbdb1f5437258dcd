//! Whether a zone is clear to sample, and whether the panel comes before the renovation day.

use serde::{Deserialize, Serialize};
use swardbook_agronomy::{
    materials::find_material,
    sampling::{
        calendar::{CalendarQuestion, Span, Steps, calendar},
        clear_date::{ApplicationKind, PastApplication, Wait, Withholding, clear_date},
    },
};
use swardbook_journal::records::{Laboratory, Property, Settings};
use swardbook_units::NaiveDate;
use ts_rs::TS;

use crate::{
    Notebook, Problem,
    dto::{WorkingDto, day_text},
    material::application_kind,
    notebook::{ZoneFacts, unlisted},
};

/// Which zone, seen from which day.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct WindowRequest {
    /// Id, name, or `property / zone`.
    pub zone: String,
    /// The day somebody would sample; today when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub day: Option<String>,
    /// The renovation day; the property's when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub renovation_day: Option<String>,
    /// The laboratory whose turnaround counts, by id or name.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub laboratory: Option<String>,
}

/// One application that the ground has to be clear of.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct WaitView {
    /// What was put on.
    pub what: String,
    /// When, last.
    pub day: String,
    /// Clear of it from.
    pub clear: String,
    /// The rule in words.
    pub why: String,
    /// Whether this one rules.
    pub rules: bool,
}

/// Backwards from the renovation day.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct CalendarView {
    /// The renovation day.
    pub renovation: String,
    /// Latest day for the sample.
    pub latest_sample: String,
    /// Latest day for the panel.
    pub latest_panel: String,
    /// Latest day for the order.
    pub latest_order: String,
    /// Days to spare; below zero, days missing.
    pub slack_days: i32,
    /// What can be done where the days do not suffice.
    pub choices: Vec<String>,
    /// How it came about.
    pub working: WorkingDto,
}

/// Whether a zone is clear to sample.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct WindowView {
    /// The zone.
    pub zone: String,
    /// Its name.
    pub zone_name: String,
    /// Clear from this day; none where nothing was put on.
    pub clear_day: Option<String>,
    /// Whether it is clear on the day asked.
    pub is_clear: bool,
    /// The answer in one sentence, with its reason.
    pub sentence: String,
    /// What it has to be clear of.
    pub waits: Vec<WaitView>,
    /// How it came about.
    pub working: WorkingDto,
    /// The calendar, where there is a renovation day to come.
    pub calendar: Option<CalendarView>,
    /// Why there is no calendar, where a renovation day was given.
    pub calendar_refused: String,
}

/// A zone's clear day in short, for lists.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Clear {
    pub(crate) day: Option<NaiveDate>,
    pub(crate) sentence: String,
}

impl Notebook {
    /// Whether a zone is clear to sample.
    ///
    /// # Errors
    /// [`Problem`] naming the field.
    pub fn sampling_window(&mut self, request: &WindowRequest) -> Result<WindowView, Problem> {
        let zone = self.find_zone("zone", &request.zone)?;
        let row = self.zone_row(zone)?.expect("found by its row");
        let day = match &request.day {
            Some(text) => swardbook_units::parse_date(text)
                .map_err(|e| Problem::bad("day", format!("day: {e}")))?,
            None => self.today(),
        };
        let settings = self.settings_record()?;
        let facts = self.zone_facts(zone)?;
        let past = self.past_applications(&facts, &settings);
        let worked = clear_date(&past)?;
        let found = &worked.value;
        let waits = past
            .iter()
            .zip(&found.each)
            .enumerate()
            .map(|(at, (put_on, clear))| WaitView {
                what: put_on.what.clone(),
                day: day_text(put_on.day),
                clear: day_text(*clear),
                why: put_on.withholding.why.clone(),
                rules: found.ruled_by == Some(at),
            })
            .collect();
        let (calendar, calendar_refused) = self.calendar(&row.property, request, day, found.day)?;
        Ok(WindowView {
            zone: row.id,
            zone_name: row.name,
            clear_day: found.day.map(day_text),
            is_clear: found.is_clear_on(day),
            sentence: sentence(&past, found.day, found.ruled_by, day),
            waits,
            working: WorkingDto::from(&worked.working),
            calendar,
            calendar_refused,
        })
    }

    /// A zone's clear day from what the lists know of it.
    pub(crate) fn clear_of(
        &mut self,
        facts: &ZoneFacts,
        settings: &Settings,
        day: NaiveDate,
    ) -> Result<Clear, Problem> {
        let past = self.past_applications(facts, settings);
        let found = clear_date(&past)?.value;
        Ok(Clear { day: found.day, sentence: sentence(&past, found.day, found.ruled_by, day) })
    }

    /// The day a zone is clear; none where nothing was put on.
    pub(crate) fn clear_day(
        &mut self,
        facts: &ZoneFacts,
        settings: &Settings,
    ) -> Result<Option<NaiveDate>, Problem> {
        let past = self.past_applications(facts, settings);
        Ok(clear_date(&past)?.value.day)
    }

    fn past_applications(
        &mut self,
        facts: &ZoneFacts,
        settings: &Settings,
    ) -> Vec<PastApplication> {
        facts
            .last_applied
            .iter()
            .map(|(material, dated)| {
                let (what, kind) = self.kind_of_material(material);
                let mut past = PastApplication::with_default_wait(&what, dated.date, kind);
                let own = match kind {
                    ApplicationKind::Granular => settings.granular_days,
                    ApplicationKind::Liquid => settings.liquid_days,
                    _ => None,
                };
                if let Some(days) = own.and_then(|days| u32::try_from(days).ok()) {
                    past.withholding =
                        Withholding::given(Wait::Days(days), "the notebook's own setting");
                }
                past
            })
            .collect()
    }

    pub(crate) fn kind_of_material(&mut self, material: &str) -> (String, ApplicationKind) {
        if let Some((form, words)) = unlisted(material) {
            let kind = match form {
                "liquid" => ApplicationKind::Liquid,
                _ => ApplicationKind::Granular,
            };
            let words = if words.is_empty() { "a material without a name" } else { words };
            return (words.to_owned(), kind);
        }
        if let Some(known) = find_material(material) {
            return (known.name.clone(), application_kind(known));
        }
        match self.material_by_id(material) {
            Ok(own) => {
                let kind = application_kind(&own);
                (own.name, kind)
            }
            // Taken away or of a newer version: wait as long as for a granular feed.
            Err(_) => (material.to_owned(), ApplicationKind::Granular),
        }
    }

    fn calendar(
        &mut self,
        property: &str,
        request: &WindowRequest,
        today: NaiveDate,
        clear: Option<NaiveDate>,
    ) -> Result<(Option<CalendarView>, String), Problem> {
        let renovation = match &request.renovation_day {
            Some(text) => Some(
                swardbook_units::parse_date(text)
                    .map_err(|e| Problem::bad("renovation_day", format!("renovation_day: {e}")))?,
            ),
            None => {
                let (_, property) = self.typed::<Property>("property", property)?;
                property.renovation_day.filter(|day| *day >= today)
            }
        };
        let Some(renovation) = renovation else { return Ok((None, String::new())) };
        let mut steps = Steps::usual();
        if let Some(name) = &request.laboratory {
            let id = self.find_record("laboratory", "laboratory", name, None)?;
            let (_, laboratory) = self.typed::<Laboratory>("laboratory", &id)?;
            let days = |days: Option<i64>| days.and_then(|days| u32::try_from(days).ok());
            if let Some(days) = days(laboratory.turnaround_days) {
                steps.laboratory = Span::given(days);
            }
            if let Some(days) = days(laboratory.post_days) {
                steps.posting = Span::given(days);
            }
        }
        let asked = CalendarQuestion { renovation, today, clear, steps };
        Ok(match calendar(&asked) {
            Ok(worked) => {
                let found = worked.value;
                let view = CalendarView {
                    renovation: day_text(found.renovation),
                    latest_sample: day_text(found.latest),
                    latest_panel: day_text(found.panel),
                    latest_order: day_text(found.order),
                    slack_days: i32::try_from(found.slack_days).unwrap_or(i32::MIN),
                    choices: found.choices.iter().map(|choice| choice.words()).collect(),
                    working: WorkingDto::from(&worked.working),
                };
                (Some(view), String::new())
            }
            Err(error) => (None, error.to_string()),
        })
    }
}

fn sentence(
    past: &[PastApplication],
    clear: Option<NaiveDate>,
    ruled_by: Option<usize>,
    day: NaiveDate,
) -> String {
    match (clear, ruled_by) {
        (Some(clear), Some(at)) => {
            let what = &past[at].what;
            let put_on = past[at].day;
            if clear <= day {
                format!(
                    "Clear to sample since {clear}: the last to wait for was {what} on {put_on}."
                )
            } else {
                format!("Clear to sample from {clear}: {what} went on {put_on}.")
            }
        }
        _ => "Clear to sample: nothing is recorded as put on.".to_owned(),
    }
}
