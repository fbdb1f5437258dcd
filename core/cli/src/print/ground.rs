//! Properties and zones.

use serde_json::Value as Json;

use super::{Column, Page, list, quantity, record, text};

const PROPERTY_COLUMNS: [Column<'_>; 8] = [
    Column::Left("Property"),
    Column::Left("Client"),
    Column::Left("Ground"),
    Column::Right("Zones"),
    Column::Right("Area"),
    Column::Left("Renovation"),
    Column::Left("Place"),
    Column::Left("Id"),
];

/// Every property.
pub(crate) fn properties(page: &mut Page, lines: &Json) {
    let lines = lines.as_array().map_or(&[][..], Vec::as_slice);
    if lines.is_empty() {
        page.say("No property yet; `property add --name NAME` adds the first.");
        return;
    }
    let rows: Vec<Vec<String>> = lines.iter().map(property_row).collect();
    page.table(&PROPERTY_COLUMNS, &rows);
}

fn property_row(line: &Json) -> Vec<String> {
    vec![
        text(line, "name").to_owned(),
        text(line, "client").to_owned(),
        text(line, "ground").to_owned(),
        line["zones"].to_string(),
        quantity(&line["area_m2"], "m2"),
        text(line, "renovation_day").to_owned(),
        text(line, "place").to_owned(),
        text(line, "id").to_owned(),
    ]
}

/// The zones.
pub(crate) fn zones(page: &mut Page, lines: &Json) {
    let lines = lines.as_array().map_or(&[][..], Vec::as_slice);
    if lines.is_empty() {
        page.say("No zone yet; `zone add --property NAME --name NAME` adds the first.");
        return;
    }
    zone_table(page, lines);
}

fn zone_table(page: &mut Page, lines: &[Json]) {
    let rows: Vec<Vec<String>> = lines
        .iter()
        .map(|line| {
            vec![
                text(line, "name").to_owned(),
                text(line, "property_name").to_owned(),
                quantity(&line["area_m2"], "m2"),
                text(line, "texture").to_owned(),
                text(line, "last_sample").to_owned(),
                text(line, "last_panel").to_owned(),
                text(line, "last_application").to_owned(),
                open_ends(line),
                text(line, "id").to_owned(),
            ]
        })
        .collect();
    page.table(
        &[
            Column::Left("Zone"),
            Column::Left("Property"),
            Column::Right("Area"),
            Column::Left("Texture"),
            Column::Left("Sampled"),
            Column::Left("Panel"),
            Column::Left("Put on"),
            Column::Left("Open"),
            Column::Left("Id"),
        ],
        &rows,
    );
}

/// What is still to do on a zone, in words.
fn open_ends(line: &Json) -> String {
    let one = |name: &str, single: &str, several: &str| match line[name].as_u64() {
        None | Some(0) => None,
        Some(1) => Some(format!("1 {single}")),
        Some(count) => Some(format!("{count} {several}")),
    };
    [
        one("waiting", "sample waits", "samples wait"),
        one("due", "visit due", "visits due"),
        one("missing", "field to fill in", "fields to fill in"),
        one("unfinished", "record unfinished", "records unfinished"),
    ]
    .into_iter()
    .flatten()
    .collect::<Vec<_>>()
    .join(", ")
}

/// A property with its zones.
pub(crate) fn property(page: &mut Page, view: &Json) {
    record::shown(page, &view["record"]);
    let zones = list(view, "zones");
    page.heading("Zones");
    if zones.is_empty() {
        page.say("  None yet.");
        return;
    }
    zone_table(page, zones);
}

/// A zone with everything that happened on it.
pub(crate) fn zone(page: &mut Page, view: &Json) {
    let line = &view["line"];
    record::shown(page, &view["record"]);
    page.pairs(&[("Property", text(line, "property_name").to_owned()), ("Open", open_ends(line))]);
    page.heading("Season, newest first");
    let season = list(view, "season");
    if season.is_empty() {
        page.say("  Nothing happened here yet.");
        return;
    }
    let rows: Vec<Vec<String>> = season
        .iter()
        .map(|event| {
            let missing = record::joined(&event["missing"]);
            let missing =
                if missing.is_empty() { missing } else { format!("still to fill in: {missing}") };
            let detail = [text(event, "detail"), &missing];
            let detail: Vec<&str> = detail.into_iter().filter(|part| !part.is_empty()).collect();
            vec![
                event["date"].as_str().unwrap_or("no day yet").to_owned(),
                text(event, "kind").to_owned(),
                text(event, "id").to_owned(),
                text(event, "title").to_owned(),
                detail.join("; "),
            ]
        })
        .collect();
    page.table(
        &[
            Column::Left("Day"),
            Column::Left("Kind"),
            Column::Left("Id"),
            Column::Left("What"),
            Column::Left("More"),
        ],
        &rows,
    );
}

/// A zone that took over the records of another.
pub(crate) fn merged(page: &mut Page, merged: &Json) {
    page.say(&format!(
        "{} took over {} records; `undo` takes it back",
        text(&merged["zone"], "name"),
        merged["records"]
    ));
}

/// A zone's shape: its sides, its area, and the outline that a record keeps.
pub(crate) fn outline(page: &mut Page, view: &Json) {
    let area = quantity(&view["area_m2"], "m2");
    let problem = text(view, "problem");
    if problem.is_empty() {
        page.say(&format!("{}: {area}", text(view, "name")));
    } else {
        page.say(&format!("{}: no shape yet; {problem}", text(view, "name")));
    }
    let corners = list(view, "corners");
    let metres = |value: &Json| value.as_f64().map_or_else(String::new, |m| format!("{m:.3}"));
    let rows: Vec<Vec<String>> = corners
        .iter()
        .enumerate()
        .map(|(at, corner)| {
            let side = &view["sides"][at];
            vec![
                (at + 1).to_string(),
                metres(&corner["east"]),
                metres(&corner["north"]),
                quantity(side, "m"),
            ]
        })
        .collect();
    if !rows.is_empty() {
        let columns = [
            Column::Right("Corner"),
            Column::Right("East, m"),
            Column::Right("North, m"),
            Column::Right("To the next"),
        ];
        page.table(&columns, &rows);
    }
    let outline = text(view, "outline");
    if !outline.is_empty() {
        page.say(&format!("Kept as: {outline}"));
    }
}
