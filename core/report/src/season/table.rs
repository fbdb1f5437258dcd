//! What a season line says in words, in the order of its days.

use super::{Card, ClearWindow, Renovation, SeasonEvent, SeasonRows, Stage, Track, What};
use crate::figure::DataTable;
use crate::words::Words;
use swardbook_units::NaiveDate;

/// One row of the table and what it came from.
pub(super) struct Entry<'a> {
    pub(super) date: NaiveDate,
    pub(super) from: From<'a>,
    kind: String,
    name: String,
    detail: String,
}

#[derive(Clone, Copy)]
pub(super) enum From<'a> {
    Event(&'a SeasonEvent),
    Clear(&'a ClearWindow),
    Renovation(&'a Renovation),
}

/// Every row that was given, sorted by day; entries of one day stay in the order given.
pub(super) fn entries<'a>(rows: &'a SeasonRows, words: &Words) -> Vec<Entry<'a>> {
    let clear = rows.clear.iter().map(|window| Entry {
        date: window.first,
        from: From::Clear(window),
        kind: words.clear.clone(),
        name: window_name(window, words),
        detail: window.reason.clone(),
    });
    let renovations = rows.renovations.iter().map(|day| Entry {
        date: day.date,
        from: From::Renovation(day),
        kind: words.renovation.clone(),
        name: day.label.clone(),
        detail: String::new(),
    });
    let events = rows.events.iter().map(|event| Entry {
        date: event.date,
        from: From::Event(event),
        kind: kind(&event.what, words),
        name: name(event, words),
        detail: detail(event),
    });
    let mut entries: Vec<Entry<'_>> = clear.chain(renovations).chain(events).collect();
    entries.sort_by_key(|entry| entry.date);
    entries
}

fn window_name(window: &ClearWindow, words: &Words) -> String {
    match window.last {
        Some(last) => {
            format!("{} {} {}", words.date_text(window.first), words.to, words.date_text(last))
        }
        None => format!("{} {}", words.from, words.date_text(window.first)),
    }
}

fn kind(what: &What, words: &Words) -> String {
    let staged = |kind: &str, stage: Stage| match stage {
        Stage::Before => format!("{kind}, {}", words.before),
        Stage::After => format!("{kind}, {}", words.after),
        Stage::Alone => kind.to_owned(),
    };
    let word = kind_word(what, words);
    match what {
        What::Sample(stage) | What::Panel(stage) => staged(word, *stage),
        What::Planned => format!("{word}, {}", words.planned),
        What::Photo(Card::Corrected) => format!("{word}, {}", words.corrected),
        What::Photo(Card::Uncorrected) => format!("{word}, {}", words.uncorrected),
        _ => word.to_owned(),
    }
}

fn kind_word<'w>(what: &What, words: &'w Words) -> &'w str {
    match what {
        What::Sample(_) => &words.sample,
        What::Panel(_) => &words.panel,
        What::Application | What::Planned => &words.application,
        What::Rating { .. } => &words.rated,
        What::Photo(_) => &words.photo,
        What::Note => &words.note,
        What::SpotReading => &words.spot_reading,
    }
}

pub(super) fn track(track: Track, words: &Words) -> &str {
    match track {
        Track::Whole => &words.whole,
        Track::Treated => &words.treated,
        Track::Control => &words.control,
    }
}

fn name(event: &SeasonEvent, words: &Words) -> String {
    let What::Rating { value, track: of, .. } = event.what else {
        return event.label.clone();
    };
    let mut text = format!("{}, {}", words.number(value), track(of, words));
    if !event.label.is_empty() {
        text.push_str(", ");
        text.push_str(&event.label);
    }
    text
}

fn detail(event: &SeasonEvent) -> String {
    match &event.what {
        What::Rating { rater, .. } if !rater.is_empty() && event.detail.is_empty() => rater.clone(),
        What::Rating { rater, .. } if !rater.is_empty() => format!("{rater}; {}", event.detail),
        _ => event.detail.clone(),
    }
}

