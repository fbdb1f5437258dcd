//! The kinds of record, by the document they live in.
//!
//! Every field is optional or has a default: a record is saved first and completed later, and an
//! older document may lack any of them.

mod ground;
mod notebook;
mod photo;
mod season;

pub use ground::{
    Carbonate, Grass, Irrigation, PhosphorusRule, Property, PropertyKind, Texture, TurfUse, Zone,
};
pub use notebook::{
    Device, DeviceRole, Hemisphere, Laboratory, Layout, MaterialForm, MeasureSystem, Nutrient,
    OwnMaterial, Price, Removal, Settings, removal_key, removed_endpoint,
};
pub use photo::{CardKind, Measurement, Temperatures};
pub use season::{
    Application, Core, Observation, ObservationKind, Panel, PlanItem, PlanRecord, PlanStatus,
    Qualifier, ReadingRecord, Sample,
};

/// The fixed name of the settings entry in the notebook document.
pub const SETTINGS_KEY: &str = "settings";
