//! The photos of a zone, and one photo with everything that is known of it.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};
use swardbook_journal::records::{Measurement, Observation, ObservationKind};
use swardbook_units::Id;
use ts_rs::TS;

use super::{
    kept::{in_order, is_evidence, newest, why_not},
    many::is_earlier,
    shown::{MeasurementView, view_of},
};
use crate::{Notebook, Problem, dto::day_text, notebook::zone_document, photo};

/// Whose photos to list.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct ListPhotos {
    /// The zone, by id or name.
    pub zone: String,
}

/// One photo by its observation.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct PhotoRef {
    /// The observation that keeps it.
    pub photo: String,
}

/// A photo in a list.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct PhotoLine {
    /// The observation.
    pub id: String,
    /// Its day; empty while not known.
    pub date: String,
    /// Time of day, `hour:minute`; empty: not written.
    pub time: String,
    /// The file's name.
    pub name: String,
    /// The strip it shows; empty: the whole zone.
    pub strip: String,
    /// Words.
    pub note: String,
    /// blake3 hash of the original.
    pub original: String,
    /// Address of its picture for a list, after `stored://localhost/`; empty: there is none.
    pub picture: String,
    /// It was measured.
    pub is_measured: bool,
    /// An earlier way of measuring measured it: it stands on a line of its own until it is measured
    /// again.
    pub is_earlier: bool,
    /// `none`, `grey-card`, `chart`; empty while not measured.
    pub card: String,
    /// Dark green colour index.
    pub index: Option<f64>,
    /// Green cover, a ratio.
    pub cover: Option<f64>,
    /// It may speak in a comparison.
    pub is_evidence: bool,
    /// Why not, in words.
    pub why_not: Vec<String>,
}

/// One photo.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct PhotoView {
    /// As in the list.
    pub line: PhotoLine,
    /// The zone.
    pub zone: String,
    /// Its name.
    pub zone_name: String,
    /// Address of its large picture, after `stored://localhost/`; empty while the original is not
    /// here.
    pub picture: String,
    /// Columns of the upright photo; 0 while the original is not here.
    pub width: u32,
    /// Rows.
    pub height: u32,
    /// What the camera said of its colours.
    pub profile: String,
    /// Exposure in words: time, aperture, sensitivity, flash.
    pub exposure: String,
    /// The camera wrote a position; it is left out of anything exported unless asked for.
    pub has_position: bool,
    /// Its measurements, the one that counts first.
    pub measurements: Vec<MeasurementView>,
    /// Why the original cannot be read here; empty where it can.
    pub problem: String,
}

pub(super) fn line_of(
    id: &str,
    seen: &Observation,
    measured: Option<&Measurement>,
    is_here: bool,
) -> PhotoLine {
    let picture = if is_here {
        format!("{}/{}", seen.photo, photo::THUMBNAIL_SIDE)
    } else {
        seen.preview.clone()
    };
    PhotoLine {
        id: id.to_owned(),
        date: seen.date.map_or_else(String::new, day_text),
        time: seen.time.map_or_else(String::new, |time| time.format("%H:%M").to_string()),
        name: seen.photo_name.clone(),
        strip: seen.strip.clone(),
        note: seen.note.clone(),
        original: seen.photo.clone(),
        picture,
        is_measured: measured.is_some(),
        is_earlier: measured.is_some_and(is_earlier),
        card: measured
            .and_then(|m| m.card.as_ref())
            .map_or_else(String::new, |card| card.word().to_owned()),
        index: measured.and_then(|m| m.index),
        cover: measured.and_then(|m| m.cover),
        is_evidence: measured.is_some_and(is_evidence),
        why_not: measured.map_or_else(Vec::new, why_not),
    }
}

