//! Writes the SVG and keeps account of where every text and mark went.

pub(crate) use crate::escape::Px;
use crate::escape::{Escaped, escape_into};
use crate::figure::{BoxKind, DataTable, Figure, PlacedBox};
use crate::look::{Look, Theme};
use crate::palette::{Ink, sans, serif};
use crate::text::{self, Font};
use std::fmt::Write as _;

/// Room around a drawing that stands alone.
const MARGIN: f64 = 20.0;

/// A rectangle in px.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Rect {
    pub(crate) x: f64,
    pub(crate) y: f64,
    pub(crate) width: f64,
    pub(crate) height: f64,
}

impl Rect {
    /// A square around a point.
    pub(crate) fn around(x: f64, y: f64, half: f64) -> Self {
        Self { x: x - half, y: y - half, width: 2.0 * half, height: 2.0 * half }
    }
}

/// Which end of a text its `x` names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// Where a text lies that does not run level.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Turned {
    pub(crate) middle: (f64, f64),
    /// Clockwise.
    pub(crate) degrees: f64,
    /// Small squares that cover it.
    pub(crate) places: Vec<Rect>,
}

/// A line's colour, width and pattern.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Stroke {
    pub(crate) ink: Ink,
    pub(crate) width: f64,
    pub(crate) dash: &'static str,
}

impl Stroke {
    pub(crate) const fn solid(ink: Ink, width: f64) -> Self {
        Self { ink, width, dash: "" }
    }

    pub(crate) const fn dashed(ink: Ink, width: f64, dash: &'static str) -> Self {
        Self { ink, width, dash }
    }
}

/// What a mark says and what it stands for.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Says<'a> {
    /// Class of the mark, without its prefix.
    pub(crate) kind: &'static str,
    /// One sentence.
    pub(crate) readout: &'a str,
    /// The table's rows it stands for.
    pub(crate) rows: &'a [usize],
    /// The record it came from, or nothing.
    pub(crate) id: &'a str,
}

pub(crate) struct Canvas<'a> {
    look: &'a Look,
    body: String,
    boxes: Vec<PlacedBox>,
    marks: usize,
    items: usize,
}

impl<'a> Canvas<'a> {
    pub(crate) fn new(look: &'a Look) -> Self {
        Self { look, body: String::new(), boxes: Vec::new(), marks: 0, items: 0 }
    }

    /// Width there is to draw in; x runs from 0 to it.
    pub(crate) fn width(&self) -> f64 {
        match self.look.theme {
            Theme::FollowPage | Theme::Embedded(_) => self.look.width(),
            Theme::Standalone(_) => self.look.width() - 2.0 * MARGIN,
        }
    }

    /// Keeps account of where a text or mark lies.
    fn record(&mut self, kind: BoxKind, what: &str, places: &[Rect]) {
        let item = self.items;
        self.items += 1;
        self.boxes.extend(places.iter().map(|place| PlacedBox {
            item,
            kind,
            what: what.to_owned(),
            x: place.x,
            y: place.y,
            width: place.width,
            height: place.height,
        }));
    }

