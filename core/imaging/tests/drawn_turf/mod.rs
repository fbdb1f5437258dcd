//! Drawn turf of known colour and cover, seen by an invented camera.
//!
//! The scene is in linear light without noise, so that its true cover and index are known pixel by
//! pixel; the camera then adds what cameras add.

#![allow(dead_code, reason = "each test file uses a part of it")]

use swardbook_imaging::{
    chart,
    frame::{Point, Region},
    homography::{Corners, Homography},
    hsb::{dark_green_index, hsb},
    lab::lab_of,
    mask::GreenRange,
    matrix::{Matrix, times},
    srgb::{Linear, Srgb},
};

mod jpeg_loss;

/// Numbers from 0 up to 1, the same in every run.
pub(crate) struct Draws(u64);

impl Draws {
    pub(crate) fn new(seed: u64) -> Self {
        let mut draws = Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15).wrapping_add(1));
        for _ in 0..4 {
            draws.even();
        }
        draws
    }

    pub(crate) fn even(&mut self) -> f64 {
        // Vigna S (2016) xorshift64*.
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub(crate) fn between(&mut self, from: f64, to: f64) -> f64 {
        from + (to - from) * self.even()
    }

    /// Normal, by Box and Muller.
    pub(crate) fn normal(&mut self) -> f64 {
        (-2.0 * (1.0 - self.even()).ln()).sqrt() * (std::f64::consts::TAU * self.even()).cos()
    }
}

/// A scene in linear sRGB.
#[derive(Clone)]
pub(crate) struct Scene {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) light: Vec<[f64; 3]>,
    /// What is measured: the turf without cards.
    pub(crate) region: Region,
}

/// What a turf looks like.
#[derive(Debug, Clone, Copy)]
pub(crate) struct TurfLook {
    /// Mean codes of the blades.
    pub(crate) blade: [f64; 3],
    /// Mean codes of what lies between them.
    pub(crate) ground: [f64; 3],
    /// Blades drawn for each hundred pixels.
    pub(crate) density: f64,
}

impl TurfLook {
    pub(crate) fn any(draws: &mut Draws) -> Self {
        let depth = draws.even();
        let mix = |pale: f64, dark: f64| pale + depth * (dark - pale);
        Self {
            blade: [mix(125.0, 55.0), mix(155.0, 95.0), mix(70.0, 42.0)],
            ground: [
                draws.between(95.0, 150.0),
                draws.between(80.0, 125.0),
                draws.between(50.0, 90.0),
            ],
            density: draws.between(0.15, 1.0),
        }
    }
}

impl Scene {
    /// Ground, and blades as short strokes upon it, each of its own colour.
    pub(crate) fn turf(width: usize, height: usize, look: &TurfLook, draws: &mut Draws) -> Self {
        let coloured = |codes: [f64; 3], draws: &mut Draws| {
            let shade = draws.between(0.75, 1.25);
            Srgb(
                codes
                    .map(|code| (code * shade * draws.between(0.93, 1.07) / 255.0).clamp(0.0, 1.0)),
            )
            .linear()
            .0
        };
        let mut light = Vec::with_capacity(width * height);
        // Crumbs of ground eight pixels wide.
        let crumbs: Vec<[f64; 3]> =
            (0..(width / 8 + 1) * (height / 8 + 1)).map(|_| coloured(look.ground, draws)).collect();
        for y in 0..height {
            for x in 0..width {
                light.push(crumbs[(y / 8) * (width / 8 + 1) + x / 8]);
            }
        }
        let mut scene = Self { width, height, light, region: Region::whole() };
        let blades = (look.density * (width * height) as f64 / 100.0) as usize;
        for _ in 0..blades {
            let colour = coloured(look.blade, draws);
            let (x, y) = (draws.between(0.0, width as f64), draws.between(0.0, height as f64));
            let angle = draws.between(0.0, std::f64::consts::PI);
            let (length, breadth) = (draws.between(25.0, 70.0), draws.between(4.0, 9.0));
            scene.stroke(Point::new(x, y), angle, length, breadth, colour);
        }
        scene
    }

    fn stroke(&mut self, from: Point, angle: f64, length: f64, breadth: f64, colour: [f64; 3]) {
        let (dx, dy) = (angle.cos(), angle.sin());
        let reach = length + breadth;
        let range = |at: f64, most: usize| {
            ((at - reach).max(0.0) as usize)..((at + reach).max(0.0) as usize + 1).min(most)
        };
        for y in range(from.y, self.height) {
            for x in range(from.x, self.width) {
                let (px, py) = (x as f64 + 0.5 - from.x, y as f64 + 0.5 - from.y);
                let (along, off) = (px * dx + py * dy, (px * dy - py * dx).abs());
                if (0.0..=length).contains(&along) && off <= breadth / 2.0 {
                    self.light[y * self.width + x] = colour;
                }
            }
        }
    }

