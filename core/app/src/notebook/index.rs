//! The lists that are shown without opening documents, and how they follow from what is written.
//!
//! Everything here can be thrown away and made again from the documents.

use serde::{Deserialize, Serialize, de::DeserializeOwned};
use swardbook_journal::{
    Entry, Record as _,
    records::{PlanRecord, Property, SETTINGS_KEY, Zone},
};
use swardbook_store::{Batch, DocumentName, IndexTable, Span};
use swardbook_units::Id;

use super::{Notebook, ZoneFacts, due::DueChanges};
use crate::{
    Code, Problem, Unwatched, Watch,
    progress::{Course, Part, Step},
};

/// Properties by id.
const PROPERTIES: IndexTable = IndexTable(1);
/// Zones by their property's id and their own.
const ZONES: IndexTable = IndexTable(2);
/// Facts of zone journals by the zone's id.
const FACTS: IndexTable = IndexTable(3);
/// The document and kind of every entry, by the entry's key.
const ENTRIES: IndexTable = IndexTable(4);
/// Properties and zones by their name in small letters.
const NAMES: IndexTable = IndexTable(5);
/// How many fields of a document two devices wrote apart, by the document's name.
const APART: IndexTable = IndexTable(6);
/// Zones that were merged into another, by id, with the other's.
const MERGED: IndexTable = IndexTable(8);

/// How many zones each property has and their area, by the property's id.
const TOTALS: IndexTable = IndexTable(13);

/// Changes whenever what is kept here changes; an index of another form is made again.
const FORM: &[u8] = b"5";

/// Documents listed in one commit: more of them take memory, fewer take commits.
pub(super) const LISTED_AT_ONCE: usize = 64;

/// A property in the list.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct PropertyRow {
    pub(crate) id: String,
    pub(crate) name: String,
    pub(crate) client: String,
    pub(crate) ground: String,
    pub(crate) place: String,
    pub(crate) renovation_day: Option<swardbook_units::NaiveDate>,
}

/// A zone in the list.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct ZoneRow {
    pub(crate) id: String,
    pub(crate) property: String,
    pub(crate) name: String,
    pub(crate) area_m2: Option<f64>,
    pub(crate) turf: String,
    pub(crate) grass: String,
    pub(crate) texture: String,
    pub(crate) missing: u32,
}

/// The zones of a property taken together.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub(crate) struct PropertyTotals {
    pub(crate) zones: u32,
    /// Sum of the areas that are known, m2.
    pub(crate) area_m2: f64,
}

impl PropertyTotals {
    /// Of these zones.
    pub(crate) fn of<'a>(zones: impl IntoIterator<Item = &'a ZoneRow>) -> Self {
        zones.into_iter().fold(Self::default(), |sum, zone| Self {
            zones: sum.zones + 1,
            area_m2: sum.area_m2 + zone.area_m2.unwrap_or(0.0),
        })
    }
}

/// Where an entry is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct EntryPlace {
    pub(crate) document: DocumentName,
    pub(crate) kind: String,
}

pub(super) fn row<T: Serialize>(value: &T) -> Vec<u8> {
    serde_json::to_vec(value).expect("plain data has a JSON form")
}

pub(super) fn parse<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, Problem> {
    serde_json::from_slice(bytes).map_err(|e| {
        Problem::new(Code::Damaged, format!("a row of the index cannot be read ({e})"))
    })
}

fn zone_key(property: Id, zone: Id) -> Vec<u8> {
    [property.as_bytes().as_slice(), zone.as_bytes().as_slice()].concat()
}

fn name_key(kind: u8, name: &str, id: Id) -> Vec<u8> {
    let mut key = vec![kind];
    key.extend_from_slice(name.trim().to_lowercase().as_bytes());
    key.push(0);
    key.extend_from_slice(id.as_bytes());
    key
}

const PROPERTY_NAME: u8 = b'p';
const ZONE_NAME: u8 = b'z';

