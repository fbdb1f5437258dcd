//! What interval rows say in words.

use super::{AnalyteRow, Bounds, Estimate, IntervalRows, Limit, Reading, Role};
use crate::figure::DataTable;
use crate::words::Words;
use std::collections::BTreeSet;

/// Rows named in the description; the table has them all.
const NAMED: usize = 12;

pub(super) fn role(role: Role, words: &Words) -> String {
    match role {
        Role::Before => words.before.clone(),
        Role::After => words.after.clone(),
        Role::ControlBefore => format!("{}, {}", words.control, words.before),
        Role::ControlAfter => format!("{}, {}", words.control, words.after),
        Role::Alone => words.reading.to_lowercase(),
    }
}

/// "at least 37, Woods and others 2014: short".
pub(super) fn limit(limit: &Limit, words: &Words) -> String {
    let asks = match limit.bounds {
        Bounds::AtLeast(_) => format!("{} {}", words.at_least, limit.shown),
        Bounds::AtMost(_) => format!("{} {}", words.at_most, limit.shown),
        Bounds::Between(..) => limit.shown.clone(),
    };
    let mut text = asks;
    for (before, more) in [(", ", &limit.source), (": ", &limit.verdict)] {
        if !more.is_empty() {
            text.push_str(before);
            text.push_str(more);
        }
    }
    text
}

/// "310 (250 to 380)".
pub(super) fn estimate(estimate: &Estimate) -> String {
    match &estimate.interval {
        Some(interval) => format!("{} ({})", estimate.shown, interval.shown),
        None => estimate.shown.clone(),
    }
}

/// "Calcium, Mehlich-3, before: 310 mg/kg, 250 to 380".
pub(super) fn readout(row: &AnalyteRow, shown: &Estimate, words: &Words) -> String {
    let mut text = format!("{}, {}: {}", row.name, role(shown.role, words), shown.shown);
    if !row.unit.is_empty() {
        text.push(' ');
        text.push_str(&row.unit);
    }
    match (&shown.interval, shown.reading) {
        (Some(interval), _) => text.push_str(&format!(", {}", interval.shown)),
        (None, Reading::At(_)) => text.push_str(&format!(", {}", words.no_interval)),
        (None, _) => {}
    }
    text
}

pub(super) fn description(rows: &IntervalRows, words: &Words) -> String {
    let mut sentences = Vec::new();
    if !rows.context.is_empty() {
        sentences.push(format!("{}.", rows.context.trim_end_matches('.')));
    }
    for row in rows.rows.iter().take(NAMED) {
        let marks: Vec<String> = row
            .marks
            .iter()
            .map(|shown| format!("{} {}", role(shown.role, words), estimate(shown)))
            .collect();
        let marks = if marks.is_empty() { words.no_reading.clone() } else { marks.join(", ") };
        let verdict =
            if row.verdict.is_empty() { String::new() } else { format!("; {}", row.verdict) };
        sentences.push(format!("{}: {marks} {}{verdict}.", row.name, row.unit));
    }
    if rows.rows.len() > NAMED {
        sentences.push(format!("{}.", words.rest_in_table));
    }
    sentences.join(" ")
}

pub(super) fn table(rows: &IntervalRows, words: &Words) -> DataTable {
    let roles: BTreeSet<Role> =
        rows.rows.iter().flat_map(|row| row.marks.iter().map(|mark| mark.role)).collect();
    let mut headings = vec![words.analyte.clone(), words.unit.clone()];
    headings.extend(roles.iter().map(|r| sentence_case(&role(*r, words))));
    headings.extend([words.verdict.clone(), words.limit.clone()]);
    let cells = rows
        .rows
        .iter()
        .map(|row| {
            let mut cells = vec![row.name.clone(), row.unit.clone()];
            cells.extend(roles.iter().map(|role| {
                let of_role = row.marks.iter().filter(|mark| mark.role == *role);
                of_role.map(estimate).collect::<Vec<_>>().join("; ")
            }));
            cells.push(row.verdict.clone());
            let limits: Vec<String> = row.limits.iter().map(|l| limit(l, words)).collect();
            cells.push(limits.join("; "));
            cells
        })
        .collect();
    let caption = if rows.context.is_empty() {
        rows.title.clone()
    } else {
        format!("{}: {}", rows.title, rows.context)
    };
    DataTable { caption, headings, rows: cells }
}

/// The text with its first letter large.
fn sentence_case(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().collect::<String>() + letters.as_str()
    })
}