    /// Lays our chart into the scene, the middles of its markers at these corners.
    pub(crate) fn lay_chart(&mut self, corners: &Corners) {
        let scale = 12;
        let (sheet_width, sheet_height, sheet) = chart::draw(scale);
        let way = Homography::to(corners);
        let outline = swardbook_imaging::find::sheet_outline(corners);
        // Sheet modules run from marker to marker over 62 by 28, beginning at 5.5.
        let sides = |point: Point| {
            let (u, v) = unit_of(&way, point);
            (5.5 + 62.0 * u, 5.5 + 28.0 * v)
        };
        for y in 0..self.height {
            for x in 0..self.width {
                // Four places in each pixel, as an edge falls across it.
                let mut sum = [0.0; 3];
                for (dx, dy) in [(0.25, 0.25), (0.75, 0.25), (0.25, 0.75), (0.75, 0.75)] {
                    let (mx, my) = sides(Point::new(x as f64 + dx, y as f64 + dy));
                    let (px, py) = (mx * f64::from(scale), my * f64::from(scale));
                    let inside = px >= 0.0
                        && py >= 0.0
                        && px < sheet_width as f64
                        && py < sheet_height as f64;
                    let here = if inside {
                        let at = 3 * (py as usize * sheet_width + px as usize);
                        // Paper and ink stay a little inside of black and white.
                        Srgb::from_codes([sheet[at], sheet[at + 1], sheet[at + 2]]).linear().0
                    } else {
                        self.light[y * self.width + x]
                    };
                    for (sum, more) in sum.iter_mut().zip(here) {
                        *sum += 0.25 * more;
                    }
                }
                self.light[y * self.width + x] = sum;
            }
        }
        self.region = std::mem::take(&mut self.region).leaving_out(outline);
    }

    /// Lays a plain grey card of this linear reflectance.
    pub(crate) fn lay_grey(&mut self, corners: &Corners, reflectance: f64) {
        let card = Region { within: Some(corners.0.to_vec()), without: Vec::new() };
        for y in 0..self.height {
            for (from, to) in card.spans(y, self.width) {
                self.light[y * self.width + from..y * self.width + to].fill([reflectance; 3]);
            }
        }
        self.region = std::mem::take(&mut self.region).leaving_out(corners.scaled(1.08).0);
    }

    /// Multiplies the light by a factor that depends on the place.
    pub(crate) fn shade(&mut self, factor: impl Fn(f64, f64) -> f64) {
        for y in 0..self.height {
            for x in 0..self.width {
                let by = factor(x as f64 / self.width as f64, y as f64 / self.height as f64);
                for channel in &mut self.light[y * self.width + x] {
                    *channel *= by;
                }
            }
        }
    }

    /// True cover and mean index of the green, pixel by pixel and exactly.
    pub(crate) fn truth(&self, green: &GreenRange) -> (f64, f64) {
        let (mut pixels, mut count, mut sum) = (0_u32, 0_u32, 0.0);
        for y in 0..self.height {
            for (from, to) in self.region.spans(y, self.width) {
                for light in &self.light[y * self.width + from..y * self.width + to] {
                    pixels += 1;
                    let parts = hsb(Linear(*light).encoded());
                    if green.holds(parts) {
                        count += 1;
                        sum += dark_green_index(parts).unwrap();
                    }
                }
            }
        }
        (f64::from(count) / f64::from(pixels), sum / f64::from(count))
    }

    /// True hue, saturation, brightness (means over the green) and CIELAB of the green's mean light.
    pub(crate) fn other_truths(&self) -> [f64; 6] {
        let (mut count, mut sums, mut light_sum) = (0.0, [0.0; 3], [0.0; 3]);
        for y in 0..self.height {
            for (from, to) in self.region.spans(y, self.width) {
                for light in &self.light[y * self.width + from..y * self.width + to] {
                    let parts = hsb(Linear(*light).encoded());
                    if !GreenRange::PUBLISHED.holds(parts) {
                        continue;
                    }
                    count += 1.0;
                    let of_pixel = [parts.hue.unwrap(), parts.saturation, parts.brightness];
                    for (sum, more) in sums.iter_mut().zip(of_pixel) {
                        *sum += more;
                    }
                    for (sum, more) in light_sum.iter_mut().zip(light) {
                        *sum += more;
                    }
                }
            }
        }
        let [hue, saturation, brightness] = sums.map(|sum| sum / count);
        let lab = lab_of(Linear(light_sum.map(|sum| sum / count)));
        [hue, saturation, brightness, lab.l, lab.a, lab.b]
    }
}

