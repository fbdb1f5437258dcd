//! The units people and laboratories write, and conversion within one dimension.
//!
//! Conversion between dimensions (mg/kg to cmol/kg, mg/kg to kg/ha) needs more than a factor and
//! is not here.

/// What a unit measures; conversion happens only inside one of these.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Dimension {
    /// Mass.
    Mass,
    /// Length or depth.
    Length,
    /// Area.
    Area,
    /// Volume.
    Volume,
    /// Mass over area.
    MassPerArea,
    /// Volume of liquid over area.
    VolumePerArea,
    /// Mass over mass of soil or material.
    MassFraction,
    /// Mass over volume of soil or solution.
    MassPerVolume,
    /// Charge over mass of soil.
    ChargePerMass,
    /// Charge over volume of soil or solution.
    ChargePerVolume,
    /// Electrical conductivity.
    Conductivity,
    /// Soil mass over soil volume.
    Density,
    /// Acidity.
    Acidity,
    /// Temperature.
    Temperature,
    /// Length of time.
    Time,
    /// A pure number.
    Ratio,
}

/// One unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// The symbol we print.
    pub symbol: &'static str,
    /// What it measures.
    pub dimension: Dimension,
    /// Canonical units in one of this, exact where the definition is.
    pub factor: f64,
    /// Added after multiplying; only temperature has one.
    pub offset: f64,
    /// Other ways it is written, lower case, without spaces.
    aliases: &'static [&'static str],
}

/// International avoirdupois pound, kg, exact (international yard and pound agreement 1959).
const LB: f64 = 0.453_592_37;
/// International foot, m, exact (the same agreement).
const FT: f64 = 0.3048;
/// International acre, m2: 43,560 square feet.
const ACRE: f64 = 43_560.0 * FT * FT;
/// US liquid gallon, L: 231 cubic inches.
const GALLON: f64 = 231.0 * 0.254 * 0.254 * 0.254;

const fn unit(
    symbol: &'static str,
    dimension: Dimension,
    factor: f64,
    aliases: &'static [&'static str],
) -> Unit {
    Unit { symbol, dimension, factor, offset: 0.0, aliases }
}

