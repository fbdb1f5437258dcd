//! What cannot be drawn is refused, with the row and the field named.

mod demo;

use swardbook_report::intervals::{Bounds, Reading, Scale};
use swardbook_report::season::What;
use swardbook_report::{FigureError, Theme, intervals, plan_drawing, season, series};

fn look() -> swardbook_report::Look {
    demo::look(900, Theme::FollowPage)
}

fn names(error: FigureError, row: &str, field: &str) {
    let text = error.to_string();
    assert!(text.contains(row) && text.contains(field), "{text}");
}

#[test]
fn a_season_needs_its_days_and_honest_ratings() {
    let mut rows = demo::season();
    rows.spans.clear();
    assert!(matches!(season::draw(&rows, &look()), Err(FigureError::Missing(_))));

    let mut rows = demo::season();
    (rows.spans[0].first, rows.spans[0].last) = (rows.spans[0].last, rows.spans[0].first);
    names(season::draw(&rows, &look()).unwrap_err(), "2025-26", "ends before");

    for bad in [f64::NAN, f64::INFINITY, 0.0, 9.5, -3.0] {
        let mut rows = demo::season();
        for event in &mut rows.events {
            if let What::Rating { value, .. } = &mut event.what {
                *value = bad;
                event.label = "July walk".to_owned();
            }
        }
        names(season::draw(&rows, &look()).unwrap_err(), "July walk", "rating");
    }
}

#[test]
fn interval_rows_need_numbers() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let mut rows = demo::intervals();
        rows.rows[1].marks[0].reading = Reading::At(bad);
        names(intervals::draw(&rows, &look()).unwrap_err(), "Calcium", "reading");
        let mut rows = demo::intervals();
        rows.rows[1].limits[0].bounds = Bounds::AtLeast(bad);
        names(intervals::draw(&rows, &look()).unwrap_err(), "Calcium", "limit");
        let mut rows = demo::intervals();
        rows.rows[0].scale = Scale::Linear { least_span: bad };
        names(intervals::draw(&rows, &look()).unwrap_err(), "pH", "least span");
    }
    let mut rows = demo::intervals();
    let interval = rows.rows[2].marks[0].interval.as_mut().unwrap();
    (interval.low, interval.high) = (interval.high, interval.low);
    names(intervals::draw(&rows, &look()).unwrap_err(), "Phosphorus", "interval");
}

#[test]
fn a_plan_needs_ground() {
    let mut rows = demo::plan();
    (rows.zones, rows.strips, rows.cores, rows.photos) = (vec![], vec![], vec![], vec![]);
    assert!(matches!(plan_drawing::draw(&rows, &look()), Err(FigureError::Missing(_))));
    let mut rows = demo::plan();
    rows.cores[0].at.east = f64::NAN;
    names(plan_drawing::draw(&rows, &look()).unwrap_err(), "1", "coordinate");
    let mut rows = demo::plan();
    rows.strips[0].outline.truncate(2);
    names(plan_drawing::draw(&rows, &look()).unwrap_err(), "strip 1", "outline");
    let mut rows = demo::plan();
    rows.zones[3].extent = plan_drawing::Extent::Area { square_metres: 0.0 };
    names(plan_drawing::draw(&rows, &look()).unwrap_err(), "Green surrounds", "area");
}

#[test]
fn a_series_needs_numbers() {
    let mut rows = demo::series();
    rows.lines[0].points[0].value = f64::NAN;
    names(series::draw(&rows, &look()).unwrap_err(), "treated strip", "value");
    let mut rows = demo::series();
    rows.lines[1].points[0].interval = Some((0.6, 0.4));
    names(series::draw(&rows, &look()).unwrap_err(), "control strip", "interval");
}
