//! Eight pixels at a time: light to hue, saturation, brightness and index, and their sums.
//!
//! Sums are kept lane by lane and no product is fused with a sum, so that every processor gives the
//! same numbers; a kept measurement comes out again wherever it is repeated.
//! Functions are written out rather than mapped over arrays: a closure handed to a library's
//! function is compiled without the processor's wider instructions.

use fearless_simd::{Simd, f32x8, i32x8, mask32x8, prelude::*};

use crate::{mask::GreenRange, matrix::Matrix};

/// Pixels taken at once.
pub(crate) const LANES: usize = 8;
/// The most pixels that are added up in single precision before they go to the double sums.
pub(crate) const RUN: usize = 256;
/// Bins of the histogram of hue for each degree.
pub(crate) const BINS_PER_DEGREE: f32 = 4.0;
/// Where pixels without a hue, or with a saturation out of range, are put; beyond a whole turn.
pub(crate) const NO_BIN: usize = 2047;

/// Light further outside 0 to 1 than this cannot be held by the photo's colours.
const BEYOND: f32 = 0.002;
/// Two channels nearer than a hundredth of a code are one grey; a hue from them is rounding.
const GREY: f32 = 4e-5;

/// What pixels are held against, in the form that the loop wants.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Judging {
    /// Sixths of a turn.
    hue: [f32; 2],
    saturation: [f32; 2],
    matrix: [[f32; 3]; 3],
}

/// Sums over a run of pixels.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct RunSums {
    pub(crate) green: f64,
    pub(crate) hue: f64,
    pub(crate) saturation: f64,
    pub(crate) brightness: f64,
    pub(crate) index: f64,
    pub(crate) index_squared: f64,
    pub(crate) light: [f64; 3],
    /// Of all pixels, green or not.
    pub(crate) luminance: f64,
    /// Pixels that the correction moved outside what can be held.
    pub(crate) beyond: f64,
}

impl Judging {
    #[expect(clippy::cast_possible_truncation, reason = "single precision is what pixels need")]
    pub(crate) fn new(green: &GreenRange, matrix: &Matrix) -> Self {
        Self {
            hue: green.hue.map(|degrees| (degrees / 60.0) as f32),
            saturation: green.saturation.map(|share| share as f32),
            matrix: matrix.map(|row| row.map(|entry| entry as f32)),
        }
    }

    /// Sums over at most [`RUN`] pixels given as planes of linear light; puts the bin of each
    /// pixel's hue in `bins`.
    #[inline(always)]
    pub(crate) fn run<S: Simd>(
        &self,
        simd: S,
        light: [&[f32]; 3],
        bins: &mut [i32; RUN],
    ) -> RunSums {
        let [r, g, b] = light;
        let mut sums = Lanes::nothing(simd);
        let whole = r.len() - r.len() % LANES;
        let chunks = r.chunks_exact(LANES).zip(g.chunks_exact(LANES)).zip(b.chunks_exact(LANES));
        for (((r, g), b), bins) in chunks.zip(bins.chunks_exact_mut(LANES)) {
            let eight = [
                f32x8::from_slice(simd, r),
                f32x8::from_slice(simd, g),
                f32x8::from_slice(simd, b),
            ];
            self.add(simd, eight, &mut sums).store_slice(bins);
        }
        if whole < r.len() {
            // Black beside the last pixels is grey and adds nothing.
            let eight =
                [padded(simd, &r[whole..]), padded(simd, &g[whole..]), padded(simd, &b[whole..])];
            let last = self.add(simd, eight, &mut sums);
            let mut padded = [0; LANES];
            last.store_slice(&mut padded);
            bins[whole..r.len()].copy_from_slice(&padded[..r.len() - whole]);
        }
        sums.together()
    }

    /// Adds eight pixels and gives the bins of their hues.
    #[inline(always)]
    fn add<S: Simd>(&self, simd: S, light: [f32x8<S>; 3], sums: &mut Lanes<S>) -> i32x8<S> {
        let nothing = f32x8::splat(simd, 0.0);
        let one = f32x8::splat(simd, 1.0);
        let [from_r, from_g, from_b] = &self.matrix;
        let (r, g, b) = (mixed(from_r, light), mixed(from_g, light), mixed(from_b, light));
        let lowest = r.min(g).min(b);
        let highest = r.max(g).max(b);
        let beyond = lowest.simd_lt(-BEYOND) | highest.simd_gt(1.0 + BEYOND);
        sums.beyond += beyond.select(one, nothing);
        sums.luminance += 0.2126 * r + 0.7152 * g + 0.0722 * b;

        let Seen { sixths, saturation, brightness, has_hue } =
            seen(simd, [encode_lanes(simd, r), encode_lanes(simd, g), encode_lanes(simd, b)]);
        let is_coloured = has_hue
            & saturation.simd_ge(self.saturation[0])
            & saturation.simd_le(self.saturation[1]);
        let is_green = is_coloured & sixths.simd_ge(self.hue[0]) & sixths.simd_le(self.hue[1]);
        let index = (sixths + 1.0 - saturation - brightness) * (1.0 / 3.0);
        sums.green += is_green.select(one, nothing);
        sums.sixths += is_green.select(sixths, nothing);
        sums.saturation += is_green.select(saturation, nothing);
        sums.brightness += is_green.select(brightness, nothing);
        sums.index_squared += is_green.select(index * index, nothing);
        sums.light[0] += is_green.select(r, nothing);
        sums.light[1] += is_green.select(g, nothing);
        sums.light[2] += is_green.select(b, nothing);
        let bin = sixths * (60.0 * BINS_PER_DEGREE) + 0.5;
        is_coloured.select(bin, f32x8::splat(simd, NO_BIN as f32)).to_int()
    }
}