    fn ink(&self, ink: Ink) -> &'static str {
        ink.value(self.look.theme)
    }

    fn put(&mut self, arguments: std::fmt::Arguments<'_>) {
        self.body.write_fmt(arguments).expect("writing to a String cannot fail");
    }

    pub(crate) fn line(&mut self, from: (f64, f64), to: (f64, f64), stroke: Stroke) {
        let ((x1, y1), (x2, y2)) = (from, to);
        let ink = self.ink(stroke.ink);
        self.put(format_args!(
            "<path d=\"M{} {}L{} {}\" stroke=\"{ink}\" stroke-width=\"{}\"",
            Px(x1),
            Px(y1),
            Px(x2),
            Px(y2),
            Px(stroke.width)
        ));
        self.dash(stroke.dash);
        self.put(format_args!("/>\n"));
    }

    fn dash(&mut self, dash: &str) {
        if !dash.is_empty() {
            self.put(format_args!(" stroke-dasharray=\"{dash}\""));
        }
    }

    /// A path; the caller's `d` is made with [`Px`].
    pub(crate) fn path(&mut self, d: &str, fill: Option<Ink>, stroke: Option<Stroke>) {
        let fill = fill.map_or("none", |ink| self.ink(ink));
        self.put(format_args!("<path d=\"{d}\" fill=\"{fill}\""));
        if let Some(stroke) = stroke {
            let ink = self.ink(stroke.ink);
            self.put(format_args!(" stroke=\"{ink}\" stroke-width=\"{}\"", Px(stroke.width)));
            self.dash(stroke.dash);
        }
        self.put(format_args!(" stroke-linejoin=\"round\"/>\n"));
    }

    /// A plain area, see-through by `opacity`.
    pub(crate) fn area(&mut self, rect: Rect, ink: Ink, opacity: f64) {
        let ink = self.ink(ink);
        self.put(format_args!(
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"{ink}\" fill-opacity=\"{}\"/>\n",
            Px(rect.x),
            Px(rect.y),
            Px(rect.width.max(0.0)),
            Px(rect.height.max(0.0)),
            opacity
        ));
    }

    /// A path filled see-through.
    pub(crate) fn tint(&mut self, d: &str, ink: Ink, opacity: f64) {
        let ink = self.ink(ink);
        self.put(format_args!(
            "<path d=\"{d}\" fill=\"{ink}\" fill-opacity=\"{opacity}\" fill-rule=\"evenodd\"/>\n"
        ));
    }

    /// An area hatched as "outside the limit".
    pub(crate) fn hatch(&mut self, rect: Rect) {
        let name = self.name();
        self.put(format_args!(
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"url(#{name}-hatch)\"/>\n",
            Px(rect.x),
            Px(rect.y),
            Px(rect.width.max(0.0)),
            Px(rect.height.max(0.0)),
        ));
    }

    /// A text; `y` is the top of its box. An empty text is not written.
    pub(crate) fn text(
        &mut self,
        at: (f64, f64),
        anchor: Anchor,
        what: &str,
        font: Font,
        ink: Ink,
    ) {
        self.write_text(at, anchor, what, font, ink, false);
    }

    /// A text that may lie over hairlines, with the ground's colour around its letters.
    pub(crate) fn halo_text(
        &mut self,
        at: (f64, f64),
        anchor: Anchor,
        what: &str,
        font: Font,
        ink: Ink,
    ) {
        self.write_text(at, anchor, what, font, ink, true);
    }

    /// A text turned about its middle; `places` are the small boxes it covers.
    pub(crate) fn turned_text(&mut self, turned: &Turned, what: &str, font: Font, ink: Ink) {
        self.record(BoxKind::Text, what, &turned.places);
        let ink = self.ink(ink);
        let (x, y) = turned.middle;
        let baseline = y + font.ascent() - font.box_height() / 2.0;
        self.put(format_args!(
            "<text x=\"{}\" y=\"{}\" transform=\"rotate({} {} {})\" text-anchor=\"middle\" font-size=\"{}\" fill=\"{ink}\"",
            Px(x),
            Px(baseline),
            Px(turned.degrees),
            Px(x),
            Px(y),
            Px(font.size)
        ));
        if font.is_bold {
            self.put(format_args!(" font-weight=\"600\""));
        }
        self.put(format_args!(">"));
        escape_into(&mut self.body, what);
        self.put(format_args!("</text>\n"));
    }

    fn write_text(
        &mut self,
        at: (f64, f64),
        anchor: Anchor,
        what: &str,
        font: Font,
        ink: Ink,
        has_halo: bool,
    ) {
        if what.trim().is_empty() {
            return;
        }
        let (x, top) = at;
        let width = text::width(what, font);
        let (anchor, left) = match anchor {
            Anchor::Start => ("", x),
            Anchor::Middle => (" text-anchor=\"middle\"", x - width / 2.0),
            Anchor::End => (" text-anchor=\"end\"", x - width),
        };
        let place = Rect { x: left, y: top, width, height: font.box_height() };
        self.record(BoxKind::Text, what, &[place]);
        let ink = self.ink(ink);
        let baseline = top + font.ascent();
        self.put(format_args!(
            "<text x=\"{}\" y=\"{}\"{anchor} font-size=\"{}\" fill=\"{ink}\"",
            Px(x),
            Px(baseline),
            Px(font.size)
        ));
        if font.is_bold {
            self.put(format_args!(" font-weight=\"600\""));
        }
        if has_halo {
            let paper = self.ink(Ink::Paper);
            self.put(format_args!(
                " stroke=\"{paper}\" stroke-width=\"4\" stroke-linejoin=\"round\" paint-order=\"stroke\""
            ));
        }
        self.put(format_args!(">"));
        escape_into(&mut self.body, what);
        self.put(format_args!("</text>\n"));
    }

    /// Draws a mark: whatever `draw` puts down is one thing to point at.
    pub(crate) fn mark(&mut self, says: Says<'_>, place: Rect, draw: impl FnOnce(&mut Self)) {
        self.open_mark(says, place, BoxKind::Mark);
        // At least 24 px each way can be pointed at (WCAG 2.2, success criterion 2.5.8).
        const LEAST: f64 = 24.0;
        let around = |side: f64| ((LEAST - side) / 2.0).max(4.0);
        let (x, y) = (around(place.width), around(place.height));
        self.put(format_args!(
            "<rect class=\"sb-hit\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" rx=\"3\" fill=\"none\" pointer-events=\"all\"/>\n",
            Px(place.x - x),
            Px(place.y - y),
            Px(place.width + 2.0 * x),
            Px(place.height + 2.0 * y),
        ));
        draw(self);
        self.put(format_args!("</g>\n"));
    }

    /// Draws a mark that covers ground: its own outline `d` is what can be pointed at.
    pub(crate) fn ground_mark(
        &mut self,
        says: Says<'_>,
        place: Rect,
        d: &str,
        draw: impl FnOnce(&mut Self),
    ) {
        self.open_mark(says, place, BoxKind::Ground);
        draw(self);
        self.put(format_args!(
            "<path class=\"sb-hit\" d=\"{d}\" fill=\"none\" pointer-events=\"all\"/>\n"
        ));
        self.put(format_args!("</g>\n"));
    }

    fn open_mark(&mut self, says: Says<'_>, place: Rect, kind: BoxKind) {
        let number = self.marks;
        self.marks += 1;
        self.record(kind, says.kind, &[place]);
        self.put(format_args!("<g class=\"sb-mark sb-{}\" data-mark=\"{number}\"", says.kind));
        self.put(format_args!(" data-row=\""));
        for (i, row) in says.rows.iter().enumerate() {
            self.put(format_args!("{}{row}", if i == 0 { "" } else { " " }));
        }
        self.put(format_args!("\" data-readout=\""));
        escape_into(&mut self.body, says.readout);
        self.put(format_args!("\""));
        if !says.id.is_empty() {
            self.put(format_args!(" data-id=\""));
            escape_into(&mut self.body, says.id);
            self.put(format_args!("\""));
        }
        self.put(format_args!(">"));
        if self.look.theme != Theme::FollowPage {
            // A file alone has no script; the viewer's own hover text says it.
            self.put(format_args!("<title>"));
            escape_into(&mut self.body, says.readout);
            self.put(format_args!("</title>"));
        }
    }

    fn name(&self) -> String {
        let kept: String = self
            .look
            .name
            .chars()
            .filter(|c| c.is_ascii_alphanumeric() || *c == '-' || *c == '_')
            .collect();
        format!("sb-{kept}")
    }

    /// Closes the drawing at a height.
    pub(crate) fn finish(
        mut self,
        figure: &'static str,
        title: &str,
        description: &str,
        height: f64,
        table: DataTable,
    ) -> Figure {
        let name = self.name();
        let theme = self.look.theme;
        let full_width = self.look.width();
        let heading = Font::plain(20.0);
        let (mut top, mut side, mut full_height) = (0.0, 0.0, height);
        let mut heading_lines = Vec::new();
        let is_alone = matches!(theme, Theme::Standalone(_));
        if is_alone {
            heading_lines = text::wrap(title, heading, self.width(), 3);
            let lines = f64::from(u32::try_from(heading_lines.len()).unwrap_or(3));
            top = MARGIN + lines * heading.line_height() + 10.0;
            side = MARGIN;
            full_height = top + height + MARGIN;
            for placed in &mut self.boxes {
                placed.x += side;
                placed.y += top;
            }
        }
        let mut svg = String::with_capacity(self.body.len() + 2000);
        let mut put = |arguments: std::fmt::Arguments<'_>| {
            svg.write_fmt(arguments).expect("writing to a String cannot fail");
        };
        put(format_args!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"sb-fig sb-fig-{figure}\" role=\"img\" \
             tabindex=\"0\" aria-labelledby=\"{name}-title\" aria-describedby=\"{name}-desc\" \
             viewBox=\"0 0 {w} {h}\" width=\"{w}\" height=\"{h}\" font-family=\"{font}\" \
             data-marks=\"{marks}\" overflow=\"visible\" fill=\"none\">\n",
            w = Px(full_width),
            h = Px(full_height),
            font = sans(theme),
            marks = self.marks,
        ));
        put(format_args!("<title id=\"{name}-title\">{}</title>\n", Escaped(title)));
        put(format_args!("<desc id=\"{name}-desc\">{}</desc>\n", Escaped(description)));
        put(format_args!(
            "<defs><pattern id=\"{name}-hatch\" width=\"5\" height=\"5\" \
             patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\">\
             <path d=\"M0 0V5\" stroke=\"{}\" stroke-width=\"1.4\" stroke-opacity=\"0.55\"/>\
             </pattern></defs>\n",
            Ink::Limit.value(theme)
        ));
        if is_alone {
            put(format_args!(
                "<rect width=\"{}\" height=\"{}\" fill=\"{}\"/>\n",
                Px(full_width),
                Px(full_height),
                Ink::Paper.value(theme)
            ));
            let mut y = MARGIN;
            let mut headings = Vec::new();
            for line in &heading_lines {
                put(format_args!(
                    "<text x=\"{}\" y=\"{}\" font-family=\"{}\" font-size=\"{}\" font-weight=\"500\" fill=\"{}\">{}</text>\n",
                    Px(MARGIN),
                    Px(y + heading.ascent()),
                    serif(theme),
                    Px(heading.size),
                    Ink::Text.value(theme),
                    Escaped(line)
                ));
                let place = Rect {
                    x: MARGIN,
                    y,
                    width: text::width(line, heading),
                    height: heading.box_height(),
                };
                headings.push((line.clone(), place));
                y += heading.line_height();
            }
            put(format_args!("<g transform=\"translate({} {})\">\n", Px(side), Px(top)));
            for (line, place) in headings {
                self.record(BoxKind::Text, &line, &[place]);
            }
            svg.push_str(&self.body);
            svg.push_str("</g>\n");
        } else {
            svg.push_str(&self.body);
        }
        svg.push_str("</svg>\n");
        Figure {
            svg,
            title: title.to_owned(),
            description: description.to_owned(),
            table,
            width: full_width,
            height: full_height,
            boxes: self.boxes,
        }
    }
}
