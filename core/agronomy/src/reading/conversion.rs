//! A reading in another unit: by the ion, the compound, the layer or the scoop, or not at all.

use swardbook_units::{
    BulkDensity, Dimension, Unit, UnitError, Worked, Working, convert, parse_unit,
};

use super::{Ground, Reading, ReadingError};
use crate::{AgronomyError, error::positive, source};

impl Reading {
    /// The value of the element in the unit that this analyte and method are kept in.
    ///
    /// # Errors As [`Self::in_unit`].
    pub fn canonical(&self, ground: &Ground) -> Result<Worked<f64>, AgronomyError> {
        self.in_unit(self.by.unit, ground)
    }

    /// The value of the element in another unit: within a dimension, between mass and charge by
    /// the ion, between compound and element by atomic weights, and to mass over area or from a
    /// scooped volume where the ground is known.
    ///
    /// # Errors [`ReadingError::Conversion`] with what more would be needed; never a guess.
    /// # Source `atomic-weights` for masses of ions and compounds, `definition` otherwise.
    pub fn in_unit(
        &self,
        to: &'static Unit,
        ground: &Ground,
    ) -> Result<Worked<f64>, AgronomyError> {
        let mut working = Working::new("value x conversion").given(
            &self.analyte.name,
            self.value,
            self.unit.symbol,
        );
        let mut value = self.value;
        if let Some(form) = self.form {
            value *= form.element_share;
            working = working
                .step(
                    &format!("{} from {}", self.analyte.symbol, form.formula),
                    format!("{} x {:.5}", self.value, form.element_share),
                    value,
                    self.unit.symbol,
                )
                .source(source("atomic-weights"));
        }
        if to.symbol == self.unit.symbol {
            return Ok(Worked::new(value, working));
        }
        let (result, mut working) = if to.dimension == self.unit.dimension {
            let result = convert(value, self.unit, to).map_err(|e| self.refusal(to, &e))?;
            (result, working.source(source("definition")))
        } else if self.is_charge_only() {
            self.charge_over_volume(value, to, ground, working)?
        } else {
            let (content, working) = self.content_of(value, to, ground, working)?;
            self.of_content(content, to, ground, working)?
        };
        working = working.step(
            &format!("in {}", to.symbol),
            format!("{value:.6} {} in {}", self.unit.symbol, to.symbol),
            result,
            to.symbol,
        );
        Ok(Worked::new(result, working))
    }

    const fn is_charge_only(&self) -> bool {
        self.analyte.ion.is_none()
            && matches!(self.unit.dimension, Dimension::ChargePerMass | Dimension::ChargePerVolume)
    }

    /// Charge of a mixture (exchange capacity, acidity): only the scoop's density can bridge.
    fn charge_over_volume(
        &self,
        value: f64,
        to: &'static Unit,
        ground: &Ground,
        working: Working,
    ) -> Result<(f64, Working), AgronomyError> {
        match (self.unit.dimension, to.dimension) {
            (Dimension::ChargePerVolume, Dimension::ChargePerMass) => {
                let (density, working) = self.scoop(to, ground, working)?;
                let volume = self.within_dimension(value, self.unit, "meq/100 cm3", to)?;
                let per_mass = parsed("cmol/kg");
                let result = convert(volume / density, per_mass, to);
                Ok((result.map_err(|e| self.refusal(to, &e))?, working))
            }
            (Dimension::ChargePerMass, Dimension::ChargePerVolume) => {
                let (density, working) = self.scoop(to, ground, working)?;
                let mass = self.within_dimension(value, self.unit, "cmol/kg", to)?;
                let result = convert(mass * density, parsed("meq/100 cm3"), to);
                Ok((result.map_err(|e| self.refusal(to, &e))?, working))
            }
            _ => Err(self
                .conversion_error(
                    to,
                    "choose a unit of the same kind; a mixture of ions has no one mass",
                )
                .into()),
        }
    }

    /// The content in mg/kg of soil.
    fn content_of(
        &self,
        value: f64,
        to: &'static Unit,
        ground: &Ground,
        working: Working,
    ) -> Result<(f64, Working), AgronomyError> {
        match self.unit.dimension {
            Dimension::MassFraction => {
                Ok((self.within_dimension(value, self.unit, "mg/kg", to)?, working))
            }
            Dimension::ChargePerMass => {
                let charge = self.within_dimension(value, self.unit, "cmol/kg", to)?;
                let (factor, working) = self.ion(to, working)?;
                Ok((charge * factor, working))
            }
            Dimension::MassPerArea => {
                let (soil, working) = self.soil_over_area(to, ground, working)?;
                Ok((self.within_dimension(value, self.unit, "g/m2", to)? / soil, working))
            }
            Dimension::MassPerVolume => {
                let (density, working) = self.scoop(to, ground, working)?;
                Ok((self.within_dimension(value, self.unit, "mg/L", to)? / density, working))
            }
            Dimension::ChargePerVolume => {
                let (density, working) = self.scoop(to, ground, working)?;
                let (factor, working) = self.ion(to, working)?;
                let volume = self.within_dimension(value, self.unit, "meq/100 cm3", to)?;
                Ok((volume / density * factor, working))
            }
            _ => Err(self.conversion_error(to, "choose a unit of the same kind").into()),
        }
    }

