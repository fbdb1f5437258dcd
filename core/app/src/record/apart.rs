//! What two devices did apart, over the whole notebook: for a person to decide.

use serde::Serialize;
use serde_json::Value as Json;
use swardbook_journal::{Document, Record as _, Stamp, Value, records::PlanRecord};
use swardbook_store::DocumentName;
use ts_rs::TS;

use super::{ClaimView, ConflictView, form};
use crate::{Notebook, Problem, merge::Leftover};

/// What two devices did apart in one place.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct PlaceApart {
    /// The zone or property by id; empty for the notebook's own records.
    pub within: String,
    /// What it is called.
    pub name: String,
    /// Fields that hold more than one value.
    pub conflicts: Vec<ConflictView>,
    /// Records that another device still wrote on a zone after it was merged into this one.
    pub left_behind: Vec<Leftover>,
}

/// Plans that were accepted on one device and changed on another, as a choice between leaving them
/// accepted with what was changed, and taking them back to a draft.
pub(crate) fn plans_apart(document: &mut Document) -> Vec<ConflictView> {
    let status = |entry: &swardbook_journal::Entry| match entry.fields.get("status") {
        Some(Value::Text(word)) => word.clone(),
        _ => String::new(),
    };
    let accepted: Vec<String> = document
        .entries()
        .into_iter()
        .filter(|entry| entry.kind == PlanRecord::KIND && entry.voided().is_none())
        .filter(|entry| status(entry) == "accepted" && entry.conflicting.is_empty())
        .map(|entry| entry.key)
        .collect();
    let mut views = Vec::new();
    for key in accepted {
        let Some((accepter, changed)) = document.written_apart(&key, "status") else { continue };
        if changed.is_empty() {
            continue;
        }
        let words: Vec<String> = changed
            .iter()
            .map(|one| {
                let spec = form(PlanRecord::KIND).and_then(|form| form.stored(&one.field));
                let label = spec.map_or(one.field.as_str(), |field| field.label);
                format!("{label}: {}", one.value.words())
            })
            .collect();
        let changer = changed.into_iter().find_map(|one| one.stamp);
        views.push(ConflictView {
            id: key,
            kind: PlanRecord::KIND.to_owned(),
            field: "status".to_owned(),
            claims: vec![
                claim("draft", format!("draft again, changed to {}", words.join(", ")), changer),
                ClaimView {
                    shown: true,
                    ..claim("accepted", format!("accepted, with {}", words.join(", ")), accepter)
                },
            ],
        });
    }
    views
}

fn claim(value: &str, text: String, stamp: Option<Stamp>) -> ClaimView {
    ClaimView { value: Json::from(value), text, stamp: stamp.map(Into::into), shown: false }
}

impl Notebook {
    /// Everything that two devices did apart and nobody has decided.
    ///
    /// Only the places with something to decide are read.
    ///
    /// # Errors
    /// [`Problem`]
    pub fn apart(&mut self) -> Result<Vec<PlaceApart>, Problem> {
        let mut places: Vec<PlaceApart> = Vec::new();
        for document in self.documents_apart()? {
            let conflicts = self.conflicts_of(document)?;
            if !conflicts.is_empty() {
                let (within, name) = self.place_of(document)?;
                places.push(PlaceApart { within, name, conflicts, left_behind: Vec::new() });
            }
        }
        for leftover in self.left_behind()? {
            match places.iter_mut().find(|place| place.within == leftover.into) {
                Some(place) => place.left_behind.push(leftover),
                None => places.push(PlaceApart {
                    within: leftover.into.clone(),
                    name: leftover.into_name.clone(),
                    conflicts: Vec::new(),
                    left_behind: vec![leftover],
                }),
            }
        }
        Ok(places)
    }

    fn place_of(&self, document: DocumentName) -> Result<(String, String), Problem> {
        let id = document.id;
        Ok(match document.kind {
            0 => (String::new(), String::new()),
            1 => (
                id.to_string(),
                self.property_row(id)?.map_or_else(String::new, |property| property.name),
            ),
            _ => (id.to_string(), self.zone_row(id)?.map_or_else(String::new, |zone| zone.name)),
        })
    }
}