impl Notebook {
    /// Adds to a batch what the lists say after these entries of a document were written.
    pub(super) fn index_entries(
        &mut self,
        batch: &mut Batch,
        due: &mut DueChanges,
        name: DocumentName,
        entries: &[Entry],
    ) -> Result<(), Problem> {
        due.notebook |= name == super::NOTEBOOK;
        let mut all_new = true;
        for entry in entries {
            let key = entry.key.as_bytes();
            let place = format!("{name} {}", entry.kind).into_bytes();
            // One batch may hold both journals of merged zones.
            let known = match batch.index_row(ENTRIES, key) {
                Some(row) => Some(row.to_vec()),
                None => self.store.get_index(ENTRIES, key)?,
            };
            match known {
                None => batch.put_index(ENTRIES, key, place),
                Some(known) => {
                    all_new = false;
                    // A record of merged zones is in both journals; it stands where it is not
                    // hidden.
                    if known != place && entry.voided().is_none() {
                        batch.put_index(ENTRIES, key, place);
                    }
                }
            }
            match entry.kind.as_str() {
                "property" => self.index_property(batch, entry)?,
                "zone" => self.index_zone(batch, due, name.id, entry)?,
                _ => {}
            }
        }
        let apart = name.to_string().into_bytes();
        let was_apart = self.store.get_index(APART, &apart)?.is_some();
        let may_be_apart =
            |entry: &Entry| !entry.conflicting.is_empty() || entry.kind == PlanRecord::KIND;
        if was_apart || entries.iter().any(may_be_apart) {
            let document = self.document(name)?;
            match document.conflicts().len() + crate::record::plans_apart(document).len() {
                0 => batch.delete_index(APART, &apart),
                count => batch.put_index(APART, &apart, count.to_string().into_bytes()),
            }
        }
        if name.kind == super::zone_document(name.id).kind {
            let key = name.id.as_bytes();
            let known = self.store.get_index(FACTS, key)?;
            let (facts, asks_the_same) = match known {
                Some(known) if all_new && entries.iter().all(ZoneFacts::takes) => {
                    let before: ZoneFacts = parse(&known)?;
                    let mut facts = before.clone();
                    facts.add(entries);
                    let asks_the_same = facts.asks_the_same(&before);
                    (facts, asks_the_same)
                }
                _ => (ZoneFacts::of(&self.document(name)?.entries()), false),
            };
            batch.put_index(FACTS, key, row(&facts));
            if !asks_the_same {
                due.facts.insert(name.id, facts);
            }
        }
        Ok(())
    }

    fn index_property(&self, batch: &mut Batch, entry: &Entry) -> Result<(), Problem> {
        let Ok(id) = entry.key.parse::<Id>() else { return Ok(()) };
        if let Some(known) = self.store.get_index(PROPERTIES, id.as_bytes())? {
            let known: PropertyRow = parse(&known)?;
            batch.delete_index(NAMES, &name_key(PROPERTY_NAME, &known.name, id));
        }
        let Some(property) = entry.read::<Property>() else {
            batch.delete_index(PROPERTIES, id.as_bytes());
            return Ok(());
        };
        batch.put_index(NAMES, &name_key(PROPERTY_NAME, &property.name, id), Vec::new());
        let value = PropertyRow {
            id: entry.key.clone(),
            name: property.name,
            client: property.client,
            ground: property.kind_of_ground.map_or_else(String::new, |kind| kind.word().to_owned()),
            place: property.place,
            renovation_day: property.renovation_day,
        };
        batch.put_index(PROPERTIES, id.as_bytes(), row(&value));
        Ok(())
    }

    fn index_zone(
        &self,
        batch: &mut Batch,
        due: &mut DueChanges,
        property: Id,
        entry: &Entry,
    ) -> Result<(), Problem> {
        let Ok(id) = entry.key.parse::<Id>() else { return Ok(()) };
        due.properties.insert(property);
        let key = zone_key(property, id);
        if let Some(known) = self.store.get_index(ZONES, &key)? {
            let known: ZoneRow = parse(&known)?;
            batch.delete_index(NAMES, &name_key(ZONE_NAME, &known.name, id));
        }
        match crate::merge::merged_into(entry).filter(|_| entry.voided().is_some()) {
            Some(into) => batch.put_index(MERGED, id.as_bytes(), into.as_bytes().to_vec()),
            None => batch.delete_index(MERGED, id.as_bytes()),
        }
        let Some(zone) = entry.read::<Zone>() else {
            batch.delete_index(ZONES, &key);
            due.rows.insert(id, None);
            return Ok(());
        };
        let mut named = property.as_bytes().to_vec();
        named.extend_from_slice(id.as_bytes());
        batch.put_index(NAMES, &name_key(ZONE_NAME, &zone.name, id), named);
        let missing = crate::record::form("zone").map_or(0, |f| f.missing(&entry.fields).len());
        // An outline that a newer version wrote in another form gives no area here.
        let from_outline =
            || crate::sampling::zone_outline(&zone).ok().flatten().map(|plan| plan.area.value);
        let value = ZoneRow {
            area_m2: zone.area_m2.or_else(from_outline),
            id: entry.key.clone(),
            property: property.to_string(),
            name: zone.name,
            turf: zone.turf.map_or_else(String::new, |turf| turf.word().to_owned()),
            grass: zone.grass.map_or_else(String::new, |grass| grass.word().to_owned()),
            texture: zone.texture.map_or_else(String::new, |texture| texture.word().to_owned()),
            missing: u32::try_from(missing).unwrap_or(u32::MAX),
        };
        batch.put_index(ZONES, &key, row(&value));
        due.rows.insert(id, Some(value));
        Ok(())
    }

