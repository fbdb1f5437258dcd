//! What a record said before, and what two devices said of it apart.

use serde::{Deserialize, Serialize};
use serde_json::Value as Json;
use swardbook_journal::{Record as _, Value, records::PlanRecord};
use swardbook_store::DocumentName;
use ts_rs::TS;

use super::{
    RecordRef, RecordView, apart, form,
    view::{StampView, json_of},
};
use crate::{Notebook, Problem, notebook::NOTEBOOK};

/// One change of one field.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct RevisionView {
    /// Who, where, when.
    pub stamp: StampView,
    /// The field's name in requests, or the stored key where no form knows it.
    pub field: String,
    /// What it said before, in words.
    pub before: Option<String>,
    /// What it said afterwards; none when it was taken away.
    pub after: Option<String>,
}

/// One of the values of a field in conflict.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct ClaimView {
    /// The value.
    #[ts(type = "number | string | boolean")]
    pub value: Json,
    /// In words.
    pub text: String,
    /// Who wrote it.
    pub stamp: Option<StampView>,
    /// Whether it is the one shown until somebody chooses.
    pub shown: bool,
}

/// A field that two devices wrote apart.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct ConflictView {
    /// The record.
    pub id: String,
    /// Its kind.
    pub kind: String,
    /// The field's name in requests, or the stored key where no form knows it.
    pub field: String,
    /// The values.
    pub claims: Vec<ClaimView>,
}

/// A person's choice.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct ChooseRequest {
    /// The record.
    pub id: String,
    /// The field.
    pub field: String,
    /// Which of the values, counted from 0 as the conflict lists them.
    pub claim: u32,
}

fn field_name(kind: &str, key: &str) -> String {
    form(kind)
        .and_then(|form| form.stored(key))
        .map_or_else(|| key.to_owned(), |field| field.name.to_owned())
}

impl Notebook {
    /// Everything that was ever written to a record, oldest first.
    ///
    /// # Errors
    /// [`Problem`] when there is none of that id.
    pub fn record_history(&mut self, request: &RecordRef) -> Result<Vec<RevisionView>, Problem> {
        let (document, entry) = self.entry("id", &request.id)?;
        let names = self.names_by_mark()?;
        let mut history = self.document(document)?.history(&entry.key);
        if let Some(from) = crate::merge::merged_from(&entry) {
            // What it said before its zone was merged stands in that zone's journal.
            let mut earlier = self.document(from)?.history(&entry.key);
            earlier.append(&mut history);
            history = earlier;
        }
        Ok(history
            .into_iter()
            .filter(|revision| !["kind", crate::merge::FROM].contains(&revision.field.as_str()))
            .map(|revision| RevisionView {
                stamp: StampView::from(revision.stamp).with_device(&names),
                field: field_name(&entry.kind, &revision.field),
                before: revision.before.as_ref().map(Value::words),
                after: revision.after.as_ref().map(Value::words),
            })
            .collect())
    }

    /// Fields that two devices wrote apart, of one zone, one property or the notebook's own.
    ///
    /// # Errors
    /// [`Problem`] when there is no such place.
    pub fn conflicts(&mut self, within: Option<&str>) -> Result<Vec<ConflictView>, Problem> {
        let document = match within {
            None => NOTEBOOK,
            Some(text) => match self.find_zone("within", text) {
                Ok(zone) => crate::notebook::zone_document(zone),
                Err(_) => crate::notebook::property_document(self.find_property("within", text)?),
            },
        };
        self.conflicts_of(document)
    }

    pub(super) fn conflicts_of(
        &mut self,
        document: DocumentName,
    ) -> Result<Vec<ConflictView>, Problem> {
        let names = self.names_by_mark()?;
        let document = self.document(document)?;
        let mut views: Vec<ConflictView> = document
            .conflicts()
            .into_iter()
            .map(|conflict| ConflictView {
                field: field_name(&conflict.kind, &conflict.field),
                id: conflict.key,
                kind: conflict.kind,
                claims: conflict
                    .claims
                    .into_iter()
                    .map(|claim| ClaimView {
                        value: json_of(&claim.value),
                        text: claim.value.words(),
                        stamp: claim.stamp.map(Into::into),
                        shown: claim.shown,
                    })
                    .collect(),
            })
            .collect();
        views.extend(apart::plans_apart(document));
        for stamp in views.iter_mut().flat_map(|v| &mut v.claims).filter_map(|c| c.stamp.as_mut()) {
            stamp.say_device(&names);
        }
        Ok(views)
    }

    /// Ends a conflict with one of its values; the others stay in the history.
    ///
    /// # Errors
    /// [`Problem`] when there is no such conflict or value.
    pub fn choose(&mut self, request: &ChooseRequest) -> Result<RecordView, Problem> {
        let (document, entry) = self.entry("id", &request.id)?;
        if entry.kind == PlanRecord::KIND
            && request.field == "status"
            && let Some(plan) =
                apart::plans_apart(self.document(document)?).iter().find(|p| p.id == entry.key)
        {
            let claim = usize::try_from(request.claim).ok().and_then(|n| plan.claims.get(n));
            let status = claim.and_then(|claim| claim.value.as_str()).ok_or_else(|| {
                Problem::bad("claim", format!("claim {} is none of 0 and 1", request.claim))
            })?;
            let status = Value::Text(status.to_owned());
            let mut action = self.begin_action("decided about a plan that was changed elsewhere");
            action.write(document, &entry.key, |d| Ok(d.choose(&entry.key, "status", &status)?))?;
            action.keep()?;
            return self.record(&entry.key);
        }
        let conflict = self
            .document(document)?
            .conflicts()
            .into_iter()
            .find(|c| c.key == entry.key && field_name(&c.kind, &c.field) == request.field)
            .ok_or_else(|| {
                Problem::not_found("field", format!("{} holds one value only", request.field))
            })?;
        let claim = usize::try_from(request.claim).ok().and_then(|n| conflict.claims.get(n));
        let claim = claim.ok_or_else(|| {
            let last = conflict.claims.len().saturating_sub(1);
            Problem::bad("claim", format!("claim {} is none of 0 to {last}", request.claim))
        })?;
        let mut action = self.begin_action(format!("chose {} of {}", request.field, entry.kind));
        action.write(document, &entry.key, |d| {
            Ok(d.choose(&entry.key, &conflict.field, &claim.value)?)
        })?;
        action.keep()?;
        self.record(&entry.key)
    }
}
