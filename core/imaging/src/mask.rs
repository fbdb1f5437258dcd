//! Which pixels count as green.

use crate::{ImagingError, hsb::Hsb};

/// Closed ranges of hue and saturation that count as green.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GreenRange {
    /// Least and greatest hue, degrees.
    pub hue: [f64; 2],
    /// Least and greatest saturation, 0 to 1.
    pub saturation: [f64; 2],
}

impl GreenRange {
    /// Hue 57 to 107 degrees, any saturation.
    ///
    /// # Source  `richardson-2001`, from memory, unconfirmed.
    pub const PUBLISHED: Self = Self { hue: [57.0, 107.0], saturation: [0.0, 1.0] };

    /// A wider range of hues, whose cover is told beside the first as its sensitivity.
    ///
    /// # Source  common practice, no source: very dark turf lies above 107 degrees, drying turf
    ///   below 57.
    pub const WIDER_HUE: [f64; 2] = [50.0, 120.0];

    /// Checks ranges that a person set.
    ///
    /// # Errors  `Setting` for a range that is turned round or outside 0 to 360 degrees, 0 to 1.
    pub fn checked(self) -> Result<Self, ImagingError> {
        let check = |setting, [from, to]: [f64; 2], most: f64, must_be| {
            let good = from >= 0.0 && from <= to && to <= most;
            if good { Ok(()) } else { Err(ImagingError::Setting { setting, must_be, got: from }) }
        };
        check("the range of hue", self.hue, 360.0, "from 0 to 360 degrees, the lesser first")?;
        check("the range of saturation", self.saturation, 1.0, "from 0 to 1, the lesser first")?;
        Ok(self)
    }

    /// Whether a colour is green; a grey never is.
    #[must_use]
    pub fn holds(&self, colour: Hsb) -> bool {
        colour.hue.is_some_and(|hue| within(self.hue, hue))
            && within(self.saturation, colour.saturation)
    }
}

fn within([from, to]: [f64; 2], value: f64) -> bool {
    (from..=to).contains(&value)
}
