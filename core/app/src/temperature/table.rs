//! A table of temperatures as people and loggers write it.

use std::collections::BTreeMap;

use swardbook_units::{DecimalMark, NaiveDate, parse_number};

use crate::Problem;

/// What a temperature is counted in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Scale {
    /// Degrees Celsius.
    Celsius,
    /// Degrees Fahrenheit.
    Fahrenheit,
}

impl Scale {
    /// By its letter.
    ///
    /// # Errors
    /// [`Problem`] for any other.
    pub(crate) fn of(letter: &str) -> Result<Self, Problem> {
        match letter {
            "C" => Ok(Self::Celsius),
            "F" => Ok(Self::Fahrenheit),
            other => Err(Problem::bad(
                "unit",
                format!("\"{other}\" is no unit of temperature here; there are C and F"),
            )),
        }
    }

    fn celsius(self, value: f64) -> f64 {
        match self {
            Self::Celsius => value,
            Self::Fahrenheit => (value - 32.0) / 1.8,
        }
    }
}

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Column {
    Day,
    Mean,
    Least,
    Greatest,
    Other,
}

/// Coldest and hottest air that was ever measured, rounded outwards, degrees Celsius.
const RANGE: (f64, f64) = (-90.0, 60.0);

/// The mean of each day, degrees Celsius: of its readings, or of least and greatest.
///
/// Columns are told by their headings; without headings the first is the day and the second the
/// temperature (or, with three, least and greatest).
/// Several rows of one day, as a logger writes them, are averaged.
///
/// # Errors
/// [`Problem`] naming the line.
pub(crate) fn daily_means(
    text: &str,
    given: Option<Scale>,
) -> Result<BTreeMap<NaiveDate, f64>, Problem> {
    let delimiter = delimiter(text);
    let mut columns: Option<Vec<Column>> = None;
    let mut scale = given.unwrap_or(Scale::Celsius);
    let mut sums: BTreeMap<NaiveDate, (f64, u32)> = BTreeMap::new();
    for (at, line) in text.lines().enumerate() {
        let line = line.trim();
        if line.is_empty() || line.starts_with('#') {
            continue;
        }
        let cells: Vec<&str> = match delimiter {
            Some(delimiter) => line.split(delimiter).map(clean).collect(),
            None => line.split_whitespace().map(clean).collect(),
        };
        let bad = |why: String| Problem::bad("text", format!("line {}: {why}", at + 1));
        let known = match &columns {
            Some(columns) => columns,
            None => {
                let is_heading = day_of(cells.first().copied().unwrap_or_default()).is_none();
                let found = if is_heading { headings(&cells) } else { unnamed(cells.len()) };
                if !found.contains(&Column::Day)
                    || !found.iter().any(|c| matches!(c, Column::Mean | Column::Greatest))
                {
                    return Err(bad("there is no column of days and one of temperatures; name \
                                    them date and temperature, or date, min and max"
                        .to_owned()));
                }
                if is_heading && given.is_none() && says_fahrenheit(&cells) {
                    scale = Scale::Fahrenheit;
                }
                let known = columns.insert(found);
                if is_heading {
                    continue;
                }
                known
            }
        };
        let cell = |wanted: Column| {
            known.iter().position(|c| *c == wanted).and_then(|at| cells.get(at)).copied()
        };
        let day = cell(Column::Day).unwrap_or_default();
        let date = day_of(day).ok_or_else(|| {
            bad(format!("\"{day}\" is no day such as 2026-09-14; write the year first"))
        })?;
        let number = |wanted: Column| -> Result<Option<f64>, Problem> {
            let Some(text) = cell(wanted).filter(|text| !text.is_empty()) else { return Ok(None) };
            let value = parse_number(text, DecimalMark::Either)
                .map_err(|e| bad(format!("\"{text}\": {e}")))?;
            let celsius = scale.celsius(value);
            if (RANGE.0..=RANGE.1).contains(&celsius) {
                return Ok(Some(celsius));
            }
            Err(bad(format!("{text} is no temperature of the air; is it in the other unit?")))
        };
        let mean = match (number(Column::Mean)?, number(Column::Least)?, number(Column::Greatest)?)
        {
            (Some(mean), _, _) => mean,
            (None, Some(least), Some(greatest)) => f64::midpoint(least, greatest),
            // A day that the logger missed.
            _ => continue,
        };
        let sum = sums.entry(date).or_insert((0.0, 0));
        *sum = (sum.0 + mean, sum.1 + 1);
    }
    Ok(sums.into_iter().map(|(day, (sum, count))| (day, sum / f64::from(count))).collect())
}

