//! One pixel in single precision, fast enough for millions.

use std::sync::LazyLock;

use crate::srgb::{decode, encode};

/// Linear light of each 8-bit code.
pub(crate) static LIGHT_OF_CODE: LazyLock<[f32; 256]> = LazyLock::new(|| {
    #[expect(clippy::cast_possible_truncation, reason = "single precision is what pixels need")]
    std::array::from_fn(|code| decode(code as f64 / 255.0) as f32)
});

/// Cells of [`ENCODED`]; between two of them a straight line is drawn.
const CELLS: usize = 4096;

/// Encoded channel at the borders of evenly spaced cells of linear light.
static ENCODED: LazyLock<[f32; CELLS + 2]> = LazyLock::new(|| {
    #[expect(clippy::cast_possible_truncation, reason = "single precision is what pixels need")]
    std::array::from_fn(|cell| encode((cell.min(CELLS)) as f64 / CELLS as f64) as f32)
});

/// The table behind [`encode_fast`], fetched once before a run over pixels.
pub(crate) fn encoding_table() -> &'static [f32; CELLS + 2] {
    &ENCODED
}

/// Encoded channel by table, within 0.0004 of [`encode`] (a tenth of an 8-bit code); light outside
/// 0 to 1 is brought to the border.
#[inline]
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to the table; a missing number becomes zero"
)]
pub(crate) fn encode_fast(table: &[f32; CELLS + 2], light: f32) -> f32 {
    let place = light.clamp(0.0, 1.0) * CELLS as f32;
    let cell = (place as usize).min(CELLS);
    let share = place - cell as f32;
    table[cell] + share * (table[cell + 1] - table[cell])
}

/// Hue in degrees, saturation, brightness of one pixel in single precision; `None` for a grey.
///
/// The same arithmetic as [`hsb`]; a test holds them together.
#[inline]
pub(crate) fn pixel_hsb(r: f32, g: f32, b: f32) -> Option<(f32, f32, f32)> {
    let most = r.max(g).max(b);
    let chroma = most - r.min(g).min(b);
    // Two channels nearer than a hundredth of a code are one grey; a hue from them is rounding.
    if chroma <= 4e-5 {
        return None;
    }
    let (over, start) = if r >= most {
        (g - b, if g < b { 6.0 } else { 0.0 })
    } else if g >= most {
        (b - r, 2.0)
    } else {
        (r - g, 4.0)
    };
    Some((60.0 * (over / chroma + start), chroma / most, most))
}

/// The index of one pixel from [`pixel_hsb`].
#[inline]
pub(crate) fn pixel_index((hue, saturation, brightness): (f32, f32, f32)) -> f32 {
    (hue * (1.0 / 60.0) + 1.0 - saturation - brightness) * (1.0 / 3.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        hsb::{dark_green_index, hsb},
        srgb::Srgb,
    };

    #[test]
    fn every_code_comes_back_by_table() {
        for code in 0..=255_u8 {
            let fast = encode_fast(encoding_table(), LIGHT_OF_CODE[usize::from(code)]);
            assert!((fast * 255.0 - f32::from(code)).abs() < 0.1, "code {code} by table: {fast}");
        }
    }

    #[test]
    fn the_table_follows_the_curve() {
        for step in 0..=100_000_u32 {
            let light = f64::from(step) / 100_000.0;
            let exact = encode(light);
            #[expect(clippy::cast_possible_truncation, reason = "single precision is the subject")]
            let fast = f64::from(encode_fast(encoding_table(), light as f32));
            assert!((fast - exact).abs() < 4e-4, "{light}: {fast} for {exact}");
        }
    }

    #[test]
    fn the_pixel_form_agrees_with_the_exact_form() {
        for r in (0..=255_u8).step_by(15) {
            for g in (0..=255_u8).step_by(15) {
                for b in (0..=255_u8).step_by(15) {
                    let exact = hsb(Srgb::from_codes([r, g, b]));
                    let [x, y, z] = [r, g, b].map(|code| f32::from(code) / 255.0);
                    let Some(fast) = pixel_hsb(x, y, z) else {
                        assert_eq!(exact.hue, None, "{r} {g} {b}");
                        continue;
                    };
                    let hue = exact.hue.expect("the pixel form found one");
                    assert!((f64::from(fast.0) - hue).abs() < 1e-3, "{r} {g} {b}: {}", fast.0);
                    let index = dark_green_index(exact).expect("has a hue");
                    assert!((f64::from(pixel_index(fast)) - index).abs() < 1e-5, "{r} {g} {b}");
                }
            }
        }
    }
}
