//! How a figure is to look: width, theme, words.

use crate::palette::Skin;
use crate::words::Words;

/// Width, theme and words of one drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Look {
    /// A name that no other figure on the page has; it makes the ids of the title, the description
    /// and the hatching. Anything but ASCII letters, digits, `-` and `_` is dropped.
    pub name: String,
    /// Width in px; below 280 and above 4000 it is drawn at that limit.
    pub width_px: u32,
    /// Where the colours come from.
    pub theme: Theme,
    /// The words that the rows do not bring.
    pub words: Words,
}

/// Where a figure's colours and fonts come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Theme {
    /// From the page's CSS custom properties, so that it changes with the page.
    FollowPage,
    /// Written into the drawing, with its ground and its title, for a file that stands alone.
    Standalone(Skin),
    /// Written into the drawing, without ground and title, for a document that has its own.
    Embedded(Skin),
}

impl Theme {
    /// The written colours, unless the page gives them.
    pub(crate) const fn skin(self) -> Option<Skin> {
        match self {
            Self::FollowPage => None,
            Self::Standalone(skin) | Self::Embedded(skin) => Some(skin),
        }
    }
}

/// A drawing narrower than this is laid out for a phone in the hand.
const FIELD_BELOW_PX: f64 = 600.0;

impl Look {
    /// The width that is drawn.
    pub(crate) fn width(&self) -> f64 {
        f64::from(self.width_px.clamp(280, 4000))
    }

    /// Whether the drawing is laid out for a phone.
    pub(crate) fn is_field(&self) -> bool {
        self.width() < FIELD_BELOW_PX
    }
}

/// Rules for a page that shows figures: the mark under the pointer or the keyboard, and the ring of
/// a figure that has the focus.
pub const STYLE_SHEET: &str = "\
.sb-fig { display: block; max-width: 100%; height: auto; font-variant-numeric: tabular-nums; }
.sb-fig:focus-visible { outline: 2px solid var(--focus); outline-offset: 4px; }
.sb-fig .sb-mark { cursor: default; }
.sb-fig .sb-mark > .sb-hit { fill: transparent; stroke: none; }
.sb-fig .sb-mark:hover > .sb-hit, .sb-fig .sb-mark.sb-at > .sb-hit { stroke: var(--focus); stroke-width: 2; }
";
