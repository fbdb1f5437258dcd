//! One pass over the pixels of a region: every sum that a measurement needs.

use crate::{
    frame::{Frame, Region},
    mask::GreenRange,
    matrix::{IDENTITY, Matrix},
    pixel::{LIGHT_OF_CODE, encode_fast, encoding_table, pixel_hsb, pixel_index},
};

/// Tiles along each side of a frame.
pub(crate) const TILES: usize = 8;
/// Bins of the histogram of hue for each degree.
const BINS_PER_DEGREE: usize = 4;
/// A bin holds what is nearest to its own hue; the last one is a whole turn.
const BINS: usize = 360 * BINS_PER_DEGREE + 1;

/// Sums over the green pixels of one tile, and counts over all of its pixels.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Tile {
    pub(crate) pixels: u64,
    pub(crate) green: u64,
    pub(crate) hue: f64,
    pub(crate) saturation: f64,
    pub(crate) brightness: f64,
    pub(crate) index: f64,
    pub(crate) index_squared: f64,
    pub(crate) light: [f64; 3],
    /// Corrected luminance of all pixels, green or not.
    pub(crate) luminance: f64,
}

impl Tile {
    fn add(&mut self, other: &Self) {
        self.pixels += other.pixels;
        self.green += other.green;
        self.hue += other.hue;
        self.saturation += other.saturation;
        self.brightness += other.brightness;
        self.index += other.index;
        self.index_squared += other.index_squared;
        self.luminance += other.luminance;
        for (sum, more) in self.light.iter_mut().zip(other.light) {
            *sum += more;
        }
    }
}

/// Everything counted in one pass.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Tally {
    pub(crate) tiles: Vec<Tile>,
    /// Pixels with a hue and a saturation in range, by hue.
    hues: Vec<u32>,
    /// Pixels without a hue.
    pub(crate) greys: u64,
    /// Pixels with a channel at the upper end of the camera's scale.
    pub(crate) blown: u64,
    /// Pixels with all channels at the lower end.
    pub(crate) black: u64,
    /// Bright pixels almost without colour.
    pub(crate) glaring: u64,
    /// Pixels that the correction moved outside what can be shown.
    pub(crate) beyond: u64,
}

impl Tally {
    pub(crate) fn empty() -> Self {
        Self {
            tiles: vec![Tile::default(); TILES * TILES],
            hues: vec![0; BINS],
            greys: 0,
            blown: 0,
            black: 0,
            glaring: 0,
            beyond: 0,
        }
    }

    /// All tiles together.
    pub(crate) fn whole(&self) -> Tile {
        let mut whole = Tile::default();
        self.tiles.iter().for_each(|tile| whole.add(tile));
        whole
    }

    /// Share of all pixels whose hue lies in a range (and whose saturation was in the mask's).
    ///
    /// Borders are taken to the nearest quarter of a degree.
    pub(crate) fn cover_between(&self, hue: [f64; 2]) -> f64 {
        let bin = |degrees: f64| {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "clamped to the bins"
            )]
            let bin =
                (degrees * BINS_PER_DEGREE as f64).round().clamp(0.0, BINS as f64 - 1.0) as usize;
            bin
        };
        let (from, to) = (bin(hue[0]), bin(hue[1]));
        let counted: u64 = self.hues[from..=to.max(from)].iter().map(|n| u64::from(*n)).sum();
        counted as f64 / (self.whole().pixels.max(1)) as f64
    }
}

/// Channel codes from here up are at the end of the camera's scale.
const BLOWN: u8 = 254;
/// Pixels whose greatest code is up to here hold no light to speak of.
const BLACK: u8 = 3;
/// A pixel this bright and this grey is glare on a wet or waxy leaf, or a white object.
const GLARE_CODE: u8 = 217;
const GLARE_SPREAD: u8 = 26;

/// How many pixels are added up in single precision before they go to the double sums.
const RUN: usize = 256;

/// Counts a frame at full size.
pub(crate) fn tally(
    frame: &Frame<'_>,
    region: &Region,
    green: &GreenRange,
    matrix: &Matrix,
) -> Tally {
    let mut tally = Tally::empty();
    let pass = Pass::new(green, matrix);
    for y in 0..frame.height() {
        pass.row(frame.row(y), &region.spans(y, frame.width()), y, frame, &mut tally);
    }
    tally
}

