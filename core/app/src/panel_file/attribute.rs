//! What a column says about a sample besides readings, and how such cells are read.

use std::sync::LazyLock;

use swardbook_units::{DecimalMark, NaiveDate, Unit, convert, parse_number, parse_unit};

use super::{heading_words::length_unit, mapping::DateRule, reason::Reason};

/// An attribute of a sample.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize, serde::Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum Attribute {
    /// The label on the bag.
    Label,
    /// The laboratory's own number.
    LaboratoryNumber,
    /// The laboratory's name.
    Laboratory,
    /// The property or client.
    Property,
    /// The zone.
    Zone,
    /// The day the cores were pulled.
    Sampled,
    /// The day the laboratory received it.
    Received,
    /// The day the laboratory reported.
    Reported,
    /// The whole depth interval.
    Depth,
    /// Its upper end.
    DepthFrom,
    /// Its lower end.
    DepthTo,
    /// A comment.
    Remark,
}

impl Attribute {
    /// What it says about the sample, in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Label => "the label on the bag",
            Self::LaboratoryNumber => "the laboratory's number",
            Self::Laboratory => "the laboratory's name",
            Self::Property => "the property or client",
            Self::Zone => "the zone",
            Self::Sampled => "the day the cores were pulled",
            Self::Received => "the day the laboratory received it",
            Self::Reported => "the day the laboratory reported",
            Self::Depth => "the depth interval",
            Self::DepthFrom => "the upper end of the depth",
            Self::DepthTo => "the lower end of the depth",
            Self::Remark => "a comment",
        }
    }
}

/// A date as written, before it is known which number is the day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum WrittenDate {
    /// Only one reading is possible.
    Sure(NaiveDate),
    /// Day first or month first.
    TwoWays { day_first: NaiveDate, month_first: NaiveDate },
}

/// Reads a date in the forms laboratories use; a time of day behind it is left out.
pub(super) fn written_date(text: &str) -> Option<WrittenDate> {
    let text = text.trim();
    let day_part = match text.split_once(['T', ' ']) {
        Some((front, back))
            if front.starts_with(|c: char| c.is_ascii_digit())
                && back.contains(':')
                && front.len() >= 8 =>
        {
            front
        }
        _ => text,
    };
    let parts: Vec<&str> =
        day_part.split(['-', '/', '.', ' ', ',']).filter(|p| !p.is_empty()).collect();
    let [a, b, c] = parts[..] else { return None };
    let number = |t: &str| t.parse::<u32>().ok().filter(|_| t.bytes().all(|b| b.is_ascii_digit()));
    let year = |t: &str| match t.len() {
        4 => t.parse::<i32>().ok(),
        // Panels are recent: a year of two digits is one of this century; common practice, no source.
        2 => t.parse::<i32>().ok().map(|y| 2000 + y),
        _ => None,
    };
    let day = |y: i32, m: u32, d: u32| NaiveDate::from_ymd_opt(y, m, d);
    if a.len() == 4 {
        let month = number(b).or_else(|| month_name(b))?;
        return day(year(a)?, month, number(c)?).map(WrittenDate::Sure);
    }
    if let Some(month) = month_name(b) {
        return day(year(c)?, month, number(strip_ordinal(a))?).map(WrittenDate::Sure);
    }
    if let Some(month) = month_name(a) {
        return day(year(c)?, month, number(strip_ordinal(b))?).map(WrittenDate::Sure);
    }
    let (y, a, b) = (year(c)?, number(a)?, number(b)?);
    match (day(y, b, a), day(y, a, b)) {
        // Points between the numbers are only written day first.
        (Some(date), _) if day_part.contains('.') => Some(WrittenDate::Sure(date)),
        (Some(first), Some(second)) if first == second => Some(WrittenDate::Sure(first)),
        (Some(day_first), Some(month_first)) => {
            Some(WrittenDate::TwoWays { day_first, month_first })
        }
        (Some(date), None) | (None, Some(date)) => Some(WrittenDate::Sure(date)),
        (None, None) => None,
    }
}

fn strip_ordinal(text: &str) -> &str {
    text.trim_end_matches(['s', 't', 'n', 'd', 'r', 'h'])
}

fn month_name(text: &str) -> Option<u32> {
    const NAMES: [&str; 12] = [
        "january",
        "february",
        "march",
        "april",
        "may",
        "june",
        "july",
        "august",
        "september",
        "october",
        "november",
        "december",
    ];
    let folded = text.to_lowercase();
    if folded.len() < 3 {
        return None;
    }
    let at = NAMES.iter().position(|name| {
        name.starts_with(&folded) || (folded == "sept" && name.starts_with("sep"))
    })?;
    u32::try_from(at + 1).ok()
}

/// Chooses between day first and month first for a whole column.
pub(super) fn date_order<'a>(cells: impl Iterator<Item = &'a str>, rule: DateRule) -> DateRule {
    if rule != DateRule::Shown {
        return rule;
    }
    let (mut day_first, mut month_first) = (false, false);
    for cell in cells {
        // Year first is never in question.
        if cell.len() > 5 && matches!(cell.as_bytes()[4], b'-' | b'/' | b'.') {
            continue;
        }
        let mut numbers = cell.split(['/', '-']).map(|p| p.trim().parse::<u32>().unwrap_or(0));
        if let (Some(a), Some(b)) = (numbers.next(), numbers.next()) {
            day_first |= (13..=31).contains(&a) && (1..=12).contains(&b);
            month_first |= (13..=31).contains(&b) && (1..=12).contains(&a);
        }
    }
    match (day_first, month_first) {
        (true, false) => DateRule::DayFirst,
        (false, true) => DateRule::MonthFirst,
        _ => DateRule::Shown,
    }
}

