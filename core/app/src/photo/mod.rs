//! Photos: what a file says of itself, its pixels, small pictures of it, and its measurement.
//!
//! The bytes that come in are never changed; everything here is worked out from them anew.
//! It does not own where photos are kept, or the records that point to them.

mod bare;
mod decode;
mod exposure;
mod icc;
mod jpeg_marks;
mod kind;
mod measurement;
mod printed;
mod shown;
mod slate;
mod small;

pub use bare::without_location;
pub(crate) use decode::decode_with_profile;
pub use decode::{LONGEST_SIDE, MOST_BYTES, MOST_PIXELS, Pixels, decode};
pub use exposure::{Exposure, Position, Taken};
pub use icc::Profile;
pub use kind::Kind;
pub(crate) use measurement::measure_pixels;
pub use measurement::{CardInFrame, MeasureChoices, MeasuredPhoto, measure_photo};
pub use printed::{
    CHART_WIDTH_MM, chart_pdf, chart_png, chart_values, read_sheet, slate_pdf, slate_png,
};
pub(crate) use shown::{Crop, corrected_picture, mask_picture};
pub(crate) use slate::slate_in;
pub use slate::{slate_squares, slate_text};
pub use small::{PREVIEW_SIDE, SmallPictures, THUMBNAIL_SIDE, preview, small_pictures, thumbnail};
pub(crate) use small::{preview_pixels, thumbnail_of};

use crate::Problem;

/// What a photo's file says of itself, read without decoding a pixel.
#[derive(Debug, Clone, PartialEq)]
pub struct PhotoInfo {
    /// The format of the file.
    pub kind: Kind,
    /// Columns, as the photo is looked at upright.
    pub width: u32,
    /// Rows, as the photo is looked at upright.
    pub height: u32,
    /// How the stored pixels lie: EXIF orientation, 1 (upright) to 8.
    pub orientation: u8,
    /// When it was taken by the camera's clock.
    pub taken: Option<Taken>,
    /// Where it was taken, by the camera; only ever a suggestion of the zone.
    pub position: Option<Position>,
    /// Exposure time, aperture, sensitivity, flash.
    pub exposure: Exposure,
    /// Maker, model and lens as the camera wrote them; empty where it did not.
    pub camera: String,
    /// The colour space that its numbers are in.
    pub profile: Profile,
}

/// Reads what a photo says of itself: size, orientation, time, position, exposure, colour profile.
///
/// # Errors  `BadFile` for anything but a still JPEG, PNG or WebP within the limits of
///   [`decode`]; a HEIC is told apart, with how to have the phone save JPEG.
pub fn read_photo(bytes: &[u8]) -> Result<PhotoInfo, Problem> {
    let opened = decode::open(bytes)?;
    let (width, height) = opened.upright_size();
    Ok(PhotoInfo {
        kind: opened.kind,
        width,
        height,
        orientation: opened.facts.orientation,
        taken: opened.facts.taken,
        position: opened.facts.position,
        exposure: opened.facts.exposure,
        camera: opened.facts.camera,
        profile: opened.profile,
    })
}

/// A photo that cannot be read, and what to do about it.
fn unreadable(message: impl Into<String>) -> Problem {
    Problem::new(crate::Code::BadFile, message).at("photo")
}
