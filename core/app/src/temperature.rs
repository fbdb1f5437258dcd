//! Air temperatures that a person enters or brings as a table; nothing is fetched from anywhere.

mod table;

use std::{collections::BTreeMap, io::Read, path::Path};

use serde::{Deserialize, Serialize};
use swardbook_journal::records::Temperatures;
use swardbook_store::BlobHash;
use swardbook_units::{Id, NaiveDate};
use ts_rs::TS;

pub(crate) use table::{Scale, daily_means};

use crate::{Code, Notebook, Problem, notebook::property_document, record::RecordView};

/// Temperatures to keep.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct AddTemperatures {
    /// The property, by id or name.
    pub property: String,
    /// Path of a CSV file: a day and a temperature, or a day with least and greatest, in each row.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub path: Option<String>,
    /// The same as text, typed or pasted; no heading is needed.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub text: Option<String>,
    /// `C` or `F`, where the headings do not say so; `C` when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub unit: Option<String>,
    /// Words.
    #[serde(default)]
    pub note: String,
}

/// Temperatures that were kept.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct TemperaturesAdded {
    /// The record.
    pub record: RecordView,
    /// Days with a temperature.
    pub days: u32,
    /// First day.
    pub first: String,
    /// Last day.
    pub last: String,
    /// Least daily mean, degrees Celsius.
    pub least_c: f64,
    /// Greatest daily mean.
    pub greatest_c: f64,
}

/// The largest table of temperatures.
const MOST_BYTES: u64 = 16 << 20;

impl Notebook {
    /// Keeps a table of temperatures with a property.
    ///
    /// # Errors
    /// [`Problem`] naming the line that cannot be read; nothing is kept then.
    pub fn add_temperatures(
        &mut self,
        request: &AddTemperatures,
    ) -> Result<TemperaturesAdded, Problem> {
        let property = self.find_property("property", &request.property)?;
        let (bytes, file_name) = match (&request.path, &request.text) {
            (Some(path), None) => {
                let path = Path::new(path);
                let name = path.file_name().map(|name| name.to_string_lossy().into_owned());
                (read_table(path)?, name.unwrap_or_default())
            }
            (None, Some(text)) => (text.clone().into_bytes(), String::new()),
            (Some(_), Some(_)) => {
                return Err(Problem::bad("text", "give a file or a text, not both"));
            }
            (None, None) => {
                return Err(Problem::missing("path", "name a CSV file, or give the table as text"));
            }
        };
        let scale = request.unit.as_deref().map(Scale::of).transpose()?;
        let means = daily_means(&text_of(&bytes)?, scale)?;
        let (Some((first, _)), Some((last, _))) = (means.first_key_value(), means.last_key_value())
        else {
            return Err(Problem::missing("text", "there is no day with a temperature in it"));
        };
        let kept = self.store.add_blob(&mut &bytes[..], MOST_BYTES)?;
        let record = Temperatures {
            file: kept.hash.to_string(),
            file_name,
            unit: request.unit.clone().unwrap_or_default(),
            first: Some(*first),
            last: Some(*last),
            days: i64::try_from(means.len()).ok(),
            note: request.note.trim().to_owned(),
        };
        let mut action = self.begin_action(format!("added temperatures of {} days", means.len()));
        let id = action.add(property_document(property), &record)?.to_string();
        action.keep()?;
        let ends = means
            .values()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), t| (low.min(*t), high.max(*t)));
        Ok(TemperaturesAdded {
            record: self.record(&id)?,
            days: u32::try_from(means.len()).unwrap_or(u32::MAX),
            first: crate::dto::day_text(*first),
            last: crate::dto::day_text(*last),
            least_c: ends.0,
            greatest_c: ends.1,
        })
    }

    /// Daily means of a property, degrees Celsius; where two tables hold a day, the one that was
    /// added last counts.
    ///
    /// A table that has not arrived here is passed over.
    pub(crate) fn daily_temperatures(
        &mut self,
        property: Id,
    ) -> Result<BTreeMap<NaiveDate, f64>, Problem> {
        let entries = self.document(property_document(property))?.entries();
        let mut means = BTreeMap::new();
        for entry in entries.iter().filter(|entry| entry.voided().is_none()) {
            let Some(record) = entry.read::<Temperatures>() else { continue };
            let Ok(hash) = record.file.parse::<BlobHash>() else { continue };
            let Ok(file) = self.store.open_blob(hash) else { continue };
            let mut bytes = Vec::new();
            file.take(MOST_BYTES).read_to_end(&mut bytes).map_err(|e| {
                Problem::new(Code::Storage, format!("a table of temperatures is unreadable: {e}"))
            })?;
            let scale = Scale::of(&record.unit).ok();
            means.extend(daily_means(&text_of(&bytes)?, scale)?);
        }
        Ok(means)
    }
}

fn read_table(path: &Path) -> Result<Vec<u8>, Problem> {
    let failed = |e: std::io::Error| {
        Problem::new(Code::BadFile, format!("{}: {e}", path.display())).at("path")
    };
    let mut bytes = Vec::new();
    let file = std::fs::File::open(path).map_err(failed)?;
    file.take(MOST_BYTES + 1).read_to_end(&mut bytes).map_err(failed)?;
    if bytes.len() as u64 > MOST_BYTES {
        let message =
            format!("{}: a table of at most {} MB is read", path.display(), MOST_BYTES >> 20);
        return Err(Problem::new(Code::BadFile, message).at("path"));
    }
    Ok(bytes)
}

fn text_of(bytes: &[u8]) -> Result<String, Problem> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    String::from_utf8(bytes.to_vec()).map_err(|_| {
        Problem::new(Code::BadFile, "the table of temperatures is no UTF-8 text; save it as UTF-8")
            .at("path")
    })
}
