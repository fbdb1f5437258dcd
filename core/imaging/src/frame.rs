//! A photo's pixels, and the part of them that is measured.

use crate::ImagingError;

/// Upright 8-bit pixels, row by row from the top: red, green, blue.
#[derive(Debug, Clone, Copy)]
pub struct Frame<'a> {
    width: usize,
    height: usize,
    rgb: &'a [u8],
}

impl<'a> Frame<'a> {
    /// Takes pixels as a frame.
    ///
    /// # Errors  `FrameSize` when the bytes do not fill it.
    pub fn new(width: usize, height: usize, rgb: &'a [u8]) -> Result<Self, ImagingError> {
        let needed = width.saturating_mul(height).saturating_mul(3);
        if needed != rgb.len() || needed == 0 {
            return Err(ImagingError::FrameSize { width, height, needed, got: rgb.len() });
        }
        Ok(Self { width, height, rgb })
    }

    /// Columns.
    #[must_use]
    pub const fn width(&self) -> usize {
        self.width
    }

    /// Rows.
    #[must_use]
    pub const fn height(&self) -> usize {
        self.height
    }

    /// The bytes of one row.
    #[must_use]
    pub fn row(&self, y: usize) -> &'a [u8] {
        &self.rgb[3 * self.width * y..3 * self.width * (y + 1)]
    }

    /// The codes of one pixel.
    #[must_use]
    pub fn pixel(&self, x: usize, y: usize) -> [u8; 3] {
        let at = 3 * (self.width * y + x);
        [self.rgb[at], self.rgb[at + 1], self.rgb[at + 2]]
    }
}

/// A place in a frame, in pixels from its left and upper border; the first pixel's middle is at
/// (0.5, 0.5).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// From the left.
    pub x: f64,
    /// From the top.
    pub y: f64,
}

impl Point {
    /// A place.
    #[must_use]
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }
}

/// What of a frame is measured: inside an outline, outside of others (the card, a foot).
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Region {
    /// Outline of what is measured; the whole frame without one.
    pub within: Option<Vec<Point>>,
    /// Outlines of what is left out.
    pub without: Vec<Vec<Point>>,
}

impl Region {
    /// The whole frame.
    #[must_use]
    pub fn whole() -> Self {
        Self::default()
    }

    /// The same, leaving out one more outline.
    #[must_use]
    pub fn leaving_out(mut self, outline: impl Into<Vec<Point>>) -> Self {
        self.without.push(outline.into());
        self
    }

    /// Columns of row `y` that belong to the region, as ranges from left to right.
    ///
    /// A pixel belongs to an outline when its middle does (even-odd rule).
    #[must_use]
    pub fn spans(&self, y: usize, width: usize) -> Vec<(usize, usize)> {
        let mut spans = match &self.within {
            None => vec![(0, width)],
            Some(outline) => crossed(outline, y, width),
        };
        for outline in &self.without {
            for hole in crossed(outline, y, width) {
                spans = spans.into_iter().flat_map(|span| less(span, hole)).collect();
            }
        }
        spans.retain(|(from, to)| from < to);
        spans
    }
}

/// What is left of a range when another is taken out.
fn less((from, to): (usize, usize), (low, high): (usize, usize)) -> [(usize, usize); 2] {
    [(from, to.min(low.max(from))), (from.max(high.min(to)), to)]
}

/// Columns whose middles lie inside an outline in row `y`.
fn crossed(outline: &[Point], y: usize, width: usize) -> Vec<(usize, usize)> {
    let middle = y as f64 + 0.5;
    let mut crossings: Vec<f64> = Vec::new();
    for (at, from) in outline.iter().enumerate() {
        let to = &outline[(at + 1) % outline.len()];
        if (from.y <= middle) != (to.y <= middle) {
            crossings.push(from.x + (middle - from.y) / (to.y - from.y) * (to.x - from.x));
        }
    }
    crossings.sort_by(f64::total_cmp);
    crossings
        .chunks_exact(2)
        .map(|pair| (first_column(pair[0], width), first_column(pair[1], width)))
        .collect()
}

/// The first column whose middle is not left of `x`.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to the columns of the frame"
)]
fn first_column(x: f64, width: usize) -> usize {
    (x - 0.5).ceil().clamp(0.0, width as f64) as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(from: f64, to: f64) -> Vec<Point> {
        vec![Point::new(from, from), Point::new(to, from), Point::new(to, to), Point::new(from, to)]
    }

    #[test]
    fn bytes_must_fill_the_frame() {
        assert!(Frame::new(2, 2, &[0; 12]).is_ok(), "filled");
        assert!(Frame::new(2, 2, &[0; 11]).is_err(), "one byte short");
        assert!(Frame::new(0, 0, &[]).is_err(), "no pixel");
    }

    #[test]
    fn spans_follow_the_outlines() {
        let check = |region: &Region, y, expected: &[(usize, usize)]| {
            assert_eq!(region.spans(y, 10), expected, "row {y}");
        };
        check(&Region::whole(), 3, &[(0, 10)]);
        let card = Region::whole().leaving_out(square(2.0, 5.0));
        check(&card, 1, &[(0, 10)]);
        check(&card, 2, &[(0, 2), (5, 10)]);
        check(&card, 5, &[(0, 10)]);
        let part = Region { within: Some(square(1.0, 9.0)), without: vec![square(0.0, 3.0)] };
        check(&part, 1, &[(3, 9)]);
        check(&part, 4, &[(1, 9)]);
        check(&part, 9, &[]);
        let beyond = Region { within: Some(square(-50.0, 50.0)), without: Vec::new() };
        check(&beyond, 0, &[(0, 10)]);
        let all = Region::whole().leaving_out(square(-1.0, 20.0));
        check(&all, 4, &[]);
    }

    #[test]
    fn the_area_of_a_slanted_outline_comes_out() {
        let outline = vec![
            Point::new(100.3, 10.1),
            Point::new(190.7, 101.9),
            Point::new(99.2, 188.4),
            Point::new(12.6, 97.7),
        ];
        let area: f64 = (0..4)
            .map(|i| {
                let (a, b) = (outline[i], outline[(i + 1) % 4]);
                (a.x * b.y - b.x * a.y) / 2.0
            })
            .sum();
        let region = Region { within: Some(outline), without: Vec::new() };
        let pixels: usize =
            (0..200).flat_map(|y| region.spans(y, 200)).map(|(from, to)| to - from).sum();
        assert!((pixels as f64 - area).abs() < 0.005 * area, "{pixels} for {area}");
    }
}
