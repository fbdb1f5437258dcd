//! What a laboratory measures and by which methods, for the entry of a panel.

use serde::Serialize;
use ts_rs::TS;

/// A method of an analyte.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct MethodLine {
    /// Id.
    pub id: String,
    /// Name.
    pub name: String,
    /// Unit that readings by it are kept and compared in.
    pub unit: String,
}

/// What is measured.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct AnalyteLine {
    /// Id.
    pub id: String,
    /// Name.
    pub name: String,
    /// Symbol.
    pub symbol: String,
    /// Units a reading may carry.
    pub units: Vec<String>,
    /// Methods it is measured by.
    pub methods: Vec<MethodLine>,
}

/// Every analyte, in the order they are shown to people.
#[must_use]
pub fn analytes() -> Vec<AnalyteLine> {
    swardbook_agronomy::analyte::analytes()
        .iter()
        .map(|analyte| AnalyteLine {
            id: analyte.id.clone(),
            name: analyte.name.clone(),
            symbol: analyte.symbol.clone(),
            units: swardbook_units::units()
                .iter()
                .filter(|unit| analyte.accepts(unit))
                .map(|unit| unit.symbol.to_owned())
                .collect(),
            methods: analyte
                .by
                .iter()
                .map(|by| MethodLine {
                    id: by.method.id.clone(),
                    name: by.method.name.clone(),
                    unit: by.unit.symbol.to_owned(),
                })
                .collect(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::analytes;

    #[test]
    fn every_analyte_can_be_typed_in_by_some_method_and_unit() {
        for analyte in analytes() {
            assert!(!analyte.methods.is_empty(), "{} has no method", analyte.id);
            for method in &analyte.methods {
                let known = analyte.units.contains(&method.unit);
                assert!(known, "{} by {} in {}", analyte.id, method.id, method.unit);
            }
        }
    }
}
