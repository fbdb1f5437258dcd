//! A panel with its readings and what the checks found.

use serde_json::Value as Json;

use super::{Column, Page, list, number, range, record, text, working};

/// A panel.
pub(crate) fn panel(page: &mut Page, view: &Json) {
    let label = text(view, "sample_label");
    let of = if label.is_empty() { String::new() } else { format!(" of {label}") };
    page.say(&format!("Panel{of}, {}", text(view, "zone_name")));
    if let Some(why) = view["record"]["voided"].as_str() {
        page.say(&format!("  taken away: {why}"));
    }
    let layer = match (&view["from_mm"], &view["to_mm"]) {
        (Json::Null, _) | (_, Json::Null) => String::new(),
        (from, to) => range(from, to, "mm"),
    };
    let reported = list(&view["record"], "fields");
    let reported = reported.iter().find(|field| text(field, "name") == "date");
    page.pairs(&[
        ("Pulled", text(view, "sampled")),
        ("Layer", &layer),
        ("Laboratory", text(view, "laboratory_name")),
        ("Reported", reported.map_or("", |field| text(field, "text"))),
        ("Original", text(view, "file_name")),
        ("Still to fill in", &record::joined(&view["record"]["missing"])),
        ("Id", text(&view["record"], "id")),
    ]);
    let readings = list(view, "readings");
    page.heading("Readings");
    if readings.is_empty() {
        page.say("  None.");
    }
    let rows: Vec<Vec<String>> = readings.iter().map(reading_row).collect();
    page.table(
        &[
            Column::Left("Key"),
            Column::Left("Analyte"),
            Column::Right("Value"),
            Column::Left("Unit"),
            Column::Left("Method"),
            Column::Left("Note"),
        ],
        &rows,
    );
    findings(page, list(view, "findings"));
}

fn reading_row(reading: &Json) -> Vec<String> {
    let form = text(reading, "form");
    let name = text(reading, "name");
    let qualifier = match text(reading, "qualifier") {
        "less" => "<",
        "greater" => ">",
        sign => sign,
    };
    let unusable = text(reading, "unusable");
    let kept = kept(reading);
    let notes = [text(reading, "note"), kept.as_str(), unusable];
    let notes: Vec<&str> = notes.into_iter().filter(|note| !note.is_empty()).collect();
    vec![
        text(reading, "key").to_owned(),
        if form.is_empty() { name.to_owned() } else { format!("{name} as {form}") },
        format!("{qualifier}{}", reading["value"].as_f64().map_or_else(String::new, number)),
        text(reading, "unit").to_owned(),
        text(reading, "method_name").to_owned(),
        notes.join("; "),
    ]
}

/// The number in the unit that limits are stated in, where that is another one.
fn kept(reading: &Json) -> String {
    let unit = text(reading, "kept_unit");
    let same = unit == text(reading, "unit") && text(reading, "form").is_empty();
    match reading["kept_value"].as_f64() {
        Some(value) if !same => {
            let decimals = reading["decimals"].as_u64().and_then(|d| usize::try_from(d).ok());
            format!("= {value:.*} {unit}", decimals.unwrap_or(2)).trim_end().to_owned()
        }
        _ => String::new(),
    }
}

fn findings(page: &mut Page, findings: &[Json]) {
    if findings.is_empty() {
        return;
    }
    page.heading("What the checks found");
    let mut sources: Vec<Json> = Vec::new();
    for finding in findings {
        let about: Vec<&str> = list(finding, "readings").iter().filter_map(Json::as_str).collect();
        page.hang(
            &format!("  {}: ", text(finding, "severity")),
            &format!("{} ({})", text(finding, "message"), about.join(", ")),
        );
        for suggestion in list(finding, "suggestions").iter().filter_map(Json::as_str) {
            page.hang("    perhaps ", suggestion);
        }
        for source in list(finding, "sources") {
            if !sources.contains(source) {
                sources.push(source.clone());
            }
        }
    }
    working::sources(page, &sources);
}

/// What can be read.
pub(crate) fn analytes(page: &mut Page, lines: &Json) {
    let lines = lines.as_array().map_or(&[][..], Vec::as_slice);
    let rows: Vec<Vec<String>> = lines
        .iter()
        .map(|line| {
            let methods: Vec<&str> =
                list(line, "methods").iter().map(|method| text(method, "name")).collect();
            vec![
                text(line, "id").to_owned(),
                text(line, "name").to_owned(),
                record::joined(&line["units"]),
                methods.join("; "),
            ]
        })
        .collect();
    page.table(
        &[
            Column::Left("Id"),
            Column::Left("Analyte"),
            Column::Left("Units"),
            Column::Left("Methods"),
        ],
        &rows,
    );
}
