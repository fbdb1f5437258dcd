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

impl Notebook {
    /// Packs for the visits, and the sum of what they cost; empty while the zone has no area.
    pub(super) fn purchases(
        &mut self,
        zone: &str,
        visits: &[VisitView],
        area_m2: Option<f64>,
    ) -> Result<(Vec<PurchaseView>, String), Problem> {
        let Some(area) = area_m2 else { return Ok((Vec::new(), String::new())) };
        let mut doses: BTreeMap<&str, (f64, &str)> = BTreeMap::new();
        for visit in visits {
            doses.entry(&visit.material).or_insert((0.0, &visit.material_name)).0 +=
                visit.dose_g_m2;
        }
        let mut views = Vec::new();
        let mut total: Option<Money> = None;
        let mut unpriced = 0;
        for (material, (dose, name)) in doses {
            let needed_kg = dose * area / 1000.0;
            let mut view = PurchaseView {
                material: material.to_owned(),
                material_name: name.to_owned(),
                needed_kg,
                pack_kg: None,
                packs: None,
                left_kg: None,
                cost: String::new(),
                working: None,
            };
            match self.price_of(material)? {
                None => unpriced += 1,
                Some(price) => {
                    let dose = ZoneDose {
                        zone: zone.to_owned(),
                        area: Some(Area(area)),
                        dose: Dose(dose),
                    };
                    let pack = Pack { size: price.pack, price: price.price };
                    let worked = purchase(&[dose], &pack, Mass(0.0))?;
                    view.pack_kg = Some(price.pack.value());
                    view.packs = Some(worked.value.packs);
                    view.left_kg = Some(worked.value.left.value());
                    if let Some(cost) = worked.value.cost {
                        view.cost = cost.to_string();
                        total = Some(match total {
                            Some(sum) if sum.currency == cost.currency => {
                                Money { minor: sum.minor + cost.minor, currency: sum.currency }
                            }
                            Some(sum) => sum,
                            None => cost,
                        });
                    }
                    view.working = Some(WorkingDto::from(&worked.working));
                }
            }
            views.push(view);
        }
        let mut cost = total.map_or_else(String::new, |sum| sum.to_string());
        if unpriced > 0 && !cost.is_empty() {
            cost.push_str(&format!(", without {unpriced} that have no price here"));
        }
        Ok((views, cost))
    }
}
