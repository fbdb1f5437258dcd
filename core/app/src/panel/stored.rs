//! Readings between the journal and the arithmetic.

use swardbook_agronomy::{
    analyte::{NOT_STATED, analyte, method},
    reading::{Qualifier, Reading},
};
use swardbook_journal::records::{Panel, Qualifier as StoredQualifier, ReadingRecord};
use swardbook_units::parse_unit;

/// A reading of the journal with its short name, understood where this version can.
#[derive(Debug, Clone)]
pub(crate) struct StoredReading {
    pub(crate) key: String,
    pub(crate) record: ReadingRecord,
    /// The reading for the arithmetic, or why there is none.
    pub(crate) reading: Result<Reading, String>,
}

/// The readings of a panel, in the order of their short names.
pub(crate) fn readings_of(panel: &Panel) -> Vec<StoredReading> {
    panel
        .reading
        .iter()
        .map(|(key, record)| StoredReading {
            key: key.clone(),
            record: record.clone(),
            reading: understood(record),
        })
        .collect()
}

/// Turns a stored reading into one for the arithmetic.
pub(crate) fn understood(record: &ReadingRecord) -> Result<Reading, String> {
    let what = analyte(&record.analyte).ok_or_else(|| {
        format!("the analyte \"{}\" is not known to this version", record.analyte)
    })?;
    let how = if record.method.is_empty() { NOT_STATED } else { &record.method };
    let how =
        method(how).ok_or_else(|| format!("the method \"{how}\" is not known to this version"))?;
    let value = record.value.ok_or("the number is missing")?;
    let unit = parse_unit(&record.unit).map_err(|e| e.to_string())?;
    let qualifier = match &record.qualifier {
        None => Qualifier::Exact,
        Some(StoredQualifier::Below) => Qualifier::Below,
        Some(StoredQualifier::Above) => Qualifier::Above,
        Some(StoredQualifier::Other(sign)) => {
            return Err(format!("the sign \"{sign}\" is not known to this version"));
        }
    };
    let reading =
        Reading::new(what, how, value, unit, qualifier).map_err(|error| error.to_string())?;
    if record.form.is_empty() {
        return Ok(reading);
    }
    let form = what.forms.iter().find(|form| form.formula == record.form).ok_or_else(|| {
        format!("{} is not reported as {} by this version", what.name, record.form)
    })?;
    reading.reported_as(form).map_err(|error| error.to_string())
}

/// The stored sign.
pub(super) const fn stored_qualifier(qualifier: Qualifier) -> Option<StoredQualifier> {
    match qualifier {
        Qualifier::Exact => None,
        Qualifier::Below => Some(StoredQualifier::Below),
        Qualifier::Above => Some(StoredQualifier::Above),
    }
}
