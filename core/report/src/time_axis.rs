//! Days mapped onto px, with months and years to mark on them.

use crate::canvas::{Anchor, Canvas, Stroke};
use crate::figure::FigureError;
use crate::palette::Ink;
use crate::text::{self, Font};
use crate::words::Words;
use swardbook_units::{Datelike, NaiveDate};

/// A stretch of days that is drawn on one line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Span {
    /// What it is called: "2025-26".
    pub name: String,
    /// Its first day.
    pub first: NaiveDate,
    /// Its last day.
    pub last: NaiveDate,
}

impl Span {
    /// Whether a day lies in it.
    #[must_use]
    pub fn holds(&self, date: NaiveDate) -> bool {
        (self.first..=self.last).contains(&date)
    }

    pub(crate) fn check(&self) -> Result<(), FigureError> {
        if self.first > self.last {
            return Err(FigureError::UpsideDown { row: self.name.clone(), field: "season" });
        }
        Ok(())
    }
}

/// Days on a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct TimeAxis {
    first: NaiveDate,
    last: NaiveDate,
    pub(crate) from: f64,
    pub(crate) to: f64,
}

/// Months of a wide axis, and of one where only this lets each have its name.
const MONTHS: [Font; 2] = [Font::plain(12.0), Font::plain(11.0)];
const MONTH: Font = MONTHS[0];
const WORD: Font = Font::plain(11.5);
/// Between two labels of the axis.
const GAP: f64 = 4.0;

/// A month, counted from the year nought.
fn month_number(date: NaiveDate) -> i64 {
    i64::from(date.year()) * 12 + i64::from(date.month0())
}

fn first_of_month(number: i64) -> Option<NaiveDate> {
    let year = i32::try_from(number.div_euclid(12)).ok()?;
    let month = u32::try_from(number.rem_euclid(12)).ok()? + 1;
    NaiveDate::from_ymd_opt(year, month, 1)
}

impl TimeAxis {
    pub(crate) const fn new(span: &Span, from: f64, to: f64) -> Self {
        Self { first: span.first, last: span.last, from, to }
    }

    /// Px of a day's beginning; days beyond the axis lie at its end.
    pub(crate) fn at(&self, date: NaiveDate) -> f64 {
        let days = |date: NaiveDate| {
            let days = (date - self.first).num_days();
            f64::from(
                i32::try_from(days).expect("chrono's dates span fewer days than an i32 holds"),
            )
        };
        let share = days(date) / (days(self.last) + 1.0);
        self.from + (self.to - self.from) * share.clamp(0.0, 1.0)
    }

    fn px_per_month(&self) -> f64 {
        let days = (self.last - self.first).num_days() + 1;
        let days = f64::from(i32::try_from(days).unwrap_or(i32::MAX));
        (self.to - self.from) / days * 30.436_875
    }

    /// Months from one label to the next, so that labels keep apart, and the labels' font.
    fn step(&self, words: &Words) -> (i64, Font) {
        let px = self.px_per_month();
        let every = MONTHS.into_iter().find(|font| {
            let names = words.months.iter().map(|name| text::width(name, *font));
            px >= names.fold(0.0, f64::max) + GAP
        });
        every.map_or_else(|| (self.longer_step(words), MONTH), |font| (1, font))
    }

    fn longer_step(&self, words: &Words) -> i64 {
        let names = words.months.iter().map(|name| text::width(name, MONTH));
        let widest = names.fold(0.0, f64::max) + GAP;
        let years = [self.first, self.last].map(|date| date.year().to_string());
        let year = years.iter().map(|year| text::width(year, MONTH)).fold(0.0, f64::max) + GAP;
        let px = self.px_per_month();
        for step in [3, 6] {
            if px * f64::from(step) >= widest.max(year * f64::from(step) / 12.0) {
                return i64::from(step);
            }
        }
        // 1, 2, 5, 10 years and so on, up to what a civil date can hold.
        let mut decade: i64 = 1;
        while decade < 1_000_000 {
            for factor in [1, 2, 5] {
                let step = 12 * decade * factor;
                if px * f64::from(i32::try_from(step).unwrap_or(i32::MAX)) >= year {
                    return step;
                }
            }
            decade *= 10;
        }
        12 * decade
    }

    /// First days of months whose number is a multiple of `step`, within the axis.
    fn firsts(&self, step: i64) -> Vec<NaiveDate> {
        let first = month_number(self.first);
        let mut number = first.div_euclid(step) * step;
        let mut firsts = Vec::new();
        while let Some(date) = first_of_month(number) {
            if date > self.last {
                break;
            }
            if date >= self.first {
                firsts.push(date);
            }
            number += step;
        }
        firsts
    }

