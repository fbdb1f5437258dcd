//! The difference between two colours as an eye sees it.

use crate::lab::Lab;

/// CIEDE2000 colour difference, all weights 1.
///
/// # Source  `sharma-2005`: Sharma G, Wu W, Dalal EN (2005) Color Research and Application
///   30(1):21-30, equations 2 to 22, with their 34 test pairs.
#[must_use]
pub fn ciede2000(one: Lab, other: Lab) -> f64 {
    let chroma = |lab: Lab| lab.a.hypot(lab.b);
    let mean_chroma = f64::midpoint(chroma(one), chroma(other));
    let stretch = 0.5 * (1.0 - grey_damping(mean_chroma));
    let (a1, a2) = (one.a * (1.0 + stretch), other.a * (1.0 + stretch));
    let (c1, c2) = (a1.hypot(one.b), a2.hypot(other.b));
    let (h1, h2) = (hue_angle(a1, one.b), hue_angle(a2, other.b));

    let turn = if c1 * c2 > 0.0 { shorter_turn(h2 - h1) } else { 0.0 };
    let (dl, dc) = (other.l - one.l, c2 - c1);
    let dh = 2.0 * (c1 * c2).sqrt() * (turn / 2.0).to_radians().sin();

    let (l, c) = (f64::midpoint(one.l, other.l), f64::midpoint(c1, c2));
    let h = if c1 * c2 > 0.0 { mean_hue(h1, h2) } else { h1 + h2 };
    let cosine = |degrees: f64| degrees.to_radians().cos();
    let t = 1.0 - 0.17 * cosine(h - 30.0) + 0.24 * cosine(2.0 * h) + 0.32 * cosine(3.0 * h + 6.0)
        - 0.20 * cosine(4.0 * h - 63.0);
    let off_middle = (l - 50.0).powi(2);
    let weight_l = 1.0 + 0.015 * off_middle / (20.0 + off_middle).sqrt();
    let weight_c = 1.0 + 0.045 * c;
    let weight_h = 1.0 + 0.015 * c * t;
    // The rotation term for blues.
    let swing = 30.0 * (-((h - 275.0) / 25.0).powi(2)).exp();
    let rotation = -(2.0 * swing).to_radians().sin() * 2.0 * grey_damping(c);

    let (l, c, h) = (dl / weight_l, dc / weight_c, dh / weight_h);
    (l * l + c * c + h * h + rotation * c * h).max(0.0).sqrt()
}

/// sqrt(c^7 / (c^7 + 25^7)).
fn grey_damping(chroma: f64) -> f64 {
    let seventh = chroma.powi(7);
    (seventh / (seventh + 25.0_f64.powi(7))).sqrt()
}

/// Degrees from 0 up to 360, zero for no chroma.
fn hue_angle(a: f64, b: f64) -> f64 {
    b.atan2(a).to_degrees().rem_euclid(360.0)
}

fn shorter_turn(turn: f64) -> f64 {
    if turn > 180.0 {
        turn - 360.0
    } else if turn < -180.0 {
        turn + 360.0
    } else {
        turn
    }
}

fn mean_hue(h1: f64, h2: f64) -> f64 {
    if (h1 - h2).abs() <= 180.0 {
        f64::midpoint(h1, h2)
    } else if h1 + h2 < 360.0 {
        f64::midpoint(h1, h2) + 180.0
    } else {
        f64::midpoint(h1, h2) - 180.0
    }
}
