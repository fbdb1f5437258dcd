//! Published and independently computed answers of colour science.
//!
//! Each check of `fixtures/published/colour.toml` names its source and tolerance; one that is
//! worked out neither here nor in the crate that is named below fails the test.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::{fs, path::PathBuf};

use palette::{FromColor, IntoColor};
use swardbook_imaging::{
    correction::{
        chart_fit::{PatchPair, fit_matrix},
        grey::{GreyTarget, grey_gains, grey_matrix},
    },
    difference::ciede2000,
    hsb::{dark_green_index, dark_green_index_held, hsb},
    lab::{D65, Lab, lab, xyz},
    mask::GreenRange,
    matrix::times,
    srgb::{Linear, Srgb, decode},
};

struct Check(toml::Table);

type Triple = [f64; 3];

impl Check {
    fn id(&self) -> &str {
        self.0["id"].as_str().unwrap()
    }

    fn tolerance(&self, name: &str) -> f64 {
        number(&self.0["tolerance"][name])
    }

    fn input(&self, name: &str) -> &toml::Value {
        &self.0["inputs"][name]
    }

    fn expected(&self, name: &str) -> &toml::Value {
        &self.0["expected"][name]
    }
}

fn number(value: &toml::Value) -> f64 {
    match value {
        toml::Value::Float(number) => *number,
        toml::Value::Integer(number) => f64::from(i32::try_from(*number).unwrap()),
        other => panic!("{other} is no number"),
    }
}

fn numbers(value: &toml::Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(number).collect()
}

fn table(value: &toml::Value) -> Vec<Vec<f64>> {
    value.as_array().unwrap().iter().map(numbers).collect()
}

fn triple(value: &toml::Value) -> Triple {
    numbers(value).try_into().unwrap()
}

fn colours(value: &toml::Value) -> Vec<Srgb> {
    value.as_array().unwrap().iter().map(colour).collect()
}

fn colour(value: &toml::Value) -> Srgb {
    Srgb(triple(value).map(|code| code / 255.0))
}

#[track_caller]
fn near(got: f64, expected: f64, tolerance: f64, what: &str) {
    assert!((got - expected).abs() <= tolerance, "{what}: {got}, expected {expected}");
}

fn index(colour: Srgb) -> f64 {
    dark_green_index(hsb(colour)).unwrap()
}

fn checks() -> Vec<Check> {
    let path: PathBuf =
        [env!("CARGO_MANIFEST_DIR"), "..", "..", "fixtures", "published", "colour.toml"]
            .iter()
            .collect();
    let file: toml::Table = toml::from_str(&fs::read_to_string(path).unwrap()).unwrap();
    let rows = file["check"].as_array().unwrap();
    rows.iter().map(|row| Check(row.as_table().unwrap().clone())).collect()
}

/// Worked out by `swardbook-app`, which turns photos upright.
const ELSEWHERE: &[&str] = &["exif-orientation"];

#[test]
fn every_published_check_of_colour_comes_out() {
    let all = checks();
    let find = |id: &str| all.iter().find(|check| check.id() == id).unwrap();
    for check in &all {
        match check.id() {
            "dgci-rgb-table" => index_table(check),
            "dgci-grey-undefined" => greys(check),
            "dgci-averaging-order" => averaging_order(check),
            "srgb-decode" => decoding(check),
            "srgb-to-xyz-lab" => to_lab(check),
            "ciede2000-sharma-34" => differences(check),
            "white-balance-grey-card" => grey_card(check),
            "ccm-3x3-least-squares" => chart(check),
            "ccm-root-polynomial-2" => root_polynomial(check, find("ccm-3x3-least-squares")),
            "green-cover-thresholds" => thresholds(check),
            id => assert!(ELSEWHERE.contains(&id), "{id} is worked out nowhere"),
        }
    }
    assert_eq!(all.len(), 11, "checks in the file");
}

fn index_table(check: &Check) {
    let tolerance = check.tolerance("abs");
    let rows = table(check.expected("hue_sat_bright_raw_limited"));
    for (colour, row) in colours(check.input("rgb")).into_iter().zip(rows) {
        let got = hsb(colour);
        // Hues are printed to ten digits, so to 5e-8 degrees.
        near(got.hue.unwrap(), row[0], tolerance, "hue");
        near(got.saturation, row[1], tolerance, "saturation");
        near(got.brightness, row[2], tolerance, "brightness");
        near(dark_green_index(got).unwrap(), row[3], tolerance, "index");
        near(dark_green_index_held(got).unwrap(), row[4], tolerance, "index, hue held");
    }
}

fn greys(check: &Check) {
    for colour in colours(check.input("rgb")) {
        assert_eq!(dark_green_index(hsb(colour)), None, "a grey has no index");
        assert_eq!(dark_green_index_held(hsb(colour)), None, "nor with the hue held");
    }
}

