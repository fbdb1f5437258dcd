//! Colour spaces of cameras and screens, by their primaries.

use crate::matrix::{IDENTITY, Matrix, diagonal, inverse, product, times};

/// A colour space whose curve is that of sRGB.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ColourSpace {
    /// sRGB, IEC 61966-2-1.
    Srgb,
    /// Display P3: wider primaries, the same white and curve; what many phones record.
    DisplayP3,
}

/// Chromaticities x, y of red, green and blue.
type Primaries = [[f64; 2]; 3];

/// ITU-R BT.709, which sRGB takes over.
const SRGB: Primaries = [[0.640, 0.330], [0.300, 0.600], [0.150, 0.060]];
/// SMPTE RP 431-2.
const P3: Primaries = [[0.680, 0.320], [0.265, 0.690], [0.150, 0.060]];
/// D65.
const WHITE: [f64; 2] = [0.3127, 0.3290];

impl ColourSpace {
    /// Brings linear light of this space to linear sRGB.
    ///
    /// # Source  primaries of ITU-R BT.709 and SMPTE RP 431-2 under D65, as W3C CSS Color 4 gives
    ///   them for `srgb` and `display-p3`; white stays white.
    #[must_use]
    pub fn to_linear_srgb(self) -> Matrix {
        match self {
            Self::Srgb => IDENTITY,
            Self::DisplayP3 => {
                let back = inverse(&to_xyz(&SRGB)).expect("three primaries span the colours");
                product(&back, &to_xyz(&P3))
            }
        }
    }
}

/// Matrix from linear light to XYZ: columns are the primaries, scaled so that they add to white.
fn to_xyz(primaries: &Primaries) -> Matrix {
    let column = |[x, y]: [f64; 2]| [x / y, 1.0, (1.0 - x - y) / y];
    let columns = primaries.map(column);
    let unscaled: Matrix = std::array::from_fn(|row| columns.map(|column| column[row]));
    let back = inverse(&unscaled).expect("three primaries span the colours");
    product(&unscaled, &diagonal(times(&back, column(WHITE))))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn display_p3_comes_out_as_in_the_web_standard() {
        // W3C CSS Color 4, sample code: Display P3 to XYZ, then XYZ to linear sRGB, multiplied.
        let expected = [
            [1.224_940_2, -0.224_940_2, 0.0],
            [-0.042_056_9, 1.042_056_9, 0.0],
            [-0.019_637_6, -0.078_636_1, 1.098_273_6],
        ];
        for (row, wanted) in ColourSpace::DisplayP3.to_linear_srgb().iter().zip(expected) {
            for (entry, wanted) in row.iter().zip(wanted) {
                assert!((entry - wanted).abs() < 5e-6, "{entry} for {wanted}");
            }
        }
    }
}
