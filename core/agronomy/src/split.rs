//! A dose over what one visit stands, split into visits far enough apart.
//!
//! This module does not own the limits (`materials`) or the calendar of a zone.

use swardbook_units::{Days, Dose, NaiveDate, Worked, Working};

use crate::{
    AgronomyError,
    error::{not_negative, positive, within},
    source,
};

const SPLIT: &str = "split";

/// Visits that nobody plans at once; more is a mistake of a unit.
const MOST_VISITS: f64 = 200.0;

/// What limits a split.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SplitRules {
    /// Most at one visit.
    pub single_dose: Dose,
    /// Least days between two visits.
    pub interval_days: u32,
    /// Most in any twelve months, where something limits it.
    pub per_year: Option<Dose>,
}

/// One visit of a split.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Visit {
    /// What goes on.
    pub dose: Dose,
    /// Days after the first visit.
    pub after_days: u32,
}

/// A dose split into equal visits.
#[derive(Debug, Clone, PartialEq)]
pub struct Split {
    /// The visits, in order; none for no dose.
    pub visits: Vec<Visit>,
}

impl Split {
    /// Years that the visits fall in, counted from the first.
    #[must_use]
    pub fn years(&self) -> u32 {
        self.visits.last().map_or(0, |visit| visit.after_days / YEAR + 1)
    }

    /// The day of each visit from that of the first; none that lies outside the calendar.
    #[must_use]
    pub fn dates(&self, first: NaiveDate) -> Vec<NaiveDate> {
        self.visits
            .iter()
            .filter_map(|visit| first.checked_add_days(Days::new(u64::from(visit.after_days))))
            .collect()
    }
}

/// Days that a yearly limit counts over.
const YEAR: u32 = 365;

/// A dose in as few equal visits as its limits allow.
///
/// # Units  g/m2, days.
/// # Errors `Argument` for a negative dose, a limit that is not above zero or an interval over ten
/// years; `Refused` for more than 200 visits.
/// # Source `definition`: visits = ceil(dose / limit), equal doses; `penn-state-lawn-notes` and
/// `purdue-sulfur-turf` split so.
pub fn split_dose(total: Dose, rules: &SplitRules) -> Result<Worked<Split>, AgronomyError> {
    let total = not_negative(SPLIT, "dose", total.value(), Dose::UNIT)?;
    let single = positive(SPLIT, "single_dose", rules.single_dose.value(), Dose::UNIT)?;
    within(SPLIT, "interval_days", f64::from(rules.interval_days), "d", 0.0, 3650.0)?;
    let yearly = rules
        .per_year
        .map(|most| positive(SPLIT, "per_year", most.value(), Dose::UNIT))
        .transpose()?;
    let limit = yearly.map_or(single, |most| single.min(most));
    // A dose that is over its limit only by rounding is not split.
    let count = (total / limit - 1e-9).ceil().max(0.0);
    if count > MOST_VISITS {
        return Err(AgronomyError::Refused {
            operation: SPLIT,
            argument: "dose",
            why: format!(
                "{total} g/m2 would take {count} visits of {limit} g/m2; check the dose and its unit"
            ),
        });
    }
    let each = if count > 0.0 { total / count } else { 0.0 };
    let in_a_year = yearly.map_or(f64::INFINITY, |most| (most / each + 1e-9).floor().max(1.0));
    let visits = timed(count, each, in_a_year, rules.interval_days);
    let mut working = Working::new("visits = ceil(dose / most at one visit), equal doses")
        .given("Dose", total, Dose::UNIT)
        .given("Most at one visit", single, Dose::UNIT)
        .given("Least days between", f64::from(rules.interval_days), "d")
        .step("visits", format!("ceil({total} / {limit})"), count, "")
        .step("each", format!("{total} / {count}"), each, Dose::UNIT)
        .source(source("definition"))
        .source(source("penn-state-lawn-notes"));
    if let Some(most) = yearly {
        working = working
            .given("Most in a year", most, Dose::UNIT)
            .step(
                "visits in a year",
                format!("floor({most} / {each:.3})"),
                in_a_year.min(count),
                "",
            )
            .source(source("purdue-sulfur-turf"));
    }
    if count > 1.0 {
        working = working.caution("Test again before the last visits: the first may have done it.");
    }
    Ok(Worked::new(Split { visits }, working))
}

