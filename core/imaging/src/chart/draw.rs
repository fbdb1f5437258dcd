//! The sheet as pixels and as a drawing for a printer.

use std::fmt::Write;

use super::{
    patches::PATCHES,
    sheet::{KEY, KEY_MIDDLE, MARKER, MARKER_MIDDLES, SHEET_HEIGHT, SHEET_WIDTH, patch_box},
};
use crate::frame::Point;

/// A filled rectangle of the sheet.
struct Fill {
    from: Point,
    to: Point,
    codes: [u8; 3],
}

const WHITE: [u8; 3] = [255; 3];
const BLACK: [u8; 3] = [0; 3];

fn square(middle: Point, side: f64, codes: [u8; 3]) -> Fill {
    let half = side / 2.0;
    Fill {
        from: Point::new(middle.x - half, middle.y - half),
        to: Point::new(middle.x + half, middle.y + half),
        codes,
    }
}

/// Everything on the sheet, the lowest first.
fn fills() -> Vec<Fill> {
    let sheet = Point::new(SHEET_WIDTH, SHEET_HEIGHT);
    let mut fills = vec![Fill { from: Point::new(0.0, 0.0), to: sheet, codes: WHITE }];
    for middle in MARKER_MIDDLES {
        fills.push(square(middle, MARKER, BLACK));
        fills.push(square(middle, MARKER - 2.0, WHITE));
        fills.push(square(middle, MARKER - 4.0, BLACK));
    }
    fills.push(square(KEY_MIDDLE, KEY, BLACK));
    for (number, patch) in PATCHES.iter().enumerate() {
        let (from, to) = patch_box(number);
        fills.push(Fill { from, to, codes: patch.codes });
    }
    fills
}

/// The sheet as pixels, `pixels_per_module` for the width of a marker's ring.
///
/// Gives columns, rows, and red, green, blue row by row.
#[must_use]
pub fn draw(pixels_per_module: u16) -> (usize, usize, Vec<u8>) {
    let scale = f64::from(pixels_per_module.max(2));
    let (width, height) = (pixel(SHEET_WIDTH * scale), pixel(SHEET_HEIGHT * scale));
    let mut rgb = vec![0; 3 * width * height];
    for fill in fills() {
        for y in pixel(fill.from.y * scale)..pixel(fill.to.y * scale) {
            for x in pixel(fill.from.x * scale)..pixel(fill.to.x * scale) {
                let at = 3 * (width * y + x);
                rgb[at..at + 3].copy_from_slice(&fill.codes);
            }
        }
    }
    (width, height, rgb)
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "places on the sheet are small and not negative"
)]
fn pixel(place: f64) -> usize {
    place.round() as usize
}

/// The sheet as an SVG drawing of this width on paper, for a printer that takes sRGB.
#[must_use]
pub fn svg(width_mm: f64) -> String {
    let height_mm = width_mm * SHEET_HEIGHT / SHEET_WIDTH;
    let mut text = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width_mm:.2}mm\" \
         height=\"{height_mm:.2}mm\" viewBox=\"0 0 {SHEET_WIDTH} {SHEET_HEIGHT}\" \
         shape-rendering=\"crispEdges\">\n"
    );
    for Fill { from, to, codes: [r, g, b] } in fills() {
        let (width, height) = (to.x - from.x, to.y - from.y);
        let _ = writeln!(
            text,
            "<rect x=\"{}\" y=\"{}\" width=\"{width}\" height=\"{height}\" \
             fill=\"#{r:02x}{g:02x}{b:02x}\"/>",
            from.x, from.y
        );
    }
    text.push_str("</svg>\n");
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn patches_are_drawn_where_they_are_read() {
        let (width, height, rgb) = draw(10);
        assert_eq!((width, height), (730, 390), "modules times ten");
        for (number, patch) in PATCHES.iter().enumerate() {
            let (from, to) = patch_box(number);
            let middle = Point::new((from.x + to.x) / 2.0, (from.y + to.y) / 2.0);
            let at = 3 * (width * pixel(middle.y * 10.0) + pixel(middle.x * 10.0));
            assert_eq!(rgb[at..at + 3], patch.codes, "patch {number}");
        }
        for fill in fills() {
            assert!(fill.to.x <= SHEET_WIDTH && fill.to.y <= SHEET_HEIGHT, "on the sheet");
        }
    }

    #[test]
    fn the_drawing_holds_every_patch() {
        let text = svg(146.0);
        assert!(text.starts_with("<svg ") && text.ends_with("</svg>\n"), "{text}");
        assert!(text.contains("height=\"78.00mm\""), "keeps its shape");
        for patch in PATCHES {
            let [r, g, b] = patch.codes;
            assert!(text.contains(&format!("#{r:02x}{g:02x}{b:02x}")), "{patch:?}");
        }
    }
}
