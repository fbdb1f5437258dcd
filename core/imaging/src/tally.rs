//! What is counted of a region: sums for each tile, and counts over all of it.

use crate::lanes::{BINS_PER_DEGREE, NO_BIN, RunSums};

/// Tiles along each side of a frame.
pub(crate) const TILES: usize = 8;
/// Bins of hue, each for what is nearest to its own; the last one is a whole turn.
const LAST_BIN: f64 = 360.0 * BINS_PER_DEGREE as f64;

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

    pub(crate) fn add_run(&mut self, pixels: usize, run: &RunSums) {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a count of at most one run"
        )]
        let green = run.green as u64;
        self.add(&Self {
            pixels: pixels as u64,
            green,
            hue: run.hue,
            saturation: run.saturation,
            brightness: run.brightness,
            index: run.index,
            index_squared: run.index_squared,
            light: run.light,
            luminance: run.luminance,
        });
    }
}

/// The tiles of a frame, row by row.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Tiles(pub(crate) [Tile; TILES * TILES]);

impl Tiles {
    pub(crate) fn empty() -> Self {
        Self([Tile::default(); TILES * TILES])
    }

    pub(crate) fn add(&mut self, other: &Self) {
        for (tile, more) in self.0.iter_mut().zip(&other.0) {
            tile.add(more);
        }
    }

    /// All tiles together.
    pub(crate) fn whole(&self) -> Tile {
        let mut whole = Tile::default();
        self.0.iter().for_each(|tile| whole.add(tile));
        whole
    }
}

/// Counts over the pixels of a region at full size, wherever in it they lie.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Counts {
    /// Pixels with a hue and a saturation in range, by hue; the others at [`NO_BIN`].
    hues: Vec<u32>,
    /// Pixels with a channel at the upper end of the camera's scale.
    pub(crate) blown: u64,
    /// Pixels with all channels at the lower end.
    pub(crate) black: u64,
    /// Bright pixels almost without colour.
    pub(crate) glaring: u64,
    /// Pixels that the correction moved outside what can be held.
    pub(crate) beyond: f64,
}

/// Channel codes from here up are at the end of the camera's scale.
const BLOWN: u8 = 254;
/// Pixels whose greatest code is up to here hold no light to speak of.
const BLACK: u8 = 3;
/// A pixel this bright and this grey is glare on a wet or waxy leaf, or a white object.
const GLARE_CODE: u8 = 217;
const GLARE_SPREAD: u8 = 26;
/// So few pixels that a byte holds their count.
const FEW: usize = 128;

impl Counts {
    pub(crate) fn empty() -> Self {
        Self { hues: vec![0; NO_BIN + 1], blown: 0, black: 0, glaring: 0, beyond: 0.0 }
    }

    pub(crate) fn add(&mut self, other: &Self) {
        for (sum, more) in self.hues.iter_mut().zip(&other.hues) {
            *sum += more;
        }
        self.blown += other.blown;
        self.black += other.black;
        self.glaring += other.glaring;
        self.beyond += other.beyond;
    }

    /// Counts the hues of a run.
    #[inline(always)]
    pub(crate) fn add_hues(&mut self, bins: &[i32]) {
        let hues = &mut self.hues[..=NO_BIN];
        for bin in bins {
            // The mask takes nothing away; it tells the compiler that the place is there.
            #[expect(clippy::cast_sign_loss, reason = "a bin is not negative")]
            let at = *bin as usize & NO_BIN;
            hues[at] += 1;
        }
    }

    /// Counts pixels at the ends of the camera's scale.
    #[inline(always)]
    pub(crate) fn add_extremes(&mut self, [r, g, b]: [&[u8]; 3]) {
        for ((r, g), b) in r.chunks(FEW).zip(g.chunks(FEW)).zip(b.chunks(FEW)) {
            let (mut blown, mut black, mut glaring) = (0_u8, 0_u8, 0_u8);
            for ((r, g), b) in r.iter().zip(g).zip(b) {
                let most = (*r).max(*g).max(*b);
                let least = (*r).min(*g).min(*b);
                blown = blown.wrapping_add(u8::from(most >= BLOWN));
                black = black.wrapping_add(u8::from(most <= BLACK));
                let is_glare = (most >= GLARE_CODE) & (most - least <= GLARE_SPREAD);
                glaring = glaring.wrapping_add(u8::from(is_glare));
            }
            self.blown += u64::from(blown);
            self.black += u64::from(black);
            self.glaring += u64::from(glaring);
        }
    }
}

/// A region counted at full size.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Tally {
    pub(crate) tiles: Tiles,
    pub(crate) counts: Counts,
}

impl Tally {
    /// All tiles together.
    pub(crate) fn whole(&self) -> Tile {
        self.tiles.whole()
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
            let bin = (degrees * f64::from(BINS_PER_DEGREE)).round().clamp(0.0, LAST_BIN) as usize;
            bin
        };
        let (from, to) = (bin(hue[0]), bin(hue[1]));
        let counted: u64 =
            self.counts.hues[from..=to.max(from)].iter().map(|n| u64::from(*n)).sum();
        counted as f64 / (self.whole().pixels.max(1)) as f64
    }
}
