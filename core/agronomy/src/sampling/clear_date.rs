//! The day from which the ground can be read again after what was put on it.
//!
//! A core pulled too early reads the granule, not the ground.
//! This module does not own the journal of applications nor which season suits (`season`).

use swardbook_units::{Confidence, Days, Months, NaiveDate, Source, Worked, Working};

use crate::{AgronomyError, source};

/// What was put on, as far as it matters for the wait.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum ApplicationKind {
    /// Sprayed or drenched, soluble.
    Liquid,
    /// Granules, prills or powder of a fertiliser.
    Granular,
    /// Compost, manure, meals and other organic matter that is still to break down.
    Organic,
    /// Gypsum.
    Gypsum,
    /// Elemental sulfur.
    Sulfur,
    /// Ground limestone or dolomite, which reacts for many months.
    Lime,
}

impl ApplicationKind {
    /// All of them, in the order they are listed to people.
    pub const ALL: [Self; 6] =
        [Self::Liquid, Self::Granular, Self::Organic, Self::Gypsum, Self::Sulfur, Self::Lime];

    /// Its name in files and on the command line.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Liquid => "liquid",
            Self::Granular => "granular",
            Self::Organic => "organic",
            Self::Gypsum => "gypsum",
            Self::Sulfur => "sulfur",
            Self::Lime => "lime",
        }
    }

    /// The kind of that name.
    #[must_use]
    pub fn find(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.id() == id)
    }

    /// The wait that applies where neither the label nor the notebook says another.
    #[must_use]
    pub fn default_withholding(self) -> Withholding {
        let (wait, key, why) = match self {
            Self::Liquid => (Wait::Days(42), "common-practice", "six weeks after a liquid"),
            Self::Granular => (Wait::Months(3), "common-practice", "three months after granules"),
            Self::Organic => {
                (Wait::Months(3), "common-practice", "three months, as granules; slow ones longer")
            }
            Self::Gypsum => (Wait::Months(3), "common-practice", "three months, as granules"),
            Self::Sulfur => {
                (Wait::Months(6), "common-practice", "six months for sulfur to be oxidised")
            }
            Self::Lime => (
                Wait::Months(12),
                "north-carolina-lime-factors",
                "lime not yet reacted is credited, less 8 % a month: about a year",
            ),
        };
        Withholding { wait, why: why.to_owned(), source: source(key) }
    }
}

/// A length of waiting.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wait {
    /// Whole days.
    Days(u32),
    /// Calendar months; a day that the month does not have becomes its last.
    Months(u32),
}

impl Wait {
    /// The day this long after another; `None` beyond the calendar.
    #[must_use]
    pub fn after(self, day: NaiveDate) -> Option<NaiveDate> {
        match self {
            Self::Days(days) => day.checked_add_days(Days::new(days.into())),
            Self::Months(months) => day.checked_add_months(Months::new(months)),
        }
    }

    fn words(self) -> String {
        let (count, unit) = match self {
            Self::Days(count) => (count, "day"),
            Self::Months(count) => (count, "month"),
        };
        if count == 1 { format!("1 {unit}") } else { format!("{count} {unit}s") }
    }
}

/// How long to wait after one kind of application, and on whose word.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Withholding {
    /// How long.
    pub wait: Wait,
    /// The rule in words.
    pub why: String,
    /// Where it comes from.
    pub source: Source,
}

/// One thing that was put on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PastApplication {
    /// What it was, in words.
    pub what: String,
    /// When.
    pub day: NaiveDate,
    /// What kind.
    pub kind: ApplicationKind,
    /// How long to wait after it.
    pub withholding: Withholding,
}

impl PastApplication {
    /// An application with the default wait of its kind.
    #[must_use]
    pub fn with_default_wait(what: &str, day: NaiveDate, kind: ApplicationKind) -> Self {
        Self { what: what.to_owned(), day, kind, withholding: kind.default_withholding() }
    }
}

/// The first day on which the ground is clear to sample, and what rules it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClearDate {
    /// The day; `None` where nothing was put on, so that any day will do.
    pub day: Option<NaiveDate>,
    /// Place in the list of the application that rules; of several with one clear day, the first.
    pub ruled_by: Option<usize>,
    /// The clear day of every application, in the order given.
    pub each: Vec<NaiveDate>,
}

impl ClearDate {
    /// Whether a sample on this day is clear of every application.
    #[must_use]
    pub fn is_clear_on(&self, day: NaiveDate) -> bool {
        self.day.is_none_or(|clear| clear <= day)
    }
}

