//! The measurement of one photo: cover, colour, index, and how sure each is.

use swardbook_stats::uncertainty::{Uncertainty, combine};

use crate::{
    ImagingError,
    alike::Apart,
    correction::{ColourUncertainty, Correction},
    frame::{Frame, Region},
    lab::{Lab, lab_of},
    mask::GreenRange,
    pass::count,
    quality::{Flag, Quality, QualityLimits, quality},
    srgb::Linear,
    tally::{Tally, Tile},
};

/// Name of this way of measuring; a measurement keeps it, and another way gets another name.
///
/// Each pixel is decoded, corrected in linear light, encoded again and taken to hue, saturation,
/// brightness and index by itself; means are taken last, over the green pixels.
/// The first of this name encoded by straight lines between 4096 places of the curve and kept no
/// parts of its uncertainty.
pub const ALGORITHM: &str = "pixel-then-mean-2";

/// Names of the ways before it, oldest first; a name that is in neither place is a later version's.
pub const EARLIER: [&str; 1] = ["pixel-then-mean-1"];

/// The fewest pixels of a region, and the fewest green ones for a colour.
pub const LEAST_PIXELS: u64 = 1000;

/// What a person may set, all of it kept with the measurement.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// What counts as green.
    pub green: GreenRange,
    /// A second range of hue, degrees, whose cover is told beside the first as its sensitivity.
    pub second_hue: [f64; 2],
    /// What of the frame is measured.
    pub region: Region,
    /// When a photo is flagged.
    pub limits: QualityLimits,
}

impl Settings {
    /// The published range over the whole frame.
    #[must_use]
    pub fn usual() -> Self {
        Self {
            green: GreenRange::PUBLISHED,
            second_hue: GreenRange::WIDER_HUE,
            region: Region::whole(),
            limits: QualityLimits::USUAL,
        }
    }
}

/// A value and what makes it uncertain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// The value.
    pub value: f64,
    /// From the card: how well colours are known after correction; `None` without a card.
    pub colour: Option<Uncertainty>,
    /// How far the value moves when the photo is taken at half or at quarter its size, or with one
    /// colour for each block of a JPEG: fine detail, noise, blur, and what compression did to them.
    ///
    /// Half the size tells of noise; the others tell of detail that camera and file may already
    /// have lost.
    /// Photos of one zone taken in one way share much of it ([`Self::apart`]).
    pub detail: Uncertainty,
    /// From the scatter of the tiles: how well this frame stands for the turf around it.
    ///
    /// Neighbouring tiles are alike, so that it is rather too small; repeat photos tell better.
    /// `None` when the region lies within one tile.
    pub tiles: Option<Uncertainty>,
    /// Card and detail once more, taken apart into what photos taken in one way have in common and
    /// what each has for itself.
    pub apart: Apart,
}

impl Reading {
    /// Of the value in this very frame: card and detail.
    ///
    /// # Errors  `Statistics` for parts that are no numbers.
    pub fn of_the_frame(&self) -> Result<Uncertainty, ImagingError> {
        let colour = self.colour.unwrap_or(Uncertainty::known(0.0));
        Ok(combine(&[colour, self.detail])?)
    }

    /// Of the value as one for the turf around the frame: card, detail and tiles; `None` when the
    /// scatter of tiles is not known.
    ///
    /// # Errors  `Statistics` for parts that are no numbers.
    pub fn of_the_turf(&self) -> Result<Option<Uncertainty>, ImagingError> {
        let frame = self.of_the_frame()?;
        self.tiles.map(|tiles| Ok(combine(&[frame, tiles])?)).transpose()
    }
}

/// Mean colour of the green pixels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TurfColour {
    /// Dark green colour index.
    pub index: Reading,
    /// Standard deviation of the index between pixels, kept beside its mean (`ghali-2012`).
    pub index_spread: f64,
    /// Mean hue, degrees.
    pub hue: Reading,
    /// Mean saturation, 0 to 1.
    pub saturation: Reading,
    /// Mean brightness, 0 to 1.
    pub brightness: Reading,
    /// CIELAB lightness, red to green, and yellow to blue of their mean light: what an eye sees
    /// from afar.
    pub lab: [Reading; 3],
}

