//! What a person chooses for a measurement, and the ways of measuring that follow from it.

use serde::Deserialize;
use swardbook_imaging::{
    chart::Sheet, correction::grey::GreyTarget, frame::Region, mask::GreenRange,
    quality::QualityLimits,
};
use ts_rs::TS;

use super::outlines::{self, Place};
use crate::{
    Problem,
    photo::{self, CardInFrame, MeasureChoices},
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

/// Reflectance of a usual grey card.
///
/// # Source  common practice, no source: printed on such cards.
const USUAL_REFLECTANCE: f64 = 0.18;
/// The ways to try, in order.
pub(super) fn ways(asked: &CardAsked) -> Result<Vec<MeasureChoices>, Problem> {
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
