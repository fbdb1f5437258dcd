//! What a panel file says, read without a notebook.

use std::path::Path;

use serde_json::{Value as Json, json};
use swardbook_app::{Problem, panel_file};

/// Reads a file in the form of a preview, as far as it can be known without a notebook.
///
/// # Errors
/// [`Problem`] when it is no panel file.
pub(crate) fn read(file: &Path) -> Result<Json, Problem> {
    let sheets = panel_file::open(file)?;
    let mapping = panel_file::propose(&sheets)?;
    let read = panel_file::apply(&sheets, &mapping);
    let samples: Vec<Json> = read
        .samples
        .iter()
        .map(|sample| {
            let readings: Vec<Json> = sample.readings.iter().map(reading).collect();
            json!({ "label": sample.attributes.label, "readings": readings })
        })
        .collect();
    let unread: Vec<Json> = read
        .unread
        .iter()
        .map(|unread| {
            json!({
                "cell": unread.place.cell(),
                "text": unread.text,
                "reason": unread.reason.text(),
                "remedy": unread.reason.remedy(),
            })
        })
        .collect();
    let questions: Vec<Json> = read
        .questions
        .iter()
        .map(|question| json!({ "cell": question.place.cell(), "written": question.written }))
        .collect();
    Ok(json!({
        "file": sheets.file, "samples": samples, "unread": unread, "questions": questions,
    }))
}

fn reading(reading: &panel_file::ImportedReading) -> Json {
    json!({
        "analyte": reading.analyte.id,
        "name": reading.analyte.name,
        "method": reading.method.id,
        "method_name": reading.method.name,
        "qualifier": reading.qualifier.sign(),
        "value": reading.value,
        "unit": reading.unit.symbol,
        "cell": reading.place.cell(),
    })
}