    /// Adds to a batch what the properties' zones come to after these changes.
    pub(super) fn list_totals(&self, batch: &mut Batch, due: &DueChanges) -> Result<(), Problem> {
        for property in &due.properties {
            // The zones of this property alone are read, and those of the batch stand before them.
            let mut rows = self.zone_rows(Some(*property))?;
            rows.retain(|row| row.id.parse().is_ok_and(|id: Id| !due.rows.contains_key(&id)));
            let of_this = |row: &&ZoneRow| row.property == property.to_string();
            rows.extend(due.rows.values().flatten().filter(of_this).cloned());
            // In one order, so that the same zones always come to the same sum.
            rows.sort_by(|a, b| a.id.cmp(&b.id));
            batch.put_index(TOTALS, property.as_bytes(), row(&PropertyTotals::of(&rows)));
        }
        Ok(())
    }

    /// What a property's zones come to.
    pub(crate) fn property_totals(&self, id: Id) -> Result<PropertyTotals, Problem> {
        let known = self.store.get_index(TOTALS, id.as_bytes())?;
        known.map_or_else(|| Ok(PropertyTotals::default()), |bytes| parse(&bytes))
    }

    /// Whether the lists were kept by another version, in a form that this one does not read, or
    /// were lost with a damaged file.
    pub(crate) fn lists_are_stale(&self) -> Result<bool, Problem> {
        Ok(self.store.index_stamp()?.as_deref() != Some(FORM))
    }

    /// Makes the lists again from the documents when they are of another form.
    pub(super) fn rebuild_index_when_stale(
        &mut self,
        watch: &mut dyn Watch,
    ) -> Result<(), Problem> {
        if !self.lists_are_stale()? {
            return Ok(());
        }
        self.store.clear_index()?;
        let all: Vec<DocumentName> =
            self.store.documents()?.into_iter().map(|head| head.name).collect();
        let stopped = "the lists were not made; they are when the notebook is opened again";
        let mut course = Course::begin(watch, self.stopwatch(), stopped.to_owned());
        course.step(Step::Listing, Part::Journals, all.len())?;
        for some in all.chunks(LISTED_AT_ONCE) {
            let mut batch = Batch::new();
            self.list_documents(&mut batch, some, &mut course)?;
            if !batch.is_empty() {
                self.store.commit(&batch)?;
            }
        }
        let mut batch = Batch::new();
        batch.stamp_index(FORM.to_vec());
        self.lists_stand_after_next(&mut batch)?;
        self.store.commit(&batch)?;
        self.behind.clear();
        Ok(())
    }

    /// Adds to a batch what the lists say of these documents.
    pub(super) fn list_documents(
        &mut self,
        batch: &mut Batch,
        names: &[DocumentName],
        course: &mut Course<'_>,
    ) -> Result<(), Problem> {
        let mut due = DueChanges::default();
        for name in names {
            match self.document(*name) {
                Ok(document) => {
                    let entries = document.entries();
                    self.index_entries(batch, &mut due, *name, &entries)?;
                }
                // It was named when the notebook was opened; the others are listed all the same.
                Err(problem) if problem.code == Code::Damaged => {}
                Err(problem) => return Err(problem),
            }
            course.did(1)?;
        }
        self.list_due(batch, &due)?;
        self.list_totals(batch, &due)
    }

    /// The documents in which two devices wrote one field apart.
    pub(crate) fn documents_apart(&self) -> Result<Vec<DocumentName>, Problem> {
        let rows = self.store.range_index(APART, &Span::all())?;
        let parse = |row: &swardbook_store::Row| std::str::from_utf8(&row.key).ok()?.parse().ok();
        Ok(rows.iter().filter_map(parse).collect())
    }

