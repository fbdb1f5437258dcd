//! Needs of nutrients and the materials that bring them.

use serde::Serialize;
use swardbook_agronomy::{
    expected_change::expected_change,
    interpret::{Judged, Verdict, composite_spread},
    need::{
        GrassUse, NeedInputs, NeedReading, PHOSPHORUS_TO_NITROGEN, nutrient_need, use_from_nitrogen,
    },
};
use swardbook_journal::records::{Grass, Property};
use swardbook_units::{Content, Dose};
use ts_rs::TS;

use super::{PlanRequest, draft::phosphorus_allowed, ground::PlanGround, visits::Wanted};
use crate::{
    Notebook, Problem,
    compare::Retests,
    dto::{SourceDto, WorkingDto},
    panel::PanelContext,
    standing::Read,
};

/// Need of one nutrient.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct NeedView {
    /// Purpose: `k`, `p`, `mg`, `s` or `ca`.
    pub purpose: String,
    /// The nutrient's name.
    pub name: String,
    /// Verdict of the guideline, in words.
    pub verdict: String,
    /// The guideline's title.
    pub guideline: String,
    /// Its source.
    pub source: SourceDto,
    /// The need as the element, g/m2.
    pub need_g_m2: f64,
    /// If the reading is as high as it may well be.
    pub low_g_m2: f64,
    /// If it is as low as it may well be.
    pub high_g_m2: f64,
    /// What other materials of the plan bring of it, g/m2.
    pub supplied_g_m2: f64,
    /// What the test should rise by, mg/kg, if the need is met: least, likely, most.
    pub expected_mg_kg: Option<(f64, f64, f64)>,
    /// How the need came about.
    pub working: WorkingDto,
    /// How the expected rise came about.
    pub expected_working: Option<WorkingDto>,
}

/// What the needs are worked out from.
pub(super) struct NeedInputsOf<'a> {
    pub(super) request: &'a PlanRequest,
    pub(super) context: &'a PanelContext,
    pub(super) read: &'a Read,
    pub(super) ground: &'a PlanGround,
    /// What earlier retests say of the share of a dose that is found again.
    pub(super) retests: &'a Retests,
}

/// Nutrients that a plan doses, with their symbol and usual material; those that bring others come
/// first, so that what they bring is counted.
const DOSED: [(&str, &str, &str); 5] = [
    ("k", "K", "sulfate-of-potash"),
    ("mg", "Mg", "epsom-salt"),
    ("p", "P", "triple-superphosphate"),
    ("ca", "Ca", "gypsum"),
    ("s", "S", "gypsum"),
];

/// Trace elements: named when short, never dosed from a soil test alone.
const TRACE: [&str; 5] = ["fe", "mn", "zn", "cu", "b"];

impl Notebook {
    pub(super) fn want_nutrients(
        &mut self,
        of: &NeedInputsOf<'_>,
        property: &Property,
        wanted: &mut Vec<Wanted>,
        notes: &mut Vec<String>,
    ) -> Result<Vec<NeedView>, Problem> {
        let nitrogen = match &of.request.season_nitrogen {
            Some(amount) => Some(amount.within("season_nitrogen", "g/m2", 0.0, 60.0)?),
            None => {
                notes.push(
                    "What the grass uses this season is not counted: give the nitrogen of the \
                     season to add it."
                        .to_owned(),
                );
                None
            }
        };
        let mut views = Vec::new();
        for (analyte, symbol, usual) in DOSED {
            let Some(judged) =
                PanelContext::verdict_on(of.read, analyte, of.request.guideline.as_deref())
            else {
                continue;
            };
            if judged.values.unit.symbol != "mg/kg" {
                continue;
            }
            let used = season_use(symbol, nitrogen, of.context)?;
            let brought =
                wanted.iter().map(|one| one.material.element_in(one.dose, symbol).value());
            // The sum of nothing is minus zero in the machine.
            let supplied = brought.sum::<f64>() + 0.0;
            let view = need_view(of, judged, analyte, used, supplied)?;
            self.want_one(of, &view, (symbol, usual), property, wanted, notes)?;
            views.push(view);
        }
        for analyte in TRACE {
            if let Some(judged) = PanelContext::verdict_on(of.read, analyte, None)
                && judged.verdict == Verdict::Short
            {
                notes.push(format!(
                    "{} reads short; trace elements are not dosed from a soil test alone, since \
                     little more than enough harms: have the leaves tested and follow the label.",
                    of.read.readings[judged.reading].analyte().name
                ));
            }
        }
        Ok(views)
    }

