//! Records: one with its fields, several in a table, their history and their conflicts.

use serde_json::Value as Json;

use super::{Column, Page, list, quantity, text};

/// A record that was added.
pub(crate) fn added(page: &mut Page, record: &Json) {
    page.say(&format!("Added {}", name_of(record)));
    fields(page, record);
}

/// A record that was changed.
pub(crate) fn changed(page: &mut Page, record: &Json) {
    page.say(&format!("Changed {}", name_of(record)));
    fields(page, record);
}

/// A record that was taken away.
pub(crate) fn taken_away(page: &mut Page, record: &Json) {
    page.say(&format!("Took away {}; `record restore` brings it back", name_of(record)));
}

/// A record that was brought back.
pub(crate) fn brought_back(page: &mut Page, record: &Json) {
    page.say(&format!("Brought back {}", name_of(record)));
    fields(page, record);
}

/// A record.
pub(crate) fn shown(page: &mut Page, record: &Json) {
    page.say(&name_of(record));
    if let Some(why) = record["voided"].as_str() {
        let why = if why.is_empty() { String::new() } else { format!(": {why}") };
        page.say(&format!("  taken away{why}"));
    }
    fields(page, record);
}

/// The settings, which may never have been set.
pub(crate) fn settings(page: &mut Page, record: &Json) {
    if record.is_null() {
        page.say("Nothing was set yet; `settings set --help` shows what can be.");
        return;
    }
    page.say("Settings");
    fields(page, record);
}

/// What a person calls the record: its kind and the field that names it.
pub(crate) fn name_of(record: &Json) -> String {
    let title = text(record, "title").to_lowercase();
    match naming_field(record) {
        Some(name) => format!("{title} {name}"),
        None => title,
    }
}

fn naming_field(record: &Json) -> Option<String> {
    ["name", "label", "material_words", "material", "what", "date"].iter().find_map(|name| {
        let field = list(record, "fields").iter().find(|field| text(field, "name") == *name)?;
        Some(text(field, "text").to_owned())
    })
}

/// The fields of a record, what is missing, what is in conflict, who made it, and its id.
pub(crate) fn fields(page: &mut Page, record: &Json) {
    let mut pairs: Vec<(String, String)> = list(record, "fields")
        .iter()
        .map(|field| (text(field, "label").to_owned(), words(field)))
        .collect();
    pairs.push(("Still to fill in".to_owned(), joined(&record["missing"])));
    pairs.push(("Written apart".to_owned(), joined(&record["conflicting"])));
    pairs.push(("Made".to_owned(), stamp(&record["made"])));
    pairs.push(("Id".to_owned(), text(record, "id").to_owned()));
    page.pairs(&pairs);
}

/// A field's value in words, its number rounded for showing.
fn words(field: &Json) -> String {
    match (field["value"].as_f64(), text(field, "unit")) {
        (Some(_), unit) if !unit.is_empty() => quantity(&field["value"], unit),
        _ => text(field, "text").to_owned(),
    }
}

/// Words of a list with commas between.
pub(crate) fn joined(words: &Json) -> String {
    let words = words.as_array().map_or(&[][..], Vec::as_slice);
    words.iter().filter_map(Json::as_str).collect::<Vec<_>>().join(", ")
}

fn stamp(stamp: &Json) -> String {
    let (person, device) = (text(stamp, "person"), text(stamp, "device"));
    // What every notebook begins with was made by nobody, on no device.
    if person.is_empty() && device.is_empty() {
        return String::new();
    }
    let by = if person.is_empty() { String::new() } else { format!(" by {person}") };
    format!("{}{by} on device {device}", text(stamp, "day"))
}

/// Records of one kind.
pub(crate) fn records(page: &mut Page, records: &Json) {
    let records = records.as_array().map_or(&[][..], Vec::as_slice);
    if records.is_empty() {
        page.say("None yet.");
        return;
    }
    for record in records {
        page.gap();
        page.say(&name_of(record));
        fields(page, record);
    }
}

