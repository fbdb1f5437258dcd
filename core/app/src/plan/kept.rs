//! Accepting a plan, and following it.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use swardbook_journal::records::{Application, PlanItem, PlanRecord, PlanStatus};
use ts_rs::TS;

use super::{PlanDraft, PlanRequest, PurchaseView, VisitView};
use crate::{
    Measure, Notebook, Problem,
    dto::{Amount, day_text},
    notebook::zone_document,
    record::RecordView,
};

/// A person's change of one visit before it is accepted.
#[derive(Debug, Clone, Default, Deserialize, TS)]
pub struct ItemChange {
    /// Another dose of the material, g/m2.
    #[serde(default)]
    #[ts(optional, as = "Option<Amount>")]
    pub dose: Option<Amount>,
    /// Another day.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub date: Option<String>,
    /// Leave it out.
    #[serde(default)]
    pub skip: bool,
}

/// A plan to accept.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct AcceptRequest {
    /// What it is worked out from.
    #[serde(flatten)]
    pub plan: PlanRequest,
    /// Changes of single visits by their key.
    #[serde(default)]
    pub changes: BTreeMap<String, ItemChange>,
    /// A note.
    #[serde(default)]
    pub note: String,
}

/// One plan.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct PlanRef {
    /// Its id.
    pub plan: String,
}

/// One visit of an accepted plan.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct KeptItem {
    /// Its key.
    pub key: String,
    /// What it is for.
    pub purpose: String,
    /// Material id.
    pub material: String,
    /// Material's name.
    pub material_name: String,
    /// Dose as accepted, g/m2.
    pub dose_g_m2: Option<f64>,
    /// The day.
    pub date: Option<String>,
    /// Mass for the zone, kg.
    pub amount_kg: Option<f64>,
    /// Applications that followed it.
    pub applications: Vec<String>,
    /// What went on so far, kg.
    pub applied_kg: f64,
    /// Planned against applied, in words.
    pub words: String,
}

/// An accepted plan.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct PlanView {
    /// Its record.
    pub record: RecordView,
    /// The zone's name.
    pub zone_name: String,
    /// Its visits.
    pub items: Vec<KeptItem>,
    /// What to buy for what is still to do.
    pub purchases: Vec<PurchaseView>,
    /// What that costs, in words.
    pub cost: String,
}

impl Notebook {
    /// Accepts a plan: what a person agreed to is kept, as it stands.
    ///
    /// # Errors
    /// [`Problem`] naming the field.
    pub fn accept_plan(&mut self, request: &AcceptRequest) -> Result<PlanView, Problem> {
        let draft = self.draft_plan(&request.plan)?;
        for key in request.changes.keys() {
            if !draft.visits.iter().any(|visit| visit.key == *key) {
                return Err(Problem::bad("changes", format!("the plan has no visit \"{key}\"")));
            }
        }
        let mut item = BTreeMap::new();
        for visit in &draft.visits {
            if let Some(kept) = kept_item(visit, request.changes.get(&visit.key))? {
                item.insert(visit.key.clone(), kept);
            }
        }
        if item.is_empty() {
            return Err(Problem::refused(
                "there is nothing in this plan to accept: no need was found, or all was left out",
            ));
        }
        let record = record_of(self, request, &draft, item)?;
        let (document, _) = self.entry("panel", &request.plan.panel)?;
        let mut action = self.begin_action(format!("accepted a plan for {}", draft.zone_name));
        let id = action.add(document, &record)?.to_string();
        action.keep()?;
        self.plan(&id)
    }

