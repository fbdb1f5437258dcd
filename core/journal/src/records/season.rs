//! What happens on a zone: the entries of a zone's journal.

use std::collections::BTreeMap;

use swardbook_units::{Id, NaiveDate, NaiveTime};

use crate::record::{record, words};

record! {
    /// The composite of the kept cores.
    pub struct Sample = "sample" {
        /// Day the cores were pulled; absent while it is planned.
        date: Option<NaiveDate>,
        /// Top of the sampled layer, mm.
        from_mm: Option<f64>,
        /// Bottom of the sampled layer, mm.
        to_mm: Option<f64>,
        /// The tool in words.
        tool: String,
        /// Inside diameter of the tool, mm.
        tool_mm: Option<f64>,
        /// Cores wanted.
        wanted_cores: Option<i64>,
        /// Cores pulled, where they were not recorded one by one.
        pulled_cores: Option<i64>,
        /// Seed the points were drawn from.
        seed: Option<i64>,
        /// Mass of the composite as weighed, g.
        mass_g: Option<f64>,
        /// What stands on the bag.
        label: String,
        /// The laboratory's entry in the notebook.
        laboratory: Option<Id>,
        /// Sent on.
        sent: Option<NaiveDate>,
        /// Reported on.
        returned: Option<NaiveDate>,
        /// Why it was pulled although the ground was not clear, in the person's words.
        unclear_reason: String,
        /// Replicate composites of one zone on one day share this mark.
        replicate_of: Option<Id>,
        /// Anything else.
        note: String,
    }
}

record! {
    /// One plug pulled.
    pub struct Core = "core" {
        /// The sample it belongs to.
        sample: Option<Id>,
        /// Its number in the walk.
        number: Option<i64>,
        /// Set aside and not in the bag.
        set_aside: bool,
        /// Why it was set aside.
        reason: String,
        /// Depth reached, mm.
        depth_mm: Option<f64>,
        /// Place: metres east in the zone's own frame.
        x_m: Option<f64>,
        /// Place: metres north.
        y_m: Option<f64>,
        /// Place: latitude.
        latitude: Option<f64>,
        /// Place: longitude.
        longitude: Option<f64>,
        /// Time of day.
        time: Option<NaiveTime>,
        /// Anything else.
        note: String,
    }
}

words! {
    /// How the laboratory qualified a value.
    pub enum Qualifier {
        /// Below the reporting limit.
        Below = "<",
        /// Above the measuring range.
        Above = ">",
    }
}

record! {
    /// One reading of a panel, as the laboratory wrote it.
    pub struct ReadingRecord = "reading" {
        /// Analyte id.
        analyte: String,
        /// Method id; empty when the laboratory did not say.
        method: String,
        /// The number.
        value: Option<f64>,
        /// The unit as reported.
        unit: String,
        /// `<` or `>`.
        qualifier: Option<Qualifier>,
        /// The compound the number is of, such as `K2O`; empty when it is the element itself.
        form: String,
        /// Standard uncertainty stated by the laboratory, in the same unit.
        uncertainty: Option<f64>,
        /// Marks and footnotes.
        note: String,
    }
}

record! {
    /// A laboratory's readings of one sample.
    pub struct Panel = "panel" {
        /// The sample.
        sample: Option<Id>,
        /// The laboratory's entry in the notebook.
        laboratory: Option<Id>,
        /// Its number for the report.
        report: String,
        /// Day of the report.
        date: Option<NaiveDate>,
        /// blake3 of the original file.
        file: String,
        /// The file's name.
        file_name: String,
        /// The readings, by a short name.
        reading: BTreeMap<String, ReadingRecord>,
        /// Anything else.
        note: String,
    }
}

words! {
    /// Where a plan stands.
    pub enum PlanStatus {
        /// Being thought about.
        Draft = "draft",
        /// To be done as written.
        Accepted = "accepted",
        /// Done or given up.
        Done = "done",
    }
}

record! {
    /// One visit's dose of one material in an accepted plan.
    pub struct PlanItem = "item" {
        /// Material id.
        material: String,
        /// What it is for, such as `acidity` or `k`.
        purpose: String,
        /// Dose as accepted, g/m2 of material.
        dose_g_m2: Option<f64>,
        /// Day it should go down.
        date: Option<NaiveDate>,
        /// Visit's number within its purpose.
        visit: Option<i64>,
    }
}

record! {
    /// What to buy and put on, when and why.
    pub struct PlanRecord = "plan" {
        /// The panel it was made from.
        panel: Option<Id>,
        /// Day it was made.
        date: Option<NaiveDate>,
        /// Where it stands.
        status: Option<PlanStatus>,
        /// The guideline its limits are from.
        guideline: String,
        /// Wanted pH.
        target_ph: Option<f64>,
        /// Scale of the wanted pH: a method id.
        target_ph_method: String,
        /// The lime method chosen by the person; empty for the stated rule.
        lime_method: String,
        /// Nitrogen meant for the season, g/m2, from which the season's use follows.
        season_nitrogen_g_m2: Option<f64>,
        /// First day work can start.
        start: Option<NaiveDate>,
        /// What was accepted.
        item: BTreeMap<String, PlanItem>,
        /// Anything else.
        note: String,
    }
}

record! {
    /// What really went on.
    pub struct Application = "application" {
        /// The plan it follows.
        plan: Option<Id>,
        /// The plan's item.
        plan_item: String,
        /// Material id.
        material: String,
        /// Material in words, where it is none of the listed.
        material_words: String,
        /// Mass put on, kg.
        amount_kg: Option<f64>,
        /// Volume of a liquid put on, L.
        amount_l: Option<f64>,
        /// Area covered, m2; absent means the whole zone.
        area_m2: Option<f64>,
        /// Day.
        date: Option<NaiveDate>,
        /// Time of day.
        time: Option<NaiveTime>,
        /// Spreader, sprayer, by hand.
        how: String,
        /// Weather in words.
        weather: String,
        /// Watered in afterwards.
        watered_in: bool,
        /// How long sampling waits for it, where it is none of the listed: granular or liquid.
        form: Option<super::MaterialForm>,
        /// Anything else.
        note: String,
    }
}

words! {
    /// What sort of observation.
    pub enum ObservationKind {
        /// A visual rating.
        Rating = "rating",
        /// A reading on the spot.
        Spot = "spot",
        /// A photo.
        Photo = "photo",
        /// A note.
        Note = "note",
    }
}

record! {
    /// Something seen or measured on the ground.
    pub struct Observation = "observation" {
        /// What sort.
        sort: Option<ObservationKind>,
        /// Day.
        date: Option<NaiveDate>,
        /// Time of day.
        time: Option<NaiveTime>,
        /// Trait rated, or quantity measured: `colour`, `quality`, `density`, `ph-probe`, ...
        what: String,
        /// Rating or reading.
        value: Option<f64>,
        /// Unit of the reading.
        unit: String,
        /// Who rated.
        rater: String,
        /// Instrument used.
        instrument: String,
        /// Its last calibration.
        calibrated: Option<NaiveDate>,
        /// Name of the strip it was seen on; empty: the whole zone.
        strip: String,
        /// blake3 of the photo.
        photo: String,
        /// blake3 of a small picture of it, which other devices are given first.
        preview: String,
        /// The photo's file name.
        photo_name: String,
        /// Its media type.
        media_type: String,
        /// Its size, bytes.
        size: Option<i64>,
        /// Words.
        note: String,
    }
}
