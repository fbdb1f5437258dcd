//! The fast pass over pixels against the exact formulas, and cards with their corners marked.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use swardbook_imaging::{
    ImagingError,
    chart::{self, PATCHES, Sheet, correct_by_chart},
    correction::{
        Correction,
        grey::{GreyTarget, correct_by_grey},
    },
    frame::{Frame, Point, Region},
    homography::Corners,
    hsb::{dark_green_index, hsb},
    lab::lab_of,
    mask::GreenRange,
    matrix::times,
    measure::{ALGORITHM, PhotoMeasurement, Settings, measure},
    primaries::ColourSpace,
    quality::Fault,
    srgb::{Linear, Srgb},
};

/// Numbers from 0 up to 1 that look random and are the same in every run.
struct Draws(u64);

impl Draws {
    fn next(&mut self) -> f64 {
        // Knuth's MMIX constants.
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn code(&mut self, from: f64, to: f64) -> u8 {
        Srgb([(from + (to - from) * self.next()) / 255.0; 3]).codes()[0]
    }
}

/// Turf-like pixels, one by one at random.
fn turf(width: usize, height: usize) -> Vec<u8> {
    let mut draws = Draws(7);
    (0..width * height)
        .flat_map(|_| {
            if draws.next() < 0.7 {
                [draws.code(30.0, 130.0), draws.code(70.0, 170.0), draws.code(20.0, 80.0)]
            } else {
                [draws.code(90.0, 180.0), draws.code(80.0, 150.0), draws.code(40.0, 110.0)]
            }
        })
        .collect()
}

#[track_caller]
fn near(got: f64, expected: f64, tolerance: f64, what: &str) {
    assert!((got - expected).abs() <= tolerance, "{what}: {got}, expected {expected}");
}

fn usual(region: Region) -> Settings {
    Settings { region, ..Settings::usual() }
}

fn outline(points: &[(f64, f64)]) -> Vec<Point> {
    points.iter().map(|(x, y)| Point::new(*x, *y)).collect()
}

#[test]
fn the_pass_agrees_with_the_exact_formulas() {
    let (width, height) = (331, 257);
    let rgb = turf(width, height);
    let frame = Frame::new(width, height, &rgb).unwrap();
    let region = Region {
        within: Some(outline(&[(20.0, 9.5), (310.0, 30.0), (290.0, 250.0), (3.0, 201.0)])),
        without: vec![outline(&[(100.0, 90.0), (160.0, 95.0), (140.0, 150.0)])],
    };
    for space in [ColourSpace::Srgb, ColourSpace::DisplayP3] {
        let got = measure(&frame, &Correction::none(space), &usual(region.clone())).unwrap();
        let matrix = space.to_linear_srgb();
        let wider = GreenRange { hue: GreenRange::WIDER_HUE, saturation: [0.0, 1.0] };
        let (mut pixels, mut second) = (0_u32, 0_u32);
        let (mut indices, mut hues, mut light) = (Vec::new(), 0.0, [0.0; 3]);
        for y in 0..height {
            for (from, to) in region.spans(y, width) {
                for x in from..to {
                    let linear = Srgb::from_codes(frame.pixel(x, y)).linear();
                    let linear = Linear(times(&matrix, linear.0));
                    let parts = hsb(linear.encoded());
                    pixels += 1;
                    second += u32::from(wider.holds(parts));
                    if GreenRange::PUBLISHED.holds(parts) {
                        indices.push(dark_green_index(parts).unwrap());
                        hues += parts.hue.unwrap();
                        for (sum, more) in light.iter_mut().zip(linear.0) {
                            *sum += more;
                        }
                    }
                }
            }
        }
        assert_eq!(got.pixels, u64::from(pixels), "pixels of the region");
        let green = indices.len() as f64;
        near(got.cover.value, green / f64::from(pixels), 2e-4, "cover");
        near(got.second_cover, f64::from(second) / f64::from(pixels), 3e-3, "second cover");
        let colour = got.colour.unwrap();
        let index = indices.iter().sum::<f64>() / green;
        near(colour.index.value, index, 1e-4, "index");
        let spread = indices.iter().map(|i| (i - index).powi(2)).sum::<f64>() / green;
        near(colour.index_spread, spread.sqrt(), 1e-4, "spread of the index");
        near(colour.hue.value, hues / green, 0.02, "hue");
        let lab = lab_of(Linear(light.map(|sum| sum / green)));
        near(colour.lab().l, lab.l, 0.02, "lightness");
        near(colour.lab().a, lab.a, 0.02, "a");
        near(colour.lab().b, lab.b, 0.02, "b");
        assert_eq!(got.algorithm, ALGORITHM, "kept with the measurement");
        assert!(!got.is_corrected && !got.is_evidence(), "no card, no evidence");
        assert_eq!(colour.index.colour, None, "no card, no word on colour");
    }
}

#[test]
fn settings_and_regions_that_cannot_be_are_refused() {
    let rgb = turf(60, 60);
    let frame = Frame::new(60, 60, &rgb).unwrap();
    let none = Correction::none(ColourSpace::Srgb);
    let mut settings = Settings::usual();
    settings.green.hue = [120.0, 57.0];
    assert!(matches!(measure(&frame, &none, &settings), Err(ImagingError::Setting { .. })));
    settings = usual(Region {
        within: Some(outline(&[(1.0, 1.0), (9.0, 1.0), (9.0, 9.0)])),
        without: Vec::new(),
    });
    assert!(matches!(measure(&frame, &none, &settings), Err(ImagingError::EmptyRegion { .. })));
    let brown: Vec<u8> = [150, 110, 80].repeat(3600);
    let frame = Frame::new(60, 60, &brown).unwrap();
    let got = measure(&frame, &none, &Settings::usual()).unwrap();
    near(got.cover.value, 0.0, 0.0, "no green");
    assert_eq!(got.colour, None, "and no colour of it");
}

/// Smooths along rows and columns by a mean of `2 reach + 1` pixels, three times.
fn blurred(width: usize, height: usize, rgb: &[u8], reach: usize) -> Vec<u8> {
    let mut codes: Vec<f64> = rgb.iter().map(|code| f64::from(*code)).collect();
    for _ in 0..3 {
        for (count, stride, lines, line_stride) in
            [(width, 3, height, 3 * width), (height, 3 * width, width, 3)]
        {
            let before = codes.clone();
            for line in 0..lines {
                for at in 0..count {
                    let (from, to) = (at.saturating_sub(reach), (at + reach).min(count - 1));
                    for c in 0..3 {
                        let sum: f64 =
                            (from..=to).map(|k| before[line * line_stride + k * stride + c]).sum();
                        codes[line * line_stride + at * stride + c] = sum / (to - from + 1) as f64;
                    }
                }
            }
        }
    }
    codes
        .chunks_exact(3)
        .flat_map(|p| Srgb([p[0], p[1], p[2]].map(|c| c / 255.0)).codes())
        .collect()
}

fn faults(width: usize, height: usize, rgb: &[u8]) -> Vec<Fault> {
    let frame = Frame::new(width, height, rgb).unwrap();
    let got = measure(&frame, &Correction::none(ColourSpace::Srgb), &Settings::usual()).unwrap();
    got.flags.iter().map(|flag| flag.fault).collect()
}

#[test]
fn what_is_wrong_with_a_photo_is_told() {
    let (width, height) = (240, 200);
    let good = turf(width, height);
    assert_eq!(faults(width, height, &good), [], "sharp and even");
    let changed = |change: &dyn Fn(usize, usize, u8) -> u8| -> Vec<u8> {
        good.iter()
            .enumerate()
            .map(|(at, code)| change(at / 3 % width, at / 3 / width, *code))
            .collect()
    };
    let check = |rgb: Vec<u8>, expected: Fault| {
        let got = faults(width, height, &rgb);
        assert!(got.contains(&expected), "{got:?} lacks {expected:?}");
    };
    check(blurred(width, height, &good, 3), Fault::Blurred);
    assert_eq!(faults(width, height, &blurred(width, height, &good, 1)), [], "a little is let by");
    check(changed(&|_, _, code| code.saturating_mul(2)), Fault::Clipped);
    check(changed(&|x, _, code| if x < 60 { code / 64 } else { code }), Fault::Underexposed);
    check(changed(&|x, _, code| if x < 120 { code / 2 } else { code }), Fault::Shaded);
    check(changed(&|x, y, code| if (x + y) % 9 == 0 { 235 } else { code }), Fault::Glare);
}

/// Turf with a picture laid over it, in the light of a lamp.
fn with_card(
    width: usize,
    height: usize,
    (card_width, card_height, card): (usize, usize, &[u8]),
    (left, top): (usize, usize),
    lamp: [f64; 3],
) -> Vec<u8> {
    let mut rgb = turf(width, height);
    for y in 0..card_height {
        let to = 3 * ((top + y) * width + left);
        rgb[to..to + 3 * card_width]
            .copy_from_slice(&card[3 * card_width * y..3 * card_width * (y + 1)]);
    }
    rgb.chunks_exact(3)
        .flat_map(|pixel| {
            let light = Srgb::from_codes([pixel[0], pixel[1], pixel[2]]).linear();
            Linear(std::array::from_fn(|c| light.0[c] * lamp[c])).encoded().codes()
        })
        .collect()
}

fn square_corners(left: f64, top: f64, right: f64, bottom: f64) -> Corners {
    Corners([
        Point::new(left, top),
        Point::new(right, top),
        Point::new(right, bottom),
        Point::new(left, bottom),
    ])
}

const LAMP: [f64; 3] = [0.95, 0.85, 0.62];

#[test]
fn a_grey_card_takes_out_the_cast_and_the_exposure() {
    let card = [118; 3 * 80 * 60];
    let place = square_corners(30.0, 40.0, 110.0, 100.0);
    let region = Region::whole().leaving_out(place.scaled(1.1).0);
    let index = |lamp, correct: bool| {
        let rgb = with_card(300, 240, (80, 60, &card), (30, 40), lamp);
        let frame = Frame::new(300, 240, &rgb).unwrap();
        let known = Srgb::from_codes([118; 3]).linear().0[0];
        let correction = if correct {
            correct_by_grey(&frame, ColourSpace::Srgb, &place, GreyTarget::Reflectance(known))
                .unwrap()
        } else {
            Correction::none(ColourSpace::Srgb)
        };
        let got = measure(&frame, &correction, &usual(region.clone())).unwrap();
        assert_eq!(got.is_corrected, correct, "told");
        got.colour.unwrap().index.value
    };
    let truth = index([1.0; 3], false);
    let (seen, corrected) = (index(LAMP, false), index(LAMP, true));
    assert!((seen - truth).abs() > 0.01, "the lamp moves it: {truth} {seen}");
    near(corrected, truth, 0.004, "corrected");
}

#[test]
fn grey_cards_that_cannot_be_used_are_refused() {
    let place = square_corners(30.0, 40.0, 110.0, 100.0);
    let refused = |card: Vec<u8>, words: &str| {
        let rgb = with_card(300, 240, (80, 60, &card), (30, 40), [1.0; 3]);
        let frame = Frame::new(300, 240, &rgb).unwrap();
        let error =
            correct_by_grey(&frame, ColourSpace::Srgb, &place, GreyTarget::KeepGreen).unwrap_err();
        assert!(error.to_string().contains(words), "{error}");
    };
    refused(vec![255; 3 * 80 * 60], "too bright");
    refused(vec![2; 3 * 80 * 60], "too dark");
    let shaded = (0..3 * 80 * 60).map(|at| if at / 3 % 80 < 40 { 80 } else { 130 }).collect();
    refused(shaded, "not evenly lit");
    let rgb = turf(300, 240);
    let frame = Frame::new(300, 240, &rgb).unwrap();
    let outside = square_corners(250.0, 40.0, 340.0, 100.0);
    let error = correct_by_grey(&frame, ColourSpace::Srgb, &outside, GreyTarget::KeepGreen);
    assert!(matches!(error, Err(ImagingError::Corners { .. })), "{error:?}");
}

/// Our chart on turf, its markers' middles, and the measurement by it.
fn by_chart(lamp: [f64; 3]) -> (PhotoMeasurement, chart::ChartReading) {
    let (card_width, card_height, card) = chart::draw(6);
    let rgb = with_card(700, 500, (card_width, card_height, &card), (100, 60), lamp);
    let frame = Frame::new(700, 500, &rgb).unwrap();
    let corners = square_corners(133.0, 93.0, 505.0, 261.0);
    let (correction, reading) =
        correct_by_chart(&frame, ColourSpace::Srgb, &corners, &Sheet::as_drawn()).unwrap();
    let region = Region::whole().leaving_out(swardbook_imaging::find::sheet_outline(&corners));
    (measure(&frame, &correction, &usual(region)).unwrap(), reading)
}

#[test]
fn a_chart_takes_out_the_light() {
    let (truth, reading) = by_chart([1.0; 3]);
    assert_eq!(reading.used.len(), PATCHES.len(), "all patches");
    near(reading.left_out_residual, 0.0, 1e-6, "nothing to correct");
    let (got, reading) = by_chart(LAMP);
    assert!(reading.left_out_residual < 0.004, "{}", reading.left_out_residual);
    assert!(got.is_evidence(), "{:?}", got.flags);
    let (truth, got) = (truth.colour.unwrap().index, got.colour.unwrap().index);
    let u = got.of_the_frame().unwrap().expanded(0.95).unwrap();
    near(got.value, truth.value, u, "index");
    let u = got.colour.unwrap().u;
    assert!(u < 0.01, "the chart tells colour closely: {u}");
}

#[test]
fn corners_marked_in_the_wrong_place_or_order_are_refused() {
    let (card_width, card_height, card) = chart::draw(6);
    let rgb = with_card(700, 500, (card_width, card_height, &card), (100, 60), LAMP);
    let frame = Frame::new(700, 500, &rgb).unwrap();
    let check = |corners: Corners| {
        let got = correct_by_chart(&frame, ColourSpace::Srgb, &corners, &Sheet::as_drawn());
        assert!(
            matches!(got, Err(ImagingError::ChartFit { .. } | ImagingError::Corners { .. })),
            "{got:?}"
        );
    };
    let right = square_corners(133.0, 93.0, 505.0, 261.0);
    let [a, b, c, d] = right.0;
    // Upside down, on its side, and off by a patch.
    check(Corners([c, d, a, b]));
    check(Corners([b, c, d, a]));
    check(square_corners(187.0, 93.0, 559.0, 261.0));
    check(square_corners(300.0, 300.0, 690.0, 480.0));
}
