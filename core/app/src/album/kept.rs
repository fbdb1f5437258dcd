//! A measurement as a record, and back to what was chosen, so that it can be done again.

use std::collections::BTreeMap;

use swardbook_imaging::{
    alike::Apart,
    chart::Sheet,
    correction::grey::GreyTarget,
    frame::Region,
    mask::GreenRange,
    measure::{PhotoMeasurement, Reading},
    quality::{Fault, Quality, QualityLimits},
    srgb::Srgb,
};
use swardbook_journal::{
    Entry,
    records::{CardKind, Measurement},
};
use swardbook_stats::uncertainty::Uncertainty;
use swardbook_units::{Id, NaiveDate};

use super::outlines;
use crate::{
    Code, Problem,
    photo::{CardInFrame, MeasureChoices, MeasuredPhoto},
};

/// The word of a fault, as it is kept.
pub(super) const fn fault_word(fault: Fault) -> &'static str {
    match fault {
        Fault::Clipped => "clipped",
        Fault::Underexposed => "underexposed",
        Fault::Blurred => "blurred",
        Fault::Shaded => "shaded",
        Fault::Glare => "glare",
        Fault::BeyondGamut => "beyond-gamut",
    }
}

/// A fault by its word.
pub(super) fn fault_of(word: &str) -> Option<Fault> {
    [
        Fault::Clipped,
        Fault::Underexposed,
        Fault::Blurred,
        Fault::Shaded,
        Fault::Glare,
        Fault::BeyondGamut,
    ]
    .into_iter()
    .find(|fault| fault_word(*fault) == word)
}

/// What is kept beside the numbers.
#[derive(Debug, Clone)]
pub(super) struct Circumstances {
    /// The observation.
    pub(super) photo: Id,
    /// blake3 of the original.
    pub(super) original: String,
    /// The day.
    pub(super) date: NaiveDate,
    /// Columns and rows, upright.
    pub(super) size: (u32, u32),
    /// Maker, model and lens, as far as the camera wrote them.
    pub(super) camera: String,
    /// The program found the card.
    pub(super) corners_found: bool,
    /// Words.
    pub(super) note: String,
}

fn numbers(numbers: &[f64]) -> String {
    numbers.iter().map(f64::to_string).collect::<Vec<_>>().join(" ")
}

fn six(text: &str) -> Option<[f64; 6]> {
    let numbers: Vec<f64> = text.split_whitespace().filter_map(|part| part.parse().ok()).collect();
    numbers.try_into().ok()
}

const fn limits_of(
    [clipped, black, sharpness, evenness, glare, beyond]: [f64; 6],
) -> QualityLimits {
    QualityLimits { clipped, black, sharpness, evenness, glare, beyond }
}

/// The six measures of a photo, in the order they are kept.
pub(super) fn quality_of(record: &Measurement) -> Option<Quality> {
    let [clipped, black, sharpness, evenness, glare, beyond] = six(&record.quality)?;
    Some(Quality { clipped, black, sharpness, evenness, glare, beyond })
}

