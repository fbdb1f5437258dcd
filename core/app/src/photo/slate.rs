//! The slate: a card with a zone's QR, photographed first, that says where the next photos belong.

use image::{RgbImage, imageops};
use qrcode::{EcLevel, QrCode};
use swardbook_units::Id;

use crate::{Code, Problem};

/// What the QR of a zone begins with; the zone's id follows.
const PREFIX: &str = "swardbook:zone:";

/// The text of a zone's QR.
#[must_use]
pub fn slate_text(zone: Id) -> String {
    format!("{PREFIX}{zone}")
}

/// The squares of a zone's QR, row by row, `true` for dark, without the quiet border.
///
/// # Errors  [`Problem`] when it does not fit, which a zone's id always does.
/// # Source  ISO/IEC 18004, by the `qrcode` library; a quarter of it may be hidden or dirty.
pub fn slate_squares(zone: Id) -> Result<Vec<Vec<bool>>, Problem> {
    let code = QrCode::with_error_correction_level(slate_text(zone), EcLevel::Q)
        .map_err(|e| Problem::new(Code::Refused, format!("the slate's QR: {e}")))?;
    let width = code.width();
    let dark = code.to_colors();
    Ok(dark
        .chunks(width)
        .map(|row| row.iter().map(|c| *c == qrcode::Color::Dark).collect())
        .collect())
}

/// The longest side in which a QR is looked for.
const LONGEST: u32 = 1000;

/// The zone whose slate is in a picture, if there is one.
#[must_use]
pub(crate) fn slate_in(picture: &RgbImage) -> Option<Id> {
    let (width, height) = super::small::fitted(picture.width(), picture.height(), LONGEST);
    let grey = imageops::grayscale(&super::small::resized(picture, width, height).ok()?);
    let at = |x: usize, y: usize| {
        let (x, y) = (u32::try_from(x).unwrap_or(0), u32::try_from(y).unwrap_or(0));
        grey.get_pixel(x, y).0[0]
    };
    let mut prepared =
        rqrr::PreparedImage::prepare_from_greyscale(width as usize, height as usize, at);
    prepared.detect_grids().iter().find_map(|grid| {
        let (_, text) = grid.decode().ok()?;
        text.strip_prefix(PREFIX)?.parse().ok()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slate_is_read_back_from_a_picture_of_it() {
        let zone = Id::from_random([7, 1, 2, 3, 4, 5, 6, 7, 8, 9]);
        let squares = slate_squares(zone).expect("drawn");
        let side = u32::try_from(squares.len()).expect("small");
        let scale = 9;
        let picture = RgbImage::from_fn(1200, 900, |x, y| {
            let square =
                |at: u32| (at.checked_sub(300)? / scale < side).then(|| (at - 300) / scale);
            let dark =
                square(x).zip(square(y)).is_some_and(|(x, y)| squares[y as usize][x as usize]);
            let border = (260..300 + side * scale + 40).contains(&x)
                && (260..300 + side * scale + 40).contains(&y);
            // Paper on turf, in warm light.
            image::Rgb(match (border, dark) {
                (true, true) => [30, 26, 20],
                (true, false) => [225, 214, 190],
                _ => [if (x * 7 + y * 13) % 40 < 20 { 60 } else { 90 }, 105, 50],
            })
        });
        assert_eq!(slate_in(&picture), Some(zone), "seen upright");
        assert_eq!(slate_in(&imageops::rotate90(&picture)), Some(zone), "seen on its side");
        let turf = RgbImage::from_pixel(800, 600, image::Rgb([60, 105, 50]));
        assert_eq!(slate_in(&turf), None, "turf alone");
    }
}
