//! A baseline in water against a retest in calcium chloride, or the other way.

use swardbook_agronomy::{
    acidity::{AcidityScale, ScaledPh},
    comparison::Converted,
    reading::{Ground, Qualifier, Reading},
};
use swardbook_units::Ph;

use crate::Problem;

/// The retest's pH of the other scale brought to the baseline's, where each sample has only one of
/// the two; both must be read at 1:5, which is what the published relation is for.
pub(super) fn other_scale(
    earlier: &Reading,
    before: &[Reading],
    after: &[Reading],
) -> Result<Option<(Reading, Converted)>, Problem> {
    let Some(wanted) = scale_of(earlier) else { return Ok(None) };
    let has = |readings: &[Reading], scale| readings.iter().any(|r| scale_of(r) == Some(scale));
    let Some(later) = after.iter().find(|r| scale_of(r).is_some_and(|scale| scale != wanted))
    else {
        return Ok(None);
    };
    let measured = scale_of(later).unwrap_or(wanted);
    if has(before, measured) || has(after, wanted) || later.qualifier() != Qualifier::Exact {
        return Ok(None);
    }
    let ph = later.canonical(&Ground::UNKNOWN)?.value;
    let worked = ScaledPh { scale: measured, ph: Ph(ph) }.on(wanted)?;
    let converted = worked.value;
    let reading = Reading::new(
        earlier.analyte(),
        earlier.method(),
        converted.ph.value(),
        earlier.by().unit,
        Qualifier::Exact,
    )
    .map_err(|e| Problem::refused(e.to_string()))?;
    let how = Converted {
        standard_uncertainty: converted.standard_uncertainty(),
        words: format!(
            "The retest read {ph:.2} as {}; a published relation brings it to {:.2} as {}, give or \
             take {:.1}, which is added to the uncertainty. Ask for the method of the baseline next \
             time.",
            measured.name(),
            converted.ph.value(),
            wanted.name(),
            converted.half_width
        ),
        sources: worked.working.sources,
    };
    Ok(Some((reading, how)))
}

fn scale_of(reading: &Reading) -> Option<AcidityScale> {
    match (reading.analyte().id.as_str(), reading.method().id.as_str()) {
        ("ph-water", "water-1-5") => Some(AcidityScale::Water),
        ("ph-cacl2", "cacl2-1-5") => Some(AcidityScale::CalciumChloride),
        _ => None,
    }
}
