//! Reading our chart in a photo, and the correction that follows.

use super::{
    patches::{PATCHES, PatchUse},
    sheet::{Sheet, inner_box},
};
use crate::{
    ImagingError,
    correction::{
        Aspects, ColourUncertainty, Correction, PatchSample, aspects,
        chart_fit::{PatchPair, fit_matrix, fit_without, root_mean_square},
        sample,
    },
    frame::Frame,
    homography::{Corners, Homography},
    hsb::{dark_green_index, hsb},
    lab::lab_of,
    matrix::{Matrix, product, times},
    primaries::ColourSpace,
    srgb::Linear,
};

/// The least pixels between the markers of a chart.
const LEAST_CHART_AREA: f64 = 20_000.0;
/// The most that a patch may vary within itself, relative.
const MOST_VARIATION: f64 = 0.35;
/// The most pixels of a patch at an end of the camera's scale.
const MOST_CLIPPED: f64 = 0.02;
/// The fewest patches, and turf patches among them, that a correction may rest on.
const LEAST_PATCHES: usize = 16;
const LEAST_TURF_PATCHES: usize = 6;
/// The greatest left-out residual in linear light (1 is white).
const MOST_RESIDUAL: f64 = 0.06;
/// The most that the light on the greys may differ, as a ratio.
const MOST_LIGHT_RATIO: f64 = 1.6;

/// What was read from a chart.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartReading {
    /// Patches that the fit rests on, by number.
    pub used: Vec<usize>,
    /// Their measured and known colours.
    pub pairs: Vec<PatchPair>,
    /// Root mean square of known less corrected, each patch corrected without itself; linear
    /// light, 1 is white. The quality of the correction.
    pub left_out_residual: f64,
    /// Brightest over darkest light on the greys: 1 for even light.
    pub light_ratio: f64,
    /// Root mean square error on the chart's turf patches, each corrected without itself: of the
    /// index, the hue in degrees, saturation, brightness, and CIELAB's three.
    pub turf_errors: [f64; 7],
    /// Means of the same errors with their signs: measured less known.
    pub turf_offsets: [f64; 7],
}

/// Corrects by a chart whose markers' middles are known.
///
/// `corners` are the middles of the four markers, clockwise from the sheet's own upper left.
///
/// # Errors  `Corners` for corners that make no card or lie outside of the photo; `ChartFit` when
///   the patches are not flat, too many are clipped, the light over the sheet is uneven, or the
///   left-out residual is too great for this to be the chart in fair light.
/// # Source  fit by `finlayson-2015`, degree 1; leave-one-out residual: Stone M (1974) Journal of
///   the Royal Statistical Society B 36:111-147, from memory.
pub fn correct_by_chart(
    frame: &Frame<'_>,
    space: ColourSpace,
    corners: &Corners,
    sheet: &Sheet,
) -> Result<(Correction, ChartReading), ImagingError> {
    let corners = corners.checked(LEAST_CHART_AREA)?;
    let way = Homography::to(&corners);
    let samples = samples(frame, &way)?;
    let (reading, matrix) = read_samples(&samples, space, sheet)?;
    let [index_offset, hue_offset, ..] = reading.turf_offsets;
    let colour = ColourUncertainty::of(reading.turf_errors, turf_count(&reading.used) as f64)
        .with_offsets(index_offset, hue_offset);
    Ok((Correction::chart(matrix, colour), reading))
}

/// Reads a chart without making a correction of it.
///
/// # Errors  as [`correct_by_chart`].
pub fn read_chart(
    frame: &Frame<'_>,
    space: ColourSpace,
    corners: &Corners,
    sheet: &Sheet,
) -> Result<ChartReading, ImagingError> {
    correct_by_chart(frame, space, corners, sheet).map(|(_, reading)| reading)
}

fn samples(frame: &Frame<'_>, way: &Homography) -> Result<Vec<PatchSample>, ImagingError> {
    (0..PATCHES.len())
        .map(|number| {
            let (from, to) = inner_box(number);
            sample(frame, way, from, to)
                .ok_or(ImagingError::Corners { why: "part of the chart is outside of the photo" })
        })
        .collect()
}

fn turf_count(used: &[usize]) -> usize {
    used.iter().filter(|number| PATCHES[**number].used_for == PatchUse::Turf).count()
}

fn refuse<T>(why: String) -> Result<T, ImagingError> {
    Err(ImagingError::ChartFit { why })
}

