//! Nutrient need of a zone: what the soil is short of, what the season uses, what is already planned.
//!
//! This module does not own which guideline applies (`guideline`, `interpret`) or which material brings
//! the nutrient (`materials`).

mod seasonal_use;

use swardbook_units::{Content, Dose, Worked, Working};

pub use seasonal_use::{GrassUse, PHOSPHORUS_TO_NITROGEN, use_from_nitrogen};

use crate::{
    AgronomyError,
    error::{not_negative, within},
    reading::{Qualifier, SoilLayer},
    source,
};

const NEED: &str = "nutrient need";

/// Standard normal quantile of the interval that is shown: nine in ten.
const NINE_IN_TEN: f64 = 1.645;

/// A reading as the need takes it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NeedReading {
    /// The extracted element.
    pub content: Content,
    /// Whether the number is only a bound.
    pub qualifier: Qualifier,
    /// Standard uncertainty of its natural logarithm; none where the scatter is unknown.
    pub log_deviation: Option<f64>,
}

/// What a nutrient need is worked out from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NeedInputs {
    /// The reading, by the guideline's own method.
    pub reading: NeedReading,
    /// The limit that is kept in the soil.
    pub limit: Content,
    /// The layer the sample stands for.
    pub layer: SoilLayer,
    /// What the grass uses this season and is carried off.
    pub season_use: Dose,
    /// What is already planned or put on.
    pub supply: Dose,
}

/// A need with its interval; all three as the element, none below zero.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Need {
    /// The need.
    pub need: Dose,
    /// Need if the reading is as high as it may well be.
    pub low: Dose,
    /// Need if the reading is as low as it may well be.
    pub high: Dose,
}

/// Nutrient need: (limit - reading) x bulk density x depth + use - supply, never below zero.
///
/// # Units  g/m2 of the element.
/// # Errors `Argument` naming what is negative or not above zero.
/// # Source `woods-2014` and `woods-2014-recommendation`: F = a + b - c, zero when below.
pub fn nutrient_need(inputs: &NeedInputs) -> Result<Worked<Need>, AgronomyError> {
    let reading = not_negative(NEED, "reading", inputs.reading.content.value(), Content::UNIT)?;
    let limit = not_negative(NEED, "limit", inputs.limit.value(), Content::UNIT)?;
    let layer = inputs.layer.mass_over_area()?;
    // mg/kg on so many kg/m2.
    let over_area = |content: f64| content * layer.value / 1000.0;
    let (held, reserve) = (over_area(reading), over_area(limit));
    let working = Working::default()
        .given("Limit kept in the soil", limit, Content::UNIT)
        .given("Reading", reading, Content::UNIT)
        .after(&layer.working)
        .step("limit over area", product(limit, layer.value), reserve, Dose::UNIT)
        .step("reading over area", product(reading, layer.value), held, Dose::UNIT);
    let central = need_from_amounts(inputs.season_use, Dose(reserve), Dose(held), inputs.supply)?;
    let mut working = working.after(&central.working);
    let (low_reading, high_reading) = reading_range(&inputs.reading, reading)?;
    let use_and_supply = inputs.season_use.value() - inputs.supply.value();
    let at = |content: f64| (reserve - over_area(content) + use_and_supply).max(0.0);
    // Ordered around the central value whatever the qualifier.
    let low = high_reading.map_or(0.0, at).min(central.value.value());
    let high = at(low_reading).max(central.value.value());
    working = working
        .step("least, if the reading is high", range_words(high_reading), low, Dose::UNIT)
        .step("most, if the reading is low", format!("reading {low_reading:.2}"), high, Dose::UNIT);
    working = match inputs.reading.qualifier {
        Qualifier::Below => working.caution(
            "The reading is only known to be below the number: the need is at least this, and at \
             most as if the soil held none.",
        ),
        Qualifier::Above => working
            .caution("The reading is only known to be above the number: the need is at most this."),
        Qualifier::Exact if inputs.reading.log_deviation.is_none() => working.caution(
            "The scatter of the reading is unknown: the interval is as narrow as the number itself \
             and should not be trusted.",
        ),
        Qualifier::Exact => working,
    };
    Ok(Worked::new(Need { need: central.value, low: Dose(low), high: Dose(high) }, working))
}

fn product(content: f64, mass: f64) -> String {
    format!("{content} mg/kg x {mass:.1} kg/m2 / 1000")
}

fn range_words(reading: Option<f64>) -> String {
    reading.map_or_else(|| "no upper end is known".to_owned(), |r| format!("reading {r:.2}"))
}

