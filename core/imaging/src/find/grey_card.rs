//! Finding a grey card: the one flat, even, nearly colourless four-sided thing in the photo.

use super::reduced::Reduced;
use crate::{
    ImagingError,
    frame::{Frame, Point},
    homography::Corners,
};

/// A grey card that was found: a proposal for a person to confirm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FoundGreyCard {
    /// Its corners, clockwise from the one nearest the photo's upper left.
    pub corners: Corners,
    /// Share of the four-sided figure that is filled by even grey.
    pub fill: f64,
}

/// The longest side that a card is looked for in.
const LONGEST: usize = 360;
/// Neighbouring blocks of a card differ by at most so many codes.
const STEP: f32 = 7.0;
/// A block of a card differs from where the card was first met by at most this share.
const DRIFT: f32 = 0.16;
/// Greatest saturation of a grey card in coloured light.
const SATURATION: f32 = 0.28;
/// Least and greatest share of the photo.
const AREA: [f64; 2] = [0.004, 0.5];
/// Least share of the four-sided figure that must be filled.
const FILL: f64 = 0.88;

/// Finds a grey card.
///
/// # Errors  `NotFound` when nothing or more than one thing looks like one.
pub fn find_grey_card(frame: &Frame<'_>) -> Result<FoundGreyCard, ImagingError> {
    let reduced = Reduced::of(frame, LONGEST);
    let mut found: Vec<(usize, FoundGreyCard)> =
        patches(&reduced).into_iter().filter_map(|patch| as_card(&reduced, &patch)).collect();
    found.sort_by_key(|(area, _)| std::cmp::Reverse(*area));
    let nothing = |why| Err(ImagingError::NotFound { what: "grey card", why });
    match found[..] {
        [] => nothing("nothing flat, grey and four-sided was seen"),
        // A second thing half as large may as well be the card.
        [(area, _), (second, _), ..] if 2 * second > area => {
            nothing("more than one thing looks like it")
        }
        [(_, card), ..] => Ok(card),
    }
}

/// Connected blocks of one even grey.
fn patches(reduced: &Reduced) -> Vec<Vec<usize>> {
    let (width, height) = (reduced.width, reduced.height);
    let mut taken = vec![false; width * height];
    let mut patches = Vec::new();
    for start in 0..width * height {
        let seed = reduced.codes[start];
        if taken[start] || !is_grey(seed) {
            continue;
        }
        taken[start] = true;
        let mut patch = vec![start];
        let mut next = 0;
        while next < patch.len() {
            let at = patch[next];
            next += 1;
            let (x, y) = (at % width, at / width);
            let here = reduced.codes[at];
            let around = [
                (x > 0).then(|| at - 1),
                (x + 1 < width).then(|| at + 1),
                (y > 0).then(|| at - width),
                (y + 1 < height).then(|| at + width),
            ];
            for there in around.into_iter().flatten() {
                let codes = reduced.codes[there];
                if !taken[there] && is_grey(codes) && is_step(here, codes) && is_like(seed, codes) {
                    taken[there] = true;
                    patch.push(there);
                }
            }
        }
        let share = patch.len() as f64 / (width * height) as f64;
        if (AREA[0]..=AREA[1]).contains(&share) {
            patches.push(patch);
        }
    }
    patches
}

fn is_grey(codes: [f32; 3]) -> bool {
    let most = codes[0].max(codes[1]).max(codes[2]);
    let least = codes[0].min(codes[1]).min(codes[2]);
    (40.0..248.0).contains(&most) && most - least <= SATURATION * most
}

fn is_step(one: [f32; 3], other: [f32; 3]) -> bool {
    one.iter().zip(other).all(|(a, b)| (a - b).abs() <= STEP)
}

fn is_like(seed: [f32; 3], codes: [f32; 3]) -> bool {
    seed.iter().zip(codes).all(|(a, b)| (a - b).abs() <= DRIFT * a.max(30.0))
}

