//! A plan worked out from a panel; nothing is written.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use swardbook_journal::records::{PhosphorusRule, Property};
use swardbook_units::NaiveDate;
use ts_rs::TS;

use super::{
    CalciumView, NeedView, PurchaseView, VisitView,
    calcium::CalciumChoice,
    ground::PlanGround,
    needs::NeedInputsOf,
    visits::{VisitRules, Wanted},
};
use crate::{
    Notebook, Problem,
    dto::{Amount, day_text},
    panel::PanelContext,
    standing::Read,
};

/// What a plan is asked for.
#[derive(Debug, Clone, Default, Deserialize, TS)]
pub struct PlanRequest {
    /// The panel.
    pub panel: String,
    /// Guideline whose limits are kept; the first confirmed one of each reading when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub guideline: Option<String>,
    /// Wanted pH; the middle of the published range when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<f64>")]
    pub target_ph: Option<f64>,
    /// Scale of the wanted pH: `water` or `cacl2`; `water` when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub target_scale: Option<String>,
    /// Lime method by id; the first confirmed one that has its readings when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub lime_method: Option<String>,
    /// Calcium source by id, where the readings leave a choice or a person knows better.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub calcium_source: Option<String>,
    /// Nitrogen of the season as the element, g/m2, from which the season's use follows.
    #[serde(default)]
    #[ts(optional, as = "Option<Amount>")]
    pub season_nitrogen: Option<Amount>,
    /// First day work can start; the renovation day, or today, when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub start: Option<String>,
    /// Material by purpose, where it is not the usual one: `{ "k": "muriate-of-potash" }`.
    #[serde(default)]
    pub materials: BTreeMap<String, String>,
    /// Purposes to leave out.
    #[serde(default)]
    pub skip: Vec<String>,
}

/// A plan worked out.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct PlanDraft {
    /// The panel.
    pub panel: String,
    /// The zone.
    pub zone: String,
    /// The zone's name.
    pub zone_name: String,
    /// The zone's area, m2.
    pub area_m2: Option<f64>,
    /// First day work can start.
    pub start: String,
    /// What was assumed, each with where it comes from.
    pub assumed: Vec<String>,
    /// The calcium source and the lime need; none where the pH was not read.
    pub calcium: Option<CalciumView>,
    /// Why there is no calcium source; empty where there is one.
    pub calcium_refused: String,
    /// Needs of nutrients.
    pub needs: Vec<NeedView>,
    /// What goes down, visit by visit.
    pub visits: Vec<VisitView>,
    /// What to buy.
    pub purchases: Vec<PurchaseView>,
    /// Sum of the costs that are known, in words; empty where none is.
    pub cost: String,
    /// What was left out and why, and what to mind.
    pub notes: Vec<String>,
}

impl Notebook {
    /// Works a plan out from a panel.
    ///
    /// # Errors
    /// [`Problem`] naming the field.
    pub fn draft_plan(&mut self, request: &PlanRequest) -> Result<PlanDraft, Problem> {
        let context = self.panel_context("panel", &request.panel)?;
        let read = self.read_panel(&context)?;
        let row = self
            .zone_row(context.zone_id)?
            .ok_or_else(|| Problem::not_found("panel", "the zone of this panel was taken away"))?;
        let property = self.typed::<Property>("property", &row.property)?.1;
        let mut ground = PlanGround::of(&context, row.area_m2);
        let start = self.start_of(request, &property)?;
        let mut notes = Vec::new();
        if read.cores.is_none() {
            notes.push(
                "The number of cores is not recorded: the panel is read as one core, with the \
                 widest intervals."
                    .to_owned(),
            );
        }
        let mut wanted: Vec<Wanted> = Vec::new();
        let (mut calcium, calcium_refused) =
            match CalciumChoice::work_out(request, &context, &read, &ground) {
                Ok(choice) => {
                    self.want_calcium(request, &choice, &mut wanted, &mut notes)?;
                    (Some(choice.view), String::new())
                }
                Err(problem) if problem.field.as_deref() == Some("ph") => (None, problem.message),
                Err(problem) => return Err(problem),
            };
        let retests = self.retests_of(context.zone_id, context.sample.date)?;
        let needs = self.want_nutrients(
            &NeedInputsOf {
                request,
                context: &context,
                read: &read,
                ground: &ground,
                retests: &retests,
            },
            &property,
            &mut wanted,
            &mut notes,
        )?;
        wanted.retain(|one| !request.skip.contains(&one.purpose));
        let rules = VisitRules::of(&context, start);
        let mut visits = Vec::new();
        for one in &wanted {
            visits.extend(super::visits::visits(one, &rules, ground.area_m2, &mut notes)?);
        }
        visits.sort_by(|a: &VisitView, b: &VisitView| a.date.cmp(&b.date));
        let (purchases, cost) = self.purchases(&row.name, &visits, ground.area_m2)?;
        if ground.area_m2.is_none() && !visits.is_empty() {
            notes.push(format!(
                "{} has no area: doses are for each square metre, and packs cannot be counted \
                 before its area or outline is entered.",
                row.name
            ));
        }
        let measure = self.measure()?;
        for sentence in notes.iter_mut().chain(&mut ground.assumed) {
            *sentence = measure.reword(sentence);
        }
        if let Some(view) = &mut calcium {
            for sentence in view.reasons.iter_mut().chain(&mut view.differences) {
                *sentence = measure.reword(sentence);
            }
        }
        for sentence in visits.iter_mut().flat_map(|visit: &mut VisitView| &mut visit.cautions) {
            *sentence = measure.reword(sentence);
        }
        Ok(PlanDraft {
            panel: request.panel.clone(),
            zone: row.id,
            zone_name: row.name,
            area_m2: ground.area_m2,
            start: day_text(start),
            assumed: ground.assumed,
            calcium,
            calcium_refused,
            needs,
            visits,
            purchases,
            cost,
            notes,
        })
    }

    fn start_of(&self, request: &PlanRequest, property: &Property) -> Result<NaiveDate, Problem> {
        let today = self.today();
        match &request.start {
            Some(text) => swardbook_units::parse_date(text)
                .map_err(|e| Problem::bad("start", format!("start: {e}"))),
            None => Ok(property.renovation_day.filter(|day| *day >= today).unwrap_or(today)),
        }
    }
}

/// Whether the place's rules allow phosphorus, and what to say about them.
pub(super) fn phosphorus_allowed(property: &Property) -> (bool, &'static str) {
    match property.phosphorus_rule {
        Some(PhosphorusRule::Forbidden) => (
            false,
            "Phosphorus is short, and the property's record says local rules forbid it on turf: \
             nothing is planned for it.",
        ),
        Some(PhosphorusRule::None) => (true, ""),
        Some(PhosphorusRule::NeedsTest) => (
            true,
            "Local rules allow phosphorus only where a recent test shows need: keep the panel.",
        ),
        _ => (
            true,
            "Ask what local rules say about phosphorus on turf before the first dose, and record \
             it with the property.",
        ),
    }
}

/// The panel and what was read from it, for the parts of the plan.
impl PanelContext {
    /// The verdict of an analyte by a guideline, or by its first confirmed one.
    pub(super) fn verdict_on<'a>(
        read: &'a Read,
        analyte: &str,
        guideline: Option<&str>,
    ) -> Option<&'a swardbook_agronomy::interpret::Judged> {
        read.interpretation
            .judged
            .iter()
            .filter(|judged| read.readings[judged.reading].analyte().id == analyte)
            .find(|judged| guideline.is_none_or(|wanted| judged.guideline.id == wanted))
    }
}