/// The lowest and the highest the reading may well be; no highest where it is only a lower bound.
fn reading_range(reading: &NeedReading, value: f64) -> Result<(f64, Option<f64>), AgronomyError> {
    let deviation =
        within(NEED, "log_deviation", reading.log_deviation.unwrap_or(0.0), "ln", 0.0, 3.0)?;
    let factor = (NINE_IN_TEN * deviation).exp();
    Ok(match reading.qualifier {
        Qualifier::Exact => (value / factor, Some(value * factor)),
        Qualifier::Below => (0.0, Some(value)),
        Qualifier::Above => (value, None),
    })
}

/// Nutrient need from amounts over area: use + kept in the soil - held by the soil - planned supply,
/// never below zero.
///
/// # Units  g/m2 of the element.
/// # Errors `Argument` naming the amount that is negative.
/// # Source `woods-2014-recommendation`.
pub fn need_from_amounts(
    season_use: Dose,
    reserve: Dose,
    held: Dose,
    supply: Dose,
) -> Result<Worked<Dose>, AgronomyError> {
    let a = not_negative(NEED, "season_use", season_use.value(), Dose::UNIT)?;
    let b = not_negative(NEED, "reserve", reserve.value(), Dose::UNIT)?;
    let c = not_negative(NEED, "held", held.value(), Dose::UNIT)?;
    let planned = not_negative(NEED, "supply", supply.value(), Dose::UNIT)?;
    let sum = a + b - c - planned;
    let need = sum.max(0.0);
    let mut working = Working::new("need = use + kept - held - planned, not below zero")
        .given("Use in the season", a, Dose::UNIT)
        .given("Kept in the soil", b, Dose::UNIT)
        .given("Held by the soil", c, Dose::UNIT)
        .given("Planned supply", planned, Dose::UNIT)
        .step("need", format!("{a} + {b:.3} - {c:.3} - {planned}"), need, Dose::UNIT)
        .source(source("woods-2014-recommendation"))
        .source(source("woods-2014"));
    if sum < 0.0 {
        working = working.caution("The soil holds more than is used and kept: none is needed.");
    }
    Ok(Worked::new(Dose(need), working))
}

#[cfg(test)]
mod tests {
    use swardbook_units::{BulkDensity, Depth};

    use super::*;

    const INPUTS: NeedInputs = NeedInputs {
        reading: NeedReading {
            content: Content(25.0),
            qualifier: Qualifier::Exact,
            log_deviation: Some(0.2),
        },
        limit: Content(37.0),
        layer: SoilLayer { thickness: Depth(100.0), bulk_density: BulkDensity(1.5) },
        season_use: Dose(5.0),
        supply: Dose(2.0),
    };

    #[test]
    fn the_reading_s_uncertainty_makes_the_interval() {
        let need = nutrient_need(&INPUTS).unwrap().value;
        // woods-2014-recommendation: mg/kg x 0.15 is g/m2 for 10 cm at 1.5 t/m3.
        assert!((need.need.value() - (12.0 * 0.15 + 3.0)).abs() < 1e-9, "{need:?}");
        let high_reading = 25.0 * (1.645_f64 * 0.2).exp();
        assert!((need.low.value() - ((37.0 - high_reading) * 0.15 + 3.0)).abs() < 1e-9, "low");
        assert!(need.high.value() > need.need.value(), "high");
    }

    #[test]
    fn a_bound_is_a_bound() {
        let reading = NeedReading { qualifier: Qualifier::Below, ..INPUTS.reading };
        let need = nutrient_need(&NeedInputs { reading, ..INPUTS }).unwrap().value;
        assert!((need.low.value() - need.need.value()).abs() < 1e-12, "at least");
        assert!((need.high.value() - (37.0 * 0.15 + 3.0)).abs() < 1e-9, "if it held none");
        let reading = NeedReading { qualifier: Qualifier::Above, ..INPUTS.reading };
        let need = nutrient_need(&NeedInputs { reading, ..INPUTS }).unwrap().value;
        assert!(need.low.value().abs() < 1e-12, "no lower end but none");
        assert!((need.high.value() - need.need.value()).abs() < 1e-12, "at most");
    }

    #[test]
    fn a_rich_soil_needs_none() {
        let reading = NeedReading { content: Content(500.0), ..INPUTS.reading };
        let worked = nutrient_need(&NeedInputs { reading, ..INPUTS }).unwrap();
        assert!(worked.value.need.value().abs() < 1e-12, "never below zero");
        assert!(worked.value.high.value().abs() < 1e-12, "nor its upper end");
    }

    #[test]
    fn a_negative_amount_is_named() {
        let error = nutrient_need(&NeedInputs { supply: Dose(-1.0), ..INPUTS }).unwrap_err();
        assert_eq!(error.argument(), "supply", "{error}");
    }
}
