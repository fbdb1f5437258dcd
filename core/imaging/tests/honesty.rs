//! Drawn turf of known cover and colour, photographed by an invented camera: what is measured must
//! lie within what is stated.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_possible_wrap,
    reason = "sizes of a drawn photo are small and not negative"
)]

use std::io::Write;

use swardbook_imaging::{
    ImagingError,
    chart::{Sheet, correct_by_chart},
    correction::{
        Correction,
        grey::{GreyTarget, correct_by_grey},
    },
    frame::{Frame, Point},
    homography::Corners,
    mask::GreenRange,
    measure::{PhotoMeasurement, Reading, Settings, measure},
    primaries::ColourSpace,
};

mod drawn_turf;
use drawn_turf::{Camera, Draws, Scene, TurfLook, aslant};

/// Frames drawn for each check; `SWARDBOOK_PHOTO_FRAMES` asks for more.
fn frames() -> u64 {
    std::env::var("SWARDBOOK_PHOTO_FRAMES").ok().and_then(|text| text.parse().ok()).unwrap_or(60)
}

/// Where the dice begin: other numbers than those on which the program's constants were chosen.
/// `SWARDBOOK_PHOTO_SEED` begins elsewhere.
fn first_seed() -> u64 {
    let asked = std::env::var("SWARDBOOK_PHOTO_SEED").ok();
    asked.and_then(|text| text.parse().ok()).unwrap_or(7_400_000)
}

struct Tries {
    tried: u32,
    held: u32,
    worst: f64,
    mean_width: f64,
}

impl Tries {
    fn new() -> Self {
        Self { tried: 0, held: 0, worst: 0.0, mean_width: 0.0 }
    }

    fn note(&mut self, error: f64, stated: f64) {
        self.tried += 1;
        self.held += u32::from(error.abs() <= stated);
        self.worst = self.worst.max(error.abs());
        self.mean_width += stated;
    }

    /// One line of the table of recovery; shown with `--nocapture`.
    fn tell(&self, what: &str) {
        let tried = f64::from(self.tried);
        let line = format!(
            "{what}: {} of {} within what is stated ({:.1} %), worst off by {:.4}, mean interval \
             +-{:.4}\n",
            self.held,
            self.tried,
            100.0 * f64::from(self.held) / tried,
            self.worst,
            self.mean_width / tried
        );
        std::io::stderr().write_all(line.as_bytes()).unwrap();
    }

    #[track_caller]
    fn check(&self, what: &str, most_width: f64) {
        self.tell(what);
        let held = f64::from(self.held) / f64::from(self.tried);
        let width = self.mean_width / f64::from(self.tried);
        let least = frames() * 3 / 4;
        assert!(u64::from(self.tried) > least, "{what}: only {} were measured", self.tried);
        assert!(held >= 0.95, "{what}: {} of {}, worst {}", self.held, self.tried, self.worst);
        // An interval that holds everything says nothing.
        assert!(width <= most_width, "{what}: +-{width}");
    }
}

