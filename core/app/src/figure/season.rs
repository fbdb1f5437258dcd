//! The season line of a zone.

use std::collections::HashMap;

use serde::Deserialize;
use swardbook_journal::records::{Observation, ObservationKind, Property};
use swardbook_report::season::{
    Card, ClearWindow, Renovation, SeasonEvent as Mark, SeasonRows, Span, Stage, Track, What, draw,
};
use swardbook_units::{Datelike, NaiveDate};
use ts_rs::TS;

use super::{FigureLook, FigureView, ask::raised};
use crate::{Notebook, Problem, dto::counted, notebook::zone_document, season::SeasonEvent};

/// Which season to draw.
#[derive(Debug, Clone, Default, Deserialize, TS)]
pub struct SeasonFigureRequest {
    /// The zone.
    pub zone: String,
    /// First day; the first of the newest two seasons when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub from: Option<String>,
    /// Last day.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub until: Option<String>,
    /// Width and theme.
    #[serde(flatten)]
    pub look: FigureLook,
}

impl Notebook {
    /// Draws a zone's season line.
    ///
    /// # Errors
    /// [`Problem`] naming the field.
    pub fn season_figure(&mut self, request: &SeasonFigureRequest) -> Result<FigureView, Problem> {
        let zone = self.find_zone("zone", &request.zone)?;
        let row = self.zone_row(zone)?.expect("found by its row");
        let look = self.look("season", &request.look)?;
        let events = self.season(zone)?;
        let today = self.today();
        let settings = self.settings_record()?;
        let facts = self.zone_facts(zone)?;
        let clear = self.clear_of(&facts, &settings, today)?;
        let (_, property) = self.typed::<Property>("property", &row.property)?;
        let dated: Vec<(NaiveDate, &SeasonEvent)> = events
            .iter()
            .filter_map(|event| {
                let day = swardbook_units::parse_date(event.date.as_deref()?).ok()?;
                Some((day, event))
            })
            .collect();
        let spans = spans(request, &dated, today)?;
        let raters = self.raters(zone)?;
        let evidence = self.photos_of_evidence(zone)?;
        let samples = first_and_last(&dated, "sample");
        let panels = first_and_last(&dated, "panel");
        let marks = dated
            .iter()
            .map(|(day, event)| Mark {
                id: event.id.clone(),
                date: *day,
                what: match event.sort.as_str() {
                    "photo" if evidence.contains(&event.id) => What::Photo(Card::Corrected),
                    _ => what(event, &samples, &panels, &raters),
                },
                label: label(event),
                detail: raised(&detail(event)),
            })
            .collect();
        let rows = SeasonRows {
            title: format!("Season of the {}", row.name),
            spans,
            today: Some(today),
            renovations: property
                .renovation_day
                .map(|date| Renovation {
                    id: row.property.clone(),
                    date,
                    label: "renovation".to_owned(),
                })
                .into_iter()
                .collect(),
            clear: clear
                .day
                .map(|first| ClearWindow {
                    first,
                    last: None,
                    reason: look.words.with_dates(clear.sentence.trim_end_matches('.')),
                })
                .into_iter()
                .collect(),
            events: photos_by_day(marks),
        };
        Ok(draw(&rows, &look)?.into())
    }

    /// Who rated, by the observation.
    fn raters(
        &mut self,
        zone: swardbook_units::Id,
    ) -> Result<std::collections::BTreeMap<String, String>, Problem> {
        Ok(self
            .document(zone_document(zone))?
            .entries()
            .iter()
            .filter_map(|entry| {
                let observation = entry.read::<Observation>()?;
                (observation.sort == Some(ObservationKind::Rating))
                    .then(|| (entry.key.clone(), observation.rater))
            })
            .collect())
    }
}

/// Photos of one day, alike in whether a card corrects them, are one mark, which leads to the first of
/// them: a zone may have thousands, and each stands in the place of photos.
fn photos_by_day(marks: Vec<Mark>) -> Vec<Mark> {
    let mut days: HashMap<(NaiveDate, Card), (usize, u32)> = HashMap::new();
    let mut kept: Vec<Mark> = Vec::with_capacity(marks.len());
    for mark in marks {
        if let What::Photo(card) = mark.what {
            let (_, count) = days.entry((mark.date, card)).or_insert((kept.len(), 0));
            *count += 1;
            if *count > 1 {
                continue;
            }
        }
        kept.push(mark);
    }
    for (at, count) in days.into_values().filter(|(_, count)| *count > 1) {
        kept[at].detail = counted(count, "photo", "photos");
    }
    kept
}

