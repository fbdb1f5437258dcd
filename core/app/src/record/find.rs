//! Finding one record by its name, and listing those of a kind.

use serde::Deserialize;
use swardbook_store::DocumentName;
use swardbook_units::Id;
use ts_rs::TS;

use super::{RecordView, keep::known_form, spec::Home};
use crate::{
    Notebook, Problem,
    notebook::{NOTEBOOK, property_document, zone_document},
};

/// A record as a person names it.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct FindRecord {
    /// Its kind.
    pub kind: String,
    /// Its id, or the name, label or report number that only one of its kind carries.
    pub record: String,
    /// The zone in which to look for a label, by id or name.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub within: Option<String>,
}

/// Which records to list.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct ListRecords {
    /// Their kind.
    pub kind: String,
    /// The property of zones, or the zone of what happens on one, by id or name.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub within: Option<String>,
}

impl Notebook {
    /// Finds a record and shows it.
    ///
    /// # Errors
    /// [`Problem`] when there is none, or more than one of that name.
    pub fn find_and_show(&mut self, request: &FindRecord) -> Result<RecordView, Problem> {
        let spec = known_form(&request.kind)?;
        let zone = match (&request.within, spec.home) {
            (Some(zone), Home::Zone) => Some(self.find_zone("within", zone)?),
            _ => None,
        };
        let found = self.find_record("record", spec.kind, &request.record, zone);
        let id = found.map_err(|problem| match (spec.home, zone) {
            (Home::Zone, None) => Problem {
                message: format!(
                    "{}; give its id, or say in which zone to look for \"{}\"",
                    problem.message, request.record
                ),
                ..problem
            },
            _ => problem,
        })?;
        self.record(&id)
    }

    /// The records of a kind that were not taken away, in the order they were made.
    ///
    /// # Errors
    /// [`Problem`] when there is no such kind or place.
    pub fn list_records(&mut self, request: &ListRecords) -> Result<Vec<RecordView>, Problem> {
        let spec = known_form(&request.kind)?;
        let needed = |what: &str| {
            let within = request.within.as_deref();
            within.ok_or_else(|| Problem::missing("within", &format!("say of which {what}")))
        };
        let documents: Vec<DocumentName> = match (spec.home, spec.kind) {
            (Home::Notebook, _) => vec![NOTEBOOK],
            (Home::Property, "property") => {
                let ids = self.property_rows()?.into_iter().map(|row| row.id.parse::<Id>());
                ids.filter_map(|id| Some(property_document(id.ok()?))).collect()
            }
            (Home::Property, _) => {
                vec![property_document(self.find_property("within", needed("property")?)?)]
            }
            (Home::Zone, _) => vec![zone_document(self.find_zone("within", needed("zone")?)?)],
        };
        let mut views = Vec::new();
        for document in documents {
            for entry in self.document(document)?.entries() {
                let is_listed = entry.kind == spec.kind && entry.voided().is_none();
                if is_listed {
                    views.push(self.view_entry(document, &entry)?);
                }
            }
        }
        Ok(views)
    }
}