/// The unit square's point of a point in the photo: the homography backwards, by Newton's steps.
fn unit_of(way: &Homography, point: Point) -> (f64, f64) {
    let (mut u, mut v) = (0.5, 0.5);
    for _ in 0..12 {
        let (here, step) = (way.map(u, v), 1e-5);
        let (right, down) = (way.map(u + step, v), way.map(u, v + step));
        let (ax, ay) = ((right.x - here.x) / step, (right.y - here.y) / step);
        let (bx, by) = ((down.x - here.x) / step, (down.y - here.y) / step);
        let (ex, ey) = (point.x - here.x, point.y - here.y);
        let whole = ax * by - ay * bx;
        u += (ex * by - ey * bx) / whole;
        v += (ax * ey - ay * ex) / whole;
        if ex.abs() + ey.abs() < 1e-3 {
            break;
        }
    }
    (u, v)
}

/// A camera and the light it stands in.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Camera {
    /// From the scene's linear light to the sensor's.
    pub(crate) matrix: Matrix,
    /// Standard deviation of the blur, pixels.
    pub(crate) blur: f64,
    /// Noise of the reading, linear, 1 is full.
    pub(crate) read_noise: f64,
    /// Photons at full light.
    pub(crate) full_well: f64,
    /// JPEG quality.
    pub(crate) quality: u16,
}

impl Camera {
    /// A camera like those in phones, in some outdoor light, at some exposure.
    pub(crate) fn any(draws: &mut Draws) -> Self {
        let exposure = draws.between(0.6, 1.25);
        let warm = draws.between(-0.25, 0.25);
        let lamp = [1.0 + 0.5 * warm, 1.0 + draws.between(-0.05, 0.05), 1.0 - warm];
        let leak = draws.between(0.0, 0.08);
        let matrix = std::array::from_fn(|row| {
            std::array::from_fn(|column| {
                let own = if row == column { 1.0 - 2.0 * leak } else { leak };
                exposure * lamp[row] * own
            })
        });
        Self {
            matrix,
            blur: draws.between(0.0, 0.9),
            read_noise: draws.between(0.0, 0.002),
            full_well: draws.between(3_000.0, 20_000.0),
            quality: [80, 85, 90, 95][(draws.even() * 4.0) as usize],
        }
    }

    /// A photo of the scene: its pixels as they come back from the file.
    pub(crate) fn photograph(&self, scene: &Scene, draws: &mut Draws) -> Vec<u8> {
        let codes: Vec<u8> = blurred(scene, self.blur)
            .iter()
            .flat_map(|light| {
                let noisy = times(&self.matrix, *light).map(|light| {
                    let photons = (light.max(0.0) / self.full_well).sqrt();
                    light + draws.normal() * photons.hypot(self.read_noise)
                });
                Linear(noisy).encoded().codes()
            })
            .collect();
        if self.quality >= 100 {
            return codes;
        }
        jpeg_loss::compressed(scene.width, scene.height, &codes, self.quality)
    }
}

fn blurred(scene: &Scene, sigma: f64) -> Vec<[f64; 3]> {
    if sigma < 0.05 {
        return scene.light.clone();
    }
    let reach = (3.0 * sigma).ceil() as i64;
    let kernel: Vec<f64> =
        (-reach..=reach).map(|at| (-0.5 * (at as f64 / sigma).powi(2)).exp()).collect();
    let whole: f64 = kernel.iter().sum();
    let (width, height) = (scene.width as i64, scene.height as i64);
    let pass = |from: &[[f64; 3]], across: bool| -> Vec<[f64; 3]> {
        let mut to = Vec::with_capacity(from.len());
        for y in 0..height {
            for x in 0..width {
                let mut sum = [0.0; 3];
                for (at, weight) in (-reach..=reach).zip(&kernel) {
                    let (x, y) = if across { (x + at, y) } else { (x, y + at) };
                    let (x, y) = (x.clamp(0, width - 1), y.clamp(0, height - 1));
                    for (sum, more) in sum.iter_mut().zip(from[(y * width + x) as usize]) {
                        *sum += weight / whole * more;
                    }
                }
                to.push(sum);
            }
        }
        to
    };
    pass(&pass(&scene.light, true), false)
}

/// Corners of a sheet 62 by 28, of this width, turned and seen aslant.
pub(crate) fn aslant(middle: Point, width: f64, turn_degrees: f64, slant: [f64; 2]) -> Corners {
    let (sine, cosine) = turn_degrees.to_radians().sin_cos();
    let height = width * 28.0 / 62.0;
    Corners([(-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5)].map(|(u, v)| {
        let (x, y) = (u * width, v * height);
        let (x, y) = (x * cosine - y * sine, x * sine + y * cosine);
        // Farther parts are smaller.
        let near = 1.0 + slant[0] * x / width + slant[1] * y / width;
        Point::new(middle.x + x / near, middle.y + y / near)
    }))
}