    /// Shows an accepted plan with what was done of it.
    ///
    /// # Errors
    /// [`Problem`] when there is none of that id.
    pub fn plan(&mut self, id: &str) -> Result<PlanView, Problem> {
        let (document, plan) = self.typed::<PlanRecord>("plan", id)?;
        let row = self.zone_row(document.id)?;
        let area = row.as_ref().and_then(|row| row.area_m2);
        let entries = self.document(zone_document(document.id))?.entries();
        let own = id.parse().ok();
        let applied: Vec<(String, Application)> = entries
            .iter()
            .filter_map(|entry| Some((entry.key.clone(), entry.read::<Application>()?)))
            .filter(|(_, application)| application.plan == own)
            .collect();
        let mut items = Vec::new();
        let mut open = Vec::new();
        let measure = self.measure()?;
        for (key, item) in plan.item {
            let done: Vec<&(String, Application)> =
                applied.iter().filter(|(_, a)| a.plan_item == key).collect();
            let material_name =
                self.material_name(&item.material).unwrap_or_else(|| item.material.clone());
            let amount_kg = area.zip(item.dose_g_m2).map(|(area, dose)| area * dose / 1000.0);
            // The sum of nothing is minus zero in the machine.
            let applied_kg = done.iter().filter_map(|(_, a)| a.amount_kg).sum::<f64>() + 0.0;
            if done.is_empty() {
                open.push(open_visit(&key, &item, &material_name, amount_kg));
            }
            items.push(KeptItem {
                words: follow_words(amount_kg, applied_kg, done.is_empty(), measure),
                applications: done.iter().map(|(id, _)| id.clone()).collect(),
                key,
                purpose: item.purpose,
                material: item.material,
                material_name,
                dose_g_m2: item.dose_g_m2,
                date: item.date.map(day_text),
                amount_kg,
                applied_kg,
            });
        }
        items.sort_by(|a, b| a.date.cmp(&b.date));
        let zone_name = row.map_or_else(String::new, |row| row.name);
        let (purchases, cost) = self.purchases(&zone_name, &open, area)?;
        Ok(PlanView { record: self.record(id)?, zone_name, items, purchases, cost })
    }
}

fn kept_item(visit: &VisitView, change: Option<&ItemChange>) -> Result<Option<PlanItem>, Problem> {
    let mut dose = visit.dose_g_m2;
    let mut date = visit.date.clone();
    if let Some(change) = change {
        if change.skip {
            return Ok(None);
        }
        if let Some(wanted) = &change.dose {
            dose = wanted.positive("changes", "g/m2")?;
        }
        if let Some(day) = &change.date {
            date.clone_from(day);
        }
    }
    let date = swardbook_units::parse_date(&date)
        .map_err(|e| Problem::bad("changes", format!("{}: {e}", visit.key)))?;
    Ok(Some(PlanItem {
        material: visit.material.clone(),
        purpose: visit.purpose.clone(),
        dose_g_m2: Some(dose),
        date: Some(date),
        visit: Some(i64::from(visit.visit)),
    }))
}

fn record_of(
    notebook: &Notebook,
    request: &AcceptRequest,
    draft: &PlanDraft,
    item: BTreeMap<String, PlanItem>,
) -> Result<PlanRecord, Problem> {
    let asked = &request.plan;
    Ok(PlanRecord {
        panel: asked.panel.parse().ok(),
        date: Some(notebook.today()),
        status: Some(PlanStatus::Accepted),
        guideline: asked.guideline.clone().unwrap_or_default(),
        target_ph: draft
            .calcium
            .as_ref()
            .and_then(|calcium| Some(calcium.lime.as_ref()?.target_ph)),
        target_ph_method: asked.target_scale.clone().unwrap_or_default(),
        lime_method: asked.lime_method.clone().unwrap_or_default(),
        season_nitrogen_g_m2: asked
            .season_nitrogen
            .as_ref()
            .map(|amount| amount.in_unit("season_nitrogen", "g/m2"))
            .transpose()?,
        start: swardbook_units::parse_date(&draft.start).ok(),
        item,
        note: request.note.trim().to_owned(),
    })
}

fn open_visit(
    key: &str,
    item: &PlanItem,
    material_name: &str,
    amount_kg: Option<f64>,
) -> VisitView {
    VisitView {
        key: key.to_owned(),
        purpose: item.purpose.clone(),
        material: item.material.clone(),
        material_name: material_name.to_owned(),
        dose_g_m2: item.dose_g_m2.unwrap_or_default(),
        visit: item.visit.and_then(|n| u32::try_from(n).ok()).unwrap_or(1),
        visits: 1,
        date: item.date.map_or_else(String::new, day_text),
        amount_kg,
        water_in: false,
        cautions: Vec::new(),
        working: crate::dto::WorkingDto::from(&swardbook_units::Working::default()),
    }
}

fn follow_words(planned: Option<f64>, applied: f64, nothing: bool, measure: Measure) -> String {
    let kg = |amount: f64| measure.say(amount, "kg", 3);
    match (planned, nothing) {
        (_, true) => "still to do".to_owned(),
        (Some(planned), false) if planned > 0.0 => {
            format!("{} of {}, {:.0} %", kg(applied), kg(planned), 100.0 * applied / planned)
        }
        _ => kg(applied),
    }
}
