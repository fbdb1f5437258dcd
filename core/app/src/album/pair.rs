//! Two photos before and after: the same scale, the same exposure, and what the numbers say.

use serde::{Deserialize, Serialize};
use swardbook_imaging::frame::Point;
use swardbook_journal::records::Measurement;
use swardbook_units::Id;
use ts_rs::TS;

use super::{
    kept::{choices_of, is_evidence, newest, why_not},
    measure::KeptPhoto,
    occasion::{
        DifferenceView, Manner, Occasion, alike_words, difference, occasions, repeatability, shots,
    },
    outlines,
    series::Quantity,
};
use crate::{
    Notebook, Problem,
    dto::day_text,
    notebook::zone_document,
    photo::{self, Crop, corrected_picture},
};

/// Which two photos.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct PairRequest {
    /// The earlier photo's observation.
    pub before: String,
    /// The later photo's.
    pub after: String,
}

/// One of the two.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct PairSide {
    /// The observation.
    pub photo: String,
    /// Its day.
    pub date: String,
    /// The file's name.
    pub name: String,
    /// Address of the corrected picture, after `stored://localhost/`.
    pub picture: String,
    /// Dark green colour index of this photo.
    pub index: Option<f64>,
    /// Green cover of this photo, a ratio.
    pub cover: Option<f64>,
    /// Why it is no evidence; empty when it is.
    pub why_not: Vec<String>,
}

/// Two photos side by side.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct PairView {
    /// The zone.
    pub zone: String,
    /// Its name.
    pub zone_name: String,
    /// The earlier photo.
    pub before: PairSide,
    /// The later photo.
    pub after: PairSide,
    /// Columns of both pictures.
    pub width: u32,
    /// Rows of both.
    pub height: u32,
    /// Whether one centimetre of ground is as large in both.
    pub is_same_scale: bool,
    /// Differences of index and cover with their intervals; empty where they may not be compared.
    pub differences: Vec<DifferenceView>,
    /// Why they may not be compared; empty when they may.
    pub refused: Vec<String>,
    /// What to mind.
    pub notes: Vec<String>,
}

/// The longest side of the pictures, px.
const SIDE: f64 = 1200.0;

/// A photo with what is needed to draw it.
struct Side {
    kept: KeptPhoto,
    record: Measurement,
    /// Square root of the card's area, px; the same card is as large on the ground both times.
    card: Option<f64>,
    size: (f64, f64),
}

impl Notebook {
    /// Draws two corrected photos of one zone to one scale and says how they differ.
    ///
    /// Photos without a card are refused here: there is nothing to bring them together by.
    ///
    /// # Errors
    /// [`Problem`] when a photo was not measured or not corrected, or they are of two zones, or
    /// the later one was taken first.
    pub fn photo_pair(&mut self, request: &PairRequest) -> Result<PairView, Problem> {
        let before = self.pair_side("before", &request.before)?;
        let after = self.pair_side("after", &request.after)?;
        if before.kept.zone != after.kept.zone {
            return Err(Problem::bad("after", "the two photos are of different zones"));
        }
        if before.kept.seen.date > after.kept.seen.date {
            return Err(Problem::bad("after", "the photo named as the later one was taken first"));
        }
        let zone = before.kept.zone;
        let entries = self.document(zone_document(zone))?.entries();
        let shots = shots(&entries);
        let manner = |id: Id| shots.iter().find(|shot| shot.id == id).map(Manner::of);
        let (one, two) = (manner(before.kept.id), manner(after.kept.id));
        let mut refused = match (&one, &two) {
            (Some(one), Some(two)) => one.against(two),
            _ => vec!["one of the photos has no day".to_owned()],
        };
        for side in [&before, &after] {
            if !is_evidence(&side.record) {
                let name = &side.kept.seen.photo_name;
                refused.push(format!("{name}: {}", why_not(&side.record).join("; ")));
            }
        }
        let (mut differences, mut alike) = (Vec::new(), None);
        if refused.is_empty() {
            for quantity in [Quantity::Index, Quantity::Cover] {
                let days = occasions(&shots, quantity)?;
                let days = one.as_ref().and_then(|manner| days.get(manner));
                let days = days.map_or(&[][..], Vec::as_slice);
                let of = |id: Id| days.iter().find(|day: &&Occasion| day.ids.contains(&id));
                if let (Some(first), Some(last)) = (of(before.kept.id), of(after.kept.id))
                    && first.date != last.date
                {
                    let known = repeatability(days);
                    differences.push(difference(quantity, first, last, known)?);
                    alike = Some(alike_words(first, last));
                }
            }
            if differences.is_empty() {
                refused.push(
                    "both photos are of one day: they tell how well a photo can be repeated, not \
                     what changed"
                        .to_owned(),
                );
            }
        }
        let crops = crops(&before, &after);
        let [first, second] = crops.each;
        let sides = (self.drawn(&before, &first)?, self.drawn(&after, &second)?);
        let zone_name = self.zone_row(zone)?.map_or_else(String::new, |row| row.name);
        let mut notes = vec![
            "Between two days season, water and mowing change colour as well: without a control \
             strip this says that it changed, not why."
                .to_owned(),
        ];
        notes.extend(alike);
        if !crops.is_same_scale {
            notes.push("The two are not drawn to one scale: the cards differ.".to_owned());
        }
        Ok(PairView {
            zone: zone.to_string(),
            zone_name,
            before: sides.0,
            after: sides.1,
            width: first.width,
            height: first.height,
            is_same_scale: crops.is_same_scale,
            differences,
            refused,
            notes,
        })
    }

