//! Pictures of what a measurement saw: its mask, and the photo after correction.

use image::RgbImage;
use swardbook_imaging::{
    frame::Point,
    hsb::hsb,
    mask::GreenRange,
    matrix::{Matrix, times},
    srgb::{Linear, Srgb},
};

use super::{
    MeasureChoices, MeasuredPhoto, Pixels,
    small::{fitted, jpeg},
};
use crate::Problem;

/// What shows the pixels that count as green: a colour that no turf has, laid over half of them,
/// so that the turf is still seen.
const GREEN_MARK: [u8; 3] = [255, 0, 190];
/// How much of what is left out of the region is shown.
const DIMMED: f64 = 0.25;

/// The mask as a picture: pixels that count as green are tinted, others are as they are after
/// correction, what is left out of the region is dimmed.
///
/// The pixels shown are single ones of the photo, not averages, so that each is judged as the
/// measurement judges it.
///
/// # Errors  [`Problem`] when it cannot be written.
pub(crate) fn mask_picture(
    pixels: &Pixels,
    choices: &MeasureChoices,
    measured: &MeasuredPhoto,
    side: u32,
) -> Result<Vec<u8>, Problem> {
    let (width, height) = fitted(pixels.width, pixels.height, side);
    let mut picture = RgbImage::new(width, height);
    let stride = pixels.width as usize;
    for y in 0..height {
        let from_y = place(y, height, pixels.height);
        let spans = measured.region.spans(from_y, stride);
        for x in 0..width {
            let from_x = place(x, width, pixels.width);
            let colour = corrected(pixel(pixels, from_x, from_y), &measured.matrix);
            let within = spans.iter().any(|(from, to)| (*from..*to).contains(&from_x));
            let codes = colour.codes();
            let shown = if !within {
                codes.map(dimmed)
            } else if is_green(&choices.green, colour) {
                tinted(codes)
            } else {
                codes
            };
            picture.put_pixel(x, y, image::Rgb(shown));
        }
    }
    jpeg(&picture)
}

fn is_green(green: &GreenRange, colour: Srgb) -> bool {
    green.holds(hsb(colour))
}

fn corrected(codes: [u8; 3], matrix: &Matrix) -> Srgb {
    Linear(times(matrix, Srgb::from_codes(codes).linear().0)).encoded()
}

fn pixel(pixels: &Pixels, x: usize, y: usize) -> [u8; 3] {
    let at = 3 * (pixels.width as usize * y + x);
    [pixels.rgb[at], pixels.rgb[at + 1], pixels.rgb[at + 2]]
}

/// The pixel of the photo in the middle of a pixel of the picture.
fn place(at: u32, of: u32, full: u32) -> usize {
    let middle = (2 * u64::from(at) + 1) * u64::from(full) / (2 * u64::from(of));
    usize::try_from(middle).unwrap_or(0)
}

fn tinted(codes: [u8; 3]) -> [u8; 3] {
    std::array::from_fn(|c| u8::midpoint(codes[c], GREEN_MARK[c]))
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a share of a code is a code"
)]
fn dimmed(code: u8) -> u8 {
    (f64::from(code) * DIMMED) as u8
}

/// What of a photo is drawn, and how large.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Crop {
    /// Upper left corner, pixels of the photo.
    pub(crate) from: Point,
    /// Pixels of the photo for each pixel drawn.
    pub(crate) step: f64,
    /// Columns drawn.
    pub(crate) width: u32,
    /// Rows drawn.
    pub(crate) height: u32,
}

/// The photo after correction, averaged in linear light so that a reduced picture has the colour
/// of what it stands for.
///
/// # Errors  [`Problem`] when it cannot be written.
pub(crate) fn corrected_picture(
    pixels: &Pixels,
    matrix: &Matrix,
    crop: &Crop,
) -> Result<Vec<u8>, Problem> {
    let mut picture = RgbImage::new(crop.width, crop.height);
    for y in 0..crop.height {
        let rows = run(crop.from.y, crop.step, y, pixels.height);
        for x in 0..crop.width {
            let columns = run(crop.from.x, crop.step, x, pixels.width);
            let (mut light, mut count) = ([0.0; 3], 0.0);
            for row in rows.clone() {
                for column in columns.clone() {
                    let one = Srgb::from_codes(pixel(pixels, column, row)).linear().0;
                    for (sum, more) in light.iter_mut().zip(one) {
                        *sum += more;
                    }
                    count += 1.0;
                }
            }
            let mean = times(matrix, light.map(|sum: f64| sum / count));
            picture.put_pixel(x, y, image::Rgb(Linear(mean).encoded().codes()));
        }
    }
    jpeg(&picture)
}

/// Pixels that one drawn pixel stands for, at least one and at most three along each side: more
/// would not be seen.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to the pixels of the photo"
)]
fn run(from: f64, step: f64, at: u32, of: u32) -> std::ops::Range<usize> {
    let last = f64::from(of) - 1.0;
    let start = (from + step * f64::from(at)).clamp(0.0, last) as usize;
    let end = (from + step * f64::from(at + 1)).clamp(0.0, last + 1.0) as usize;
    let end = end.max(start + 1);
    let middle = usize::midpoint(start, end);
    start.max(middle.saturating_sub(1))..end.min(middle + 2).max(start + 1)
}
