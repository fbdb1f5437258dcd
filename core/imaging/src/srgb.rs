//! sRGB codes, linear light, and the way between them.

/// A colour as stored in a photo: gamma-encoded sRGB, each channel from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Srgb(pub [f64; 3]);

/// A colour in linear light on the sRGB primaries; 1 is the brightest a screen shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Linear(pub [f64; 3]);

impl Srgb {
    /// From three 8-bit codes.
    #[must_use]
    pub fn from_codes(codes: [u8; 3]) -> Self {
        Self(codes.map(|code| f64::from(code) / 255.0))
    }

    /// The nearest 8-bit codes; what lies outside is brought to the border.
    #[must_use]
    pub fn codes(self) -> [u8; 3] {
        self.0.map(nearest_code)
    }

    /// In linear light.
    #[must_use]
    pub fn linear(self) -> Linear {
        Linear(self.0.map(decode))
    }
}

impl Linear {
    /// As a photo stores it; light below zero or above one is brought to the border.
    #[must_use]
    pub fn encoded(self) -> Srgb {
        Srgb(self.0.map(|light| encode(light.clamp(0.0, 1.0))))
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to the range of a byte"
)]
fn nearest_code(channel: f64) -> u8 {
    (channel * 255.0).round().clamp(0.0, 255.0) as u8
}

/// Linear light of one encoded channel.
///
/// # Source  IEC 61966-2-1:1999: c / 12.92 up to 0.04045, above it ((c + 0.055) / 1.055)^2.4.
#[must_use]
pub fn decode(channel: f64) -> f64 {
    if channel <= 0.040_45 { channel / 12.92 } else { ((channel + 0.055) / 1.055).powf(2.4) }
}

/// Encoded channel of linear light.
///
/// # Source  IEC 61966-2-1:1999: 12.92 l up to 0.0031308, above it 1.055 l^(1/2.4) - 0.055.
#[must_use]
pub fn encode(light: f64) -> f64 {
    if light <= 0.003_130_8 { 12.92 * light } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_code_comes_back() {
        for code in 0..=255_u8 {
            let there = Srgb::from_codes([code; 3]).linear();
            assert_eq!(there.encoded().codes(), [code; 3], "code {code}");
        }
    }

    #[test]
    fn light_outside_the_range_is_brought_to_the_border() {
        assert_eq!(Linear([-0.5, 0.5, 2.0]).encoded().codes(), [0, 188, 255]);
    }
}
