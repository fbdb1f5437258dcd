//! What a panel file says, and what an import of it did.

use serde_json::Value as Json;

use super::{Column, Page, list, quantity, range, text};

/// What a file says, read without a notebook.
pub(crate) fn read(page: &mut Page, read: &Json) {
    page.say(text(read, "file"));
    samples(page, read);
    not_read(page, read);
    questions(page, read);
}

/// What a file would bring in.
pub(crate) fn preview(page: &mut Page, preview: &Json) {
    page.say(&format!("{}: {}", text(preview, "file"), text(preview, "form")));
    page.say(&format!(
        "{} of {} filled cells are readings; {}",
        preview["reading_cells"],
        preview["cells"],
        layout(preview)
    ));
    samples(page, preview);
    not_read(page, preview);
    questions(page, preview);
}

fn layout(preview: &Json) -> String {
    match text(preview, "laboratory") {
        "" => "the layout was found anew".to_owned(),
        laboratory => format!("read as a file of {laboratory}"),
    }
}

fn samples(page: &mut Page, preview: &Json) {
    let samples = list(preview, "samples");
    if samples.is_empty() {
        page.heading("No sample with a reading was found.");
    }
    for sample in samples {
        page.heading(&sample_line(sample));
        if let Some(id) = sample["matches"].as_str() {
            page.say(&format!("  belongs to the sample {id}, which waits for it"));
        }
        let remarks = text(sample, "remarks");
        if !remarks.is_empty() {
            page.hang("  remark: ", remarks);
        }
        let rows: Vec<Vec<String>> = list(sample, "readings").iter().map(reading_row).collect();
        page.table(
            &[
                Column::Left("Analyte"),
                Column::Right("Value"),
                Column::Left("Unit"),
                Column::Left("Cell"),
                Column::Left("Method"),
                Column::Left("Mark"),
            ],
            &rows,
        );
    }
}

fn sample_line(sample: &Json) -> String {
    let label = match text(sample, "label") {
        "" => "Sample without a label".to_owned(),
        label => format!("Sample {label}"),
    };
    let place: Vec<&str> = [text(sample, "property"), text(sample, "zone")]
        .into_iter()
        .filter(|part| !part.is_empty())
        .collect();
    let with = |before: &str, name: &str| match text(sample, name) {
        "" => String::new(),
        value => format!("{before} {value}"),
    };
    let layer = match (&sample["from_mm"], &sample["to_mm"]) {
        (Json::Null, _) | (_, Json::Null) => String::new(),
        (from, to) => range(from, to, "mm"),
    };
    let parts = [
        with("number", "number"),
        place.join(" / "),
        with("pulled", "sampled"),
        with("reported", "reported"),
        layer,
    ];
    let parts: Vec<String> = parts.into_iter().filter(|part| !part.is_empty()).collect();
    if parts.is_empty() { label } else { format!("{label}: {}", parts.join(", ")) }
}

fn reading_row(reading: &Json) -> Vec<String> {
    let form = text(reading, "form");
    let name = text(reading, "name");
    vec![
        if form.is_empty() { name.to_owned() } else { format!("{name} as {form}") },
        format!("{}{}", text(reading, "qualifier"), quantity(&reading["value"], "")),
        text(reading, "unit").to_owned(),
        text(reading, "cell").to_owned(),
        text(reading, "method_name").to_owned(),
        text(reading, "mark").to_owned(),
    ]
}

fn not_read(page: &mut Page, preview: &Json) {
    let unread = list(preview, "unread");
    if !unread.is_empty() {
        page.heading(&format!("Not read: {}", count(unread.len(), "cell", "cells")));
        let rows: Vec<Vec<String>> = unread
            .iter()
            .map(|cell| {
                vec![
                    text(cell, "sheet").to_owned(),
                    text(cell, "cell").to_owned(),
                    short(text(cell, "text")),
                    format!("{}; {}", text(cell, "reason"), text(cell, "remedy")),
                ]
            })
            .collect();
        page.table(
            &[
                Column::Left("Sheet"),
                Column::Left("Cell"),
                Column::Left("Says"),
                Column::Left("Why, and what to do"),
            ],
            &rows,
        );
    }
    let ignored = list(preview, "ignored");
    if !ignored.is_empty() {
        page.heading("Left out by the layout");
        for column in ignored {
            let cells = usize::try_from(column["cells"].as_u64().unwrap_or(0)).unwrap_or(0);
            let heading = short(text(column, "heading"));
            page.hang("  - ", &format!("{heading}: {}", count(cells, "cell", "cells")));
        }
    }
}

fn count(count: usize, single: &str, several: &str) -> String {
    format!("{count} {}", if count == 1 { single } else { several })
}

/// The beginning of a cell, on one line.
fn short(cell: &str) -> String {
    const MOST: usize = 60;
    let line = cell.split_whitespace().collect::<Vec<_>>().join(" ");
    if line.chars().count() <= MOST {
        return line;
    }
    line.chars().take(MOST).chain("…".chars()).collect()
}

fn questions(page: &mut Page, preview: &Json) {
    let questions = list(preview, "questions");
    if questions.is_empty() {
        return;
    }
    page.heading("Only you can say");
    let mut example = None;
    for question in questions {
        let (id, written) = (text(question, "id"), short(text(question, "written")));
        let asked = text(question, "asked");
        if id.is_empty() {
            page.hang("  - ", &format!("{}: \"{written}\"", text(question, "cell")));
            continue;
        }
        page.hang("  - ", &format!("{id}: \"{written}\": {asked}"));
        let choices = list(question, "choices");
        for (at, choice) in choices.iter().filter_map(Json::as_str).enumerate() {
            page.hang(&format!("    {at:>3}  "), choice);
        }
        if !choices.is_empty() {
            example.get_or_insert_with(|| id.to_owned());
        }
    }
    if let Some(id) = example {
        page.say(&format!("Answer with the number of a choice: --answer {id}=0"));
    }
}

/// What an import did.
pub(crate) fn imported(page: &mut Page, outcome: &Json) {
    let panels = list(outcome, "panels");
    let count = count(panels.len(), "panel", "panels");
    page.say(&format!("Brought in {count} from {}", text(&outcome["preview"], "file")));
    let rows: Vec<Vec<String>> = panels
        .iter()
        .map(|panel| {
            let made = panel["made_sample"].as_bool().unwrap_or(false);
            vec![
                text(panel, "label").to_owned(),
                panel["readings"].to_string(),
                text(panel, "panel").to_owned(),
                text(panel, "sample").to_owned(),
                if made { "made from the file" } else { "was waiting" }.to_owned(),
            ]
        })
        .collect();
    page.table(
        &[
            Column::Left("Label"),
            Column::Right("Readings"),
            Column::Left("Panel"),
            Column::Left("Sample"),
            Column::Left("The sample"),
        ],
        &rows,
    );
    let skipped: Vec<&str> = list(outcome, "skipped").iter().filter_map(Json::as_str).collect();
    page.pairs(&[
        ("Left out", skipped.join(", ")),
        ("Original kept", text(outcome, "file").to_owned()),
    ]);
    not_read(page, &outcome["preview"]);
    questions(page, &outcome["preview"]);
}