/// The days of the visits: the interval apart, and no more in any year than it takes.
fn timed(count: f64, each: f64, in_a_year: f64, interval: u32) -> Vec<Visit> {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "the count of visits is whole and bounded by MOST_VISITS"
    )]
    let (count, in_a_year) = (count as usize, in_a_year.min(count.max(1.0)) as usize);
    let mut days: Vec<u32> = Vec::with_capacity(count);
    for visit in 0..count {
        let after_last = days.last().map_or(0, |day| day + interval);
        let after_year = visit.checked_sub(in_a_year).map_or(0, |earlier| days[earlier] + YEAR);
        days.push(after_last.max(after_year));
    }
    days.into_iter().map(|after_days| Visit { dose: Dose(each), after_days }).collect()
}

/// Visits of lime on a garden bed by the printed rule, six months apart.
///
/// # Units  g/m2 of the recommendation.
/// # Errors `Argument` for a negative dose.
/// # Source `penn-state-garden-notes`: 11 to 20 lb/100 ft2 two, 21 or more three.
pub fn garden_lime_split(total: Dose) -> Result<Worked<Split>, AgronomyError> {
    /// g/m2 in a pound to 100 square feet.
    const POUND: f64 = 453.592_37 / (100.0 * 0.092_903_04);
    let total = not_negative(SPLIT, "dose", total.value(), Dose::UNIT)?;
    let pounds = total / POUND;
    let count = match pounds {
        p if p <= 0.0 => 0.0,
        // Printed in whole pounds: 10 and below one, 11 to 20 two.
        p if p < 10.5 => 1.0,
        p if p < 20.5 => 2.0,
        _ => 3.0,
    };
    let each = if count > 0.0 { total / count } else { 0.0 };
    let working = Working::new("one visit to 10 lb/100 ft2, two to 20, three above")
        .given("Dose", total, Dose::UNIT)
        .step("in pounds to 100 ft2", format!("{total} / {POUND:.3}"), pounds, "lb/100 ft2")
        .step("each", format!("{total} / {count}"), each, Dose::UNIT)
        .source(source("penn-state-garden-notes"));
    Ok(Worked::new(Split { visits: timed(count, each, f64::INFINITY, 183) }, working))
}

#[cfg(test)]
mod tests {
    use super::*;

    const RULES: SplitRules =
        SplitRules { single_dose: Dose(100.0), interval_days: 120, per_year: None };

    fn split(total: f64, rules: &SplitRules) -> Split {
        split_dose(Dose(total), rules).unwrap().value
    }

    #[test]
    fn equal_visits_the_interval_apart() {
        let three = split(250.0, &RULES);
        assert_eq!(three.visits.len(), 3, "ceil of two and a half");
        let sum: f64 = three.visits.iter().map(|v| v.dose.value()).sum();
        assert!((sum - 250.0).abs() < 1e-9, "all of it");
        let days: Vec<u32> = three.visits.iter().map(|v| v.after_days).collect();
        assert_eq!(days, [0, 120, 240], "apart");
        assert_eq!(split(100.0, &RULES).visits.len(), 1, "at the limit");
        assert!(split(0.0, &RULES).visits.is_empty(), "nothing to do");
        assert_eq!(split(0.0, &RULES).years(), 0, "in no year");
    }

    #[test]
    fn no_twelve_months_take_more_than_the_year_s_limit() {
        let rules = SplitRules { per_year: Some(Dose(200.0)), interval_days: 60, ..RULES };
        let split = split(500.0, &rules);
        assert_eq!(split.visits.len(), 5, "five of a hundred");
        assert_eq!(split.years(), 3, "two a year");
        for visit in &split.visits {
            let within: f64 = split
                .visits
                .iter()
                .filter(|v| (visit.after_days..visit.after_days + YEAR).contains(&v.after_days))
                .map(|v| v.dose.value())
                .sum();
            assert!(within <= 200.0 + 1e-9, "{within} from day {}", visit.after_days);
        }
        let tight = SplitRules { per_year: Some(Dose(50.0)), ..RULES };
        assert_eq!(self::split(100.0, &tight).visits.len(), 2, "the year's limit is the smaller");
    }

    #[test]
    fn days_of_the_calendar() {
        let first = swardbook_units::parse_date("2026-09-14").unwrap();
        let dates = split(150.0, &RULES).dates(first);
        let expected = ["2026-09-14", "2027-01-12"];
        for (date, text) in dates.iter().zip(expected) {
            assert_eq!(*date, swardbook_units::parse_date(text).unwrap(), "120 days");
        }
    }

    #[test]
    fn a_slip_of_a_unit_is_not_planned() {
        let error = split_dose(Dose(250_000.0), &RULES).unwrap_err();
        assert_eq!(error.argument(), "dose", "{error}");
        let zero = SplitRules { single_dose: Dose(0.0), ..RULES };
        assert_eq!(split_dose(Dose(1.0), &zero).unwrap_err().argument(), "single_dose", "named");
    }
}
