//! Writing records.

use serde::Deserialize;
use swardbook_journal::{Entry, Fields};
use swardbook_store::DocumentName;
use swardbook_units::{Currency, Id};
use ts_rs::TS;

use super::{
    form,
    given::{self, GivenFields},
    spec::{FieldKind, FieldSpec, Home, Need, RecordSpec},
    view::{RecordView, StampView, field_views},
};
use crate::{
    Code, Notebook, Problem,
    notebook::{NOTEBOOK, property_document, zone_document},
};

/// A new record.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct AddRecord {
    /// Its kind.
    pub kind: String,
    /// The property of a zone, or the zone of anything that happens on one, by id or name.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub within: Option<String>,
    /// Fields by name.
    #[serde(default)]
    #[ts(type = "Record<string, unknown>")]
    pub fields: GivenFields,
}

/// A change of some fields of a record.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct EditRecord {
    /// The record.
    pub id: String,
    /// Fields by name; `null` takes one away.
    #[ts(type = "Record<string, unknown>")]
    pub fields: GivenFields,
}

/// One record.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct RecordRef {
    /// Its id.
    pub id: String,
}

/// Records of one property or zone.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct WithinRequest {
    /// Id or name.
    pub within: String,
}

/// Taking a record away.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct VoidRecord {
    /// The record.
    pub id: String,
    /// Why.
    #[serde(default)]
    pub why: String,
}

/// The form of a kind, or what there is instead.
pub(super) fn known_form(kind: &str) -> Result<&'static RecordSpec, Problem> {
    form(kind).ok_or_else(|| {
        let known = super::FORMS.iter().map(|f| f.kind).collect::<Vec<_>>().join(", ");
        Problem::bad("kind", format!("there is no kind of record \"{kind}\"; there are {known}"))
    })
}

impl Notebook {
    /// Adds a record.
    ///
    /// # Errors
    /// [`Problem`] naming the field; nothing is written then.
    pub fn add_record(&mut self, request: &AddRecord) -> Result<RecordView, Problem> {
        let spec = known_form(&request.kind)?;
        if spec.kind == "settings" {
            return self.set_settings(request.fields.clone());
        }
        let (document, zone) = self.home(spec, request.within.as_deref())?;
        let wanted = self.read_given(spec, &request.fields, zone)?;
        check(spec, &wanted.written)?;
        let id = self.new_id();
        // A property's document is named as the property itself.
        let document = if spec.kind == "property" { property_document(id) } else { document };
        let key = id.to_string();
        let what = format!("added {}", name_for_people(spec, &wanted.written));
        let mut action = self.begin_action(what);
        action.write_fields(document, &key, spec.kind, wanted.written, Vec::new())?;
        let kept = action.keep()?;
        // Nothing needs to be read back: it is as it was kept, and this made it.
        let [(document, entry)] = kept.entries.as_slice() else {
            return self.record_in(document, &key);
        };
        let mut view = self.view_entry(*document, entry)?;
        view.made = Some(StampView::from(kept.stamp).with_device(&self.names_by_mark()?));
        Ok(view)
    }

    /// Changes fields of a record.
    ///
    /// # Errors
    /// [`Problem`] naming the field; nothing is written then.
    pub fn edit_record(&mut self, request: &EditRecord) -> Result<RecordView, Problem> {
        let (document, entry) = self.entry("id", &request.id)?;
        let spec = known_form(&entry.kind)?;
        let zone = (spec.home == Home::Zone).then_some(document.id);
        let wanted = self.read_given(spec, &request.fields, zone)?;
        let mut whole = entry.fields.clone();
        for key in &wanted.removed {
            whole.remove(key);
        }
        whole.extend(wanted.written.clone());
        check(spec, &whole)?;
        let names = request.fields.keys().cloned().collect::<Vec<_>>().join(", ");
        let what = format!("changed {names} of {}", name_for_people(spec, &whole));
        let mut action = self.begin_action(what);
        action.write_fields(document, &entry.key, spec.kind, wanted.written, wanted.removed)?;
        action.keep()?;
        self.record_in(document, &entry.key)
    }

