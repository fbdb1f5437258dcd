//! The words a figure needs beside those in its rows, and how dates and numbers are written.

use swardbook_units::{Datelike, NaiveDate};

/// The order of a date's parts; the month is always a word, so no order can be misread.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DateOrder {
    /// 14 Sep 2026.
    DayMonthYear,
    /// Sep 14, 2026.
    MonthDayYear,
    /// 2026 Sep 14.
    YearMonthDay,
}

/// Which half of the earth the ground lies on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hemisphere {
    /// Summer in December to February.
    South,
    /// Summer in June to August.
    North,
}

/// The unit of the plan drawing's scale bar.
#[derive(Debug, Clone, PartialEq)]
pub struct LengthUnit {
    /// Its symbol: "m", "ft".
    pub symbol: String,
    /// How many metres it is long.
    pub metres: f64,
}

macro_rules! words {
    ($($(#[$doc:meta])* $field:ident = $english:literal,)*) => {
        /// Every word that a figure says by itself. [`Words::english`] fills it.
        #[derive(Debug, Clone, PartialEq)]
        pub struct Words {
            /// January to December, short enough for an axis and never shared by two months.
            pub months: [String; 12],
            /// The season of each month, January to December; equal neighbours are one season, and
            /// an empty word is none.
            pub seasons: [String; 12],
            /// The order of a date's parts.
            pub date_order: DateOrder,
            /// Between the whole and the fraction of a number.
            pub decimal_mark: char,
            /// The scale bar's unit.
            pub length_unit: LengthUnit,
            $($(#[$doc])* pub $field: String,)*
        }

        impl Words {
            /// The English words.
            #[must_use]
            pub fn english(hemisphere: Hemisphere) -> Self {
                let mut seasons = [
                    "summer", "summer", "autumn", "autumn", "autumn", "winter", "winter", "winter",
                    "spring", "spring", "spring", "summer",
                ];
                if hemisphere == Hemisphere::North {
                    seasons.rotate_left(6);
                }
                Self {
                    months: [
                        "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct",
                        "Nov", "Dec",
                    ]
                    .map(str::to_owned),
                    seasons: seasons.map(str::to_owned),
                    date_order: DateOrder::DayMonthYear,
                    decimal_mark: '.',
                    length_unit: LengthUnit { symbol: "m".to_owned(), metres: 1.0 },
                    $($field: $english.to_owned(),)*
                }
            }
        }
    };
}

words! {
    /// The lane of samples and panels.
    soil = "Soil",
    /// The lane of applications.
    put_down = "Put down",
    /// The lane of visual ratings.
    rating = "Rating 1 to 9",
    /// The lane of photos, notes and spot readings.
    seen = "Seen",
    /// The line at the present day.
    today = "today",
    /// The kind of a sample.
    sample = "sample",
    /// The kind of a panel.
    panel = "panel",
    /// The kind of an application.
    application = "put down",
    /// The kind of a visual rating.
    rated = "rating",
    /// The kind of a photo.
    photo = "photo",
    /// The kind of a note.
    note = "note",
    /// The kind of a spot reading.
    spot_reading = "spot reading",
    /// The kind of a clear-to-sample window, and the words on its band.
    clear = "clear to sample",
    /// The kind of a renovation day.
    renovation = "renovation",
    /// In place of marks when there are none.
    nothing = "nothing recorded yet",
    /// After a number of entries drawn as one mark.
    entries = "entries",
    /// Before a number of entries that no season holds.
    outside = "Outside the time shown, in the table only",
    /// At the end of a description that does not name every row.
    rest_in_table = "The table has the rest",
    /// Between the two ends of a range.
    to = "to",
    /// Before the first day of something without an end.
    from = "from",
    /// The role of the earlier mark.
    before = "before",
    /// The role of the later mark.
    after = "after",
    /// The role of the untreated strip.
    control = "control",
    /// The role of the treated strip.
    treated = "treated",
    /// The role of a whole zone.
    whole = "whole zone",
    /// The hatching's meaning in the legend.
    beyond_limit = "outside the published limit",
    /// A lower limit, before its number.
    at_least = "at least",
    /// An upper limit, before its number.
    at_most = "at most",
    /// Before a censored reading below.
    below = "below",
    /// Before a censored reading above.
    above = "above",
    /// In place of an interval that is not known.
    no_interval = "no interval",
    /// A row without any reading.
    no_reading = "no reading",
    /// An unreported uncertainty's end off the scale.
    off_scale = "beyond the scale",
    /// A planned core point.
    planned = "planned",
    /// A kept core.
    kept = "kept",
    /// A core that was set aside.
    set_aside = "set aside",
    /// A core point.
    core = "core",
    /// A zone.
    zone = "zone",
    /// A strip.
    strip = "strip",
    /// Beside a zone of which only the area is known.
    only_area = "area only, drawn to size, not to shape",
    /// The north arrow's letter.
    north = "N",
    /// A measured photo.
    corrected = "corrected",
    /// A photo without a card.
    uncorrected = "uncorrected",
    /// Heading of dates.
    date = "Date",
    /// Heading of kinds.
    kind = "Kind",
    /// Heading of names.
    name = "Name",
    /// Heading of details.
    detail = "Detail",
    /// Heading of the season a row lies in.
    season = "Season",
    /// Heading of analytes.
    analyte = "Analyte",
    /// Heading of readings.
    reading = "Reading",
    /// Heading of intervals.
    interval = "Interval",
    /// Heading of units.
    unit = "Unit",
    /// Heading of verdicts.
    verdict = "Verdict",
    /// Heading of limits.
    limit = "Limit and source",
    /// Heading of values.
    value = "Value",
    /// Heading of lines in a series.
    line = "Line",
    /// Heading of states (kept, corrected).
    state = "State",
    /// Heading of places; it names the length unit.
    place = "Place, m east and north",
    /// Before the bearing a photo was taken towards.
    facing = "facing",
}

impl Words {
    /// A date in words that cannot be misread.
    pub(crate) fn date_text(&self, date: NaiveDate) -> String {
        let (day, month, year) = (date.day(), self.month(date), date.year());
        match self.date_order {
            DateOrder::DayMonthYear => format!("{day} {month} {year}"),
            DateOrder::MonthDayYear => format!("{month} {day}, {year}"),
            DateOrder::YearMonthDay => format!("{year} {month} {day}"),
        }
    }

    /// A sentence with each year-month-day date written as the others of the figure are.
    #[must_use]
    pub fn with_dates(&self, sentence: &str) -> String {
        let mut written = String::with_capacity(sentence.len());
        for piece in sentence.split_inclusive(|c: char| !(c.is_ascii_digit() || c == '-')) {
            let end = piece.trim_end_matches(|c: char| !(c.is_ascii_digit() || c == '-')).len();
            match NaiveDate::parse_from_str(&piece[..end], "%Y-%m-%d") {
                Ok(date) if end == "2026-09-14".len() => written.push_str(&self.date_text(date)),
                _ => written.push_str(&piece[..end]),
            }
            written.push_str(&piece[end..]);
        }
        written
    }

    /// A month with its year.
    pub(crate) fn month_and_year(&self, date: NaiveDate) -> String {
        match self.date_order {
            DateOrder::YearMonthDay => format!("{} {}", date.year(), self.month(date)),
            _ => format!("{} {}", self.month(date), date.year()),
        }
    }

    /// A date's month.
    pub(crate) fn month(&self, date: NaiveDate) -> &str {
        &self.months[date.month0() as usize]
    }

    /// The season of a date's month.
    pub(crate) fn season_of(&self, date: NaiveDate) -> &str {
        &self.seasons[date.month0() as usize]
    }

    /// A number of an axis or a readout: four figures, no trailing zeros.
    pub(crate) fn number(&self, value: f64) -> String {
        let size = value.abs();
        let plain = if size != 0.0 && !(1e-4..1e7).contains(&size) {
            let text = format!("{value:e}");
            if text.len() > 8 { format!("{value:.2e}") } else { text }
        } else if size >= 1000.0 || size == 0.0 {
            format!("{value:.0}")
        } else {
            let decimals = match size {
                100.0.. => 1,
                10.0.. => 2,
                1.0.. => 3,
                0.01.. => 4,
                _ => 6,
            };
            let text = format!("{value:.decimals$}");
            text.trim_end_matches('0').trim_end_matches('.').to_owned()
        };
        self.marked(&plain)
    }

    /// A number with that many decimals, trailing zeros kept.
    pub(crate) fn fixed(&self, value: f64, decimals: usize) -> String {
        self.marked(&format!("{value:.decimals$}"))
    }

    /// The reader's decimal mark, and a minus sign instead of a hyphen.
    fn marked(&self, number: &str) -> String {
        number
            .chars()
            .map(|c| match c {
                '.' => self.decimal_mark,
                '-' => '\u{2212}',
                c => c,
            })
            .collect()
    }

    /// The two ends of a range.
    pub(crate) fn range(&self, low: f64, high: f64) -> String {
        format!("{} {} {}", self.number(low), self.to, self.number(high))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use swardbook_units::parse_date;

    #[test]
    fn seasons_turn_with_the_hemisphere() {
        let january = parse_date("2026-01-15").unwrap();
        let june = parse_date("2026-06-15").unwrap();
        let (south, north) = (Words::english(Hemisphere::South), Words::english(Hemisphere::North));
        assert_eq!((south.season_of(january), north.season_of(january)), ("summer", "winter"));
        assert_eq!((south.season_of(june), north.season_of(june)), ("winter", "summer"));
    }

    #[test]
    fn dates_name_their_month() {
        let date = parse_date("2026-04-03").unwrap();
        let mut words = Words::english(Hemisphere::South);
        assert_eq!(words.date_text(date), "3 Apr 2026");
        words.date_order = DateOrder::MonthDayYear;
        assert_eq!(words.date_text(date), "Apr 3, 2026");
        words.date_order = DateOrder::YearMonthDay;
        assert_eq!(words.date_text(date), "2026 Apr 3");
    }

    #[test]
    fn sentences_write_their_dates_as_the_figure_does() {
        let words = Words::english(Hemisphere::South);
        assert_eq!(
            words.with_dates("Clear since 2026-09-14: lime on 2026-01-02, 12-34 of KB-7."),
            "Clear since 14 Sep 2026: lime on 2 Jan 2026, 12-34 of KB-7."
        );
        assert_eq!(words.with_dates("2026-13-40"), "2026-13-40");
    }

    #[test]
    fn numbers_take_the_readers_mark() {
        let mut words = Words::english(Hemisphere::South);
        words.decimal_mark = ',';
        assert_eq!(words.number(5.25), "5,25");
        assert_eq!(words.number(-0.5), "\u{2212}0,5");
        assert_eq!(words.number(300.0), "300");
        assert_eq!(words.number(0.0), "0");
        assert_eq!(words.number(1e-9), "1e\u{2212}9");
    }
}
