//! Acidity: the two scales and their conversion, means, classes.
//!
//! A converted pH is never shown without the scale that was measured and the spread that the
//! conversion adds.
//! This module does not own lime need.

use swardbook_units::{Ph, Worked, Working};

use crate::{AgronomyError, error::within, source};

/// The solution that a soil's pH is read in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum AcidityScale {
    /// Water, 1:5.
    Water,
    /// 0.01 M calcium chloride, 1:5.
    CalciumChloride,
}

impl AcidityScale {
    /// Key, the same as that of the analyte.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Water => "ph-water",
            Self::CalciumChloride => "ph-cacl2",
        }
    }

    /// Name in words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Water => "pH in water",
            Self::CalciumChloride => "pH in calcium chloride",
        }
    }
}

/// A pH and the scale it is on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScaledPh {
    /// The scale.
    pub scale: AcidityScale,
    /// The pH.
    pub ph: Ph,
}

impl ScaledPh {
    /// A pH in water.
    #[must_use]
    pub const fn water(ph: f64) -> Self {
        Self { scale: AcidityScale::Water, ph: Ph(ph) }
    }

    /// A pH in calcium chloride.
    #[must_use]
    pub const fn calcium_chloride(ph: f64) -> Self {
        Self { scale: AcidityScale::CalciumChloride, ph: Ph(ph) }
    }

    /// The same acidity on another scale; as it stands, without any spread, when it is on it.
    ///
    /// # Errors `Argument` when the pH is outside what the conversion takes.
    /// # Source As [`cacl2_from_water`].
    pub fn on(self, scale: AcidityScale) -> Result<Worked<ConvertedPh>, AgronomyError> {
        match (self.scale, scale) {
            (AcidityScale::Water, AcidityScale::CalciumChloride) => cacl2_from_water(self.ph),
            (AcidityScale::CalciumChloride, AcidityScale::Water) => water_from_cacl2(self.ph),
            _ => {
                let ph = within(SCALES, self.scale.argument(), self.ph.value(), "pH", 0.0, 14.0)?;
                Ok(Worked::new(ConvertedPh { ph: Ph(ph), half_width: 0.0 }, Working::default()))
            }
        }
    }
}

impl AcidityScale {
    const fn argument(self) -> &'static str {
        match self {
            Self::Water => "ph_water",
            Self::CalciumChloride => "ph_cacl2",
        }
    }
}

/// A pH on another scale than it was measured on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ConvertedPh {
    /// The most likely value.
    pub ph: Ph,
    /// Half of the range that published differences of the two scales span.
    pub half_width: f64,
}

impl ConvertedPh {
    /// Standard uncertainty that the conversion adds, taking every value within the half-width as
    /// equally likely.
    #[must_use]
    pub fn standard_uncertainty(self) -> f64 {
        self.half_width / 3.0_f64.sqrt()
    }
}

/// Slope of pH in 0.01 M calcium chloride on pH in water, both 1:5.
const CACL2_SLOPE: f64 = 1.05;
/// Intercept of the same line.
const CACL2_INTERCEPT: f64 = -0.9;
/// Half of the widest published range of differences (0.6 to 1.2; others 0.5 to 1.0).
const SCALE_HALF_WIDTH: f64 = 0.3;

const SCALES: &str = "acidity scale";

/// pH in 0.01 M calcium chloride, 1:5, from pH in water, 1:5.
///
/// # Errors `Argument` when the pH is outside 1.8 to 12.5.
/// # Source `conyers-davey-1988` for the line; the spread follows from the differences printed in
/// `rayment-lyons-2011`, `nsw-acidity-2021` and `dpird-acidity`.
pub fn cacl2_from_water(water: Ph) -> Result<Worked<ConvertedPh>, AgronomyError> {
    let water = within(SCALES, "ph_water", water.value(), "pH", 1.8, 12.5)?;
    let ph = CACL2_SLOPE * water + CACL2_INTERCEPT;
    let working = Working::new("pH(CaCl2) = 1.05 pH(water) - 0.9")
        .given("pH in water, 1:5", water, "pH")
        .step(
            "pH in calcium chloride",
            format!("{CACL2_SLOPE} x {water} - 0.9"),
            ph,
            "pH in 0.01 M CaCl2, 1:5",
        );
    Ok(Worked::new(ConvertedPh { ph: Ph(ph), half_width: SCALE_HALF_WIDTH }, scale_words(working)))
}

