//! A kept measurement as shells show it: values with their intervals, faults, and the working.

use serde::Serialize;
use swardbook_agronomy::source;
use swardbook_imaging::quality::QualityLimits;
use swardbook_journal::records::{CardKind, Measurement};
use swardbook_stats::uncertainty::Uncertainty;
use swardbook_units::Working;
use ts_rs::TS;

use super::{
    kept::{self, choices_of, is_evidence, quality_of, why_not},
    outlines::{self, Place},
};
use crate::{
    Code, Problem,
    dto::{WorkingDto, day_text},
    photo::MeasureChoices,
};

/// A measured value with its interval.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct MeasuredValue {
    /// The value.
    pub value: f64,
    /// Its standard uncertainty in this frame: card and fine detail. None without a card.
    pub u: Option<f64>,
    /// Lower end of the 95 % interval in this frame.
    pub low: Option<f64>,
    /// Upper end.
    pub high: Option<f64>,
    /// Standard uncertainty as a value for the turf around the frame.
    pub turf_u: Option<f64>,
}

/// One measure of a photo with its limit.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct QualityLine {
    /// `clipped`, `underexposed`, `blurred`, `shaded`, `glare` or `beyond-gamut`.
    pub fault: String,
    /// The measure.
    pub value: f64,
    /// The limit.
    pub limit: f64,
    /// Whether it must be above the limit (below otherwise).
    pub above_is_good: bool,
    /// Whether the limit is kept.
    pub is_good: bool,
    /// What is wrong and what to do, when it is not kept.
    pub words: String,
}

/// A measurement.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct MeasurementView {
    /// The record; empty where nothing was kept.
    pub id: String,
    /// The observation that keeps the photo; empty for a file.
    pub photo: String,
    /// blake3 hash of the original.
    pub original: String,
    /// Day of the measurement.
    pub date: String,
    /// Name of the way of measuring.
    pub algorithm: String,
    /// `none`, `grey-card` or `chart`.
    pub card: String,
    /// The program found the card.
    pub corners_found: bool,
    /// The card's corners, pixels of the upright photo.
    #[ts(as = "Vec<(f64, f64)>")]
    pub corners: Vec<Place>,
    /// Reflectance that a grey card is brought to.
    pub reflectance: Option<f64>,
    /// What was tried and not found, where the card was looked for.
    pub tried: Vec<String>,
    /// Settings moved away from the published ones.
    pub changed: Vec<String>,
    /// Hue that counts as green, degrees.
    pub hue_range: (f64, f64),
    /// Saturation that counts as green.
    pub saturation_range: (f64, f64),
    /// Outline of what was measured.
    #[ts(as = "Vec<(f64, f64)>")]
    pub region: Vec<Place>,
    /// Columns of the upright photo.
    pub width: u32,
    /// Rows.
    pub height: u32,
    /// Pixels measured.
    pub pixels: u32,
    /// Green share, a ratio.
    pub cover: MeasuredValue,
    /// The same by a second, wider range of hue: how much the border matters.
    pub second_cover: f64,
    /// Dark green colour index; none when too little is green.
    pub index: Option<MeasuredValue>,
    /// Standard deviation of the index between pixels.
    pub index_spread: Option<f64>,
    /// Hue, degrees.
    pub hue: Option<MeasuredValue>,
    /// Saturation.
    pub saturation: Option<MeasuredValue>,
    /// Brightness.
    pub brightness: Option<MeasuredValue>,
    /// CIELAB lightness, red to green, yellow to blue.
    pub lab: Vec<MeasuredValue>,
    /// Residual of the chart's patches, linear light.
    pub chart_residual: Option<f64>,
    /// Measures of the photo.
    pub quality: Vec<QualityLine>,
    /// A card corrected its colours.
    pub is_corrected: bool,
    /// It may speak in a comparison.
    pub is_evidence: bool,
    /// Why not, in words.
    pub why_not: Vec<String>,
    /// Name of a picture of the mask, to be asked for as `ORIGINAL/NAME`; empty: none was made.
    pub mask: String,
    /// Words.
    pub note: String,
    /// How the index and the cover come about.
    pub working: WorkingDto,
}

/// Level of the intervals shown.
pub(super) const LEVEL: f64 = 0.95;

fn reading(
    value: Option<f64>,
    u: Option<f64>,
    df: Option<f64>,
    turf_u: Option<f64>,
) -> Result<Option<MeasuredValue>, Problem> {
    let Some(value) = value else { return Ok(None) };
    let half = u
        .map(|u| Uncertainty { u, df: df.unwrap_or(f64::INFINITY) }.expanded(LEVEL))
        .transpose()
        .map_err(|e| Problem::new(Code::Damaged, format!("a kept uncertainty: {e}")))?;
    Ok(Some(MeasuredValue {
        value,
        u,
        low: half.map(|half| value - half),
        high: half.map(|half| value + half),
        turf_u,
    }))
}

