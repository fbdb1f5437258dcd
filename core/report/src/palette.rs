//! The colours of a figure, as the page's properties or as written values.

use crate::look::Theme;

/// A written set of colours for a drawing that stands alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Skin {
    /// Ink on warm paper.
    Light,
    /// The same on dark ground.
    Dark,
    /// Highest contrast, for a screen in the sun.
    Sunlight,
}

impl Skin {
    /// Every skin there is.
    pub const ALL: [Self; 3] = [Self::Light, Self::Dark, Self::Sunlight];
}

/// A colour by its part in the drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Ink {
    Paper,
    Text,
    Soft,
    Rule,
    Rule2,
    Before,
    After,
    Control,
    Limit,
    Accent,
}

impl Ink {
    /// The colour as an attribute's value.
    pub(crate) const fn value(self, theme: Theme) -> &'static str {
        match theme.skin() {
            None => match self {
                Self::Paper => "var(--paper)",
                Self::Text => "var(--ink)",
                Self::Soft => "var(--ink-2)",
                Self::Rule => "var(--rule)",
                Self::Rule2 => "var(--rule-2)",
                Self::Before => "var(--before)",
                Self::After => "var(--after)",
                Self::Control => "var(--control)",
                Self::Limit => "var(--limit)",
                Self::Accent => "var(--accent)",
            },
            Some(Skin::Light) => match self {
                Self::Paper => "#f6f2e7",
                Self::Text => "#22271f",
                Self::Soft => "#5a5f52",
                Self::Rule => "#d8d1bd",
                Self::Rule2 => "#e8e2d1",
                Self::Before => "#a4502c",
                Self::After => "#3d6b3a",
                Self::Control => "#4d6478",
                Self::Limit => "#8a7a4a",
                Self::Accent => "#2f5d50",
            },
            Some(Skin::Dark) => match self {
                Self::Paper => "#1a1d18",
                Self::Text => "#ece7d8",
                Self::Soft => "#a9ac9c",
                Self::Rule => "#3c4036",
                Self::Rule2 => "#2e322a",
                Self::Before => "#e08a5f",
                Self::After => "#86b97c",
                Self::Control => "#9db6cc",
                Self::Limit => "#c5b37a",
                Self::Accent => "#7db5a3",
            },
            Some(Skin::Sunlight) => match self {
                Self::Paper => "#ffffff",
                Self::Text => "#000000",
                Self::Soft => "#262922",
                Self::Rule => "#a6a69f",
                Self::Rule2 => "#d2d2cc",
                Self::Before => "#7d2a07",
                Self::After => "#12491a",
                Self::Control => "#1c3d5a",
                Self::Limit => "#55450f",
                Self::Accent => "#053f33",
            },
        }
    }
}

/// The text font's stack.
pub(crate) const fn sans(theme: Theme) -> &'static str {
    match theme.skin() {
        None => "var(--sans)",
        Some(_) => {
            "'Atkinson Hyperlegible Next', 'Atkinson Hyperlegible', 'Segoe UI', 'Noto Sans', \
             Helvetica, Arial, sans-serif"
        }
    }
}

/// The heading font's stack.
pub(crate) const fn serif(theme: Theme) -> &'static str {
    match theme.skin() {
        None => "var(--serif)",
        Some(_) => "Newsreader, 'Newsreader 16pt 16pt', Georgia, serif",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance of `#rrggbb`.
    ///
    /// # Source
    /// WCAG 2.2, definition of relative luminance.
    fn luminance(hex: &str) -> f64 {
        let channel = |at: usize| {
            let s = f64::from(u8::from_str_radix(&hex[at..at + 2], 16).unwrap()) / 255.0;
            if s <= 0.04045 { s / 12.92 } else { ((s + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
    }

    /// WCAG 2.2, definition of contrast ratio.
    fn contrast(a: &str, b: &str) -> f64 {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn black_on_white_is_twenty_one_to_one() {
        assert!((contrast("#000000", "#ffffff") - 21.0).abs() < 1e-9, "the published extreme");
        assert!((contrast("#777777", "#ffffff") - 4.48).abs() < 0.005, "the known near miss");
    }

    #[test]
    fn text_and_marks_can_be_read_on_their_ground() {
        for skin in Skin::ALL {
            let value = |ink: Ink| ink.value(Theme::Standalone(skin));
            let text_least = if skin == Skin::Sunlight { 7.0 } else { 4.5 };
            for ink in [Ink::Text, Ink::Soft] {
                let found = contrast(value(ink), value(Ink::Paper));
                assert!(found >= text_least, "{skin:?} {ink:?} {found}");
            }
            let mark_least = if skin == Skin::Sunlight { 7.0 } else { 3.0 };
            for ink in [Ink::Before, Ink::After, Ink::Control, Ink::Limit, Ink::Accent] {
                let found = contrast(value(ink), value(Ink::Paper));
                assert!(found >= mark_least, "{skin:?} {ink:?} {found}");
            }
        }
    }
}
