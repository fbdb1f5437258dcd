//! Records of measured photos and of the weather that goes with them.

use swardbook_units::{Id, NaiveDate};

use crate::record::{record, words};

words! {
    /// What stood in a photo to correct its colour by.
    pub enum CardKind {
        /// Nothing.
        None = "none",
        /// A card of neutral grey.
        Grey = "grey-card",
        /// The printed chart.
        Chart = "chart",
    }
}

record! {
    /// The measurement of one photo: what was chosen and what came of it.
    ///
    /// It is never edited: measuring again makes a new one, and the newest that stands counts, so
    /// that two devices cannot mix the numbers of two measurements.
    pub struct Measurement = "measurement" {
        /// The observation that keeps the photo.
        photo: Option<Id>,
        /// blake3 of the original it was measured from.
        original: String,
        /// The day it was measured.
        date: Option<NaiveDate>,
        /// Name of the way of measuring.
        algorithm: String,
        /// What stood in the frame.
        card: Option<CardKind>,
        /// The program found the card's corners; otherwise a person marked them.
        corners_found: bool,
        /// Corners of the card, `x,y` four times, pixels of the upright photo.
        corners: String,
        /// Reflectance that a grey card is brought to; absent when the exposure was kept.
        reflectance: Option<f64>,
        /// sRGB codes of the chart's patches as measured, `r,g,b` for each; empty: as drawn.
        sheet: String,
        /// Least hue that counts as green, degrees.
        hue_from: Option<f64>,
        /// Greatest hue.
        hue_to: Option<f64>,
        /// Least saturation that counts as green, 0 to 1.
        saturation_from: Option<f64>,
        /// Greatest saturation.
        saturation_to: Option<f64>,
        /// Least hue of the second range.
        second_hue_from: Option<f64>,
        /// Greatest hue of the second range.
        second_hue_to: Option<f64>,
        /// Outline of what was measured, `x,y` pairs; empty: the whole photo.
        region: String,
        /// Outlines that were left out beside the card, separated by `;`.
        left_out: String,
        /// What a person moved away from the published settings, in words.
        changed: String,
        /// Limits of the flags in the order of `quality`; empty: the usual ones.
        limits: String,

        /// Maker, model and lens as the camera wrote them; empty: not written, or measured before
        /// this was kept.
        camera: String,
        /// Columns of the upright photo.
        width: Option<i64>,
        /// Rows.
        height: Option<i64>,
        /// Pixels measured.
        pixels: Option<i64>,
        /// Green share of the region, a ratio.
        cover: Option<f64>,
        /// Its standard uncertainty in this frame.
        cover_u: Option<f64>,
        /// Degrees of freedom of that.
        cover_df: Option<f64>,
        /// Its standard uncertainty as one for the turf around the frame.
        cover_turf_u: Option<f64>,
        /// The parts of that uncertainty which another photo taken in the same way may share, and
        /// the rest: moves at half size, at quarter size, with colour by blocks, the card's offset
        /// and its degrees of freedom, the photo's own part and its degrees of freedom.
        cover_apart: String,
        /// Cover by the second range of hue.
        second_cover: Option<f64>,
        /// Mean dark green colour index.
        index: Option<f64>,
        /// Its standard uncertainty in this frame.
        index_u: Option<f64>,
        /// Degrees of freedom of that.
        index_df: Option<f64>,
        /// Its standard uncertainty as one for the turf around the frame.
        index_turf_u: Option<f64>,
        /// The same parts of the index's uncertainty as of the cover's.
        index_apart: String,
        /// Standard deviation of the index between pixels.
        index_spread: Option<f64>,
        /// Mean hue, degrees.
        hue: Option<f64>,
        /// Its standard uncertainty.
        hue_u: Option<f64>,
        /// Mean saturation, 0 to 1.
        saturation: Option<f64>,
        /// Its standard uncertainty.
        saturation_u: Option<f64>,
        /// Mean brightness, 0 to 1.
        brightness: Option<f64>,
        /// Its standard uncertainty.
        brightness_u: Option<f64>,
        /// CIELAB lightness.
        lab_l: Option<f64>,
        /// Its standard uncertainty.
        lab_l_u: Option<f64>,
        /// CIELAB red to green.
        lab_a: Option<f64>,
        /// Its standard uncertainty.
        lab_a_u: Option<f64>,
        /// CIELAB yellow to blue.
        lab_b: Option<f64>,
        /// Its standard uncertainty.
        lab_b_u: Option<f64>,

        /// Residual of the chart's patches, each corrected without itself; linear light.
        chart_residual: Option<f64>,
        /// Measures of the photo: shares clipped and black, sharpness, evenness, shares of glare
        /// and beyond what can be held; six numbers.
        quality: String,
        /// What is wrong with the photo, words of flags separated by spaces.
        flags: String,
        /// A card corrected its colours.
        corrected: bool,
        /// Why it counts as uncorrected although there is a card.
        uncorrected_because: String,
        /// Anything else.
        note: String,
    }
}

record! {
    /// Air temperatures of a property, as a file that somebody entered or brought.
    pub struct Temperatures = "temperatures" {
        /// blake3 of the file.
        file: String,
        /// The file's name.
        file_name: String,
        /// `C` or `F`; empty when the file says so itself.
        unit: String,
        /// First day.
        first: Option<NaiveDate>,
        /// Last day.
        last: Option<NaiveDate>,
        /// Days with a temperature.
        days: Option<i64>,
        /// Anything else.
        note: String,
    }
}
