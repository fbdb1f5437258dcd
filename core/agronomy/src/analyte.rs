//! What laboratories measure and by which method, and how both are printed.
//!
//! An analyte says what was measured, a method says how; a number means nothing without both.
//! Names are matched whole, never by likeness: a text that fits two analytes gives both back.

mod naming;
mod table;

use swardbook_units::{Dimension, Unit};

pub use naming::{Match, find_analyte, find_method};

/// The method of a reading whose laboratory does not say how it was made.
pub const NOT_STATED: &str = "not-stated";

/// On which scale the errors of an analyte are even.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scale {
    /// As it stands: acidity, density.
    Linear,
    /// By ratios: concentrations.
    Log,
    /// By odds: shares of a hundred.
    Logit,
}

/// A method: extractant, ratio and basis.
#[derive(Debug, PartialEq, Eq)]
pub struct Method {
    /// Key, such as `mehlich-3`.
    pub id: String,
    /// Name as we print it.
    pub name: String,
    /// Other ways it is printed.
    pub aliases: Vec<String>,
    /// What the number refers to.
    pub basis: String,
    /// Key of the publication that describes it.
    pub source: String,
}

/// A compound in which an element is sometimes reported, such as K2O.
#[derive(Debug, PartialEq)]
pub struct Form {
    /// The compound.
    pub formula: String,
    /// Ways it is printed.
    pub aliases: Vec<String>,
    /// Mass of the element in one unit of mass of the compound, computed from atomic weights.
    pub element_share: f64,
}

/// The ion an analyte is counted in, where charge and mass can be exchanged.
#[derive(Debug, PartialEq)]
pub struct Ion {
    /// Its formula without the charge.
    pub formula: String,
    /// Its charges.
    pub charge: u8,
    /// mg/kg for each cmol/kg, computed from atomic weights.
    pub mg_per_cmol: f64,
}

/// What is particular to one analyte by one method.
#[derive(Debug, PartialEq)]
pub struct By {
    /// The method.
    pub method: &'static Method,
    /// The unit that readings of this pair are kept and compared in.
    pub unit: &'static Unit,
    /// Lowest and highest value that can be, in that unit.
    pub possible: (f64, f64),
    /// Lowest and highest value that is usual, in that unit.
    pub usual: (f64, f64),
    /// Key of the publication behind the ranges.
    pub source: String,
    /// Ways this pair is printed in one name, such as `colwell p`.
    pub aliases: Vec<String>,
}

/// What is measured.
#[derive(Debug, PartialEq)]
pub struct Analyte {
    /// Key, such as `ph-water` or `k`.
    pub id: String,
    /// Name as we print it.
    pub name: String,
    /// Symbol as we print it.
    pub symbol: String,
    /// Other ways it is printed.
    pub aliases: Vec<String>,
    /// The ion, for an analyte that carries charge.
    pub ion: Option<Ion>,
    /// What its units may measure.
    pub dimensions: Vec<Dimension>,
    /// The only units it may have; empty when every unit of its dimensions will do.
    pub only_units: Vec<&'static Unit>,
    /// On which scale its errors are even.
    pub scale: Scale,
    /// Decimals worth showing in the unit it is kept in.
    pub decimals: usize,
    /// Compounds it is sometimes reported as.
    pub forms: Vec<Form>,
    /// The methods it is measured by.
    pub by: Vec<By>,
}

impl Analyte {
    /// What is particular to this analyte by a method; `None` when it is not measured so.
    #[must_use]
    pub fn by(&self, method: &Method) -> Option<&By> {
        self.by.iter().find(|by| by.method.id == method.id)
    }

    /// Whether a reading of this analyte may carry the unit.
    #[must_use]
    pub fn accepts(&self, unit: &Unit) -> bool {
        self.dimensions.contains(&unit.dimension)
            && (self.only_units.is_empty()
                || self.only_units.iter().any(|known| known.symbol == unit.symbol))
    }
}

/// Every analyte, in the order they are shown to people.
#[must_use]
pub fn analytes() -> &'static [Analyte] {
    table::analytes()
}

/// Every method.
#[must_use]
pub fn methods() -> &'static [Method] {
    table::methods()
}

/// An analyte by its key.
#[must_use]
pub fn analyte(id: &str) -> Option<&'static Analyte> {
    analytes().iter().find(|analyte| analyte.id == id)
}

/// A method by its key.
#[must_use]
pub fn method(id: &str) -> Option<&'static Method> {
    methods().iter().find(|method| method.id == id)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::find_source;

    #[test]
    fn the_tables_hold_together() {
        let mut ids = BTreeSet::new();
        for method in methods() {
            assert!(ids.insert(&method.id), "{} stands twice", method.id);
            assert!(find_source(&method.source).is_some(), "{}: source", method.id);
        }
        let mut ids = BTreeSet::new();
        for analyte in analytes() {
            assert!(ids.insert(&analyte.id), "{} stands twice", analyte.id);
            for by in &analyte.by {
                let pair = format!("{} by {}", analyte.id, by.method.id);
                assert!(analyte.accepts(by.unit), "{pair}: unit {}", by.unit.symbol);
                assert!(by.possible.0 <= by.usual.0, "{pair}: lower ends");
                assert!(by.usual.0 < by.usual.1, "{pair}: usual range is not empty");
                assert!(by.usual.1 <= by.possible.1, "{pair}: upper ends");
                assert!(find_source(&by.source).is_some(), "{pair}: source");
            }
        }
    }
}
