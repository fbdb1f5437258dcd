//! Backwards from a renovation day: when the cores have to be in the bag.
//!
//! It does not own the day clear to sample (`clear_date`) nor today, which is given.

use swardbook_units::{Days, NaiveDate, Origin, Worked, Working};

use super::clear_date::days_between;
use crate::{AgronomyError, source};

/// How long one step takes, and where that comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Span {
    /// Whole days.
    pub days: u32,
    /// Where the number comes from: [`Origin::Given`] or a default with its words.
    pub origin: Origin,
}

impl Span {
    /// A length that a person or record gave.
    #[must_use]
    pub const fn given(days: u32) -> Self {
        Self { days, origin: Origin::Given }
    }

    fn usual(days: u32, why: &str) -> Self {
        Self { days, origin: Origin::Default(format!("common practice, no source: {why}")) }
    }
}

/// The steps between the bag of soil and the renovation day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Steps {
    /// From the post to the laboratory's bench.
    pub posting: Span,
    /// From the bench to the panel.
    pub laboratory: Span,
    /// From the panel to the order.
    pub planning: Span,
    /// From the order to the shed.
    pub delivery: Span,
}

impl Steps {
    /// Usual lengths: three days in the post, three weeks at the laboratory (the longer end of two
    /// to three), two days to plan, seven to deliver.
    #[must_use]
    pub fn usual() -> Self {
        Self {
            posting: Span::usual(3, "three days in the post"),
            laboratory: Span::usual(21, "two to three weeks, the longer taken"),
            planning: Span::usual(2, "two days to read the panel and order"),
            delivery: Span::usual(7, "a week to deliver"),
        }
    }

    fn all(&self) -> [(&'static str, &Span); 4] {
        [
            ("delivery", &self.delivery),
            ("planning", &self.planning),
            ("laboratory", &self.laboratory),
            ("posting", &self.posting),
        ]
    }

    /// Days from the sample to the renovation.
    #[must_use]
    pub fn total(&self) -> u32 {
        self.all().iter().fold(0, |sum, (_, span)| sum.saturating_add(span.days))
    }
}

/// What the calendar is worked out from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CalendarQuestion {
    /// The day of the renovation.
    pub renovation: NaiveDate,
    /// Today, or the first day somebody can go out and sample.
    pub today: NaiveDate,
    /// The day from which the ground is clear, from [`super::clear_date::clear_date`].
    pub clear: Option<NaiveDate>,
    /// The steps in between.
    pub steps: Steps,
}

/// When each thing has to happen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Calendar {
    /// First day on which a sample can be taken: today, or the clear day when that is later.
    pub earliest: NaiveDate,
    /// Latest day on which it must be taken.
    pub latest: NaiveDate,
    /// Latest day on which the laboratory has it.
    pub at_laboratory: NaiveDate,
    /// Latest day on which the panel is back.
    pub panel: NaiveDate,
    /// Latest day on which the materials are ordered.
    pub order: NaiveDate,
    /// The renovation day.
    pub renovation: NaiveDate,
    /// Days to spare, or how many are missing as a negative number.
    pub slack_days: i64,
    /// What can be done where the days do not suffice; empty where they do.
    pub choices: Vec<Choice>,
}

impl Calendar {
    /// Whether a sample in time is possible.
    #[must_use]
    pub const fn can_be_met(&self) -> bool {
        self.slack_days >= 0
    }
}

/// One way out where the renovation day cannot be met.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Choice {
    /// Put the renovation off to this day, the first that can be met.
    LaterRenovation(NaiveDate),
    /// Have the laboratory report within this many days.
    FasterLaboratory(u32),
    /// Have the materials within this many days of ordering, or fetch them.
    FasterDelivery(u32),
    /// Sample by this day although the ground is not clear, knowing that the panel then reads what
    /// was put on as well.
    SampleBeforeClear(NaiveDate),
    /// Renovate without a new panel: core, seed and top-dress now, decide on amendments when the
    /// panel of this day's sample is back.
    AmendLater(NaiveDate),
}

