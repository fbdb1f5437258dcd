//! The embedded table of generic materials.

use std::sync::LazyLock;

use serde::Deserialize;
use swardbook_units::{Dose, Percent, Source};

use super::{
    DoseLimit, Figure, Form, LimitGround, Material, MaterialKind, NutrientShare, OnGrass,
    element_of,
};
use crate::source;

#[derive(Deserialize)]
#[serde(untagged)]
enum Keys {
    One(String),
    Several(Vec<String>),
}

impl Keys {
    fn sources(self) -> Vec<Source> {
        match self {
            Self::One(key) => vec![source(&key)],
            Self::Several(keys) => keys.iter().map(|key| source(key)).collect(),
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ShareRow {
    of: String,
    percent: f64,
    #[serde(default)]
    note: String,
    source: Keys,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LimitRow {
    dose: f64,
    of: String,
    on: String,
    #[serde(default)]
    note: String,
    source: Keys,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ValueRow {
    percent: f64,
    #[serde(default)]
    note: String,
    source: Keys,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct DaysRow {
    days: f64,
    #[serde(default)]
    note: String,
    source: Keys,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct IndexRow {
    value: f64,
    source: Keys,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WordsRow {
    words: String,
    source: Keys,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    id: String,
    name: String,
    kind: String,
    formula: Option<String>,
    form: String,
    turf: Option<String>,
    analysis: Vec<ShareRow>,
    value: Option<ValueRow>,
    fineness: Option<WordsRow>,
    limits: Vec<LimitRow>,
    per_year: Option<LimitRow>,
    interval: Option<DaysRow>,
    #[serde(default)]
    water_in: Vec<LimitRow>,
    #[serde(default)]
    salt_index: Vec<IndexRow>,
    cautions: Vec<String>,
}

#[derive(Deserialize)]
struct File {
    material: Vec<Row>,
}

static TABLE: LazyLock<Vec<Material>> = LazyLock::new(|| {
    let file: File = toml::from_str(include_str!("../../data/materials.toml"))
        .expect("the embedded table of materials parses; a test reads it");
    file.material.into_iter().map(built).collect()
});

pub(super) fn materials() -> &'static [Material] {
    &TABLE
}

fn built(row: Row) -> Material {
    Material {
        kind: MaterialKind::from_id(&row.kind).expect("kinds of the embedded table are known"),
        form: Form::from_id(&row.form).expect("forms of the embedded table are known"),
        on_grass: match row.turf.as_deref() {
            None => OnGrass::Fit,
            Some("careful") => OnGrass::Careful,
            // The test of this module refuses any other word.
            Some(_) => OnGrass::Never,
        },
        analysis: row.analysis.into_iter().map(share).collect(),
        acidity_effect: row.value.map(|v| Figure {
            value: v.percent,
            note: v.note,
            sources: v.source.sources(),
        }),
        fineness: row.fineness.map(|f| (f.words, f.source.sources())),
        limits: row.limits.into_iter().map(limit).collect(),
        per_year: row.per_year.map(limit),
        interval_days: row.interval.map(|i| Figure {
            value: i.days,
            note: i.note,
            sources: i.source.sources(),
        }),
        water_in: row.water_in.into_iter().map(limit).collect(),
        salt_index: row
            .salt_index
            .into_iter()
            .map(|i| Figure { value: i.value, note: String::new(), sources: i.source.sources() })
            .collect(),
        id: row.id,
        name: row.name,
        formula: row.formula,
        cautions: row.cautions,
    }
}

fn share(row: ShareRow) -> NutrientShare {
    let (symbol, of_printed) =
        element_of(&row.of).expect("analyses of the embedded table name elements or oxides");
    NutrientShare {
        symbol: symbol.to_owned(),
        percent: Percent(row.percent * of_printed),
        printed: (row.of, Percent(row.percent)),
        note: row.note,
        sources: row.source.sources(),
    }
}

fn limit(row: LimitRow) -> DoseLimit {
    DoseLimit {
        dose: Dose(row.dose),
        element: (row.of != "material").then_some(row.of),
        ground: LimitGround::from_id(&row.on).expect("grounds of the embedded table are known"),
        note: row.note,
        sources: row.source.sources(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_about_grass_are_the_two_known() {
        let file: File = toml::from_str(include_str!("../../data/materials.toml")).unwrap();
        for row in file.material {
            if let Some(word) = &row.turf {
                assert!(["careful", "never"].contains(&word.as_str()), "{}: {word}", row.id);
            }
        }
    }
}
