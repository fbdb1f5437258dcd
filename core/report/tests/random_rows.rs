//! Whatever the rows: no words collide, every row is in the table, and the drawing is sound.

mod demo;

use proptest::prelude::*;
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
use swardbook_report::{Figure, Theme, intervals, plan_drawing, season, series};
use swardbook_units::NaiveDate;

fn dates() -> impl Strategy<Value = NaiveDate> {
    let near = (0..800_i32).prop_map(|day| NaiveDate::from_num_days_from_ce_opt(739_000 + day));
    let far = (-10_000_000..10_000_000_i32).prop_map(NaiveDate::from_num_days_from_ce_opt);
    prop_oneof![
        40 => near.prop_map(|date| date.expect("a day within what chrono holds")),
        1 => far.prop_map(|date| date.expect("a day within what chrono holds")),
        1 => Just(NaiveDate::MIN),
        1 => Just(NaiveDate::MAX),
    ]
}

fn words() -> impl Strategy<Value = String> {
    prop_oneof![4 => "[a-z]{1,9}( [a-z0-9]{1,9})?", 1 => Just(String::new()), 1 => "\\PC{0,60}"]
}

fn numbers() -> impl Strategy<Value = f64> {
    prop_oneof![
        6 => 0.01..1000.0_f64,
        1 => prop::num::f64::NORMAL,
        1 => prop::sample::select(vec![0.0, -1.0, f64::MAX, f64::MIN, f64::MIN_POSITIVE, 5e-324]),
    ]
}

fn tracks() -> impl Strategy<Value = Track> {
    prop::sample::select(vec![Track::Whole, Track::Treated, Track::Control])
}

fn whats() -> impl Strategy<Value = What> {
    let stages = prop::sample::select(vec![Stage::Before, Stage::After, Stage::Alone]);
    prop_oneof![
        stages.clone().prop_map(What::Sample),
        stages.prop_map(What::Panel),
        Just(What::Application),
        Just(What::Planned),
        (1.0..=9.0_f64, tracks(), "[a-c]?").prop_map(|(value, track, rater)| What::Rating {
            value,
            track,
            rater
        }),
        prop::sample::select(vec![Card::Corrected, Card::Uncorrected]).prop_map(What::Photo),
        Just(What::Note),
        Just(What::SpotReading),
    ]
}

fn spans() -> impl Strategy<Value = Span> {
    (words(), dates(), dates()).prop_map(|(name, a, b)| Span {
        name,
        first: a.min(b),
        last: a.max(b),
    })
}

prop_compose! {
    fn seasons()(
        title in words(),
        spans in prop::collection::vec(spans(), 1..4),
        today in prop::option::of(dates()),
        renovations in prop::collection::vec((words(), dates()), 0..6),
        clear in prop::collection::vec((words(), dates(), prop::option::of(0..400_u64)), 0..8),
        events in prop::collection::vec((dates(), whats(), words(), words()), 0..400),
    ) -> SeasonRows {
        let renovation = |(label, date)| Renovation { id: String::new(), date, label };
        let window = |(reason, first, days): (String, NaiveDate, Option<u64>)| {
            let last = days
                .map(|days| first.checked_add_days(swardbook_units::Days::new(days)).unwrap_or(first));
            ClearWindow { first, last, reason }
        };
        let event = |(date, what, label, detail)| {
            SeasonEvent { id: String::new(), date, what, label, detail }
        };
        SeasonRows {
            title,
            spans,
            today,
            renovations: renovations.into_iter().map(renovation).collect(),
            clear: clear.into_iter().map(window).collect(),
            events: events.into_iter().map(event).collect(),
        }
    }
}

fn intervals_of(value: f64) -> impl Strategy<Value = Option<Interval>> {
    prop::option::of((numbers(), numbers())).prop_map(move |ends| {
        ends.map(|(a, b)| Interval {
            low: a.min(b).min(value),
            high: a.max(b).max(value),
            shown: "some".to_owned(),
        })
    })
}

fn estimates() -> impl Strategy<Value = Estimate> {
    let roles = [Role::Before, Role::After, Role::ControlBefore, Role::ControlAfter, Role::Alone];
    (prop::sample::select(roles.to_vec()), numbers(), 0..3_u8, words()).prop_flat_map(
        |(role, value, kind, shown)| {
            intervals_of(value).prop_map(move |interval| {
                let reading = [Reading::At(value), Reading::Below(value), Reading::Above(value)];
                let reading = reading[usize::from(kind)];
                Estimate { role, reading, shown: shown.clone(), interval }
            })
        },
    )
}