/// A kept measurement as shells show it.
///
/// # Errors
/// [`Problem`] when it was kept in another form.
pub(super) fn view_of(id: &str, record: &Measurement) -> Result<MeasurementView, Problem> {
    let choices = choices_of(record)?;
    let df = record.index_df;
    let whole = |number: Option<i64>| number.and_then(|n| u32::try_from(n).ok()).unwrap_or(0);
    let lab = [
        (record.lab_l, record.lab_l_u),
        (record.lab_a, record.lab_a_u),
        (record.lab_b, record.lab_b_u),
    ];
    let mut cover = reading(record.cover, record.cover_u, record.cover_df, record.cover_turf_u)?
        .ok_or_else(|| Problem::new(Code::NewerVersion, "a measurement without its cover"))?;
    // A share lies within nought and one whatever its uncertainty.
    cover.low = cover.low.map(|low| low.max(0.0));
    cover.high = cover.high.map(|high| high.min(1.0));
    Ok(MeasurementView {
        id: id.to_owned(),
        photo: record.photo.map_or_else(String::new, |id| id.to_string()),
        original: record.original.clone(),
        date: record.date.map_or_else(String::new, day_text),
        algorithm: record.algorithm.clone(),
        card: record.card.as_ref().unwrap_or(&CardKind::None).word().to_owned(),
        corners_found: record.corners_found,
        corners: outlines::places(&outlines::from_text("corners", &record.corners)?),
        reflectance: record.reflectance,
        tried: Vec::new(),
        changed: record.changed.split("; ").filter(|c| !c.is_empty()).map(str::to_owned).collect(),
        hue_range: (choices.green.hue[0], choices.green.hue[1]),
        saturation_range: (choices.green.saturation[0], choices.green.saturation[1]),
        region: outlines::places(choices.region.within.as_deref().unwrap_or_default()),
        width: whole(record.width),
        height: whole(record.height),
        pixels: whole(record.pixels),
        cover,
        second_cover: record.second_cover.unwrap_or_default(),
        index: reading(record.index, record.index_u, df, record.index_turf_u)?,
        index_spread: record.index_spread,
        hue: reading(record.hue, record.hue_u, df, None)?,
        saturation: reading(record.saturation, record.saturation_u, df, None)?,
        brightness: reading(record.brightness, record.brightness_u, df, None)?,
        lab: lab
            .into_iter()
            .filter_map(|(value, u)| reading(value, u, df, None).transpose())
            .collect::<Result<_, _>>()?,
        chart_residual: record.chart_residual,
        quality: quality_lines(record, &choices.limits),
        is_corrected: record.corrected,
        is_evidence: is_evidence(record),
        why_not: why_not(record),
        mask: String::new(),
        note: record.note.clone(),
        working: WorkingDto::from(&working(record, &choices)),
    })
}

fn quality_lines(record: &Measurement, limits: &QualityLimits) -> Vec<QualityLine> {
    let Some(q) = quality_of(record) else { return Vec::new() };
    [
        ("clipped", q.clipped, limits.clipped, false),
        ("underexposed", q.black, limits.black, false),
        ("blurred", q.sharpness, limits.sharpness, true),
        ("shaded", q.evenness, limits.evenness, true),
        ("glare", q.glare, limits.glare, false),
        ("beyond-gamut", q.beyond, limits.beyond, false),
    ]
    .into_iter()
    .map(|(fault, value, limit, above_is_good)| {
        let is_good = if above_is_good { value >= limit } else { value <= limit };
        let words = match kept::fault_of(fault) {
            Some(fault) if !is_good => fault.words().to_owned(),
            _ => String::new(),
        };
        QualityLine { fault: fault.to_owned(), value, limit, above_is_good, is_good, words }
    })
    .collect()
}

/// How index and cover come about, from what is kept.
fn working(record: &Measurement, choices: &MeasureChoices) -> Working {
    let [from, to] = choices.green.hue;
    let mut working = Working::new(
        "index = mean over green pixels of ((H - 60) / 60 + (1 - S) + (1 - B)) / 3; cover = green \
         pixels / pixels",
    )
    .given("Green from hue", from, "degree")
    .given("Green to hue", to, "degree")
    .source(source("karcher-richardson-2003"))
    .source(source("richardson-2001"))
    .source(source("iec-61966-2-1"));
    if let Some(pixels) = record.pixels {
        #[expect(clippy::cast_precision_loss, reason = "a count of pixels is far below 2^53")]
        let pixels = pixels as f64;
        working = working.given("Pixels measured", pixels, "");
    }
    if let Some(share) = record.reflectance {
        working = working.given("Reflectance of the grey card", share, "");
    }
    if let Some(residual) = record.chart_residual {
        working = working.step(
            "chart's residual",
            "root mean square of known less corrected light, each patch left out".to_owned(),
            residual,
            "",
        );
    }
    if let Some(cover) = record.cover {
        working = working.step("green cover", "green pixels / pixels".to_owned(), cover, "");
    }
    if let (Some(index), Some(hue), Some(s), Some(b)) =
        (record.index, record.hue, record.saturation, record.brightness)
    {
        working = working
            .step("mean hue", "over green pixels".to_owned(), hue, "degree")
            .step("mean saturation", "over green pixels".to_owned(), s, "")
            .step("mean brightness", "over green pixels".to_owned(), b, "")
            .step(
                "dark green colour index",
                format!("(({hue:.3} - 60) / 60 + (1 - {s:.4}) + (1 - {b:.4})) / 3"),
                index,
                "",
            );
    }
    if let Some(u) = record.index_u {
        working = working.step(
            "standard uncertainty of the index",
            "card and fine detail, squares added".to_owned(),
            u,
            "",
        );
    }
    if !record.corrected {
        working = working.caution(
            "No card corrected this photo: its colours are the camera's, and it is no evidence.",
        );
    }
    working.caution(
        "Compare a zone with itself and its control, photographed the same way; no nitrogen is \
         advised from a photo's colour.",
    )
}
