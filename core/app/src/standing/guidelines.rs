//! The guidelines as shells list them.

use serde::Serialize;
use swardbook_agronomy::guideline::{Guideline, guidelines};
use ts_rs::TS;

use crate::{Notebook, Problem, dto::SourceDto};

/// One limit of a guideline.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct LimitLine {
    /// Analyte id.
    pub analyte: String,
    /// Analyte's name.
    pub name: String,
    /// Names of the methods it holds for.
    pub methods: Vec<String>,
    /// Unit of the limits.
    pub unit: String,
    /// Short below.
    pub short_below: f64,
    /// Enough from.
    pub enough_from: f64,
    /// High above.
    pub high_above: Option<f64>,
    /// What ground it is for, in words; empty for any.
    pub only_on: String,
}

/// A guideline with its limits.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct GuidelineLine {
    /// Id.
    pub id: String,
    /// Title.
    pub title: String,
    /// Version.
    pub version: String,
    /// Its source.
    pub source: SourceDto,
    /// What to mind.
    pub cautions: Vec<String>,
    /// Its limits.
    pub limits: Vec<LimitLine>,
}

impl From<&Guideline> for GuidelineLine {
    fn from(guideline: &Guideline) -> Self {
        Self {
            id: guideline.id.clone(),
            title: guideline.title.clone(),
            version: guideline.version.clone(),
            source: SourceDto::from(&guideline.source),
            cautions: guideline.cautions.clone(),
            limits: guideline
                .limits
                .iter()
                .map(|limit| {
                    let mut ground: Vec<String> =
                        limit.only_on.textures.iter().map(|texture| texture.name()).collect();
                    ground.extend(limit.only_on.turf.iter().map(|turf| turf.id().to_owned()));
                    ground.extend(limit.only_on.readings.iter().map(|range| {
                        format!("{} from {} to {}", range.analyte.name, range.from, range.to)
                    }));
                    LimitLine {
                        analyte: limit.analyte.id.clone(),
                        name: limit.analyte.name.clone(),
                        methods: limit.methods.iter().map(|m| m.name.clone()).collect(),
                        unit: limit.unit.symbol.to_owned(),
                        short_below: limit.short_below,
                        enough_from: limit.enough_from,
                        high_above: limit.high_above,
                        only_on: ground.join(", "),
                    }
                })
                .collect(),
        }
    }
}

impl Notebook {
    /// Every guideline.
    ///
    /// # Errors
    /// Never today; a notebook's own guidelines may be unreadable later.
    pub fn guidelines(&self) -> Result<Vec<GuidelineLine>, Problem> {
        Ok(guidelines().iter().map(GuidelineLine::from).collect())
    }
}
