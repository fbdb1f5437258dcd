//! Colour or cover of a zone over time.

use serde::Deserialize;
use swardbook_journal::records::Application;
use swardbook_report::series::{
    Card, SeriesApplication, SeriesBar, SeriesContext, SeriesLine, SeriesPoint, SeriesRows, Span,
    Track, draw,
};
use swardbook_units::{Id, NaiveDate};
use ts_rs::TS;

use super::{FigureLook, FigureView};
use crate::{
    Notebook, Problem,
    album::{OccasionView, Quantity, SeriesRequest, SeriesView, growth_bars},
    notebook::zone_document,
};

/// Which photos to draw.
#[derive(Debug, Clone, Default, Deserialize, TS)]
pub struct PhotosFigureRequest {
    /// The zone.
    pub zone: String,
    /// `index` or `cover`; `index` when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub quantity: Option<String>,
    /// First day; that of the first photo when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub from: Option<String>,
    /// Last day; today when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub until: Option<String>,
    /// Width and theme.
    #[serde(flatten)]
    pub look: FigureLook,
}

impl Notebook {
    /// Draws colour or cover over time: evidence filled with its interval, photos without a card
    /// or with a flag hollow, applications below, growth potential where temperatures are known.
    ///
    /// # Errors
    /// [`Problem`] naming the field.
    pub fn photos_figure(&mut self, request: &PhotosFigureRequest) -> Result<FigureView, Problem> {
        let quantity = Quantity::of(request.quantity.as_deref())?;
        let series = self.photo_series(&SeriesRequest {
            zone: request.zone.clone(),
            quantity: request.quantity.clone(),
        })?;
        let zone: Id = series.zone.parse().map_err(|_| Problem::bad("zone", "no zone's id"))?;
        let span = self.photo_span(request, &series)?;
        let percent = if quantity == Quantity::Cover { 100.0 } else { 1.0 };
        let point = |day: &OccasionView| -> Option<SeriesPoint> {
            let photos = day.photos.len();
            let mut detail = if photos > 1 { format!("{photos} photos") } else { String::new() };
            if !day.is_evidence {
                detail = format!("no evidence: {}", day.why_not.join("; "));
            }
            Some(SeriesPoint {
                id: day.photos.first().cloned().unwrap_or_default(),
                date: swardbook_units::parse_date(&day.date).ok()?,
                value: percent * day.value,
                shown: quantity.shown(day.value).trim_end_matches(" %").to_owned(),
                interval: day.low.zip(day.high).map(|(low, high)| (percent * low, percent * high)),
                card: if day.is_evidence { Card::Corrected } else { Card::Uncorrected },
                detail,
            })
        };
        let mut lines: Vec<SeriesLine> = series
            .lines
            .iter()
            .map(|line| SeriesLine {
                name: line.name.clone(),
                track: track(&line.strip),
                points: line.occasions.iter().filter_map(point).collect(),
            })
            .collect();
        if !series.hollow.is_empty() {
            lines.push(SeriesLine {
                name: "no evidence".to_owned(),
                track: Track::Whole,
                points: series.hollow.iter().filter_map(point).collect(),
            });
        }
        let mut bars = growth_bars(&series.growth);
        bars.retain(|(first, ..)| span.holds(*first));
        let rows = SeriesRows {
            title: format!("{} of the {}", quantity.words(), series.zone_name),
            quantity: quantity.words().to_lowercase(),
            unit: if quantity == Quantity::Cover { "%".to_owned() } else { String::new() },
            span,
            least_span: 0.1 * percent,
            lines,
            applications: self.put_down(zone)?,
            context: (!bars.is_empty()).then(|| SeriesContext {
                name: "growth potential".to_owned(),
                detail: "from mean air temperature alone, 0 to 1".to_owned(),
                bars: bars
                    .into_iter()
                    .map(|(first, last, share, mean)| SeriesBar {
                        first,
                        last,
                        share,
                        shown: format!("{share:.2}"),
                        detail: format!("mean {mean:.1} \u{b0}C"),
                    })
                    .collect(),
            }),
        };
        let look = self.look("photos", &request.look)?;
        Ok(draw(&rows, &look)?.into())
    }

    fn photo_span(
        &self,
        request: &PhotosFigureRequest,
        series: &SeriesView,
    ) -> Result<Span, Problem> {
        let parse = |field: &str, text: &str| {
            swardbook_units::parse_date(text)
                .map_err(|e| Problem::bad(field, format!("{field}: {e}")))
        };
        let days = series
            .lines
            .iter()
            .flat_map(|line| &line.occasions)
            .chain(&series.hollow)
            .filter_map(|day| swardbook_units::parse_date(&day.date).ok());
        let first = days.clone().min();
        let last = match &request.until {
            Some(text) => parse("until", text)?,
            None => days.max().map_or_else(|| self.today(), |day| day.max(self.today())),
        };
        let earlier = |day: NaiveDate, days: u64| {
            day.checked_sub_days(chrono::Days::new(days)).unwrap_or(day)
        };
        let first = match &request.from {
            Some(text) => parse("from", text)?,
            // A little before the first photo, so that what led to it is in sight.
            None => first.map_or_else(|| earlier(last, 365), |day| earlier(day, 14)),
        };
        if first > last {
            return Err(Problem::bad("until", format!("until {last} lies before from {first}")));
        }
        Ok(Span { name: format!("{first} to {last}"), first, last })
    }

    fn put_down(&mut self, zone: Id) -> Result<Vec<SeriesApplication>, Problem> {
        let entries = self.document(zone_document(zone))?.entries();
        let mut put_down = Vec::new();
        for entry in entries.iter().filter(|entry| entry.voided().is_none()) {
            let Some(application) = entry.read::<Application>() else { continue };
            let Some(date) = application.date else { continue };
            let label = if application.material.is_empty() {
                application.material_words
            } else {
                self.material_name(&application.material).unwrap_or(application.material)
            };
            let detail = match (application.amount_kg, application.amount_l) {
                (Some(kg), _) => format!("{kg} kg"),
                (None, Some(litres)) => format!("{litres} L"),
                (None, None) => String::new(),
            };
            let label = label.to_lowercase();
            put_down.push(SeriesApplication { id: entry.key.clone(), date, label, detail });
        }
        Ok(put_down)
    }
}

/// The role of a strip, by its name.
fn track(strip: &str) -> Track {
    let name = strip.to_lowercase();
    if name.contains("control") {
        Track::Control
    } else if name.contains("treated") {
        Track::Treated
    } else {
        Track::Whole
    }
}
