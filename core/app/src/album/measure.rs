//! Measuring a kept photo, or a file that is not kept, by what a person chose.

use std::path::Path;

use serde::Deserialize;
use swardbook_journal::records::{Measurement, Observation, ObservationKind};
use swardbook_units::{Id, NaiveDate};
use ts_rs::TS;

use super::{
    add::read_within,
    asked::{CardAsked, ways},
    kept::{Circumstances, record_of},
    shown::{MeasurementView, view_of},
};
use crate::{
    Notebook, Problem,
    notebook::zone_document,
    photo::{self, CardInFrame, MeasureChoices, MeasuredPhoto, PREVIEW_SIDE, Pixels, Profile},
};

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

/// What came of measuring, before it is kept or shown.
pub(super) struct Outcome {
    pub(super) choices: MeasureChoices,
    pub(super) measured: MeasuredPhoto,
    pub(super) corners_found: bool,
    pub(super) tried: Vec<String>,
    pub(super) pixels: Pixels,
}

/// Measures by the first way that works; a card that is not found gives way to the next only when
/// the card was left to the program.
pub(super) fn measure_bytes(bytes: &[u8], asked: &CardAsked) -> Result<Outcome, Problem> {
    let ways = ways(asked)?;
    let (pixels, profile) = photo::decode_with_profile(bytes)?;
    measure_ways(ways, pixels, &profile)
}

pub(super) fn measure_ways(
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
            camera: photo::read_photo(&bytes)?.camera,
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
            camera: photo::read_photo(&bytes)?.camera,
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
