//! Reads the embedded tables of analytes and methods.

use std::sync::LazyLock;

use serde::Deserialize;
use swardbook_units::{Dimension, Unit, parse_unit};

use super::{Analyte, By, Form, Ion, Method, NOT_STATED, Scale, method};
use crate::elements::{element_in, mg_per_cmol};

pub(super) fn analytes() -> &'static [Analyte] {
    &ANALYTES
}

pub(super) fn methods() -> &'static [Method] {
    &METHODS
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MethodRow {
    id: String,
    name: String,
    aliases: Vec<String>,
    basis: String,
    source: String,
}

#[derive(Deserialize)]
struct MethodFile {
    method: Vec<MethodRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FormRow {
    formula: String,
    element: String,
    aliases: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ByRow {
    method: String,
    unit: String,
    possible: (f64, f64),
    usual: (f64, f64),
    source: String,
    #[serde(default)]
    aliases: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct AnalyteRow {
    id: String,
    name: String,
    symbol: String,
    aliases: Vec<String>,
    ion: Option<String>,
    charge: Option<u8>,
    #[serde(default)]
    units: Vec<String>,
    dimensions: Vec<String>,
    scale: String,
    decimals: usize,
    #[serde(default)]
    form: Vec<FormRow>,
    by: Vec<ByRow>,
}

#[derive(Deserialize)]
struct AnalyteFile {
    analyte: Vec<AnalyteRow>,
}

static METHODS: LazyLock<Vec<Method>> = LazyLock::new(|| {
    let file: MethodFile = toml::from_str(include_str!("../../data/methods.toml"))
        .expect("the embedded table of methods parses; a test reads it");
    file.method
        .into_iter()
        .map(|row| Method {
            id: row.id,
            name: row.name,
            aliases: row.aliases,
            basis: row.basis,
            source: row.source,
        })
        .collect()
});

static ANALYTES: LazyLock<Vec<Analyte>> = LazyLock::new(|| {
    let file: AnalyteFile = toml::from_str(include_str!("../../data/analytes.toml"))
        .expect("the embedded table of analytes parses; a test reads it");
    file.analyte.into_iter().map(built).collect()
});

fn built(row: AnalyteRow) -> Analyte {
    let known_unit = |symbol: &str| -> &'static Unit {
        parse_unit(symbol).expect("units of the embedded table are known; a test reads it")
    };
    let mut by: Vec<By> = row
        .by
        .into_iter()
        .map(|by| By {
            method: method(&by.method)
                .expect("methods of the embedded table are known; a test reads it"),
            unit: known_unit(&by.unit),
            possible: by.possible,
            usual: by.usual,
            source: by.source,
            aliases: by.aliases,
        })
        .collect();
    by.push(not_stated(&by));
    let ion = row.ion.zip(row.charge).map(|(formula, charge)| Ion {
        mg_per_cmol: mg_per_cmol(&formula, charge)
            .expect("ions of the embedded table are formulas; a test reads it"),
        formula,
        charge,
    });
    let forms = row.form.into_iter().map(|form| Form {
        element_share: element_in(&form.formula, &form.element)
            .expect("forms of the embedded table are formulas; a test reads it"),
        formula: form.formula,
        aliases: form.aliases,
    });
    Analyte {
        forms: forms.collect(),
        ion,
        dimensions: row.dimensions.iter().map(|name| dimension(name)).collect(),
        only_units: row.units.iter().map(|symbol| known_unit(symbol)).collect(),
        scale: match row.scale.as_str() {
            "linear" => Scale::Linear,
            "log" => Scale::Log,
            "logit" => Scale::Logit,
            other => unreachable!("the embedded table has only three scales, not {other}"),
        },
        id: row.id,
        name: row.name,
        symbol: row.symbol,
        aliases: row.aliases,
        decimals: row.decimals,
        by,
    }
}

/// An analyte by an unknown method: whatever any of its methods could give in the same unit.
fn not_stated(by: &[By]) -> By {
    let first = by.first().expect("every analyte of the embedded table has a method");
    let same_unit = || by.iter().filter(|b| b.unit.symbol == first.unit.symbol);
    let span = |range: fn(&By) -> (f64, f64)| {
        let low = same_unit().map(|b| range(b).0).fold(f64::INFINITY, f64::min);
        let high = same_unit().map(|b| range(b).1).fold(f64::NEG_INFINITY, f64::max);
        (low, high)
    };
    By {
        method: method(NOT_STATED).expect("the embedded table has the method that is not stated"),
        unit: first.unit,
        possible: span(|b| b.possible),
        usual: span(|b| b.usual),
        source: "common-practice".to_owned(),
        aliases: Vec::new(),
    }
}

fn dimension(name: &str) -> Dimension {
    match name {
        "mass-fraction" => Dimension::MassFraction,
        "mass-per-area" => Dimension::MassPerArea,
        "mass-per-volume" => Dimension::MassPerVolume,
        "charge-per-mass" => Dimension::ChargePerMass,
        "charge-per-volume" => Dimension::ChargePerVolume,
        "conductivity" => Dimension::Conductivity,
        "acidity" => Dimension::Acidity,
        "density" => Dimension::Density,
        "ratio" => Dimension::Ratio,
        other => unreachable!("the embedded table names only known dimensions, not {other}"),
    }
}
