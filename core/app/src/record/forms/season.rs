//! Forms of what happens on a zone.

use swardbook_journal::{Fields, Value};

use super::SOIL_DEPTH;
use crate::{
    Problem,
    record::spec::{FieldKind as K, Home, RecordSpec, field},
};

const DEPTH: K = K::Number { unit: "mm", range: SOIL_DEPTH };
const METRES: K = K::Number { unit: "m", range: (-20_000.0, 20_000.0) };

pub(super) const SAMPLE: RecordSpec = RecordSpec {
    kind: "sample",
    title: "Sample",
    home: Home::Zone,
    fields: &[
        field("date", "date", K::Date, "Pulled on", "the day the cores were pulled").later(),
        field("from", "from_mm", DEPTH, "From", "top of the sampled layer").later(),
        field("to", "to_mm", DEPTH, "To", "bottom of the sampled layer").later(),
        field("tool", "tool", K::Text, "Tool", "what the cores were pulled with"),
        field(
            "tool_diameter",
            "tool_mm",
            K::Number { unit: "mm", range: (2.0, 300.0) },
            "Tool's inside diameter",
            "for the mass of the composite",
        ),
        field(
            "wanted_cores",
            "wanted_cores",
            K::Count { range: (1, 500) },
            "Cores wanted",
            "by the plan of the sample",
        ),
        field(
            "pulled_cores",
            "pulled_cores",
            K::Count { range: (1, 500) },
            "Cores in the bag",
            "where they were not recorded one by one",
        ),
        field("seed", "seed", K::Count { range: (0, i64::MAX) }, "Seed", "the points came from it"),
        field(
            "mass",
            "mass_g",
            K::Number { unit: "g", range: (0.1, 50_000.0) },
            "Mass",
            "of the composite, as weighed",
        ),
        field("label", "label", K::Text, "Label", "what stands on the bag").later(),
        field("laboratory", "laboratory", K::Record("laboratory"), "Laboratory", "where it goes")
            .later(),
        field("sent", "sent", K::Date, "Sent", "the day it was posted"),
        field("returned", "returned", K::Date, "Reported", "the day the panel came"),
        field(
            "unclear_reason",
            "unclear_reason",
            K::Text,
            "Why now",
            "why it was pulled although the ground was not clear",
        ),
        field(
            "replicate_of",
            "replicate_of",
            K::Record("sample"),
            "Replicate of",
            "another composite of the same zone and day",
        ),
        field("note", "note", K::Lines, "Note", "anything else"),
    ],
    check: check_sample,
};

fn number(fields: &Fields, key: &str) -> Option<f64> {
    match fields.get(key) {
        Some(Value::Number(number)) => Some(*number),
        _ => None,
    }
}

fn text<'a>(fields: &'a Fields, key: &str) -> Option<&'a str> {
    match fields.get(key) {
        Some(Value::Text(text)) => Some(text),
        _ => None,
    }
}

fn check_sample(fields: &Fields) -> Result<(), Problem> {
    if let (Some(from), Some(to)) = (number(fields, "from_mm"), number(fields, "to_mm"))
        && from >= to
    {
        return Err(Problem::bad(
            "to",
            format!(
                "the layer from {from} mm to {to} mm is upside down or empty; give the upper depth \
                 as from and the lower as to"
            ),
        ));
    }
    let order = [("date", "date"), ("sent", "sent"), ("returned", "returned")];
    for pair in order.windows(2) {
        // Dates are stored as year-month-day, so their text sorts as they do.
        if let (Some(earlier), Some(later)) = (text(fields, pair[0].1), text(fields, pair[1].1))
            && later < earlier
        {
            return Err(Problem::bad(
                pair[1].0,
                format!("{} {later} lies before {} {earlier}", pair[1].0, pair[0].0),
            ));
        }
    }
    Ok(())
}

