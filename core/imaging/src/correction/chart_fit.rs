//! Correction from a chart of known patches, by least squares in linear light.

use swardbook_stats::linear_model::least_squares;

use crate::{ImagingError, matrix::Matrix, matrix::times, srgb::Linear};

/// A patch as measured in the photo and as it is known to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PatchPair {
    /// Mean of its pixels.
    pub measured: Linear,
    /// Its known colour.
    pub known: Linear,
}

/// The matrix that brings measured patches nearest to known ones.
///
/// # Errors  `Statistics` with fewer than four patches, or patches that span no volume.
/// # Source  `finlayson-2015`, degree 1: ordinary least squares, no constant term.
pub fn fit_matrix(patches: &[PatchPair]) -> Result<Matrix, ImagingError> {
    let columns: Vec<Vec<f64>> =
        (0..3).map(|c| patches.iter().map(|p| p.measured.0[c]).collect()).collect();
    let row = |channel: usize| -> Result<[f64; 3], ImagingError> {
        let wanted: Vec<f64> = patches.iter().map(|p| p.known.0[channel]).collect();
        let found = least_squares(&columns, &wanted)?.coefficients;
        Ok([found[0], found[1], found[2]])
    };
    Ok([row(0)?, row(1)?, row(2)?])
}

/// Each patch's known colour less its corrected one, the matrix fitted without that patch.
///
/// # Errors  as [`fit_matrix`], with one patch fewer.
pub fn left_out_residuals(patches: &[PatchPair]) -> Result<Vec<[f64; 3]>, ImagingError> {
    (0..patches.len())
        .map(|left_out| {
            let matrix = fit_without(patches, left_out)?;
            let patch = &patches[left_out];
            let got = times(&matrix, patch.measured.0);
            Ok(std::array::from_fn(|c| patch.known.0[c] - got[c]))
        })
        .collect()
}

/// The matrix fitted to all patches but one.
///
/// # Errors  as [`fit_matrix`], with one patch fewer.
pub fn fit_without(patches: &[PatchPair], left_out: usize) -> Result<Matrix, ImagingError> {
    let rest: Vec<PatchPair> = patches
        .iter()
        .enumerate()
        .filter(|(at, _)| *at != left_out)
        .map(|(_, patch)| *patch)
        .collect();
    fit_matrix(&rest)
}

/// Root mean square over all patches and channels.
#[must_use]
pub fn root_mean_square(residuals: &[[f64; 3]]) -> f64 {
    let all: f64 = residuals.iter().flatten().map(|part| part * part).sum();
    (all / (3 * residuals.len()).max(1) as f64).sqrt()
}