    /// Zones that were merged into another, with the other.
    pub(crate) fn merged_zones(&self) -> Result<Vec<(Id, Id)>, Problem> {
        let rows = self.store.range_index(MERGED, &Span::all())?;
        let id = |bytes: Vec<u8>| bytes.try_into().ok().map(Id::from_random);
        Ok(rows.into_iter().filter_map(|row| Some((id(row.key)?, id(row.value)?))).collect())
    }

    /// Throws the lists away and makes them again.
    ///
    /// # Errors
    /// [`Problem`]
    pub fn rebuild_index(&mut self) -> Result<(), Problem> {
        self.store.clear_index()?;
        self.rebuild_index_when_stale(&mut Unwatched)
    }

    /// Every property, by name.
    pub(crate) fn property_rows(&self) -> Result<Vec<PropertyRow>, Problem> {
        let rows = self.store.range_index(PROPERTIES, &Span::all())?;
        let mut rows: Vec<PropertyRow> =
            rows.iter().map(|row| parse(&row.value)).collect::<Result<_, _>>()?;
        rows.sort_by(|a, b| (a.name.to_lowercase(), &a.id).cmp(&(b.name.to_lowercase(), &b.id)));
        Ok(rows)
    }

    /// One property.
    pub(crate) fn property_row(&self, id: Id) -> Result<Option<PropertyRow>, Problem> {
        self.store.get_index(PROPERTIES, id.as_bytes())?.map(|bytes| parse(&bytes)).transpose()
    }

    /// The zones of one property, or all, by name.
    pub(crate) fn zone_rows(&self, property: Option<Id>) -> Result<Vec<ZoneRow>, Problem> {
        let span = property.map_or_else(Span::all, |id| Span::beginning(id.as_bytes().as_slice()));
        let rows = self.store.range_index(ZONES, &span)?;
        let mut rows: Vec<ZoneRow> =
            rows.iter().map(|row| parse(&row.value)).collect::<Result<_, _>>()?;
        rows.sort_by(|a, b| (a.name.to_lowercase(), &a.id).cmp(&(b.name.to_lowercase(), &b.id)));
        Ok(rows)
    }

    /// One zone.
    pub(crate) fn zone_row(&self, id: Id) -> Result<Option<ZoneRow>, Problem> {
        let Some(place) = self.entry_place(&id.to_string())? else { return Ok(None) };
        let key = zone_key(place.document.id, id);
        self.store.get_index(ZONES, &key)?.map(|bytes| parse(&bytes)).transpose()
    }

    /// Facts of one zone's journal.
    pub(crate) fn zone_facts(&self, zone: Id) -> Result<ZoneFacts, Problem> {
        let known = self.store.get_index(FACTS, zone.as_bytes())?;
        known.map_or_else(|| Ok(ZoneFacts::default()), |bytes| parse(&bytes))
    }

    /// Where an entry is kept.
    pub(crate) fn entry_place(&self, key: &str) -> Result<Option<EntryPlace>, Problem> {
        // The settings are there from the beginning, before anything was written.
        if key == SETTINGS_KEY {
            return Ok(Some(EntryPlace { document: super::NOTEBOOK, kind: "settings".to_owned() }));
        }
        let Some(bytes) = self.store.get_index(ENTRIES, key.as_bytes())? else { return Ok(None) };
        let damaged = || Problem::new(Code::Damaged, "a row of the index cannot be read");
        let text = std::str::from_utf8(&bytes).map_err(|_| damaged())?;
        let (document, kind) = text.split_once(' ').ok_or_else(damaged)?;
        let document = document.parse().map_err(|_| damaged())?;
        Ok(Some(EntryPlace { document, kind: kind.to_owned() }))
    }

    /// Ids of the properties of that name.
    pub(crate) fn properties_named(&self, name: &str) -> Result<Vec<Id>, Problem> {
        self.named(PROPERTY_NAME, name)
    }

    /// Ids of the zones of that name.
    pub(crate) fn zones_named(&self, name: &str) -> Result<Vec<Id>, Problem> {
        self.named(ZONE_NAME, name)
    }

    fn named(&self, kind: u8, name: &str) -> Result<Vec<Id>, Problem> {
        let mut prefix = vec![kind];
        prefix.extend_from_slice(name.trim().to_lowercase().as_bytes());
        prefix.push(0);
        let rows = self.store.range_index(NAMES, &Span::beginning(&prefix))?;
        Ok(rows
            .iter()
            .filter_map(|row| row.key.get(prefix.len()..)?.try_into().ok().map(Id::from_random))
            .collect())
    }
}