pub(super) const CORE: RecordSpec = RecordSpec {
    kind: "core",
    title: "Core",
    home: Home::Zone,
    fields: &[
        field("sample", "sample", K::Record("sample"), "Sample", "the bag it went into").required(),
        field("number", "number", K::Count { range: (1, 9_999) }, "Number", "in the walk"),
        field("set_aside", "set_aside", K::Flag, "Set aside", "not in the bag"),
        field(
            "reason",
            "reason",
            K::Text,
            "Reason",
            "why it was set aside: imported sand, edge of paving, wet hole",
        ),
        field("depth", "depth_mm", DEPTH, "Depth reached", "measured on the core"),
        field("east", "x_m", METRES, "East", "place in the zone's own frame"),
        field("north", "y_m", METRES, "North", "place in the zone's own frame"),
        field(
            "latitude",
            "latitude",
            K::Number { unit: "", range: (-90.0, 90.0) },
            "Latitude",
            "degrees",
        ),
        field(
            "longitude",
            "longitude",
            K::Number { unit: "", range: (-180.0, 180.0) },
            "Longitude",
            "degrees",
        ),
        field("time", "time", K::Time, "Time", "of day"),
        field("note", "note", K::Lines, "Note", "anything else"),
    ],
    check: |fields| match (fields.get("set_aside"), text(fields, "reason")) {
        (Some(Value::Flag(true)), None) => Err(Problem::missing(
            "reason",
            "say why the core was set aside, so that the composite can be judged later",
        )),
        _ => Ok(()),
    },
};

pub(super) const PANEL: RecordSpec = RecordSpec {
    kind: "panel",
    title: "Panel",
    home: Home::Zone,
    fields: &[
        field("sample", "sample", K::Record("sample"), "Sample", "the bag it reports on")
            .required(),
        field("laboratory", "laboratory", K::Record("laboratory"), "Laboratory", "who reported it")
            .later(),
        field("report", "report", K::Text, "Report", "the laboratory's own number"),
        field("date", "date", K::Date, "Reported on", "the day of the report").later(),
        field("note", "note", K::Lines, "Note", "anything else"),
    ],
    check: |_| Ok(()),
};

pub(super) const PLAN: RecordSpec = RecordSpec {
    kind: "plan",
    title: "Plan",
    home: Home::Zone,
    fields: &[
        field("panel", "panel", K::Record("panel"), "Panel", "the readings it was made from")
            .required(),
        field("date", "date", K::Date, "Made on", "the day it was made"),
        field(
            "status",
            "status",
            K::Choice(&["draft", "accepted", "done"]),
            "Status",
            "being thought about, to be done as written, or done",
        ),
        field("guideline", "guideline", K::Text, "Guideline", "its limits are from"),
        field(
            "target_ph",
            "target_ph",
            K::Number { unit: "", range: (4.0, 9.0) },
            "Wanted pH",
            "what liming aims at",
        ),
        field("target_ph_method", "target_ph_method", K::Text, "Scale", "of the wanted pH"),
        field("lime_method", "lime_method", K::Text, "Lime method", "chosen by a person"),
        field(
            "season_nitrogen",
            "season_nitrogen_g_m2",
            K::Number { unit: "g/m2", range: (0.0, 60.0) },
            "Nitrogen of the season",
            "from which the season's use of other nutrients follows",
        ),
        field("start", "start", K::DateAhead, "Start", "first day work can start"),
        field("note", "note", K::Lines, "Note", "anything else"),
    ],
    check: |_| Ok(()),
};

pub(super) const APPLICATION: RecordSpec = RecordSpec {
    kind: "application",
    title: "Application",
    home: Home::Zone,
    fields: &[
        field("material", "material", K::Material, "Material", "what went on")
            .later()
            .or("material_words"),
        field(
            "material_words",
            "material_words",
            K::Text,
            "Material in words",
            "where it is none of the listed",
        ),
        field(
            "amount",
            "amount_kg",
            K::Number { unit: "kg", range: (0.000_1, 1e6) },
            "Amount",
            "mass put on",
        )
        .later()
        .or("amount_l"),
        field(
            "volume",
            "amount_l",
            K::Number { unit: "L", range: (0.000_1, 1e6) },
            "Volume",
            "of a liquid put on",
        ),
        field(
            "area",
            "area_m2",
            K::Number { unit: "m2", range: (0.01, 1e8) },
            "Area covered",
            "empty means the whole zone",
        ),
        field("date", "date", K::Date, "Day", "the day it went on").required(),
        field("time", "time", K::Time, "Time", "of day"),
        field("how", "how", K::Text, "How", "spreader, sprayer, by hand"),
        field("weather", "weather", K::Text, "Weather", "in words"),
        field("watered_in", "watered_in", K::Flag, "Watered in", "afterwards"),
        field(
            "form",
            "form",
            K::Choice(&["granular", "powder", "liquid"]),
            "Form",
            "where the material is none of the listed: how long sampling waits",
        ),
        field("plan", "plan", K::Record("plan"), "Plan", "the plan it follows"),
        field("plan_item", "plan_item", K::Text, "Plan's item", "which item of the plan"),
        field("note", "note", K::Lines, "Note", "anything else"),
    ],
    check: |fields| {
        if fields.contains_key("material") || fields.contains_key("material_words") {
            return Ok(());
        }
        Err(Problem::missing("material", "name a material, or say what it was in material_words"))
    },
};