/// Counts a frame at half and at quarter size, each pixel the mean light of four or of sixteen.
///
/// A block belongs when its upper left pixel does and it does not reach beyond the range of
/// columns.
pub(crate) fn tally_reduced(
    frame: &Frame<'_>,
    region: &Region,
    green: &GreenRange,
    matrix: &Matrix,
) -> [Tally; 2] {
    let mut tallies = [Tally::empty(), Tally::empty()];
    let (width, height) = (frame.width(), frame.height());
    let pass = Pass::new(green, matrix);
    let mut halves = [vec![[0.0; 3]; width / 2], vec![[0.0; 3]; width / 2]];
    let mut quarter = vec![[0.0; 3]; width / 4];
    for y in (0..height - height % 4).step_by(4) {
        for (half, y) in halves.iter_mut().zip([y, y + 2]) {
            halve_codes(frame.row(y), frame.row(y + 1), half);
            pass.reduced(half, 2, y, frame, region, &mut tallies[0]);
        }
        for (x, to) in quarter.iter_mut().enumerate() {
            let [upper, lower] = &halves;
            *to = std::array::from_fn(|c| {
                0.25 * (upper[2 * x][c]
                    + upper[2 * x + 1][c]
                    + lower[2 * x][c]
                    + lower[2 * x + 1][c])
            });
        }
        pass.reduced(&quarter, 4, y, frame, region, &mut tallies[1]);
    }
    tallies
}

/// Mean light of blocks of two by two pixels.
fn halve_codes(upper: &[u8], lower: &[u8], to: &mut [[f32; 3]]) {
    let table = &*LIGHT_OF_CODE;
    for ((up, low), to) in upper.chunks_exact(6).zip(lower.chunks_exact(6)).zip(to) {
        *to = std::array::from_fn(|c| {
            let light = |codes: &[u8], at: usize| table[usize::from(codes[at])];
            0.25 * (light(up, c) + light(up, c + 3) + light(low, c) + light(low, c + 3))
        });
    }
}

/// A range of columns cut at the borders of tiles and into runs, each with its tile's column.
fn pieces(from: usize, to: usize, width: usize) -> impl Iterator<Item = (usize, usize, usize)> {
    let mut at = from;
    std::iter::from_fn(move || {
        if at >= to {
            return None;
        }
        let tile = (at * TILES / width).min(TILES - 1);
        // The first column of the next tile.
        let next = ((tile + 1) * width).div_ceil(TILES);
        let end = to.min(next).min(at + RUN);
        let piece = (at, end, tile);
        at = end;
        Some(piece)
    })
}

/// The settings of one pass, in the form that the inner loop wants.
pub(crate) struct Pass {
    hue: [f32; 2],
    saturation: [f32; 2],
    matrix: [[f32; 3]; 3],
    changes_nothing: bool,
}

impl Pass {
    #[expect(clippy::cast_possible_truncation, reason = "single precision is what pixels need")]
    pub(crate) fn new(green: &GreenRange, matrix: &Matrix) -> Self {
        Self {
            hue: green.hue.map(|degrees| degrees as f32),
            saturation: green.saturation.map(|share| share as f32),
            matrix: matrix.map(|row| row.map(|entry| entry as f32)),
            changes_nothing: *matrix == IDENTITY,
        }
    }

    /// Counts ranges of one row of codes.
    pub(crate) fn row(
        &self,
        codes: &[u8],
        spans: &[(usize, usize)],
        y: usize,
        frame: &Frame<'_>,
        tally: &mut Tally,
    ) {
        let tile_row = TILES * (y * TILES / frame.height());
        for (from, to) in spans {
            for (start, end, tile) in pieces(*from, *to, frame.width()) {
                self.codes(&codes[3 * start..3 * end], tally, tile_row + tile);
            }
        }
    }

    /// Counts a run of pixels of one tile.
    fn codes(&self, codes: &[u8], tally: &mut Tally, tile: usize) {
        let table = &*LIGHT_OF_CODE;
        let (mut blown, mut black, mut glaring) = (0, 0, 0);
        for pixel in codes.chunks_exact(3) {
            let most = pixel[0].max(pixel[1]).max(pixel[2]);
            let least = pixel[0].min(pixel[1]).min(pixel[2]);
            blown += u64::from(most >= BLOWN);
            black += u64::from(most <= BLACK);
            glaring += u64::from(most >= GLARE_CODE && most - least <= GLARE_SPREAD);
        }
        tally.blown += blown;
        tally.black += black;
        tally.glaring += glaring;
        let lights = codes
            .chunks_exact(3)
            .map(|pixel| [pixel[0], pixel[1], pixel[2]].map(|code| table[usize::from(code)]));
        let mut beyond = 0;
        self.lights(lights, tally, tile, &mut |is_beyond| beyond += u64::from(is_beyond));
        tally.beyond += beyond;
    }