    fn pair_side(&mut self, field: &str, id: &str) -> Result<Side, Problem> {
        let kept = self.kept_photo(field, id)?;
        let entries = self.document(zone_document(kept.zone))?.entries();
        let (_, record) = newest(&entries).remove(&kept.id).ok_or_else(|| {
            Problem::refused(format!("{} was not measured yet", kept.seen.photo_name)).at(field)
        })?;
        if !record.corrected {
            return Err(Problem::refused(format!(
                "{} is uncorrected: {}. It is kept and shown, and stands beside no other",
                kept.seen.photo_name,
                why_not(&record).join("; ")
            ))
            .at(field));
        }
        let corners = outlines::from_text("corners", &record.corners)?;
        let card = outlines::corners(&outlines::places(&corners)).ok().map(|c| c.area().sqrt());
        let side =
            |number: Option<i64>| number.and_then(|n| u32::try_from(n).ok()).map_or(1.0, f64::from);
        let size = (side(record.width), side(record.height));
        Ok(Side { kept, record, card, size })
    }

    fn drawn(&self, side: &Side, crop: &Crop) -> Result<PairSide, Problem> {
        let bytes = self.original(&side.record.original)?;
        let choices = choices_of(&side.record)?;
        let (pixels, profile) = photo::decode_with_profile(&bytes)?;
        let measured = photo::measure_pixels(&pixels, &profile, &choices)?;
        let picture = corrected_picture(&pixels, &measured.matrix, crop)?;
        let digest = swardbook_store::BlobHash::of(&picture).to_string();
        let name = format!("corrected-{}", &digest[..16]);
        self.picture_cache()?.remember(&side.kept.seen.photo, &name, &picture)?;
        Ok(PairSide {
            photo: side.kept.id.to_string(),
            date: side.kept.seen.date.map_or_else(String::new, day_text),
            name: side.kept.seen.photo_name.clone(),
            picture: format!("{}/{name}", side.kept.seen.photo),
            index: side.record.index,
            cover: side.record.cover,
            why_not: if is_evidence(&side.record) { Vec::new() } else { why_not(&side.record) },
        })
    }
}

struct Crops {
    each: [Crop; 2],
    is_same_scale: bool,
}

/// The same stretch of ground around the middle of each photo, as large in both pictures, where
/// the same kind of card says how large that is.
fn crops(before: &Side, after: &Side) -> Crops {
    let is_same_card =
        before.record.card == after.record.card && before.card.is_some() && after.card.is_some();
    // Pixels of the photo for each card's breadth; without one the photo's own breadth.
    let unit = |side: &Side| match side.card {
        Some(card) if is_same_card => card,
        _ => side.size.0.max(side.size.1),
    };
    let units = [unit(before), unit(after)];
    let least = |of: fn(&Side) -> f64| (of(before) / units[0]).min(of(after) / units[1]);
    let (wide, high) = (least(|side| side.size.0), least(|side| side.size.1));
    let per_unit = SIDE / wide.max(high);
    let side_px = |units: f64| {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "from one to the longest side"
        )]
        let px = (units * per_unit).round().clamp(1.0, SIDE) as u32;
        px
    };
    let (width, height) = (side_px(wide), side_px(high));
    let crop = |side: &Side, unit: f64| {
        let step = unit / per_unit;
        Crop {
            from: Point::new(
                (side.size.0 - step * f64::from(width)) / 2.0,
                (side.size.1 - step * f64::from(height)) / 2.0,
            ),
            step,
            width,
            height,
        }
    };
    Crops { each: [crop(before, units[0]), crop(after, units[1])], is_same_scale: is_same_card }
}
