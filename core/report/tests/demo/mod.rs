//! Rows of the invented scenario, for every figure.

#![allow(dead_code, reason = "each test file uses its own part of the scenario")]

use swardbook_report::intervals::{
    AnalyteRow, Bounds, Estimate, Interval, IntervalRows, Limit, Reading, Role, Scale,
};
use swardbook_report::plan_drawing::{
    CoreFate, CorePoint, Extent, PhotoSpot, PlanRows, Spot, StripShape, ZoneShape,
};
use swardbook_report::season::{
    Card, ClearWindow, Renovation, SeasonEvent, SeasonRows, Span, Stage, Track, What,
};
use swardbook_report::series::{
    SeriesApplication, SeriesBar, SeriesContext, SeriesLine, SeriesPoint, SeriesRows,
};
use swardbook_report::{BoxKind, Figure, Hemisphere, Look, PlacedBox, Skin, Theme, Words};
use swardbook_units::{Days, NaiveDate, parse_date};

pub(crate) fn date(text: &str) -> NaiveDate {
    parse_date(text).expect("a date written in a test")
}

pub(crate) fn look(width_px: u32, theme: Theme) -> Look {
    let words = Words::english(Hemisphere::South);
    Look { name: "demo".to_owned(), width_px, theme, words }
}

pub(crate) const THEMES: [Theme; 5] = [
    Theme::FollowPage,
    Theme::Standalone(Skin::Light),
    Theme::Standalone(Skin::Dark),
    Theme::Standalone(Skin::Sunlight),
    Theme::Embedded(Skin::Light),
];

/// Field and office.
pub(crate) const WIDTHS: [u32; 4] = [360, 390, 900, 1200];

/// Texts that lie over another text or a mark, or stick out of the drawing.
pub(crate) fn collisions(figure: &Figure) -> Vec<(PlacedBox, Option<PlacedBox>)> {
    let mut found = Vec::new();
    for (i, a) in figure.boxes.iter().enumerate() {
        let is_text = a.kind == BoxKind::Text;
        let is_out = a.x < -1.0
            || a.y < -1.0
            || a.x + a.width > figure.width + 1.0
            || a.y + a.height > figure.height + 1.0;
        if is_text && is_out {
            found.push((a.clone(), None));
        }
        for b in &figure.boxes[i + 1..] {
            let either_is_text = is_text || b.kind == BoxKind::Text;
            let neither_is_ground = a.kind != BoxKind::Ground && b.kind != BoxKind::Ground;
            if either_is_text && neither_is_ground && a.overlaps(b) {
                found.push((a.clone(), Some(b.clone())));
            }
        }
    }
    found
}

pub(crate) fn event(day: &str, what: What, label: &str, detail: &str) -> SeasonEvent {
    SeasonEvent {
        id: format!("{label}-{day}"),
        date: date(day),
        what,
        label: label.to_owned(),
        detail: detail.to_owned(),
    }
}

pub(crate) fn season() -> SeasonRows {
    let mut events = vec![
        event("2025-09-12", What::Sample(Stage::Before), "cores, 100 mm", "7 cores kept"),
        event("2025-09-29", What::Panel(Stage::Before), "panel", "Fenwhistle Laboratory"),
        event("2026-04-08", What::Sample(Stage::After), "retest", "7 cores kept"),
        event("2026-04-24", What::Panel(Stage::After), "panel", "Fenwhistle Laboratory"),
        event("2025-10-02", What::Application, "lime", "0.4 kg/m2"),
        event("2025-10-09", What::Application, "gypsum", "0.2 kg/m2"),
        event("2025-11-11", What::Application, "sulfate of potash", "20 g/m2"),
        event("2025-12-28", What::Application, "slow feed", "watered in"),
        event("2026-05-02", What::Planned, "sulfate of potash", "second half"),
        event("2025-09-20", What::Photo(Card::Corrected), "colour 0.53", ""),
        event("2025-09-28", What::Note, "dry patch", "north corner"),
        event("2026-01-03", What::SpotReading, "moisture 18 %", ""),
        event("2026-01-12", What::Photo(Card::Uncorrected), "no card", ""),
    ];
    for (i, (treated, control)) in
        [(5.0, 5.0), (4.5, 4.0), (6.5, 5.5), (7.5, 6.0)].iter().enumerate()
    {
        for (value, track) in [(*treated, Track::Treated), (*control, Track::Control)] {
            let mut rating = event(
                "2025-09-06",
                What::Rating { value, track, rater: "Tamsin Okoro".to_owned() },
                "",
                "",
            );
            rating.date = rating.date + Days::new(40 * i as u64);
            events.push(rating);
        }
    }
    SeasonRows {
        title: "Season of the back terrace".to_owned(),
        spans: vec![Span {
            name: "2025-26".to_owned(),
            first: date("2025-07-01"),
            last: date("2026-06-30"),
        }],
        today: Some(date("2026-04-20")),
        renovations: vec![Renovation {
            id: "r".to_owned(),
            date: date("2025-10-01"),
            label: "renovation".to_owned(),
        }],
        clear: vec![
            ClearWindow {
                first: date("2025-09-14"),
                last: Some(date("2025-10-01")),
                reason: "last granular feed was 16 Jun".to_owned(),
            },
            ClearWindow {
                first: date("2026-03-28"),
                last: None,
                reason: "last granular feed was 28 Dec".to_owned(),
            },
        ],
        events,
    }
}