    /// Draws season words, months and years from `y` down, and returns where the axis' head ends.
    pub(crate) fn head(&self, canvas: &mut Canvas<'_>, words: &Words, y: f64) -> f64 {
        let mut end = self.season_words(canvas, words, y);
        let (step, font) = self.step(words);
        let firsts = self.firsts(step);
        if step >= 12 {
            for date in firsts {
                self.label(canvas, date, &date.year().to_string(), end, font);
            }
            return end + MONTH.line_height() + 2.0;
        }
        // The year stands beside the month where it is first needed and where it changes.
        let needs_year = |index: usize, date: NaiveDate| index == 0 || date.month0() == 0;
        let room = self.px_per_month() * f64::from(i32::try_from(step).unwrap_or(1));
        let with_year = firsts.iter().map(|date| text::width(&words.month_and_year(*date), font));
        let is_one_line = with_year.fold(0.0, f64::max) + GAP <= room;
        for (index, date) in firsts.iter().enumerate() {
            if is_one_line && needs_year(index, *date) {
                self.label(canvas, *date, &words.month_and_year(*date), end, font);
            } else {
                self.label(canvas, *date, words.month(*date), end, font);
            }
        }
        end += MONTH.line_height();
        if !is_one_line {
            let years: Vec<NaiveDate> = firsts
                .iter()
                .enumerate()
                .filter(|(index, date)| needs_year(*index, **date))
                .map(|(_, date)| *date)
                .collect();
            let mut free_from = f64::NEG_INFINITY;
            for (index, date) in years.iter().enumerate() {
                let x = self.at(*date);
                let year = date.year().to_string();
                // The first year gives way to a January close behind it.
                let next = years.get(index + 1).map_or(f64::INFINITY, |next| self.at(*next));
                let right = x + text::width(&year, MONTH) + GAP;
                if x >= free_from && right <= next {
                    self.label(canvas, *date, &year, end, font);
                    free_from = right;
                }
            }
            end += MONTH.line_height();
        }
        end + 2.0
    }

    fn label(&self, canvas: &mut Canvas<'_>, date: NaiveDate, words: &str, y: f64, font: Font) {
        let x = self.at(date) + 3.0;
        if x + text::width(words, font) <= self.to + 4.0 {
            canvas.text((x, y), Anchor::Start, words, font, Ink::Soft);
        }
    }

    fn season_words(&self, canvas: &mut Canvas<'_>, words: &Words, y: f64) -> f64 {
        let runs = self.seasons(words);
        if runs.is_empty() {
            return y;
        }
        for (index, (date, word)) in runs.iter().enumerate() {
            let x = self.at(*date);
            let end = runs.get(index + 1).map_or(self.to, |(date, _)| self.at(*date));
            if text::width(word, WORD) + GAP <= end - x {
                canvas.text((x + 3.0, y), Anchor::Start, word, WORD, Ink::Text);
            }
        }
        y + WORD.line_height()
    }

    /// First days of the seasons within the axis, with their words; none when they are too narrow
    /// to be told apart.
    fn seasons<'w>(&self, words: &'w Words) -> Vec<(NaiveDate, &'w str)> {
        if self.px_per_month() < 14.0 {
            return Vec::new();
        }
        let mut runs: Vec<(NaiveDate, &str)> = vec![(self.first, words.season_of(self.first))];
        for date in self.firsts(1) {
            let word = words.season_of(date);
            if runs.last().is_none_or(|(_, last)| *last != word) {
                runs.push((date, word));
            }
        }
        if runs.iter().all(|(_, word)| word.is_empty()) { Vec::new() } else { runs }
    }

    /// Draws the lines of months, and stronger ones where a season or a year turns.
    pub(crate) fn grid(
        &self,
        canvas: &mut Canvas<'_>,
        words: &Words,
        top: f64,
        head: f64,
        end: f64,
    ) {
        let step = if self.px_per_month() >= 18.0 { 1 } else { self.step(words).0 };
        let seasons = self.seasons(words);
        for date in self.firsts(step) {
            let x = self.at(date);
            let turns = seasons.iter().any(|(first, _)| *first == date);
            let from = if turns { top } else { head };
            let ink = if turns { Ink::Rule } else { Ink::Rule2 };
            canvas.line((x, from), (x, end), Stroke::solid(ink, 1.0));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::Hemisphere;
    use swardbook_units::parse_date;

    fn axis(first: &str, last: &str, px: f64) -> TimeAxis {
        let span = Span {
            name: String::new(),
            first: parse_date(first).unwrap(),
            last: parse_date(last).unwrap(),
        };
        TimeAxis::new(&span, 0.0, px)
    }

    #[test]
    fn days_lie_in_proportion() {
        let axis = axis("2025-07-01", "2026-06-30", 365.0);
        assert!((axis.at(parse_date("2025-07-31").unwrap()) - 30.0).abs() < 1e-9, "thirty days on");
        assert!((axis.at(parse_date("2030-01-01").unwrap()) - 365.0).abs() < 1e-9, "at the end");
    }

    #[test]
    fn labels_grow_rarer_as_time_grows() {
        let words = Words::english(Hemisphere::South);
        let step = |first, last, px| axis(first, last, px).step(&words).0;
        assert_eq!(step("2025-07-01", "2026-06-30", 900.0), 1);
        assert_eq!(step("2025-07-01", "2026-06-30", 340.0), 1);
        assert_eq!(step("2024-07-01", "2026-06-30", 340.0), 3);
        assert_eq!(step("2016-07-01", "2026-06-30", 900.0), 6);
        assert_eq!(step("2016-07-01", "2026-06-30", 340.0), 24);
        assert!(step("0001-01-01", "9999-12-31", 340.0) >= 12_000, "a long time");
    }

    #[test]
    fn seasons_follow_the_words() {
        let words = Words::english(Hemisphere::South);
        let axis = axis("2025-07-01", "2026-06-30", 900.0);
        let seasons: Vec<&str> = axis.seasons(&words).into_iter().map(|(_, word)| word).collect();
        assert_eq!(seasons, ["winter", "spring", "summer", "autumn", "winter"]);
    }
}