/// Everything that was written to a record.
pub(crate) fn history(page: &mut Page, revisions: &Json) {
    let revisions = revisions.as_array().map_or(&[][..], Vec::as_slice);
    let absent = || "nothing".to_owned();
    let rows: Vec<Vec<String>> = revisions
        .iter()
        .map(|revision| {
            let side = |name: &str| revision[name].as_str().map_or_else(absent, str::to_owned);
            vec![
                text(&revision["stamp"], "day").to_owned(),
                text(&revision["stamp"], "person").to_owned(),
                text(&revision["stamp"], "device").to_owned(),
                text(revision, "field").to_owned(),
                side("before"),
                side("after"),
                text(&revision["stamp"], "action").to_owned(),
            ]
        })
        .collect();
    page.table(
        &[
            Column::Left("Day"),
            Column::Left("Person"),
            Column::Left("Device"),
            Column::Left("Field"),
            Column::Left("Before"),
            Column::Left("After"),
            Column::Left("What was done"),
        ],
        &rows,
    );
}

/// Fields that two devices wrote apart.
pub(crate) fn apart(page: &mut Page, places: &Json) {
    let places = places.as_array().map_or(&[][..], Vec::as_slice);
    if places.is_empty() {
        page.say("No field was written apart.");
    }
    for place in places {
        let name = text(place, "name");
        page.heading(if name.is_empty() { "The notebook's own records" } else { name });
        if !list(place, "conflicts").is_empty() {
            conflicts(page, &place["conflicts"]);
        }
        for left in list(place, "left_behind") {
            page.say(&format!(
                "{} records were written elsewhere on a zone after it was merged into this one; \
                 `zone merge {} --into {}` takes them over",
                left["records"],
                text(left, "zone"),
                text(left, "into"),
            ));
        }
    }
}

/// The same of one place.
pub(crate) fn conflicts(page: &mut Page, conflicts: &Json) {
    let conflicts = conflicts.as_array().map_or(&[][..], Vec::as_slice);
    if conflicts.is_empty() {
        page.say("No field was written apart.");
        return;
    }
    for conflict in conflicts {
        let (kind, field) = (text(conflict, "kind"), text(conflict, "field"));
        page.heading(&format!("{field} of {kind} {}", text(conflict, "id")));
        let rows: Vec<Vec<String>> = list(conflict, "claims")
            .iter()
            .enumerate()
            .map(|(at, claim)| {
                let is_shown = claim["shown"].as_bool().unwrap_or(false);
                vec![
                    at.to_string(),
                    text(claim, "text").to_owned(),
                    stamp(&claim["stamp"]),
                    if is_shown { "shown until you choose" } else { "" }.to_owned(),
                ]
            })
            .collect();
        page.table(
            &[
                Column::Right("No."),
                Column::Left("Value"),
                Column::Left("Written"),
                Column::Left(""),
            ],
            &rows,
        );
    }
    page.gap();
    page.say("`conflicts choose ID FIELD NUMBER` ends one.");
}

/// Every kind of record with its fields.
pub(crate) fn forms(page: &mut Page, forms: &Json) {
    let forms = forms.as_array().map_or(&[][..], Vec::as_slice);
    for form in forms {
        page.heading(&format!("{}: kept in the {}", text(form, "title"), text(form, "home")));
        let rows: Vec<Vec<String>> = list(form, "fields")
            .iter()
            .map(|field| {
                let unit = text(field, "unit");
                let kind = match text(field, "type") {
                    "choice" => joined(&field["choices"]),
                    "record" => format!("{} by id or name", text(field, "refers_to")),
                    kind if unit.is_empty() => kind.to_owned(),
                    _ => unit.to_owned(),
                };
                vec![
                    text(field, "name").replace('_', "-"),
                    text(field, "need").to_owned(),
                    kind,
                    format!("{}: {}", text(field, "label"), text(field, "about")),
                ]
            })
            .collect();
        page.table(
            &[
                Column::Left("Field"),
                Column::Left("Need"),
                Column::Left("Takes"),
                Column::Left("What it is"),
            ],
            &rows,
        );
    }
}
