//! What the plan takes the ground to be, with every assumption said.

use swardbook_agronomy::reading::SoilLayer;
use swardbook_units::{BulkDensity, Depth};

use crate::{
    panel::PanelContext,
    sampling::{USUAL_DENSITY, USUAL_DEPTH_MM},
};

/// The layer that doses are worked out for, and what was assumed.
#[derive(Debug, Clone)]
pub(super) struct PlanGround {
    pub(super) layer: SoilLayer,
    pub(super) area_m2: Option<f64>,
    pub(super) assumed: Vec<String>,
}

impl PlanGround {
    pub(super) fn of(context: &PanelContext, area_m2: Option<f64>) -> Self {
        let mut assumed = Vec::new();
        let thickness = match (context.sample.from_mm, context.sample.to_mm) {
            (Some(from), Some(to)) if to > from => to - from,
            _ => {
                let depth = context.zone.root_zone_mm.unwrap_or(USUAL_DEPTH_MM);
                assumed.push(format!(
                    "the sample does not say its depth: {depth} mm is taken ({})",
                    if context.zone.root_zone_mm.is_some() {
                        "the zone's root-zone depth"
                    } else {
                        "common practice, no source"
                    }
                ));
                depth
            }
        };
        let density = context.zone.bulk_density.unwrap_or_else(|| {
            assumed.push(format!(
                "the bulk density was not measured: {USUAL_DENSITY} t/m3 is taken \
                 (woods-2014-recommendation: 10 cm of root zone weigh 150 kg/m2)"
            ));
            USUAL_DENSITY
        });
        let layer = SoilLayer { thickness: Depth(thickness), bulk_density: BulkDensity(density) };
        Self { layer, area_m2, assumed }
    }
}
