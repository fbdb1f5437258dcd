//! One number a laboratory reports, and its conversion to the unit it is kept in.

mod conversion;

use swardbook_units::{BulkDensity, Depth, Unit, Worked, Working};

use crate::{
    AgronomyError,
    analyte::{Analyte, By, Form, Method},
    error::positive,
    source,
};

/// Whether the number is the value or only a bound of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Qualifier {
    /// The value itself.
    Exact,
    /// Reported as `<`: the value is below the number.
    Below,
    /// Reported as `>`: the value is above the number.
    Above,
}

impl Qualifier {
    /// Parts the sign from a number as printed, such as `<0.1`.
    #[must_use]
    pub fn split(text: &str) -> (Self, &str) {
        let text = text.trim();
        for (signs, qualifier) in
            [(&["<=", "<", "\u{2264}"], Self::Below), (&[">=", ">", "\u{2265}"], Self::Above)]
        {
            for sign in signs {
                if let Some(rest) = text.strip_prefix(sign) {
                    return (qualifier, rest.trim_start());
                }
            }
        }
        (Self::Exact, text)
    }

    /// The sign as printed before the number.
    #[must_use]
    pub const fn sign(self) -> &'static str {
        match self {
            Self::Exact => "",
            Self::Below => "<",
            Self::Above => ">",
        }
    }
}

/// Why a reading cannot be taken or converted.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ReadingError {
    /// Not a number.
    #[error("{analyte}: the value is not a finite number")]
    Value {
        /// The analyte's name.
        analyte: &'static str,
    },
    /// The analyte is not measured by that method.
    #[error("{analyte} is not measured by {method}; choose its method or \"not stated\"")]
    Method {
        /// The analyte's name.
        analyte: &'static str,
        /// The method's name.
        method: &'static str,
    },
    /// The unit does not measure that analyte.
    #[error("{analyte} is not reported in {unit}; it is kept in {kept_in}")]
    Unit {
        /// The analyte's name.
        analyte: &'static str,
        /// The unit's symbol.
        unit: &'static str,
        /// The unit it is kept in.
        kept_in: &'static str,
    },
    /// The compound is not one the analyte is reported as.
    #[error("{analyte} is not reported as {formula}")]
    Form {
        /// The analyte's name.
        analyte: &'static str,
        /// The compound.
        formula: String,
    },
    /// The conversion needs something more.
    #[error("{analyte}: {from} cannot become {to}; {remedy}")]
    Conversion {
        /// The analyte's name.
        analyte: &'static str,
        /// Unit converted from.
        from: &'static str,
        /// Unit converted to.
        to: &'static str,
        /// What would make it possible.
        remedy: &'static str,
    },
}

impl ReadingError {
    pub(crate) const fn argument(&self) -> &'static str {
        match self {
            Self::Value { .. } => "value",
            Self::Method { .. } => "method",
            Self::Unit { .. } | Self::Conversion { .. } => "unit",
            Self::Form { .. } => "form",
        }
    }
}

/// One number a laboratory reports: what, how, how much, and whether it is only a bound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    analyte: &'static Analyte,
    by: &'static By,
    form: Option<&'static Form>,
    value: f64,
    unit: &'static Unit,
    qualifier: Qualifier,
}

/// The soil layer a sample stands for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SoilLayer {
    /// Thickness of the layer.
    pub thickness: Depth,
    /// Oven-dry mass over volume in place.
    pub bulk_density: BulkDensity,
}

impl SoilLayer {
    /// Oven-dry mass of the layer over area.
    ///
    /// # Units  kg/m2.
    /// # Errors `Argument` when the depth or the bulk density is not above zero.
    /// # Source `definition`.
    pub fn mass_over_area(&self) -> Result<Worked<f64>, AgronomyError> {
        const OPERATION: &str = "mass of a soil layer";
        let depth = positive(OPERATION, "depth", self.thickness.value(), Depth::UNIT)?;
        let density =
            positive(OPERATION, "bulk density", self.bulk_density.value(), BulkDensity::UNIT)?;
        // A millimetre of soil at 1 t/m3 is a kilogram on each square metre.
        let mass = depth * density;
        let working = Working::new("mass = depth x bulk density")
            .given("Depth", depth, Depth::UNIT)
            .given("Bulk density", density, BulkDensity::UNIT)
            .step("soil over area", format!("{depth} mm x {density} t/m3"), mass, "kg/m2")
            .source(source("definition"));
        Ok(Worked::new(mass, working))
    }
}

/// What is known of the soil beside the reading, for conversions that a factor cannot make.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ground {
    /// The layer, for mass over area.
    pub layer: Option<SoilLayer>,
    /// Density of the scooped soil in the laboratory, for mass over volume.
    pub scoop_density: Option<BulkDensity>,
}

