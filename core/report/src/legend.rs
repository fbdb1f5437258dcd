//! The line of samples that says what shapes and hatching mean.

use crate::canvas::{Anchor, Canvas, Rect, Stroke};
use crate::mark::{self, Shape};
use crate::palette::Ink;
use crate::season::{Track, draw_point, ink_of};
use crate::text::{self, Font};

/// What stands before an entry's words.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Sample {
    Mark(Shape, Ink),
    Hatch,
    /// A band with its upper edge.
    Band(Ink),
    Line(Stroke),
    /// A track's line with its point on it.
    Track(Track, &'static str),
}

const FONT: Font = Font::plain(12.0);
const SAMPLE: f64 = 22.0;
const LINE_SAMPLE: f64 = 44.0;
const GAP: f64 = 18.0;
const LINE: f64 = 20.0;

/// Draws entries from the left, line after line, and returns the height used.
pub(crate) fn draw(canvas: &mut Canvas<'_>, y: f64, entries: &[(Sample, String)]) -> f64 {
    if entries.is_empty() {
        return 0.0;
    }
    let room = canvas.width();
    let (mut x, mut top) = (0.0, y);
    for (sample, words) in entries {
        // A line needs length for its dashes to be told apart.
        let before = if matches!(sample, Sample::Track(..)) { LINE_SAMPLE } else { SAMPLE };
        let words = text::fit(words, FONT, room - before);
        let width = before + text::width(&words, FONT);
        if x > 0.0 && x + width > room {
            x = 0.0;
            top += LINE;
        }
        let middle = top + LINE / 2.0;
        let place = Rect { x, y: top + 4.0, width: SAMPLE - 6.0, height: LINE - 8.0 };
        match sample {
            Sample::Mark(shape, ink) => mark::draw(canvas, *shape, x + 8.0, middle, *ink),
            Sample::Hatch => {
                canvas.hatch(place);
                let edge = x + SAMPLE - 6.0;
                canvas.line(
                    (edge, top + 3.0),
                    (edge, top + LINE - 3.0),
                    Stroke::solid(Ink::Limit, 1.6),
                );
            }
            Sample::Track(track, dash) => {
                let stroke = Stroke::dashed(ink_of(*track), 1.7, dash);
                let end = x + before - 10.0;
                canvas.line((x, middle), (end, middle), stroke);
                draw_point(canvas, *track, end, middle);
            }
            Sample::Band(ink) => {
                canvas.area(place, *ink, 0.12);
                canvas.area(Rect { height: 2.0, ..place }, *ink, 1.0);
            }
            Sample::Line(stroke) => canvas.line((x, middle), (x + SAMPLE - 6.0, middle), *stroke),
        }
        let at = (x + before, middle - FONT.box_height() / 2.0);
        canvas.text(at, Anchor::Start, &words, FONT, Ink::Soft);
        x += width + GAP;
    }
    top + LINE - y
}
