//! How much a measurement hangs on fine colour, which files keep at half size at best.

use crate::{
    frame::{Frame, Region},
    mask::GreenRange,
    matrix::Matrix,
    tally::{Pass, Tally},
};

/// Side of the blocks over which colour is averaged: that of a coding unit of a JPEG with chroma at
/// half size, so that what is left is what the strongest compression leaves.
const SIDE: usize = 16;
/// About so many pixels are looked at; more would not tell more.
const ENOUGH_PIXELS: usize = 1_000_000;

/// Counts a sample of rows as they are, and with their colour (not their brightness) averaged over
/// blocks of sixteen by sixteen pixels.
///
/// # Source  chroma at half size: JFIF 1.02 with ITU-T T.81, as phones write it; the weights of
///   luma are those of ITU-R BT.601.
pub(crate) fn tally_chroma(
    frame: &Frame<'_>,
    region: &Region,
    green: &GreenRange,
    matrix: &Matrix,
) -> [Tally; 2] {
    let mut tallies = [Tally::empty(), Tally::empty()];
    let (width, height) = (frame.width(), frame.height());
    let pass = Pass::new(green, matrix);
    let every = (width * height / ENOUGH_PIXELS).max(1);
    let mut without = vec![0_u8; 3 * width * SIDE];
    for y in (0..(height - height % SIDE)).step_by(SIDE * every) {
        average_colour(frame, y, &mut without);
        for row in 0..SIDE {
            let spans = region.spans(y + row, width);
            let averaged = &without[3 * width * row..3 * width * (row + 1)];
            pass.row(frame.row(y + row), &spans, y + row, frame, &mut tallies[0]);
            pass.row(averaged, &spans, y + row, frame, &mut tallies[1]);
        }
    }
    tallies
}

/// Fills the rows of blocks with the photo's pixels, their colour averaged over blocks.
fn average_colour(frame: &Frame<'_>, y: usize, to: &mut [u8]) {
    let width = frame.width();
    let rows: [&[u8]; SIDE] = std::array::from_fn(|row| frame.row(y + row));
    for left in (0..width).step_by(SIDE) {
        let across = SIDE.min(width - left);
        let mut sums = [0.0_f32; 2];
        for row in rows {
            for pixel in row[3 * left..3 * (left + across)].chunks_exact(3) {
                let luma = luma(pixel);
                sums[0] += f32::from(pixel[0]) - luma;
                sums[1] += f32::from(pixel[2]) - luma;
            }
        }
        let [red, blue] = sums.map(|sum| sum / (across * SIDE) as f32);
        // What red and blue add is taken from green, so that the luma stays.
        let green = -(0.299 * red + 0.114 * blue) / 0.587;
        for (number, row) in rows.into_iter().enumerate() {
            let out = &mut to[3 * (width * number + left)..3 * (width * number + left + across)];
            for (pixel, out) in
                row[3 * left..3 * (left + across)].chunks_exact(3).zip(out.chunks_exact_mut(3))
            {
                let luma = luma(pixel);
                for (out, colour) in out.iter_mut().zip([red, green, blue]) {
                    *out = code(luma + colour);
                }
            }
        }
    }
}

fn luma(pixel: &[u8]) -> f32 {
    0.299 * f32::from(pixel[0]) + 0.587 * f32::from(pixel[1]) + 0.114 * f32::from(pixel[2])
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to the range of a byte"
)]
fn code(value: f32) -> u8 {
    (value + 0.5).clamp(0.0, 255.0) as u8
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn averaging_colour_keeps_the_brightness() {
        let rgb: Vec<u8> = (0..3 * 20 * SIDE).map(|at| 60 + (at * 37 % 91) as u8).collect();
        let frame = Frame::new(20, SIDE, &rgb).expect("filled");
        let mut out = vec![0; rgb.len()];
        average_colour(&frame, 0, &mut out);
        for (before, after) in rgb.chunks_exact(3).zip(out.chunks_exact(3)) {
            assert!((luma(before) - luma(after)).abs() < 1.0, "{before:?} {after:?}");
        }
        let difference = |pixel: &[u8]| f32::from(pixel[0]) - luma(pixel);
        // Within a block colour is one; the last columns are a block of their own.
        assert!((difference(&out[0..3]) - difference(&out[45..48])).abs() < 1.5, "{out:?}");
    }
}
