//! White balance and exposure from a card of neutral grey.

use crate::{
    ImagingError,
    matrix::{Matrix, diagonal},
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