/// pH in water, 1:5, from pH in 0.01 M calcium chloride, 1:5.
///
/// # Errors `Argument` when the pH is outside 1.0 to 12.2.
/// # Source `conyers-davey-1988`, the same line solved for the other scale.
pub fn water_from_cacl2(cacl2: Ph) -> Result<Worked<ConvertedPh>, AgronomyError> {
    let cacl2 = within(SCALES, "ph_cacl2", cacl2.value(), "pH", 1.0, 12.2)?;
    let ph = (cacl2 - CACL2_INTERCEPT) / CACL2_SLOPE;
    let working = Working::new("pH(water) = (pH(CaCl2) + 0.9) / 1.05")
        .given("pH in calcium chloride, 1:5", cacl2, "pH")
        .step("pH in water", format!("({cacl2} + 0.9) / {CACL2_SLOPE}"), ph, "pH in water, 1:5");
    Ok(Worked::new(ConvertedPh { ph: Ph(ph), half_width: SCALE_HALF_WIDTH }, scale_words(working)))
}

fn scale_words(working: Working) -> Working {
    working
        .assumed(
            "Half-width of the conversion",
            SCALE_HALF_WIDTH,
            "pH",
            "computed from published differences of 0.5 to 1.2",
        )
        .source(source("conyers-davey-1988"))
        .source(source("rayment-lyons-2011"))
        .source(source("nsw-acidity-2021"))
        .source(source("dpird-acidity"))
        .caution("For soils that are not saline and carry net negative charge only.")
        .caution("Converted, not measured: about 0.3 pH either way is added by the conversion.")
}

/// pH in water, 1:5, from pH in water, 1:2.5.
///
/// # Errors `Argument` when the pH is outside 1.8 to 12.5.
/// # Source `kabala-2016`.
pub fn water_1_5_from_1_2_5(ph: Ph) -> Result<Worked<Ph>, AgronomyError> {
    let ph = within(SCALES, "ph_water_2_5", ph.value(), "pH", 1.8, 12.5)?;
    let result = 0.14 + 0.99 * ph;
    let working = Working::new("pH(1:5) = 0.14 + 0.99 pH(1:2.5)")
        .given("pH in water, 1:2.5", ph, "pH")
        .step("pH in water, 1:5", format!("0.14 + 0.99 x {ph}"), result, "pH")
        .source(source("kabala-2016"))
        .caution("One set of soils; the two ratios differ by less than laboratories do.");
    Ok(Worked::new(Ph(result), working))
}

/// Means of several pH readings, both ways, and the lowest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeanPh {
    /// Mean of the readings, the one used.
    pub of_readings: Ph,
    /// pH of the mean hydrogen-ion activity, as a mixed bag would read.
    pub of_acidity: Ph,
    /// The most acid reading.
    pub lowest: Ph,
}

/// Means of pH readings of cores that were read one by one.
///
/// Sources disagree on which mean to take, so both are given.
///
/// # Errors `Missing` without readings, `Argument` for one outside 0 to 14.
/// # Source `rayment-lyons-2011` for the mean of acidity.
pub fn mean_ph(readings: &[Ph]) -> Result<Worked<MeanPh>, AgronomyError> {
    const OPERATION: &str = "mean pH";
    if readings.is_empty() {
        return Err(AgronomyError::Missing {
            operation: OPERATION,
            argument: "ph",
            remedy: "give at least one reading",
        });
    }
    let mut sum = 0.0;
    let mut activity = 0.0;
    let mut lowest = f64::INFINITY;
    let mut count = 0.0;
    let mut working = Working::new("mean of readings = sum(pH) / n")
        .caution("One acid core can rule a mixed bag: look at the lowest reading too.");
    working.equation.push("pH of mean acidity = -log10(sum(10^-pH) / n)".to_owned());
    for reading in readings {
        let ph = within(OPERATION, "ph", reading.value(), "pH", 0.0, 14.0)?;
        sum += ph;
        activity += 10.0_f64.powf(-ph);
        lowest = lowest.min(ph);
        count += 1.0;
        working = working.given("pH", ph, "pH");
    }
    let of_readings = sum / count;
    let of_acidity = -(activity / count).log10();
    let working = working
        .step("mean of readings", format!("{sum:.2} / {count}"), of_readings, "pH")
        .step("pH of mean acidity", format!("-log10({activity:.3e} / {count})"), of_acidity, "pH")
        .source(source("rayment-lyons-2011"));
    Ok(Worked::new(
        MeanPh { of_readings: Ph(of_readings), of_acidity: Ph(of_acidity), lowest: Ph(lowest) },
        working,
    ))
}

