//! Measuring a photo from its own bytes, and what is kept so that it can be done again.

use swardbook_imaging::{
    ImagingError,
    chart::{Sheet, correct_by_chart},
    correction::{
        Correction,
        grey::{GreyTarget, correct_by_grey},
    },
    find::{find_chart, find_grey_card, sheet_outline},
    frame::{Frame, Point, Region},
    homography::Corners,
    mask::GreenRange,
    matrix::Matrix,
    measure::{PhotoMeasurement, Settings, measure},
    quality::QualityLimits,
};

use super::{Pixels, Profile, decode};
use crate::{Code, Problem};

/// What stands in the frame to correct its colour by, and where.
#[derive(Debug, Clone, PartialEq)]
pub enum CardInFrame {
    /// Nothing.
    None,
    /// A grey card with its corners marked.
    Grey {
        /// Its corners, clockwise.
        corners: Corners,
        /// What it is brought to.
        target: GreyTarget,
    },
    /// A grey card somewhere in the frame.
    FindGrey {
        /// What it is brought to.
        target: GreyTarget,
    },
    /// Our chart with the middles of its markers marked.
    Chart {
        /// The middles, clockwise from the sheet's own upper left.
        corners: Corners,
        /// The colours of its patches.
        sheet: Sheet,
    },
    /// Our chart somewhere in the frame.
    FindChart {
        /// The colours of its patches.
        sheet: Sheet,
    },
}

/// Everything that was chosen for one measurement; kept with it, it gives the same numbers again.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasureChoices {
    /// The card.
    pub card: CardInFrame,
    /// What counts as green.
    pub green: GreenRange,
    /// The second range of hue.
    pub second_hue: [f64; 2],
    /// What of the upright photo is measured, besides leaving out the card.
    pub region: Region,
    /// When a photo is flagged.
    pub limits: QualityLimits,
}

impl MeasureChoices {
    /// The published range, the whole frame, a card as given.
    #[must_use]
    pub fn usual(card: CardInFrame) -> Self {
        Self {
            card,
            green: GreenRange::PUBLISHED,
            second_hue: GreenRange::WIDER_HUE,
            region: Region::whole(),
            limits: QualityLimits::USUAL,
        }
    }

    /// Settings that a person moved away from the published ones, in words; kept and shown.
    #[must_use]
    pub fn changes(&self) -> Vec<String> {
        let (usual, mut changes) = (GreenRange::PUBLISHED, Vec::new());
        if self.green != (GreenRange { hue: usual.hue, ..self.green }) {
            let [from, to] = self.green.hue;
            let [low, high] = usual.hue;
            changes.push(format!("green is hue {from} to {to} degrees instead of {low} to {high}"));
        }
        if self.green != (GreenRange { saturation: usual.saturation, ..self.green }) {
            let [from, to] = self.green.saturation.map(|share| 100.0 * share);
            changes.push(format!("green is saturation {from} to {to} % instead of 0 to 100 %"));
        }
        if self.limits != QualityLimits::USUAL {
            changes.push("the limits for flagging a photo were moved".to_owned());
        }
        changes
    }
}

/// A photo's measurement with where its card was.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasuredPhoto {
    /// The numbers.
    pub measurement: PhotoMeasurement,
    /// The card's corners, as marked or as found.
    pub corners: Option<Corners>,
    /// Name of the card, `none`, `grey card` or `chart`.
    pub card: &'static str,
    /// Left-out residual of the chart, linear light.
    pub chart_residual: Option<f64>,
    /// Why a photo with a card still counts as uncorrected, such as an unknown colour profile.
    pub uncorrected_because: Option<String>,
    /// What was measured: the region asked for, without the card.
    pub region: Region,
    /// The correction, from the photo's own linear light to linear sRGB.
    pub matrix: Matrix,
}

