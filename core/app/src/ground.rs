//! Properties and zones as they are listed and shown.

use serde::{Deserialize, Serialize};
use swardbook_units::Id;
use ts_rs::TS;

use crate::{
    Notebook, Problem,
    dto::day_text,
    notebook::{PropertyRow, PropertyTotals, ZoneRow},
    record::RecordView,
    season::SeasonEvent,
};

/// A property in the list.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct PropertyLine {
    /// Id.
    pub id: String,
    /// Name.
    pub name: String,
    /// Client.
    pub client: String,
    /// Whose ground: `own`, `home`, `commercial`, or empty.
    pub ground: String,
    /// Where it is.
    pub place: String,
    /// Next renovation day.
    pub renovation_day: Option<String>,
    /// Zones.
    pub zones: u32,
    /// Sum of the zones' areas that are known, m2.
    pub area_m2: f64,
}

/// A zone in the list.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct ZoneLine {
    /// Id.
    pub id: String,
    /// Name.
    pub name: String,
    /// Its property, by id.
    pub property: String,
    /// Its property's name.
    pub property_name: String,
    /// Area, m2.
    pub area_m2: Option<f64>,
    /// What the turf is for.
    pub turf: String,
    /// Growth type.
    pub grass: String,
    /// Texture.
    pub texture: String,
    /// Things still to fill in about the zone itself.
    pub missing: u32,
    /// Records of its journal with something still to fill in.
    pub unfinished: u32,
    /// Samples.
    pub samples: u32,
    /// Panels.
    pub panels: u32,
    /// Applications.
    pub applications: u32,
    /// Observations.
    pub observations: u32,
    /// Day of the newest sample.
    pub last_sample: Option<String>,
    /// Day of the newest panel.
    pub last_panel: Option<String>,
    /// Newest panel's id.
    pub last_panel_id: Option<String>,
    /// Day of the newest application.
    pub last_application: Option<String>,
    /// Samples that wait for a panel.
    pub waiting: u32,
    /// Visits of accepted plans still to do.
    pub due: u32,
}

/// Which zones to list.
#[derive(Debug, Clone, Default, Deserialize, TS)]
pub struct ZoneListRequest {
    /// Only those of this property, by id or name.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub property: Option<String>,
}

/// One property, by id or name.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct PropertyRequest {
    /// Id or name.
    pub property: String,
}

/// One zone, by id or name.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct ZoneRequest {
    /// Id, name, or `property / zone`.
    pub zone: String,
}

/// A property with its zones.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct PropertyView {
    /// Its record.
    pub record: RecordView,
    /// Its line in the list.
    pub line: PropertyLine,
    /// Its zones.
    pub zones: Vec<ZoneLine>,
}

/// A zone with its season.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct ZoneView {
    /// Its record.
    pub record: RecordView,
    /// Its line in the list.
    pub line: ZoneLine,
    /// Everything that happened, newest first.
    pub season: Vec<SeasonEvent>,
}

impl Notebook {
    /// Every property, by name; it reads two short rows for each, however many zones they have.
    ///
    /// # Errors
    /// [`Problem`]
    pub fn properties(&self) -> Result<Vec<PropertyLine>, Problem> {
        let line = |row: PropertyRow| {
            let totals = match row.id.parse() {
                Ok(id) => self.property_totals(id)?,
                Err(_) => PropertyTotals::default(),
            };
            Ok(property_line(row, &totals))
        };
        self.property_rows()?.into_iter().map(line).collect()
    }

    /// The zones, by name.
    ///
    /// # Errors
    /// [`Problem`] when there is no such property.
    pub fn zones(&self, request: &ZoneListRequest) -> Result<Vec<ZoneLine>, Problem> {
        let property =
            request.property.as_deref().map(|p| self.find_property("property", p)).transpose()?;
        self.zone_rows(property)?.into_iter().map(|row| self.zone_line(row)).collect()
    }

    /// A property with its zones.
    ///
    /// # Errors
    /// [`Problem`] when there is none.
    pub fn property(&mut self, request: &PropertyRequest) -> Result<PropertyView, Problem> {
        let id = self.find_property("property", &request.property)?;
        let rows = self.zone_rows(Some(id))?;
        let row = self.property_row(id)?.expect("found by its row");
        let line = property_line(row, &PropertyTotals::of(&rows));
        let zones = rows.into_iter().map(|row| self.zone_line(row)).collect::<Result<_, _>>()?;
        Ok(PropertyView { record: self.record(&id.to_string())?, line, zones })
    }

    /// A zone with its season.
    ///
    /// # Errors
    /// [`Problem`] when there is none.
    pub fn zone(&mut self, request: &ZoneRequest) -> Result<ZoneView, Problem> {
        let id = self.find_zone("zone", &request.zone)?;
        let row = self.zone_row(id)?.expect("found by its row");
        let line = self.zone_line(row)?;
        Ok(ZoneView { record: self.record(&id.to_string())?, line, season: self.season(id)? })
    }

    pub(crate) fn zone_line(&self, row: ZoneRow) -> Result<ZoneLine, Problem> {
        let facts = match row.id.parse::<Id>() {
            Ok(id) => self.zone_facts(id)?,
            Err(_) => crate::notebook::ZoneFacts::default(),
        };
        let property_name = match row.property.parse::<Id>() {
            Ok(id) => self.property_row(id)?.map_or_else(String::new, |property| property.name),
            Err(_) => String::new(),
        };
        let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        let last_application = facts.last_applied.values().map(|dated| dated.date).max();
        Ok(ZoneLine {
            id: row.id,
            name: row.name,
            property: row.property,
            property_name,
            area_m2: row.area_m2,
            turf: row.turf,
            grass: row.grass,
            texture: row.texture,
            missing: row.missing,
            unfinished: facts.unfinished,
            samples: facts.samples,
            panels: facts.panels,
            applications: facts.applications,
            observations: facts.observations,
            last_sample: facts.last_sample.map(|dated| day_text(dated.date)),
            last_panel: facts.last_panel.as_ref().map(|dated| day_text(dated.date)),
            last_panel_id: facts.last_panel.map(|dated| dated.id),
            last_application: last_application.map(day_text),
            waiting: count(facts.waiting.len()),
            due: count(facts.due.len()),
        })
    }
}

fn property_line(row: PropertyRow, totals: &PropertyTotals) -> PropertyLine {
    PropertyLine {
        id: row.id,
        name: row.name,
        client: row.client,
        ground: row.ground,
        place: row.place,
        renovation_day: row.renovation_day.map(day_text),
        zones: totals.zones,
        area_m2: totals.area_m2,
    }
}
