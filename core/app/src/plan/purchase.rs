//! Packs to buy for the visits of a plan.

use std::collections::BTreeMap;

use serde::Serialize;
use swardbook_agronomy::purchase::{Pack, ZoneDose, purchase};
use swardbook_units::{Area, Dose, Mass, Money};
use ts_rs::TS;

use super::VisitView;
use crate::{Notebook, Problem, dto::WorkingDto};

/// What to buy of one material.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct PurchaseView {
    /// Material id.
    pub material: String,
    /// Material's name.
    pub material_name: String,
    /// Mass needed, kg.
    pub needed_kg: f64,
    /// Mass of one pack, kg; none while no price is recorded.
    pub pack_kg: Option<f64>,
    /// Packs.
    pub packs: Option<u32>,
    /// What is left over, kg.
    pub left_kg: Option<f64>,
    /// Cost, in words; empty while no price is recorded.
    pub cost: String,
    /// How it came about.
    pub working: Option<WorkingDto>,
}

/// Doses of one material, zone by zone.
pub(super) type Doses = BTreeMap<String, Vec<ZoneDose>>;

impl Notebook {
    /// Packs for the visits of one zone, and the sum of what they cost; empty while it has no area.
    pub(super) fn purchases(
        &mut self,
        zone: &str,
        visits: &[VisitView],
        area_m2: Option<f64>,
    ) -> Result<(Vec<PurchaseView>, String), Problem> {
        let Some(area) = area_m2 else { return Ok((Vec::new(), String::new())) };
        let mut doses = Doses::new();
        for visit in visits {
            let of_zone = doses.entry(visit.material.clone()).or_default();
            of_zone.push(zone_dose(zone, Some(area), visit.dose_g_m2));
        }
        self.buy(&doses)
    }

    /// Whole packs of each material for all its zones together, and the sum of what they cost.
    ///
    /// # Errors
    /// [`Problem`] naming a zone without an area.
    pub(super) fn buy(&mut self, doses: &Doses) -> Result<(Vec<PurchaseView>, String), Problem> {
        let mut views = Vec::new();
        let mut totals: Vec<Money> = Vec::new();
        let mut unpriced = 0;
        for (material, zones) in doses {
            let price = self.price_of(material)?;
            // Without a price the mass is still worked out, and a zone without an area still named.
            let pack = price.as_ref().map_or(Pack { size: Mass(1000.0), price: None }, |price| {
                Pack { size: price.pack, price: price.price }
            });
            let worked = purchase(zones, &pack, Mass(0.0))?;
            let bought = worked.value;
            let mut view = PurchaseView {
                material: material.clone(),
                material_name: self.material_name(material).unwrap_or_else(|| material.clone()),
                needed_kg: bought.needed.value(),
                pack_kg: None,
                packs: None,
                left_kg: None,
                cost: String::new(),
                working: None,
            };
            if let Some(price) = price {
                view.pack_kg = Some(price.pack.value());
                view.packs = Some(bought.packs);
                view.left_kg = Some(bought.left.value());
                view.working = Some(WorkingDto::from(&worked.working));
            } else {
                unpriced += 1;
            }
            if let Some(cost) = bought.cost {
                view.cost = cost.to_string();
                match totals.iter_mut().find(|sum| sum.currency == cost.currency) {
                    Some(sum) => sum.minor += cost.minor,
                    None => totals.push(cost),
                }
            }
            views.push(view);
        }
        // Currencies are never added up: each has its own sum.
        let mut cost = totals.iter().map(ToString::to_string).collect::<Vec<_>>().join(" and ");
        if unpriced > 0 && !cost.is_empty() {
            cost.push_str(&format!(", without {unpriced} that have no price here"));
        }
        Ok((views, cost))
    }
}

pub(super) fn zone_dose(zone: &str, area_m2: Option<f64>, dose_g_m2: f64) -> ZoneDose {
    ZoneDose { zone: zone.to_owned(), area: area_m2.map(Area), dose: Dose(dose_g_m2) }
}
