//! Published limits, each bound to its extraction method and its source.
//!
//! A limit never meets a reading of another extractant; guidelines stand side by side and are never
//! blended.

mod table;

use swardbook_units::{Source, Unit, Worked, Working};

use crate::{
    AgronomyError,
    analyte::{Analyte, Method},
    reading::{Ground, Qualifier, Reading},
    source,
    texture::Texture,
};

/// What kind of grass ground it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum TurfKind {
    /// Lawn, verge, surrounds: mown ground for looks.
    Lawn,
    /// Ground that is played on.
    SportsField,
    /// Closely mown green.
    Green,
    /// Grazed grass.
    Pasture,
}

impl TurfKind {
    /// Every kind.
    pub const ALL: [Self; 4] = [Self::Lawn, Self::SportsField, Self::Green, Self::Pasture];

    /// Key, such as `sports-field`.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Lawn => "lawn",
            Self::SportsField => "sports-field",
            Self::Green => "green",
            Self::Pasture => "pasture",
        }
    }

    /// A kind by its key.
    #[must_use]
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.id() == id)
    }
}

/// A published set of limits.
#[derive(Debug, PartialEq)]
pub struct Guideline {
    /// Key, such as `mlsn-2014`.
    pub id: String,
    /// Its title in words.
    pub title: String,
    /// Which version of it.
    pub version: String,
    /// Where it is published.
    pub source: Source,
    /// What to mind before relying on it.
    pub cautions: Vec<String>,
    /// Its limits.
    pub limits: Vec<Limit>,
}

/// The limits of one analyte by named methods.
#[derive(Debug, PartialEq)]
pub struct Limit {
    /// What is measured.
    pub analyte: &'static Analyte,
    /// The methods it holds for.
    pub methods: Vec<&'static Method>,
    /// The unit it is printed in.
    pub unit: &'static Unit,
    /// Below this it is short.
    pub short_below: f64,
    /// From this on it is enough; equal to `short_below` where the guideline has no margin.
    pub enough_from: f64,
    /// Above this it is high, where the guideline says so.
    pub high_above: Option<f64>,
    /// The printed classes, from the lowest up; empty where there are none.
    pub classes: Vec<Class>,
    /// The ground it holds on; outside it the limit is not applied.
    pub only_on: Condition,
    /// The ground it was derived from; outside it the limit is applied with a caution.
    pub derived_on: Vec<ReadingRange>,
}

/// One printed class.
#[derive(Debug, PartialEq)]
pub struct Class {
    /// Its name.
    pub name: String,
    /// Its upper end in the limit's unit; the last class has none.
    pub to: Option<f64>,
}

/// The ground a limit holds on; an empty list holds everywhere.
#[derive(Debug, PartialEq)]
pub struct Condition {
    /// Texture classes.
    pub textures: Vec<Texture>,
    /// Kinds of turf.
    pub turf: Vec<TurfKind>,
    /// Readings of the same panel, from the lower end to below the upper end.
    pub readings: Vec<ReadingRange>,
}

/// A range that another reading of the panel falls in, in the unit that reading is kept in.
#[derive(Debug, PartialEq)]
pub struct ReadingRange {
    /// What is measured.
    pub analyte: &'static Analyte,
    /// Lower end.
    pub from: f64,
    /// Upper end.
    pub to: f64,
}

/// The limits of one analyte in the unit its readings are kept in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LimitValues {
    /// Below this it is short.
    pub short_below: f64,
    /// From this on it is enough.
    pub enough_from: f64,
    /// Above this it is high.
    pub high_above: Option<f64>,
    /// The unit.
    pub unit: &'static Unit,
}

/// Every guideline.
#[must_use]
pub fn guidelines() -> &'static [Guideline] {
    table::guidelines()
}

/// A guideline by its key.
#[must_use]
pub fn guideline(id: &str) -> Option<&'static Guideline> {
    guidelines().iter().find(|guideline| guideline.id == id)
}

/// lb/acre for each mg/kg of a furrow slice of two million pounds.
///
/// # Source `ohio-p-tests`, `soil-course-problems`.
const FURROW_SLICE_FACTOR: f64 = 2.0;

impl Limit {
    /// Whether the limit holds for readings by the method.
    #[must_use]
    pub fn holds_for(&self, method: &Method) -> bool {
        self.methods.iter().any(|known| known.id == method.id)
    }

    /// The name of the printed class that a value in the limit's own unit falls in.
    #[must_use]
    pub fn class_of(&self, value: f64) -> Option<&str> {
        self.classes
            .iter()
            .find(|class| class.to.is_none_or(|to| value <= to))
            .map(|class| class.name.as_str())
    }

