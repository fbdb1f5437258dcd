//! Notes of an invented camera, written by an EXIF library.

use exif::{Field, In, Rational, SRational, Tag, Value, experimental::Writer};

/// Maker and model, orientation, time, place, exposure.
pub(crate) fn exif_block(orientation: u8, taken: &str) -> Vec<u8> {
    let text = |text: &str| Value::Ascii(vec![text.as_bytes().to_vec()]);
    let ratio = |parts: &[(u32, u32)]| {
        Value::Rational(
            parts.iter().map(|(num, denom)| Rational { num: *num, denom: *denom }).collect(),
        )
    };
    let fields: Vec<Field> = [
        (Tag::Make, text("Invented")),
        (Tag::Model, text("Field 3")),
        (Tag::Orientation, Value::Short(vec![u16::from(orientation)])),
        (Tag::DateTimeOriginal, text(taken)),
        (Tag::OffsetTimeOriginal, text("+09:30")),
        (Tag::ExposureTime, ratio(&[(1, 250)])),
        (Tag::FNumber, ratio(&[(18, 10)])),
        (Tag::PhotographicSensitivity, Value::Short(vec![64])),
        (Tag::ExposureBiasValue, Value::SRational(vec![SRational { num: -1, denom: 3 }])),
        (Tag::Flash, Value::Short(vec![16])),
        (Tag::ColorSpace, Value::Short(vec![1])),
        (Tag::GPSLatitudeRef, text("S")),
        (Tag::GPSLatitude, ratio(&[(34, 1), (55, 1), (444, 10)])),
        (Tag::GPSLongitudeRef, text("E")),
        (Tag::GPSLongitude, ratio(&[(138, 1), (36, 1), (0, 1)])),
    ]
    .into_iter()
    .map(|(tag, value)| Field { tag, ifd_num: In::PRIMARY, value })
    .collect();
    let mut writer = Writer::new();
    for field in &fields {
        writer.push_field(field);
    }
    let mut bytes = std::io::Cursor::new(Vec::new());
    writer.write(&mut bytes, false).unwrap();
    bytes.into_inner()
}
