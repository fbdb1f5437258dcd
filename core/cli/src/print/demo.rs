//! The demo season, told step by step.

use serde_json::Value as Json;

use super::{Page, list, text};

/// The steps that were told.
pub(crate) fn steps(page: &mut Page, told: &Json) {
    page.say(
        "An invented practitioner's season; every person, place, laboratory and number in it is \
         invented.",
    );
    for step in list(told, "steps") {
        page.heading(&format!("{}  {}", text(step, "day"), text(step, "title")));
        for line in list(step, "lines").iter().filter_map(Json::as_str) {
            page.hang("  ", line);
        }
    }
    page.heading(&format!("The notebook lies in {}", text(told, "folder")));
}