    /// The limits in the unit that readings by the method are kept in.
    ///
    /// # Errors As the conversion of a reading; the embedded guidelines all convert.
    pub fn values_for(
        &self,
        method: &'static Method,
    ) -> Result<Worked<LimitValues>, AgronomyError> {
        let short = self.converted(self.short_below, method)?;
        let enough = self.converted(self.enough_from, method)?;
        let high = self.high_above.map(|high| self.converted(high, method)).transpose()?;
        let unit = self.analyte.by(method).map_or(self.unit, |by| by.unit);
        let values = LimitValues {
            short_below: short.value,
            enough_from: enough.value,
            high_above: high.map(|high| high.value),
            unit,
        };
        Ok(Worked::new(values, short.working))
    }

    fn converted(&self, value: f64, method: &'static Method) -> Result<Worked<f64>, AgronomyError> {
        if self.unit.symbol == "lb/acre" {
            let content = value / FURROW_SLICE_FACTOR;
            let working = Working::new("mg/kg = lb/acre / 2")
                .given("Limit as printed", value, self.unit.symbol)
                .step(
                    "limit by the printed factor of the furrow slice",
                    format!("{value} / {FURROW_SLICE_FACTOR}"),
                    content,
                    "mg/kg",
                )
                .source(source("ohio-p-tests"))
                .source(source("soil-course-problems"));
            return Ok(Worked::new(content, working));
        }
        let as_reading = Reading::new(self.analyte, method, value, self.unit, Qualifier::Exact)?;
        as_reading.canonical(&Ground::UNKNOWN)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analyte::method;

    fn limit(id: &str, analyte: &str) -> &'static Limit {
        guideline(id).unwrap().limits.iter().find(|l| l.analyte.id == analyte).unwrap()
    }

    #[test]
    fn every_limit_converts_for_each_of_its_methods_and_is_in_order() {
        for guideline in guidelines() {
            assert!(!guideline.limits.is_empty(), "{} has limits", guideline.id);
            for limit in &guideline.limits {
                let place = format!("{}: {}", guideline.id, limit.analyte.id);
                assert!(!limit.methods.is_empty(), "{place}: methods");
                for method in &limit.methods {
                    let values = limit.values_for(method).unwrap().value;
                    assert!(values.short_below <= values.enough_from, "{place}: margin");
                    assert!(
                        values.high_above.is_none_or(|high| high > values.enough_from),
                        "{place}: high"
                    );
                    let by = limit.analyte.by(method).unwrap();
                    assert!(
                        (by.possible.0..=by.possible.1).contains(&values.short_below),
                        "{place}: possible"
                    );
                }
                let ends: Vec<f64> = limit.classes.iter().filter_map(|c| c.to).collect();
                assert!(ends.is_sorted(), "{place}: classes rise");
            }
        }
    }

    #[test]
    fn no_guideline_from_memory_is_the_only_one_of_its_analyte_and_method_by_accident() {
        let remembered: Vec<&str> = guidelines()
            .iter()
            .filter(|g| g.source.confidence == swardbook_units::Confidence::FromMemory)
            .map(|g| g.id.as_str())
            .collect();
        assert_eq!(remembered, ["colwell-pasture"], "the only set that was not read");
    }

    #[test]
    fn limits_as_printed() {
        // woods-2014: K 37, P 21, Ca 331, Mg 47, S 7 mg/kg.
        for (analyte, printed) in
            [("k", 37.0), ("p", 21.0), ("ca", 331.0), ("mg", 47.0), ("s", 7.0)]
        {
            let limit = limit("mlsn-2014", analyte);
            let values = limit.values_for(method("mehlich-3").unwrap()).unwrap().value;
            assert!((values.short_below - printed).abs() < 1e-12, "{analyte}");
        }
        // rutgers-levels prints lb/acre: 82 is the lower end of medium K, 41 mg/kg.
        let k = limit("rutgers-mehlich-3", "k");
        let values = k.values_for(method("mehlich-3").unwrap()).unwrap();
        assert!((values.value.short_below - 41.0).abs() < 1e-12, "halved");
        assert_eq!(k.class_of(81.0), Some("low"), "as printed");
        assert_eq!(k.class_of(82.0), Some("medium"), "as printed");
        assert_eq!(k.class_of(300.0), Some("very high"), "open end");
        // rayment-lyons-2011 prints 0.2 cmol/kg, x 391 for mg/kg.
        let k = limit("bicarbonate-k", "k");
        let values = k.values_for(method("colwell").unwrap()).unwrap().value;
        assert!((values.short_below - 78.2).abs() < 0.01, "{values:?}");
    }
}