fn as_card(reduced: &Reduced, patch: &[usize]) -> Option<(usize, FoundGreyCard)> {
    let width = reduced.width;
    let (mut left, mut top, mut right, mut bottom) = (usize::MAX, usize::MAX, 0, 0);
    for at in patch {
        let (x, y) = (at % width, at / width);
        (left, right) = (left.min(x), right.max(x));
        (top, bottom) = (top.min(y), bottom.max(y));
    }
    // A card that runs out of the photo cannot be told from a path or a wall.
    if left == 0 || top == 0 || right + 1 >= width || bottom + 1 >= reduced.height {
        return None;
    }
    let hull = hull(patch.iter().map(|at| {
        // Middles of blocks.
        Point::new((at % width) as f64 + 0.5, (at / width) as f64 + 0.5)
    }));
    let quad = largest_quad(&hull)?;
    // Middles lie half a block inside of the border.
    let border: f64 = (0..4)
        .map(|i| (quad[i].x - quad[(i + 1) % 4].x).hypot(quad[i].y - quad[(i + 1) % 4].y))
        .sum();
    let corners = Corners(quad);
    let area = corners.area();
    let filled = patch.len() as f64;
    let fill = filled / (area + 0.5 * border + 1.0);
    // A disk fills more than the figure between four of its points.
    if !(FILL..=1.12).contains(&fill) || is_splinter(&quad) {
        return None;
    }
    let block = reduced.block as f64;
    let corners = Corners(quad.map(|p| Point::new(p.x * block, p.y * block)));
    let corners = corners.checked(crate::correction::grey::LEAST_CARD_AREA).ok()?;
    Some((patch.len(), FoundGreyCard { corners, fill }))
}

/// A figure with one side much shorter than another is no card.
fn is_splinter(quad: &[Point; 4]) -> bool {
    let side = |i: usize| (quad[i].x - quad[(i + 1) % 4].x).hypot(quad[i].y - quad[(i + 1) % 4].y);
    let sides = [0, 1, 2, 3].map(side);
    let (least, most) =
        sides.iter().fold((f64::INFINITY, 0.0_f64), |(low, high), s| (low.min(*s), high.max(*s)));
    most > 5.0 * least
}

/// Convex hull, clockwise as seen with y downwards.
///
/// # Source  Andrew AM (1979) Information Processing Letters 9:216-219, from memory.
fn hull(points: impl Iterator<Item = Point>) -> Vec<Point> {
    let mut points: Vec<Point> = points.collect();
    points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    let turn =
        |o: &Point, a: &Point, b: &Point| (a.x - o.x) * (b.y - o.y) - (a.y - o.y) * (b.x - o.x);
    let half = |points: &mut dyn Iterator<Item = &Point>| {
        let mut chain: Vec<Point> = Vec::new();
        for point in points {
            while chain.len() >= 2
                && turn(&chain[chain.len() - 2], &chain[chain.len() - 1], point) <= 0.0
            {
                chain.pop();
            }
            chain.push(*point);
        }
        chain.pop();
        chain
    };
    let mut hull = half(&mut points.iter());
    hull.extend(half(&mut points.iter().rev()));
    hull
}

/// The largest four-sided figure between points of a hull, from the corner nearest the upper left.
fn largest_quad(hull: &[Point]) -> Option<[Point; 4]> {
    let n = hull.len();
    if n < 4 {
        return None;
    }
    let mut best: Option<(f64, [usize; 4])> = None;
    for a in 0..n {
        for c in a + 2..n {
            // The farthest point on each side of the diagonal.
            let off = |b: usize| {
                let (p, q, r) = (&hull[a], &hull[c], &hull[b]);
                (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x)
            };
            let farthest = |from: usize, to: usize| {
                (from..to).map(|b| b % n).max_by(|x, y| off(*x).abs().total_cmp(&off(*y).abs()))
            };
            let (Some(b), Some(d)) = (farthest(a + 1, c), farthest(c + 1, a + n)) else { continue };
            let area = 0.5 * (off(b).abs() + off(d).abs());
            if best.is_none_or(|(most, _)| area > most) {
                best = Some((area, [a, b, c, d]));
            }
        }
    }
    let (_, corners) = best?;
    let mut quad = corners.map(|at| hull[at]);
    let first = (0..4).min_by(|x, y| {
        let far = |i: usize| quad[i].x + quad[i].y;
        far(*x).total_cmp(&far(*y))
    })?;
    quad.rotate_left(first);
    Some(quad)
}