/// Strips of twelve months up to today: as many as were asked, at least one, at most ten.
fn spans(
    request: &SeasonFigureRequest,
    dated: &[(NaiveDate, &SeasonEvent)],
    today: NaiveDate,
) -> Result<Vec<Span>, Problem> {
    let parse = |field: &str, text: &str| {
        swardbook_units::parse_date(text).map_err(|e| Problem::bad(field, format!("{field}: {e}")))
    };
    let newest = dated.iter().map(|(day, _)| *day).max().map_or(today, |day| day.max(today));
    let last = match &request.until {
        Some(text) => parse("until", text)?,
        // To the end of the month, so that the newest mark is not at the edge.
        None => end_of_month(newest),
    };
    let first = match &request.from {
        Some(text) => parse("from", text)?,
        None => back_a_year(last),
    };
    if first > last {
        return Err(Problem::bad("until", format!("until {last} lies before from {first}")));
    }
    let mut spans = Vec::new();
    let mut end = last;
    while spans.len() < MOST_STRIPS {
        let begin = back_a_year(end).max(first);
        spans.push(Span { name: span_name(begin, end), first: begin, last: end });
        if begin <= first {
            break;
        }
        end = begin.pred_opt().unwrap_or(begin);
    }
    spans.reverse();
    Ok(spans)
}

/// The year or years a strip lies in.
fn span_name(first: NaiveDate, last: NaiveDate) -> String {
    if first.year() == last.year() {
        return first.year().to_string();
    }
    format!("{}-{:02}", first.year(), last.year().rem_euclid(100))
}

/// Strips of one drawing.
const MOST_STRIPS: usize = 12;

fn end_of_month(day: NaiveDate) -> NaiveDate {
    let first = day.with_day(1).unwrap_or(day);
    first.checked_add_months(chrono::Months::new(1)).and_then(|next| next.pred_opt()).unwrap_or(day)
}

/// The first day of the twelve months that end on this day.
fn back_a_year(day: NaiveDate) -> NaiveDate {
    day.checked_sub_months(chrono::Months::new(12)).and_then(|d| d.succ_opt()).unwrap_or(day)
}

/// Ids of the first and the last record of a kind, where there are two.
fn first_and_last(dated: &[(NaiveDate, &SeasonEvent)], kind: &str) -> Option<(String, String)> {
    let of = || dated.iter().filter(|(_, event)| event.kind == kind);
    let first = of().min_by_key(|(day, _)| *day)?;
    let last = of().max_by_key(|(day, _)| *day)?;
    (first.1.id != last.1.id).then(|| (first.1.id.clone(), last.1.id.clone()))
}

fn stage(event: &SeasonEvent, pair: Option<&(String, String)>) -> Stage {
    match pair {
        Some((first, _)) if *first == event.id => Stage::Before,
        Some((_, last)) if *last == event.id => Stage::After,
        _ => Stage::Alone,
    }
}

fn what(
    event: &SeasonEvent,
    samples: &Option<(String, String)>,
    panels: &Option<(String, String)>,
    raters: &std::collections::BTreeMap<String, String>,
) -> What {
    match (event.kind.as_str(), event.sort.as_str()) {
        ("sample", _) => What::Sample(stage(event, samples.as_ref())),
        ("panel", _) => What::Panel(stage(event, panels.as_ref())),
        ("application", _) => What::Application,
        (_, "rating") => match event.value.filter(|value| (1.0..=9.0).contains(value)) {
            Some(value) => What::Rating {
                value,
                track: Track::Whole,
                rater: raters.get(&event.id).cloned().unwrap_or_default(),
            },
            None => What::Note,
        },
        (_, "photo") => What::Photo(Card::Uncorrected),
        (_, "spot") => What::SpotReading,
        _ => What::Note,
    }
}

fn label(event: &SeasonEvent) -> String {
    match event.kind.as_str() {
        "application" => event.title.to_lowercase(),
        "plan" => "plan".to_owned(),
        "sample" => "cores".to_owned(),
        "panel" => "panel".to_owned(),
        _ => String::new(),
    }
}

fn detail(event: &SeasonEvent) -> String {
    [event.title.as_str(), event.detail.as_str()]
        .into_iter()
        .filter(|part| !part.is_empty())
        .collect::<Vec<_>>()
        .join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn photo(id: &str, day: u32, card: Card) -> Mark {
        Mark {
            id: id.to_owned(),
            date: NaiveDate::from_ymd_opt(2026, 3, day).expect("a day"),
            what: What::Photo(card),
            label: String::new(),
            detail: format!("photo {id}"),
        }
    }

    #[test]
    fn photos_of_a_day_are_one_mark_each_kind() {
        let marks = photos_by_day(vec![
            photo("a", 1, Card::Corrected),
            photo("b", 1, Card::Uncorrected),
            photo("c", 1, Card::Corrected),
            photo("d", 2, Card::Corrected),
        ]);
        let told: Vec<_> = marks.iter().map(|mark| (&*mark.id, &*mark.detail)).collect();
        assert_eq!(told, [("a", "2 photos"), ("b", "photo b"), ("d", "photo d")]);
    }
}
