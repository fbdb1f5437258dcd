//! Pairs of drawn turf photographed by one invented phone on two days: the true difference must lie
//! within what is stated of it, and what is stated must be narrower than if both were strangers.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_possible_wrap,
    reason = "sizes of a drawn photo are small and not negative"
)]

use std::io::Write;

use swardbook_imaging::{
    chart::{Sheet, correct_by_chart},
    frame::{Frame, Point},
    homography::Corners,
    mask::GreenRange,
    matrix::product,
    measure::{Reading, Settings, measure},
    primaries::ColourSpace,
};
use swardbook_stats::uncertainty::combine;

mod drawn_turf;
use drawn_turf::{Camera, Draws, Scene, TurfLook, aslant};

fn asked(name: &str) -> Option<u64> {
    std::env::var(name).ok().and_then(|text| text.parse().ok())
}

/// One phone: its sensor's colours, its lens, its files.
struct Phone {
    camera: Camera,
}

impl Phone {
    fn any(draws: &mut Draws) -> Self {
        Self { camera: Camera::any(draws) }
    }

    /// The same phone on one day: another light and exposure, another hand.
    fn on_a_day(&self, draws: &mut Draws) -> Camera {
        let exposure = draws.between(0.8, 1.2);
        let warm = draws.between(-0.15, 0.15);
        let lamp = [
            [exposure * (1.0 + 0.5 * warm), 0.0, 0.0],
            [0.0, exposure, 0.0],
            [0.0, 0.0, exposure * (1.0 - warm)],
        ];
        Camera {
            matrix: product(&self.camera.matrix, &lamp),
            blur: self.camera.blur + draws.between(0.0, 0.15),
            full_well: self.camera.full_well * draws.between(0.7, 1.4),
            ..self.camera
        }
    }
}

/// What is measured of one day, beside its truth: index, then cover.
fn day(phone: &Phone, look: &TurfLook, draws: &mut Draws) -> Option<([Reading; 2], [f64; 2])> {
    let mut scene = Scene::turf(720, 560, look, draws);
    let corners: Corners = aslant(
        Point::new(360.0, 150.0),
        draws.between(380.0, 460.0),
        draws.between(-8.0, 8.0),
        [draws.between(-0.15, 0.15), draws.between(-0.15, 0.15)],
    );
    scene.lay_chart(&corners);
    let (cover, index) = scene.truth(&GreenRange::PUBLISHED);
    let photo = phone.on_a_day(draws).photograph(&scene, draws);
    let frame = Frame::new(scene.width, scene.height, &photo).unwrap();
    // A frame that is refused, such as one clipped by the light, is not measured wrongly.
    let (correction, _) =
        correct_by_chart(&frame, ColourSpace::Srgb, &corners, &Sheet::as_drawn()).ok()?;
    let settings = Settings { region: scene.region.clone(), ..Settings::usual() };
    let got = measure(&frame, &correction, &settings).ok()?;
    Some(([got.colour?.index, got.cover], [index, cover]))
}

#[derive(Default)]
struct Held {
    tried: u32,
    held: u32,
    width: f64,
    as_strangers: f64,
}

#[test]
fn the_difference_of_two_days_lies_within_what_is_stated() {
    let pairs = asked("SWARDBOOK_PHOTO_FRAMES").unwrap_or(60);
    let first = asked("SWARDBOOK_PHOTO_SEED").unwrap_or(9_100_000);
    let mut held = [Held::default(), Held::default()];
    for seed in first..first + pairs {
        let mut draws = Draws::new(seed);
        let phone = Phone::any(&mut draws);
        let before = TurfLook::any(&mut draws);
        // Darker or paler, denser or thinner, as a season makes a turf.
        let (shade, thicker) = (draws.between(0.85, 1.15), draws.between(0.7, 1.4));
        let after = TurfLook {
            blade: before.blade.map(|code| code * shade),
            density: (before.density * thicker).min(1.0),
            ..before
        };
        let (Some(one), Some(two)) =
            (day(&phone, &before, &mut draws), day(&phone, &after, &mut draws))
        else {
            continue;
        };
        for (at, held) in held.iter_mut().enumerate() {
            let (a, b) = (one.0[at], two.0[at]);
            let error = (b.value - a.value) - (two.1[at] - one.1[at]);
            let stated = a.apart.difference(&b.apart).unwrap().expanded(0.95).unwrap();
            let parts = [a.of_the_frame().unwrap(), b.of_the_frame().unwrap()];
            held.tried += 1;
            held.held += u32::from(error.abs() <= stated);
            held.width += stated;
            held.as_strangers += combine(&parts).unwrap().expanded(0.95).unwrap();
        }
    }
    for (held, name) in held.iter().zip(["index", "cover"]) {
        let tried = f64::from(held.tried);
        let line = format!(
            "difference of {name}: {} of {} within what is stated, mean interval +-{:.4}; \
             as strangers +-{:.4}\n",
            held.held,
            held.tried,
            held.width / tried,
            held.as_strangers / tried
        );
        std::io::stderr().write_all(line.as_bytes()).unwrap();
        assert!(u64::from(held.tried) > pairs / 2, "{name}: only {} were measured", held.tried);
        assert!(f64::from(held.held) >= 0.95 * tried, "{name}: {} of {}", held.held, held.tried);
        assert!(held.width < 0.95 * held.as_strangers, "{name}: {}", held.width / tried);
    }
}
