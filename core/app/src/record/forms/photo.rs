//! Forms of what comes of photos, and of the temperatures beside them.
//!
//! A measurement is shown and taken away like every record, but nobody fills one in.

use crate::{
    Problem,
    record::spec::{FieldKind as K, FieldSpec, Home, RecordSpec, field},
};

const ANY: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

const fn number(
    name: &'static str,
    unit: &'static str,
    label: &'static str,
    about: &'static str,
) -> FieldSpec {
    field(name, name, K::Number { unit, range: ANY }, label, about)
}

const fn words(name: &'static str, label: &'static str, about: &'static str) -> FieldSpec {
    field(name, name, K::Text, label, about)
}

pub(super) const MEASUREMENT: RecordSpec = RecordSpec {
    kind: "measurement",
    title: "Measurement of a photo",
    home: Home::Zone,
    fields: &[
        field("photo", "photo", K::Record("observation"), "Photo", "the photo that was measured"),
        field("date", "date", K::Date, "Measured on", "the day it was measured"),
        words("algorithm", "Way of measuring", "the same way gives the same numbers again"),
        field(
            "card",
            "card",
            K::Choice(&["none", "grey-card", "chart"]),
            "Card",
            "what stood in the frame to correct its colour by",
        ),
        field("corners_found", "corners_found", K::Flag, "Card found", "by the program"),
        words("corners", "Corners", "of the card, pixels of the upright photo"),
        number("reflectance", "", "Reflectance", "that the grey card is brought to"),
        words("sheet", "Chart's colours", "as measured; empty: as drawn"),
        number("hue_from", "degree", "Green from", "least hue that counts as green"),
        number("hue_to", "degree", "Green to", "greatest hue that counts as green"),
        number("saturation_from", "", "Saturation from", "least that counts as green"),
        number("saturation_to", "", "Saturation to", "greatest that counts as green"),
        words("region", "Part measured", "outline in pixels; empty: the whole photo"),
        words("left_out", "Left out", "outlines in pixels, beside the card"),
        words("changed", "Changed settings", "what was moved away from the published ones"),
        number("cover", "", "Green cover", "share of the part measured"),
        number("cover_u", "", "Green cover, u", "standard uncertainty in this frame"),
        number("index", "", "Dark green colour index", "mean of the green pixels"),
        number("index_u", "", "Index, u", "standard uncertainty in this frame"),
        number("index_spread", "", "Spread of the index", "between pixels"),
        number("hue", "degree", "Hue", "mean of the green pixels"),
        number("hue_u", "degree", "Hue, u", "standard uncertainty"),
        number("saturation", "", "Saturation", "mean of the green pixels, 0 to 1"),
        number("saturation_u", "", "Saturation, u", "standard uncertainty"),
        number("brightness", "", "Brightness", "mean of the green pixels, 0 to 1"),
        number("brightness_u", "", "Brightness, u", "standard uncertainty"),
        number("lab_l", "", "CIELAB L", "lightness of the mean light, D65"),
        number("lab_l_u", "", "L, u", "standard uncertainty"),
        number("lab_a", "", "CIELAB a", "red to green"),
        number("lab_a_u", "", "a, u", "standard uncertainty"),
        number("lab_b", "", "CIELAB b", "yellow to blue"),
        number("lab_b_u", "", "b, u", "standard uncertainty"),
        number("chart_residual", "", "Chart's residual", "linear light, each patch left out"),
        words("flags", "Flags", "what is wrong with the photo"),
        field("corrected", "corrected", K::Flag, "Corrected", "a card corrected its colours"),
        words("uncorrected_because", "Uncorrected because", "although a card stood in the frame"),
        words("note", "Note", "anything else"),
    ],
    check: |_| {
        Err(Problem::refused(
            "a measurement is not typed in: measure the photo again (`photo measure`), and the \
             new one takes its place",
        ))
    },
};

pub(super) const TEMPERATURES: RecordSpec = RecordSpec {
    kind: "temperatures",
    title: "Temperatures",
    home: Home::Property,
    fields: &[
        words("file_name", "File", "where they came from"),
        field("unit", "unit", K::Choice(&["C", "F"]), "Unit", "degrees Celsius or Fahrenheit"),
        field("first", "first", K::Date, "From", "first day"),
        field("last", "last", K::Date, "Until", "last day"),
        field("days", "days", K::Count { range: (1, 100_000) }, "Days", "with a temperature"),
        words("note", "Note", "anything else"),
    ],
    check: |fields| {
        if fields.contains_key("file") {
            return Ok(());
        }
        Err(Problem::refused(
            "temperatures come as a table: `temperatures add --file FILE`, or --text with a day \
             and a temperature in each line",
        ))
    },
};
