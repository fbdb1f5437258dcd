//! Samples: when the ground is clear, how to pull one, and the bag itself.

use serde_json::Value as Json;

use super::{Column, Page, list, number, quantity, record, text, worked_quantity, working::Behind};

/// Whether a zone is clear to sample.
pub(crate) fn window(page: &mut Page, view: &Json) {
    let mut behind = Behind::default();
    page.say(&format!("{}: {}", text(view, "zone_name"), text(view, "sentence")));
    let waits = list(view, "waits");
    if !waits.is_empty() {
        page.heading("Put on, and clear of it from");
        let rows: Vec<Vec<String>> = waits
            .iter()
            .map(|wait| {
                let rules = wait["rules"].as_bool().unwrap_or(false);
                vec![
                    text(wait, "what").to_owned(),
                    text(wait, "day").to_owned(),
                    text(wait, "clear").to_owned(),
                    if rules { "rules" } else { "" }.to_owned(),
                    text(wait, "why").to_owned(),
                ]
            })
            .collect();
        page.table(
            &[
                Column::Left("What"),
                Column::Left("Put on"),
                Column::Left("Clear"),
                Column::Left(""),
                Column::Left("Why"),
            ],
            &rows,
        );
    }
    behind.working(page, "the clear day", &view["working"]);
    calendar(page, view, &mut behind);
    behind.finish(page);
}

fn calendar(page: &mut Page, view: &Json, behind: &mut Behind) {
    let refused = text(view, "calendar_refused");
    if !refused.is_empty() {
        page.heading(&format!("No calendar: {refused}"));
    }
    let calendar = &view["calendar"];
    if calendar.is_null() {
        return;
    }
    page.heading("Backwards from the renovation day");
    page.pairs(&[
        ("Sample at the latest", text(calendar, "latest_sample")),
        ("Panel at the latest", text(calendar, "latest_panel")),
        ("Order at the latest", text(calendar, "latest_order")),
        ("Renovation day", text(calendar, "renovation")),
        ("Days to spare", &slack(calendar)),
    ]);
    for choice in list(calendar, "choices").iter().filter_map(Json::as_str) {
        page.hang("  - ", choice);
    }
    behind.working(page, "the calendar", &calendar["working"]);
}

fn slack(calendar: &Json) -> String {
    match calendar["slack_days"].as_i64() {
        Some(days) if days < 0 => format!("none; {} days are missing", -days),
        Some(days) => days.to_string(),
        None => String::new(),
    }
}

/// How to pull a sample.
pub(crate) fn plan(page: &mut Page, view: &Json) {
    let mut behind = Behind::default();
    page.say(&format!("Pull {} cores", view["cores"]));
    page.pairs(&[
        ("What they reach", text(view, "reaches").to_owned()),
        ("Depth", quantity(&view["depth_mm"], "mm")),
        ("Mass of the bag", worked_quantity(&view["mass_g"], "g")),
        ("The laboratory asks", quantity(&view["wanted_g"], "g")),
        ("Cores to reach that", view["cores_to_reach"].to_string()),
        ("Seed of the places", quantity(&view["seed"], "")),
        ("To walk", worked_quantity(&view["walk_m"], "m")),
    ]);
    behind.working(page, "the number of cores", &view["cores_working"]);
    behind.working(page, "the mass", &view["mass_working"]);
    let missing = text(view, "points_missing");
    if !missing.is_empty() {
        page.heading(&format!("No places to core: {missing}"));
    }
    let points = list(view, "points");
    if !points.is_empty() {
        page.heading("Places in walking order, metres in the zone's own frame");
        let rows: Vec<Vec<String>> = points.iter().map(point_row).collect();
        page.table(
            &[
                Column::Right("No."),
                Column::Right("East"),
                Column::Right("North"),
                Column::Right("Spare east"),
                Column::Right("Spare north"),
                Column::Right("Latitude"),
                Column::Right("Longitude"),
            ],
            &rows,
        );
    }
    behind.working(page, "the places", &view["points_working"]);
    behind.finish(page);
}

fn point_row(point: &Json) -> Vec<String> {
    let fixed = |name: &str, decimals: usize| {
        point[name].as_f64().map_or_else(String::new, |value| format!("{value:.decimals$}"))
    };
    vec![
        point["number"].to_string(),
        fixed("east", 1),
        fixed("north", 1),
        fixed("spare_east", 1),
        fixed("spare_north", 1),
        fixed("latitude", 6),
        fixed("longitude", 6),
    ]
}

/// A sample with its cores.
pub(crate) fn sample(page: &mut Page, view: &Json) {
    let mut behind = Behind::default();
    record::shown(page, &view["record"]);
    page.gap();
    page.say(text(view, "sentence"));
    let panels: Vec<&str> = list(view, "panels").iter().filter_map(Json::as_str).collect();
    page.pairs(&[
        ("Zone", text(view, "zone_name").to_owned()),
        ("Cores in the bag", view["kept"].to_string()),
        ("Cores set aside", view["set_aside"].to_string()),
        ("The bag should weigh", worked_quantity(&view["estimate_g"], "g")),
        ("The laboratory asks", quantity(&view["wanted_g"], "g")),
        ("Cores to reach that", quantity(&view["cores_to_reach"], "")),
        ("Panels", panels.join(", ")),
    ]);
    behind.working(page, "the mass", &view["working"]);
    let cores = list(view, "cores");
    if !cores.is_empty() {
        page.heading("Cores");
    }
    let rows: Vec<Vec<String>> = cores
        .iter()
        .map(|core| {
            let aside = core["set_aside"].as_bool().unwrap_or(false);
            let metres = |name: &str| core[name].as_f64().map_or_else(String::new, number);
            vec![
                quantity(&core["number"], ""),
                quantity(&core["depth_mm"], "mm"),
                metres("east"),
                metres("north"),
                text(core, "id").to_owned(),
                if aside {
                    format!("set aside: {}", text(core, "reason"))
                } else {
                    "in the bag".to_owned()
                },
            ]
        })
        .collect();
    if !rows.is_empty() {
        page.table(
            &[
                Column::Right("No."),
                Column::Right("Depth"),
                Column::Right("East"),
                Column::Right("North"),
                Column::Left("Id"),
                Column::Left("Where it went"),
            ],
            &rows,
        );
    }
    behind.finish(page);
}
