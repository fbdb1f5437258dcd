//! A picture of grass drawn for the demo: no photograph, and said so in its record.

use image::{ExtendedColorType, ImageEncoder, codecs::jpeg::JpegEncoder};

use crate::{Code, Problem};

const WIDTH: u32 = 1200;
const HEIGHT: u32 = 900;
/// Breadth of a blade, a divisor of the width.
const BLADE: usize = 12;
/// Where the colour chart lies in the picture, and pixels of one of its modules.
const CHART: (usize, usize, u16) = (40, 40, 7);

/// Draws blades of grass with our colour chart lying in them, greener with `green` from 0 to 1, as
/// JPEG.
pub(super) fn grass(green: f64, seed: u64) -> Result<Vec<u8>, Problem> {
    let mut state = seed;
    let mut dice = || {
        // The step of Knuth's MMIX generator; good enough for a drawing.
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        state >> 33
    };
    let mut pixels = vec![0_u8; (WIDTH * HEIGHT * 3) as usize];
    let straw = [170.0, 138.0, 96.0];
    // Greener is denser and darker; the hue stays well within what counts as green.
    let blade = [78.0, 120.0, 46.0].map(|code: f64| code * (1.25 - 0.4 * green));
    for column in 0..WIDTH as usize / BLADE {
        // A blade is as long as the dice say.
        let mut tone = 0.0;
        let mut left = 0_u64;
        for row in 0..HEIGHT as usize {
            if left == 0 {
                left = 20 + dice() % 50;
                #[expect(clippy::cast_precision_loss, reason = "a small number of the dice")]
                let thrown = (dice() % 1000) as f64 / 1000.0;
                tone = if thrown < green { 0.8 + 0.2 * thrown } else { 0.25 * thrown };
            }
            left -= 1;
            for across in 0..BLADE {
                let at = (row * WIDTH as usize + column * BLADE + across) * 3;
                #[expect(clippy::cast_precision_loss, reason = "a small number of the dice")]
                let grain = (dice() % 12) as f64 - 6.0;
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
    }
    lay_chart(&mut pixels);
    let mut jpeg = Vec::new();
    JpegEncoder::new_with_quality(&mut jpeg, 90)
        .write_image(&pixels, WIDTH, HEIGHT, ExtendedColorType::Rgb8)
        .map_err(|e| Problem::new(Code::Storage, format!("the demo's picture: {e}")))?;
    Ok(jpeg)
}

fn lay_chart(pixels: &mut [u8]) {
    let (left, top, module) = CHART;
    let (width, _, sheet) = swardbook_imaging::chart::draw(module);
    for (row, line) in sheet.chunks_exact(3 * width).enumerate() {
        let at = 3 * ((top + row) * WIDTH as usize + left);
        pixels[at..at + line.len()].copy_from_slice(line);
    }
}
