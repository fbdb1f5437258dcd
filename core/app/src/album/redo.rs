//! Doing a kept measurement again from the original: the same numbers must come out.

use serde::Serialize;
use swardbook_journal::{Record, Value, records::Measurement};
use ts_rs::TS;

use super::{
    kept::{Circumstances, choices_of, newest, record_of},
    list::PhotoRef,
};
use crate::{Notebook, Problem, notebook::zone_document, photo};

/// A measurement done again.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct RedoView {
    /// The photo.
    pub photo: String,
    /// The measurement that was done again.
    pub measurement: String,
    /// Way of measuring then.
    pub algorithm_then: String,
    /// Way of measuring now.
    pub algorithm_now: String,
    /// The same numbers came out.
    pub is_same: bool,
    /// How many numbers were compared.
    pub compared: u32,
    /// What differs, in words.
    pub differences: Vec<String>,
}

/// Relative difference within which numbers are the same: other processors round the last digits
/// of a power otherwise.
const SAME: f64 = 1e-9;

impl Notebook {
    /// Measures a photo again by what was chosen for the measurement that counts, and compares.
    ///
    /// # Errors
    /// [`Problem`] when it was not measured, or the original is not here.
    pub fn redo_measurement(&mut self, request: &PhotoRef) -> Result<RedoView, Problem> {
        let kept = self.kept_photo("photo", &request.photo)?;
        let entries = self.document(zone_document(kept.zone))?.entries();
        let (id, then) = newest(&entries).remove(&kept.id).ok_or_else(|| {
            Problem::not_found("photo", "this photo was not measured yet; `photo measure` does it")
        })?;
        let choices = choices_of(&then)?;
        let bytes = self.original(&then.original)?;
        let measured = photo::measure_photo(&bytes, &choices)?;
        let info = photo::read_photo(&bytes)?;
        let now = record_of(
            Circumstances {
                photo: kept.id,
                original: then.original.clone(),
                date: then.date.unwrap_or_else(|| self.today()),
                size: (info.width, info.height),
                camera: info.camera,
                corners_found: then.corners_found,
                note: then.note.clone(),
            },
            &choices,
            &measured,
        )?;
        let (compared, differences) = differences(&then, &now);
        Ok(RedoView {
            photo: request.photo.clone(),
            measurement: id,
            algorithm_then: then.algorithm.clone(),
            algorithm_now: now.algorithm.clone(),
            is_same: differences.is_empty(),
            compared,
            differences,
        })
    }
}

fn differences(then: &Measurement, now: &Measurement) -> (u32, Vec<String>) {
    let (then, now) = (then.to_fields(), now.to_fields());
    let mut differences = Vec::new();
    let mut compared = 0;
    let names: std::collections::BTreeSet<&String> = then.keys().chain(now.keys()).collect();
    for name in names {
        let (before, after) = (then.get(name), now.get(name));
        if matches!(before, Some(Value::Number(_))) {
            compared += 1;
        }
        if !is_same(before, after) {
            let words =
                |value: Option<&Value>| value.map_or_else(|| "nothing".to_owned(), Value::words);
            differences.push(format!("{name}: {} then, {} now", words(before), words(after)));
        }
    }
    (compared, differences)
}

fn is_same(one: Option<&Value>, other: Option<&Value>) -> bool {
    match (one, other) {
        (Some(Value::Number(a)), Some(Value::Number(b))) => {
            (a - b).abs() <= SAME * a.abs().max(b.abs()).max(1.0)
        }
        // Numbers in a row, such as the measures of the photo.
        (Some(Value::Text(a)), Some(Value::Text(b))) if a != b => {
            let row = |text: &str| -> Option<Vec<f64>> {
                text.split([' ', ',']).map(|part| part.parse().ok()).collect()
            };
            row(a).zip(row(b)).is_some_and(|(a, b)| {
                a.len() == b.len()
                    && a.iter().zip(&b).all(|(a, b)| (a - b).abs() <= SAME * a.abs().max(1.0))
            })
        }
        (one, other) => one == other,
    }
}
