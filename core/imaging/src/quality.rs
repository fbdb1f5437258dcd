//! Whether a photo is fit to be measured: measures that are shown, and the flags they raise.

use crate::{detail::Detail, tally::Tally};

/// What may be wrong with a photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fault {
    /// Pixels at the upper end of the scale: their colour is lost.
    Clipped,
    /// Pixels without light.
    Underexposed,
    /// Fine detail is missing: out of focus, or the camera moved.
    Blurred,
    /// Part of the region lies in shade and part in the sun.
    Shaded,
    /// Bright pixels without colour: light mirrored by wet or waxy leaves.
    Glare,
    /// The correction moved many pixels outside the colours that can be held.
    BeyondGamut,
}

impl Fault {
    /// What it is and what to do, in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Clipped => "overexposed: colour is lost where it is brightest; expose less",
            Self::Underexposed => "underexposed: no light where it is darkest; expose more",
            Self::Blurred => "blurred: hold still, or clean the lens and focus on the turf",
            Self::Shaded => "part sun, part shade: shade all of it or none",
            Self::Glare => "glare: turn away from the sun, or wait until the leaves are dry",
            Self::BeyondGamut => "the card's correction does not fit this light; mark it anew",
        }
    }
}

/// The measures of one photo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quality {
    /// Share of pixels with a channel at the upper end of the scale.
    pub clipped: f64,
    /// Share of pixels with every channel at the lower end.
    pub black: f64,
    /// Difference of neighbouring blocks of four pixels over difference of blocks eight apart,
    /// both squared: near 1 for the finest detail, 1/64 for a smooth slope.
    pub sharpness: f64,
    /// Luminance of the dark tiles (tenth percentile) over that of the bright ones (ninetieth).
    pub evenness: f64,
    /// Share of bright pixels almost without colour.
    pub glare: f64,
    /// Share of pixels that the correction moved outside the colours that can be held.
    pub beyond: f64,
}

/// Limits beyond which a photo is flagged.
///
/// # Source  common practice, no source: chosen on drawn turf of known sharpness and light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct QualityLimits {
    /// Greatest share clipped.
    pub clipped: f64,
    /// Greatest share without light.
    pub black: f64,
    /// Least sharpness.
    pub sharpness: f64,
    /// Least evenness.
    pub evenness: f64,
    /// Greatest share of glare.
    pub glare: f64,
    /// Greatest share beyond what can be held.
    pub beyond: f64,
}

impl QualityLimits {
    /// The limits used unless others are set.
    pub const USUAL: Self = Self {
        clipped: 0.01,
        black: 0.05,
        sharpness: 0.10,
        evenness: 0.40,
        glare: 0.02,
        beyond: 0.05,
    };
}

/// One limit that a photo does not keep.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flag {
    /// What is wrong.
    pub fault: Fault,
    /// The measure.
    pub value: f64,
    /// The limit.
    pub limit: f64,
}

impl Quality {
    /// The limits that are not kept.
    #[must_use]
    pub fn flags(&self, limits: &QualityLimits) -> Vec<Flag> {
        let above = |fault, value: f64, limit: f64| (value > limit, Flag { fault, value, limit });
        let below = |fault, value: f64, limit: f64| (value < limit, Flag { fault, value, limit });
        [
            above(Fault::Clipped, self.clipped, limits.clipped),
            above(Fault::Underexposed, self.black, limits.black),
            below(Fault::Blurred, self.sharpness, limits.sharpness),
            below(Fault::Shaded, self.evenness, limits.evenness),
            above(Fault::Glare, self.glare, limits.glare),
            above(Fault::BeyondGamut, self.beyond, limits.beyond),
        ]
        .into_iter()
        .filter_map(|(is_raised, flag)| is_raised.then_some(flag))
        .collect()
    }
}

pub(crate) fn quality(tally: &Tally, detail: Detail) -> Quality {
    let pixels = tally.whole().pixels.max(1) as f64;
    let counts = &tally.counts;
    Quality {
        clipped: counts.blown as f64 / pixels,
        black: counts.black as f64 / pixels,
        sharpness: detail.sharpness(),
        evenness: evenness(tally),
        glare: counts.glaring as f64 / pixels,
        beyond: counts.beyond / pixels,
    }
}

fn evenness(tally: &Tally) -> f64 {
    let most = tally.tiles.0.iter().map(|tile| tile.pixels).max().unwrap_or(0);
    let mut light: Vec<f64> = tally
        .tiles
        .0
        .iter()
        // Tiles cut small by the region's border say little.
        .filter(|tile| 4 * tile.pixels >= most && tile.pixels > 0)
        .map(|tile| tile.luminance / tile.pixels as f64)
        .collect();
    light.sort_by(f64::total_cmp);
    let Some(last) = light.len().checked_sub(1) else { return 1.0 };
    let (dark, bright) = (light[last / 10], light[last - last / 10]);
    if bright > 0.0 { dark / bright } else { 1.0 }
}
