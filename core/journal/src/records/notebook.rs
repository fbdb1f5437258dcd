//! What belongs to the whole notebook: settings, devices, laboratories, own materials, prices.

use std::collections::BTreeMap;

use crate::record::{record, words};

words! {
    /// Which units are shown; what is stored is metric, except a laboratory's reading, which keeps
    /// the unit it was reported in.
    pub enum MeasureSystem {
        /// Metric.
        Metric = "metric",
        /// US customary.
        UsCustomary = "us",
    }
}

words! {
    /// Which half of the year is summer.
    pub enum Hemisphere {
        /// Summer around January.
        South = "south",
        /// Summer around July.
        North = "north",
    }
}

record! {
    /// Settings that all devices share.
    pub struct Settings = "settings" {
        /// The notebook's name.
        name: String,
        /// Who keeps it.
        keeper: String,
        /// Units shown.
        measure: Option<MeasureSystem>,
        /// Half of the globe.
        hemisphere: Option<Hemisphere>,
        /// ISO 4217 letters.
        currency: String,
        /// BCP 47 language tag for dates and numbers.
        language: String,
        /// Days to wait after a granular feed before sampling, where the person changed it.
        granular_days: Option<i64>,
        /// The same after a liquid one.
        liquid_days: Option<i64>,
    }
}

words! {
    /// What a device is for.
    pub enum DeviceRole {
        /// The phone in the yard.
        Field = "field",
        /// The machine in the office.
        Office = "office",
        /// A machine that is always on.
        AlwaysOn = "always-on",
    }
}

record! {
    /// A phone or computer that holds the notebook.
    pub struct Device = "device" {
        /// What it is called.
        name: String,
        /// What it is for.
        role: Option<DeviceRole>,
        /// Its network key, 64 hexadecimal digits; empty for one that was never paired.
        endpoint: String,
        /// The mark under which it stands in notes of changes; each device writes its own.
        mark: String,
    }
}

record! {
    /// The removal of a device, under [`removal_key`]; it is never taken back.
    pub struct Removal = "removal" {
        /// What the device was called.
        name: String,
        /// Why, in the person's words.
        why: String,
    }
}

/// The key of a device's removal.
///
/// The network key is in the name of the entry and not in a field, because a field can be written
/// again by the removed device and a name cannot. Two devices that remove a third at one time make
/// the entry twice; whichever is shown says the same.
#[must_use]
pub fn removal_key(endpoint: &str) -> String {
    format!("removal-{endpoint}")
}

/// The network key in the name of a removal.
#[must_use]
pub fn removed_endpoint(key: &str) -> Option<&str> {
    key.strip_prefix("removal-")
}

record! {
    /// A laboratory, and how its files are read.
    pub struct Laboratory = "laboratory" {
        /// Its name.
        name: String,
        /// Days from arrival to the panel.
        turnaround_days: Option<i64>,
        /// Days in the post.
        post_days: Option<i64>,
        /// Mass of soil it asks for, g.
        wanted_mass_g: Option<f64>,
        /// Remembered layouts of its files, as the importer writes them, by a short name.
        layouts: BTreeMap<String, Layout>,
        /// Anything else.
        note: String,
    }
}

record! {
    /// One remembered layout of a laboratory's files.
    pub struct Layout = "layout" {
        /// The importer's own text form.
        mapping: String,
    }
}

words! {
    /// What a material looks like, which also decides how long to wait before sampling.
    pub enum MaterialForm {
        /// Granules or prills.
        Granular = "granular",
        /// Powder.
        Powder = "powder",
        /// Put on in water.
        Liquid = "liquid",
    }
}

record! {
    /// One line of a label's guaranteed analysis.
    pub struct Nutrient = "nutrient" {
        /// Element or oxide as printed: `K`, `K2O`.
        name: String,
        /// Per cent by mass.
        percent: Option<f64>,
    }
}

record! {
    /// A material made from a label by the person.
    pub struct OwnMaterial = "material" {
        /// What it is called; a generic name.
        name: String,
        /// Form.
        form: Option<MaterialForm>,
        /// Guaranteed analysis.
        analysis: BTreeMap<String, Nutrient>,
        /// Neutralising value, calcium carbonate = 100.
        neutralising_value: Option<f64>,
        /// Share fine enough to react, %, by the label or a sieve test.
        effective_fineness: Option<f64>,
        /// Moisture, %.
        moisture: Option<f64>,
        /// Most to put on established turf at one visit, g/m2, by its label.
        visit_limit_g_m2: Option<f64>,
        /// Least days between visits, by its label.
        interval_days: Option<i64>,
        /// Density of a liquid, kg/L.
        density: Option<f64>,
        /// Cautions of the label.
        cautions: String,
    }
}

record! {
    /// What a pack of a material costs here.
    pub struct Price = "price" {
        /// Id of the material, ours or the person's own.
        material: String,
        /// Pack, kg.
        pack_kg: Option<f64>,
        /// Price of one pack in minor units of the settings' currency.
        minor: Option<i64>,
        /// Currency at the time.
        currency: String,
    }
}
