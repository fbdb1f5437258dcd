//! Reads the embedded guideline files.

use std::sync::LazyLock;

use serde::Deserialize;
use swardbook_units::parse_unit;

use super::{Class, Condition, Guideline, Limit, ReadingRange, TurfKind};
use crate::{
    analyte::{Analyte, analyte, method},
    source,
    texture::Texture,
};

/// Every file of `data/guidelines`, in the order they are shown.
const FILES: &[&str] = &[
    include_str!("../../data/guidelines/mlsn-2014.toml"),
    include_str!("../../data/guidelines/slan.toml"),
    include_str!("../../data/guidelines/rutgers-mehlich-3.toml"),
    include_str!("../../data/guidelines/penn-state-lawn-p.toml"),
    include_str!("../../data/guidelines/dtpa-micronutrients.toml"),
    include_str!("../../data/guidelines/boron.toml"),
    include_str!("../../data/guidelines/pasture-p.toml"),
    include_str!("../../data/guidelines/bicarbonate-k.toml"),
    include_str!("../../data/guidelines/sulfur-pasture.toml"),
    include_str!("../../data/guidelines/colwell-pasture.toml"),
    include_str!("../../data/guidelines/turf-ph-ohio.toml"),
    include_str!("../../data/guidelines/turf-ph-west-virginia.toml"),
    include_str!("../../data/guidelines/turf-ph-tall-fescue.toml"),
    include_str!("../../data/guidelines/grass-ph-rb209.toml"),
    include_str!("../../data/guidelines/pasture-ph-cacl2.toml"),
];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    id: String,
    title: String,
    version: String,
    source: String,
    cautions: Vec<String>,
    limit: Vec<LimitRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LimitRow {
    analyte: String,
    method: Vec<String>,
    unit: String,
    short_below: f64,
    enough_from: Option<f64>,
    high_above: Option<f64>,
    #[serde(default)]
    classes: Vec<ClassRow>,
    #[serde(default)]
    only_on: ConditionRow,
    #[serde(default)]
    derived_on: Vec<RangeRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ClassRow {
    name: String,
    to: Option<f64>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields)]
struct ConditionRow {
    #[serde(default)]
    texture: Vec<String>,
    #[serde(default)]
    ground: Vec<String>,
    #[serde(default)]
    readings: Vec<RangeRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RangeRow {
    analyte: String,
    from: f64,
    to: f64,
}

static GUIDELINES: LazyLock<Vec<Guideline>> = LazyLock::new(|| {
    FILES
        .iter()
        .map(|text| {
            let file: File = toml::from_str(text)
                .expect("every embedded guideline parses; a test reads them all");
            Guideline {
                source: source(&file.source),
                id: file.id,
                title: file.title,
                version: file.version,
                cautions: file.cautions,
                limits: file.limit.into_iter().map(built).collect(),
            }
        })
        .collect()
});

pub(super) fn guidelines() -> &'static [Guideline] {
    &GUIDELINES
}

fn built(row: LimitRow) -> Limit {
    Limit {
        analyte: known_analyte(&row.analyte),
        methods: row
            .method
            .iter()
            .map(|id| method(id).expect("guidelines name known methods; a test reads them all"))
            .collect(),
        unit: parse_unit(&row.unit).expect("guidelines use known units; a test reads them all"),
        short_below: row.short_below,
        enough_from: row.enough_from.unwrap_or(row.short_below),
        high_above: row.high_above,
        classes: row.classes.into_iter().map(|c| Class { name: c.name, to: c.to }).collect(),
        only_on: Condition {
            textures: row
                .only_on
                .texture
                .iter()
                .map(|id| Texture::from_id(id).expect("guidelines name known textures"))
                .collect(),
            turf: row
                .only_on
                .ground
                .iter()
                .map(|id| TurfKind::from_id(id).expect("guidelines name known kinds of turf"))
                .collect(),
            readings: row.only_on.readings.into_iter().map(range).collect(),
        },
        derived_on: row.derived_on.into_iter().map(range).collect(),
    }
}

fn range(row: RangeRow) -> ReadingRange {
    ReadingRange { analyte: known_analyte(&row.analyte), from: row.from, to: row.to }
}

fn known_analyte(id: &str) -> &'static Analyte {
    analyte(id).expect("guidelines name known analytes; a test reads them all")
}

#[cfg(test)]
mod tests {
    use super::FILES;

    #[test]
    fn no_guideline_file_is_left_out() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/data/guidelines");
        let on_disk = std::fs::read_dir(folder).expect("the folder is part of the crate").count();
        assert_eq!(FILES.len(), on_disk, "files embedded and files in {folder}");
    }
}