impl Entry<'_> {
    /// "12 Nov 2025: put down, lime; 0.4 kg/m2, watered in".
    pub(super) fn readout(&self, words: &Words) -> String {
        let mut text = format!("{}: {}", words.date_text(self.date), self.kind);
        for (before, more) in [(", ", &self.name), ("; ", &self.detail)] {
            if !more.is_empty() {
                text.push_str(before);
                text.push_str(more);
            }
        }
        text
    }
}

/// What a mark that stands for several entries says: their days, number and first names.
pub(super) fn group_readout(entries: &[&Entry<'_>], words: &Words) -> String {
    const NAMED: usize = 5;
    let (Some(first), Some(last)) = (entries.first(), entries.last()) else {
        return String::new();
    };
    if let [only] = entries {
        return only.readout(words);
    }
    let days = if first.date == last.date {
        words.date_text(first.date)
    } else {
        format!("{} {} {}", words.date_text(first.date), words.to, words.date_text(last.date))
    };
    let names: Vec<&str> = entries
        .iter()
        .take(NAMED)
        .map(|entry| if entry.name.is_empty() { entry.kind.as_str() } else { entry.name.as_str() })
        .collect();
    let more = if entries.len() > NAMED { ", \u{2026}" } else { "" };
    format!("{days}: {} {}: {}{more}", entries.len(), words.entries, names.join(", "))
}

pub(super) fn table(rows: &SeasonRows, entries: &[Entry<'_>], words: &Words) -> DataTable {
    let cells = entries
        .iter()
        .map(|entry| {
            let seasons: Vec<&str> = rows
                .spans
                .iter()
                .filter(|span| span.holds(entry.date))
                .map(|span| span.name.as_str())
                .collect();
            vec![
                words.date_text(entry.date),
                entry.kind.clone(),
                entry.name.clone(),
                entry.detail.clone(),
                seasons.join(", "),
            ]
        })
        .collect();
    DataTable {
        caption: rows.title.clone(),
        headings: [&words.date, &words.kind, &words.name, &words.detail, &words.season]
            .map(Clone::clone)
            .to_vec(),
        rows: cells,
    }
}

pub(super) fn description(rows: &SeasonRows, words: &Words) -> String {
    let mut sentences: Vec<String> = rows
        .spans
        .iter()
        .map(|span| {
            let days = format!(
                "{} {} {}",
                words.date_text(span.first),
                words.to,
                words.date_text(span.last)
            );
            if span.name.is_empty() {
                format!("{days}.")
            } else {
                format!("{}: {days}.", span.name)
            }
        })
        .collect();
    let mut counts: Vec<(&str, usize)> = Vec::new();
    for event in &rows.events {
        let word = match event.what {
            What::Planned => words.planned.as_str(),
            _ => kind_word(&event.what, words),
        };
        match counts.iter_mut().find(|(known, _)| *known == word) {
            Some((_, count)) => *count += 1,
            None => counts.push((word, 1)),
        }
    }
    let counts: Vec<String> =
        counts.into_iter().map(|(word, count)| format!("{word} {count}")).collect();
    if !counts.is_empty() {
        sentences.push(format!("{}.", counts.join(", ")));
    }
    const NAMED: usize = 6;
    for window in rows.clear.iter().take(NAMED) {
        let because =
            if window.reason.is_empty() { String::new() } else { format!(": {}", window.reason) };
        sentences.push(format!("{} {}{because}.", words.clear, window_name(window, words)));
    }
    for day in rows.renovations.iter().take(NAMED) {
        sentences.push(format!("{} {}.", words.renovation, words.date_text(day.date)));
    }
    if let Some(today) = rows.today {
        sentences.push(format!("{} {}.", words.today, words.date_text(today)));
    }
    sentences.join(" ")
}
