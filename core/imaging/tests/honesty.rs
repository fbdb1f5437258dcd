//! Drawn turf of known cover and colour, photographed by an invented camera: what is measured must
//! lie within what is stated.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "sizes of a drawn photo are small and not negative"
)]

use swardbook_imaging::{
    ImagingError,
    chart::{Sheet, correct_by_chart},
    correction::{
        Correction,
        grey::{GreyTarget, correct_by_grey},
    },
    find::find_chart,
    frame::{Frame, Point},
    homography::Corners,
    mask::GreenRange,
    measure::{PhotoMeasurement, Reading, Settings, measure},
    primaries::ColourSpace,
};

mod drawn_turf;
use drawn_turf::{Camera, Draws, Scene, TurfLook, aslant};

/// Frames drawn for each check.
const FRAMES: u64 = 60;

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

    fn tell(&self, what: &str) {
        let held = f64::from(self.held) / f64::from(self.tried);
        let width = self.mean_width / f64::from(self.tried);
        println!(
            "{what}: held {held:.3} of {}, mean +-{width:.4}, worst {:.4}",
            self.tried, self.worst
        );
    }

    #[track_caller]
    fn check(&self, what: &str, most_width: f64) {
        let held = f64::from(self.held) / f64::from(self.tried);
        let width = self.mean_width / f64::from(self.tried);
        println!(
            "{what}: held {held:.3} of {}, mean +-{width:.4}, worst {:.4}",
            self.tried, self.worst
        );
        assert!(self.tried > 50, "{what}: only {} were measured", self.tried);
        assert!(held >= 0.95, "{what}: {} of {}", self.held, self.tried);
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

/// What is varied: one thing at a time tells which part of the uncertainty is too small.
fn cameras(draws: &mut Draws) -> [(&'static str, Camera); 5] {
    let all = Camera::any(draws);
    let plain = Camera { blur: 0.0, read_noise: 0.0, full_well: 1e12, quality: 100, ..all };
    [
        ("light", plain),
        ("light and blur", Camera { blur: all.blur, ..plain }),
        (
            "light and noise",
            Camera { read_noise: all.read_noise, full_well: all.full_well, ..plain },
        ),
        ("light and JPEG", Camera { quality: all.quality, ..plain }),
        ("all", all),
    ]
}

#[test]
fn a_chart_gives_index_and_cover_within_what_is_stated() {
    let mut index: [Tries; 5] = std::array::from_fn(|_| Tries::new());
    let mut cover: [Tries; 5] = std::array::from_fn(|_| Tries::new());
    for seed in 0..FRAMES {
        let mut draws = Draws::new(1000 + seed);
        let look = TurfLook::any(&mut draws);
        let mut scene = Scene::turf(720, 560, &look, &mut draws);
        let corners = aslant(
            Point::new(360.0, 150.0),
            draws.between(380.0, 460.0),
            draws.between(-8.0, 8.0),
            [draws.between(-0.15, 0.15), draws.between(-0.15, 0.15)],
        );
        scene.lay_chart(&corners);
        let (true_cover, true_index) = scene.truth(&GreenRange::PUBLISHED);
        for (at, (what, camera)) in cameras(&mut draws).into_iter().enumerate() {
            let photo = camera.photograph(&scene, &mut draws);
            let sheet = Sheet::as_drawn();
            let got = measured(&scene, &photo, |frame| {
                correct_by_chart(frame, ColourSpace::Srgb, &corners, &sheet).map(|(c, _)| c)
            });
            let got = match got {
                Ok(got) => got,
                Err(error) => {
                    println!("frame {seed}, {what}: {error} {camera:?}");
                    continue;
                }
            };
            let reading = got.colour.unwrap().index;
            if std::env::var("TELL").is_ok() {
                let c = reading.colour.unwrap().u;
                println!(
                    "{seed} {what}: index {:.4} error {:.4} colour {:.4} detail {:.4} | cover {:.3} error {:.4} colour {:.4} detail {:.4} {:?} {:?} blur {:.2} q {}",
                    true_index,
                    reading.value - true_index,
                    c,
                    reading.detail,
                    true_cover,
                    got.cover.value - true_cover,
                    got.cover.colour.unwrap().u,
                    got.cover.detail,
                    got.quality,
                    got.flags.iter().map(|f| f.fault).collect::<Vec<_>>(),
                    camera.blur,
                    camera.quality
                );
            }
            index[at].note(reading.value - true_index, stated(reading));
            cover[at].note(got.cover.value - true_cover, stated(got.cover));
        }
    }
    let mut draws = Draws::new(0);
    for (at, (what, _)) in cameras(&mut draws).into_iter().enumerate() {
        index[at].tell(&format!("index, {what}"));
        cover[at].tell(&format!("cover, {what}"));
    }
}