fn averaging_order(check: &Check) {
    let tolerance = check.tolerance("abs");
    let pixels = colours(check.input("rgb"));
    let mean = |each: &dyn Fn(Srgb) -> f64| {
        pixels.iter().map(|pixel| each(*pixel)).sum::<f64>() / pixels.len() as f64
    };
    let expected = |name: &str| number(check.expected(name));
    near(mean(&index), expected("mean_of_pixel_index"), tolerance, "mean of indices");
    let of_means = (mean(&|p| hsb(p).hue.unwrap()) - 60.0) / 180.0
        + (2.0 - mean(&|p| hsb(p).saturation) - mean(&|p| hsb(p).brightness)) / 3.0;
    near(of_means, expected("index_of_mean_hsb"), tolerance, "index of mean HSB");
    let channels: Triple = std::array::from_fn(|c| mean(&|p| p.0[c]));
    near(index(Srgb(channels)), expected("index_of_mean_srgb"), tolerance, "index of mean sRGB");
    let light = Linear(std::array::from_fn(|c| mean(&|p| p.linear().0[c])));
    near(index(light.encoded()), expected("index_of_mean_linear"), tolerance, "of mean light");
}

fn decoding(check: &Check) {
    let codes = numbers(check.input("code"));
    let light = numbers(check.expected("linear"));
    let back = numbers(check.expected("round_trip_code"));
    for ((code, light), back) in codes.into_iter().zip(light).zip(back) {
        near(decode(code / 255.0), light, check.tolerance("abs"), "decode");
        let round = Linear([light; 3]).encoded().codes();
        near(f64::from(round[0]), back, 0.0, "code again");
    }
}

fn to_lab(check: &Check) {
    for (colour, row) in
        colours(check.input("rgb")).into_iter().zip(table(check.expected("XYZLab")))
    {
        let tristimulus = xyz(colour.linear());
        for (value, expected) in tristimulus.0.into_iter().zip(&row) {
            near(value, *expected, check.tolerance("XYZ_abs"), "XYZ");
        }
        let got = lab(tristimulus, D65);
        for (value, expected) in [got.l, got.a, got.b].into_iter().zip(&row[3..]) {
            near(value, *expected, check.tolerance("Lab_abs"), "Lab");
        }
    }
}

fn differences(check: &Check) {
    let rows = table(check.expected("rows"));
    assert_eq!(rows.len(), 34, "all published pairs");
    for row in rows {
        let (one, other) = pair(&row);
        near(ciede2000(one, other), row[6], check.tolerance("abs"), "difference");
        near(ciede2000(other, one), row[6], check.tolerance("abs"), "difference, turned round");
    }
}

fn pair(row: &[f64]) -> (Lab, Lab) {
    (Lab { l: row[0], a: row[1], b: row[2] }, Lab { l: row[3], a: row[4], b: row[5] })
}

fn grey_card(check: &Check) {
    let tolerance = check.tolerance("abs");
    let card = colour(check.input("card_rgb")).linear();
    let pixel = colour(check.input("pixel_rgb"));
    near(index(pixel), number(check.expected("index_before")), tolerance, "before");
    let nominal = number(check.input("card_reflectance"));
    for (letter, target) in [("A", GreyTarget::KeepGreen), ("B", GreyTarget::Reflectance(nominal))]
    {
        let gains = grey_gains(card, target).unwrap();
        let corrected = Linear(times(&grey_matrix(gains), pixel.linear().0)).encoded();
        let expected_gains = triple(check.expected(&format!("gains_{letter}")));
        let expected_pixel = triple(check.expected(&format!("pixel_{letter}")));
        for channel in 0..3 {
            near(gains[channel], expected_gains[channel], tolerance, "gain");
            near(255.0 * corrected.0[channel], expected_pixel[channel], tolerance, "pixel");
        }
        let expected = number(check.expected(&format!("index_{letter}")));
        near(index(corrected), expected, tolerance, "after");
    }
}

fn patches(check: &Check) -> Vec<PatchPair> {
    let light = |row: Vec<f64>| Linear(row.try_into().unwrap());
    table(check.input("measured"))
        .into_iter()
        .zip(table(check.input("reference")))
        .map(|(measured, known)| PatchPair { measured: light(measured), known: light(known) })
        .collect()
}

