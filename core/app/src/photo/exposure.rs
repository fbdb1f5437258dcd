//! What the camera wrote beside the pixels: orientation, time, position, exposure.

use chrono::{NaiveDate, NaiveDateTime};
use exif::{Exif, In, Tag, Value};

/// When a photo was taken, by the camera's clock.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Taken {
    /// Local date and time where the camera was.
    pub local: NaiveDateTime,
    /// Minutes that the local time is ahead of universal time, where the camera wrote it.
    pub offset_minutes: Option<i32>,
}

/// Where a photo was taken, in degrees on WGS84.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Position {
    /// North positive.
    pub latitude: f64,
    /// East positive.
    pub longitude: f64,
}

/// How a photo was exposed; what the camera did not write is absent.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Exposure {
    /// Exposure time, seconds.
    pub seconds: Option<f64>,
    /// Aperture, the f-number.
    pub f_number: Option<f64>,
    /// Sensitivity, ISO.
    pub iso: Option<u32>,
    /// Exposure compensation that the person or camera set, stops.
    pub bias_stops: Option<f64>,
    /// Whether the flash fired: it lights the near turf more than the far.
    pub flash_fired: Option<bool>,
}

/// All of it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Facts {
    pub(super) orientation: u8,
    pub(super) taken: Option<Taken>,
    pub(super) position: Option<Position>,
    pub(super) exposure: Exposure,
    /// Maker, model and lens; empty where none is written.
    pub(super) camera: String,
    /// The camera said that its colours are sRGB (true) or something else (false).
    pub(super) says_srgb: Option<bool>,
}

impl Facts {
    /// Upright, and nothing else known.
    const NONE: Self = Self {
        camera: String::new(),
        orientation: 1,
        taken: None,
        position: None,
        exposure: Exposure {
            seconds: None,
            f_number: None,
            iso: None,
            bias_stops: None,
            flash_fired: None,
        },
        says_srgb: None,
    };

    /// Reads the block, as far as it can be read: a camera's damaged note must not cost the photo.
    ///
    /// # Source  CIPA DC-008 (EXIF 2.32): tags by name.
    pub(super) fn read(block: Option<Vec<u8>>) -> Self {
        let Some(block) = block else { return Self::NONE };
        let mut reader = exif::Reader::new();
        reader.continue_on_error(true);
        let read = reader.read_raw(block).or_else(|error| error.distill_partial_result(|_| ()));
        let Ok(exif) = read else { return Self::NONE };
        Self {
            orientation: orientation(&exif),
            taken: taken(&exif),
            position: position(&exif),
            exposure: exposure(&exif),
            camera: camera(&exif),
            says_srgb: whole(&exif, Tag::ColorSpace).map(|space| space == 1),
        }
    }
}

fn value(exif: &Exif, tag: Tag) -> Option<&Value> {
    exif.get_field(tag, In::PRIMARY).map(|field| &field.value)
}

fn whole(exif: &Exif, tag: Tag) -> Option<u32> {
    value(exif, tag)?.get_uint(0)
}

fn orientation(exif: &Exif) -> u8 {
    whole(exif, Tag::Orientation)
        .and_then(|number| u8::try_from(number).ok())
        .filter(|number| (1..=8).contains(number))
        .unwrap_or(1)
}

fn text(exif: &Exif, tag: Tag) -> Option<String> {
    match value(exif, tag)? {
        Value::Ascii(lines) => {
            let line = lines.first()?;
            Some(String::from_utf8_lossy(line).trim_matches(['\0', ' ']).to_owned())
        }
        _ => None,
    }
}

fn camera(exif: &Exif) -> String {
    let parts = [Tag::Make, Tag::Model, Tag::LensModel].map(|tag| text(exif, tag));
    let mut written: Vec<String> = parts.into_iter().flatten().collect();
    written.retain(|part| !part.is_empty());
    written.join(", ")
}

fn taken(exif: &Exif) -> Option<Taken> {
    let (moment, zone) = [
        (Tag::DateTimeOriginal, Tag::OffsetTimeOriginal),
        (Tag::DateTimeDigitized, Tag::OffsetTimeDigitized),
        (Tag::DateTime, Tag::OffsetTime),
    ]
    .into_iter()
    .find_map(|(moment, zone)| Some((moment_of(&text(exif, moment)?)?, text(exif, zone))))?;
    Some(Taken { local: moment, offset_minutes: zone.as_deref().and_then(minutes_of) })
}

/// `2026:09:14 10:32:05`; a clock that was never set writes zeros or spaces, which are no date.
fn moment_of(text: &str) -> Option<NaiveDateTime> {
    let moment = NaiveDateTime::parse_from_str(text, "%Y:%m:%d %H:%M:%S").ok()?;
    (moment.date() >= NaiveDate::from_ymd_opt(1990, 1, 1)?).then_some(moment)
}

/// `+09:30` or `-03:00`.
fn minutes_of(text: &str) -> Option<i32> {
    let sign = match text.as_bytes().first()? {
        b'+' => 1,
        b'-' => -1,
        _ => return None,
    };
    let (hours, minutes) = text.get(1..)?.split_once(':')?;
    let minutes = hours.parse::<i32>().ok()? * 60 + minutes.parse::<i32>().ok()?;
    (0..=15 * 60).contains(&minutes).then_some(sign * minutes)
}

fn ratio(exif: &Exif, tag: Tag) -> Option<f64> {
    let number = match value(exif, tag)? {
        Value::Rational(list) => list.first()?.to_f64(),
        Value::SRational(list) => list.first()?.to_f64(),
        _ => return None,
    };
    number.is_finite().then_some(number)
}

fn exposure(exif: &Exif) -> Exposure {
    Exposure {
        seconds: ratio(exif, Tag::ExposureTime).filter(|seconds| *seconds > 0.0),
        f_number: ratio(exif, Tag::FNumber).filter(|number| *number > 0.0),
        iso: whole(exif, Tag::PhotographicSensitivity).filter(|iso| *iso > 0),
        bias_stops: ratio(exif, Tag::ExposureBiasValue),
        flash_fired: whole(exif, Tag::Flash).map(|flash| flash & 1 == 1),
    }
}

fn position(exif: &Exif) -> Option<Position> {
    let latitude = angle(exif, Tag::GPSLatitude, Tag::GPSLatitudeRef, ["N", "S"], 90.0)?;
    let longitude = angle(exif, Tag::GPSLongitude, Tag::GPSLongitudeRef, ["E", "W"], 180.0)?;
    Some(Position { latitude, longitude })
}

/// Degrees, minutes, seconds with the letter of the hemisphere; without the letter it is no place.
fn angle(exif: &Exif, tag: Tag, letter: Tag, letters: [&str; 2], most: f64) -> Option<f64> {
    let Value::Rational(parts) = value(exif, tag)? else { return None };
    let degrees: f64 = parts
        .iter()
        .take(3)
        .zip([1.0, 60.0, 3600.0])
        .map(|(part, sixtieths)| part.to_f64() / sixtieths)
        .sum();
    let letter = text(exif, letter)?;
    let sign = if letter == letters[0] {
        1.0
    } else if letter == letters[1] {
        -1.0
    } else {
        return None;
    };
    (0.0..=most).contains(&degrees).then_some(sign * degrees)
}
