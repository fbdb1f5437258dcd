//! Our chart and the slate as files for a printer, and the values that go with the chart.

use image::{ExtendedColorType, ImageEncoder, codecs::png::PngEncoder};
use pdf_writer::{Content, Finish, Name, Pdf, Rect, Ref, Str};
use swardbook_imaging::{
    chart::{COLUMNS, PATCHES, PatchUse, SHEET_HEIGHT, SHEET_WIDTH, Sheet, draw},
    srgb::Srgb,
};

use crate::{Code, Problem};

/// Width of the chart on paper, mm, unless another is asked for: it fits on A4 and on letter paper.
pub const CHART_WIDTH_MM: f64 = 180.0;
/// Narrowest and widest chart that is of use, mm.
const WIDTHS_MM: (f64, f64) = (90.0, 400.0);
const POINTS_PER_MM: f64 = 72.0 / 25.4;
/// Border of the page around what is drawn, mm.
const BORDER_MM: f64 = 15.0;

fn checked(width_mm: f64) -> Result<f64, Problem> {
    let (least, most) = WIDTHS_MM;
    if (least..=most).contains(&width_mm) {
        return Ok(width_mm);
    }
    Err(Problem::bad(
        "width_mm",
        format!(
            "the chart would be {width_mm} mm wide; from {least} to {most} mm it can be printed \
             and found in a photo"
        ),
    ))
}

/// The chart as PNG, `pixels_per_module` for the width of a marker's ring.
///
/// # Errors  [`Problem`] when it cannot be written.
pub fn chart_png(pixels_per_module: u16) -> Result<Vec<u8>, Problem> {
    let (width, height, rgb) = draw(pixels_per_module);
    png(width, height, &rgb)
}

fn png(width: usize, height: usize, rgb: &[u8]) -> Result<Vec<u8>, Problem> {
    let side = |pixels: usize| u32::try_from(pixels).unwrap_or(u32::MAX);
    let mut bytes = Vec::new();
    PngEncoder::new(&mut bytes)
        .write_image(rgb, side(width), side(height), ExtendedColorType::Rgb8)
        .map_err(|e| Problem::new(Code::Storage, format!("the picture: {e}")))?;
    Ok(bytes)
}

/// The chart as a page of PDF of this width, with how to print and use it below.
///
/// # Units  millimetres.
/// # Errors  `BadInput` for a width that cannot be printed or found.
pub fn chart_pdf(width_mm: f64) -> Result<Vec<u8>, Problem> {
    let width = checked(width_mm)? * POINTS_PER_MM;
    let height = width * SHEET_HEIGHT / SHEET_WIDTH;
    let size = Drawn { width, height };
    // One source of truth for what the sheet looks like: its own pixels, two for each module.
    let (columns, rows, rgb) = draw(2);
    let words = [
        "Colour chart for photos of turf. Print on matt paper at 100 %, without colour correction.",
        "A printer gives its own colours: take the same sheet along from visit to visit, or have its",
        "patches measured and hand the values over with --sheet. Lay it flat beside the turf, in the",
        "same light, all four corner squares in the photo.",
    ];
    Ok(page(size, columns, rows, &rgb, &words))
}

/// The values of the chart's patches as CSV: number, row, column, what it is for, sRGB codes.
///
/// The same form is read back by [`read_sheet`], with measured codes in place of the drawn ones.
#[must_use]
pub fn chart_values() -> String {
    let mut text = String::from("patch,row,column,use,r,g,b\n");
    for (number, patch) in PATCHES.iter().enumerate() {
        let used = match patch.used_for {
            PatchUse::Neutral => "grey",
            PatchUse::Turf => "turf",
            PatchUse::Spread => "other",
        };
        let [r, g, b] = patch.codes;
        let (row, column) = (number / COLUMNS + 1, number % COLUMNS + 1);
        text.push_str(&format!("{},{row},{column},{used},{r},{g},{b}\n", number + 1));
    }
    text
}

