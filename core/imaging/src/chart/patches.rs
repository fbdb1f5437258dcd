//! The patches of our chart, and the colours they are drawn in.

use crate::srgb::{Linear, Srgb};

/// What a patch is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PatchUse {
    /// Grey: light over the sheet, white balance.
    Neutral,
    /// The greens of turf: how well turf is corrected is told by these.
    Turf,
    /// Other colours, so that the correction is held from all sides.
    Spread,
}

/// One patch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Patch {
    /// sRGB codes it is drawn in.
    pub codes: [u8; 3],
    /// What it is for.
    pub used_for: PatchUse,
}

impl Patch {
    /// The colour it is drawn in, in linear light.
    #[must_use]
    pub fn drawn(&self) -> Linear {
        Srgb::from_codes(self.codes).linear()
    }
}

const fn grey(code: u8) -> Patch {
    Patch { codes: [code; 3], used_for: PatchUse::Neutral }
}

const fn turf(r: u8, g: u8, b: u8) -> Patch {
    Patch { codes: [r, g, b], used_for: PatchUse::Turf }
}

const fn spread(r: u8, g: u8, b: u8) -> Patch {
    Patch { codes: [r, g, b], used_for: PatchUse::Spread }
}

/// The patches, row by row from the upper left.
///
/// Chosen by us: greens from yellowing to very dark, colours that an office printer can print, and
/// greys spread over the sheet so that uneven light is seen.
pub const PATCHES: [Patch; 24] = [
    grey(240),
    turf(86, 125, 70),
    turf(150, 155, 80),
    spread(170, 60, 55),
    turf(60, 100, 40),
    grey(80),
    turf(34, 70, 25),
    spread(60, 80, 150),
    grey(160),
    turf(110, 130, 90),
    spread(225, 200, 60),
    turf(98, 142, 52),
    turf(72, 110, 58),
    spread(200, 130, 50),
    turf(130, 170, 60),
    grey(120),
    spread(60, 140, 160),
    turf(45, 85, 45),
    grey(45),
    turf(120, 140, 60),
    spread(160, 70, 120),
    turf(45, 85, 35),
    spread(165, 145, 95),
    grey(200),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hsb::hsb;

    #[test]
    fn turf_patches_are_greens_and_greys_are_grey() {
        for patch in PATCHES {
            let hue = hsb(Srgb::from_codes(patch.codes)).hue;
            match patch.used_for {
                PatchUse::Neutral => assert_eq!(hue, None, "{patch:?}"),
                PatchUse::Turf => {
                    assert!(hue.is_some_and(|h| (57.0..125.0).contains(&h)), "{patch:?} {hue:?}");
                }
                PatchUse::Spread => assert!(hue.is_some(), "{patch:?}"),
            }
        }
        let count = |used| PATCHES.iter().filter(|p| p.used_for == used).count();
        assert_eq!((count(PatchUse::Neutral), count(PatchUse::Turf)), (6, 11), "as the text says");
    }
}