/// Eight sums of each kind.
struct Lanes<S: Simd> {
    green: f32x8<S>,
    sixths: f32x8<S>,
    saturation: f32x8<S>,
    brightness: f32x8<S>,
    index_squared: f32x8<S>,
    light: [f32x8<S>; 3],
    luminance: f32x8<S>,
    beyond: f32x8<S>,
}

impl<S: Simd> Lanes<S> {
    #[inline(always)]
    fn nothing(simd: S) -> Self {
        let nothing = f32x8::splat(simd, 0.0);
        Self {
            green: nothing,
            sixths: nothing,
            saturation: nothing,
            brightness: nothing,
            index_squared: nothing,
            light: [nothing; 3],
            luminance: nothing,
            beyond: nothing,
        }
    }

    #[inline(always)]
    fn together(self) -> RunSums {
        let (green, sixths) = (sum(self.green), sum(self.sixths));
        let (saturation, brightness) = (sum(self.saturation), sum(self.brightness));
        RunSums {
            green,
            hue: 60.0 * sixths,
            saturation,
            brightness,
            // The index is a sum of the three, and so is its sum.
            index: (sixths + green - saturation - brightness) / 3.0,
            index_squared: sum(self.index_squared),
            light: [sum(self.light[0]), sum(self.light[1]), sum(self.light[2])],
            luminance: sum(self.luminance),
            beyond: sum(self.beyond),
        }
    }
}

/// Sum over the lanes, in their order.
#[inline(always)]
fn sum<S: Simd>(lanes: f32x8<S>) -> f64 {
    let lanes: [f32; LANES] = lanes.into();
    lanes.into_iter().map(f64::from).sum()
}

/// Less than eight numbers, with noughts behind.
#[inline(always)]
fn padded<S: Simd>(simd: S, numbers: &[f32]) -> f32x8<S> {
    let mut padded = [0.0; LANES];
    padded[..numbers.len()].copy_from_slice(numbers);
    f32x8::from_slice(simd, &padded)
}

/// One row of a matrix times light.
#[inline(always)]
fn mixed<S: Simd>(row: &[f32; 3], light: [f32x8<S>; 3]) -> f32x8<S> {
    row[0] * light[0] + row[1] * light[1] + row[2] * light[2]
}

/// Hue in sixths of a turn, saturation and brightness of eight pixels.
struct Seen<S: Simd> {
    sixths: f32x8<S>,
    saturation: f32x8<S>,
    brightness: f32x8<S>,
    has_hue: mask32x8<S>,
}

/// The arithmetic of [`crate::hsb::hsb`]; a test holds them together.
#[inline(always)]
fn seen<S: Simd>(simd: S, [r, g, b]: [f32x8<S>; 3]) -> Seen<S> {
    let [two, four, six] =
        [f32x8::splat(simd, 2.0), f32x8::splat(simd, 4.0), f32x8::splat(simd, 6.0)];
    let most = r.max(g).max(b);
    let chroma = most - r.min(g).min(b);
    let has_hue = chroma.simd_gt(GREY);
    // One division for both ratios; of a grey it is no number, and greys are left out.
    let back = 1.0 / (chroma * most);
    let (is_red, is_green) = (r.simd_ge(most), g.simd_ge(most));
    let over = is_red.select(g - b, is_green.select(b - r, r - g));
    let red_start = g.simd_lt(b).select(six, f32x8::splat(simd, 0.0));
    let start = is_red.select(red_start, is_green.select(two, four));
    Seen {
        sixths: over * most * back + start,
        // Rounding may take a full colour a hair beyond one.
        saturation: (chroma * chroma * back).min(1.0),
        brightness: most,
        has_hue,
    }
}

/// Numerator and denominator of [`encode_lanes`], from the constant upwards.
const ABOVE: [f32; 6] = [-0.019_183_77, 24.456_097, 3_302.324_6, 48_799.186, 95_955.02, 12_139.522];
const BELOW: [f32; 5] = [1.0, 355.699_68, 14_204.853, 84_352.945, 61_304.117];

