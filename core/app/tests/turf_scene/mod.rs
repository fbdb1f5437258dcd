//! Photos of drawn turf with a card in them, as files of an invented camera.

#![allow(dead_code, reason = "each test file uses its own part of it")]
#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "codes and sizes of a drawn photo are small and not negative"
)]

use image::{ExtendedColorType, ImageEncoder, RgbImage, codecs::jpeg::JpegEncoder, imageops};
use swardbook_app::photo::slate_squares;
use swardbook_imaging::chart;
use swardbook_units::Id;

/// What is photographed, and how.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Scene {
    /// Codes of the blades.
    pub(crate) blade: [f64; 3],
    /// Share of pixels that are blades.
    pub(crate) cover: f64,
    /// Factors of the light on red, green, blue codes.
    pub(crate) cast: [f64; 3],
    /// Where the chart lies, if it does, and pixels of its module.
    pub(crate) chart: Option<(u32, u32, u16)>,
    /// Dice.
    pub(crate) seed: u32,
}

impl Scene {
    /// Green turf in plain light without a card.
    pub(crate) const PLAIN: Self =
        Self { blade: [70.0, 115.0, 50.0], cover: 0.8, cast: [1.0; 3], chart: None, seed: 7 };

    /// The same with the chart lying in it.
    pub(crate) const WITH_CHART: Self = Self { chart: Some((60, 40, 8)), ..Self::PLAIN };

    /// Draws it.
    pub(crate) fn draw(&self, width: u32, height: u32) -> RgbImage {
        let mut state = self.seed.max(1);
        let mut dice = || {
            // Marsaglia G (2003) Xorshift RNGs, 32 bits.
            state ^= state << 13;
            state ^= state >> 17;
            state ^= state << 5;
            f64::from(state) / f64::from(u32::MAX)
        };
        // Clumps as wide as a blade, so that their colour survives a JPEG.
        const CLUMP: u32 = 14;
        let (columns, rows) = (width / CLUMP + 2, height / CLUMP + 2);
        let clumps: Vec<[f64; 3]> = (0..columns * rows)
            .map(|_| {
                let base = if dice() < self.cover { self.blade } else { [140.0, 115.0, 80.0] };
                let shade = 0.85 + 0.3 * dice();
                base.map(|code| code * shade)
            })
            .collect();
        let mut picture = RgbImage::from_fn(width, height, |x, y| {
            // Rows are shifted against each other, so that no grid is seen.
            let row = y / CLUMP;
            let column = (x + (row * 5) % CLUMP) / CLUMP;
            image::Rgb(clumps[(row * columns + column) as usize].map(|code| code as u8))
        });
        if let Some((left, top, module)) = self.chart {
            let (columns, rows, rgb) = chart::draw(module);
            let sheet = RgbImage::from_raw(columns as u32, rows as u32, rgb).expect("its size");
            imageops::replace(&mut picture, &sheet, i64::from(left), i64::from(top));
        }
        for pixel in picture.pixels_mut() {
            for (code, cast) in pixel.0.iter_mut().zip(self.cast) {
                *code = (f64::from(*code) * cast).clamp(0.0, 255.0) as u8;
            }
        }
        picture
    }

    /// Photographs it.
    pub(crate) fn jpeg(&self, exif: Option<Vec<u8>>) -> Vec<u8> {
        jpeg(&self.draw(900, 680), exif)
    }
}

/// A picture as a camera's file.
pub(crate) fn jpeg(picture: &RgbImage, exif: Option<Vec<u8>>) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = JpegEncoder::new_with_quality(&mut bytes, 93);
    if let Some(exif) = exif {
        encoder.set_exif_metadata(exif).expect("notes fit");
    }
    encoder
        .write_image(picture, picture.width(), picture.height(), ExtendedColorType::Rgb8)
        .expect("encoded");
    bytes
}

/// A zone's slate lying on turf.
pub(crate) fn slate(zone: Id, exif: Option<Vec<u8>>) -> Vec<u8> {
    let mut picture = Scene::PLAIN.draw(900, 680);
    let squares = slate_squares(zone).expect("a slate");
    let scale = 12;
    let side = (squares.len() as u32 + 8) * scale;
    let card = RgbImage::from_fn(side, side, |x, y| {
        let at = |place: u32| ((place / scale) as usize).checked_sub(4);
        let dark = at(y).zip(at(x)).and_then(|(y, x)| squares.get(y)?.get(x).copied());
        image::Rgb(if dark == Some(true) { [25, 25, 25] } else { [235, 235, 235] })
    });
    imageops::replace(&mut picture, &card, 120, 90);
    jpeg(&picture, exif)
}
