//! Correction of a photo's colour in linear light, as one 3 x 3 matrix.

pub mod chart_fit;
pub mod grey;
mod patch;

use swardbook_stats::uncertainty::Uncertainty;

pub use patch::{PatchSample, sample};

use crate::{
    hsb::{dark_green_index, hsb},
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
    /// For a grey card it is the scatter that the parts of the card would give, taken singly; for
    /// a chart the error of its own turf-like patches.
    #[must_use]
    pub fn uncertainty(&self, turf: Linear) -> Option<ColourUncertainty> {
        match &self.spread {
            Spread::Unknown => None,
            Spread::Residual(residual) => Some(*residual),
            Spread::Parts(parts) => of_parts(&self.matrix, parts, turf),
        }
    }
}

fn of_parts(matrix: &Matrix, parts: &[Matrix], turf: Linear) -> Option<ColourUncertainty> {
    let back = crate::matrix::inverse(matrix)?;
    let seen: Vec<(f64, f64)> = parts
        .iter()
        .filter_map(|part| {
            let colour = Linear(times(&product(part, &back), turf.0)).encoded();
            let parts = hsb(colour);
            Some((dark_green_index(parts)?, parts.hue?))
        })
        .collect();
    let deviation = |values: Vec<f64>| swardbook_stats::describe::standard_deviation(&values).ok();
    let u = deviation(seen.iter().map(|(index, _)| *index).collect())?;
    let hue = deviation(seen.iter().map(|(_, hue)| *hue).collect())?;
    let df = (seen.len() - 1) as f64;
    Some(ColourUncertainty { index: Uncertainty { u, df }, hue })
}