impl Ground {
    /// Nothing is known beside the reading.
    pub const UNKNOWN: Self = Self { layer: None, scoop_density: None };
}

impl Reading {
    /// Takes a reading whose value is the element or quantity itself.
    ///
    /// # Errors [`ReadingError`] when the three do not belong together.
    pub fn new(
        analyte: &'static Analyte,
        method: &'static Method,
        value: f64,
        unit: &'static Unit,
        qualifier: Qualifier,
    ) -> Result<Self, ReadingError> {
        let name = analyte.name.as_str();
        if !value.is_finite() {
            return Err(ReadingError::Value { analyte: name });
        }
        let by = analyte
            .by(method)
            .ok_or(ReadingError::Method { analyte: name, method: method.name.as_str() })?;
        if !analyte.accepts(unit) {
            return Err(ReadingError::Unit {
                analyte: name,
                unit: unit.symbol,
                kept_in: by.unit.symbol,
            });
        }
        Ok(Self { analyte, by, form: None, value, unit, qualifier })
    }

    /// Says that the value is of a compound, such as K2O or nitrate.
    ///
    /// # Errors [`ReadingError::Form`] when the analyte is not reported so.
    pub fn reported_as(mut self, form: &'static Form) -> Result<Self, ReadingError> {
        if !self.analyte.forms.iter().any(|known| known == form) {
            return Err(ReadingError::Form {
                analyte: &self.analyte.name,
                formula: form.formula.clone(),
            });
        }
        self.form = Some(form);
        Ok(self)
    }

    /// The same number in another unit; `None` when the analyte is not reported so.
    pub(crate) fn with_unit(mut self, unit: &'static Unit) -> Option<Self> {
        self.unit = unit;
        self.analyte.accepts(unit).then_some(self)
    }

    /// The same reading with another number; `None` when it is not finite.
    pub(crate) fn with_value(mut self, value: f64) -> Option<Self> {
        self.value = value;
        value.is_finite().then_some(self)
    }

    /// The same number read as the element itself; always there, for chains with the others.
    pub(crate) const fn as_element(mut self) -> Option<Self> {
        self.form = None;
        Some(self)
    }

    /// What was measured.
    #[must_use]
    pub const fn analyte(&self) -> &'static Analyte {
        self.analyte
    }

    /// How it was measured.
    #[must_use]
    pub const fn method(&self) -> &'static Method {
        self.by.method
    }

    /// What is particular to this analyte by this method.
    #[must_use]
    pub const fn by(&self) -> &'static By {
        self.by
    }

    /// The compound the value is of, when it is not the element itself.
    #[must_use]
    pub const fn form(&self) -> Option<&'static Form> {
        self.form
    }

    /// The number as reported.
    #[must_use]
    pub const fn value(&self) -> f64 {
        self.value
    }

    /// The unit as reported.
    #[must_use]
    pub const fn unit(&self) -> &'static Unit {
        self.unit
    }

    /// Whether the number is only a bound.
    #[must_use]
    pub const fn qualifier(&self) -> Qualifier {
        self.qualifier
    }
}

#[cfg(test)]
mod tests {
    use swardbook_units::parse_unit;

    use super::*;
    use crate::analyte::{analyte, method};

    fn reading(what: &str, how: &str, value: f64, unit: &str) -> Result<Reading, ReadingError> {
        Reading::new(
            analyte(what).unwrap(),
            method(how).unwrap(),
            value,
            parse_unit(unit).unwrap(),
            Qualifier::Exact,
        )
    }

    #[test]
    fn a_reading_that_makes_no_sense_is_not_taken() {
        assert!(
            matches!(reading("fe", "olsen", 1.0, "mg/kg"), Err(ReadingError::Method { .. })),
            "method"
        );
        assert!(
            matches!(reading("k", "mehlich-3", 1.0, "dS/m"), Err(ReadingError::Unit { .. })),
            "unit"
        );
        assert!(
            matches!(
                reading("base-saturation", "calculated", 1.0, "mg/kg"),
                Err(ReadingError::Unit { .. })
            ),
            "share"
        );
        assert!(
            matches!(reading("k", "mehlich-3", f64::NAN, "mg/kg"), Err(ReadingError::Value { .. })),
            "number"
        );
        assert!(reading("k", "not-stated", 1.0, "mg/kg").is_ok(), "an unknown method is recorded");
    }

    #[test]
    fn signs_before_numbers() {
        for (text, expected) in [
            ("<0.1", (Qualifier::Below, "0.1")),
            ("< 0.1", (Qualifier::Below, "0.1")),
            ("\u{2264}5", (Qualifier::Below, "5")),
            (">= 200", (Qualifier::Above, "200")),
            (" 7.1 ", (Qualifier::Exact, "7.1")),
        ] {
            assert_eq!(Qualifier::split(text), expected, "{text:?}");
        }
    }
}
