//! The pixels of a flat patch of a card.

use crate::{
    frame::{Frame, Point},
    homography::Homography,
    pixel::LIGHT_OF_CODE,
    srgb::Linear,
};

/// What was read from a patch.
#[derive(Debug, Clone, PartialEq)]
pub struct PatchSample {
    /// Its pixels in the photo's own linear light, at most 24 x 24 of them.
    pub pixels: Vec<[f32; 3]>,
    /// Their mean.
    pub mean: Linear,
    /// Relative standard deviation of each channel, a ratio.
    pub variation: [f64; 3],
    /// Share of pixels with a channel at either end of the camera's scale.
    pub clipped: f64,
}

/// Places looked at along each side of a patch.
const SIDE: usize = 24;

/// Reads a rectangle of the card, given in the coordinates of its unit square.
///
/// `None` when part of it lies outside of the photo.
#[must_use]
pub fn sample(frame: &Frame<'_>, way: &Homography, from: Point, to: Point) -> Option<PatchSample> {
    let table = &*LIGHT_OF_CODE;
    let mut pixels = Vec::with_capacity(SIDE * SIDE);
    let mut clipped = 0_u32;
    let mut last = None;
    for row in 0..SIDE {
        for column in 0..SIDE {
            let along = |low: f64, high: f64, step: usize| {
                low + (high - low) * (step as f64 + 0.5) / SIDE as f64
            };
            let place = way.map(along(from.x, to.x, column), along(from.y, to.y, row));
            let (x, y) = (place.x.floor(), place.y.floor());
            if !(x >= 0.0 && y >= 0.0 && x < frame.width() as f64 && y < frame.height() as f64) {
                return None;
            }
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "checked to lie inside the frame"
            )]
            let at = (x as usize, y as usize);
            // A small patch in the photo has fewer pixels than places; each is counted once.
            if last == Some(at) {
                continue;
            }
            last = Some(at);
            let codes = frame.pixel(at.0, at.1);
            clipped += u32::from(codes.iter().any(|code| *code >= 254 || *code <= 1));
            pixels.push(codes.map(|code| table[usize::from(code)]));
        }
    }
    let count = pixels.len() as f64;
    let mean: [f64; 3] =
        std::array::from_fn(|c| pixels.iter().map(|p| f64::from(p[c])).sum::<f64>() / count);
    let variation = std::array::from_fn(|c| {
        let squares: f64 = pixels.iter().map(|p| (f64::from(p[c]) - mean[c]).powi(2)).sum();
        (squares / count).sqrt() / mean[c].max(1e-6)
    });
    Some(PatchSample { pixels, mean: Linear(mean), variation, clipped: f64::from(clipped) / count })
}
