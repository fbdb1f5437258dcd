//! Measuring a kept photo, or a file that is not kept, by what a person chose.

use std::path::Path;

use serde::{Deserialize, Serialize};
use swardbook_agronomy::source;
use swardbook_imaging::{
    chart::Sheet, correction::grey::GreyTarget, frame::Region, mask::GreenRange,
    quality::QualityLimits,
};
use swardbook_journal::records::{CardKind, Measurement, Observation, ObservationKind};
use swardbook_stats::uncertainty::Uncertainty;
use swardbook_units::{Id, NaiveDate, Working};
use ts_rs::TS;

use super::{
    add::read_within,
    kept::{self, Circumstances, choices_of, is_evidence, quality_of, record_of, why_not},
    outlines::{self, Place},
};
use crate::{
    Code, Notebook, Problem,
    dto::{WorkingDto, day_text},
    notebook::zone_document,
    photo::{self, CardInFrame, MeasureChoices, MeasuredPhoto, PREVIEW_SIDE, Pixels, Profile},
};

/// What is chosen for a measurement.
#[derive(Debug, Clone, Default, Deserialize, TS)]
pub struct CardAsked {
    /// `auto` (the chart if it is found, else a grey card, else none), `none`, `grey-card` or
    /// `chart`; `auto` when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub card: Option<String>,
    /// Corners of the card as marked by hand, clockwise from its own upper left, pixels of the
    /// upright photo: of a chart the middles of its four corner squares. Looked for when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<Vec<(f64, f64)>>")]
    pub corners: Option<Vec<Place>>,
    /// Reflectance of the grey card, a ratio; 0.18 when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<f64>")]
    pub reflectance: Option<f64>,
    /// Keep the photo's exposure: the grey card takes out the cast only, and the photo cannot
    /// stand beside one of another exposure.
    #[serde(default)]
    pub keep_exposure: bool,
    /// The chart's values as a table with columns r, g, b, where its patches were measured.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub sheet: Option<String>,
    /// Least and greatest hue that counts as green, degrees.
    #[serde(default)]
    #[ts(optional, as = "Option<(f64, f64)>")]
    pub hue: Option<(f64, f64)>,
    /// Least and greatest saturation that counts as green, 0 to 1.
    #[serde(default)]
    #[ts(optional, as = "Option<(f64, f64)>")]
    pub saturation: Option<(f64, f64)>,
    /// A second range of hue whose cover is told beside the first.
    #[serde(default)]
    #[ts(optional, as = "Option<(f64, f64)>")]
    pub second_hue: Option<(f64, f64)>,
    /// Outline of what is measured, pixels of the upright photo; the whole photo when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<Vec<(f64, f64)>>")]
    pub region: Option<Vec<Place>>,
    /// Outlines that are left out, beside the card.
    #[serde(default)]
    #[ts(as = "Vec<Vec<(f64, f64)>>")]
    pub left_out: Vec<Vec<Place>>,
}

/// A kept photo to measure.
#[derive(Debug, Clone, Default, Deserialize, TS)]
pub struct MeasurePhoto {
    /// The observation that keeps it.
    pub photo: String,
    /// Card, mask and region.
    #[serde(flatten)]
    pub asked: CardAsked,
    /// Words.
    #[serde(default)]
    pub note: String,
}

/// A file to measure without keeping anything.
#[derive(Debug, Clone, Default, Deserialize, TS)]
pub struct MeasureFile {
    /// Path of a JPEG, PNG or WebP file.
    pub path: String,
    /// Card, mask and region.
    #[serde(flatten)]
    pub asked: CardAsked,
}

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

/// Reflectance of a usual grey card.
///
/// # Source  common practice, no source: printed on such cards.
const USUAL_REFLECTANCE: f64 = 0.18;
/// Level of the intervals shown.
pub(super) const LEVEL: f64 = 0.95;

/// What came of measuring, before it is kept or shown.
pub(super) struct Outcome {
    pub(super) choices: MeasureChoices,
    pub(super) measured: MeasuredPhoto,
    pub(super) corners_found: bool,
    pub(super) tried: Vec<String>,
    pub(super) pixels: Pixels,
}