impl Choice {
    /// The choice in words.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::LaterRenovation(day) => format!("put the renovation off to {day}"),
            Self::FasterLaboratory(days) => {
                format!("ask the laboratory for a report within {days} days")
            }
            Self::FasterDelivery(days) => {
                format!("have the materials within {days} days of ordering, or fetch them")
            }
            Self::SampleBeforeClear(day) => format!(
                "sample by {day}, before the ground is clear: the panel then reads what was put on \
                 as well and cannot be compared later"
            ),
            Self::AmendLater(day) => format!(
                "renovate on the day without a new panel and amend later, from a sample on {day}"
            ),
        }
    }
}

const OPERATION: &str = "sampling calendar";

/// Works backwards from the renovation day to the latest day for the sample.
///
/// # Errors `Refused` when the steps lead before the calendar, or the renovation is before today.
/// # Source `common-practice` for the usual lengths; the rest is counting days.
pub fn calendar(question: &CalendarQuestion) -> Result<Worked<Calendar>, AgronomyError> {
    let CalendarQuestion { renovation, today, clear, steps } = question;
    if renovation < today {
        return Err(AgronomyError::Refused {
            operation: OPERATION,
            argument: "renovation",
            why: format!("{renovation} is before {today}; choose a day to come"),
        });
    }
    let mut working =
        Working::new("latest sample = renovation - delivery - planning - laboratory - posting")
            .caution("Days of the calendar are counted; public holidays and weekends take more.");
    let mut day = *renovation;
    let mut latest = Vec::with_capacity(4);
    let mut from_habit = false;
    for (name, span) in steps.all() {
        let before = back(day, span.days, "steps")?;
        from_habit |= matches!(span.origin, Origin::Default(_));
        working = working
            .input(&format!("Days for {name}"), span.days.into(), "d", span.origin.clone())
            .step(
                &format!("latest day before {name}: {before}"),
                format!("{day} - {} days", span.days),
                days_between(before, *renovation),
                "d",
            );
        day = before;
        latest.push(before);
    }
    if from_habit {
        working = working.source(source("common-practice"));
    }
    let earliest = clear.map_or(*today, |clear| clear.max(*today));
    let slack_days = latest[3].signed_duration_since(earliest).num_days();
    let working = working.step(
        "days to spare",
        format!("{} - {earliest}", latest[3]),
        days_between(earliest, latest[3]),
        "d",
    );
    let calendar = Calendar {
        earliest,
        latest: latest[3],
        at_laboratory: latest[2],
        panel: latest[1],
        order: latest[0],
        renovation: *renovation,
        slack_days,
        choices: if slack_days < 0 { choices(question, earliest, latest[3])? } else { Vec::new() },
    };
    Ok(Worked::new(calendar, working))
}

fn choices(
    question: &CalendarQuestion,
    earliest: NaiveDate,
    latest: NaiveDate,
) -> Result<Vec<Choice>, AgronomyError> {
    let CalendarQuestion { renovation, today, steps, .. } = question;
    let total = steps.total();
    let missing =
        u32::try_from(earliest.signed_duration_since(latest).num_days()).unwrap_or(u32::MAX);
    let mut choices = vec![Choice::LaterRenovation(forward(earliest, total)?)];
    // A laboratory and a delivery take a day at least.
    if let Some(days) = steps.laboratory.days.checked_sub(missing).filter(|days| *days > 0) {
        choices.push(Choice::FasterLaboratory(days));
    }
    if let Some(days) = steps.delivery.days.checked_sub(missing) {
        choices.push(Choice::FasterDelivery(days));
    }
    if latest >= *today {
        choices.push(Choice::SampleBeforeClear(latest));
    }
    // Soil that was opened, limed and top-dressed on the day is no longer the soil to be read.
    if earliest <= *renovation {
        choices.push(Choice::AmendLater(earliest));
    }
    Ok(choices)
}

fn back(day: NaiveDate, days: u32, argument: &'static str) -> Result<NaiveDate, AgronomyError> {
    day.checked_sub_days(Days::new(days.into())).ok_or_else(|| AgronomyError::Refused {
        operation: OPERATION,
        argument,
        why: format!("{days} days before {day} is before the calendar begins"),
    })
}