/// Upper end and name of each class of pH in water, 1:5.
///
/// # Source `rayment-lyons-2011`: ultra acid 1.8-3.4, extremely 3.5-4.4, very strongly 4.5-5.0,
/// strongly 5.1-5.5, moderately 5.6-6.0, slightly 6.1-6.5, neutral 6.6-7.3, slightly alkaline
/// 7.4-7.8, moderately 7.9-8.4, strongly 8.5-9.0, very strongly to 10, ultra above.
const CLASSES: &[(f64, &str)] = &[
    (3.4, "ultra acid"),
    (4.4, "extremely acid"),
    (5.0, "very strongly acid"),
    (5.5, "strongly acid"),
    (6.0, "moderately acid"),
    (6.5, "slightly acid"),
    (7.3, "neutral"),
    (7.8, "slightly alkaline"),
    (8.4, "moderately alkaline"),
    (9.0, "strongly alkaline"),
    (10.0, "very strongly alkaline"),
    (14.0, "ultra alkaline"),
];

/// The class of a pH in water, 1:5; the classes are printed to one decimal, so the pH is rounded
/// to one first.
///
/// # Errors `Argument` when the pH is outside 1.8 to 14.
/// # Source `rayment-lyons-2011`.
pub fn water_class(ph: Ph) -> Result<Worked<&'static str>, AgronomyError> {
    let ph = within("class of acidity", "ph_water", ph.value(), "pH", 1.8, 14.0)?;
    let printed = (ph * 10.0).round() / 10.0;
    let name = CLASSES
        .iter()
        // Printed limits and a value rounded the same way differ by rounding error only.
        .find(|(upper, _)| printed <= upper + 1e-9)
        .map_or("ultra alkaline", |(_, name)| name);
    let working = Working::new("class whose printed range holds the pH")
        .given("pH in water, 1:5", ph, "pH")
        .step("to one decimal, as the classes are printed", format!("{ph}"), printed, "pH")
        .source(source("rayment-lyons-2011"))
        .caution("The classes are for pH in water, 1:5; they describe, they do not prescribe.");
    Ok(Worked::new(name, working))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_two_scales_and_back() {
        for water in [4.0, 5.2, 6.0, 7.5] {
            let cacl2 = cacl2_from_water(Ph(water)).unwrap().value.ph;
            let back = water_from_cacl2(cacl2).unwrap().value.ph.value();
            assert!((back - water).abs() < 1e-12, "{water} and back");
        }
        // rayment-lyons-2011, Queensland points: water 5.0-5.4 is about 4.6, water 4.0 about 3.5.
        // The line lies inside the half-width of both.
        let near = |water: f64, printed: f64| {
            let converted = cacl2_from_water(Ph(water)).unwrap().value;
            assert!((converted.ph.value() - printed).abs() <= converted.half_width, "{water}");
        };
        near(5.2, 4.6);
        near(4.0, 3.5);
        let spread = cacl2_from_water(Ph(6.0)).unwrap().value.standard_uncertainty();
        assert!((spread - 0.173).abs() < 0.001, "half-width over root three");
    }

    #[test]
    fn classes_at_their_printed_ends() {
        for (ph, class) in [
            (3.4, "ultra acid"),
            (3.5, "extremely acid"),
            (4.44, "extremely acid"),
            (5.04, "very strongly acid"),
            (5.06, "strongly acid"),
            (6.5, "slightly acid"),
            (6.6, "neutral"),
            (7.3, "neutral"),
            (9.0, "strongly alkaline"),
            (9.1, "very strongly alkaline"),
            (10.1, "ultra alkaline"),
        ] {
            assert_eq!(water_class(Ph(ph)).unwrap().value, class, "pH {ph}");
        }
    }

    #[test]
    fn what_is_no_ph_is_refused_by_name() {
        assert_eq!(cacl2_from_water(Ph(60.0)).unwrap_err().argument(), "ph_water", "too high");
        assert_eq!(water_class(Ph(f64::NAN)).unwrap_err().argument(), "ph_water", "no number");
        assert_eq!(mean_ph(&[]).unwrap_err().argument(), "ph", "nothing to average");
    }
}