fn clean(cell: &str) -> &str {
    cell.trim().trim_matches('"').trim()
}

/// What stands between cells: the first of these that the first full line holds.
fn delimiter(text: &str) -> Option<char> {
    let line = text.lines().find(|line| !line.trim().is_empty() && !line.starts_with('#'))?;
    // With a comma before decimals, cells are parted by something else.
    ['\t', ';', ','].into_iter().find(|mark| line.contains(*mark))
}

/// A day, also with a time behind it.
fn day_of(cell: &str) -> Option<NaiveDate> {
    let day = cell.split([' ', 'T']).next()?;
    swardbook_units::parse_date(day).ok()
}

fn headings(cells: &[&str]) -> Vec<Column> {
    cells
        .iter()
        .map(|cell| {
            let word = cell.to_lowercase();
            let has = |part: &str| word.contains(part);
            if has("date") || has("day") || word == "time" || has("timestamp") {
                Column::Day
            } else if has("min") || has("low") {
                Column::Least
            } else if has("max") || has("high") {
                Column::Greatest
            } else if has("temp") || has("mean") || has("average") || word == "t" {
                Column::Mean
            } else {
                Column::Other
            }
        })
        .collect()
}

fn unnamed(count: usize) -> Vec<Column> {
    match count {
        3 => vec![Column::Day, Column::Least, Column::Greatest],
        _ => vec![Column::Day, Column::Mean],
    }
}

fn says_fahrenheit(cells: &[&str]) -> bool {
    cells.iter().any(|cell| {
        let word = cell.to_lowercase();
        word.contains("fahrenheit") || word.contains("\u{b0}f") || word.ends_with("(f)")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, expected: &[(&str, f64)]) {
        let means = daily_means(text, None).expect(text);
        let got: Vec<(String, f64)> =
            means.iter().map(|(day, mean)| (day.to_string(), *mean)).collect();
        assert_eq!(got.len(), expected.len(), "{text}");
        for ((day, mean), (wanted, value)) in got.iter().zip(expected) {
            assert_eq!(day, wanted, "{text}");
            assert!((mean - value).abs() < 1e-9, "{text}: {mean}");
        }
    }

    #[test]
    fn tables_of_people_and_loggers_are_read() {
        check("2026-09-14 14.2\n2026-09-15 15", &[("2026-09-14", 14.2), ("2026-09-15", 15.0)]);
        check("date,min,max\n2026-09-14,8,20\n2026-09-15,,\n", &[("2026-09-14", 14.0)]);
        check("date;temperature\n2026-09-14;14,5\n", &[("2026-09-14", 14.5)]);
        check("day\tTemp (F)\n2026-09-14\t68\n", &[("2026-09-14", 20.0)]);
        check(
            "timestamp,temp\n2026-09-14 00:00,10\n2026-09-14T12:00,20\n",
            &[("2026-09-14", 15.0)],
        );
        for (text, words) in [
            ("14/09/2026,14\n", "line 1"),
            ("date,temp\n14/09/2026,14\n", "year first"),
            ("date,temp\n2026-09-14,140\n", "other unit"),
            ("date,rain\n2026-09-14,3\n", "no column"),
        ] {
            let problem = daily_means(text, None).expect_err(text);
            assert!(problem.message.contains(words), "{text}: {problem}");
        }
    }
}