pub(super) const OBSERVATION: RecordSpec = RecordSpec {
    kind: "observation",
    title: "Observation",
    home: Home::Zone,
    fields: &[
        field(
            "sort",
            "sort",
            K::Choice(&["rating", "spot", "photo", "note"]),
            "Sort",
            "a visual rating, a reading on the spot, a photo, or a note",
        )
        .required(),
        field("date", "date", K::Date, "Day", "when it was seen").required(),
        field("time", "time", K::Time, "Time", "of day"),
        field(
            "what",
            "what",
            K::Text,
            "What",
            "trait rated (colour, quality, density) or quantity measured (moisture, ph-probe)",
        ),
        field(
            "value",
            "value",
            K::Number { unit: "", range: (f64::NEG_INFINITY, f64::INFINITY) },
            "Value",
            "rating from 1 to 9, or the reading",
        ),
        field("unit", "unit", K::Text, "Unit", "of the reading"),
        field("rater", "rater", K::Text, "Rater", "who rated")
            .later()
            .only_with("sort", &["rating"]),
        field("instrument", "instrument", K::Text, "Instrument", "what it was read with")
            .later()
            .only_with("sort", &["spot"]),
        field("calibrated", "calibrated", K::Date, "Calibrated", "the instrument's last time")
            .later()
            .only_with("what", CALIBRATED),
        field("strip", "strip", K::Text, "Strip", "treated or control; empty: the whole zone"),
        field("note", "note", K::Lines, "Note", "words"),
    ],
    check: check_observation,
};

/// Readings whose instrument drifts, so that its last calibration is asked for.
const CALIBRATED: &[&str] = &["ph-probe", "salinity", "moisture"];

fn check_observation(fields: &Fields) -> Result<(), Problem> {
    let what = text(fields, "what").unwrap_or_default().trim().to_lowercase();
    let is_laboratory_ph = matches!(what.as_str(), "ph" | "ph-water" | "ph-cacl2" | "ph-kcl");
    if text(fields, "sort") == Some("spot") && is_laboratory_ph {
        // A reading on the spot must never pass for the laboratory's, by its name either.
        return Err(Problem::bad(
            "what",
            format!(
                "\"{what}\" is the laboratory's; on the spot it is ph-probe or ph-kit, so that the \
                 two are never mixed in one comparison"
            ),
        ));
    }
    let value = number(fields, "value");
    match text(fields, "sort") {
        Some("rating") => match value {
            None => Err(Problem::missing("value", "a rating is a number from 1 to 9")),
            Some(value) if !(1.0..=9.0).contains(&value) => Err(Problem::bad(
                "value",
                format!("a rating goes from 1 to 9; {value} lies outside"),
            )),
            Some(_) if text(fields, "what").is_none() => {
                Err(Problem::missing("what", "say what was rated: colour, quality or density"))
            }
            Some(_) => Ok(()),
        },
        Some("spot") if value.is_none() => {
            Err(Problem::missing("value", "a reading on the spot is a number with its unit"))
        }
        Some("spot") if text(fields, "what").is_none() => {
            Err(Problem::missing("what", "say what was measured, such as moisture or ph-probe"))
        }
        _ => Ok(()),
    }
}