    /// Counts one row of blocks whose upper row of pixels is `y`.
    fn reduced(
        &self,
        blocks: &[[f32; 3]],
        side: usize,
        y: usize,
        frame: &Frame<'_>,
        region: &Region,
        tally: &mut Tally,
    ) {
        let tile_row = TILES * (y * TILES / frame.height());
        for (from, to) in region.spans(y, frame.width()) {
            let (from, to) = (from.div_ceil(side), (to / side).min(blocks.len()));
            // Tiles of blocks are those of pixels, but for a block across a border.
            for (start, end, tile) in pieces(from, to, blocks.len()) {
                let run = blocks[start..end].iter().copied();
                self.lights(run, tally, tile_row + tile, &mut |_| ());
            }
        }
    }

    /// Counts a run of linear pixels of one tile; `RUN` of them at most.
    #[inline]
    fn lights(
        &self,
        lights: impl Iterator<Item = [f32; 3]>,
        tally: &mut Tally,
        tile: usize,
        beyond: &mut impl FnMut(bool),
    ) {
        let table = encoding_table();
        let m = &self.matrix;
        let (mut pixels, mut green_pixels, mut greys) = (0_u32, 0_u32, 0_u32);
        let mut sums = [0.0_f32; 5];
        let mut light_sums = [0.0_f32; 3];
        let mut luminance = 0.0_f32;
        for light in lights {
            pixels += 1;
            let [r, g, b] = if self.changes_nothing {
                light
            } else {
                let row = |i: usize| m[i][0] * light[0] + m[i][1] * light[1] + m[i][2] * light[2];
                let corrected = [row(0), row(1), row(2)];
                beyond(corrected.iter().any(|c| *c < -0.002 || *c > 1.002));
                corrected
            };
            luminance += 0.2126 * r + 0.7152 * g + 0.0722 * b;
            let encoded = [r, g, b].map(|light| encode_fast(table, light));
            let Some(parts) = pixel_hsb(encoded[0], encoded[1], encoded[2]) else {
                greys += 1;
                continue;
            };
            let (hue, saturation, brightness) = parts;
            if saturation < self.saturation[0] || saturation > self.saturation[1] {
                continue;
            }
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a hue lies from 0 to 360"
            )]
            let bin = (hue * BINS_PER_DEGREE as f32 + 0.5) as usize;
            tally.hues[bin.min(BINS - 1)] += 1;
            if hue < self.hue[0] || hue > self.hue[1] {
                continue;
            }
            green_pixels += 1;
            let index = pixel_index(parts);
            for (sum, more) in
                sums.iter_mut().zip([hue, saturation, brightness, index, index * index])
            {
                *sum += more;
            }
            for (sum, more) in light_sums.iter_mut().zip([r, g, b]) {
                *sum += more;
            }
        }
        tally.greys += u64::from(greys);
        let tile = &mut tally.tiles[tile];
        tile.pixels += u64::from(pixels);
        tile.green += u64::from(green_pixels);
        tile.hue += f64::from(sums[0]);
        tile.saturation += f64::from(sums[1]);
        tile.brightness += f64::from(sums[2]);
        tile.index += f64::from(sums[3]);
        tile.index_squared += f64::from(sums[4]);
        tile.luminance += f64::from(luminance);
        for (sum, more) in tile.light.iter_mut().zip(light_sums) {
            *sum += f64::from(more);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_cover_a_range_once_and_keep_to_their_tile() {
        for width in [1, 7, 8, 9, 100, 4001] {
            for (from, to) in [(0, width), (width / 3, width), (width / 2, width / 2)] {
                let mut at = from;
                for (start, end, tile) in pieces(from, to, width) {
                    assert_eq!(start, at, "no gap");
                    assert!(end > start && end - start <= RUN, "a run");
                    for x in [start, end - 1] {
                        assert_eq!(x * TILES / width, tile, "column {x} of {width}");
                    }
                    at = end;
                }
                assert_eq!(at, to.max(from), "to the end");
            }
        }
    }
}
