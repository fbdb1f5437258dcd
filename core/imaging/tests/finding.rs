//! Cards in drawn photos, turned, aslant and partly shaded: found where they are, or refused.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_possible_wrap,
    reason = "sizes of a drawn photo are small and not negative"
)]

use swardbook_imaging::{
    ImagingError,
    chart::Sheet,
    find::{find_chart, find_grey_card},
    frame::{Frame, Point, Region},
    homography::Corners,
    mask::GreenRange,
    measure::{Settings, measure},
    primaries::ColourSpace,
};

mod drawn_turf;
use drawn_turf::{Camera, Draws, Scene, TurfLook, aslant};

const WIDTH: usize = 800;
const HEIGHT: usize = 640;

fn turf(draws: &mut Draws) -> Scene {
    let look = TurfLook::any(draws);
    Scene::turf(WIDTH, HEIGHT, &look, draws)
}

/// The greatest distance of a found corner from the true one, pixels.
fn farthest(found: &Corners, truth: &Corners) -> f64 {
    found.0.iter().zip(truth.0).map(|(a, b)| (a.x - b.x).hypot(a.y - b.y)).fold(0.0, f64::max)
}

#[test]
fn a_chart_is_found_whichever_way_it_lies() {
    let (mut found, mut tried) = (0, 0);
    for seed in 0..24 {
        let mut draws = Draws::new(7_000 + seed);
        let mut scene = turf(&mut draws);
        let width = draws.between(360.0, 480.0);
        let corners = aslant(
            Point::new(400.0, 320.0),
            width,
            draws.between(0.0, 360.0),
            [draws.between(-0.2, 0.2), draws.between(-0.2, 0.2)],
        );
        scene.lay_chart(&corners);
        let photo = Camera::any(&mut draws).photograph(&scene, &mut draws);
        let frame = Frame::new(WIDTH, HEIGHT, &photo).unwrap();
        tried += 1;
        match find_chart(&frame, ColourSpace::Srgb, &Sheet::as_drawn()) {
            Ok(chart) => {
                // Within half a module, of which there are 62 from marker to marker.
                let off = farthest(&chart.corners, &corners);
                assert!(off < 0.5 * width / 62.0 + 1.0, "frame {seed}: {off} pixels off");
                found += 1;
            }
            Err(error) => {
                assert!(!matches!(error, ImagingError::Statistics(_)), "frame {seed}: {error}");
            }
        }
    }
    assert!(10 * found >= 9 * tried, "{found} of {tried} were found");
}

/// Shade over part of the sheet must not give an index that is wrong by more than is stated.
#[test]
fn a_chart_partly_in_shade_is_refused_or_right() {
    let (mut refused, mut held, mut measured) = (0, 0, 0);
    for seed in 0..24 {
        let mut draws = Draws::new(8_000 + seed);
        let mut scene = turf(&mut draws);
        let corners =
            aslant(Point::new(400.0, 180.0), 420.0, draws.between(-20.0, 20.0), [0.1, 0.1]);
        scene.lay_chart(&corners);
        let (_, true_index) = scene.truth(&GreenRange::PUBLISHED);
        let (depth, border) = (draws.between(0.3, 0.97), draws.between(0.3, 0.7));
        // Only the sheet's half of the frame is shaded, the turf below is not.
        scene.shade(|x, y| if x < border && y < 0.5 { depth } else { 1.0 });
        let photo = Camera::any(&mut draws).photograph(&scene, &mut draws);
        let frame = Frame::new(WIDTH, HEIGHT, &photo).unwrap();
        let Ok(chart) = find_chart(&frame, ColourSpace::Srgb, &Sheet::as_drawn()) else {
            refused += 1;
            continue;
        };
        let region = Region {
            within: Some(
                [(0.0, 330.0), (800.0, 330.0), (800.0, 640.0), (0.0, 640.0)]
                    .map(|(x, y)| Point::new(x, y))
                    .to_vec(),
            ),
            without: vec![chart.outline()],
        };
        let settings = Settings { region, ..Settings::usual() };
        let got = measure(&frame, &chart.correction, &settings).unwrap().colour.unwrap().index;
        let stated = got.of_the_frame().unwrap().expanded(0.95).unwrap();
        measured += 1;
        held += i32::from((got.value - true_index).abs() <= stated);
    }
    assert!(refused >= 5, "deep shade is refused: {refused}");
    assert!(measured >= 5, "light shade is not: {measured}");
    assert!(20 * held >= 19 * measured, "{held} of {measured} held");
}

