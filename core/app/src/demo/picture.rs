//! A picture of grass drawn for the demo: no photograph, and said so in its record.

use image::{ExtendedColorType, ImageEncoder, codecs::jpeg::JpegEncoder};

use crate::{Code, Problem};

const WIDTH: u32 = 640;
const HEIGHT: u32 = 480;

/// Draws blades of grass, greener with `green` from 0 to 1, as JPEG.
pub(super) fn grass(green: f64, seed: u64) -> Result<Vec<u8>, Problem> {
    let mut state = seed;
    let mut dice = || {
        // The step of Knuth's MMIX generator; good enough for a drawing.
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        state >> 33
    };
    let mut pixels = vec![0_u8; (WIDTH * HEIGHT * 3) as usize];
    let straw = [176.0, 158.0, 96.0];
    let blade = [58.0, 118.0, 44.0];
    for column in 0..WIDTH as usize {
        // A blade is a few columns wide and as long as the dice say.
        let mut tone = 0.0;
        let mut left = 0_u64;
        for row in 0..HEIGHT as usize {
            if left == 0 {
                left = 12 + dice() % 50;
                #[expect(clippy::cast_precision_loss, reason = "a small number of the dice")]
                let thrown = (dice() % 1000) as f64 / 1000.0;
                tone = if thrown < green { 0.8 + 0.2 * thrown } else { 0.25 * thrown };
            }
            left -= 1;
            let at = (row * WIDTH as usize + column) * 3;
            #[expect(clippy::cast_precision_loss, reason = "a small number of the dice")]
            let grain = (dice() % 24) as f64 - 12.0;
            for channel in 0..3 {
                let value = straw[channel] + tone * (blade[channel] - straw[channel]) + grain;
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "clamped to a byte"
                )]
                let byte = value.clamp(0.0, 255.0) as u8;
                pixels[at + channel] = byte;
            }
        }
    }
    let mut jpeg = Vec::new();
    JpegEncoder::new_with_quality(&mut jpeg, 80)
        .write_image(&pixels, WIDTH, HEIGHT, ExtendedColorType::Rgb8)
        .map_err(|e| Problem::new(Code::Storage, format!("the demo's picture: {e}")))?;
    Ok(jpeg)
}