impl Notebook {
    /// The photos of a zone, newest first.
    ///
    /// # Errors
    /// [`Problem`] when there is no such zone.
    pub fn photos(&mut self, request: &ListPhotos) -> Result<Vec<PhotoLine>, Problem> {
        let zone = self.find_zone("zone", &request.zone)?;
        let entries = self.document(zone_document(zone))?.entries();
        let newest = newest(&entries);
        let mut photos = Vec::new();
        for entry in entries.iter().filter(|entry| entry.voided().is_none()) {
            let Some(seen) = entry.read::<Observation>() else { continue };
            if seen.sort != Some(ObservationKind::Photo) {
                continue;
            }
            let measured = entry.key.parse().ok().and_then(|id| newest.get(&id));
            let is_here = self.has_original(&seen.photo);
            let line = line_of(&entry.key, &seen, measured.map(|(_, record)| record), is_here);
            photos.push(((seen.date, seen.time, seen.photo_name.clone()), line));
        }
        photos.sort_by(|a, b| b.0.cmp(&a.0));
        Ok(photos.into_iter().map(|(_, line)| line).collect())
    }

    /// The photos of a zone that may speak in a comparison, by their observations.
    pub(crate) fn photos_of_evidence(&mut self, zone: Id) -> Result<BTreeSet<String>, Problem> {
        let entries = self.document(zone_document(zone))?.entries();
        let newest = newest(&entries).into_iter();
        Ok(newest
            .filter(|(_, (_, record))| is_evidence(record))
            .map(|(photo, _)| photo.to_string())
            .collect())
    }

    fn has_original(&self, hash: &str) -> bool {
        hash.parse().is_ok_and(|hash| self.store.blob_path(hash).exists())
    }

    /// One photo with its measurements.
    ///
    /// # Errors
    /// [`Problem`] when there is none of that id, or it is no photo.
    pub fn photo(&mut self, request: &PhotoRef) -> Result<PhotoView, Problem> {
        let kept = self.kept_photo("photo", &request.photo)?;
        let entries = self.document(zone_document(kept.zone))?.entries();
        let mut measurements = Vec::new();
        for (entry, record) in in_order(&entries).into_iter().rev() {
            if record.photo == Some(kept.id) {
                measurements.push(view_of(&entry.key, &record)?);
            }
        }
        let newest = newest(&entries);
        let measured = newest.get(&kept.id).map(|(_, record)| record);
        let zone_name = self.zone_row(kept.zone)?.map_or_else(String::new, |row| row.name);
        let is_here = self.has_original(&kept.seen.photo);
        let line = line_of(&request.photo, &kept.seen, measured, is_here);
        let info = self.original(&kept.seen.photo).and_then(|bytes| photo::read_photo(&bytes));
        let picture = format!("{}/{}", kept.seen.photo, photo::PREVIEW_SIDE);
        Ok(PhotoView {
            line,
            zone: kept.zone.to_string(),
            zone_name,
            picture: if is_here { picture } else { String::new() },
            width: info.as_ref().map_or(0, |info| info.width),
            height: info.as_ref().map_or(0, |info| info.height),
            profile: info.as_ref().map_or_else(|_| String::new(), |i| i.profile.words().to_owned()),
            exposure: info.as_ref().map_or_else(|_| String::new(), |i| exposure_words(&i.exposure)),
            has_position: info.as_ref().is_ok_and(|info| info.position.is_some()),
            measurements,
            problem: info.err().map_or_else(String::new, |problem| problem.message),
        })
    }
}

fn exposure_words(exposure: &photo::Exposure) -> String {
    let mut words = Vec::new();
    if let Some(seconds) = exposure.seconds {
        words.push(if seconds < 0.5 {
            format!("1/{:.0} s", 1.0 / seconds)
        } else {
            format!("{seconds} s")
        });
    }
    if let Some(number) = exposure.f_number {
        words.push(format!("f/{number}"));
    }
    if let Some(iso) = exposure.iso {
        words.push(format!("ISO {iso}"));
    }
    if exposure.flash_fired == Some(true) {
        words.push("flash".to_owned());
    }
    words.join(", ")
}
