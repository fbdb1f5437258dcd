//! One pass over the pixels of a region: every sum that a measurement needs.
//!
//! The frame is cut into bands of rows that are counted side by side and added in their order, so
//! that the sums do not hang on how many hands there were.

use fearless_simd::{Level, Simd, dispatch};

use crate::{
    chroma::{SIDE, average_colour},
    detail::Detail,
    frame::{Frame, Region},
    lanes::{Judging, RUN},
    mask::GreenRange,
    matrix::Matrix,
    planes::Planes,
    side_by_side::side_by_side,
    tally::{Counts, TILES, Tally, Tiles},
};

/// A region counted in every way.
#[derive(Debug)]
pub(crate) struct Counted {
    /// Every pixel as it is.
    pub(crate) full: Tally,
    /// At half and at quarter size, each pixel the mean light of four or of sixteen.
    ///
    /// A block belongs when its upper left pixel does and it does not reach beyond the range of
    /// columns.
    pub(crate) reduced: [Tiles; 2],
    /// A sample of rows as they are.
    pub(crate) as_is: Tiles,
    /// The same rows, colour averaged over blocks.
    pub(crate) averaged: Tiles,
    /// Fine detail along the rows.
    pub(crate) detail: Detail,
}

/// Rows of a band: whole blocks of colour, and enough of them to be worth a hand's reach.
const BAND: usize = 8 * SIDE;
/// About so many pixels are looked at with their colour averaged; more would not tell more.
const ENOUGH_PIXELS: usize = 1_000_000;

/// Counts a frame.
pub(crate) fn count(
    frame: &Frame<'_>,
    region: &Region,
    green: &GreenRange,
    matrix: &Matrix,
) -> Counted {
    let judging = Judging::new(green, matrix);
    let every = (frame.width() * frame.height() / ENOUGH_PIXELS).max(1);
    let pass = Pass { frame, region, judging, every };
    let bands: Vec<usize> = (0..frame.height()).step_by(BAND).collect();
    let level = Level::new();
    let counted = side_by_side(&bands, |from| dispatch!(level, simd => pass.band(simd, *from)));
    let mut all = Band::empty();
    counted.iter().for_each(|band| all.add(band));
    let mut tiles = all.rest;
    tiles.add(&all.as_is);
    Counted {
        full: Tally { tiles, counts: all.counts },
        reduced: all.reduced,
        as_is: all.as_is,
        averaged: all.averaged,
        detail: all.detail,
    }
}

struct Pass<'a> {
    frame: &'a Frame<'a>,
    region: &'a Region,
    judging: Judging,
    /// Of so many rows of blocks one has its colour averaged.
    every: usize,
}

/// What was counted in a band of rows.
struct Band {
    /// Rows that are not in the sample of `as_is`.
    rest: Tiles,
    as_is: Tiles,
    averaged: Tiles,
    reduced: [Tiles; 2],
    counts: Counts,
    detail: Detail,
}

impl Band {
    fn empty() -> Self {
        Self {
            rest: Tiles::empty(),
            as_is: Tiles::empty(),
            averaged: Tiles::empty(),
            reduced: [Tiles::empty(), Tiles::empty()],
            counts: Counts::empty(),
            detail: Detail::default(),
        }
    }

    fn add(&mut self, other: &Self) {
        self.rest.add(&other.rest);
        self.as_is.add(&other.as_is);
        self.averaged.add(&other.averaged);
        for (sum, more) in self.reduced.iter_mut().zip(&other.reduced) {
            sum.add(more);
        }
        self.counts.add(&other.counts);
        self.detail.add(other.detail);
    }
}