/// Encoded channel of linear light, within 0.00002 of [`crate::srgb::encode`] (a two-hundredth of
/// an 8-bit code); light outside 0 to 1 is brought to the border.
///
/// A ratio of two polynomials stands for the power; it was fitted so that the greatest error is
/// least, and a test walks along the whole curve.
#[inline(always)]
fn encode_lanes<S: Simd>(simd: S, light: f32x8<S>) -> f32x8<S> {
    let light = light.max(0.0).min(1.0);
    let (mut above, mut below) = (f32x8::splat(simd, ABOVE[5]), f32x8::splat(simd, BELOW[4]));
    for part in [ABOVE[4], ABOVE[3], ABOVE[2], ABOVE[1], ABOVE[0]] {
        above = above * light + part;
    }
    for part in [BELOW[3], BELOW[2], BELOW[1], BELOW[0]] {
        below = below * light + part;
    }
    let power = above / below;
    light.simd_le(0.003_130_8).select(light * 12.92, power)
}

#[cfg(test)]
mod tests {
    use fearless_simd::{Level, dispatch};

    use super::*;
    use crate::{
        hsb::{dark_green_index, hsb},
        matrix::IDENTITY,
        srgb::{Srgb, encode},
    };

    #[test]
    #[expect(clippy::cast_possible_truncation, reason = "single precision is the subject")]
    fn the_ratio_follows_the_curve() {
        let lights: Vec<f64> = (0..400_000).map(|step| f64::from(step) / 399_999.0).collect();
        for eight in lights.chunks_exact(LANES) {
            let single: Vec<f32> = eight.iter().map(|light| *light as f32).collect();
            let fast: [f32; LANES] = dispatch!(Level::new(), simd => {
                encode_lanes(simd, f32x8::from_slice(simd, &single)).into()
            });
            for (light, fast) in eight.iter().zip(fast) {
                let exact = encode(*light);
                assert!((f64::from(fast) - exact).abs() < 2e-5, "{light}: {fast} for {exact}");
            }
        }
        let outside: [f32; LANES] = dispatch!(Level::new(), simd => {
            encode_lanes(simd, f32x8::from_slice(simd, &[-1.0, 2.0, 0., 0., 0., 0., 0., 0.])).into()
        });
        assert!(outside[0].abs() < 1e-6 && (outside[1] - 1.0).abs() < 2e-5, "{outside:?}");
    }

    /// Sums over single colours are those of the exact form.
    #[test]
    #[expect(clippy::cast_possible_truncation, reason = "single precision is the subject")]
    fn eight_at_a_time_agrees_with_the_exact_form() {
        let all = GreenRange { hue: [0.0, 360.0], saturation: [0.0, 1.0] };
        let judging = Judging::new(&all, &IDENTITY);
        let mut colours = Vec::new();
        for r in (0..=255_u8).step_by(15) {
            for g in (0..=255_u8).step_by(15) {
                colours.extend((0..=255_u8).step_by(15).map(|b| [r, g, b]));
            }
        }
        for codes in colours {
            let exact = hsb(Srgb::from_codes(codes));
            let light = Srgb::from_codes(codes).linear().0.map(|channel| [channel as f32]);
            let mut bins = [0; RUN];
            let got = dispatch!(Level::new(), simd => {
                judging.run(simd, [&light[0], &light[1], &light[2]], &mut bins)
            });
            let Some(hue) = exact.hue else {
                assert!(got.green.abs() < 0.5, "{codes:?} is grey");
                continue;
            };
            assert!((got.green - 1.0).abs() < 1e-9, "{codes:?} has a hue");
            // A code of the darkest of these is a fifteenth of the channel.
            assert!((got.hue - hue).abs() < 0.05, "{codes:?}: hue {} for {hue}", got.hue);
            let near = |got: f64, exact: f64| (got - exact).abs() < 4e-4;
            assert!(near(got.saturation, exact.saturation), "{codes:?}: {got:?}");
            assert!((got.brightness - exact.brightness).abs() < 2e-5, "{codes:?}: {got:?}");
            let index = dark_green_index(exact).expect("has a hue");
            assert!(near(got.index, index), "{codes:?}: {} for {index}", got.index);
            assert!(near(got.index_squared, index * index), "{codes:?}: {got:?}");
            let bin = f64::from(bins[0]);
            assert!((bin - (4.0 * hue).round()).abs() < 0.5, "{codes:?}: bin {bin} for {hue}");
        }
    }

    #[test]
    fn a_run_of_any_length_counts_each_pixel_once() {
        let judging = Judging::new(&GreenRange::PUBLISHED, &IDENTITY);
        let (green, grey) = ([0.1_f32, 0.2, 0.05], [0.2_f32; 3]);
        for length in [1, 7, 8, 9, 100, RUN] {
            let planes: [Vec<f32>; 3] = std::array::from_fn(|c| {
                (0..length).map(|at| if at % 3 == 0 { grey[c] } else { green[c] }).collect()
            });
            let mut bins = [0; RUN];
            let got = dispatch!(Level::new(), simd => {
                judging.run(simd, [&planes[0], &planes[1], &planes[2]], &mut bins)
            });
            let expected = length - length.div_ceil(3);
            assert!((got.green - expected as f64).abs() < 1e-9, "{length}: {got:?}");
            let binned =
                bins[..length].iter().filter(|bin| usize::try_from(**bin) != Ok(NO_BIN)).count();
            assert_eq!(binned, expected, "{length}");
        }
    }
}
