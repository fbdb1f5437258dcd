//! What a season line of ten years costs.

use swardbook_report::season::{self, Card, SeasonEvent, SeasonRows, Span, Stage, Track, What};
use swardbook_report::{Hemisphere, Look, Theme, Words};
use swardbook_units::{Days, NaiveDate, parse_date};

fn main() {
    divan::main();
}

fn date(text: &str) -> NaiveDate {
    parse_date(text).expect("a date written in this file")
}

/// `events` records over ten years, as one span or as ten.
fn rows(events: u64, spans: i32) -> SeasonRows {
    let kinds = [
        What::Application,
        What::Note,
        What::Photo(Card::Corrected),
        What::Rating { value: 6.5, track: Track::Treated, rater: "Tamsin Okoro".to_owned() },
        What::Sample(Stage::Alone),
        What::SpotReading,
    ];
    let first = date("2016-07-01");
    let events = (0..events)
        .zip(kinds.iter().cycle())
        .map(|(i, what)| SeasonEvent {
            id: format!("record-{i}"),
            date: first + Days::new(i * 3650 / events),
            what: what.clone(),
            label: "entry".to_owned(),
            detail: "what was done and how".to_owned(),
        })
        .collect();
    let years = 10 / spans;
    let spans = (0..spans)
        .map(|i| {
            let year = 2016 + i * years;
            Span {
                name: format!("{year}"),
                first: date(&format!("{year}-07-01")),
                last: date(&format!("{}-06-30", year + years)),
            }
        })
        .collect();
    SeasonRows {
        title: "Ten years of the back terrace".to_owned(),
        spans,
        today: Some(date("2026-04-20")),
        renovations: Vec::new(),
        clear: Vec::new(),
        events,
    }
}

fn look(width_px: u32) -> Look {
    let words = Words::english(Hemisphere::South);
    Look { name: "bench".to_owned(), width_px, theme: Theme::FollowPage, words }
}

#[divan::bench(args = [300, 3_000, 30_000])]
fn ten_years_on_one_axis(bencher: divan::Bencher<'_, '_>, events: u64) {
    let (rows, look) = (rows(events, 1), look(1000));
    bencher.bench(|| season::draw(divan::black_box(&rows), &look));
}

#[divan::bench(args = [300, 3_000, 30_000])]
fn ten_seasons_under_each_other(bencher: divan::Bencher<'_, '_>, events: u64) {
    let (rows, look) = (rows(events, 10), look(1000));
    bencher.bench(|| season::draw(divan::black_box(&rows), &look));
}

#[divan::bench(args = [300, 3_000, 30_000])]
fn ten_seasons_on_a_phone(bencher: divan::Bencher<'_, '_>, events: u64) {
    let (rows, look) = (rows(events, 10), look(380));
    bencher.bench(|| season::draw(divan::black_box(&rows), &look));
}
