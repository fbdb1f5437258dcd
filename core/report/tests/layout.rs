//! Where everything lies, as numbers: a change of layout shows here before it shows on a screen.

mod demo;

use std::fmt::Write as _;
use swardbook_report::season::{Card, SeasonRows, Span, Track, What};
use swardbook_report::{BoxKind, Figure, Theme, season};
use swardbook_units::Days;

fn layout(figure: &Figure) -> String {
    let mut text = format!("{:.0} x {:.0}\n", figure.width, figure.height);
    for placed in &figure.boxes {
        let kind = match placed.kind {
            BoxKind::Text => "text",
            BoxKind::Mark => "mark",
            BoxKind::Ground => "ground",
        };
        writeln!(
            text,
            "{kind:6} {:7.1} {:7.1} {:7.1} {:7.1}  {}",
            placed.x, placed.y, placed.width, placed.height, placed.what
        )
        .expect("writing to a String cannot fail");
    }
    text
}

#[test]
fn figures_lie_where_they_lay() {
    for (name, width) in [("field", 380), ("office", 1000)] {
        for (figure_name, figure) in demo::all(&demo::look(width, Theme::FollowPage)) {
            insta::assert_snapshot!(format!("{figure_name}-{name}"), layout(&figure));
        }
    }
}

#[test]
fn tables_say_what_they_said() {
    for (name, figure) in demo::all(&demo::look(1000, Theme::FollowPage)) {
        let table = &figure.table;
        let mut text = format!("{}\n\n{}\n\n", figure.description, table.caption);
        for row in std::iter::once(&table.headings).chain(&table.rows) {
            writeln!(text, "{}", row.join(" | ")).unwrap();
        }
        insta::assert_snapshot!(format!("{name}-table"), text);
    }
}

/// A busy line of `events` days in ten years.
fn busy(events: usize) -> SeasonRows {
    let mut rows = demo::season();
    let whats = [
        What::Application,
        What::Note,
        What::Photo(Card::Corrected),
        What::Rating { value: 6.0, track: Track::Whole, rater: String::new() },
    ];
    rows.events = (0..events)
        .map(|i| {
            let mut event = demo::event("2016-07-01", whats[i % 4].clone(), "entry", "");
            event.date = event.date + Days::new((i * 3650 / events) as u64);
            event
        })
        .collect();
    rows.spans = vec![Span {
        name: String::new(),
        first: demo::date("2016-07-01"),
        last: demo::date("2026-06-30"),
    }];
    rows
}

/// The drawing's size is bounded by its width, not by what it holds; only what the marks say of
/// their rows grows, by a few bytes a row.
#[test]
fn a_crowd_costs_no_more_marks_than_there_is_room_for() {
    for width in demo::WIDTHS {
        let look = demo::look(width, Theme::FollowPage);
        let marks = |events: usize| {
            let figure = season::draw(&busy(events), &look).unwrap();
            assert_eq!(demo::collisions(&figure), [], "{width} {events}");
            let marks = figure.boxes.iter().filter(|placed| placed.kind == BoxKind::Mark).count();
            (marks, figure.svg.len())
        };
        let (few, few_bytes) = marks(3_000);
        let (many, many_bytes) = marks(30_000);
        assert!(many <= few + few / 4 + 8, "{width}: {few} marks became {many}");
        assert!(many_bytes < few_bytes + 27_000 * 8, "{width}: {few_bytes} became {many_bytes}");
    }
}

/// Field marks and words must not depend on which month the season starts in.
#[test]
fn each_month_of_a_season_is_named_on_a_phone() {
    let figure = season::draw(&demo::season(), &demo::look(360, Theme::FollowPage)).unwrap();
    for month in demo::look(360, Theme::FollowPage).words.months {
        assert!(figure.boxes.iter().any(|placed| placed.what == month), "{month} is not named");
    }
    assert!(figure.boxes.iter().any(|placed| placed.what == "2026"), "the year turns on the axis");
}

/// Two people's ratings of one strip are two lines, and their dashes differ.
#[test]
fn ratings_of_two_people_are_not_joined() {
    let mut rows = demo::season();
    rows.events.retain(|event| matches!(event.what, What::Rating { .. }));
    (rows.clear, rows.renovations, rows.today) = (Vec::new(), Vec::new(), None);
    let mut lines = |second: &str| {
        for (i, event) in rows.events.iter_mut().enumerate() {
            let rater = if i % 4 < 2 { "Tamsin Okoro" } else { second };
            if let What::Rating { rater: of, track, .. } = &mut event.what {
                (*of, *track) = (rater.to_owned(), Track::Whole);
            }
        }
        let figure = season::draw(&rows, &demo::look(900, Theme::FollowPage)).unwrap();
        let is_line = |line: &&str| {
            line.contains("stroke=\"var(--ink)\" stroke-width=\"1.4\"")
                && line.contains("fill=\"none\"")
        };
        let lines: Vec<String> = figure.svg.lines().filter(is_line).map(str::to_owned).collect();
        let dashed = lines.iter().filter(|line| line.contains("stroke-dasharray")).count();
        (lines.len(), dashed)
    };
    assert_eq!(lines("Tamsin Okoro"), (1, 0));
    assert_eq!(lines("the greenkeeper"), (2, 1));
}

#[test]
fn an_empty_figure_says_that_it_is_empty() {
    let look = demo::look(380, Theme::FollowPage);
    let mut season = demo::season();
    (season.events, season.clear, season.renovations) = (Vec::new(), Vec::new(), Vec::new());
    let mut intervals = demo::intervals();
    intervals.rows.clear();
    let mut series = demo::series();
    (series.lines, series.applications) = (Vec::new(), Vec::new());
    for figure in [
        season::draw(&season, &look).unwrap(),
        swardbook_report::intervals::draw(&intervals, &look).unwrap(),
        swardbook_report::series::draw(&series, &look).unwrap(),
    ] {
        assert!(figure.boxes.iter().any(|b| b.what == look.words.nothing), "{}", figure.title);
        assert_eq!(demo::collisions(&figure), []);
    }
}