    fn want_one(
        &mut self,
        of: &NeedInputsOf<'_>,
        view: &NeedView,
        (symbol, usual): (&str, &str),
        property: &Property,
        wanted: &mut Vec<Wanted>,
        notes: &mut Vec<String>,
    ) -> Result<(), Problem> {
        if view.need_g_m2 <= 0.0 {
            return Ok(());
        }
        if view.verdict == "cannot tell" {
            notes.push(format!(
                "{} cannot be told from its limit: its need lies between {:.1} and {:.1} g/m2, and \
                 more cores would settle it.",
                view.name, view.low_g_m2, view.high_g_m2
            ));
        }
        if symbol == "P" {
            let (allowed, word) = phosphorus_allowed(property);
            if !word.is_empty() {
                notes.push(word.to_owned());
            }
            if !allowed {
                return Ok(());
            }
        }
        let material = self.material_for(of.request, &view.purpose, usual)?;
        let worked = material.dose_for(symbol, Dose(view.need_g_m2))?;
        wanted.push(Wanted::new(&view.purpose, material, worked.value, worked.working));
        Ok(())
    }
}

/// What the grass uses of a nutrient this season, where a ratio to nitrogen is published.
fn season_use(
    symbol: &str,
    nitrogen: Option<f64>,
    context: &PanelContext,
) -> Result<Dose, Problem> {
    let Some(nitrogen) = nitrogen else { return Ok(Dose(0.0)) };
    let grass = match context.zone.grass {
        Some(Grass::WarmSeason) => GrassUse::Bermudagrass,
        _ => GrassUse::CoolSeason,
    };
    let ratio = match symbol {
        "K" => grass.potassium_to_nitrogen(),
        "P" => PHOSPHORUS_TO_NITROGEN,
        _ => return Ok(Dose(0.0)),
    };
    Ok(use_from_nitrogen(Dose(nitrogen), ratio)?.value)
}

fn need_view(
    of: &NeedInputsOf<'_>,
    judged: &Judged,
    purpose: &str,
    season_use: Dose,
    supplied: f64,
) -> Result<NeedView, Problem> {
    let reading = &of.read.readings[judged.reading];
    let spread = composite_spread(reading.analyte(), &of.read.sampling(), &of.read.own);
    let worked = nutrient_need(&NeedInputs {
        reading: NeedReading {
            content: Content(judged.value),
            qualifier: reading.qualifier(),
            log_deviation: spread.map(|worked| worked.value.u),
        },
        limit: Content(judged.values.enough_from),
        layer: of.ground.layer,
        season_use,
        supply: Dose(supplied),
    })?;
    let need = worked.value;
    let expected = if need.need.value() > 0.0 {
        let kept = of.retests.kept(reading.analyte(), &reading.method().id)?;
        Some(expected_change(need.need, &of.ground.layer, &kept)?)
    } else {
        None
    };
    Ok(NeedView {
        purpose: purpose.to_owned(),
        name: reading.analyte().name.clone(),
        verdict: match judged.verdict {
            Verdict::Short => "short",
            Verdict::Marginal => "in the margin",
            Verdict::Enough => "enough",
            Verdict::High => "high",
            Verdict::CannotTell => "cannot tell",
        }
        .to_owned(),
        guideline: judged.guideline.title.clone(),
        source: SourceDto::from(&judged.guideline.source),
        need_g_m2: need.need.value(),
        low_g_m2: need.low.value(),
        high_g_m2: need.high.value(),
        supplied_g_m2: supplied,
        expected_mg_kg: expected.as_ref().map(|worked| {
            let change = worked.value;
            (change.low.value(), change.likely.value(), change.high.value())
        }),
        working: WorkingDto::from(&worked.working),
        expected_working: expected.as_ref().map(|worked| WorkingDto::from(&worked.working)),
    })
}
