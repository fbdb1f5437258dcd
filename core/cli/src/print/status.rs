//! The notebook as a whole, and what was done in it.

use serde_json::Value as Json;

use super::{Column, Page, devices, list, quantity, text};

/// A notebook that was made.
pub(crate) fn made(page: &mut Page, status: &Json) {
    page.say(&format!("Made a notebook in {}", text(status, "folder")));
}

/// The units in which amounts are shown.
pub(crate) fn units(page: &mut Page, shown: &Json) {
    let units = list(shown, "units");
    if units.is_empty() {
        page.say("Amounts are shown in the units they are kept in.");
        return;
    }
    let rows: Vec<Vec<String>> = units
        .iter()
        .map(|one| {
            let number = |name: &str| super::number(one[name].as_f64().unwrap_or_default());
            let offset = match one["offset"].as_f64() {
                Some(offset) if offset != 0.0 => format!(" + {}", number("offset")),
                _ => String::new(),
            };
            let words = format!("times {}{offset}", number("factor"));
            vec![text(one, "unit").to_owned(), text(one, "shown").to_owned(), words]
        })
        .collect();
    let columns = [Column::Left("Kept in"), Column::Left("Shown in"), Column::Left("The number")];
    page.table(&columns, &rows);
}

/// How the notebook stands.
pub(crate) fn status(page: &mut Page, status: &Json) {
    page.say(&format!("Notebook in {}", text(status, "folder")));
    page.pairs(&[
        ("Properties", status["properties"].to_string()),
        ("Zones", status["zones"].to_string()),
        ("Files", format!("{}, {}", status["files"], quantity(&status["files_mb"], "MB"))),
        ("Today", text(status, "today").to_owned()),
        ("Sync", devices::sentence(&status["sync"])),
    ]);
    let damaged = list(status, "damaged");
    if damaged.is_empty() {
        page.pairs(&[("Damage", "none found")]);
        return;
    }
    page.heading("Damage was found when it was opened:");
    for part in damaged.iter().filter_map(Json::as_str) {
        page.hang("  - ", part);
    }
}

/// What can be taken back.
pub(crate) fn actions(page: &mut Page, actions: &Json) {
    let actions = actions.as_array().map_or(&[][..], Vec::as_slice);
    if actions.is_empty() {
        page.say("Nothing was done on this device yet.");
        return;
    }
    for action in actions {
        let undone = action["undone"].as_bool().unwrap_or(false);
        let undone = if undone { " (taken back)" } else { "" };
        let mark = format!("{:>5}  ", action["number"].to_string());
        page.hang(&mark, &format!("{}{undone}", text(action, "what")));
    }
}

/// What was taken back.
pub(crate) fn taken_back(page: &mut Page, action: &Json) {
    page.say(&format!("Took back: {}", text(action, "what")));
}
