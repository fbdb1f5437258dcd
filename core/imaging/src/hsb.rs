//! Hue, saturation, brightness, and the dark green colour index.

use crate::srgb::Srgb;

/// Hue, saturation and brightness of one colour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hsb {
    /// Degrees from 0 up to 360; a grey has none.
    pub hue: Option<f64>,
    /// From 0 (grey) to 1.
    pub saturation: f64,
    /// From 0 (black) to 1.
    pub brightness: f64,
}

/// Hue, saturation and brightness of a colour as a photo stores it.
///
/// # Source  Smith AR (1978) Color gamut transform pairs, SIGGRAPH 12:12-19, hexcone model; the
///   definition used by `karcher-richardson-2003`.
#[must_use]
pub fn hsb(colour: Srgb) -> Hsb {
    let [r, g, b] = colour.0;
    let most = r.max(g).max(b);
    let chroma = most - r.min(g).min(b);
    if chroma <= 0.0 {
        return Hsb { hue: None, saturation: 0.0, brightness: most };
    }
    // Ties go to red, then green: on a tie both branches give the same angle.
    let sixths = if r >= most {
        ((g - b) / chroma).rem_euclid(6.0)
    } else if g >= most {
        (b - r) / chroma + 2.0
    } else {
        (r - g) / chroma + 4.0
    };
    Hsb { hue: Some(60.0 * sixths), saturation: chroma / most, brightness: most }
}

/// Dark green colour index: 0 for full yellow, near 1 for dark green; a grey has none.
///
/// # Source  `karcher-richardson-2003`: ((H - 60) / 60 + (1 - S) + (1 - B)) / 3.
///   The hue is taken as it is: brown (below 60 degrees) makes the first part negative.
#[must_use]
pub fn dark_green_index(colour: Hsb) -> Option<f64> {
    colour.hue.map(|hue| index_of(hue, colour.saturation, colour.brightness))
}

/// The same with the hue held between 60 and 120 degrees, so that it stays from 0 to 1.
///
/// # Source  common practice, no source, for holding the hue.
#[must_use]
pub fn dark_green_index_held(colour: Hsb) -> Option<f64> {
    colour.hue.map(|hue| index_of(hue.clamp(60.0, 120.0), colour.saturation, colour.brightness))
}

fn index_of(hue: f64, saturation: f64, brightness: f64) -> f64 {
    ((hue - 60.0) / 60.0 + (1.0 - saturation) + (1.0 - brightness)) / 3.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn primaries_lie_where_the_hexcone_puts_them() {
        let check = |codes, hue: f64| {
            let got = hsb(Srgb::from_codes(codes)).hue.expect("has a hue");
            assert!((got - hue).abs() < 1e-9, "{codes:?}: {got}");
        };
        check([255, 0, 0], 0.0);
        check([255, 255, 0], 60.0);
        check([0, 255, 0], 120.0);
        check([0, 255, 255], 180.0);
        check([0, 0, 255], 240.0);
        check([255, 0, 255], 300.0);
        check([255, 0, 1], 360.0 - 60.0 / 255.0);
    }
}