fn limits() -> impl Strategy<Value = Limit> {
    let parts = (numbers(), numbers(), 0..3_u8, words(), words(), words());
    parts.prop_map(|(a, b, kind, shown, source, verdict)| {
        let bounds = [Bounds::AtLeast(a), Bounds::AtMost(a), Bounds::Between(a.min(b), a.max(b))];
        Limit { bounds: bounds[usize::from(kind)], shown, source, verdict }
    })
}

prop_compose! {
    fn analytes()(
        name in words(),
        unit in words(),
        least in prop::option::of(0.001..100.0_f64),
        marks in prop::collection::vec(estimates(), 0..5),
        limits in prop::collection::vec(limits(), 0..4),
        verdict in words(),
    ) -> AnalyteRow {
        let scale = least.map_or(Scale::Log, |least_span| Scale::Linear { least_span });
        AnalyteRow { id: String::new(), name, unit, scale, marks, limits, verdict }
    }
}

fn spots() -> impl Strategy<Value = Spot> {
    let metres = || prop_oneof![9 => -30.0..60.0_f64, 1 => -1e5..1e5_f64];
    (metres(), metres()).prop_map(|(east, north)| Spot { east, north })
}

fn rings() -> impl Strategy<Value = Vec<Spot>> {
    prop::collection::vec(spots(), 3..8)
}

fn extents() -> impl Strategy<Value = Extent> {
    prop_oneof![
        3 => (rings(), prop::collection::vec(rings(), 0..2))
            .prop_map(|(outer, holes)| Extent::Outline { outer, holes }),
        1 => (0.01..1e5_f64).prop_map(|square_metres| Extent::Area { square_metres }),
    ]
}

fn fates() -> impl Strategy<Value = CoreFate> {
    prop_oneof![
        Just(CoreFate::Planned),
        Just(CoreFate::Kept),
        words().prop_map(|reason| CoreFate::SetAside { reason }),
    ]
}

prop_compose! {
    fn plans()(
        title in words(),
        up_bearing in prop::option::of(-720.0..720.0_f64),
        zones in prop::collection::vec((words(), words(), extents()), 1..6),
        strips in prop::collection::vec((words(), tracks(), rings()), 0..5),
        cores in prop::collection::vec(("[0-9]{0,3}", spots(), fates()), 0..60),
        photos in prop::collection::vec((words(), spots(), prop::option::of(0.0..360.0_f64)), 0..9),
    ) -> PlanRows {
        let id = String::new;
        PlanRows {
            title,
            up_bearing,
            zones: zones.into_iter()
                .map(|(name, detail, extent)| ZoneShape { id: id(), name, detail, extent })
                .collect(),
            strips: strips.into_iter()
                .map(|(name, role, outline)| StripShape { id: id(), name, role, outline })
                .collect(),
            cores: cores.into_iter()
                .map(|(label, at, fate)| CorePoint { id: id(), label, at, fate })
                .collect(),
            photos: photos.into_iter()
                .map(|(label, at, facing)| PhotoSpot { id: id(), label, at, facing })
                .collect(),
        }
    }
}

fn points() -> impl Strategy<Value = SeriesPoint> {
    let cards = prop::sample::select(vec![Card::Corrected, Card::Uncorrected]);
    (dates(), numbers(), prop::option::of((numbers(), numbers())), cards, words()).prop_map(
        |(date, value, interval, card, detail)| SeriesPoint {
            id: String::new(),
            date,
            value,
            shown: "some".to_owned(),
            interval: interval.map(|(a, b)| (a.min(b), a.max(b))),
            card,
            detail,
        },
    )
}

prop_compose! {
    fn all_series()(
        title in words(),
        quantity in words(),
        unit in words(),
        span in spans(),
        least_span in 1e-6..1e6_f64,
        lines in prop::collection::vec(
            (words(), tracks(), prop::collection::vec(points(), 0..80)), 0..6),
        applications in prop::collection::vec((dates(), words(), words()), 0..40),
        context in prop::option::of(
            (words(), prop::collection::vec((dates(), 0.0..=1.0_f64, words()), 0..60))),
    ) -> SeriesRows {
        let bar = |(first, share, shown)| SeriesBar {
            first, last: first, share, shown, detail: String::new(),
        };
        let context = context.map(|(name, bars): (String, Vec<_>)| SeriesContext {
            name,
            detail: String::new(),
            bars: bars.into_iter().map(bar).collect(),
        });
        let line = |(name, track, points)| SeriesLine { name, track, points };
        let application =
            |(date, label, detail)| SeriesApplication { id: String::new(), date, label, detail };
        SeriesRows {
            title,
            quantity,
            unit,
            span,
            least_span,
            lines: lines.into_iter().map(line).collect(),
            applications: applications.into_iter().map(application).collect(),
            context,
        }
    }
}