/// The measurement of one photo.
#[derive(Debug, Clone, PartialEq)]
pub struct PhotoMeasurement {
    /// [`ALGORITHM`] at the time.
    pub algorithm: &'static str,
    /// Pixels of the region.
    pub pixels: u64,
    /// Green share of the region, a ratio.
    pub cover: Reading,
    /// The same by the second range of hue, its borders to the nearest quarter of a degree.
    pub second_cover: f64,
    /// Colour of the green pixels; `None` when there are too few.
    pub colour: Option<TurfColour>,
    /// Measures of the photo.
    pub quality: Quality,
    /// What is wrong with it.
    pub flags: Vec<Flag>,
    /// Whether a card corrected it; without one it is shown and never evidence.
    pub is_corrected: bool,
}

impl TurfColour {
    /// CIELAB without its uncertainty.
    #[must_use]
    pub const fn lab(&self) -> Lab {
        let [l, a, b] = self.lab;
        Lab { l: l.value, a: a.value, b: b.value }
    }
}

impl PhotoMeasurement {
    /// Whether it may speak in a comparison: corrected by a card, and nothing wrong with it.
    #[must_use]
    pub fn is_evidence(&self) -> bool {
        self.is_corrected && self.flags.is_empty()
    }
}

/// Measures one photo.
///
/// # Errors  `Setting` for ranges that cannot be, `EmptyRegion` below [`LEAST_PIXELS`].
/// # Source  cover `richardson-2001`, index `karcher-richardson-2003`.
pub fn measure(
    frame: &Frame<'_>,
    correction: &Correction,
    settings: &Settings,
) -> Result<PhotoMeasurement, ImagingError> {
    let green = settings.green.checked()?;
    GreenRange { hue: settings.second_hue, ..green }.checked()?;
    let counted = count(frame, &settings.region, &green, &correction.matrix);
    let full = counted.full;
    let whole = full.whole();
    let others = Others {
        reduced: counted.reduced.map(|tiles| tiles.whole()),
        as_is: counted.as_is.whole(),
        averaged: counted.averaged.whole(),
    };
    if whole.pixels < LEAST_PIXELS || others.tiles().iter().any(|tile| tile.pixels == 0) {
        return Err(ImagingError::EmptyRegion { needed: LEAST_PIXELS, got: whole.pixels });
    }
    let is_green_enough =
        whole.green >= LEAST_PIXELS && others.tiles().iter().all(|tile| tile.green > 0);
    let turf = is_green_enough.then(|| mean_light(&whole));
    let known = turf.and_then(|light| correction.uncertainty(light));
    let quality = quality(&full, counted.detail);
    let cover = cover(&full, &others, &green, known);
    Ok(PhotoMeasurement {
        algorithm: ALGORITHM,
        pixels: whole.pixels,
        cover,
        second_cover: full.cover_between(settings.second_hue),
        colour: turf.map(|_| colour(&full, &others, &cover, &green, known)),
        quality,
        flags: quality.flags(&settings.limits),
        is_corrected: correction.is_by_card(),
    })
}

/// Three moves, each seen once, are three degrees of freedom.
///
/// # Source  common practice, no source, for taking them so; drawn turf of known colour shows that
///   the intervals then hold (`tests/honesty.rs`).
fn detail(moves: [f64; 3], more: f64) -> Uncertainty {
    let squares = moves.iter().map(|one| one * one).sum::<f64>();
    Uncertainty { u: (squares + more * more).sqrt(), df: crate::alike::MOVES_DF }
}

/// What rounding to 8 bits makes of the hue of a turf pixel: half a code of sixty.
const ROUNDING_DEGREES: f64 = 1.0;

fn share(tile: &Tile) -> f64 {
    tile.green as f64 / tile.pixels as f64
}

/// The same region counted in other ways, to see what the value hangs on.
struct Others {
    /// At half and at quarter size.
    reduced: [Tile; 2],
    /// A sample of rows as they are.
    as_is: Tile,
    /// The same rows, colour averaged over blocks.
    averaged: Tile,
}

impl Others {
    fn tiles(&self) -> [&Tile; 4] {
        [&self.reduced[0], &self.reduced[1], &self.as_is, &self.averaged]
    }

    /// How far a value moves: at half size, at quarter size, with colour by blocks.
    fn moves(&self, value: f64, of: impl Fn(&Tile) -> f64) -> [f64; 3] {
        let [half, quarter] = &self.reduced;
        [of(half) - value, of(quarter) - value, of(&self.averaged) - of(&self.as_is)]
    }
}

fn mean_light(tile: &Tile) -> Linear {
    Linear(tile.light.map(|sum| sum / tile.green as f64))
}