    /// A content in mg/kg of soil in the wanted unit.
    fn of_content(
        &self,
        content: f64,
        to: &'static Unit,
        ground: &Ground,
        working: Working,
    ) -> Result<(f64, Working), AgronomyError> {
        let (amount, unit, working) = match to.dimension {
            Dimension::MassFraction => (content, "mg/kg", working),
            Dimension::ChargePerMass => {
                let (factor, working) = self.ion(to, working)?;
                (content / factor, "cmol/kg", working)
            }
            Dimension::MassPerArea => {
                let (soil, working) = self.soil_over_area(to, ground, working)?;
                (content * soil, "g/m2", working)
            }
            Dimension::MassPerVolume => {
                let (density, working) = self.scoop(to, ground, working)?;
                (content * density, "mg/L", working)
            }
            Dimension::ChargePerVolume => {
                let (density, working) = self.scoop(to, ground, working)?;
                let (factor, working) = self.ion(to, working)?;
                (content / factor * density, "meq/100 cm3", working)
            }
            _ => return Err(self.conversion_error(to, "choose a unit of the same kind").into()),
        };
        let result = convert(amount, parsed(unit), to).map_err(|e| self.refusal(to, &e))?;
        Ok((result, working))
    }

    fn ion(&self, to: &'static Unit, working: Working) -> Result<(f64, Working), AgronomyError> {
        let ion = self.analyte.ion.as_ref().ok_or_else(|| {
            self.conversion_error(to, "this analyte is not one ion, so its charge has no one mass")
        })?;
        let working = working
            .step(
                &format!("one cmol/kg of {}", self.analyte.symbol),
                format!("10 x molar mass of {} / {}", ion.formula, ion.charge),
                ion.mg_per_cmol,
                "mg/kg",
            )
            .source(source("atomic-weights"));
        Ok((ion.mg_per_cmol, working))
    }

    /// Grams of nutrient over a square metre for each mg/kg: layer in m times t/m3.
    fn soil_over_area(
        &self,
        to: &'static Unit,
        ground: &Ground,
        working: Working,
    ) -> Result<(f64, Working), AgronomyError> {
        let layer = ground.layer.ok_or_else(|| {
            self.conversion_error(to, "give the depth of soil and its bulk density")
        })?;
        let mass = layer.mass_over_area()?;
        // mg of nutrient in each kg of soil, kg of soil on each m2: a thousandth is grams.
        let factor = mass.value / 1000.0;
        let working = working.after(&mass.working).step(
            "g/m2 for each mg/kg",
            format!("{} kg/m2 / 1000", mass.value),
            factor,
            "g/m2",
        );
        Ok((factor, working))
    }

    fn scoop(
        &self,
        to: &'static Unit,
        ground: &Ground,
        working: Working,
    ) -> Result<(f64, Working), AgronomyError> {
        if self.by.method.id == "saturated-paste" {
            return Err(self
                .conversion_error(to, "a solution's content is not the soil's; keep it in mg/L")
                .into());
        }
        let density = ground
            .scoop_density
            .ok_or_else(|| self.conversion_error(to, "give the density of the scooped soil"))?;
        let density =
            positive("reading by volume", "scoop density", density.value(), BulkDensity::UNIT)?;
        let working = working
            .given("Density of the scooped soil", density, BulkDensity::UNIT)
            .source(source("definition"));
        Ok((density, working))
    }

    fn within_dimension(
        &self,
        value: f64,
        from: &'static Unit,
        hub: &'static str,
        to: &'static Unit,
    ) -> Result<f64, AgronomyError> {
        convert(value, from, parsed(hub)).map_err(|e| self.refusal(to, &e))
    }

    fn refusal(&self, to: &'static Unit, error: &UnitError) -> AgronomyError {
        let remedy = match error {
            UnitError::Mismatch { remedy, .. } => remedy,
            UnitError::Unknown(_) => "choose a unit that is known",
        };
        self.conversion_error(to, remedy).into()
    }

