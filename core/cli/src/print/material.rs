//! Materials, ours and the person's own.

use serde_json::Value as Json;

use super::{Column, Page, list, quantity, text, worked_quantity, working::Behind};

/// Every material.
pub(crate) fn materials(page: &mut Page, lines: &Json) {
    let lines = lines.as_array().map_or(&[][..], Vec::as_slice);
    let rows: Vec<Vec<String>> = lines
        .iter()
        .map(|line| {
            let own = line["own"].as_bool().unwrap_or(false);
            vec![
                text(line, "name").to_owned(),
                text(line, "kind").to_owned(),
                text(line, "form").to_owned(),
                text(line, "analysis").to_owned(),
                worked_quantity(&line["neutralising_value"], "%"),
                quantity(&line["pack_kg"], "kg"),
                text(line, "price").to_owned(),
                if own { "own" } else { "" }.to_owned(),
                text(line, "id").to_owned(),
            ]
        })
        .collect();
    page.table(
        &[
            Column::Left("Material"),
            Column::Left("For"),
            Column::Left("Comes as"),
            Column::Left("Analysis"),
            Column::Right("Neutralises"),
            Column::Right("Pack"),
            Column::Right("Price"),
            Column::Left(""),
            Column::Left("Id"),
        ],
        &rows,
    );
}

/// A material that was added.
pub(crate) fn added(page: &mut Page, view: &Json) {
    page.say("Added the material");
    material(page, view);
}

/// One material with everything known of it.
pub(crate) fn material(page: &mut Page, view: &Json) {
    let mut behind = Behind::default();
    let line = &view["line"];
    page.say(text(line, "name"));
    let several = |name: &str| {
        list(view, name).iter().filter_map(Json::as_str).collect::<Vec<_>>().join("\n")
    };
    page.pairs(&[
        ("For", text(line, "kind").to_owned()),
        ("Comes as", text(line, "form").to_owned()),
        ("Formula", text(view, "formula").to_owned()),
        ("Neutralising value", worked_quantity(&line["neutralising_value"], "%")),
        ("Fineness", text(view, "fineness").to_owned()),
        ("On established grass", text(view, "on_grass").to_owned()),
        ("Most at one visit", several("limits")),
        ("Most in a year", text(view, "per_year").to_owned()),
        ("Days between visits", quantity(&view["interval_days"], "")),
        ("Salt index", several("salt_index")),
        ("Pack", quantity(&line["pack_kg"], "kg")),
        ("Price", text(line, "price").to_owned()),
        ("Id", text(line, "id").to_owned()),
    ]);
    nutrients(page, "As it is sold", list(view, "nutrients"));
    nutrients(page, "The pure compound, computed", list(view, "theory"));
    behind.working(page, "the pure compound", &view["theory_working"]);
    for caution in list(view, "cautions").iter().filter_map(Json::as_str) {
        behind.caution(caution);
    }
    for source in list(view, "sources") {
        behind.source(source);
    }
    behind.finish(page);
}

fn nutrients(page: &mut Page, heading: &str, nutrients: &[Json]) {
    if nutrients.is_empty() {
        return;
    }
    page.heading(heading);
    let rows: Vec<Vec<String>> = nutrients
        .iter()
        .map(|nutrient| {
            vec![
                text(nutrient, "symbol").to_owned(),
                worked_quantity(&nutrient["percent"], "%"),
                text(nutrient, "printed").to_owned(),
                text(nutrient, "note").to_owned(),
            ]
        })
        .collect();
    page.table(
        &[
            Column::Left("Element"),
            Column::Right("Share"),
            Column::Left("As printed"),
            Column::Left("Note"),
        ],
        &rows,
    );
}

/// Laboratories.
pub(crate) fn laboratories(page: &mut Page, lines: &Json) {
    let lines = lines.as_array().map_or(&[][..], Vec::as_slice);
    if lines.is_empty() {
        page.say("No laboratory yet; `laboratory add --name NAME` adds the first.");
        return;
    }
    let rows: Vec<Vec<String>> = lines
        .iter()
        .map(|line| {
            vec![
                text(line, "name").to_owned(),
                quantity(&line["post_days"], "days"),
                quantity(&line["turnaround_days"], "days"),
                quantity(&line["wanted_mass_g"], "g"),
                line["layouts"].to_string(),
                text(line, "id").to_owned(),
            ]
        })
        .collect();
    page.table(
        &[
            Column::Left("Laboratory"),
            Column::Right("Post"),
            Column::Right("Turnaround"),
            Column::Right("Soil wanted"),
            Column::Right("Layouts known"),
            Column::Left("Id"),
        ],
        &rows,
    );
}
