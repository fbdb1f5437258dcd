//! The shapes of the marks: shape says what a mark is, colour only repeats it.

use crate::canvas::{Canvas, Px, Rect, Stroke};
use crate::palette::Ink;

/// A mark's shape.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Shape {
    OpenCircle,
    FilledCircle,
    OpenSquare,
    FilledSquare,
    /// An open square with a dot in it.
    DottedSquare,
    /// Two squares, one behind the other: several things of different kinds.
    Stack,
    /// A solid upright bar: something was put down.
    Bar,
    /// The same, open: it is planned.
    OpenBar,
    /// A diamond with a dot: one reading by itself.
    Diamond,
    /// A sheet with a folded corner: the laboratory's panel.
    Sheet,
    /// The same, open.
    OpenSheet,
    /// The same, open and blank.
    BlankSheet,
    /// A camera.
    Camera,
    /// A camera, filled.
    FilledCamera,
    /// A small filled circle.
    Dot,
    /// A small open circle.
    OpenDot,
    /// A small filled square.
    SquareDot,
    /// Three short lines.
    Lines,
    /// A drop on a stem: a spot reading.
    Probe,
    /// Two crossing strokes.
    Cross,
}

/// Lines that share a colour differ in their dashes.
pub(crate) const DASHES: [&str; 4] = ["", "7 3", "2 3", "9 3 2 3"];

/// Half the size of every mark, in px.
pub(crate) const HALF: f64 = 6.0;

/// Draws a shape around a point.
pub(crate) fn draw(canvas: &mut Canvas<'_>, shape: Shape, x: f64, y: f64, ink: Ink) {
    let stroke = Stroke::solid(ink, 1.8);
    let (open, filled) = (Some(Ink::Paper), Some(ink));
    match shape {
        Shape::OpenCircle => canvas.path(&circle(x, y, HALF - 1.0), open, Some(stroke)),
        Shape::FilledCircle => canvas.path(&circle(x, y, HALF - 1.0), filled, Some(stroke)),
        Shape::OpenSquare => canvas.path(&square(x, y, HALF - 1.2), open, Some(stroke)),
        Shape::DottedSquare => {
            canvas.path(&square(x, y, HALF - 1.2), open, Some(stroke));
            canvas.path(&square(x, y, 1.6), filled, None);
        }
        Shape::Stack => {
            let thin = Stroke::solid(ink, 1.4);
            canvas.path(&square(x + 1.7, y - 1.7, 3.6), open, Some(thin));
            canvas.path(&square(x - 1.7, y + 1.7, 3.6), open, Some(thin));
        }
        Shape::FilledSquare => canvas.path(&square(x, y, HALF - 1.2), filled, Some(stroke)),
        Shape::Bar => {
            canvas.area(Rect { x: x - 1.8, y: y - 7.0, width: 3.6, height: 14.0 }, ink, 1.0);
        }
        Shape::OpenBar => {
            let (l, r, t, b) = (x - 1.6, x + 1.6, y - 6.6, y + 6.6);
            let d = polygon(&[(l, t), (r, t), (r, b), (l, b)]);
            canvas.path(&d, open, Some(Stroke::solid(ink, 1.3)));
        }
        Shape::Diamond => {
            let d = polygon(&[(x, y - HALF), (x + HALF, y), (x, y + HALF), (x - HALF, y)]);
            canvas.path(&d, filled, None);
        }
        Shape::Sheet | Shape::OpenSheet | Shape::BlankSheet => {
            let (l, r, t, b) = (x - 4.2, x + 4.2, y - 5.4, y + 5.4);
            let d = polygon(&[(l, t), (r - 3.0, t), (r, t + 3.0), (r, b), (l, b)]);
            let (fill, lines) =
                if shape == Shape::Sheet { (filled, Ink::Paper) } else { (open, ink) };
            canvas.path(&d, fill, Some(Stroke::solid(ink, 1.4)));
            if shape != Shape::BlankSheet {
                canvas.line((l + 2.0, y), (r - 2.0, y), Stroke::solid(lines, 1.2));
                canvas.line((l + 2.0, y + 2.8), (r - 2.0, y + 2.8), Stroke::solid(lines, 1.2));
            }
        }
        Shape::Dot => canvas.path(&circle(x, y, 3.6), filled, None),
        Shape::OpenDot => canvas.path(&circle(x, y, 3.6), open, Some(Stroke::solid(ink, 1.5))),
        Shape::SquareDot => canvas.path(&square(x, y, 3.3), filled, None),
        Shape::Camera | Shape::FilledCamera => {
            let thin = Stroke::solid(ink, 1.4);
            let d = polygon(&[
                (x - 6.0, y - 3.0),
                (x - 2.6, y - 3.0),
                (x - 1.4, y - 5.0),
                (x + 1.4, y - 5.0),
                (x + 2.6, y - 3.0),
                (x + 6.0, y - 3.0),
                (x + 6.0, y + 5.0),
                (x - 6.0, y + 5.0),
            ]);
            if shape == Shape::Camera {
                canvas.path(&d, open, Some(thin));
                canvas.path(&circle(x, y + 0.8, 2.2), None, Some(thin));
            } else {
                canvas.path(&d, filled, Some(thin));
                canvas.path(&circle(x, y + 0.8, 2.2), open, None);
            }
        }
        Shape::Lines => {
            for (dy, reach) in [(-4.0, 5.0), (0.0, 5.0), (4.0, 1.0)] {
                canvas.line((x - 5.0, y + dy), (x + reach, y + dy), Stroke::solid(ink, 1.6));
            }
        }
        Shape::Probe => {
            canvas.line((x, y), (x, y + 6.0), Stroke::solid(ink, 1.6));
            canvas.path(&circle(x, y - 2.0, 3.6), open, Some(Stroke::solid(ink, 1.6)));
        }
        Shape::Cross => {
            let reach = HALF - 1.6;
            let d = format!(
                "M{} {}L{} {}M{} {}L{} {}",
                Px(x - reach),
                Px(y - reach),
                Px(x + reach),
                Px(y + reach),
                Px(x - reach),
                Px(y + reach),
                Px(x + reach),
                Px(y - reach)
            );
            canvas.path(&d, None, Some(stroke));
        }
    }
}

/// A circle as a path.
pub(crate) fn circle(x: f64, y: f64, r: f64) -> String {
    format!(
        "M{} {}a{r} {r} 0 1 0 {d} 0a{r} {r} 0 1 0 -{d} 0z",
        Px(x - r),
        Px(y),
        r = Px(r),
        d = Px(2.0 * r)
    )
}

/// A square as a path.
pub(crate) fn square(x: f64, y: f64, half: f64) -> String {
    polygon(&[
        (x - half, y - half),
        (x + half, y - half),
        (x + half, y + half),
        (x - half, y + half),
    ])
}

/// A closed path through points.
pub(crate) fn polygon(points: &[(f64, f64)]) -> String {
    let mut d = polyline(points);
    d.push('z');
    d
}

/// An open path through points.
pub(crate) fn polyline(points: &[(f64, f64)]) -> String {
    use std::fmt::Write as _;
    let mut d = String::with_capacity(points.len() * 12);
    for (i, (x, y)) in points.iter().enumerate() {
        write!(d, "{}{} {}", if i == 0 { 'M' } else { 'L' }, Px(*x), Px(*y))
            .expect("writing to a String cannot fail");
    }
    d
}