fn chart(check: &Check) {
    let tolerance = check.tolerance("abs");
    let patches = patches(check);
    let matrix = fit_matrix(&patches).unwrap();
    for (row, expected) in matrix.iter().zip(table(check.expected("matrix"))) {
        for (entry, expected) in row.iter().zip(expected) {
            near(*entry, expected, tolerance, "matrix");
        }
    }
    let corrected = times(&matrix, triple(check.input("apply_to")));
    for (got, expected) in corrected.into_iter().zip(triple(check.expected("corrected"))) {
        near(got, expected, tolerance, "corrected");
    }
    let residuals: Vec<Triple> = patches
        .iter()
        .map(|patch| {
            let got = times(&matrix, patch.measured.0);
            std::array::from_fn(|channel| patch.known.0[channel] - got[channel])
        })
        .collect();
    let rms = swardbook_imaging::correction::chart_fit::root_mean_square(&residuals);
    near(rms, number(check.expected("rms_residual")), tolerance, "residual");
}

/// The reason why the correction is the 3 x 3 matrix: it too scales with the light.
///
/// The root polynomial itself is not used; what is checked is that both corrections keep its
/// property, and that the plain polynomial of the same file does not.
fn root_polynomial(check: &Check, patches_of: &Check) {
    let scale = number(check.input("scale"));
    let light = triple(check.input("apply_to"));
    let matrix = fit_matrix(&patches(patches_of)).unwrap();
    let (whole, part) = (times(&matrix, light), times(&matrix, light.map(|x| x * scale)));
    let printed = triple(check.expected("corrected"));
    let printed_scaled = triple(check.expected("corrected_scaled"));
    let plain = triple(check.expected("plain_polynomial_corrected"));
    let plain_scaled = triple(check.expected("plain_polynomial_corrected_scaled"));
    for channel in 0..3 {
        near(part[channel], scale * whole[channel], 1e-15, "the matrix scales");
        near(printed_scaled[channel], scale * printed[channel], 1e-8, "the root polynomial too");
        assert!((plain_scaled[channel] - scale * plain[channel]).abs() > 1e-4, "plain does not");
    }
}

fn thresholds(check: &Check) {
    let tolerance = check.tolerance("abs");
    let pixels = colours(check.input("rgb"));
    let range = |name: &str| {
        let [low, high] = numbers(check.input(name)).try_into().unwrap();
        GreenRange { hue: [low, high], saturation: [0.0, 1.0] }.checked().unwrap()
    };
    let published = range("hue_range");
    assert_eq!(published, GreenRange::PUBLISHED, "the default is the published range");
    let counted = check.expected("counted_57_107").as_array().unwrap();
    for (pixel, counted) in pixels.iter().zip(counted) {
        assert_eq!(published.holds(hsb(*pixel)), counted.as_bool().unwrap(), "{pixel:?}");
    }
    let cover = |range: GreenRange| {
        pixels.iter().filter(|pixel| range.holds(hsb(**pixel))).count() as f64 / pixels.len() as f64
    };
    near(cover(published), number(check.expected("cover_57_107")), tolerance, "cover");
    let second = cover(range("second_hue_range"));
    near(second, number(check.expected("cover_50_107")), tolerance, "cover of the wider range");
}

/// A colour library that is not ours, over the whole cube.
#[test]
fn another_library_agrees() {
    use palette::color_difference::Ciede2000;
    let mut last: Option<(Lab, palette::Lab<palette::white_point::D65, f64>)> = None;
    for r in (0..=255_u8).step_by(17) {
        for g in (0..=255_u8).step_by(17) {
            for b in (0..=255_u8).step_by(17) {
                let ours = Srgb::from_codes([r, g, b]);
                let theirs = palette::Srgb::new(r, g, b).into_format::<f64>();
                let hsv: palette::Hsv<_, f64> = theirs.into_color();
                let got = hsb(ours);
                if let Some(hue) = got.hue {
                    near(hue, hsv.hue.into_positive_degrees(), 1e-9, "hue");
                }
                near(got.saturation, hsv.saturation, 1e-12, "saturation");
                near(got.brightness, hsv.value, 1e-12, "brightness");
                let lab_theirs = palette::Lab::<palette::white_point::D65, f64>::from_color(
                    theirs.into_linear(),
                );
                let lab_ours = lab(xyz(ours.linear()), D65);
                // The library has more digits in its matrix and another white: up to 0.05.
                near(lab_ours.l, lab_theirs.l, 0.05, "L");
                near(lab_ours.a, lab_theirs.a, 0.05, "a");
                near(lab_ours.b, lab_theirs.b, 0.05, "b");
                let as_theirs = Lab { l: lab_theirs.l, a: lab_theirs.a, b: lab_theirs.b };
                if let Some((before_ours, before_theirs)) = last {
                    let theirs = before_theirs.difference(lab_theirs);
                    // The library lets a mean hue run past 360 degrees where the paper takes a
                    // turn off; that moves its rotation term a little for some pairs.
                    near(ciede2000(before_ours, as_theirs), theirs, 5e-4, "difference");
                }
                last = Some((as_theirs, lab_theirs));
            }
        }
    }
}