/// The day from which the ground is clear to sample: the latest of all applications' own.
///
/// # Errors `Refused` when a wait leads beyond the calendar.
/// # Source `common-practice` for all kinds but lime; `north-carolina-lime-factors` and
/// `lime-response-notes` for lime.
pub fn clear_date(applications: &[PastApplication]) -> Result<Worked<ClearDate>, AgronomyError> {
    let mut working = Working::new("clear day = latest of (day put on + wait of its kind)");
    let mut each = Vec::with_capacity(applications.len());
    for application in applications {
        let PastApplication { what, day, withholding, .. } = application;
        let Some(clear) = withholding.wait.after(*day) else {
            return Err(AgronomyError::Refused {
                operation: "day clear to sample",
                argument: "day",
                why: format!("{day} and {} lead beyond the calendar", withholding.wait.words()),
            });
        };
        working = working
            .step(
                &format!("clear of {what} on {clear}"),
                format!("{day} + {} ({})", withholding.wait.words(), withholding.why),
                days_between(*day, clear),
                "d",
            )
            .source(withholding.source.clone());
        if withholding.source.confidence == Confidence::CommonPractice {
            working = working.caution(
                "Waits marked as common practice have no source; a label or a laboratory that asks \
                 for a longer one is to be followed.",
            );
        }
        if application.kind == ApplicationKind::Lime {
            working = working
                .caution(
                    "Fine lime reacts in two to three months, coarse lime for years: a sample while \
                     it reacts shows the way, not the end.",
                )
                .source(source("lime-response-notes"));
        }
        each.push(clear);
    }
    // Of equal days the first keeps the rule.
    let ruled_by = (0..each.len()).rev().max_by_key(|place| each[*place]);
    let day = ruled_by.map(|place| each[place]);
    working = match ruled_by {
        Some(place) => working.step(
            &format!("clear to sample from {}", each[place]),
            format!("ruled by {}", applications[place].what),
            days_between(applications[place].day, each[place]),
            "d",
        ),
        None => working.caution(
            "No application is on record: if something was put on that is not recorded, wait for it.",
        ),
    };
    Ok(Worked::new(ClearDate { day, ruled_by, each }, working))
}

pub(super) fn days_between(from: NaiveDate, to: NaiveDate) -> f64 {
    to.signed_duration_since(from).num_days() as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        swardbook_units::parse_date(text).unwrap()
    }

    fn check(applications: &[(&str, ApplicationKind)], clear: &str, ruled_by: usize) {
        let applications: Vec<_> = applications
            .iter()
            .map(|(on, kind)| PastApplication::with_default_wait(kind.id(), day(on), *kind))
            .collect();
        let worked = clear_date(&applications).unwrap();
        assert_eq!(worked.value.day, Some(day(clear)), "{applications:?}");
        assert_eq!(worked.value.ruled_by, Some(ruled_by), "{applications:?}");
        assert!(worked.value.is_clear_on(day(clear)), "from that day on");
        assert!(!worked.value.is_clear_on(day(clear).pred_opt().unwrap()), "not before");
    }

    #[test]
    fn the_latest_clear_day_rules_not_the_latest_application() {
        use ApplicationKind::{Granular, Lime, Liquid};
        check(&[("2026-03-01", Liquid)], "2026-04-12", 0);
        check(&[("2026-03-01", Granular)], "2026-06-01", 0);
        check(&[("2026-03-01", Granular), ("2026-04-10", Liquid)], "2026-06-01", 0);
        check(&[("2026-03-01", Granular), ("2026-05-01", Liquid)], "2026-06-12", 1);
        check(&[("2026-03-01", Granular), ("2025-09-01", Lime)], "2026-09-01", 1);
        // A month without that day ends on its last.
        check(&[("2025-11-30", Granular)], "2026-02-28", 0);
        check(&[("2026-03-01", Granular), ("2026-03-01", Granular)], "2026-06-01", 0);
    }

    #[test]
    fn nothing_put_on_is_clear_and_says_what_it_rests_on() {
        let worked = clear_date(&[]).unwrap();
        assert!(worked.value.is_clear_on(day("2026-03-01")), "any day");
        assert!(worked.working.cautions.iter().any(|c| c.contains("not recorded")), "said");
    }

    #[test]
    fn common_practice_is_marked_and_a_sourced_wait_is_not() {
        let confidence = |kind: ApplicationKind| {
            let put_on = PastApplication::with_default_wait("it", day("2026-03-01"), kind);
            clear_date(&[put_on]).unwrap().working.confidence()
        };
        assert_eq!(confidence(ApplicationKind::Granular), Confidence::CommonPractice, "marked");
        assert_eq!(confidence(ApplicationKind::Lime), Confidence::Confirmed, "sourced");
    }

    #[test]
    fn a_wait_beyond_the_calendar_is_refused() {
        let mut put_on =
            PastApplication::with_default_wait("it", NaiveDate::MAX, ApplicationKind::Liquid);
        put_on.withholding.wait = Wait::Days(1);
        assert_eq!(clear_date(&[put_on]).unwrap_err().argument(), "day", "refused by name");
    }

    #[test]
    fn every_kind_is_found_by_its_name() {
        for kind in ApplicationKind::ALL {
            assert_eq!(ApplicationKind::find(kind.id()), Some(kind), "{kind:?}");
        }
    }
}
