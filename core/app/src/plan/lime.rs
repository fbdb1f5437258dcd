//! The wanted pH, and the lime it takes by every method that the panel has readings for.

use serde::Serialize;
use swardbook_agronomy::{
    acidity::{AcidityScale, ScaledPh},
    cations::{Capacity, cation_summary},
    lime::{Buffer, BufferPh, LimeComparison, LimeMethod, LimeReadings},
};
use swardbook_units::{Charge, Content, Percent, Ph};
use ts_rs::TS;

use super::PlanRequest;
use crate::{
    Problem,
    dto::WorkingDto,
    panel::PanelContext,
    standing::{Soil, texture_of},
};

/// One lime method's answer.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct LimeAnswerView {
    /// Method id.
    pub method: String,
    /// Its title.
    pub title: String,
    /// Pure calcium carbonate, g/m2.
    pub need_g_m2: f64,
    /// Empty, or the words that must stand beside the value.
    pub caveat: String,
    /// Whether it is the one used.
    pub used: bool,
    /// How it came about.
    pub working: WorkingDto,
}

/// The lime need by every method that has its readings.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct LimeView {
    /// The wanted pH.
    pub target_ph: f64,
    /// Its scale, in words.
    pub target_scale: String,
    /// Where the target comes from.
    pub target_why: String,
    /// The answers, the one used marked.
    pub answers: Vec<LimeAnswerView>,
    /// Methods that have their readings and still do not answer, with the reason.
    pub refused: Vec<String>,
    /// Why that one is used.
    pub reason: String,
    /// Least answer, g/m2.
    pub least_g_m2: Option<f64>,
    /// Greatest answer, g/m2.
    pub most_g_m2: Option<f64>,
}

/// Lower end and middle of the published range for lawns in water.
///
/// # Source `ohio-lawn-ph-2021`: 6.0 to 7.0.
const LAWN_RANGE: (f64, f64) = (6.0, 6.5);
/// Lime is called for when the pH is this far below a target that a person set.
///
/// # Source `tri-state-1995`: 0.2 to 0.3 below the target.
const BELOW_TARGET: f64 = 0.3;
/// The wanted pH and where it comes from.
pub(super) struct Target {
    pub(super) aim: ScaledPh,
    /// Lime is called for below this.
    pub(super) below: ScaledPh,
    why: String,
}

pub(super) fn target(request: &PlanRequest) -> Result<Target, Problem> {
    let scale = match request.target_scale.as_deref() {
        None | Some("water") => AcidityScale::Water,
        Some("cacl2") => AcidityScale::CalciumChloride,
        Some(other) => {
            return Err(Problem::bad(
                "target_scale",
                format!("\"{other}\" is no scale of pH; write water or cacl2"),
            ));
        }
    };
    let at = |ph: f64, scale| ScaledPh { scale, ph: Ph(ph) };
    match request.target_ph {
        Some(ph) if !(4.0..=9.0).contains(&ph) => Err(Problem::bad(
            "target_ph",
            format!("target_ph is {ph}; turf is limed to a pH from 4 to 9"),
        )),
        Some(ph) => Ok(Target {
            aim: at(ph, scale),
            below: at(ph - BELOW_TARGET, scale),
            why: format!(
                "set by a person; lime is called for from {BELOW_TARGET} below (tri-state-1995)"
            ),
        }),
        None => Ok(Target {
            aim: at(LAWN_RANGE.1, AcidityScale::Water),
            below: at(LAWN_RANGE.0, AcidityScale::Water),
            why: "the middle of 6.0 to 7.0 for lawns; lime is called for below 6.0 \
                  (ohio-lawn-ph-2021)"
                .to_owned(),
        }),
    }
}

pub(super) fn lime_readings(soil: &Soil<'_>, context: &PanelContext) -> LimeReadings {
    let buffers = Buffer::ALL
        .into_iter()
        .filter_map(|buffer| {
            let ph = soil.value("buffer-ph", &[buffer.id()])?;
            Some(BufferPh { buffer, ph: Ph(ph) })
        })
        .collect();
    let ecec = soil.cations().and_then(|cations| {
        Some(cation_summary(&cations, Capacity::SumOfCations).ok()?.value.ecec)
    });
    LimeReadings {
        ph: soil.ph(),
        buffers,
        buffer_acidity: None,
        aluminium: soil.value("al", &["kcl-exchangeable", "exchangeable"]).map(Charge),
        exchangeable_acidity: soil.value("exchange-acidity", &[]).map(Charge),
        ecec,
        lime_buffer_capacity: soil.value("lime-buffer-capacity", &[]).map(Content),
        organic_carbon: soil.value("organic-carbon", &[]).map(Percent),
        clay: soil.value("clay", &[]).map(Percent),
        texture: texture_of(context),
    }
}

pub(super) fn used_answer(
    comparison: &LimeComparison,
    request: &PlanRequest,
) -> Result<Option<usize>, Problem> {
    let Some(id) = &request.lime_method else { return Ok(comparison.chosen) };
    let method = LimeMethod::from_id(id).ok_or_else(|| {
        let known = LimeMethod::ALL.map(LimeMethod::id).join(", ");
        Problem::bad("lime_method", format!("\"{id}\" is no lime method; there are {known}"))
    })?;
    let at = comparison.answers.iter().position(|answer| answer.method == method);
    at.map(Some).ok_or_else(|| {
        let why = comparison.refused.iter().find(|(refused, _)| *refused == method).map_or_else(
            || "the panel does not have its readings".to_owned(),
            |(_, error)| error.to_string(),
        );
        Problem::refused(format!("{} does not answer here: {why}", method.title()))
            .at("lime_method")
    })
}

pub(super) fn lime_view(
    comparison: &LimeComparison,
    used: Option<usize>,
    target: &Target,
) -> LimeView {
    LimeView {
        target_ph: target.aim.ph.value(),
        target_scale: target.aim.scale.name().to_owned(),
        target_why: target.why.clone(),
        answers: comparison
            .answers
            .iter()
            .enumerate()
            .map(|(at, answer)| LimeAnswerView {
                method: answer.method.id().to_owned(),
                title: answer.method.title().to_owned(),
                need_g_m2: answer.need.value(),
                caveat: answer.working.confidence().words().to_owned(),
                used: used == Some(at),
                working: WorkingDto::from(&answer.working),
            })
            .collect(),
        refused: comparison
            .refused
            .iter()
            .map(|(method, error)| format!("{}: {error}", method.title()))
            .collect(),
        reason: if used == comparison.chosen {
            comparison.reason.clone()
        } else {
            "chosen by a person".to_owned()
        },
        least_g_m2: comparison.spread.map(|(least, _)| least.value()),
        most_g_m2: comparison.spread.map(|(_, most)| most.value()),
    }
}
