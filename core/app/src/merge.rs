//! Two zones that were made for the same ground, merged by a person.
//!
//! The records of the one that goes are written into the journal of the one that stays, under their
//! own names, so that whatever refers to them still does; in their old journal they are hidden.
//! Nothing is lost: the old journal keeps every change, and taking the action back undoes all of it.

use serde::{Deserialize, Serialize};
use swardbook_journal::{Entry, Fields, Record as _, Value, records::Zone};
use swardbook_store::DocumentName;
use swardbook_units::Id;
use ts_rs::TS;

use crate::{Notebook, Problem, ground::ZoneLine, notebook::zone_document};

/// Field of a merged record that names the zone it was written on.
pub(crate) const FROM: &str = "merged_from";
/// Field of a zone that was merged, with the zone that stays.
const INTO: &str = "merged_into";

/// Which zones to merge.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct MergeZones {
    /// The one that goes, by id or name; or the id of one that went before, to take over what
    /// another device still wrote there.
    pub zone: String,
    /// The one that stays.
    pub into: String,
}

/// What was merged.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct MergeView {
    /// The zone that stays.
    pub zone: ZoneLine,
    /// Records that it took over.
    pub records: u32,
}

/// Records that were written on a zone after it was merged.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct Leftover {
    /// The zone that went, by id.
    pub zone: String,
    /// The zone that stayed, by id.
    pub into: String,
    /// Its name.
    pub into_name: String,
    /// How many.
    pub records: u32,
}

/// The journal that a merged record was written in first.
pub(crate) fn merged_from(entry: &Entry) -> Option<DocumentName> {
    id_in(entry, FROM).map(zone_document)
}

/// The zone that a zone was merged into.
pub(crate) fn merged_into(entry: &Entry) -> Option<Id> {
    id_in(entry, INTO)
}

fn id_in(entry: &Entry, field: &str) -> Option<Id> {
    match entry.fields.get(field)? {
        Value::Text(id) => id.parse().ok(),
        _ => None,
    }
}

impl Notebook {
    /// Merges one zone into another; every record is kept, and it can be taken back.
    ///
    /// # Errors
    /// [`Problem`] naming the field, when there is no such zone or both are one.
    pub fn merge_zones(&mut self, request: &MergeZones) -> Result<MergeView, Problem> {
        let into = self.find_zone("into", &request.into)?;
        let from = match self.find_zone("zone", &request.zone) {
            Ok(zone) => zone,
            // One that was merged before is no longer listed, and may be named by its id.
            Err(problem) => self.merged_before(&request.zone, into)?.ok_or(problem)?,
        };
        if from == into {
            return Err(Problem::bad("into", "name two different zones"));
        }
        let (zone_entry, stays) = (self.zone_entry(from)?, self.zone_entry(into)?);
        let name = |entry: &Entry| match entry.fields.get("name") {
            Some(Value::Text(name)) => name.clone(),
            _ => entry.key.clone(),
        };
        let (from_name, into_name) = (name(&zone_entry.1), name(&stays.1));
        let at = self.now();
        let moving: Vec<Entry> = self
            .document(zone_document(from))?
            .entries()
            .into_iter()
            .filter(|entry| entry.voided().is_none())
            .collect();
        let why = format!("merged into {into_name}");
        let what = format!("merged zone {from_name} into {into_name}");
        let mut action = self.begin_action(what);
        for entry in &moving {
            let mut fields = entry.fields.clone();
            fields.insert(FROM.to_owned(), Value::Text(from.to_string()));
            // One that was merged and taken back before is there, hidden.
            let shown = vec!["voided".to_owned(), "voided_why".to_owned()];
            action.write_fields(zone_document(into), &entry.key, &entry.kind, fields, shown)?;
            action.write(zone_document(from), &entry.key, |document| {
                Ok(document.void(&entry.key, &why, at).map(drop)?)
            })?;
        }
        let (document, entry) = zone_entry;
        if entry.voided().is_none() {
            let mark = Fields::from([(INTO.to_owned(), Value::Text(into.to_string()))]);
            action.write_fields(document, &entry.key, Zone::KIND, mark, Vec::new())?;
            action.write(document, &entry.key, |document| {
                Ok(document.void(&entry.key, &why, at).map(drop)?)
            })?;
        }
        action.keep()?;
        let row = self.zone_row(into)?.expect("found by its row");
        let records = u32::try_from(moving.len()).unwrap_or(u32::MAX);
        Ok(MergeView { zone: self.zone_line(row)?, records })
    }

    fn merged_before(&self, text: &str, into: Id) -> Result<Option<Id>, Problem> {
        let Ok(id) = text.parse::<Id>() else { return Ok(None) };
        Ok(self.merged_zones()?.contains(&(id, into)).then_some(id))
    }

    fn zone_entry(&mut self, zone: Id) -> Result<(DocumentName, Entry), Problem> {
        self.entry("zone", &zone.to_string())
    }

    /// What was written on zones after they were merged.
    pub(crate) fn left_behind(&mut self) -> Result<Vec<Leftover>, Problem> {
        let mut all = Vec::new();
        for (zone, into) in self.merged_zones()? {
            let entries = self.document(zone_document(zone))?.entries();
            let standing = entries.iter().filter(|entry| entry.voided().is_none()).count();
            if standing > 0 {
                all.push(Leftover {
                    zone: zone.to_string(),
                    into: into.to_string(),
                    into_name: self.zone_row(into)?.map_or_else(String::new, |row| row.name),
                    records: u32::try_from(standing).unwrap_or(u32::MAX),
                });
            }
        }
        Ok(all)
    }
}