    /// Takes a record away on every device; its history stays and it can be brought back.
    ///
    /// # Errors
    /// [`Problem`]
    pub fn void_record(&mut self, request: &VoidRecord) -> Result<RecordView, Problem> {
        let (document, entry) = self.entry("id", &request.id)?;
        let at = self.now();
        let mut action = self.begin_action(format!("took away {} {}", entry.kind, entry.key));
        action.write(document, &entry.key, |d| {
            Ok(d.void(&entry.key, &request.why, at).map(drop)?)
        })?;
        action.keep()?;
        self.record(&entry.key)
    }

    /// Brings back a record that was taken away.
    ///
    /// # Errors
    /// [`Problem`]
    pub fn restore_record(&mut self, request: &RecordRef) -> Result<RecordView, Problem> {
        let (document, entry) = self.entry("id", &request.id)?;
        let mut action = self.begin_action(format!("brought back {} {}", entry.kind, entry.key));
        action.write(document, &entry.key, |d| Ok(d.restore(&entry.key).map(drop)?))?;
        action.keep()?;
        self.record(&entry.key)
    }

    /// Shows a record.
    ///
    /// # Errors
    /// [`Problem`] when there is none of that id.
    pub fn record(&mut self, id: &str) -> Result<RecordView, Problem> {
        let missing = || Problem::not_found("id", format!("there is no record {id} here"));
        let place = self.entry_place(id)?.ok_or_else(missing)?;
        self.record_in(place.document, id)
    }

    /// Shows a record of a document that is known.
    fn record_in(&mut self, document: DocumentName, id: &str) -> Result<RecordView, Problem> {
        let missing = || Problem::not_found("id", format!("there is no record {id} here"));
        let entry = self.document(document)?.entry(id).ok_or_else(missing)?;
        let mut view = self.view_entry(document, &entry)?;
        let names = self.names_by_mark()?;
        let made = self.document(document)?.made(&entry.key);
        view.made = made.map(|stamp| StampView::from(stamp).with_device(&names));
        Ok(view)
    }

    /// Shows an entry at hand, without who made it.
    pub(crate) fn view_entry(
        &mut self,
        document: DocumentName,
        entry: &Entry,
    ) -> Result<RecordView, Problem> {
        let spec = known_form(&entry.kind)?;
        let currency = if spec.counts_money() { self.currency()? } else { None };
        let mut names = |field: &FieldSpec, id: &str| self.name_of(field, id);
        let fields = field_views(spec, entry, currency, &mut names);
        let zone = (spec.home == Home::Zone).then_some(document.id);
        let property = match (spec.home, zone) {
            (Home::Notebook, _) => String::new(),
            (Home::Property, _) => document.id.to_string(),
            (Home::Zone, _) => {
                self.zone_row(document.id)?.map_or_else(String::new, |row| row.property)
            }
        };
        Ok(RecordView {
            id: entry.key.clone(),
            kind: entry.kind.clone(),
            title: spec.title.to_owned(),
            property,
            zone: if entry.kind == "zone" {
                entry.key.clone()
            } else {
                zone.map_or_else(String::new, |zone| zone.to_string())
            },
            fields,
            missing: spec.missing(&entry.fields),
            conflicting: entry
                .conflicting
                .iter()
                .map(|key| spec.stored(key).map_or_else(|| key.clone(), |f| f.name.to_owned()))
                .collect(),
            voided: entry.voided().map(|voided| voided.why),
            made: None,
        })
    }

    /// Finds an entry and its document.
    pub(crate) fn entry(
        &mut self,
        field: &str,
        id: &str,
    ) -> Result<(DocumentName, Entry), Problem> {
        let missing = || Problem::not_found(field, format!("there is no record {id} here"));
        let place = self.entry_place(id)?.ok_or_else(missing)?;
        let entry = self.document(place.document)?.entry(id).ok_or_else(missing)?;
        Ok((place.document, entry))
    }

