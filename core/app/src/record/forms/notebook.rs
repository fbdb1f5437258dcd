//! Forms of what belongs to the whole notebook.

use crate::record::spec::{FieldKind as K, Home, RecordSpec, field};

pub(super) const SETTINGS: RecordSpec = RecordSpec {
    kind: "settings",
    title: "Settings",
    home: Home::Notebook,
    fields: &[
        field("name", "name", K::Text, "Notebook", "what the notebook is called"),
        field("keeper", "keeper", K::Text, "Keeper", "who keeps it"),
        field("measure", "measure", K::Choice(&["metric", "us"]), "Units", "units shown"),
        field(
            "hemisphere",
            "hemisphere",
            K::Choice(&["south", "north"]),
            "Hemisphere",
            "which half of the year is summer",
        ),
        field("currency", "currency", K::Text, "Currency", "three letters of ISO 4217"),
        field("language", "language", K::Text, "Language", "BCP 47 tag for dates and numbers"),
        field(
            "granular_days",
            "granular_days",
            K::Count { range: (0, 730) },
            "Days to wait after a granular feed",
            "before sampling; empty means the default that the sampling window names",
        ),
        field(
            "liquid_days",
            "liquid_days",
            K::Count { range: (0, 730) },
            "Days to wait after a liquid feed",
            "before sampling; empty means the default that the sampling window names",
        ),
    ],
    check: |fields| {
        if let Some(swardbook_journal::Value::Text(code)) = fields.get("currency") {
            swardbook_units::Currency::parse(code)
                .map_err(|e| crate::Problem::bad("currency", e.to_string()))?;
        }
        Ok(())
    },
};

pub(super) const DEVICE: RecordSpec = RecordSpec {
    kind: "device",
    title: "Device",
    home: Home::Notebook,
    fields: &[
        field("name", "name", K::Text, "Name", "what the device is called").required(),
        field(
            "role",
            "role",
            K::Choice(&["field", "office", "always-on"]),
            "Role",
            "the phone in the yard, the machine in the office, or one that is always on",
        ),
    ],
    check: |_| Ok(()),
};

pub(super) const LABORATORY: RecordSpec = RecordSpec {
    kind: "laboratory",
    title: "Laboratory",
    home: Home::Notebook,
    fields: &[
        field("name", "name", K::Text, "Name", "what the laboratory is called").required(),
        field(
            "turnaround_days",
            "turnaround_days",
            K::Count { range: (0, 365) },
            "Turnaround",
            "days from arrival to the panel",
        ),
        field("post_days", "post_days", K::Count { range: (0, 90) }, "Days in the post", "one way"),
        field(
            "wanted_mass",
            "wanted_mass_g",
            K::Number { unit: "g", range: (1.0, 20_000.0) },
            "Soil wanted",
            "mass of soil the laboratory asks for",
        ),
        field("note", "note", K::Lines, "Note", "anything else"),
    ],
    check: |_| Ok(()),
};

pub(super) const MATERIAL: RecordSpec = RecordSpec {
    kind: "material",
    title: "Own material",
    home: Home::Notebook,
    fields: &[
        field("name", "name", K::Text, "Name", "a generic name, as on the label").required(),
        field(
            "form",
            "form",
            K::Choice(&["granular", "powder", "liquid"]),
            "Form",
            "also decides how long to wait before sampling",
        )
        .later(),
        field(
            "neutralising_value",
            "neutralising_value",
            K::Number { unit: "%", range: (0.0, 180.0) },
            "Neutralising value",
            "calcium carbonate = 100",
        ),
        field(
            "effective_fineness",
            "effective_fineness",
            K::Number { unit: "%", range: (0.0, 100.0) },
            "Effective fineness",
            "share fine enough to react, by the label or a sieve test",
        ),
        field(
            "moisture",
            "moisture",
            K::Number { unit: "%", range: (0.0, 95.0) },
            "Moisture",
            "by mass",
        ),
        field(
            "visit_limit",
            "visit_limit_g_m2",
            K::Number { unit: "g/m2", range: (0.0, 5_000.0) },
            "Most at one visit",
            "on established turf, by its label",
        ),
        field(
            "interval_days",
            "interval_days",
            K::Count { range: (0, 730) },
            "Days between visits",
            "at least, by its label",
        ),
        field(
            "density",
            "density",
            K::Number { unit: "kg/L", range: (0.1, 3.0) },
            "Density",
            "of a liquid",
        ),
        field("cautions", "cautions", K::Lines, "Cautions", "as the label gives them"),
    ],
    check: |_| Ok(()),
};

pub(super) const PRICE: RecordSpec = RecordSpec {
    kind: "price",
    title: "Price",
    home: Home::Notebook,
    fields: &[
        field("material", "material", K::Material, "Material", "what is bought").required(),
        field(
            "pack",
            "pack_kg",
            K::Number { unit: "kg", range: (0.001, 50_000.0) },
            "Pack",
            "mass of one pack",
        )
        .required(),
        field("price", "minor", K::Money, "Price", "of one pack, in the notebook's currency")
            .required(),
    ],
    check: |_| Ok(()),
};
