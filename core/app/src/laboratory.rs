//! Laboratories as they are listed.

use serde::Serialize;
use swardbook_journal::records::Laboratory;
use ts_rs::TS;

use crate::{Notebook, Problem, notebook::NOTEBOOK};

/// A laboratory in the list.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct LaboratoryLine {
    /// Id.
    pub id: String,
    /// Name.
    pub name: String,
    /// Days from arrival to the panel.
    pub turnaround_days: Option<i32>,
    /// Days in the post.
    pub post_days: Option<i32>,
    /// Soil it asks for, g.
    pub wanted_mass_g: Option<f64>,
    /// Layouts of its files that are remembered.
    pub layouts: u32,
}

impl Notebook {
    /// Every laboratory, by name.
    ///
    /// # Errors
    /// [`Problem`]
    pub fn laboratories(&mut self) -> Result<Vec<LaboratoryLine>, Problem> {
        let days = |days: Option<i64>| days.and_then(|days| i32::try_from(days).ok());
        let mut lines: Vec<LaboratoryLine> = self
            .document(NOTEBOOK)?
            .entries()
            .iter()
            .filter_map(|entry| {
                let laboratory = entry.read::<Laboratory>()?;
                Some(LaboratoryLine {
                    id: entry.key.clone(),
                    name: laboratory.name,
                    turnaround_days: days(laboratory.turnaround_days),
                    post_days: days(laboratory.post_days),
                    wanted_mass_g: laboratory.wanted_mass_g,
                    layouts: u32::try_from(laboratory.layouts.len()).unwrap_or(u32::MAX),
                })
            })
            .collect();
        lines.sort_by_key(|line| line.name.to_lowercase());
        Ok(lines)
    }
}
