//! What JPEG compression does to pixels, without the coding, which loses nothing.
//!
//! ITU-T T.81: blocks of eight by eight, discrete cosine transform (A.3.3), the example tables of
//! annex K.1 scaled by quality the usual way, and JFIF's YCbCr with chroma at half size.

/// T.81 table K.1.
const LUMA: [u16; 64] = [
    16, 11, 10, 16, 24, 40, 51, 61, 12, 12, 14, 19, 26, 58, 60, 55, 14, 13, 16, 24, 40, 57, 69, 56,
    14, 17, 22, 29, 51, 87, 80, 62, 18, 22, 37, 56, 68, 109, 103, 77, 24, 35, 55, 64, 81, 104, 113,
    92, 49, 64, 78, 87, 103, 121, 120, 101, 72, 92, 95, 98, 112, 100, 103, 99,
];
/// T.81 table K.2.
const CHROMA: [u16; 64] = [
    17, 18, 24, 47, 99, 99, 99, 99, 18, 21, 26, 66, 99, 99, 99, 99, 24, 26, 56, 99, 99, 99, 99, 99,
    47, 66, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99,
    99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99,
];

/// The pixels as they come back from a JPEG of this quality, 1 to 100.
pub(crate) fn compressed(width: usize, height: usize, rgb: &[u8], quality: u16) -> Vec<u8> {
    let scale = if quality < 50 { 5000 / quality } else { 200 - 2 * quality };
    let steps = |table: &[u16; 64]| -> [f64; 64] {
        table.map(|step| f64::from(((step * scale + 50) / 100).clamp(1, 255)))
    };
    let plane = |weights: [f64; 4]| -> Vec<f64> {
        rgb.chunks_exact(3)
            .map(|p| {
                weights[0] * f64::from(p[0])
                    + weights[1] * f64::from(p[1])
                    + weights[2] * f64::from(p[2])
                    + weights[3]
            })
            .collect()
    };
    let luma = plane([0.299, 0.587, 0.114, 0.0]);
    let blue = plane([-0.168_736, -0.331_264, 0.5, 128.0]);
    let red = plane([0.5, -0.418_688, -0.081_312, 128.0]);
    let luma = through_blocks(width, height, &luma, &steps(&LUMA));
    let (half_width, half_height) = (width.div_ceil(2), height.div_ceil(2));
    let chroma = |full: &[f64]| {
        let half = halved(width, height, full);
        through_blocks(half_width, half_height, &half, &steps(&CHROMA))
    };
    let (blue, red) = (chroma(&blue), chroma(&red));
    let mut out = Vec::with_capacity(rgb.len());
    for y in 0..height {
        for x in 0..width {
            let light = luma[y * width + x];
            // Decoders smooth between the halved samples: nine parts of the nearest, one of the
            // farthest.
            let b = smoothed(half_width, half_height, &blue, x, y) - 128.0;
            let r = smoothed(half_width, half_height, &red, x, y) - 128.0;
            for code in
                [light + 1.402 * r, light - 0.344_136 * b - 0.714_136 * r, light + 1.772 * b]
            {
                out.push(code.round().clamp(0.0, 255.0) as u8);
            }
        }
    }
    out
}

fn halved(width: usize, height: usize, full: &[f64]) -> Vec<f64> {
    let at = |x: usize, y: usize| full[y.min(height - 1) * width + x.min(width - 1)];
    let mut half = Vec::new();
    for y in (0..height).step_by(2) {
        for x in (0..width).step_by(2) {
            half.push(0.25 * (at(x, y) + at(x + 1, y) + at(x, y + 1) + at(x + 1, y + 1)));
        }
    }
    half
}

fn smoothed(width: usize, height: usize, half: &[f64], x: usize, y: usize) -> f64 {
    let neighbour = |at: usize, most: usize| {
        let near = at / 2;
        if at % 2 == 0 { near.saturating_sub(1) } else { (near + 1).min(most - 1) }
    };
    let (nx, ny) = (neighbour(x, width), neighbour(y, height));
    let at = |x: usize, y: usize| half[y * width + x];
    (9.0 * at(x / 2, y / 2) + 3.0 * at(nx, y / 2) + 3.0 * at(x / 2, ny) + at(nx, ny)) / 16.0
}

fn through_blocks(width: usize, height: usize, plane: &[f64], steps: &[f64; 64]) -> Vec<f64> {
    let cosines: [[f64; 8]; 8] = std::array::from_fn(|k| {
        let size = if k == 0 { 0.125_f64.sqrt() } else { 0.5 };
        std::array::from_fn(|x| {
            size * (std::f64::consts::PI * (2 * x + 1) as f64 * k as f64 / 16.0).cos()
        })
    });
    let mut out = vec![0.0; width * height];
    for top in (0..height).step_by(8) {
        for left in (0..width).step_by(8) {
            let at = |x: usize, y: usize| {
                plane[(top + y).min(height - 1) * width + (left + x).min(width - 1)] - 128.0
            };
            let rows: [[f64; 8]; 8] = std::array::from_fn(|y| {
                std::array::from_fn(|k| (0..8).map(|x| cosines[k][x] * at(x, y)).sum())
            });
            let mut waves: [[f64; 8]; 8] = std::array::from_fn(|j| {
                std::array::from_fn(|k| (0..8).map(|y| cosines[j][y] * rows[y][k]).sum())
            });
            for (wave, step) in waves.iter_mut().flatten().zip(steps) {
                *wave = (*wave / step).round() * step;
            }
            let rows: [[f64; 8]; 8] = std::array::from_fn(|j| {
                std::array::from_fn(|x| (0..8).map(|k| cosines[k][x] * waves[j][k]).sum())
            });
            for y in 0..8.min(height - top) {
                for x in 0..8.min(width - left) {
                    let value: f64 = (0..8).map(|j| cosines[j][y] * rows[j][x]).sum();
                    out[(top + y) * width + left + x] = value + 128.0;
                }
            }
        }
    }
    out
}