/// Reads a date cell.
pub(super) fn read_date(text: &str, rule: DateRule) -> Result<NaiveDate, Reason> {
    match (written_date(text).ok_or(Reason::NotADate)?, rule) {
        (WrittenDate::Sure(date), _) => Ok(date),
        (WrittenDate::TwoWays { day_first, .. }, DateRule::DayFirst) => Ok(day_first),
        (WrittenDate::TwoWays { month_first, .. }, DateRule::MonthFirst) => Ok(month_first),
        (WrittenDate::TwoWays { .. }, DateRule::Shown) => Err(Reason::TwoWayDate),
    }
}

/// Reads a depth cell: "0-100 mm", "0 to 10" under a heading in cm, "100 mm".
///
/// # Units
/// Returns mm; a single depth is the lower end.
pub(super) fn read_depth(
    text: &str,
    unit: Option<&'static Unit>,
) -> Result<(Option<f64>, f64), Reason> {
    let digits_end = text.rfind(|c: char| c.is_ascii_digit()).map(|at| at + 1);
    let (numbers, behind) = text.split_at(digits_end.ok_or(Reason::NotADepth)?);
    let behind = behind.trim();
    let unit = if behind.is_empty() {
        unit.ok_or(Reason::DepthWithoutUnit)?
    } else {
        length_unit(behind).ok_or(Reason::NotADepth)?
    };
    static MM: LazyLock<&Unit> =
        LazyLock::new(|| parse_unit("mm").expect("millimetres are a unit"));
    let parse = |text: &str| -> Result<f64, Reason> {
        let text = text.trim();
        // A unit behind the first number as well: "0 mm - 100 mm".
        let number = text.trim_end_matches(|c: char| c.is_alphabetic() || c == '"').trim();
        let front = text[number.len()..].trim();
        if !front.is_empty() && length_unit(front) != Some(unit) {
            return Err(Reason::NotADepth);
        }
        let value = parse_number(number, DecimalMark::Either).map_err(|_| Reason::NotADepth)?;
        let depth = convert(value, unit, *MM).map_err(|_| Reason::NotADepth)?;
        if depth < 0.0 { Err(Reason::NotADepth) } else { Ok(depth) }
    };
    for between in ["-", "\u{2013}", "\u{2014}", " to ", "/", ".."] {
        if let Some((from, to)) = numbers.split_once(between) {
            let (from, to) = (parse(from)?, parse(to)?);
            return if from < to { Ok((Some(from), to)) } else { Err(Reason::NotADepth) };
        }
    }
    Ok((None, parse(numbers)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_are_read_or_asked_about() {
        let date = |y, m, d| NaiveDate::from_ymd_opt(y, m, d).unwrap();
        let check =
            |text: &str, rule, expected| assert_eq!(read_date(text, rule), expected, "{text:?}");
        check("2026-09-14", DateRule::Shown, Ok(date(2026, 9, 14)));
        check("2026-09-14T10:30:00", DateRule::Shown, Ok(date(2026, 9, 14)));
        check("14/09/2026", DateRule::Shown, Ok(date(2026, 9, 14)));
        check("09/14/2026 08:00", DateRule::Shown, Ok(date(2026, 9, 14)));
        check("05.09.2026", DateRule::Shown, Ok(date(2026, 9, 5)));
        check("05/09/2026", DateRule::Shown, Err(Reason::TwoWayDate));
        check("05/09/2026", DateRule::DayFirst, Ok(date(2026, 9, 5)));
        check("05/09/2026", DateRule::MonthFirst, Ok(date(2026, 5, 9)));
        check("05/05/26", DateRule::Shown, Ok(date(2026, 5, 5)));
        check("14 Sep 2026", DateRule::Shown, Ok(date(2026, 9, 14)));
        check("14-Sept-26", DateRule::Shown, Ok(date(2026, 9, 14)));
        check("September 3rd, 2026", DateRule::Shown, Ok(date(2026, 9, 3)));
        check("31/02/2026", DateRule::Shown, Err(Reason::NotADate));
        check("soon", DateRule::Shown, Err(Reason::NotADate));
        let order = date_order(["05/09/2026", "14/09/2026"].into_iter(), DateRule::Shown);
        assert_eq!(order, DateRule::DayFirst, "one cell decides for its column");
    }

    #[test]
    fn depths_are_read_in_millimetres() {
        let check =
            |text: &str, unit: Option<&str>, expected: Result<(Option<f64>, f64), Reason>| {
                let unit = unit.map(|u| parse_unit(u).unwrap());
                assert_eq!(read_depth(text, unit), expected, "{text:?}");
            };
        check("0-100 mm", None, Ok((Some(0.0), 100.0)));
        check("0 \u{2013} 10 cm", None, Ok((Some(0.0), 100.0)));
        check("0 to 10", Some("cm"), Ok((Some(0.0), 100.0)));
        check("0 mm - 75 mm", None, Ok((Some(0.0), 75.0)));
        check("0-7,5 cm", None, Ok((Some(0.0), 75.0)));
        check("100mm", None, Ok((None, 100.0)));
        check("0-5\"", None, Ok((Some(0.0), 127.0)));
        check("0-10", None, Err(Reason::DepthWithoutUnit));
        check("10-0 cm", None, Err(Reason::NotADepth));
        check("shallow", Some("cm"), Err(Reason::NotADepth));
    }
}
