//! Invitations as QR codes: drawn to be shown, and read off a picture.

use std::path::Path;

use qrcode::{EcLevel, QrCode, types::Color};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::{Code, Problem};

/// A square code: rows of modules, each `1` for dark and `0` for light, without the quiet border of
/// four modules that it needs around it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct QrMatrix {
    /// Modules along one side.
    pub size: u32,
    /// One text a row.
    pub rows: Vec<String>,
}

/// A picture in which a code may be.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct QrPicture {
    /// The picture's file.
    pub path: String,
}

/// What a code says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct QrText {
    /// The text.
    pub text: String,
}

/// Draws a text as a QR code (ISO/IEC 18004), in capitals, which take fewer modules.
///
/// # Errors
/// [`Problem`] when the text is too long for a code.
pub(super) fn draw(text: &str) -> Result<QrMatrix, Problem> {
    let code = QrCode::with_error_correction_level(text.to_uppercase(), EcLevel::M)
        .map_err(|_| Problem::refused("that is too long for a QR code; use the text"))?;
    let size = code.width();
    let letter = |color: &Color| if *color == Color::Dark { '1' } else { '0' };
    let colors = code.to_colors();
    let rows = colors.chunks(size).map(|row| row.iter().map(letter).collect()).collect();
    Ok(QrMatrix { size: u32::try_from(size).unwrap_or(u32::MAX), rows })
}

/// A picture is made smaller than this before it is searched; a code that is filmed or photographed
/// fills a good part of it.
const MOST_SIDE: u32 = 1_600;

/// Reads the first code in a picture.
///
/// # Errors
/// [`Problem`] when the file is no picture, or no code is found in it.
pub(crate) fn read(request: &QrPicture) -> Result<QrText, Problem> {
    let path = Path::new(&request.path);
    let unreadable = |e: &dyn std::fmt::Display| {
        Problem::new(Code::BadFile, format!("{} cannot be read as a picture: {e}", path.display()))
            .at("path")
    };
    let reader = image::ImageReader::open(path).map_err(|e| unreadable(&e))?;
    let picture = reader
        .with_guessed_format()
        .map_err(|e| unreadable(&e))?
        .decode()
        .map_err(|e| unreadable(&e))?;
    let picture = if picture.width().max(picture.height()) > MOST_SIDE {
        picture.thumbnail(MOST_SIDE, MOST_SIDE)
    } else {
        picture
    };
    read_gray(&picture.to_luma8()).ok_or_else(|| {
        Problem::new(
            Code::BadFile,
            "no QR code was found in the picture; take it straight on, sharp and with all four \
             corners in view, or paste the text of the invitation",
        )
        .at("path")
    })
}

fn read_gray(gray: &image::GrayImage) -> Option<QrText> {
    let (width, height) =
        (usize::try_from(gray.width()).ok()?, usize::try_from(gray.height()).ok()?);
    let pixels = gray.as_raw();
    let mut prepared = rqrr::PreparedImage::prepare_from_greyscale(width, height, |x, y| {
        pixels.get(y * width + x).copied().unwrap_or(255)
    });
    prepared
        .detect_grids()
        .iter()
        .find_map(|grid| grid.decode().ok())
        .map(|(_, text)| QrText { text })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn painted(matrix: &QrMatrix, scale: u32, angle: f32) -> image::GrayImage {
        let side = (matrix.size + 8) * scale;
        let (sin, cos) = angle.sin_cos();
        #[expect(clippy::cast_precision_loss, reason = "a picture's pixels")]
        let middle = side as f32 / 2.0;
        image::GrayImage::from_fn(side, side, |x, y| {
            #[expect(clippy::cast_precision_loss, reason = "a picture's pixels")]
            let (dx, dy) = (x as f32 - middle, y as f32 - middle);
            let (u, v) = (dx * cos + dy * sin + middle, dy * cos - dx * sin + middle);
            #[expect(clippy::cast_possible_truncation, reason = "a module's number")]
            let module = |at: f32| (at / scale as f32).floor() as i64 - 4;
            let row = usize::try_from(module(v)).ok().and_then(|row| matrix.rows.get(row));
            let dark = row
                .zip(usize::try_from(module(u)).ok())
                .and_then(|(row, at)| row.as_bytes().get(at));
            image::Luma([if dark == Some(&b'1') { 20 } else { 235 }])
        })
    }

    #[test]
    fn a_code_that_was_drawn_is_read_off_a_picture_straight_and_turned() {
        let text = format!("sward1-{}", "0123456789abcdefghjkmnpqrstvwxyz".repeat(4));
        let matrix = draw(&text).expect("it fits");
        let folder = tempfile::tempdir().expect("a scratch folder");
        for angle in [0.0_f32, 0.2, 1.6] {
            let path = folder.path().join("code.png");
            painted(&matrix, 6, angle).save(&path).expect("saved");
            let read = read(&QrPicture { path: path.display().to_string() }).expect("found");
            assert_eq!(read.text.to_lowercase(), text, "turned by {angle}");
        }
    }

    #[test]
    fn a_picture_without_a_code_and_a_file_that_is_none_are_told_apart() {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let plain = folder.path().join("plain.png");
        image::GrayImage::from_pixel(80, 80, image::Luma([128])).save(&plain).expect("saved");
        let refused = read(&QrPicture { path: plain.display().to_string() }).expect_err("no code");
        assert!(refused.message.contains("no QR code"), "{refused}");
        let none = folder.path().join("none.png");
        std::fs::write(&none, b"not a picture").expect("written");
        let refused =
            read(&QrPicture { path: none.display().to_string() }).expect_err("no picture");
        assert!(refused.message.contains("cannot be read as a picture"), "{refused}");
    }
}