fn forward(day: NaiveDate, days: u32) -> Result<NaiveDate, AgronomyError> {
    day.checked_add_days(Days::new(days.into())).ok_or_else(|| AgronomyError::Refused {
        operation: OPERATION,
        argument: "steps",
        why: format!("{days} days after {day} is after the calendar ends"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        swardbook_units::parse_date(text).unwrap()
    }

    fn ask(renovation: &str, today: &str, clear: Option<&str>) -> Worked<Calendar> {
        calendar(&CalendarQuestion {
            renovation: day(renovation),
            today: day(today),
            clear: clear.map(day),
            steps: Steps::usual(),
        })
        .unwrap()
    }

    #[test]
    fn the_days_are_counted_back_one_step_after_the_other() {
        // 7 + 2 + 21 + 3 = 33 days before 1 April 2026 is 27 February.
        let found = ask("2026-04-01", "2026-02-01", None).value;
        assert_eq!(found.order, day("2026-03-25"), "a week for delivery");
        assert_eq!(found.panel, day("2026-03-23"), "two days to plan");
        assert_eq!(found.at_laboratory, day("2026-03-02"), "three weeks at the laboratory");
        assert_eq!(found.latest, day("2026-02-27"), "three days in the post");
        assert_eq!((found.slack_days, found.can_be_met()), (26, true), "from 1 February");
        assert!(found.choices.is_empty(), "nothing to choose");
    }

    #[test]
    fn the_last_day_is_still_in_time_and_the_next_is_not() {
        assert!(ask("2026-04-01", "2026-02-27", None).value.can_be_met(), "the last day");
        let late = ask("2026-04-01", "2026-02-28", None).value;
        assert_eq!((late.slack_days, late.can_be_met()), (-1, false), "a day late");
        assert_eq!(
            late.choices,
            [
                Choice::LaterRenovation(day("2026-04-02")),
                Choice::FasterLaboratory(20),
                Choice::FasterDelivery(6),
                Choice::AmendLater(day("2026-02-28")),
            ],
            "no choice that has already passed"
        );
    }

    #[test]
    fn ground_that_is_not_clear_in_time_can_be_sampled_early_only_with_the_caution() {
        let found = ask("2026-04-01", "2026-02-01", Some("2026-03-20")).value;
        assert_eq!(found.earliest, day("2026-03-20"), "the clear day");
        assert_eq!(found.slack_days, -21, "three weeks short");
        assert_eq!(
            found.choices,
            [
                Choice::LaterRenovation(day("2026-04-22")),
                Choice::SampleBeforeClear(day("2026-02-27")),
                Choice::AmendLater(day("2026-03-20")),
            ],
            "three weeks cannot be won at the laboratory or in delivery"
        );
        assert!(found.choices[1].words().contains("cannot be compared"), "the caution");
    }

    #[test]
    fn every_choice_that_is_offered_meets_the_day() {
        for (today, clear) in [("2026-02-28", None), ("2026-02-01", Some("2026-03-05"))] {
            let asked = CalendarQuestion {
                renovation: day("2026-04-01"),
                today: day(today),
                clear: clear.map(day),
                steps: Steps::usual(),
            };
            for choice in calendar(&asked).unwrap().value.choices {
                let mut changed = asked.clone();
                match choice {
                    Choice::LaterRenovation(day) => changed.renovation = day,
                    Choice::FasterLaboratory(days) => changed.steps.laboratory = Span::given(days),
                    Choice::FasterDelivery(days) => changed.steps.delivery = Span::given(days),
                    Choice::SampleBeforeClear(_) => changed.clear = None,
                    Choice::AmendLater(_) => continue,
                }
                let met = calendar(&changed).unwrap().value;
                assert!(met.can_be_met(), "{choice:?}: {met:?}");
            }
        }
    }

    #[test]
    fn a_renovation_in_the_past_is_refused() {
        let asked = CalendarQuestion {
            renovation: day("2026-01-01"),
            today: day("2026-02-01"),
            clear: None,
            steps: Steps::usual(),
        };
        assert_eq!(calendar(&asked).unwrap_err().argument(), "renovation", "named");
    }

    #[test]
    fn defaults_are_marked_and_given_days_are_not() {
        let usual = ask("2026-04-01", "2026-02-01", None).working;
        assert_eq!(usual.confidence().words(), "common practice, no source", "marked");
        let given = Span::given(5);
        let steps = Steps {
            posting: given.clone(),
            laboratory: given.clone(),
            planning: given.clone(),
            delivery: given,
        };
        let asked = CalendarQuestion {
            renovation: day("2026-04-01"),
            today: day("2026-02-01"),
            clear: None,
            steps,
        };
        assert_eq!(calendar(&asked).unwrap().working.confidence().words(), "", "all given");
    }
}