/// The colours of a chart's patches from a table with columns `r`, `g`, `b` (sRGB codes from 0 to
/// 255, decimals allowed), a row for each patch in the order of [`PATCHES`].
///
/// # Errors  `BadInput` naming the row.
pub fn read_sheet(table: &str) -> Result<Sheet, Problem> {
    let mut reader = csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(table.as_bytes());
    let bad = |why: String| Problem::bad("sheet", format!("the chart's values: {why}"));
    let headings = reader.headers().map_err(|e| bad(e.to_string()))?.clone();
    let column = |name: &str| {
        headings
            .iter()
            .position(|heading| heading.eq_ignore_ascii_case(name))
            .ok_or_else(|| bad(format!("there is no column \"{name}\"; there must be r, g and b")))
    };
    let columns = [column("r")?, column("g")?, column("b")?];
    let mut known = Vec::new();
    for (at, record) in reader.records().enumerate() {
        let record = record.map_err(|e| bad(e.to_string()))?;
        let mut codes = [0.0; 3];
        for (code, column) in codes.iter_mut().zip(columns) {
            let text = record.get(column).unwrap_or_default();
            *code =
                text.parse::<f64>().ok().filter(|code| (0.0..=255.0).contains(code)).ok_or_else(
                    || bad(format!("patch {}: \"{text}\" is no code from 0 to 255", at + 1)),
                )?;
        }
        known.push(Srgb(codes.map(|code| code / 255.0)).linear());
    }
    let count = known.len();
    let known = known.try_into().map_err(|_| {
        bad(format!("there are {count} rows; the chart has {} patches", PATCHES.len()))
    })?;
    Ok(Sheet::measured(known))
}

/// A zone's slate as a page of PDF: its QR, with the zone's name below.
///
/// # Errors  [`Problem`] when the zone's id does not fit, which it does.
pub fn slate_pdf(zone: swardbook_units::Id, name: &str) -> Result<Vec<u8>, Problem> {
    const SIDE_MM: f64 = 120.0;
    let (columns, rows, rgb) = slate_pixels(zone, 1)?;
    let side = SIDE_MM * POINTS_PER_MM;
    let words = [name, "Photograph this first; the photos after it are sorted to this zone."];
    Ok(page(Drawn { width: side, height: side }, columns, rows, &rgb, &words))
}

/// A zone's slate as PNG.
///
/// # Errors  as [`slate_pdf`].
pub fn slate_png(zone: swardbook_units::Id) -> Result<Vec<u8>, Problem> {
    let (width, height, rgb) = slate_pixels(zone, 16)?;
    png(width, height, &rgb)
}

/// The squares with the quiet border of four that the standard asks for.
fn slate_pixels(
    zone: swardbook_units::Id,
    scale: usize,
) -> Result<(usize, usize, Vec<u8>), Problem> {
    const QUIET: usize = 4;
    let squares = super::slate::slate_squares(zone)?;
    let side = scale * (squares.len() + 2 * QUIET);
    let mut rgb = vec![255; 3 * side * side];
    for y in 0..side {
        for x in 0..side {
            let square = |at: usize| (at / scale).checked_sub(QUIET);
            let dark = square(y)
                .zip(square(x))
                .and_then(|(row, column)| squares.get(row)?.get(column).copied());
            if dark == Some(true) {
                rgb[3 * (side * y + x)..3 * (side * y + x) + 3].fill(0);
            }
        }
    }
    Ok((side, side, rgb))
}

/// What is drawn on a page, points.
struct Drawn {
    width: f64,
    height: f64,
}