/// Canonical units: kg, m, m2, L, g/m2, L/m2, mg/kg, mg/L, cmol/kg, cmol/L, dS/m, t/m3, pH,
/// degrees Celsius, day.
const UNITS: &[Unit] = &[
    unit("kg", Dimension::Mass, 1.0, &["kilogram", "kilograms", "kgs"]),
    unit("g", Dimension::Mass, 1e-3, &["gram", "grams"]),
    unit("t", Dimension::Mass, 1e3, &["tonne", "tonnes"]),
    unit("lb", Dimension::Mass, LB, &["lbs", "pound", "pounds"]),
    unit("oz", Dimension::Mass, LB / 16.0, &["ounce", "ounces"]),
    unit("US ton", Dimension::Mass, 2000.0 * LB, &["uston", "shortton", "ustons"]),
    unit("m", Dimension::Length, 1.0, &["metre", "meter", "metres", "meters"]),
    unit("mm", Dimension::Length, 1e-3, &[]),
    unit("cm", Dimension::Length, 1e-2, &[]),
    unit("in", Dimension::Length, FT / 12.0, &["inch", "inches", "\""]),
    unit("ft", Dimension::Length, FT, &["foot", "feet"]),
    unit("m2", Dimension::Area, 1.0, &["m\u{b2}", "sqm", "m^2"]),
    unit("100 m2", Dimension::Area, 100.0, &["100m\u{b2}", "are"]),
    unit("ha", Dimension::Area, 1e4, &["hectare", "hectares"]),
    unit("ft2", Dimension::Area, FT * FT, &["ft\u{b2}", "sqft", "ft^2"]),
    unit("1000 ft2", Dimension::Area, 1000.0 * FT * FT, &["1000ft\u{b2}", "1000sqft"]),
    unit("yd2", Dimension::Area, 9.0 * FT * FT, &["yd\u{b2}", "sqyd"]),
    unit("acre", Dimension::Area, ACRE, &["acres", "ac"]),
    unit("L", Dimension::Volume, 1.0, &["litre", "liter", "litres", "liters"]),
    unit("mL", Dimension::Volume, 1e-3, &[]),
    unit("US gal", Dimension::Volume, GALLON, &["usgallon", "gal"]),
    unit("g/m2", Dimension::MassPerArea, 1.0, &["g/m\u{b2}", "g/sqm", "gm-2"]),
    unit("kg/ha", Dimension::MassPerArea, 0.1, &["kgha-1"]),
    unit("t/ha", Dimension::MassPerArea, 100.0, &["tonnes/ha", "tha-1"]),
    unit("kg/100 m2", Dimension::MassPerArea, 10.0, &["kg/100m\u{b2}", "kg/100sqm"]),
    unit("kg/m2", Dimension::MassPerArea, 1000.0, &["kg/m\u{b2}"]),
    unit(
        "lb/1000 ft2",
        Dimension::MassPerArea,
        LB / (FT * FT),
        &["lb/1000ft\u{b2}", "lb/1000sqft", "lbs/1000ft2", "lb/m"],
    ),
    unit("lb/100 ft2", Dimension::MassPerArea, 10.0 * LB / (FT * FT), &["lb/100ft\u{b2}"]),
    unit("lb/acre", Dimension::MassPerArea, 1000.0 * LB / ACRE, &["lbs/acre", "lb/ac", "lb/a"]),
    unit(
        "US ton/acre",
        Dimension::MassPerArea,
        2_000_000.0 * LB / ACRE,
        &["uston/ac", "ton/acre", "tons/acre", "ton/ac"],
    ),
    unit("oz/yd2", Dimension::MassPerArea, 1000.0 * LB / 16.0 / (9.0 * FT * FT), &["oz/yd\u{b2}"]),
    unit("L/m2", Dimension::VolumePerArea, 1.0, &["l/m\u{b2}"]),
    unit("mL/m2", Dimension::VolumePerArea, 1e-3, &["ml/m\u{b2}"]),
    unit("L/ha", Dimension::VolumePerArea, 1e-4, &[]),
    unit(
        "US gal/1000 ft2",
        Dimension::VolumePerArea,
        GALLON / (1000.0 * FT * FT),
        &["gal/1000ft2", "gal/1000ft\u{b2}"],
    ),
    unit(
        "mg/kg",
        Dimension::MassFraction,
        1.0,
        &["ppm", "\u{b5}g/g", "ug/g", "mgkg-1", "ppm(w/w)", "mg/kgsoil"],
    ),
    unit("g/kg", Dimension::MassFraction, 1e3, &["gkg-1"]),
    unit("g/100 g", Dimension::MassFraction, 1e4, &[]),
    unit("%", Dimension::MassFraction, 1e4, &["percent", "pct", "%w/w", "wt%"]),
    unit("mg/100 g", Dimension::MassFraction, 10.0, &[]),
    unit("\u{b5}g/kg", Dimension::MassFraction, 1e-3, &["ug/kg", "ppb"]),
    unit("mg/L", Dimension::MassPerVolume, 1.0, &["mg/dm3", "g/m3"]),
    unit("g/L", Dimension::MassPerVolume, 1e3, &[]),
    unit(
        "cmol/kg",
        Dimension::ChargePerMass,
        1.0,
        &[
            "cmol(+)/kg",
            "cmol+/kg",
            "cmol(-)/kg",
            "cmolc/kg",
            "cmolkg-1",
            "meq/100g",
            "me/100g",
            "me%",
            "meq%",
            "meq/100gm",
            "cmol(p+)/kg",
        ],
    ),
    unit("mmol/kg", Dimension::ChargePerMass, 0.1, &["mmol(+)/kg", "mmolc/kg", "meq/kg"]),
    unit("meq/100 cm3", Dimension::ChargePerVolume, 10.0, &["meq/100cm\u{b3}", "cmol(+)/l"]),
    unit("dS/m", Dimension::Conductivity, 1.0, &["ms/cm", "mmho/cm", "mmhos/cm", "ds/m(1:5)"]),
    unit("mS/m", Dimension::Conductivity, 1e-2, &[]),
    unit("\u{b5}S/cm", Dimension::Conductivity, 1e-3, &["us/cm", "umho/cm", "\u{b5}mho/cm"]),
    unit(
        "t/m3",
        Dimension::Density,
        1.0,
        &["g/cm3", "g/cm\u{b3}", "t/m\u{b3}", "mg/m3", "g/cc", "g/ml"],
    ),
    unit("kg/m3", Dimension::Density, 1e-3, &["kg/m\u{b3}"]),
    unit("lb/ft3", Dimension::Density, 1e-3 * LB / (FT * FT * FT), &["lb/ft\u{b3}"]),
    unit("pH", Dimension::Acidity, 1.0, &["ph-units", "phunits", "phunit"]),
    Unit {
        symbol: "\u{b0}C",
        dimension: Dimension::Temperature,
        factor: 1.0,
        offset: 0.0,
        aliases: &["c", "degc", "celsius"],
    },
    Unit {
        symbol: "\u{b0}F",
        dimension: Dimension::Temperature,
        factor: 5.0 / 9.0,
        offset: -160.0 / 9.0,
        aliases: &["f", "degf", "fahrenheit"],
    },
    unit("d", Dimension::Time, 1.0, &["day", "days"]),
    unit("week", Dimension::Time, 7.0, &["weeks", "wk"]),
    unit("h", Dimension::Time, 1.0 / 24.0, &["hour", "hours"]),
    unit("", Dimension::Ratio, 1.0, &["-", "1", "ratio", "index", "none", "unitless"]),
];