/// What holds of every figure.
fn sound(figure: &Figure) -> Result<(), TestCaseError> {
    prop_assert!(roxmltree::Document::parse(&figure.svg).is_ok(), "not well-formed");
    for (name, value) in [("NaN", "NaN"), ("inf", "\"inf"), ("-inf", "-inf"), (" inf", " inf ")] {
        let attributes = figure.svg.split("data-readout").next().unwrap_or_default();
        prop_assert!(!attributes.contains(value), "{name} in the drawing");
    }
    for placed in &figure.boxes {
        let is_finite = [placed.x, placed.y, placed.width, placed.height]
            .iter()
            .all(|px| px.is_finite() && px.abs() < 1e6);
        prop_assert!(is_finite, "{:?}", placed);
    }
    let collisions = demo::collisions(figure);
    prop_assert!(collisions.is_empty(), "{:#?}", &collisions[..1]);
    Ok(())
}

/// How often `wanted` stands in a column of the table.
fn count(figure: &Figure, column: usize, wanted: &str) -> usize {
    figure.table.rows.iter().filter(|row| row[column] == wanted).count()
}

fn themes() -> impl Strategy<Value = Theme> {
    prop::sample::select(demo::THEMES.to_vec())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, max_shrink_iters: 20_000, ..ProptestConfig::default() })]

    #[test]
    fn season_lines(rows in seasons(), width in 280..1400_u32, theme in themes()) {
        let figure = season::draw(&rows, &demo::look(width, theme)).unwrap();
        sound(&figure)?;
        let given = rows.events.len() + rows.clear.len() + rows.renovations.len();
        prop_assert_eq!(figure.table.rows.len(), given);
        for event in rows.events.iter().filter(|e| !matches!(e.what, What::Rating { .. })) {
            prop_assert!(count(&figure, 2, &event.label) > 0, "{:?} is not in the table", event);
            prop_assert!(count(&figure, 3, &event.detail) > 0, "{:?} is not in the table", event);
        }
    }

    #[test]
    fn interval_rows(
        rows in prop::collection::vec(analytes(), 0..12),
        title in words(),
        context in words(),
        width in 280..1400_u32,
        theme in themes(),
    ) {
        let rows = IntervalRows { title, context, rows };
        let figure = intervals::draw(&rows, &demo::look(width, theme)).unwrap();
        sound(&figure)?;
        prop_assert_eq!(figure.table.rows.len(), rows.rows.len());
        for (row, cells) in rows.rows.iter().zip(&figure.table.rows) {
            prop_assert_eq!(&row.name, &cells[0]);
            let all = cells.join("|");
            for mark in &row.marks {
                prop_assert!(all.contains(&mark.shown), "{:?} is not in {:?}", mark, cells);
            }
            for limit in &row.limits {
                prop_assert!(all.contains(&limit.source), "{:?} is not in {:?}", limit, cells);
            }
        }
    }

    #[test]
    fn plan_drawings(rows in plans(), width in 280..1400_u32, theme in themes()) {
        let figure = plan_drawing::draw(&rows, &demo::look(width, theme)).unwrap();
        sound(&figure)?;
        let given = rows.zones.len() + rows.strips.len() + rows.cores.len() + rows.photos.len();
        prop_assert_eq!(figure.table.rows.len(), given);
        for zone in &rows.zones {
            prop_assert!(count(&figure, 1, &zone.name) > 0, "{:?} is not in the table", zone);
        }
    }

    #[test]
    fn series_of_points(rows in all_series(), width in 280..1400_u32, theme in themes()) {
        let figure = series::draw(&rows, &demo::look(width, theme)).unwrap();
        sound(&figure)?;
        let points: usize = rows.lines.iter().map(|line| line.points.len()).sum();
        let bars = rows.context.as_ref().map_or(0, |context| context.bars.len());
        prop_assert_eq!(figure.table.rows.len(), points + rows.applications.len() + bars);
    }
}