/// The record of a measurement.
///
/// # Errors
/// [`Problem`] when parts of an uncertainty are no numbers.
pub(super) fn record_of(
    kept: Circumstances,
    choices: &MeasureChoices,
    measured: &MeasuredPhoto,
) -> Result<Measurement, Problem> {
    let numbers_of = &measured.measurement;
    let is_corrected = numbers_of.is_corrected;
    let (card, reflectance, sheet) = match &choices.card {
        CardInFrame::None => (CardKind::None, None, String::new()),
        CardInFrame::Grey { target, .. } | CardInFrame::FindGrey { target } => {
            let share = match target {
                GreyTarget::KeepGreen => None,
                GreyTarget::Reflectance(share) => Some(*share),
            };
            (CardKind::Grey, share, String::new())
        }
        CardInFrame::Chart { sheet, .. } | CardInFrame::FindChart { sheet } => {
            (CardKind::Chart, None, sheet_text(sheet))
        }
    };
    let mut record = Measurement {
        photo: Some(kept.photo),
        original: kept.original,
        date: Some(kept.date),
        algorithm: numbers_of.algorithm.to_owned(),
        card: Some(card),
        corners_found: kept.corners_found,
        corners: measured.corners.map_or_else(String::new, |c| outlines::to_text(&c.0)),
        reflectance,
        sheet,
        hue_from: Some(choices.green.hue[0]),
        hue_to: Some(choices.green.hue[1]),
        saturation_from: Some(choices.green.saturation[0]),
        saturation_to: Some(choices.green.saturation[1]),
        second_hue_from: Some(choices.second_hue[0]),
        second_hue_to: Some(choices.second_hue[1]),
        region: choices.region.within.as_deref().map_or_else(String::new, outlines::to_text),
        left_out: outlines::left_out_text(&choices.region),
        changed: choices.changes().join("; "),
        limits: if choices.limits == QualityLimits::USUAL {
            String::new()
        } else {
            let l = &choices.limits;
            numbers(&[l.clipped, l.black, l.sharpness, l.evenness, l.glare, l.beyond])
        },
        camera: kept.camera,
        width: Some(i64::from(kept.size.0)),
        height: Some(i64::from(kept.size.1)),
        pixels: i64::try_from(numbers_of.pixels).ok(),
        second_cover: Some(numbers_of.second_cover),
        chart_residual: measured.chart_residual,
        quality: {
            let q = &numbers_of.quality;
            numbers(&[q.clipped, q.black, q.sharpness, q.evenness, q.glare, q.beyond])
        },
        flags: flags_text(numbers_of),
        corrected: is_corrected,
        uncorrected_because: measured.uncorrected_because.clone().unwrap_or_default(),
        note: kept.note,
        ..Measurement::default()
    };
    let cover = Parts::of(&numbers_of.cover, is_corrected)?;
    record.cover = Some(cover.value);
    (record.cover_u, record.cover_df) = cover.frame();
    record.cover_turf_u = cover.turf;
    record.cover_apart = apart_text(&numbers_of.cover.apart, is_corrected);
    if let Some(colour) = &numbers_of.colour {
        let index = Parts::of(&colour.index, is_corrected)?;
        record.index = Some(index.value);
        (record.index_u, record.index_df) = index.frame();
        record.index_turf_u = index.turf;
        record.index_apart = apart_text(&colour.index.apart, is_corrected);
        record.index_spread = Some(colour.index_spread);
        let pair = |reading: &Reading| -> Result<(Option<f64>, Option<f64>), Problem> {
            let parts = Parts::of(reading, is_corrected)?;
            Ok((Some(parts.value), parts.frame().0))
        };
        (record.hue, record.hue_u) = pair(&colour.hue)?;
        (record.saturation, record.saturation_u) = pair(&colour.saturation)?;
        (record.brightness, record.brightness_u) = pair(&colour.brightness)?;
        (record.lab_l, record.lab_l_u) = pair(&colour.lab[0])?;
        (record.lab_a, record.lab_a_u) = pair(&colour.lab[1])?;
        (record.lab_b, record.lab_b_u) = pair(&colour.lab[2])?;
    }
    Ok(record)
}

/// The parts of an uncertainty in a row; none without a card, as with the uncertainty itself.
fn apart_text(apart: &Apart, is_corrected: bool) -> String {
    if !is_corrected {
        return String::new();
    }
    let [half, quarter, blocks] = apart.moves;
    let Uncertainty { u, df } = apart.own;
    numbers(&[half, quarter, blocks, apart.offset, apart.offset_df, u, df])
}

/// The parts back; `None` of a measurement that was kept without them.
pub(super) fn apart_of(text: &str) -> Option<Apart> {
    let numbers: Vec<f64> = text.split_whitespace().filter_map(|part| part.parse().ok()).collect();
    let [half, quarter, blocks, offset, offset_df, u, df] = numbers.try_into().ok()?;
    let own = Uncertainty { u, df };
    Some(Apart { moves: [half, quarter, blocks], offset, offset_df, own })
}

fn flags_text(measurement: &PhotoMeasurement) -> String {
    let words: Vec<&str> = measurement.flags.iter().map(|flag| fault_word(flag.fault)).collect();
    words.join(" ")
}

/// A value with the uncertainties that are kept of it: none without a card, since the error of an
/// uncorrected colour is not known.
struct Parts {
    value: f64,
    frame: Option<Uncertainty>,
    turf: Option<f64>,
}

impl Parts {
    fn of(reading: &Reading, is_corrected: bool) -> Result<Self, Problem> {
        if !is_corrected {
            return Ok(Self { value: reading.value, frame: None, turf: None });
        }
        Ok(Self {
            value: reading.value,
            frame: Some(reading.of_the_frame()?),
            turf: reading.of_the_turf()?.map(|turf| turf.u),
        })
    }

    /// The standard uncertainty and its degrees of freedom; these may be without end, which is
    /// kept as none.
    fn frame(&self) -> (Option<f64>, Option<f64>) {
        (self.frame.map(|u| u.u), self.frame.map(|u| u.df).filter(|df| df.is_finite()))
    }
}

