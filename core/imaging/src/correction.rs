//! Correction of a photo's colour in linear light, as one 3 x 3 matrix.

pub mod chart_fit;
pub mod grey;
mod patch;

use swardbook_stats::uncertainty::Uncertainty;

pub use patch::{PatchSample, sample};

use crate::{
    hsb::{dark_green_index, hsb},
    lab::lab_of,
    matrix::{Matrix, product, times},
    primaries::ColourSpace,
    srgb::Linear,
};

/// What stood in the frame to correct its colour by.
#[derive(Debug, Clone, PartialEq)]
pub enum Card {
    /// Nothing: the colours are the camera's, and no evidence.
    None,
    /// A card of neutral grey: cast and exposure are corrected, the camera's rendition is not.
    Grey,
    /// A chart of known patches.
    Chart,
}

impl Card {
    /// Its name, as a measurement keeps it.
    #[must_use]
    pub const fn name(&self) -> &'static str {
        match self {
            Self::None => "none",
            Self::Grey => "grey card",
            Self::Chart => "chart",
        }
    }
}

/// How well a colour is known after correction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ColourUncertainty {
    /// Of the dark green colour index.
    pub index: Uncertainty,
    /// Of the hue, degrees.
    pub hue: f64,
    /// Of the saturation, 0 to 1.
    pub saturation: f64,
    /// Of the brightness, 0 to 1.
    pub brightness: f64,
    /// Of CIELAB lightness, red to green, and yellow to blue.
    pub lab: [f64; 3],
    /// How far the index of all greens of the card is off to one side; part of `index`, and nought
    /// where the card has no greens.
    pub index_offset: f64,
    /// The same of the hue, degrees; part of `hue`.
    pub hue_offset: f64,
}

impl ColourUncertainty {
    /// From a standard deviation of each aspect, all of them known equally well.
    pub(crate) fn of(aspects: Aspects, df: f64) -> Self {
        let [index, hue, saturation, brightness, l, a, b] = aspects;
        let index = Uncertainty { u: index, df };
        let lab = [l, a, b];
        Self { index, hue, saturation, brightness, lab, index_offset: 0.0, hue_offset: 0.0 }
    }

    /// The same, knowing how far index and hue of the card's greens are off to one side.
    pub(crate) fn with_offsets(self, index_offset: f64, hue_offset: f64) -> Self {
        Self { index_offset, hue_offset, ..self }
    }
}

/// Index, hue, saturation, brightness and the three of CIELAB.
pub(crate) type Aspects = [f64; 7];

/// Every aspect of one colour; `None` for a grey, which has no hue.
pub(crate) fn aspects(colour: Linear) -> Option<Aspects> {
    let parts = hsb(colour.encoded());
    let lab = lab_of(colour);
    Some([
        dark_green_index(parts)?,
        parts.hue?,
        parts.saturation,
        parts.brightness,
        lab.l,
        lab.a,
        lab.b,
    ])
}

/// A correction, from the photo's own linear light to corrected linear sRGB.
#[derive(Debug, Clone, PartialEq)]
pub struct Correction {
    /// What it rests on.
    pub card: Card,
    /// The matrix, the photo's colour space included.
    pub matrix: Matrix,
    /// How well it does.
    spread: Spread,
}

#[derive(Debug, Clone, PartialEq)]
enum Spread {
    Unknown,
    /// The same matrix worked out from parts of the card.
    Parts(Vec<Matrix>),
    /// From the chart's own turf-like patches, each corrected without itself.
    Residual(ColourUncertainty),
}

impl Correction {
    /// No card: only the photo's colour space is brought to sRGB.
    #[must_use]
    pub fn none(space: ColourSpace) -> Self {
        Self { card: Card::None, matrix: space.to_linear_srgb(), spread: Spread::Unknown }
    }

    pub(crate) fn grey(matrix: Matrix, parts: Vec<Matrix>) -> Self {
        Self { card: Card::Grey, matrix, spread: Spread::Parts(parts) }
    }

    pub(crate) fn chart(matrix: Matrix, residual: ColourUncertainty) -> Self {
        Self { card: Card::Chart, matrix, spread: Spread::Residual(residual) }
    }

    /// Whether a card stood in the frame.
    #[must_use]
    pub fn is_by_card(&self) -> bool {
        self.card != Card::None
    }

    /// How well a turf colour is known after this correction; `None` without a card.
    ///
    /// `turf` is the mean light of the turf after correction.
    /// For a grey card it is the scatter that the parts of the card would give, taken singly, and
    /// what a little more light on the card than on the turf would do; for a chart the error of
    /// its own turf-like patches.
    #[must_use]
    pub fn uncertainty(&self, turf: Linear) -> Option<ColourUncertainty> {
        match &self.spread {
            Spread::Unknown => None,
            Spread::Residual(residual) => Some(*residual),
            Spread::Parts(parts) => of_parts(&self.matrix, parts, turf),
        }
    }
}

/// How far the light on a card may differ from that on the turf around it, a ratio.
///
/// # Source  common practice, no source: a sixth of a stop.
const LIGHT_AT_CARD: f64 = 0.12;

fn of_parts(matrix: &Matrix, parts: &[Matrix], turf: Linear) -> Option<ColourUncertainty> {
    let back = crate::matrix::inverse(matrix)?;
    let seen: Vec<Aspects> = parts
        .iter()
        .filter_map(|part| aspects(Linear(times(&product(part, &back), turf.0))))
        .collect();
    let as_is = aspects(turf)?;
    let brighter = aspects(Linear(turf.0.map(|channel| channel * (1.0 + LIGHT_AT_CARD))))?;
    let mut spread = [0.0; 7];
    for (at, one) in spread.iter_mut().enumerate() {
        let values: Vec<f64> = seen.iter().map(|aspects| aspects[at]).collect();
        let deviation = swardbook_stats::describe::standard_deviation(&values).ok()?;
        *one = deviation.hypot(brighter[at] - as_is[at]);
    }
    Some(ColourUncertainty::of(spread, (seen.len() - 1) as f64))
}
