//! The season of a sample: a retest in another season reads the season too.

use swardbook_units::{Datelike, NaiveDate, Worked, Working};

use super::clear_date::days_between;
use crate::source;

/// Which half of the earth the ground is on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hemisphere {
    /// North of the equator.
    North,
    /// South of it.
    South,
}

/// A season of three calendar months.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Season {
    /// March to May in the north.
    Spring,
    /// June to August in the north.
    Summer,
    /// September to November in the north.
    Autumn,
    /// December to February in the north.
    Winter,
}

impl Season {
    /// Its name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Spring => "spring",
            Self::Summer => "summer",
            Self::Autumn => "autumn",
            Self::Winter => "winter",
        }
    }
}

/// The season of a day: the months of the north, six months on in the south.
///
/// # Source `definition`: three whole months each.
#[must_use]
pub fn season_of(day: NaiveDate, hemisphere: Hemisphere) -> Season {
    let shift = match hemisphere {
        Hemisphere::North => 0,
        Hemisphere::South => 6,
    };
    match (day.month() + shift) % 12 {
        3..=5 => Season::Spring,
        6..=8 => Season::Summer,
        9..=11 => Season::Autumn,
        _ => Season::Winter,
    }
}

/// How well the season of a retest matches that of its baseline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeasonMatch {
    /// Days between the two days of the year, the short way round, 0 to 183.
    pub days_apart: f64,
    /// Whether they are within a month of each other.
    pub same_season: bool,
}

/// Days of the year that still count as the same month each year.
const A_MONTH: f64 = 31.0;

/// Whether a retest falls in the season of its baseline.
///
/// # Source `horneck-ec1478`: sample in the same month each year; `rayment-lyons-2011`: season
/// matters for potassium.
#[must_use]
pub fn season_match(baseline: NaiveDate, retest: NaiveDate) -> Worked<SeasonMatch> {
    let year = 365.25;
    let apart = days_between(baseline, retest).rem_euclid(year);
    let days_apart = apart.min(year - apart).round();
    let same_season = days_apart <= A_MONTH;
    let mut working = Working::new("days apart in the year, the short way round")
        .step(
            "days between the two seasons",
            format!("{baseline} to {retest}, whole years left out"),
            days_apart,
            "d",
        )
        .source(source("horneck-ec1478"));
    if !same_season {
        working = working
            .caution(
                "The two samples are of different seasons: part of any change, of potassium most \
                 of all, may be the season's.",
            )
            .source(source("rayment-lyons-2011"));
    }
    Worked::new(SeasonMatch { days_apart, same_season }, working)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        swardbook_units::parse_date(text).unwrap()
    }

    fn check(baseline: &str, retest: &str, apart: f64, same: bool) {
        let found = season_match(day(baseline), day(retest));
        assert!((found.value.days_apart - apart).abs() < 1.5, "{baseline} {retest}: {found:?}");
        assert_eq!(found.value.same_season, same, "{baseline} {retest}");
        assert_eq!(found.working.cautions.is_empty(), same, "said only when it matters");
    }

    #[test]
    fn the_same_month_each_year_matches_and_new_year_is_no_border() {
        check("2024-09-10", "2026-09-20", 10.0, true);
        check("2024-12-20", "2026-01-05", 16.0, true);
        check("2024-03-01", "2025-09-01", 183.0, false);
        check("2024-03-01", "2024-05-01", 61.0, false);
        check("2024-05-01", "2025-03-01", 61.0, false);
    }

    #[test]
    fn seasons_of_the_south_are_half_a_year_on() {
        use Hemisphere::{North, South};
        for (on, north, south) in [
            ("2026-01-15", Season::Winter, Season::Summer),
            ("2026-04-15", Season::Spring, Season::Autumn),
            ("2026-07-15", Season::Summer, Season::Winter),
            ("2026-10-15", Season::Autumn, Season::Spring),
            ("2026-12-01", Season::Winter, Season::Summer),
        ] {
            assert_eq!(season_of(day(on), North), north, "{on}");
            assert_eq!(season_of(day(on), South), south, "{on}");
        }
    }
}
