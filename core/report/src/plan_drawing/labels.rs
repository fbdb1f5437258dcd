//! Finds places for labels: inside an outline, beside it, beside a point, or at the drawing's side.

use super::ground;
use crate::canvas::{Rect, Turned};

/// A rectangle's size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Size {
    pub(super) width: f64,
    pub(super) height: f64,
}

/// Places inside an outline's rings, the middle first.
pub(super) fn inside(rings: &[Vec<(f64, f64)>], size: Size) -> impl Iterator<Item = Rect> {
    const ACROSS: u32 = 9;
    const DOWN: u32 = 13;
    const ROOM: f64 = 3.0;
    let around = ground::bounds(&rings[0]);
    let middle = (around.x + around.width / 2.0, around.y + around.height / 2.0);
    let mut centres: Vec<(f64, f64)> = (1..ACROSS)
        .flat_map(|column| (1..DOWN).map(move |row| (column, row)))
        .map(|(column, row)| {
            let across = f64::from(column) / f64::from(ACROSS);
            let down = f64::from(row) / f64::from(DOWN);
            (around.x + around.width * across, around.y + around.height * down)
        })
        .collect();
    let far = |p: &(f64, f64)| (p.0 - middle.0).powi(2) + (p.1 - middle.1).powi(2);
    centres.push(middle);
    centres.sort_by(|a, b| far(a).total_cmp(&far(b)));
    let centred = move |(x, y): (f64, f64)| Rect {
        x: x - size.width / 2.0,
        y: y - size.height / 2.0,
        width: size.width,
        height: size.height,
    };
    let could_hold = around.width >= size.width && around.height >= size.height;
    centres.into_iter().filter(move |_| could_hold).map(centred).filter(move |rect| {
        let with_room = Rect {
            x: rect.x - ROOM,
            y: rect.y - ROOM,
            width: rect.width + 2.0 * ROOM,
            height: rect.height + 2.0 * ROOM,
        };
        ground::holds_rect(rings, with_room)
    })
}

/// A place along an outline's longest edge, through its middle, when the words fit in there.
pub(super) fn along(rings: &[Vec<(f64, f64)>], size: Size) -> Option<Turned> {
    let ring = rings.first()?;
    let next = ring.iter().cycle().skip(1);
    let edges = ring.iter().zip(next).map(|(a, b)| (b.0 - a.0, b.1 - a.1));
    let (dx, dy) = edges.max_by(|a, b| a.0.hypot(a.1).total_cmp(&b.0.hypot(b.1)))?;
    let length = dx.hypot(dy);
    // The words stand alone, so the room between two lines is not needed.
    let size = Size { height: size.height * 0.88, ..size };
    if length < size.width {
        return None;
    }
    // Read from the left, or from below when it stands upright.
    let (dx, dy) = if dx < 0.0 || (dx < 1e-9 && dy > 0.0) { (-dx, -dy) } else { (dx, dy) };
    let (ux, uy) = (dx / length, dy / length);
    let corners = f64::from(u32::try_from(ring.len()).unwrap_or(u32::MAX));
    let sum = ring.iter().fold((0.0, 0.0), |sum, p| (sum.0 + p.0, sum.1 + p.1));
    let middle = (sum.0 / corners, sum.1 / corners);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a label's length over its height; a cast saturates"
    )]
    let squares = (size.width / size.height).ceil().clamp(1.0, 400.0) as u32 + 1;
    let reach = (size.width - size.height).max(0.0);
    let places: Vec<Rect> = (0..squares)
        .map(|i| {
            let at = (f64::from(i) / f64::from((squares - 1).max(1)) - 0.5) * reach;
            Rect::around(middle.0 + ux * at, middle.1 + uy * at, size.height / 2.0)
        })
        .collect();
    let fits = places.iter().all(|place| ground::holds_rect(rings, *place));
    fits.then(|| Turned { middle, degrees: uy.atan2(ux).to_degrees(), places })
}

/// Places around a rectangle: below, above, right, left, then the corners.
pub(super) fn beside(around: Rect, size: Size, gap: f64) -> [Rect; 8] {
    let Size { width, height } = size;
    let middle_x = around.x + (around.width - width) / 2.0;
    let middle_y = around.y + (around.height - height) / 2.0;
    let (left, right) = (around.x - gap - width, around.x + around.width + gap);
    let (above, below) = (around.y - gap - height, around.y + around.height + gap);
    [
        (right, middle_y),
        (middle_x, below),
        (middle_x, above),
        (left, middle_y),
        (right, above),
        (right, below),
        (left, above),
        (left, below),
    ]
    .map(|(x, y)| Rect { x, y, width, height })
}

/// Tops for labels at the side, near where each wants to be and never over one another.
///
/// `wanted` is sorted; the result keeps its order.
pub(super) fn spread(wanted: &[(f64, f64)], from: f64) -> Vec<f64> {
    let mut tops: Vec<f64> = Vec::with_capacity(wanted.len());
    let mut free_from = from;
    for (top, height) in wanted {
        let top = top.max(free_from);
        tops.push(top);
        free_from = top + height;
    }
    tops
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_narrow_strip_holds_words_along_it() {
        let upright = vec![vec![(0.0, 0.0), (20.0, 0.0), (20.0, 100.0), (0.0, 100.0)]];
        let size = Size { width: 50.0, height: 14.0 };
        let turned = along(&upright, size).expect("fifty fits into a hundred");
        assert!((turned.degrees + 90.0).abs() < 1e-9, "read from below: {}", turned.degrees);
        let tight = Size { width: 50.0, height: 24.0 };
        assert!(along(&upright, tight).is_none(), "too high for its breadth");
        let long = Size { width: 120.0, height: 14.0 };
        assert!(along(&upright, long).is_none(), "longer than the strip");
    }

    #[test]
    fn labels_at_the_side_keep_their_order_and_apart() {
        let tops = spread(&[(5.0, 16.0), (6.0, 16.0), (80.0, 16.0)], 0.0);
        assert_eq!(tops, [5.0, 21.0, 80.0]);
    }
}
