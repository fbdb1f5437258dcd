//! The colour profile of a photo: which of the known colour spaces it is, or its name.
//!
//! Only profiles made of three primaries and a curve are looked into; nothing of a profile is
//! carried out, so a damaged one cannot do harm.

use swardbook_imaging::{primaries::ColourSpace, srgb::decode};

/// The colour space that a photo's numbers are in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Profile {
    /// The photo says so, by its profile or its camera.
    Known(ColourSpace),
    /// The photo says nothing; sRGB is taken, as screens do.
    AssumedSrgb,
    /// Another profile, by its name: such a photo is shown, and measured only as uncorrected.
    Other(String),
}

impl Profile {
    /// Reads an ICC profile.
    ///
    /// # Source  ICC.1:2022 (profile version 4) and ICC.1:2001-04 (version 2): 7.2 header,
    ///   7.3 tag table, `XYZType`, `curveType`, `parametricCurveType`, `textDescriptionType`,
    ///   `multiLocalizedUnicodeType`.
    pub(super) fn of_icc(profile: &[u8]) -> Self {
        match space(profile) {
            Some(space) => Self::Known(space),
            None => Self::Other(name(profile).unwrap_or_else(|| "a profile without name".into())),
        }
    }

    /// The space to take for showing and measuring.
    #[must_use]
    pub fn space(&self) -> ColourSpace {
        match self {
            Self::Known(space) => *space,
            Self::AssumedSrgb | Self::Other(_) => ColourSpace::Srgb,
        }
    }

    /// The space in words.
    #[must_use]
    pub fn words(&self) -> &str {
        match self {
            Self::Known(ColourSpace::Srgb) => "sRGB",
            Self::Known(ColourSpace::DisplayP3) => "Display P3",
            Self::AssumedSrgb => "sRGB (assumed: the photo does not say)",
            Self::Other(name) => name,
        }
    }
}

/// Columns of the two spaces under the D50 of profiles, rounded as profiles round them.
///
/// # Source  ICC registry, sRGB v4 and Display P3 profile descriptions; a difference of 0.003 is
///   let through, more than the rounding of known makers and less than between any two spaces.
const SPACES: [(ColourSpace, [[f64; 3]; 3]); 2] = [
    (
        ColourSpace::Srgb,
        [[0.4361, 0.2225, 0.0139], [0.3851, 0.7169, 0.0971], [0.1431, 0.0606, 0.7142]],
    ),
    (
        ColourSpace::DisplayP3,
        [[0.5151, 0.2412, -0.0011], [0.2920, 0.6922, 0.0419], [0.1571, 0.0666, 0.7841]],
    ),
];

fn space(profile: &[u8]) -> Option<ColourSpace> {
    if profile.get(16..20)? != b"RGB " || profile.get(36..40)? != b"acsp" {
        return None;
    }
    // A profile with look-up tables means something else by its colours.
    if tag(profile, *b"A2B0").is_some() {
        return None;
    }
    let columns = [*b"rXYZ", *b"gXYZ", *b"bXYZ"].map(|key| xyz(tag(profile, key)?));
    let columns = [columns[0]?, columns[1]?, columns[2]?];
    let curves_are_srgb = [*b"rTRC", *b"gTRC", *b"bTRC"]
        .into_iter()
        .all(|key| tag(profile, key).is_some_and(|curve| is_srgb_curve(curve) == Some(true)));
    if !curves_are_srgb {
        return None;
    }
    let near = |expected: &[[f64; 3]; 3]| {
        columns.iter().flatten().zip(expected.iter().flatten()).all(|(a, b)| (a - b).abs() < 0.003)
    };
    SPACES.iter().find(|(_, expected)| near(expected)).map(|(space, _)| *space)
}

/// The bytes of one tag.
fn tag(profile: &[u8], key: [u8; 4]) -> Option<&[u8]> {
    let count = u32_at(profile, 128)?.min(200) as usize;
    (0..count).find_map(|row| {
        let at = 132 + 12 * row;
        (profile.get(at..at + 4)? == key).then_some(())?;
        let start = u32_at(profile, at + 4)? as usize;
        let length = u32_at(profile, at + 8)? as usize;
        profile.get(start..start.checked_add(length)?)
    })
}

fn u32_at(bytes: &[u8], at: usize) -> Option<u32> {
    bytes.get(at..at + 4)?.try_into().ok().map(u32::from_be_bytes)
}

fn u16_at(bytes: &[u8], at: usize) -> Option<u16> {
    bytes.get(at..at + 2)?.try_into().ok().map(u16::from_be_bytes)
}

/// A signed number with sixteen bits after the point.
fn fixed_at(bytes: &[u8], at: usize) -> Option<f64> {
    let raw: [u8; 4] = bytes.get(at..at + 4)?.try_into().ok()?;
    Some(f64::from(i32::from_be_bytes(raw)) / 65536.0)
}

fn xyz(tag: &[u8]) -> Option<[f64; 3]> {
    (tag.get(..4)? == b"XYZ ").then_some(())?;
    Some([fixed_at(tag, 8)?, fixed_at(tag, 12)?, fixed_at(tag, 16)?])
}

/// Whether a curve runs within 0.01 of the sRGB curve.
fn is_srgb_curve(tag: &[u8]) -> Option<bool> {
    let at: Box<dyn Fn(f64) -> Option<f64>> = match tag.get(..4)? {
        b"curv" => {
            let count = u32_at(tag, 8)? as usize;
            if count < 2 {
                // No entry is a straight line, one is a plain power: neither is the sRGB curve.
                return Some(false);
            }
            Box::new(move |x| {
                let place = x * (count - 1) as f64;
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "from zero to the last entry"
                )]
                let entry = (place.floor() as usize).min(count - 2);
                let [low, high] = [entry, entry + 1]
                    .map(|entry| u16_at(tag, 12 + 2 * entry).map(|raw| f64::from(raw) / 65535.0));
                Some(low? + (place - entry as f64) * (high? - low?))
            })
        }
        b"para" if u16_at(tag, 8)? == 3 => {
            let [g, a, b, c, d] = [12, 16, 20, 24, 28].map(|at| fixed_at(tag, at));
            let (g, a, b, c, d) = (g?, a?, b?, c?, d?);
            Box::new(move |x| Some(if x >= d { (a * x + b).powf(g) } else { c * x }))
        }
        _ => return Some(false),
    };
    let mut is_near = true;
    for step in 0..=50 {
        let x = f64::from(step) / 50.0;
        is_near &= (at(x)? - decode(x)).abs() < 0.01;
    }
    Some(is_near)
}

/// The profile's own name, at most sixty letters of it.
fn name(profile: &[u8]) -> Option<String> {
    let tag = tag(profile, *b"desc")?;
    let text: String = match tag.get(..4)? {
        b"desc" => {
            let length = (u32_at(tag, 8)? as usize).min(tag.len() - 12);
            String::from_utf8_lossy(tag.get(12..12 + length)?).into_owned()
        }
        b"mluc" => {
            let length = u32_at(tag, 20)? as usize;
            let start = u32_at(tag, 24)? as usize;
            let raw = tag.get(start..start.checked_add(length)?)?;
            let units: Vec<u16> =
                raw.chunks_exact(2).map(|pair| u16::from_be_bytes([pair[0], pair[1]])).collect();
            String::from_utf16_lossy(&units)
        }
        _ => return None,
    };
    let clean: String = text.chars().filter(|letter| !letter.is_control()).take(60).collect();
    let clean = clean.trim().to_owned();
    (!clean.is_empty()).then_some(clean)
}