/// Why a unit could not be read or two could not be converted.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum UnitError {
    /// Not a unit we know.
    #[error(
        "\"{0}\" is not a unit Swardbook knows; write it as in mg/kg, cmol/kg, dS/m, g/m2 or %"
    )]
    Unknown(String),
    /// Two units that do not measure the same thing.
    #[error("{from} and {to} do not measure the same thing; {remedy}")]
    Mismatch {
        /// Unit converted from.
        from: String,
        /// Unit converted to.
        to: String,
        /// What would make it possible.
        remedy: &'static str,
    },
}

/// Every unit, in the order they are listed to people.
#[must_use]
pub const fn units() -> &'static [Unit] {
    UNITS
}

/// Finds a unit by any of the ways it is written; spaces and letter case do not matter except in
/// `mS/m` against `MS/M`, which nobody writes.
///
/// # Errors
/// [`UnitError::Unknown`] with the text as written.
pub fn parse_unit(text: &str) -> Result<&'static Unit, UnitError> {
    let key = fold(text);
    UNITS
        .iter()
        .find(|u| fold(u.symbol) == key || u.aliases.contains(&key.as_str()))
        .ok_or_else(|| UnitError::Unknown(text.trim().to_owned()))
}

fn fold(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_whitespace())
        .flat_map(char::to_lowercase)
        .map(|c| match c {
            '\u{3bc}' => '\u{b5}',
            '\u{207a}' => '+',
            c => c,
        })
        .collect()
}

/// Converts within one dimension.
///
/// # Errors
/// [`UnitError::Mismatch`] naming what more would be needed.
pub fn convert(value: f64, from: &Unit, to: &Unit) -> Result<f64, UnitError> {
    if from.dimension != to.dimension {
        return Err(UnitError::Mismatch {
            from: from.symbol.to_owned(),
            to: to.symbol.to_owned(),
            remedy: remedy(from.dimension, to.dimension),
        });
    }
    Ok(((value * from.factor + from.offset) - to.offset) / to.factor)
}

const fn remedy(from: Dimension, to: Dimension) -> &'static str {
    use Dimension::{ChargePerMass, ChargePerVolume, MassFraction, MassPerArea, MassPerVolume};
    match (from, to) {
        (MassFraction, MassPerArea) | (MassPerArea, MassFraction) => {
            "give the depth of soil and its bulk density"
        }
        (MassFraction, ChargePerMass) | (ChargePerMass, MassFraction) => "name the element",
        (MassPerVolume | ChargePerVolume, MassFraction | ChargePerMass)
        | (MassFraction | ChargePerMass, MassPerVolume | ChargePerVolume) => {
            "give the density of the scooped soil"
        }
        _ => "choose a unit of the same kind",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(value: f64, from: &str, to: &str, expected: f64, tolerance: f64) {
        let got = convert(value, parse_unit(from).unwrap(), parse_unit(to).unwrap()).unwrap();
        assert!(
            (got - expected).abs() <= tolerance,
            "{value} {from} is {got} {to}, not {expected}"
        );
    }

    #[test]
    fn published_conversions() {
        // NIST SP 811 (2008), appendix B.8: pound, foot, acre.
        check(1.0, "lb", "kg", 0.453_592_37, 1e-12);
        check(1.0, "acre", "m2", 4_046.856_422_4, 1e-6);
        // NIST SP 811: US liquid gallon 3.785 412 L.
        check(1.0, "US gal", "L", 3.785_412, 5e-7);
        // 1 t/ha = 100 g/m2 = 892.18 lb/acre = 20.48 lb/1000 ft2 (arithmetic on the above).
        check(1.0, "t/ha", "lb/acre", 892.18, 0.01);
        check(1.0, "t/ha", "lb/1000 ft2", 20.48, 0.005);
        check(50.0, "lb/1000 ft2", "g/m2", 244.12, 0.01);
        check(1.0, "US ton/acre", "t/ha", 2.2417, 1e-4);
        check(1.0, "dS/m", "\u{b5}S/cm", 1000.0, 1e-9);
        check(1.0, "dS/m", "mS/m", 100.0, 1e-9);
        check(5.5, "\u{b0}C", "\u{b0}F", 41.9, 1e-9);
        check(1.33, "g/cm3", "lb/ft3", 83.03, 0.01);
    }

    #[test]
    fn every_unit_round_trips_and_is_found_by_every_name() {
        for u in units() {
            assert_eq!(parse_unit(u.symbol).unwrap().symbol, u.symbol, "by symbol");
            for alias in u.aliases {
                assert_eq!(parse_unit(alias).unwrap().symbol, u.symbol, "by alias {alias}");
                assert_eq!(fold(alias), *alias, "aliases are stored folded");
            }
            for v in units().iter().filter(|v| v.dimension == u.dimension) {
                let back = convert(convert(3.7, u, v).unwrap(), v, u).unwrap();
                assert!((back - 3.7).abs() < 1e-9, "{} to {} and back", u.symbol, v.symbol);
            }
        }
    }

    #[test]
    fn a_mismatch_names_what_is_needed() {
        let error =
            convert(1.0, parse_unit("mg/kg").unwrap(), parse_unit("kg/ha").unwrap()).unwrap_err();
        assert!(error.to_string().contains("bulk density"), "{error}");
    }
}