    /// Reads a record of a known kind, not taken away, with its document.
    pub(crate) fn typed<R: swardbook_journal::Record>(
        &mut self,
        field: &str,
        id: &str,
    ) -> Result<(DocumentName, R), Problem> {
        let (document, entry) = self.entry(field, id)?;
        let record = entry.read::<R>().ok_or_else(|| {
            Problem::bad(field, format!("{id} is a {}, not a {}", entry.kind, R::KIND))
        })?;
        Ok((document, record))
    }

    fn home(
        &self,
        spec: &RecordSpec,
        within: Option<&str>,
    ) -> Result<(DocumentName, Option<Id>), Problem> {
        let needed = |what: &str| {
            within.ok_or_else(|| {
                Problem::missing("within", &format!("say which {what} the {} is of", spec.title))
            })
        };
        Ok(match (spec.home, spec.kind) {
            (Home::Notebook, _) | (_, "property") => (NOTEBOOK, None),
            (Home::Property, _) => {
                let property = self.find_property("within", needed("property")?)?;
                (property_document(property), None)
            }
            (Home::Zone, _) => {
                let zone = self.find_zone("within", needed("zone")?)?;
                (zone_document(zone), Some(zone))
            }
        })
    }

    pub(crate) fn read_given(
        &mut self,
        spec: &RecordSpec,
        given: &GivenFields,
        zone: Option<Id>,
    ) -> Result<given::Wanted, Problem> {
        let known = if spec.counts_money() { self.currency()? } else { None };
        let currency = match known {
            Some(currency) => currency,
            None if spec.counts_money()
                && spec.fields.iter().any(|f| given.contains_key(f.name)) =>
            {
                return Err(Problem::missing(
                    "currency",
                    "set the notebook's currency first, `settings set --currency` with three letters",
                ));
            }
            // No field of this form counts money, so nothing will be read in it.
            None => Currency::parse("XXX")?,
        };
        let mut find = |field: &FieldSpec, text: &str| match field.kind {
            FieldKind::Record(kind) => self.find_record(field.name, kind, text, zone),
            _ => self.find_material(field.name, text),
        };
        given::read(spec, given, currency, &mut find)
    }

    /// The notebook's currency, when it was set.
    pub(crate) fn currency(&mut self) -> Result<Option<Currency>, Problem> {
        let settings = self.settings_record()?;
        Ok(Currency::parse(&settings.currency).ok())
    }

    fn name_of(&mut self, field: &FieldSpec, id: &str) -> Option<String> {
        match field.kind {
            FieldKind::Material => self.material_name(id),
            _ => {
                let (_, entry) = self.entry(field.name, id).ok()?;
                ["name", "label", "date"].iter().find_map(|key| match entry.fields.get(*key) {
                    Some(swardbook_journal::Value::Text(text)) => Some(text.clone()),
                    _ => None,
                })
            }
        }
    }
}

pub(crate) fn check(spec: &RecordSpec, whole: &Fields) -> Result<(), Problem> {
    let missing =
        spec.fields.iter().find(|f| f.need == Need::Required && !whole.contains_key(f.key));
    if let Some(field) = missing {
        return Err(Problem {
            code: Code::MissingInput,
            message: format!("{} needs {}: {}", spec.title, field.name, field.about),
            field: Some(field.name.to_owned()),
        });
    }
    (spec.check)(whole)
}

fn name_for_people(spec: &RecordSpec, fields: &Fields) -> String {
    let name = ["name", "label", "material_words", "what", "date"]
        .iter()
        .find_map(|key| match fields.get(*key) {
            Some(swardbook_journal::Value::Text(text)) => Some(text.as_str()),
            _ => None,
        })
        .unwrap_or_default();
    format!("{} {name}", spec.title.to_lowercase()).trim_end().to_owned()
}
