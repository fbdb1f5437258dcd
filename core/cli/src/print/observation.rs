//! Ratings and readings on the spot over time.

use serde_json::Value as Json;

use super::{Column, Page, list, text};

/// Each rater and each instrument by itself.
pub(crate) fn series(page: &mut Page, view: &Json) {
    page.say(text(view, "what"));
    for line in list(view, "lines") {
        let by = [text(line, "rater"), text(line, "instrument"), text(line, "strip")];
        let by: Vec<&str> = by.into_iter().filter(|word| !word.is_empty()).collect();
        page.heading(&if by.is_empty() { "by nobody named".to_owned() } else { by.join(", ") });
        let rows: Vec<Vec<String>> = list(line, "points")
            .iter()
            .map(|point| {
                vec![
                    text(point, "date").to_owned(),
                    format!("{} {}", point["value"], text(line, "unit")).trim().to_owned(),
                    text(point, "calibrated").to_owned(),
                ]
            })
            .collect();
        page.table(
            &[Column::Left("Day"), Column::Right("Value"), Column::Left("Calibrated")],
            &rows,
        );
        page.say(text(line, "sentence"));
    }
    page.gap();
    for note in list(view, "notes").iter().filter_map(Json::as_str) {
        page.hang("  - ", note);
    }
}
