//! Forms of a property and its zones.

use swardbook_journal::{Fields, records::Zone};

use crate::{
    Problem,
    record::spec::{FieldKind as K, Home, RecordSpec, field},
};

pub(super) const PROPERTY: RecordSpec = RecordSpec {
    kind: "property",
    title: "Property",
    home: Home::Property,
    fields: &[
        field("name", "name", K::Text, "Name", "what the property is called").required(),
        field("client", "client", K::Text, "Client", "who to deal with"),
        field(
            "ground",
            "kind_of_ground",
            K::Choice(&["own", "home", "commercial"]),
            "Whose ground",
            "your own, a home, or commercial or club grounds",
        ),
        field("place", "place", K::Text, "Place", "where it is, in words"),
        field(
            "phosphorus_rule",
            "phosphorus_rule",
            K::Choice(&["unknown", "none", "needs-test", "forbidden"]),
            "Local rule for phosphorus",
            "what the place's own rules say about phosphorus on turf; ask before the first dose",
        ),
        field(
            "phosphorus_rule_source",
            "phosphorus_rule_source",
            K::Text,
            "Where that rule is written",
            "so that the next person can look it up",
        ),
        field(
            "renovation_day",
            "renovation_day",
            K::DateAhead,
            "Next renovation day",
            "coring and open ground; the calendar works backwards from it",
        ),
        field("note", "note", K::Lines, "Note", "anything else"),
    ],
    check: |_| Ok(()),
};

pub(super) const ZONE: RecordSpec = RecordSpec {
    kind: "zone",
    title: "Zone",
    home: Home::Property,
    fields: &[
        field("name", "name", K::Text, "Name", "what the zone is called").required(),
        field(
            "area",
            "area_m2",
            K::Number { unit: "m2", range: (0.01, 1e8) },
            "Area",
            "plan area as measured; the outline's when left out; packs cannot be counted without",
        )
        .later()
        .or("outline"),
        field(
            "outline",
            "outline",
            K::Lines,
            "Outline",
            "`metres` followed by x,y pairs, or `wgs84` followed by latitude,longitude pairs; \
             rings are separated by `;`",
        ),
        field(
            "turf",
            "turf",
            K::Choice(&["lawn", "sports-field", "green", "pasture"]),
            "What it is for",
            "published guidelines are bound to it",
        )
        .later(),
        field(
            "grass",
            "grass",
            K::Choice(&["warm-season", "cool-season"]),
            "Growth type",
            "warm-season: couch, kikuyu, buffalo, zoysia; cool-season: ryegrass, fescue, bent",
        )
        .later(),
        field("grass_words", "grass_words", K::Text, "Grass", "the grass in your own words"),
        field(
            "texture",
            "texture",
            K::Choice(&[
                "sand",
                "loamy-sand",
                "sandy-loam",
                "loam",
                "silt-loam",
                "sandy-clay-loam",
                "clay-loam",
                "light-clay",
                "medium-clay",
                "heavy-clay",
            ]),
            "Soil texture",
            "by hand or laboratory; salinity and lime depend on it",
        )
        .later(),
        field(
            "root_zone",
            "root_zone_mm",
            K::Number { unit: "mm", range: (10.0, 1_000.0) },
            "Root-zone depth",
            "depth managed and sampled",
        )
        .later(),
        field(
            "bulk_density",
            "bulk_density",
            K::Number { unit: "t/m3", range: (0.1, 2.2) },
            "Bulk density",
            "measured; without it a default is used and said",
        ),
        field(
            "irrigation",
            "irrigation",
            K::Choice(&["none", "hose", "fixed"]),
            "Irrigation",
            "how the zone gets water beside rain",
        ),
        field(
            "mowing",
            "mowing_mm",
            K::Number { unit: "mm", range: (1.0, 200.0) },
            "Mowing height",
            "height of cut",
        ),
        field(
            "carbonate",
            "carbonate",
            K::Choice(&["none", "present"]),
            "Fizz test",
            "a drop of acid or vinegar on the soil: `present` when it fizzes",
        ),
        field("since", "since", K::Date, "Since", "since when it is treated as one zone"),
        field("note", "note", K::Lines, "Note", "anything else"),
    ],
    check: check_zone,
};

fn check_zone(fields: &Fields) -> Result<(), Problem> {
    if let Some(swardbook_journal::Value::Text(outline)) = fields.get("outline") {
        // A shape that crosses itself has no area; it is refused before it is kept.
        let zone = Zone { outline: outline.clone(), ..Zone::default() };
        crate::sampling::zone_outline(&zone)?;
    }
    Ok(())
}
