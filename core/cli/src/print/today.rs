//! What is due.

use serde_json::Value as Json;

use super::{Page, list, text};

/// What is due across the notebook.
pub(crate) fn today(page: &mut Page, view: &Json) {
    page.say(&format!(
        "{}: {} of {} zones are clear to sample",
        text(view, "today"),
        view["clear_zones"],
        view["zones"]
    ));
    let due = list(view, "due");
    if due.is_empty() {
        page.say("Nothing is due.");
        return;
    }
    let (late, rest): (Vec<&Json>, Vec<&Json>) =
        due.iter().partition(|due| due["late"].as_bool().unwrap_or(false));
    lines(page, "Late", &late);
    lines(page, "To do", &rest);
    if let Some(more) = view["more"].as_u64().filter(|more| *more > 0) {
        page.say(&format!("... and {more} more; `today --most N` shows them."));
    }
}

fn lines(page: &mut Page, heading: &str, due: &[&Json]) {
    if due.is_empty() {
        return;
    }
    page.heading(heading);
    for due in due {
        let day = due["date"].as_str().unwrap_or("no day");
        let mark = format!("  {day:<10}  ");
        let place = match text(due, "property_name") {
            "" => text(due, "zone_name").to_owned(),
            property => format!("{property} / {}", text(due, "zone_name")),
        };
        page.hang(&mark, &format!("{place}: {}", text(due, "sentence")));
    }
}