pub(crate) fn estimate(role: Role, value: f64, low: f64, high: f64) -> Estimate {
    Estimate {
        role,
        reading: Reading::At(value),
        shown: value.to_string(),
        interval: Some(Interval { low, high, shown: format!("{low} to {high}") }),
    }
}

pub(crate) fn limit(bounds: Bounds, shown: &str, source: &str) -> Limit {
    Limit { bounds, shown: shown.to_owned(), source: source.to_owned(), verdict: String::new() }
}

pub(crate) fn analyte(name: &str, scale: Scale, marks: Vec<Estimate>, verdict: &str) -> AnalyteRow {
    AnalyteRow {
        id: name.to_owned(),
        name: name.to_owned(),
        unit: if scale == Scale::Log { "mg/kg".to_owned() } else { String::new() },
        scale,
        marks,
        limits: Vec::new(),
        verdict: verdict.to_owned(),
    }
}

/// Numbers are invented; the guideline sources are named as they would be.
pub(crate) fn intervals() -> IntervalRows {
    let pair = |b: (f64, f64, f64), a: (f64, f64, f64)| {
        vec![estimate(Role::Before, b.0, b.1, b.2), estimate(Role::After, a.0, a.1, a.2)]
    };
    let ph = Scale::Linear { least_span: 1.0 };
    let mut rows = vec![
        analyte(
            "pH in calcium chloride",
            ph,
            pair((4.7, 4.4, 5.0), (5.4, 5.1, 5.7)),
            "risen by 0.7",
        ),
        analyte("Calcium", Scale::Log, pair((310.0, 240.0, 400.0), (480.0, 370.0, 620.0)), "risen"),
        analyte(
            "Phosphorus",
            Scale::Log,
            pair((39.0, 28.0, 54.0), (33.0, 24.0, 46.0)),
            "cannot tell: five cores each; nine would settle a change of 30 %",
        ),
        analyte("Boron", Scale::Log, pair((0.5, 0.3, 0.6), (0.9, 0.6, 1.3)), "risen"),
        analyte(
            "Potassium",
            Scale::Log,
            vec![estimate(Role::Alone, 44.0, 32.0, 59.0)],
            "they differ",
        ),
    ];
    rows[0].limits =
        vec![limit(Bounds::Between(5.2, 6.5), "5.2 to 6.5", "common practice, no source")];
    rows[1].limits = vec![limit(Bounds::AtLeast(331.0), "331", "an invented table")];
    rows[3].marks[0].reading = Reading::Below(0.5);
    rows[3].marks[0].shown = "<0.5".to_owned();
    rows[3].marks[0].interval = None;
    rows[4].limits = vec![
        limit(Bounds::AtLeast(37.0), "37", "an invented table"),
        limit(Bounds::Between(50.0, 116.0), "50 to 116", "another invented table, medium range"),
        limit(Bounds::AtMost(200.0), "200", "common practice, no source"),
    ];
    IntervalRows {
        title: "Before and after, back terrace".to_owned(),
        context: "12 Sep 2025 and 8 Apr 2026, same depth, laboratory and methods".to_owned(),
        rows,
    }
}

pub(crate) fn spot(east: f64, north: f64) -> Spot {
    Spot { east, north }
}