/// The ways to try, in order.
fn ways(asked: &CardAsked) -> Result<Vec<MeasureChoices>, Problem> {
    let target = if asked.keep_exposure {
        GreyTarget::KeepGreen
    } else {
        GreyTarget::Reflectance(asked.reflectance.unwrap_or(USUAL_REFLECTANCE))
    };
    let sheet = match &asked.sheet {
        Some(table) => photo::read_sheet(table)?,
        None => Sheet::as_drawn(),
    };
    let corners = asked.corners.as_deref().map(outlines::corners).transpose()?;
    let cards = match (asked.card.as_deref().unwrap_or("auto"), corners) {
        ("none", None) => vec![CardInFrame::None],
        ("grey-card", Some(corners)) => vec![CardInFrame::Grey { corners, target }],
        ("grey-card", None) => vec![CardInFrame::FindGrey { target }],
        ("chart", Some(corners)) => vec![CardInFrame::Chart { corners, sheet }],
        ("chart", None) => vec![CardInFrame::FindChart { sheet }],
        ("auto", None) => {
            vec![
                CardInFrame::FindChart { sheet },
                CardInFrame::FindGrey { target },
                CardInFrame::None,
            ]
        }
        ("auto" | "none", Some(_)) => {
            return Err(Problem::missing(
                "card",
                "corners were given: say whether they are of a grey-card or of the chart",
            ));
        }
        (other, _) => {
            return Err(Problem::bad(
                "card",
                format!("\"{other}\" is no card; there are auto, none, grey-card and chart"),
            ));
        }
    };
    let range = |given: Option<(f64, f64)>, usual: [f64; 2]| given.map_or(usual, |(a, b)| [a, b]);
    let usual = GreenRange::PUBLISHED;
    let region = Region {
        within: asked
            .region
            .as_deref()
            .map(|outline| outlines::checked("region", outline))
            .transpose()?,
        without: asked
            .left_out
            .iter()
            .map(|outline| outlines::checked("left_out", outline))
            .collect::<Result<_, _>>()?,
    };
    Ok(cards
        .into_iter()
        .map(|card| MeasureChoices {
            card,
            green: GreenRange {
                hue: range(asked.hue, usual.hue),
                saturation: range(asked.saturation, usual.saturation),
            },
            second_hue: range(asked.second_hue, GreenRange::WIDER_HUE),
            region: region.clone(),
            limits: QualityLimits::USUAL,
        })
        .collect())
}

/// Measures by the first way that works; a card that is not found gives way to the next only when
/// the card was left to the program.
pub(super) fn measure_bytes(bytes: &[u8], asked: &CardAsked) -> Result<Outcome, Problem> {
    let ways = ways(asked)?;
    let (pixels, profile) = photo::decode_with_profile(bytes)?;
    measure_ways(ways, pixels, &profile)
}

fn measure_ways(
    ways: Vec<MeasureChoices>,
    pixels: Pixels,
    profile: &Profile,
) -> Result<Outcome, Problem> {
    let mut tried = Vec::new();
    let last = ways.len().saturating_sub(1);
    for (at, choices) in ways.into_iter().enumerate() {
        match photo::measure_pixels(&pixels, profile, &choices) {
            Ok(measured) => {
                let corners_found = matches!(
                    choices.card,
                    CardInFrame::FindGrey { .. } | CardInFrame::FindChart { .. }
                );
                return Ok(Outcome { choices, measured, corners_found, tried, pixels });
            }
            Err(problem) if at < last && problem.field.as_deref() == Some("card") => {
                tried.push(problem.message);
            }
            Err(problem) => return Err(problem),
        }
    }
    Err(Problem::missing("card", "there is no way of measuring to try"))
}