/// Measures a photo from its bytes.
///
/// # Errors  as [`decode`]; `Refused` when the card named is not there or cannot be used, saying
///   why; `BadInput` for settings that cannot be.
pub fn measure_photo(bytes: &[u8], choices: &MeasureChoices) -> Result<MeasuredPhoto, Problem> {
    let (pixels, profile) = decode::decode_with_profile(bytes)?;
    measure_pixels(&pixels, &profile, choices)
}

/// The same from pixels at hand.
pub(crate) fn measure_pixels(
    pixels: &Pixels,
    profile: &Profile,
    choices: &MeasureChoices,
) -> Result<MeasuredPhoto, Problem> {
    let frame = Frame::new(pixels.width as usize, pixels.height as usize, &pixels.rgb)?;
    let Corrected { correction, corners, outline, residual } =
        corrected(&frame, pixels, &choices.card)?;
    let mut region = choices.region.clone();
    if let Some(outline) = outline {
        region = region.leaving_out(outline);
    }
    let settings = Settings {
        green: choices.green,
        second_hue: choices.second_hue,
        region,
        limits: choices.limits,
    };
    let mut measurement = measure(&frame, &correction, &settings)?;
    let mut uncorrected_because = None;
    if let Profile::Other(name) = profile {
        // The curve of an unknown profile cannot be undone by a matrix.
        measurement.is_corrected = false;
        uncorrected_because = Some(format!(
            "the photo's colour profile is \"{name}\"; only sRGB and Display P3 are corrected"
        ));
    }
    Ok(MeasuredPhoto {
        measurement,
        corners,
        card: correction.card.name(),
        chart_residual: residual,
        uncorrected_because,
        region: settings.region,
        matrix: correction.matrix,
    })
}

struct Corrected {
    correction: Correction,
    corners: Option<Corners>,
    outline: Option<Vec<Point>>,
    residual: Option<f64>,
}

fn corrected(
    frame: &Frame<'_>,
    pixels: &Pixels,
    card: &CardInFrame,
) -> Result<Corrected, ImagingError> {
    let space = pixels.space;
    let by_grey = |corners: Corners, target: GreyTarget| {
        Ok(Corrected {
            correction: correct_by_grey(frame, space, &corners, target)?,
            corners: Some(corners),
            // A hand's breadth around the card is its shadow and its rim.
            outline: Some(corners.scaled(1.08).0.to_vec()),
            residual: None,
        })
    };
    match card {
        CardInFrame::None => Ok(Corrected {
            correction: Correction::none(space),
            corners: None,
            outline: None,
            residual: None,
        }),
        CardInFrame::Grey { corners, target } => by_grey(*corners, *target),
        CardInFrame::FindGrey { target } => by_grey(find_grey_card(frame)?.corners, *target),
        CardInFrame::Chart { corners, sheet } => {
            let (correction, reading) = correct_by_chart(frame, space, corners, sheet)?;
            Ok(Corrected {
                correction,
                corners: Some(*corners),
                outline: Some(sheet_outline(corners)),
                residual: Some(reading.left_out_residual),
            })
        }
        CardInFrame::FindChart { sheet } => {
            let found = find_chart(frame, space, sheet)?;
            Ok(Corrected {
                outline: Some(found.outline()),
                corners: Some(found.corners),
                residual: Some(found.reading.left_out_residual),
                correction: found.correction,
            })
        }
    }
}

impl From<ImagingError> for Problem {
    fn from(error: ImagingError) -> Self {
        use ImagingError as E;
        let (code, field) = match &error {
            E::Setting { .. } | E::Statistics(_) => (Code::BadInput, "settings"),
            E::EmptyRegion { .. } => (Code::BadInput, "region"),
            E::Corners { .. } => (Code::BadInput, "corners"),
            E::FrameSize { .. } => (Code::BadFile, "photo"),
            E::CardExposure { .. }
            | E::CardUneven { .. }
            | E::ChartFit { .. }
            | E::NotFound { .. } => (Code::Refused, "card"),
        };
        Self::new(code, error.to_string()).at(field)
    }
}