fn read_samples(
    samples: &[PatchSample],
    space: ColourSpace,
    sheet: &Sheet,
) -> Result<(ChartReading, Matrix), ImagingError> {
    if let Some(number) =
        samples.iter().position(|s| s.variation.iter().any(|v| *v > MOST_VARIATION) && is_lit(s))
    {
        return refuse(format!(
            "patch {} of row {} is not of one colour; are the corners where the markers are?",
            number % super::COLUMNS + 1,
            number / super::COLUMNS + 1
        ));
    }
    let used: Vec<usize> =
        (0..samples.len()).filter(|n| samples[*n].clipped <= MOST_CLIPPED).collect();
    if used.len() < LEAST_PATCHES || turf_count(&used) < LEAST_TURF_PATCHES {
        return refuse(format!(
            "{} of {} patches are too bright or too dark; expose anew",
            samples.len() - used.len(),
            samples.len()
        ));
    }
    let to_srgb = space.to_linear_srgb();
    let pairs: Vec<PatchPair> = used
        .iter()
        .map(|number| PatchPair {
            measured: Linear(times(&to_srgb, samples[*number].mean.0)),
            known: sheet.known[*number],
        })
        .collect();
    let matrix = fit_matrix(&pairs)?;
    let light_ratio = light_ratio(&used, &pairs, &matrix);
    if light_ratio > MOST_LIGHT_RATIO {
        return refuse(format!(
            "the light over it differs {light_ratio:.1} fold; is part of it in shade or glare?"
        ));
    }
    let mut residuals = Vec::with_capacity(used.len());
    let (mut squares, mut errors) = ([0.0; 7], [0.0; 7]);
    for (at, number) in used.iter().enumerate() {
        let without = fit_without(&pairs, at)?;
        let got = times(&without, pairs[at].measured.0);
        residuals.push(std::array::from_fn(|c| pairs[at].known.0[c] - got[c]));
        if PATCHES[*number].used_for == PatchUse::Turf {
            let of_pixels = mean_of_pixels(&samples[*number], &product(&without, &to_srgb), got);
            let (Some(known), Some(seen)) = (aspects(sheet.known[*number]), of_pixels) else {
                return refuse("a turf patch came out grey".to_owned());
            };
            let both = squares.iter_mut().zip(&mut errors);
            for ((square, sum), (seen, known)) in both.zip(seen.iter().zip(known)) {
                *square += (seen - known).powi(2);
                *sum += seen - known;
            }
        }
    }
    let left_out_residual = root_mean_square(&residuals);
    if left_out_residual > MOST_RESIDUAL {
        return refuse(format!(
            "the patches miss their colours by {left_out_residual:.3} of full light (at most \
             {MOST_RESIDUAL} is taken)"
        ));
    }
    let turf = turf_count(&used) as f64;
    let reading = ChartReading {
        used,
        pairs,
        left_out_residual,
        light_ratio,
        turf_errors: squares.map(|square| (square / turf).sqrt()),
        turf_offsets: errors.map(|sum| sum / turf),
    };
    Ok((reading, product(&matrix, &to_srgb)))
}

/// Very dark patches vary by noise alone; only those with light are judged.
fn is_lit(sample: &PatchSample) -> bool {
    sample.mean.0.iter().all(|light| *light > 0.02)
}

/// Every aspect of a patch in the same order as the measurement takes it: index, hue, saturation
/// and brightness pixel by pixel, CIELAB of the mean light.
fn mean_of_pixels(sample: &PatchSample, matrix: &Matrix, light: [f64; 3]) -> Option<Aspects> {
    let (mut sums, mut count) = ([0.0; 4], 0_u32);
    for pixel in &sample.pixels {
        let parts = hsb(Linear(times(matrix, pixel.map(f64::from))).encoded());
        if let (Some(index), Some(hue)) = (dark_green_index(parts), parts.hue) {
            for (sum, more) in sums.iter_mut().zip([index, hue, parts.saturation, parts.brightness])
            {
                *sum += more;
            }
            count += 1;
        }
    }
    let [index, hue, saturation, brightness] = sums.map(|sum| sum / f64::from(count));
    let lab = lab_of(Linear(light));
    (count > 0).then_some([index, hue, saturation, brightness, lab.l, lab.a, lab.b])
}

/// Brightest over darkest light on the greys after correction, each against its known value.
fn light_ratio(used: &[usize], pairs: &[PatchPair], matrix: &Matrix) -> f64 {
    let ratios: Vec<f64> = used
        .iter()
        .zip(pairs)
        .filter(|(number, _)| PATCHES[**number].used_for == PatchUse::Neutral)
        // The darkest grey is mostly stray light.
        .filter(|(_, pair)| pair.known.0[1] > 0.05)
        .map(|(_, pair)| times(matrix, pair.measured.0)[1] / pair.known.0[1])
        .collect();
    let (least, most) =
        ratios.iter().fold((f64::INFINITY, 0.0_f64), |(low, high), r| (low.min(*r), high.max(*r)));
    if least > 0.0 && most > 0.0 { most / least } else { f64::INFINITY }
}