/// A page with blocks of plain colour and lines of words below.
///
/// Blocks are drawn as rectangles, so that no printer smooths their borders.
fn page(drawn: Drawn, columns: usize, rows: usize, rgb: &[u8], words: &[&str]) -> Vec<u8> {
    const LEADING: f64 = 13.0;
    let border = BORDER_MM * POINTS_PER_MM;
    let below = LEADING * (words.len() as f64 + 1.0);
    let (wide, high) = (drawn.width + 2.0 * border, drawn.height + 2.0 * border + below);
    let (catalog, pages, sheet, content, font) =
        (Ref::new(1), Ref::new(2), Ref::new(3), Ref::new(4), Ref::new(5));
    let mut pdf = Pdf::new();
    pdf.catalog(catalog).pages(pages);
    pdf.pages(pages).kids([sheet]).count(1);
    let mut leaf = pdf.page(sheet);
    leaf.media_box(Rect::new(0.0, 0.0, point(wide), point(high))).parent(pages).contents(content);
    leaf.resources().fonts().pair(Name(b"F"), font);
    leaf.finish();
    // One of the fonts that every reader has; words beyond its letters show as question marks.
    pdf.type1_font(font).base_font(Name(b"Helvetica"));
    let mut drawing = Content::new();
    let (across, down) = (drawn.width / columns as f64, drawn.height / rows as f64);
    let top = high - border;
    for row in 0..rows {
        let line = &rgb[3 * columns * row..3 * columns * (row + 1)];
        let mut from = 0;
        while from < columns {
            let colour = &line[3 * from..3 * from + 3];
            let same = (from..columns).take_while(|c| &line[3 * c..3 * c + 3] == colour).count();
            if colour != [255; 3] {
                let [r, g, b] = [0, 1, 2].map(|c| f32::from(colour[c]) / 255.0);
                drawing.set_fill_rgb(r, g, b);
                drawing.rect(
                    point(border + across * from as f64),
                    point(top - down * (row + 1) as f64),
                    point(across * same as f64),
                    point(down),
                );
                drawing.fill_nonzero();
            }
            from += same;
        }
    }
    drawing.set_fill_rgb(0.0, 0.0, 0.0);
    drawing.begin_text();
    drawing.set_font(Name(b"F"), 10.0);
    drawing.next_line(point(border), point(border + LEADING * (words.len() as f64 - 1.0)));
    for line in words {
        let bytes: Vec<u8> =
            line.chars().map(|c| if c.is_ascii() { c as u8 } else { b'?' }).collect();
        drawing.show(Str(&bytes));
        drawing.next_line(0.0, point(-LEADING));
    }
    drawing.end_text();
    pdf.stream(content, &drawing.finish());
    pdf.finish()
}

#[expect(clippy::cast_possible_truncation, reason = "places on a page are small")]
fn point(place: f64) -> f32 {
    place as f32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_come_back_as_they_were_written() {
        let sheet = read_sheet(&chart_values()).expect("our own values");
        for (got, drawn) in sheet.known.iter().zip(Sheet::as_drawn().known) {
            for (a, b) in got.0.iter().zip(drawn.0) {
                assert!((a - b).abs() < 1e-12, "{got:?} {drawn:?}");
            }
        }
        for (table, words) in [
            ("r,g,b\n1,2,3\n", "1 rows"),
            ("r,g\n1,2\n", "column \"b\""),
            ("r,g,b\n1,2,300\n", "patch 1"),
        ] {
            let problem = read_sheet(table).expect_err(table);
            assert!(problem.message.contains(words), "{problem}");
        }
    }

    #[test]
    fn the_page_holds_every_colour_and_refuses_a_stamp() {
        let pdf = chart_pdf(CHART_WIDTH_MM).expect("drawn");
        assert!(pdf.starts_with(b"%PDF-") && pdf.trim_ascii_end().ends_with(b"%%EOF"), "a PDF");
        let text = String::from_utf8_lossy(&pdf);
        for patch in PATCHES {
            let [r, g, b] = patch.codes.map(|code| f32::from(code) / 255.0);
            let mut content = Content::new();
            content.set_fill_rgb(r, g, b);
            let wanted = String::from_utf8_lossy(&content.finish()).trim().to_owned();
            assert!(text.contains(&wanted), "{patch:?}: {wanted}");
        }
        assert_eq!(chart_pdf(20.0).expect_err("too small").field.as_deref(), Some("width_mm"));
    }
}