#[test]
fn turf_without_a_chart_has_none() {
    for seed in 0..12 {
        let mut draws = Draws::new(9_000 + seed);
        let mut scene = turf(&mut draws);
        if seed % 2 == 0 {
            // A chart of which one corner is hidden is no chart.
            let corners = aslant(Point::new(400.0, 320.0), 420.0, 15.0, [0.0, 0.0]);
            scene.lay_chart(&corners);
            let [_, corner, ..] = corners.0;
            scene.lay_grey(
                &Corners(
                    [(-40.0, -40.0), (40.0, -40.0), (40.0, 40.0), (-40.0, 40.0)]
                        .map(|(x, y)| Point::new(corner.x + x, corner.y + y)),
                ),
                0.1,
            );
        }
        let photo = Camera::any(&mut draws).photograph(&scene, &mut draws);
        let frame = Frame::new(WIDTH, HEIGHT, &photo).unwrap();
        let got = find_chart(&frame, ColourSpace::Srgb, &Sheet::as_drawn());
        assert!(matches!(got, Err(ImagingError::NotFound { .. })), "frame {seed}: {got:?}");
    }
}

#[test]
fn a_grey_card_is_found_or_refused() {
    let (mut found, mut tried) = (0, 0);
    for seed in 0..20 {
        let mut draws = Draws::new(10_000 + seed);
        let mut scene = turf(&mut draws);
        let sheet = aslant(
            Point::new(draws.between(250.0, 550.0), draws.between(220.0, 420.0)),
            draws.between(150.0, 260.0),
            draws.between(0.0, 360.0),
            [draws.between(-0.2, 0.2), draws.between(-0.2, 0.2)],
        );
        // Two to one rather than a sheet's long shape.
        let corners = Corners(sheet.0);
        scene.lay_grey(&corners, draws.between(0.16, 0.4));
        let photo = Camera::any(&mut draws).photograph(&scene, &mut draws);
        let frame = Frame::new(WIDTH, HEIGHT, &photo).unwrap();
        tried += 1;
        match find_grey_card(&frame) {
            Ok(card) => {
                // The found one may begin at any corner; it must lie on the true one.
                let nearest = (0..4)
                    .map(|turn| {
                        let mut turned = card.corners.0;
                        turned.rotate_left(turn);
                        farthest(&Corners(turned), &corners)
                    })
                    .fold(f64::INFINITY, f64::min);
                assert!(nearest < 14.0, "frame {seed}: {nearest} pixels off");
                found += 1;
            }
            Err(error) => {
                assert!(!matches!(error, ImagingError::Statistics(_)), "frame {seed}: {error}");
            }
        }
    }
    assert!(10 * found >= 8 * tried, "{found} of {tried} were found");
}

#[test]
fn turf_and_two_cards_are_not_one_grey_card() {
    for seed in 0..10 {
        let mut draws = Draws::new(11_000 + seed);
        let mut scene = turf(&mut draws);
        if seed % 2 == 0 {
            for x in [200.0, 560.0] {
                scene.lay_grey(&aslant(Point::new(x, 320.0), 180.0, 10.0, [0.0, 0.0]), 0.2);
            }
        }
        let photo = Camera::any(&mut draws).photograph(&scene, &mut draws);
        let frame = Frame::new(WIDTH, HEIGHT, &photo).unwrap();
        let got = find_grey_card(&frame);
        assert!(matches!(got, Err(ImagingError::NotFound { .. })), "frame {seed}: {got:?}");
    }
}