/// Measures a file; nothing is kept.
///
/// # Errors
/// [`Problem`] when it is no photo, or the card that was named is not there or cannot be used.
pub fn measure_file(request: &MeasureFile, today: NaiveDate) -> Result<MeasurementView, Problem> {
    let bytes = read_within(Path::new(&request.path))?;
    let outcome = measure_bytes(&bytes, &request.asked)?;
    let original = swardbook_store::BlobHash::of(&bytes).to_string();
    let record = record_of(
        Circumstances {
            photo: Id::from_random([0; 10]),
            original,
            date: today,
            size: (outcome.pixels.width, outcome.pixels.height),
            corners_found: outcome.corners_found,
            note: String::new(),
        },
        &outcome.choices,
        &outcome.measured,
    )?;
    let mut view = view_of("", &record)?;
    view.photo = String::new();
    view.tried = outcome.tried;
    Ok(view)
}

/// A kept photo with its bytes.
pub(super) struct KeptPhoto {
    pub(super) zone: Id,
    pub(super) id: Id,
    pub(super) seen: Observation,
}

impl Notebook {
    /// The observation of a kept photo.
    ///
    /// # Errors
    /// [`Problem`] when there is none of that id, or it is no photo.
    pub(super) fn kept_photo(&mut self, field: &str, id: &str) -> Result<KeptPhoto, Problem> {
        let (document, seen) = self.typed::<Observation>(field, id)?;
        if seen.sort != Some(ObservationKind::Photo) || seen.photo.is_empty() {
            return Err(Problem::bad(field, format!("{id} is an observation without a photo")));
        }
        let id =
            id.parse().map_err(|_| Problem::bad(field, format!("\"{id}\" is no record's id")))?;
        Ok(KeptPhoto { zone: document.id, id, seen })
    }

    /// Measures a kept photo and makes a picture of the mask; nothing is kept.
    ///
    /// # Errors
    /// As [`Self::measure_photo`].
    pub fn try_measure(&mut self, request: &MeasurePhoto) -> Result<MeasurementView, Problem> {
        let kept = self.kept_photo("photo", &request.photo)?;
        let (record, outcome) = self.measured(&kept, request)?;
        self.shown(&kept, "", &record, outcome)
    }

    /// Measures a kept photo and keeps the measurement beside it; an earlier one stays in the
    /// journal and no longer counts.
    ///
    /// # Errors
    /// [`Problem`] when the photo has not arrived here or cannot be read, or when the card that
    /// was named is not there or cannot be used, saying why.
    pub fn measure_photo(&mut self, request: &MeasurePhoto) -> Result<MeasurementView, Problem> {
        let kept = self.kept_photo("photo", &request.photo)?;
        let (record, outcome) = self.measured(&kept, request)?;
        let mut action = self.begin_action(format!("measured photo {}", kept.seen.photo_name));
        let id = action.add(zone_document(kept.zone), &record)?.to_string();
        action.keep()?;
        self.shown(&kept, &id, &record, outcome)
    }

    fn measured(
        &mut self,
        kept: &KeptPhoto,
        request: &MeasurePhoto,
    ) -> Result<(Measurement, Outcome), Problem> {
        let bytes = self.original(&kept.seen.photo)?;
        let outcome = measure_bytes(&bytes, &request.asked)?;
        let circumstances = Circumstances {
            photo: kept.id,
            original: kept.seen.photo.clone(),
            date: self.today(),
            size: (outcome.pixels.width, outcome.pixels.height),
            corners_found: outcome.corners_found,
            note: request.note.trim().to_owned(),
        };
        let record = record_of(circumstances, &outcome.choices, &outcome.measured)?;
        Ok((record, outcome))
    }

    fn shown(
        &self,
        kept: &KeptPhoto,
        id: &str,
        record: &Measurement,
        outcome: Outcome,
    ) -> Result<MeasurementView, Problem> {
        let mut view = view_of(id, record)?;
        view.tried = outcome.tried;
        let picture = photo::mask_picture(
            &outcome.pixels,
            &outcome.choices,
            &outcome.measured,
            PREVIEW_SIDE / 2,
        )?;
        // Its own bytes name it, so that a page never shows the mask of other settings.
        let digest = swardbook_store::BlobHash::of(&picture).to_string();
        let name = format!("mask-{}", &digest[..16]);
        self.picture_cache()?.remember(&kept.seen.photo, &name, &picture)?;
        view.mask = name;
        Ok(view)
    }
}

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
