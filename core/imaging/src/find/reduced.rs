//! A photo made small for looking around in it.

use crate::{frame::Frame, side_by_side::side_by_side};

/// Rows of blocks that one hand takes.
const ROWS_AT_ONCE: usize = 32;

/// Mean codes of blocks of pixels.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Reduced {
    pub(super) width: usize,
    pub(super) height: usize,
    /// Pixels of the photo along each side of a block.
    pub(super) block: usize,
    /// Mean code of red, green, blue for each block.
    pub(super) codes: Vec<[f32; 3]>,
}

impl Reduced {
    /// Reduces a frame until its longest side is at most `longest`.
    pub(super) fn of(frame: &Frame<'_>, longest: usize) -> Self {
        let block = frame.width().max(frame.height()).div_ceil(longest).max(1);
        let (width, height) = (frame.width() / block, frame.height() / block);
        let rows: Vec<usize> = (0..height).collect();
        let bands: Vec<&[usize]> = rows.chunks(ROWS_AT_ONCE).collect();
        let codes = side_by_side(&bands, |rows| {
            rows.iter().flat_map(|y| row_of_blocks(frame, *y, block, width)).collect::<Vec<_>>()
        });
        let codes = codes.concat();
        Self { width, height, block, codes }
    }

    /// Whether each block is dark against its surroundings, by the green channel.
    ///
    /// Against the mean of a window rather than one threshold, so that a shadow over the sheet
    /// does not hide half of its markers.
    ///
    /// # Source  Bradley D, Roth G (2007) Adaptive thresholding using the integral image, Journal
    ///   of Graphics Tools 12(2):13-21, from memory.
    pub(super) fn dark(&self) -> Vec<bool> {
        let (width, height) = (self.width, self.height);
        let half = width.max(height) / 14 + 1;
        // Sums over everything above and to the left.
        let mut sums = vec![0.0_f64; (width + 1) * (height + 1)];
        for y in 0..height {
            let mut row = 0.0;
            for x in 0..width {
                row += f64::from(self.codes[y * width + x][1]);
                sums[(y + 1) * (width + 1) + x + 1] = sums[y * (width + 1) + x + 1] + row;
            }
        }
        let at = |x: usize, y: usize| sums[y * (width + 1) + x];
        let mut dark = Vec::with_capacity(width * height);
        for y in 0..height {
            let (top, bottom) = (y.saturating_sub(half), (y + half + 1).min(height));
            for x in 0..width {
                let (left, right) = (x.saturating_sub(half), (x + half + 1).min(width));
                let sum = at(right, bottom) - at(left, bottom) - at(right, top) + at(left, top);
                let mean = sum / ((right - left) * (bottom - top)) as f64;
                dark.push(f64::from(self.codes[y * width + x][1]) < 0.75 * mean);
            }
        }
        dark
    }
}

/// Mean codes of one row of blocks.
fn row_of_blocks(frame: &Frame<'_>, y: usize, block: usize, width: usize) -> Vec<[f32; 3]> {
    let used = 3 * block * width;
    // Down first, over neighbouring bytes; a block is too small for its sum to overflow.
    let mut down = vec![0_u16; used];
    for row in y * block..(y + 1) * block {
        for (sum, code) in down.iter_mut().zip(&frame.row(row)[..used]) {
            *sum += u16::from(*code);
        }
    }
    let share = 1.0 / (block * block) as f32;
    down.chunks_exact(3 * block)
        .map(|pixels| {
            let mut sums = [0_u32; 3];
            for pixel in pixels.chunks_exact(3) {
                for (sum, more) in sums.iter_mut().zip(pixel) {
                    *sum += u32::from(*more);
                }
            }
            sums.map(|sum| sum as f32 * share)
        })
        .collect()
}