    fn conversion_error(&self, to: &'static Unit, remedy: &'static str) -> ReadingError {
        ReadingError::Conversion {
            analyte: &self.analyte.name,
            from: self.unit.symbol,
            to: to.symbol,
            remedy,
        }
    }
}

fn parsed(symbol: &str) -> &'static Unit {
    parse_unit(symbol).expect("the hub units stand in the table of units")
}

#[cfg(test)]
mod tests {
    use swardbook_units::{BulkDensity, Depth};

    use super::*;
    use crate::{
        analyte::{analyte, method},
        reading::{Qualifier, SoilLayer},
    };

    fn reading(what: &str, how: &str, value: f64, unit: &str) -> Result<Reading, ReadingError> {
        Reading::new(
            analyte(what).unwrap(),
            method(how).unwrap(),
            value,
            parse_unit(unit).unwrap(),
            Qualifier::Exact,
        )
    }

    fn turf() -> Ground {
        Ground {
            layer: Some(SoilLayer { thickness: Depth(100.0), bulk_density: BulkDensity(1.5) }),
            scoop_density: Some(BulkDensity(1.2)),
        }
    }

    fn check(what: &str, how: &str, value: f64, unit: &str, to: &str, expected: f64) {
        let got = reading(what, how, value, unit)
            .unwrap()
            .in_unit(parse_unit(to).unwrap(), &turf())
            .unwrap()
            .value;
        assert!(
            (got - expected).abs() <= expected.abs() * 1e-9 + 1e-12,
            "{value} {unit} of {what} is {got} {to}, not {expected}"
        );
    }

    #[test]
    fn every_bridge_between_units() {
        check("k", "mehlich-3", 0.2, "cmol/kg", "mg/kg", 0.2 * 390.983);
        check("k", "mehlich-3", 390.983, "mg/kg", "cmol/kg", 1.0);
        check("ca", "exchangeable", 40.078 * 5.0, "mg/kg", "cmol/kg", 1.0);
        check("k", "mehlich-3", 37.0, "mg/kg", "g/m2", 5.55);
        check("k", "mehlich-3", 55.5, "kg/ha", "mg/kg", 37.0);
        check("k", "mehlich-3", 120.0, "mg/L", "mg/kg", 100.0);
        check("k", "mehlich-3", 0.12, "meq/100 cm3", "cmol/kg", 0.1);
        check("k", "mehlich-3", 0.1, "cmol/kg", "meq/100 cm3", 0.12);
        check("cec", "exchangeable", 12.0, "meq/100 cm3", "cmol/kg", 10.0);
        check("cec", "exchangeable", 100.0, "mmol/kg", "cmol/kg", 10.0);
        check("organic-carbon", "combustion", 18.0, "g/kg", "%", 1.8);
        check("ec", "water-1-5", 150.0, "uS/cm", "dS/m", 0.15);
    }

    #[test]
    fn a_compound_becomes_its_element() {
        let k = analyte("k").unwrap();
        let as_oxide = reading("k", "mehlich-3", 100.0, "mg/kg").unwrap().reported_as(&k.forms[0]);
        let got = as_oxide.unwrap().canonical(&Ground::UNKNOWN).unwrap();
        assert!((got.value - 83.015).abs() < 0.001, "100 K2O is {} K", got.value);
        assert!(
            got.working.sources.iter().any(|s| s.key == "atomic-weights"),
            "on the word of the atomic weights"
        );
        let p = analyte("p").unwrap();
        let wrong = reading("k", "mehlich-3", 1.0, "mg/kg").unwrap().reported_as(&p.forms[0]);
        assert!(matches!(wrong, Err(ReadingError::Form { .. })), "K is not reported as P2O5");
    }

    #[test]
    fn what_cannot_be_converted_says_what_is_missing() {
        let refused = |what, how, value, unit, to, word: &str| {
            let error = reading(what, how, value, unit)
                .unwrap()
                .in_unit(parse_unit(to).unwrap(), &Ground::UNKNOWN)
                .unwrap_err();
            assert!(error.to_string().contains(word), "{error}");
            assert_eq!(error.argument(), "unit", "the unit stands in the way");
        };
        refused("k", "mehlich-3", 37.0, "mg/kg", "kg/ha", "bulk density");
        refused("k", "mehlich-3", 37.0, "mg/L", "mg/kg", "scooped");
        refused("p", "olsen", 20.0, "mg/kg", "cmol/kg", "not one ion");
        refused("cec", "exchangeable", 20.0, "cmol/kg", "mg/kg", "mixture");
        refused("na", "saturated-paste", 20.0, "mg/L", "mg/kg", "solution");
        refused("ph-water", "water-1-5", 6.0, "pH", "mg/kg", "same kind");
    }
}
