//! How turf grasses bear salt: the straight line of growth, and the published ratings.

use swardbook_units::{Conductivity, Percent, Source, Worked, Working};

use crate::{
    AgronomyError,
    error::{not_negative, positive},
    source,
};

const TOLERANCE: &str = "salt tolerance";

/// How one grass bears salt: no loss up to the threshold, then a straight line.
#[derive(Debug, Clone, PartialEq)]
pub struct SaltTolerance {
    /// `ECe` above which growth falls.
    pub threshold: Conductivity,
    /// Growth lost for each dS/m above the threshold, %.
    pub slope: f64,
    /// Where the two numbers are published.
    pub source: Source,
}

/// Thresholds and slopes remembered for grasses, by key.
///
/// # Source `maas-hoffman-1977`, from memory; perennial ryegrass is rated sensitive elsewhere
/// (`uddin-juraimi-2013`).
const REMEMBERED_TOLERANCE: &[(&str, f64, f64)] = &[
    ("bermudagrass", 6.9, 6.4),
    ("tall-fescue", 3.9, 5.3),
    ("perennial-ryegrass", 5.6, 7.6),
    ("crested-wheatgrass", 3.5, 4.0),
];

/// The remembered tolerance of a grass by its key, marked as from memory.
#[must_use]
pub fn remembered_tolerance(grass: &str) -> Option<SaltTolerance> {
    REMEMBERED_TOLERANCE.iter().find(|(id, ..)| *id == grass).map(|(_, threshold, slope)| {
        SaltTolerance {
            threshold: Conductivity(*threshold),
            slope: *slope,
            source: source("maas-hoffman-1977"),
        }
    })
}

/// Growth that is left at a salinity.
///
/// # Errors `Argument` for a negative conductivity or slope.
/// # Source `fao-61` for the form.
pub fn relative_yield(
    ece: Conductivity,
    tolerance: &SaltTolerance,
) -> Result<Worked<Percent>, AgronomyError> {
    let ece = not_negative(TOLERANCE, "ece", ece.value(), Conductivity::UNIT)?;
    let a = not_negative(TOLERANCE, "threshold", tolerance.threshold.value(), Conductivity::UNIT)?;
    let b = positive(TOLERANCE, "slope", tolerance.slope, "%/(dS/m)")?;
    let left = (100.0 - b * (ece - a).max(0.0)).max(0.0);
    let working = Working::new("Yr = 100 - b (ECe - a), 100 at or below a, never below 0")
        .given("ECe", ece, Conductivity::UNIT)
        .given("Threshold a", a, Conductivity::UNIT)
        .given("Slope b", b, "%/(dS/m)")
        .step("growth left", format!("100 - {b} x ({ece} - {a})"), left, "%")
        .source(source("fao-61"))
        .source(tolerance.source.clone())
        .caution("Growth, not looks; cultivars of one grass differ as much as grasses do.");
    Ok(Worked::new(Percent(left), working))
}

/// How turf grasses are rated for salt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ToleranceRating {
    /// Suffers below `ECe` 3.
    Sensitive,
    /// 3 to 6.
    ModeratelySensitive,
    /// 6 to 10.
    ModeratelyTolerant,
    /// Above 10.
    Tolerant,
}

/// Ratings of turf grasses, by key.
///
/// # Source `uddin-juraimi-2013`, Table 1; bermudagrass is printed as moderately sensitive to
/// moderately tolerant, and is given here as the more careful of the two.
const RATINGS: &[(&str, ToleranceRating)] = &[
    ("alkaligrass", ToleranceRating::Tolerant),
    ("seashore-paspalum", ToleranceRating::Tolerant),
    ("st-augustinegrass", ToleranceRating::Tolerant),
    ("zoysia-japonica", ToleranceRating::Tolerant),
    ("creeping-red-fescue", ToleranceRating::ModeratelyTolerant),
    ("hard-fescue", ToleranceRating::ModeratelyTolerant),
    ("tall-fescue", ToleranceRating::ModeratelyTolerant),
    ("buffalograss", ToleranceRating::ModeratelyTolerant),
    ("zoysia-matrella", ToleranceRating::ModeratelyTolerant),
    ("bermudagrass", ToleranceRating::ModeratelySensitive),
    ("annual-ryegrass", ToleranceRating::ModeratelySensitive),
    ("chewings-fescue", ToleranceRating::ModeratelySensitive),
    ("creeping-bentgrass", ToleranceRating::ModeratelySensitive),
    ("kentucky-bluegrass", ToleranceRating::ModeratelySensitive),
    ("bahiagrass", ToleranceRating::ModeratelySensitive),
    ("zoysia-tenuifolia", ToleranceRating::ModeratelySensitive),
    ("poa-annua", ToleranceRating::Sensitive),
    ("colonial-bentgrass", ToleranceRating::Sensitive),
    ("centipedegrass", ToleranceRating::Sensitive),
    ("perennial-ryegrass", ToleranceRating::Sensitive),
];

/// The published salt rating of a grass by its key.
///
/// # Source `uddin-juraimi-2013`; ratings differ by author, so it is cited with the rating.
#[must_use]
pub fn tolerance_rating(grass: &str) -> Option<(ToleranceRating, Source)> {
    let (_, rating) = RATINGS.iter().find(|(id, _)| *id == grass)?;
    Some((*rating, source("uddin-juraimi-2013")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn growth_is_whole_below_the_threshold_and_never_negative() {
        let grass =
            SaltTolerance { threshold: Conductivity(4.0), slope: 5.0, source: source("fao-61") };
        let left = |ece| relative_yield(Conductivity(ece), &grass).unwrap().value.value();
        assert!((left(4.0) - 100.0).abs() < 1e-12, "at the threshold");
        assert!((left(0.0) - 100.0).abs() < 1e-12, "below it");
        assert!(left(30.0).abs() < 1e-12, "nothing left");
    }

    #[test]
    fn ratings_carry_their_source() {
        let (rating, source) = tolerance_rating("seashore-paspalum").unwrap();
        assert_eq!(rating, ToleranceRating::Tolerant, "Table 1");
        assert_eq!(source.key, "uddin-juraimi-2013", "cited with the rating");
        assert_eq!(tolerance_rating("clover"), None, "not in the table");
    }
}
