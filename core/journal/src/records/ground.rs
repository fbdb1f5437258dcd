//! A property and its zones: the entries of a property document.

use swardbook_units::NaiveDate;

use crate::record::{record, words};

words! {
    /// Whose ground it is.
    pub enum PropertyKind {
        /// The practitioner's own.
        Own = "own",
        /// A home.
        Home = "home",
        /// Commercial or club grounds.
        Commercial = "commercial",
    }
}

words! {
    /// What the place's own rules say about phosphorus on turf; the person asks and stores it.
    pub enum PhosphorusRule {
        /// Nobody has asked yet.
        Unknown = "unknown",
        /// No restriction.
        None = "none",
        /// Only where a recent test shows need.
        NeedsTest = "needs-test",
        /// Not allowed.
        Forbidden = "forbidden",
    }
}

record! {
    /// One client's ground, or the practitioner's own.
    pub struct Property = "property" {
        /// What it is called.
        name: String,
        /// Who to deal with.
        client: String,
        /// Whose ground it is.
        kind_of_ground: Option<PropertyKind>,
        /// Where it is, in words.
        place: String,
        /// The local rule for phosphorus.
        phosphorus_rule: Option<PhosphorusRule>,
        /// Where that rule is written.
        phosphorus_rule_source: String,
        /// The next renovation day.
        renovation_day: Option<NaiveDate>,
        /// Anything else.
        note: String,
    }
}

words! {
    /// Turf type, as far as the arithmetic needs it.
    pub enum Grass {
        /// Grows most near 31 degrees: couch, kikuyu, buffalo, zoysia.
        WarmSeason = "warm-season",
        /// Grows most near 20 degrees: ryegrass, fescue, bent, bluegrass.
        CoolSeason = "cool-season",
    }
}

words! {
    /// What the turf is for; published guidelines are bound to it.
    pub enum TurfUse {
        /// A home or office lawn.
        Lawn = "lawn",
        /// A sports field.
        SportsField = "sports-field",
        /// A bowling, golf or croquet green.
        Green = "green",
        /// Rough grass, grazed or cut seldom.
        Pasture = "pasture",
    }
}

words! {
    /// Soil texture class of the root zone.
    pub enum Texture {
        /// Sand.
        Sand = "sand",
        /// Loamy sand.
        LoamySand = "loamy-sand",
        /// Sandy loam.
        SandyLoam = "sandy-loam",
        /// Loam.
        Loam = "loam",
        /// Silt loam.
        SiltLoam = "silt-loam",
        /// Sandy clay loam.
        SandyClayLoam = "sandy-clay-loam",
        /// Clay loam.
        ClayLoam = "clay-loam",
        /// Light clay.
        LightClay = "light-clay",
        /// Medium clay.
        MediumClay = "medium-clay",
        /// Heavy clay.
        HeavyClay = "heavy-clay",
    }
}

words! {
    /// How the zone gets water beside rain.
    pub enum Irrigation {
        /// Rain only.
        None = "none",
        /// By hand or movable sprinkler.
        Hose = "hose",
        /// Fixed.
        Fixed = "fixed",
    }
}

words! {
    /// What the fizz test (a drop of acid or vinegar on the soil) showed.
    pub enum Carbonate {
        /// No fizz.
        None = "none",
        /// Fizzes.
        Present = "present",
    }
}

record! {
    /// Turf managed, sampled and amended as one.
    pub struct Zone = "zone" {
        /// What it is called.
        name: String,
        /// Plan area, m2, measured or worked out from the outline.
        area_m2: Option<f64>,
        /// Outline: `wgs84` followed by latitude,longitude pairs, or `metres` followed by x,y
        /// pairs; rings are separated by `;`, the first is the outside.
        outline: String,
        /// What the turf is for.
        turf: Option<TurfUse>,
        /// The turf's growth type.
        grass: Option<Grass>,
        /// The grass in the person's words.
        grass_words: String,
        /// Texture of the root zone.
        texture: Option<Texture>,
        /// Depth managed and sampled, mm.
        root_zone_mm: Option<f64>,
        /// Bulk density, t/m3, measured; absent means a default is used and said.
        bulk_density: Option<f64>,
        /// Watering.
        irrigation: Option<Irrigation>,
        /// Mowing height, mm.
        mowing_mm: Option<f64>,
        /// The fizz test.
        carbonate: Option<Carbonate>,
        /// Since when it is treated as one zone.
        since: Option<NaiveDate>,
        /// Anything else.
        note: String,
    }
}
