//! What to buy for the open visits of a zone, a property or the whole notebook.
//!
//! Packs are counted over all zones together: half a bag left over from one zone serves the next.

use serde::{Deserialize, Serialize};
use swardbook_units::Id;
use ts_rs::TS;

use super::{
    PurchaseView,
    purchase::{Doses, zone_dose},
};
use crate::{Notebook, Problem, notebook::ZoneRow};

/// For what to buy.
#[derive(Debug, Clone, Default, Deserialize, TS)]
pub struct PacksRequest {
    /// The zone.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub zone: Option<String>,
    /// The property, for all its zones; everything when neither is named.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub property: Option<String>,
    /// The last day of the visits that are bought for; all open ones when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub until: Option<String>,
}

/// What to buy.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct PacksView {
    /// Names of the zones with open visits.
    pub zones: Vec<String>,
    /// Open visits that are bought for.
    pub visits: u32,
    /// Material by material.
    pub purchases: Vec<PurchaseView>,
    /// What they cost together, in words; empty while no price is recorded.
    pub cost: String,
}

impl Notebook {
    /// Packs for the open visits of accepted plans.
    ///
    /// # Errors
    /// [`Problem`] naming a zone without an area, for which no packs can be counted.
    pub fn packs(&mut self, request: &PacksRequest) -> Result<PacksView, Problem> {
        let until = match &request.until {
            Some(text) => Some(
                swardbook_units::parse_date(text)
                    .map_err(|e| Problem::bad("until", e.to_string()))?,
            ),
            None => None,
        };
        let mut doses = Doses::new();
        let mut zones = Vec::new();
        let mut visits = 0;
        for row in self.zones_bought_for(request)? {
            let Ok(id) = row.id.parse::<Id>() else { continue };
            let mut due = self.zone_facts(id)?.due;
            due.retain(|visit| until.is_none_or(|day| visit.date.is_none_or(|date| date <= day)));
            if !due.is_empty() {
                zones.push(row.name.clone());
            }
            for visit in due {
                visits += 1;
                let of_zone = zone_dose(&row.name, row.area_m2, visit.dose_g_m2);
                doses.entry(visit.material).or_default().push(of_zone);
            }
        }
        let (purchases, cost) = self.buy(&doses)?;
        Ok(PacksView { zones, visits, purchases, cost })
    }

    fn zones_bought_for(&mut self, request: &PacksRequest) -> Result<Vec<ZoneRow>, Problem> {
        match (&request.zone, &request.property) {
            (Some(zone), _) => {
                let id = self.find_zone("zone", zone)?;
                Ok(self.zone_row(id)?.into_iter().collect())
            }
            (None, Some(property)) => {
                let id = self.find_property("property", property)?;
                self.zone_rows(Some(id))
            }
            (None, None) => self.zone_rows(None),
        }
    }
}
