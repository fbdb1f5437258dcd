//! CIE XYZ and CIELAB.

use crate::{
    matrix::{Matrix, inverse, times},
    srgb::Linear,
};

/// Tristimulus values, Y = 1 for white, for the 2 degree observer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Xyz(pub [f64; 3]);

/// CIELAB lightness and the two opponent axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lab {
    /// Lightness, 0 to 100.
    pub l: f64,
    /// Red positive, green negative.
    pub a: f64,
    /// Yellow positive, blue negative.
    pub b: f64,
}

/// Linear sRGB to XYZ under D65, in the digits of the standard (IEC 61966-2-1:1999).
const XYZ_OF_SRGB: Matrix =
    [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]];

/// D65 white as that matrix makes it from (1, 1, 1), so that white has exactly no chroma.
pub const D65: Xyz = Xyz([0.9505, 1.0, 1.089]);

/// D50 white of the profile connection space (ICC.1:2022, 7.2.16).
pub const D50: Xyz = Xyz([0.9642, 1.0, 0.8249]);

/// Tristimulus values of linear sRGB, under D65.
#[must_use]
pub fn xyz(colour: Linear) -> Xyz {
    Xyz(times(&XYZ_OF_SRGB, colour.0))
}

/// Linear sRGB of tristimulus values under D65; outside 0 to 1 where a screen cannot show it.
#[must_use]
pub fn linear_of_xyz(colour: Xyz) -> Linear {
    let back = inverse(&XYZ_OF_SRGB).expect("the matrix of the standard has an inverse");
    Linear(times(&back, colour.0))
}

/// CIELAB under a white.
///
/// # Source  CIE 15:2004: L* = 116 f(Y/Yn) - 16, a* = 500 (f(X/Xn) - f(Y/Yn)),
///   b* = 200 (f(Y/Yn) - f(Z/Zn)), from memory; two colour libraries give the same numbers.
#[must_use]
pub fn lab(colour: Xyz, white: Xyz) -> Lab {
    let [x, y, z] = std::array::from_fn(|axis| lightness_curve(colour.0[axis] / white.0[axis]));
    Lab { l: 116.0 * y - 16.0, a: 500.0 * (x - y), b: 200.0 * (y - z) }
}

/// Tristimulus values of CIELAB under a white: [`lab`] backwards.
#[must_use]
pub fn xyz_of_lab(colour: Lab, white: Xyz) -> Xyz {
    let y = (colour.l + 16.0) / 116.0;
    let parts = [y + colour.a / 500.0, y, y - colour.b / 200.0];
    Xyz(std::array::from_fn(|axis| white.0[axis] * curve_back(parts[axis])))
}

/// CIELAB under D65 of linear sRGB.
#[must_use]
pub fn lab_of(colour: Linear) -> Lab {
    lab(xyz(colour), D65)
}

/// Where the cube root takes over from the straight line: 6/29.
const KNEE: f64 = 6.0 / 29.0;

fn lightness_curve(ratio: f64) -> f64 {
    if ratio > KNEE.powi(3) { ratio.cbrt() } else { ratio / (3.0 * KNEE * KNEE) + 4.0 / 29.0 }
}

fn curve_back(value: f64) -> f64 {
    if value > KNEE { value.powi(3) } else { 3.0 * KNEE * KNEE * (value - 4.0 / 29.0) }
}

/// Bradford cone responses of XYZ (ICC.1:2022, annex E).
const BRADFORD: Matrix =
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]];

/// The same colour as seen under another white, by the Bradford transform.
///
/// # Source  ICC.1:2022, annex E.
#[must_use]
pub fn adapted(colour: Xyz, from: Xyz, to: Xyz) -> Xyz {
    let (cones, had, wanted) =
        (times(&BRADFORD, colour.0), times(&BRADFORD, from.0), times(&BRADFORD, to.0));
    let moved = std::array::from_fn(|axis| cones[axis] * wanted[axis] / had[axis]);
    let back = inverse(&BRADFORD).expect("the Bradford matrix has an inverse");
    Xyz(times(&back, moved))
}

/// Linear sRGB of a CIELAB value measured under D50, as charts are published.
#[must_use]
pub fn linear_of_lab_d50(colour: Lab) -> Linear {
    linear_of_xyz(adapted(xyz_of_lab(colour, D50), D50, D65))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::srgb::Srgb;

    #[test]
    fn there_and_back() {
        for codes in [[0, 0, 0], [1, 2, 3], [86, 125, 70], [255, 0, 128], [255, 255, 255]] {
            let light = Srgb::from_codes(codes).linear();
            let back = linear_of_xyz(xyz_of_lab(lab_of(light), D65));
            for channel in 0..3 {
                assert!((back.0[channel] - light.0[channel]).abs() < 1e-12, "{codes:?}: {back:?}");
            }
        }
    }

    #[test]
    fn white_under_d50_is_white_on_the_screen() {
        let white = linear_of_lab_d50(Lab { l: 100.0, a: 0.0, b: 0.0 });
        assert!(white.0.iter().all(|light| (light - 1.0).abs() < 1e-3), "{white:?}");
    }
}