fn cover(
    full: &Tally,
    others: &Others,
    green: &GreenRange,
    known: Option<ColourUncertainty>,
) -> Reading {
    let whole = full.whole();
    let value = share(&whole);
    // Hues that are wrong by so much move the borders of the range by as much.
    let moved_by = |degrees: f64| {
        let at = |by: f64| full.cover_between(green.hue.map(|hue| hue + by));
        let middle = at(0.0);
        (at(degrees) - middle).abs().max((at(-degrees) - middle).abs())
    };
    let colour = known.map(|known| Uncertainty { u: moved_by(known.hue), df: known.index.df });
    // A hue that is off by so much to one side moves both borders to the other.
    let offset = known.map_or(0.0, |known| {
        let at = |by: f64| full.cover_between(green.hue.map(|hue| hue + by));
        at(known.hue_offset) - at(0.0)
    });
    let (moves, rounding) = (others.moves(value, share), moved_by(ROUNDING_DEGREES));
    Reading {
        value,
        colour,
        detail: detail(moves, rounding),
        tiles: between_tiles(full, |tile| (tile.pixels, share(tile))),
        apart: Apart::of(moves, rounding, colour, offset),
    }
}

fn colour(
    full: &Tally,
    others: &Others,
    cover: &Reading,
    green: &GreenRange,
    known: Option<ColourUncertainty>,
) -> TurfColour {
    let whole = full.whole();
    let count = whole.green as f64;
    let index = whole.index / count;
    let spread = (whole.index_squared / count - index * index).max(0.0).sqrt();
    // Pixels that count as green or not by chance differ from the mean by about one spread.
    let exchanged = spread * cover.detail.u / cover.value;
    // Those that change sides lie at a border of the range, and so far from the mean hue.
    let mean_hue = whole.hue / count;
    let far = green.hue.iter().map(|border| (border - mean_hue).abs()).fold(0.0, f64::max);
    let changing = cover.detail.u.hypot(cover.colour.map_or(0.0, |colour| colour.u));
    let at_border = far * changing / cover.value;
    let reading = |colour: Option<[f64; 2]>, more: f64, of: &dyn Fn(&Tile) -> f64| {
        let value = of(&whole);
        let [u, offset] = colour.unwrap_or_default();
        let colour = known.map(|known| Uncertainty { u, df: known.index.df });
        let moves = others.moves(value, of);
        Reading {
            value,
            colour,
            detail: detail(moves, more),
            tiles: between_tiles(full, |tile| (tile.green, of(tile))),
            apart: Apart::of(moves, more, colour, offset),
        }
    };
    // What is not known of one side counts as each photo's own.
    let own = |u: f64| [u, 0.0];
    let per_green = |sum: f64, tile: &Tile| sum / tile.green as f64;
    let lab = |at: usize| {
        move |tile: &Tile| {
            let lab = lab_of(mean_light(tile));
            [lab.l, lab.a, lab.b][at]
        }
    };
    TurfColour {
        index: reading(known.map(|k| [k.index.u, k.index_offset]), exchanged, &|t| {
            per_green(t.index, t)
        }),
        index_spread: spread,
        hue: reading(known.map(|k| [k.hue, k.hue_offset]), at_border, &|t| per_green(t.hue, t)),
        saturation: reading(known.map(|k| own(k.saturation)), 0.0, &|t| per_green(t.saturation, t)),
        brightness: reading(known.map(|k| own(k.brightness)), 0.0, &|t| per_green(t.brightness, t)),
        lab: [0, 1, 2].map(|at| reading(known.map(|k| own(k.lab[at])), 0.0, &lab(at))),
    }
}

/// Standard error of the weighted mean of tiles: `sqrt(sum w^2 (x - mean)^2)`, weights adding to
/// one, times `n / (n - 1)` under the root.
///
/// # Source  Cochran WG (1977) Sampling Techniques, 3rd ed., 6.4, ratio estimator, from memory.
fn between_tiles(tally: &Tally, of: impl Fn(&Tile) -> (u64, f64)) -> Option<Uncertainty> {
    let tiles: Vec<(f64, f64)> = tally
        .tiles
        .0
        .iter()
        .map(of)
        .filter(|(weight, _)| *weight > 0)
        .map(|(weight, value)| (weight as f64, value))
        .collect();
    let all: f64 = tiles.iter().map(|(weight, _)| weight).sum();
    let n = tiles.len() as f64;
    if tiles.len() < 2 {
        return None;
    }
    let mean = tiles.iter().map(|(weight, value)| weight * value).sum::<f64>() / all;
    let squares: f64 =
        tiles.iter().map(|(weight, value)| (weight / all * (value - mean)).powi(2)).sum();
    Some(Uncertainty { u: (squares * n / (n - 1.0)).sqrt(), df: n - 1.0 })
}
