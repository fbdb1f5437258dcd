//! Where there is still room on a drawing.

use crate::canvas::Rect;
use std::collections::HashMap;

/// Rectangles that are taken, found again by where they are, so that asking costs the same however
/// many there are.
#[derive(Debug, Default)]
pub(crate) struct Taken {
    cells: HashMap<(i32, i32), Vec<Rect>>,
}

const CELL: f64 = 32.0;

impl Taken {
    pub(crate) fn take(&mut self, rect: Rect) {
        for cell in cells(rect) {
            self.cells.entry(cell).or_default().push(rect);
        }
    }

    pub(crate) fn is_free(&self, rect: Rect) -> bool {
        cells(rect).all(|cell| {
            self.cells
                .get(&cell)
                .is_none_or(|taken| !taken.iter().any(|other| overlap(rect, *other)))
        })
    }
}

fn cells(rect: Rect) -> impl Iterator<Item = (i32, i32)> {
    #[expect(clippy::cast_possible_truncation, reason = "px of a drawing; a cast saturates")]
    let cell = |px: f64| (px / CELL).floor() as i32;
    let (from_x, to_x) = (cell(rect.x), cell(rect.x + rect.width));
    let (from_y, to_y) = (cell(rect.y), cell(rect.y + rect.height));
    (from_y..=to_y).flat_map(move |y| (from_x..=to_x).map(move |x| (x, y)))
}

fn overlap(a: Rect, b: Rect) -> bool {
    a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_taken_is_not_free() {
        let mut taken = Taken::default();
        let rect = Rect { x: 10.0, y: 10.0, width: 100.0, height: 12.0 };
        assert!(taken.is_free(rect), "nothing there yet");
        taken.take(rect);
        assert!(
            !taken.is_free(Rect { x: 100.0, y: 15.0, width: 4.0, height: 4.0 }),
            "over its end"
        );
        assert!(taken.is_free(Rect { x: 111.0, y: 15.0, width: 4.0, height: 4.0 }), "beside it");
    }
}