/// The colours of a sheet that was measured; empty for one taken as it was drawn.
fn sheet_text(sheet: &Sheet) -> String {
    if *sheet == Sheet::as_drawn() {
        return String::new();
    }
    let codes = sheet.known.iter().map(|patch| {
        let [r, g, b] = patch.encoded().0.map(|part| 255.0 * part);
        format!("{r},{g},{b}")
    });
    codes.collect::<Vec<_>>().join(" ")
}

fn sheet_of(text: &str) -> Result<Sheet, Problem> {
    if text.is_empty() {
        return Ok(Sheet::as_drawn());
    }
    let damaged = || Problem::new(Code::Damaged, "the chart's colours were kept in another form");
    let known: Vec<_> = text
        .split_whitespace()
        .map(|codes| {
            let codes: Vec<f64> = codes.split(',').filter_map(|c| c.parse().ok()).collect();
            let codes: [f64; 3] = codes.try_into().ok()?;
            Some(Srgb(codes.map(|code| code / 255.0)).linear())
        })
        .collect::<Option<_>>()
        .ok_or_else(damaged)?;
    Ok(Sheet::measured(known.try_into().map_err(|_| damaged())?))
}

/// What was chosen for a kept measurement; a card that was found is where it was found.
///
/// # Errors
/// [`Problem`] when a newer version kept it in another form.
pub(super) fn choices_of(record: &Measurement) -> Result<MeasureChoices, Problem> {
    let newer = |what: &str| {
        Problem::new(
            Code::NewerVersion,
            format!("this measurement was kept without its {what}, or in another form"),
        )
    };
    let corners = || {
        let points = outlines::from_text("corners", &record.corners)?;
        outlines::corners(&outlines::places(&points))
    };
    let card = match &record.card {
        Some(CardKind::None) | None => CardInFrame::None,
        Some(CardKind::Grey) => CardInFrame::Grey {
            corners: corners()?,
            target: record.reflectance.map_or(GreyTarget::KeepGreen, GreyTarget::Reflectance),
        },
        Some(CardKind::Chart) => {
            CardInFrame::Chart { corners: corners()?, sheet: sheet_of(&record.sheet)? }
        }
        Some(CardKind::Other(word)) => return Err(newer(&format!("card \"{word}\""))),
    };
    let range = |from: Option<f64>, to: Option<f64>, what| match (from, to) {
        (Some(from), Some(to)) => Ok([from, to]),
        _ => Err(newer(what)),
    };
    let limits = if record.limits.is_empty() {
        QualityLimits::USUAL
    } else {
        limits_of(six(&record.limits).ok_or_else(|| newer("limits"))?)
    };
    let region: Region = outlines::region(&record.region, &record.left_out)?;
    Ok(MeasureChoices {
        card,
        green: GreenRange {
            hue: range(record.hue_from, record.hue_to, "range of hue")?,
            saturation: range(record.saturation_from, record.saturation_to, "saturation")?,
        },
        second_hue: range(record.second_hue_from, record.second_hue_to, "second range of hue")?,
        region,
        limits,
    })
}

/// The measurement that counts of each photo, by the photo's id: the newest that stands.
pub(super) fn newest(entries: &[Entry]) -> BTreeMap<Id, (String, Measurement)> {
    let mut newest = BTreeMap::new();
    for (entry, record) in in_order(entries) {
        if let Some(photo) = record.photo {
            newest.insert(photo, (entry.key.clone(), record));
        }
    }
    newest
}

/// The measurements that stand, in the order of causes: a later one was made knowing the earlier.
pub(super) fn in_order(entries: &[Entry]) -> Vec<(&Entry, Measurement)> {
    let mut found: Vec<(&Entry, Measurement)> = entries
        .iter()
        .filter(|entry| entry.voided().is_none())
        .filter_map(|entry| Some((entry, entry.read::<Measurement>()?)))
        .collect();
    found.sort_by(|(a, _), (b, _)| a.order.cmp(&b.order));
    found
}

/// Whether a measurement may speak in a comparison.
pub(super) fn is_evidence(record: &Measurement) -> bool {
    record.corrected && record.flags.is_empty() && record.index.is_some()
}

/// Why a measurement may not speak in a comparison, in words.
pub(super) fn why_not(record: &Measurement) -> Vec<String> {
    let mut why = Vec::new();
    if !record.corrected {
        why.push(if record.uncorrected_because.is_empty() {
            "no card stood in the frame, so its colours are the camera's".to_owned()
        } else {
            record.uncorrected_because.clone()
        });
    }
    for word in record.flags.split_whitespace() {
        why.push(fault_of(word).map_or_else(|| word.to_owned(), |f| f.words().to_owned()));
    }
    if record.index.is_none() {
        why.push("too little of it counts as green for a colour".to_owned());
    }
    why
}
