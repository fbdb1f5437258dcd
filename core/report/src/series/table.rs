//! What a series says in words: line after line in the order of days, then what was put down.

use super::{
    Card, SeriesApplication, SeriesBar, SeriesContext, SeriesLine, SeriesPoint, SeriesRows,
};
use crate::figure::DataTable;
use crate::words::Words;
use swardbook_units::NaiveDate;

/// One row of the table: a point of the line with that number, an application, or a bar.
pub(super) enum Entry<'a> {
    Point(usize, &'a SeriesLine, &'a SeriesPoint),
    Application(&'a SeriesApplication),
    Bar(&'a SeriesContext, &'a SeriesBar),
}

impl Entry<'_> {
    pub(super) const fn date(&self) -> NaiveDate {
        match self {
            Entry::Point(_, _, point) => point.date,
            Entry::Application(application) => application.date,
            Entry::Bar(_, bar) => bar.first,
        }
    }
}

/// Every row that was given; the lines keep their order, their points are sorted by day.
pub(super) fn entries(rows: &SeriesRows) -> Vec<Entry<'_>> {
    let mut entries = Vec::new();
    for (index, line) in rows.lines.iter().enumerate() {
        let mut points: Vec<&SeriesPoint> = line.points.iter().collect();
        points.sort_by_key(|point| point.date);
        entries.extend(points.into_iter().map(|point| Entry::Point(index, line, point)));
    }
    let mut applications: Vec<&SeriesApplication> = rows.applications.iter().collect();
    applications.sort_by_key(|application| application.date);
    entries.extend(applications.into_iter().map(Entry::Application));
    if let Some(context) = &rows.context {
        let mut bars: Vec<&SeriesBar> = context.bars.iter().collect();
        bars.sort_by_key(|bar| bar.first);
        entries.extend(bars.into_iter().map(|bar| Entry::Bar(context, bar)));
    }
    entries
}

fn state(card: Card, words: &Words) -> &str {
    match card {
        Card::Corrected => &words.corrected,
        Card::Uncorrected => &words.uncorrected,
    }
}

/// "12 Nov 2025: treated strip, 0.53 (0.51 to 0.55), corrected; at noon".
pub(super) fn readout(rows: &SeriesRows, entry: &Entry<'_>, words: &Words) -> String {
    let date = words.date_text(entry.date());
    let (mut text, detail) = match entry {
        Entry::Point(_, line, point) => {
            let mut text = format!("{date}: {}, {} {}", line.name, point.shown, rows.unit);
            text.truncate(text.trim_end().len());
            if let Some((low, high)) = point.interval {
                text.push_str(&format!(" ({})", words.range(low, high)));
            }
            text.push_str(", ");
            text.push_str(state(point.card, words));
            (text, &point.detail)
        }
        Entry::Application(application) => {
            let text = format!("{date}: {}, {}", words.application, application.label);
            (text, &application.detail)
        }
        Entry::Bar(context, bar) => {
            let last = words.date_text(bar.last);
            let text = format!("{date} {} {last}: {}, {}", words.to, context.name, bar.shown);
            (text, &bar.detail)
        }
    };
    if !detail.is_empty() {
        text.push_str("; ");
        text.push_str(detail);
    }
    text
}

pub(super) fn table(rows: &SeriesRows, entries: &[Entry<'_>], words: &Words) -> DataTable {
    let value = if rows.unit.is_empty() {
        words.value.clone()
    } else {
        format!("{}, {}", words.value, rows.unit)
    };
    let cells = entries
        .iter()
        .map(|entry| match entry {
            Entry::Point(_, line, point) => vec![
                words.date_text(point.date),
                line.name.clone(),
                point.shown.clone(),
                point.interval.map_or_else(String::new, |(low, high)| words.range(low, high)),
                state(point.card, words).to_owned(),
                point.detail.clone(),
            ],
            Entry::Application(application) => vec![
                words.date_text(application.date),
                words.application.clone(),
                application.label.clone(),
                String::new(),
                String::new(),
                application.detail.clone(),
            ],
            Entry::Bar(context, bar) => vec![
                words.date_text(bar.first),
                context.name.clone(),
                bar.shown.clone(),
                String::new(),
                String::new(),
                bar.detail.clone(),
            ],
        })
        .collect();
    let caption = if rows.quantity.is_empty() {
        rows.title.clone()
    } else {
        format!("{}: {}", rows.title, rows.quantity)
    };
    let headings = [&words.date, &words.line, &value, &words.interval, &words.state, &words.detail];
    DataTable { caption, headings: headings.map(Clone::clone).to_vec(), rows: cells }
}

pub(super) fn description(rows: &SeriesRows, words: &Words) -> String {
    const NAMED: usize = 12;
    let (first, last) = (words.date_text(rows.span.first), words.date_text(rows.span.last));
    let mut sentences = vec![format!("{}, {first} {} {last}.", rows.quantity, words.to)];
    for line in rows.lines.iter().take(NAMED) {
        let first = line.points.iter().min_by_key(|point| point.date);
        let last = line.points.iter().max_by_key(|point| point.date);
        let (Some(first), Some(last)) = (first, last) else { continue };
        let (from, to) = (words.date_text(first.date), words.date_text(last.date));
        sentences.push(format!("{}: {from} {}, {to} {}.", line.name, first.shown, last.shown));
    }
    if rows.lines.len() > NAMED {
        sentences.push(format!("{}.", words.rest_in_table));
    }
    let applications: Vec<String> = rows
        .applications
        .iter()
        .take(NAMED)
        .map(|application| format!("{} {}", application.label, words.date_text(application.date)))
        .collect();
    if !applications.is_empty() {
        sentences.push(format!("{}: {}.", words.application, applications.join(", ")));
    }
    if let Some(context) = rows.context.as_ref().filter(|context| !context.bars.is_empty()) {
        sentences.push(format!("{}: {}.", context.name, context.detail));
    }
    sentences.join(" ")
}
