//! Requests that belong to no use case's own file.

use serde::Deserialize;
use ts_rs::TS;

use crate::record::GivenFields;

/// Which action to take back.
#[derive(Debug, Clone, Default, Deserialize, TS)]
pub struct UndoRequest {
    /// Its number; the newest that stands when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<u32>")]
    pub number: Option<u32>,
}

/// Where to look for fields that two devices wrote apart.
#[derive(Debug, Clone, Default, Deserialize, TS)]
pub struct ConflictsRequest {
    /// A zone or property by id or name; the notebook's own records when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub within: Option<String>,
}

/// Settings to change.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct SettingsRequest {
    /// Fields by name; `null` takes one away.
    #[ts(type = "Record<string, unknown>")]
    pub fields: GivenFields,
}

/// A calculation to run.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct CalcRequest {
    /// Its id.
    pub id: String,
    /// Its inputs by name.
    #[ts(type = "Record<string, unknown>")]
    pub inputs: serde_json::Value,
}
