//! Figures: a drawing in a file, and its data in words for whoever has no screen.

use serde_json::Value as Json;

use super::{Column, Page, list, text};

/// A figure.
pub(crate) fn figure(page: &mut Page, view: &Json) {
    page.say(text(view, "title"));
    page.say(text(view, "description"));
    if let Some(file) = view["file"].as_str() {
        page.say(&format!("Drawn in {file}"));
    }
    let table = &view["table"];
    let rows: Vec<Vec<String>> = list(table, "rows")
        .iter()
        .map(|row| {
            let cells = row.as_array().map_or(&[][..], Vec::as_slice);
            cells.iter().map(|cell| cell.as_str().unwrap_or_default().to_owned()).collect()
        })
        .collect();
    if rows.is_empty() {
        return;
    }
    page.heading(text(table, "caption"));
    let columns: Vec<Column<'_>> =
        list(table, "headings").iter().filter_map(Json::as_str).map(Column::Left).collect();
    page.table(&columns, &rows);
}
