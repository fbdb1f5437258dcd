//! Organic matter and carbon, and the ratio of carbon to nitrogen.

use swardbook_units::{Percent, Worked, Working};

use crate::{
    AgronomyError,
    error::{positive, within},
    source,
};

/// Organic matter for each unit of organic carbon where nothing local is known.
///
/// # Source `rayment-lyons-2011`, which prints published factors from 1.72 to 2.2.
pub const ORGANIC_MATTER_FACTOR: f64 = 1.724;

const ORGANIC: &str = "organic matter";

/// Organic matter from organic carbon.
///
/// # Errors `Argument` for a carbon outside 0 to 60 %, or a factor outside 1 to 3.
/// # Source `rayment-lyons-2011`.
pub fn organic_matter(carbon: Percent, factor: f64) -> Result<Worked<Percent>, AgronomyError> {
    let carbon = within(ORGANIC, "organic_carbon", carbon.value(), "%", 0.0, 60.0)?;
    let factor = within(ORGANIC, "factor", factor, "", 1.0, 3.0)?;
    let matter = factor * carbon;
    let working = Working::new("organic matter = factor x organic carbon")
        .given("Organic carbon", carbon, "%")
        .given("Factor", factor, "")
        .step("organic matter", format!("{factor} x {carbon}"), matter, "%")
        .source(source("rayment-lyons-2011"))
        .caution(
            "Published factors run from 1.72 to 2.2: a matter worked out is not one measured.",
        );
    Ok(Worked::new(Percent(matter), working))
}

/// Organic carbon as combustion would read it, from a Walkley-Black reading.
///
/// # Errors `Argument` for a carbon outside 0 to 60 %.
/// # Source `rayment-lyons-2011`: combustion over Walkley-Black about 1.08.
pub fn combustion_from_walkley_black(carbon: Percent) -> Result<Worked<Percent>, AgronomyError> {
    let carbon = within(ORGANIC, "organic_carbon", carbon.value(), "%", 0.0, 60.0)?;
    let result = 1.08 * carbon;
    let working = Working::new("combustion = 1.08 x Walkley-Black")
        .given("Organic carbon by Walkley-Black", carbon, "%")
        .step("organic carbon by combustion", format!("1.08 x {carbon}"), result, "%")
        .source(source("rayment-lyons-2011"))
        .caution("Walkley-Black finds 75 to 90 % of the carbon; the share differs by soil.");
    Ok(Worked::new(Percent(result), working))
}

/// The rating of organic carbon.
///
/// # Errors `Argument` for a carbon outside 0 to 60 %.
/// # Source `rayment-lyons-2011`, north-eastern Australia.
pub fn carbon_rating(carbon: Percent) -> Result<Worked<&'static str>, AgronomyError> {
    let carbon = within(ORGANIC, "organic_carbon", carbon.value(), "%", 0.0, 60.0)?;
    let rating = match carbon {
        c if c < 0.5 => "very low",
        c if c < 1.5 => "low",
        c if c < 2.5 => "medium",
        c if c <= 5.0 => "high",
        _ => "very high",
    };
    let working = Working::new("rating of organic carbon: 0.5, 1.5, 2.5 and 5 %")
        .given("Organic carbon", carbon, "%")
        .source(source("rayment-lyons-2011"))
        .caution("Rated for north-eastern Australia; cool or wet ground holds more.");
    Ok(Worked::new(rating, working))
}

/// Carbon for each unit of nitrogen, by mass.
///
/// # Errors `Argument` when either is not above zero.
/// # Source `definition`.
pub fn carbon_to_nitrogen(
    carbon: Percent,
    nitrogen: Percent,
) -> Result<Worked<f64>, AgronomyError> {
    let c = positive(ORGANIC, "organic_carbon", carbon.value(), "%")?;
    let n = positive(ORGANIC, "total_n", nitrogen.value(), "%")?;
    let working = Working::new("C:N = organic carbon / total nitrogen")
        .given("Organic carbon", c, "%")
        .given("Total nitrogen", n, "%")
        .step("carbon to nitrogen", format!("{c} / {n}"), c / n, "")
        .source(source("definition"));
    Ok(Worked::new(c / n, working))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ratings_at_their_ends() {
        for (carbon, rating) in
            [(0.49, "very low"), (0.5, "low"), (1.5, "medium"), (5.0, "high"), (5.1, "very high")]
        {
            assert_eq!(carbon_rating(Percent(carbon)).unwrap().value, rating, "{carbon} %");
        }
    }

    #[test]
    fn a_factor_outside_the_published_ones_is_refused() {
        assert_eq!(organic_matter(Percent(2.0), 17.24).unwrap_err().argument(), "factor", "slip");
        assert_eq!(
            carbon_to_nitrogen(Percent(2.0), Percent(0.0)).unwrap_err().argument(),
            "total_n",
            "no nitrogen, no ratio"
        );
    }
}