pub(crate) fn plan() -> PlanRows {
    let zone = |name: &str, corners: &[(f64, f64)]| ZoneShape {
        id: name.to_owned(),
        name: name.to_owned(),
        detail: "couch".to_owned(),
        extent: Extent::Outline {
            outer: corners.iter().map(|(e, n)| spot(*e, *n)).collect(),
            holes: Vec::new(),
        },
    };
    let strip = |name: &str, role, east: f64| StripShape {
        id: name.to_owned(),
        name: name.to_owned(),
        role,
        outline: vec![
            spot(east, 13.0),
            spot(east + 2.0, 13.0),
            spot(east + 2.0, 23.0),
            spot(east, 23.0),
        ],
    };
    let fates = [
        CoreFate::Kept,
        CoreFate::Kept,
        CoreFate::SetAside { reason: "imported sand".to_owned() },
        CoreFate::Planned,
    ];
    let cores = fates.into_iter().enumerate().map(|(i, fate)| CorePoint {
        id: format!("core-{i}"),
        label: (i + 1).to_string(),
        at: spot(10.0 + 2.5 * i as f64, 14.0 + 2.0 * i as f64),
        fate,
    });
    PlanRows {
        title: "Kettle Bend, own ground".to_owned(),
        up_bearing: Some(20.0),
        zones: vec![
            zone("Front verge", &[(0.0, 0.0), (24.0, 0.0), (24.0, 4.0), (0.0, 4.0)]),
            zone("Back terrace", &[(2.0, 12.0), (22.0, 12.0), (22.0, 24.0), (2.0, 24.0)]),
            zone("Nature-strip", &[(26.0, 0.0), (27.2, 0.0), (27.2, 18.0), (26.0, 18.0)]),
            ZoneShape {
                id: "green".to_owned(),
                name: "Green surrounds".to_owned(),
                detail: "220 m2".to_owned(),
                extent: Extent::Area { square_metres: 220.0 },
            },
        ],
        strips: vec![strip("strip 1", Track::Treated, 3.0), strip("strip 2", Track::Control, 6.0)],
        cores: cores.collect(),
        photos: vec![PhotoSpot {
            id: "photo".to_owned(),
            label: "A".to_owned(),
            at: spot(1.0, 10.5),
            facing: Some(45.0),
        }],
    }
}

pub(crate) fn series() -> SeriesRows {
    let line = |name: &str, track, gain: f64| SeriesLine {
        name: name.to_owned(),
        track,
        points: (0..10_u32)
            .map(|i| {
                let value = 0.47 + gain * f64::from(i);
                SeriesPoint {
                    id: format!("{name}-{i}"),
                    date: date("2025-09-06") + Days::new(24 * u64::from(i)),
                    value,
                    shown: format!("{value:.2}"),
                    interval: (i % 4 != 3).then_some((value - 0.012, value + 0.012)),
                    card: if i % 4 == 3 { Card::Uncorrected } else { Card::Corrected },
                    detail: String::new(),
                }
            })
            .collect(),
    };
    SeriesRows {
        title: "Colour of the back terrace".to_owned(),
        quantity: "Dark green colour index".to_owned(),
        unit: String::new(),
        span: Span {
            name: "2025-26".to_owned(),
            first: date("2025-07-01"),
            last: date("2026-06-30"),
        },
        least_span: 0.1,
        lines: vec![
            line("treated strip", Track::Treated, 0.012),
            line("control strip", Track::Control, 0.004),
        ],
        applications: vec![SeriesApplication {
            id: "a".to_owned(),
            date: date("2025-10-02"),
            label: "lime".to_owned(),
            detail: "0.4 kg/m2".to_owned(),
        }],
        context: Some(SeriesContext {
            name: "growth potential".to_owned(),
            detail: "from mean air temperature alone, 0 to 1".to_owned(),
            bars: (0..50_u32)
                .map(|week| {
                    let share = f64::midpoint(1.0, (f64::from(week) / 8.0).sin()).clamp(0.0, 1.0);
                    let first = date("2025-07-07") + Days::new(7 * u64::from(week));
                    SeriesBar {
                        first,
                        last: first + Days::new(6),
                        share,
                        shown: format!("{share:.2}"),
                        detail: String::new(),
                    }
                })
                .collect(),
        }),
    }
}

/// Each figure of the scenario, with its name.
pub(crate) fn all(look: &Look) -> [(&'static str, Figure); 4] {
    [
        (
            "season",
            swardbook_report::season::draw(&season(), look).expect("the scenario can be drawn"),
        ),
        (
            "intervals",
            swardbook_report::intervals::draw(&intervals(), look)
                .expect("the scenario can be drawn"),
        ),
        (
            "plan",
            swardbook_report::plan_drawing::draw(&plan(), look).expect("the scenario can be drawn"),
        ),
        (
            "series",
            swardbook_report::series::draw(&series(), look).expect("the scenario can be drawn"),
        ),
    ]
}
