//! Finding what a person names: by id, or by a name that only one thing has.

use swardbook_units::Id;

use super::Notebook;
use crate::{Code, Problem};

fn ambiguous(field: &str, what: &str, name: &str, ids: &[Id]) -> Problem {
    let ids = ids.iter().map(Id::to_string).collect::<Vec<_>>().join(", ");
    Problem::new(
        Code::Ambiguous,
        format!(
            "{} {what} are called \"{name}\": give one of the ids {ids}",
            ids.split(',').count()
        ),
    )
    .at(field)
}

impl Notebook {
    /// The property of that id or name.
    ///
    /// # Errors
    /// [`Problem`] naming the field, when there is none or more than one.
    pub(crate) fn find_property(&self, field: &str, text: &str) -> Result<Id, Problem> {
        if let Ok(id) = text.parse::<Id>()
            && self.property_row(id)?.is_some()
        {
            return Ok(id);
        }
        let ids = self.properties_named(text)?;
        match ids.as_slice() {
            [id] => Ok(*id),
            [] => Err(Problem::not_found(
                field,
                format!("there is no property \"{text}\"; `property list` shows them"),
            )),
            _ => Err(ambiguous(field, "properties", text, &ids)),
        }
    }

    /// The zone of that id, name, or `property / zone`.
    ///
    /// # Errors
    /// [`Problem`] naming the field, when there is none or more than one.
    pub(crate) fn find_zone(&self, field: &str, text: &str) -> Result<Id, Problem> {
        if let Ok(id) = text.parse::<Id>()
            && self.zone_row(id)?.is_some()
        {
            return Ok(id);
        }
        let mut ids = self.zones_named(text)?;
        if ids.is_empty()
            && let Some((property, zone)) = text.split_once('/')
        {
            let property = self.find_property(field, property.trim())?.to_string();
            for id in self.zones_named(zone.trim())? {
                if self.zone_row(id)?.is_some_and(|row| row.property == property) {
                    ids.push(id);
                }
            }
        }
        match ids.as_slice() {
            [id] => Ok(*id),
            [] => Err(Problem::not_found(
                field,
                format!("there is no zone \"{text}\"; `zone list` shows them"),
            )),
            _ => Err(ambiguous(field, "zones", text, &ids)),
        }
    }

    /// The id of a zone's record or of a record of the notebook, of a given kind.
    ///
    /// # Errors
    /// [`Problem`] naming the field.
    pub(crate) fn find_record(
        &mut self,
        field: &str,
        kind: &str,
        text: &str,
        zone: Option<Id>,
    ) -> Result<String, Problem> {
        match kind {
            "property" => return Ok(self.find_property(field, text)?.to_string()),
            "zone" => return Ok(self.find_zone(field, text)?.to_string()),
            _ => {}
        }
        if let Some(place) = self.entry_place(text)?
            && place.kind == kind
        {
            return Ok(text.to_owned());
        }
        let document = match zone {
            Some(zone) if !matches!(kind, "laboratory" | "material" | "device" | "price") => {
                super::zone_document(zone)
            }
            _ => super::NOTEBOOK,
        };
        let wanted = text.to_lowercase();
        let named: Vec<String> = self
            .document(document)?
            .entries()
            .into_iter()
            .filter(|e| e.kind == kind && e.voided().is_none())
            .filter(|e| {
                ["name", "label", "report"].iter().any(|key| {
                    matches!(e.fields.get(*key), Some(swardbook_journal::Value::Text(name))
                        if name.to_lowercase() == wanted)
                })
            })
            .map(|e| e.key)
            .collect();
        match named.as_slice() {
            [key] => Ok(key.clone()),
            [] => Err(Problem::not_found(field, format!("there is no {kind} \"{text}\" here"))),
            _ => Err(Problem::new(
                Code::Ambiguous,
                format!(
                    "more than one {kind} is called \"{text}\": give one of {}",
                    named.join(", ")
                ),
            )
            .at(field)),
        }
    }
}