fn measured(
    scene: &Scene,
    rgb: &[u8],
    correct: impl Fn(&Frame<'_>) -> Result<Correction, ImagingError>,
) -> Result<PhotoMeasurement, ImagingError> {
    let frame = Frame::new(scene.width, scene.height, rgb).unwrap();
    let settings = Settings { region: scene.region.clone(), ..Settings::usual() };
    measure(&frame, &correct(&frame)?, &settings)
}

fn stated(reading: Reading) -> f64 {
    reading.of_the_frame().unwrap().expanded(0.95).unwrap()
}

/// A drawn turf with our chart in its upper part, and where the chart lies.
fn turf_with_chart(draws: &mut Draws) -> (Scene, Corners) {
    let look = TurfLook::any(draws);
    let mut scene = Scene::turf(720, 560, &look, draws);
    let corners = aslant(
        Point::new(360.0, 150.0),
        draws.between(380.0, 460.0),
        draws.between(-8.0, 8.0),
        [draws.between(-0.15, 0.15), draws.between(-0.15, 0.15)],
    );
    scene.lay_chart(&corners);
    (scene, corners)
}

#[test]
fn a_chart_gives_index_and_cover_within_what_is_stated() {
    let (mut index, mut cover) = (Tries::new(), Tries::new());
    let mut others: [Tries; 6] = std::array::from_fn(|_| Tries::new());
    for seed in 0..frames() {
        let mut draws = Draws::new(first_seed() + seed);
        let (scene, corners) = turf_with_chart(&mut draws);
        let (true_cover, true_index) = scene.truth(&GreenRange::PUBLISHED);
        let photo = Camera::any(&mut draws).photograph(&scene, &mut draws);
        let got = measured(&scene, &photo, |frame| {
            correct_by_chart(frame, ColourSpace::Srgb, &corners, &Sheet::as_drawn()).map(|(c, _)| c)
        });
        // A frame that is refused, such as one clipped by the light, is not measured wrongly.
        let Ok(got) = got else { continue };
        let colour = got.colour.unwrap();
        index.note(colour.index.value - true_index, stated(colour.index));
        cover.note(got.cover.value - true_cover, stated(got.cover));
        let [l, a, b] = colour.lab;
        let readings = [colour.hue, colour.saturation, colour.brightness, l, a, b];
        for ((tries, reading), truth) in others.iter_mut().zip(readings).zip(scene.other_truths()) {
            tries.note(reading.value - truth, stated(reading));
        }
    }
    let names = ["hue", "saturation", "brightness", "CIELAB L", "CIELAB a", "CIELAB b"];
    for (tries, name) in others.iter().zip(names) {
        tries.tell(name);
    }
    index.check("index by chart", 0.06);
    cover.check("cover by chart", 0.30);
    let most = [25.0, 0.15, 0.12, 12.0, 15.0, 15.0];
    for ((tries, name), most) in others.iter().zip(names).zip(most) {
        tries.check(&format!("{name} by chart"), most);
    }
}

/// A camera without blur, noise and compression: nothing but the light and the sensor's own
/// colours is between the scene and the pixels, and the chart alone must account for them.
#[test]
fn the_charts_own_word_on_colour_holds() {
    let mut index = Tries::new();
    for seed in 0..frames() {
        let mut draws = Draws::new(first_seed() + 1_000_000 + seed);
        let (scene, corners) = turf_with_chart(&mut draws);
        let (_, true_index) = scene.truth(&GreenRange::PUBLISHED);
        let camera = Camera {
            blur: 0.0,
            read_noise: 0.0,
            full_well: 1e12,
            quality: 100,
            ..Camera::any(&mut draws)
        };
        let photo = camera.photograph(&scene, &mut draws);
        let got = measured(&scene, &photo, |frame| {
            correct_by_chart(frame, ColourSpace::Srgb, &corners, &Sheet::as_drawn()).map(|(c, _)| c)
        });
        let Ok(got) = got else { continue };
        let reading = got.colour.unwrap().index;
        let colour = reading.colour.unwrap().expanded(0.95).unwrap();
        index.note(reading.value - true_index, colour);
    }
    index.check("colour by chart", 0.015);
}

/// A grey card in coloured light, seen by a camera that is true to colour; its light may slope.
#[test]
fn a_grey_card_gives_the_index_within_what_is_stated() {
    let mut index = Tries::new();
    for seed in 0..frames() {
        let mut draws = Draws::new(first_seed() + 2_000_000 + seed);
        let look = TurfLook::any(&mut draws);
        let mut scene = Scene::turf(560, 420, &look, &mut draws);
        let corners = Corners([
            Point::new(60.0, 50.0),
            Point::new(200.0, 62.0),
            Point::new(194.0, 160.0),
            Point::new(52.0, 150.0),
        ]);
        scene.lay_grey(&corners, 0.18);
        let (_, true_index) = scene.truth(&GreenRange::PUBLISHED);
        let slope = draws.between(-0.1, 0.1);
        scene.shade(|x, y| 1.0 + slope * (x + y - 0.5));
        let mut camera = Camera::any(&mut draws);
        for (row, entries) in camera.matrix.iter_mut().enumerate() {
            for (column, entry) in entries.iter_mut().enumerate() {
                if row != column {
                    *entry = 0.0;
                }
            }
        }
        let photo = camera.photograph(&scene, &mut draws);
        let got = measured(&scene, &photo, |frame| {
            let target = GreyTarget::Reflectance(0.18);
            correct_by_grey(frame, ColourSpace::Srgb, &corners, target)
        });
        let reading = got.unwrap().colour.unwrap().index;
        index.note(reading.value - true_index, stated(reading));
    }
    index.check("index by grey card", 0.06);
}
