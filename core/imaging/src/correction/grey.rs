//! White balance and exposure from a card of neutral grey.

use super::{Correction, sample};
use crate::{
    ImagingError,
    frame::{Frame, Point},
    homography::{Corners, Homography},
    matrix::{Matrix, diagonal, product, times},
    primaries::ColourSpace,
    srgb::{Linear, encode},
};

/// What the card is brought to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum GreyTarget {
    /// Equal channels at the card's own green: takes out the cast and keeps the exposure.
    KeepGreen,
    /// Equal channels at the card's known reflectance (0.18 for a usual grey card): takes out the
    /// cast and brings two photos to one exposure.
    Reflectance(f64),
}

/// A mean channel code above which the sensor may have been full.
pub const BRIGHTEST_CARD_CODE: f64 = 250.0;
/// A mean channel code below which rounding is a large share of the light.
pub const DARKEST_CARD_CODE: f64 = 5.0;

/// Gains of the three channels that make the card neutral, for linear light.
///
/// # Units   `card` is the mean of the card's pixels in linear light.
/// # Errors  `CardExposure` when a channel is clipped or nearly black; `Setting` for a reflectance
///   that is not above 0 and at most 1.
/// # Source  gain = target / card in each channel: scaling of channels after von Kries J (1902),
///   common practice, no source, for camera channels.
pub fn grey_gains(card: Linear, target: GreyTarget) -> Result<[f64; 3], ImagingError> {
    for light in card.0 {
        let code = 255.0 * encode(light);
        if code > BRIGHTEST_CARD_CODE {
            return Err(ImagingError::CardExposure {
                what: "too bright",
                code,
                remedy: "expose less or turn it out of the glare",
            });
        }
        // A missing number is refused here too.
        let is_bright_enough = code >= DARKEST_CARD_CODE;
        if !is_bright_enough {
            return Err(ImagingError::CardExposure {
                what: "too dark",
                code,
                remedy: "expose more or take it out of the shade",
            });
        }
    }
    let wanted = match target {
        GreyTarget::KeepGreen => card.0[1],
        GreyTarget::Reflectance(share) if share > 0.0 && share <= 1.0 => share,
        GreyTarget::Reflectance(got) => {
            return Err(ImagingError::Setting {
                setting: "the card's reflectance",
                must_be: "above 0 and at most 1",
                got,
            });
        }
    };
    Ok(card.0.map(|light| wanted / light))
}

/// The gains as a correction.
#[must_use]
pub fn grey_matrix(gains: [f64; 3]) -> Matrix {
    diagonal(gains)
}

/// Blocks along each side of the card.
const BLOCKS: usize = 4;
/// Share of the card, from its middle, that is read: its border may be rounded or held by a hand.
const INNER: f64 = 0.7;
/// The most that the blocks may differ, percent of their mean.
const MOST_SPREAD_PERCENT: f64 = 25.0;
/// The least pixels that a card must cover.
pub const LEAST_CARD_AREA: f64 = 900.0;

/// A correction from a grey card with its corners in a frame.
///
/// # Errors  `Corners`, `CardExposure`, `Setting` as [`grey_gains`]; `CardUneven` when shadow or
///   glare lies over part of the card.
pub fn correct_by_grey(
    frame: &Frame<'_>,
    space: ColourSpace,
    corners: &Corners,
    target: GreyTarget,
) -> Result<Correction, ImagingError> {
    let corners = corners.checked(LEAST_CARD_AREA)?;
    let way = Homography::to(&corners);
    let to_srgb = space.to_linear_srgb();
    let start = 0.5 * (1.0 - INNER);
    let step = INNER / BLOCKS as f64;
    let mut blocks = Vec::with_capacity(BLOCKS * BLOCKS);
    let mut clipped = 0.0_f64;
    for row in 0..BLOCKS {
        for column in 0..BLOCKS {
            let from = Point::new(start + step * column as f64, start + step * row as f64);
            let to = Point::new(from.x + step, from.y + step);
            let block = sample(frame, &way, from, to)
                .ok_or(ImagingError::Corners { why: "part of the card is outside of the photo" })?;
            clipped = clipped.max(block.clipped);
            blocks.push(times(&to_srgb, block.mean.0));
        }
    }
    let count = blocks.len() as f64;
    let mean: [f64; 3] =
        std::array::from_fn(|c| blocks.iter().map(|block| block[c]).sum::<f64>() / count);
    let gains = grey_gains(Linear(mean), target)?;
    if clipped > 0.02 {
        return Err(ImagingError::CardExposure {
            what: "too bright or too dark in places",
            code: 255.0 * encode(mean[1]),
            remedy: "turn it out of the glare or the shade",
        });
    }
    let spread = (0..3)
        .map(|c| {
            let (least, most) =
                blocks.iter().fold((f64::INFINITY, 0.0_f64), |(low, high), block| {
                    (low.min(block[c]), high.max(block[c]))
                });
            100.0 * (most - least) / mean[c]
        })
        .fold(0.0, f64::max);
    if spread > MOST_SPREAD_PERCENT {
        return Err(ImagingError::CardUneven { spread, most: MOST_SPREAD_PERCENT });
    }
    let parts = blocks
        .iter()
        .map(|block| {
            let gains = grey_gains(Linear(*block), target)?;
            Ok(product(&grey_matrix(gains), &to_srgb))
        })
        .collect::<Result<Vec<_>, ImagingError>>()?;
    Ok(Correction::grey(product(&grey_matrix(gains), &to_srgb), parts))
}
