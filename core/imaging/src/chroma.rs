//! How much a measurement hangs on fine colour, which files keep at half size at best.

use crate::planes::Planes;

/// Side of the blocks over which colour is averaged: that of a coding unit of a JPEG with chroma at
/// half size, so that what is left is what the strongest compression leaves.
pub(crate) const SIDE: usize = 16;

/// Averages the colour (not the brightness) of a row of blocks, given as its rows of pixels.
///
/// # Source  chroma at half size: JFIF 1.02 with ITU-T T.81, as phones write it; the weights of
///   luma are those of ITU-R BT.601.
#[inline(always)]
pub(crate) fn average_colour(rows: &mut [Planes<u8>]) {
    let Some(width) = rows.first().map(Planes::width) else { return };
    let mut red = vec![0.0_f32; width];
    let mut blue = vec![0.0_f32; width];
    for Planes([r, g, b]) in &*rows {
        let codes = r.iter().zip(g).zip(b);
        for (((r, g), b), (red, blue)) in codes.zip(red.iter_mut().zip(&mut blue)) {
            let luma = luma([*r, *g, *b]);
            *red += f32::from(*r) - luma;
            *blue += f32::from(*b) - luma;
        }
    }
    for columns in [&mut red, &mut blue] {
        for block in columns.chunks_mut(SIDE) {
            let mean = block.iter().sum::<f32>() / (block.len() * rows.len()) as f32;
            block.fill(mean);
        }
    }
    for Planes([r, g, b]) in rows {
        let codes = r.iter_mut().zip(g).zip(b);
        for (((r, g), b), (red, blue)) in codes.zip(red.iter().zip(&blue)) {
            let luma = luma([*r, *g, *b]);
            *r = code(luma + red);
            *b = code(luma + blue);
            // What red and blue add is taken from green, so that the luma stays.
            *g = code(luma - (0.299 * red + 0.114 * blue) / 0.587);
        }
    }
}

#[inline(always)]
fn luma(codes: [u8; 3]) -> f32 {
    let [r, g, b] = codes.map(f32::from);
    0.299 * r + 0.587 * g + 0.114 * b
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to the range of a byte"
)]
#[inline(always)]
fn code(value: f32) -> u8 {
    (value + 0.5).clamp(0.0, 255.0) as u8
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn averaging_colour_keeps_the_brightness() {
        let before: Vec<Planes<u8>> = (0..SIDE)
            .map(|row| {
                Planes(std::array::from_fn(|c| {
                    let code = |x: usize| 60 + (60 * row + 3 * x + c) * 37 % 91;
                    (0..20).map(|x| u8::try_from(code(x)).expect("small")).collect()
                }))
            })
            .collect();
        let mut after = before.clone();
        average_colour(&mut after);
        let pixel = |rows: &[Planes<u8>], x: usize, y: usize| [0, 1, 2].map(|c| rows[y].0[c][x]);
        for y in 0..SIDE {
            for x in 0..20 {
                let (before, after) = (pixel(&before, x, y), pixel(&after, x, y));
                assert!((luma(before) - luma(after)).abs() < 1.0, "{before:?} {after:?}");
            }
        }
        let difference = |x: usize| f32::from(pixel(&after, x, 0)[0]) - luma(pixel(&after, x, 0));
        // Within a block colour is one; the last columns are a block of their own.
        assert!((difference(0) - difference(15)).abs() < 1.5, "{after:?}");
    }
}