impl Pass<'_> {
    #[inline(always)]
    fn band<S: Simd>(&self, simd: S, from: usize) -> Band {
        let (width, height) = (self.frame.width(), self.frame.height());
        let mut band = Band::empty();
        let mut codes = vec![Planes::<u8>::of_width(width); SIDE];
        let mut lights = vec![Planes::<f32>::of_width(width); 4];
        let mut halves = vec![Planes::<f32>::of_width(width / 2); 2];
        let mut quarter = Planes::<f32>::of_width(width / 4);
        let mut detail_blocks = Vec::with_capacity(width / 2);
        for top in (from..(from + BAND).min(height)).step_by(SIDE) {
            let is_sample = (top / SIDE).is_multiple_of(self.every) && top + SIDE <= height;
            for four in (top..(top + SIDE).min(height)).step_by(4) {
                let rows = 4.min(height - four);
                let codes = &mut codes[four - top..four - top + rows];
                for (at, (codes, lights)) in codes.iter_mut().zip(&mut lights).enumerate() {
                    let y = four + at;
                    codes.fill(self.frame.row(y));
                    lights.light_up(codes);
                    let tiles = if is_sample { &mut band.as_is } else { &mut band.rest };
                    self.full_row(simd, codes, lights, y, tiles, &mut band.counts);
                }
                if rows > 1 {
                    let spans = self.region.spans(four, width);
                    let (upper, lower) = (&codes[0].0[1], &codes[1].0[1]);
                    band.detail.look_along(upper, lower, &spans, &mut detail_blocks);
                }
                if rows == 4 {
                    for (at, half) in halves.iter_mut().enumerate() {
                        half.halve(&lights[2 * at], &lights[2 * at + 1]);
                        self.blocks(simd, half, 2, four + 2 * at, &mut band.reduced[0]);
                    }
                    quarter.halve(&halves[0], &halves[1]);
                    self.blocks(simd, &quarter, 4, four, &mut band.reduced[1]);
                }
            }
            if is_sample {
                average_colour(&mut codes);
                for (at, codes) in codes.iter().enumerate() {
                    lights[0].light_up(codes);
                    let spans = self.region.spans(top + at, width);
                    self.row(simd, &lights[0], &spans, top + at, &mut band.averaged, |_, _, _| ());
                }
            }
        }
        band
    }

    /// Counts a row of the frame as it is.
    #[inline(always)]
    fn full_row<S: Simd>(
        &self,
        simd: S,
        codes: &Planes<u8>,
        lights: &Planes<f32>,
        y: usize,
        tiles: &mut Tiles,
        counts: &mut Counts,
    ) {
        let spans = self.region.spans(y, codes.width());
        self.row(simd, lights, &spans, y, tiles, |from, bins, beyond| {
            counts.add_hues(bins);
            counts.beyond += beyond;
            counts.add_extremes(codes.part(from, from + bins.len()));
        });
    }

    /// Counts one row of blocks whose upper row of pixels is `y`.
    #[inline(always)]
    fn blocks<S: Simd>(
        &self,
        simd: S,
        blocks: &Planes<f32>,
        side: usize,
        y: usize,
        tiles: &mut Tiles,
    ) {
        let spans: Vec<(usize, usize)> = self
            .region
            .spans(y, self.frame.width())
            .into_iter()
            .map(|(from, to)| (from.div_ceil(side), (to / side).min(blocks.width())))
            .collect();
        self.row(simd, blocks, &spans, y, tiles, |_, _, _| ());
    }

    /// Counts ranges of one row; `also` is told each run's first column, its hues' bins, and its
    /// pixels beyond what can be held.
    ///
    /// Tiles of blocks are those of pixels, but for a block across a border.
    #[inline(always)]
    fn row<S: Simd>(
        &self,
        simd: S,
        lights: &Planes<f32>,
        spans: &[(usize, usize)],
        y: usize,
        tiles: &mut Tiles,
        mut also: impl FnMut(usize, &[i32], f64),
    ) {
        let tile_row = TILES * (y * TILES / self.frame.height());
        let mut bins = [0; RUN];
        for (from, to) in spans {
            for (start, end, tile) in pieces(*from, *to, lights.width()) {
                let run = self.judging.run(simd, lights.part(start, end), &mut bins);
                tiles.0[tile_row + tile].add_run(end - start, &run);
                also(start, &bins[..end - start], run.beyond);
            }
        }
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
