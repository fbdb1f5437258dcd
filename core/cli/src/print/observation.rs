//! Observations beyond their form.

use serde_json::Value as Json;

use super::{Page, record, text};

/// A photo that was kept.
pub(crate) fn photo_added(page: &mut Page, added: &Json) {
    let known = added["was_known"].as_bool().unwrap_or(false);
    page.say(if known { "Kept again: this very file was there" } else { "Kept the photo" });
    record::fields(page, &added["record"]);
    page.pairs(&[
        ("Size", format!("{} x {} px, upright", added["width"], added["height"])),
        ("Colours", text(added, "profile").to_owned()),
        ("Original", text(added, "photo").to_owned()),
    ]);
}
