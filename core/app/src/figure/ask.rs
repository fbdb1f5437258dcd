//! How a figure is asked for and handed over.

use serde::{Deserialize, Serialize};
use swardbook_journal::records::{Hemisphere, MeasureSystem, Settings};
use swardbook_report::{
    DateOrder, Figure, FigureError, Hemisphere as Half, LengthUnit, Look, Skin, Theme, Words,
};
use ts_rs::TS;

use crate::{Notebook, Problem};

/// Width and theme of a figure.
#[derive(Debug, Clone, Default, Deserialize, TS)]
pub struct FigureLook {
    /// Width in px; 900 when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<u32>")]
    pub width: Option<u32>,
    /// `page` (colours of the page that shows it), `light`, `dark` or `sunlight`; `light` when left
    /// out, for a file that stands alone.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub theme: Option<String>,
    /// Short names of January to December, as the page that shows the figure writes them; the
    /// notebook's own when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<Vec<String>>")]
    pub months: Option<Vec<String>>,
    /// `day-month-year`, `month-day-year` or `year-month-day`; the notebook's own when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub date_order: Option<String>,
    /// The mark before the decimals; a point when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub decimal_mark: Option<String>,
}

/// The figure's data as a table.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct FigureTable {
    /// What it shows.
    pub caption: String,
    /// Column headings.
    pub headings: Vec<String>,
    /// Rows of cells.
    pub rows: Vec<Vec<String>>,
}

/// A figure.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct FigureView {
    /// The drawing.
    pub svg: String,
    /// Its title.
    pub title: String,
    /// Its description.
    pub description: String,
    /// Its data.
    pub table: FigureTable,
    /// Width in px.
    pub width: f64,
    /// Height in px.
    pub height: f64,
}

impl From<Figure> for FigureView {
    fn from(figure: Figure) -> Self {
        Self {
            svg: figure.svg,
            title: figure.title,
            description: figure.description,
            table: FigureTable {
                caption: figure.table.caption,
                headings: figure.table.headings,
                rows: figure.table.rows,
            },
            width: figure.width,
            height: figure.height,
        }
    }
}

impl From<FigureError> for Problem {
    fn from(error: FigureError) -> Self {
        Self::refused(format!("the figure cannot be drawn: {error}"))
    }
}

impl Notebook {
    /// The look of a figure, in the notebook's own units and words.
    pub(super) fn look(&mut self, name: &str, asked: &FigureLook) -> Result<Look, Problem> {
        let theme = match asked.theme.as_deref() {
            Some("page") => Theme::FollowPage,
            None | Some("light") => Theme::Standalone(Skin::Light),
            Some("dark") => Theme::Standalone(Skin::Dark),
            Some("sunlight") => Theme::Standalone(Skin::Sunlight),
            Some(other) => {
                return Err(Problem::bad(
                    "theme",
                    format!("\"{other}\" is no theme; there are page, light, dark and sunlight"),
                ));
            }
        };
        let mut words = words(&self.settings_record()?);
        as_the_page_writes(&mut words, asked)?;
        let width_px = asked.width.unwrap_or(900);
        Ok(Look { name: name.to_owned(), width_px, theme, words })
    }
}

/// Takes the page's own way of writing days and numbers.
fn as_the_page_writes(words: &mut Words, asked: &FigureLook) -> Result<(), Problem> {
    if let Some(months) = &asked.months {
        words.months = months.clone().try_into().map_err(|given: Vec<String>| {
            Problem::bad("months", format!("months has {} names; give twelve", given.len()))
        })?;
    }
    words.date_order = match asked.date_order.as_deref() {
        None => words.date_order,
        Some("day-month-year") => DateOrder::DayMonthYear,
        Some("month-day-year") => DateOrder::MonthDayYear,
        Some("year-month-day") => DateOrder::YearMonthDay,
        Some(other) => {
            return Err(Problem::bad(
                "date_order",
                format!(
                    "\"{other}\" is no order of a date; there are day-month-year, \
                     month-day-year and year-month-day"
                ),
            ));
        }
    };
    if let Some(mark) = &asked.decimal_mark {
        words.decimal_mark = mark.chars().next().ok_or_else(|| {
            Problem::missing("decimal_mark", "give a point, a comma, or leave it out")
        })?;
    }
    Ok(())
}

/// A unit or a sentence with its units' exponents raised, as a figure prints them.
pub(super) fn raised(text: &str) -> String {
    let mut shown = text.to_owned();
    for unit in ["m", "ft", "yd"] {
        for (power, mark) in [('2', '\u{b2}'), ('3', '\u{b3}')] {
            for before in ["/", " "] {
                let plain = format!("{before}{unit}{power}");
                shown = shown.replace(&plain, &format!("{before}{unit}{mark}"));
            }
        }
    }
    shown
}

fn words(settings: &Settings) -> Words {
    let half = match settings.hemisphere {
        Some(Hemisphere::North) => Half::North,
        _ => Half::South,
    };
    let mut words = Words::english(half);
    if settings.hemisphere.is_none() {
        // Nobody said which half of the earth: no season is named rather than a wrong one.
        words.seasons = Default::default();
    }
    if settings.measure == Some(MeasureSystem::UsCustomary) {
        words.length_unit = LengthUnit { symbol: "ft".to_owned(), metres: 0.3048 };
        words.place = "Place, ft east and north".to_owned();
    }
    if settings.language.ends_with("-US") {
        words.date_order = DateOrder::MonthDayYear;
    }
    words
}
