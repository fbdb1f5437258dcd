//! Whether two panels may be compared.

use serde::Serialize;
use swardbook_agronomy::sampling::{
    clear_date::{PastApplication, clear_date},
    season::season_match,
};
use swardbook_journal::{Entry, records::Application};
use swardbook_units::NaiveDate;
use ts_rs::TS;

use super::Side;
use crate::{Notebook, Problem};

/// One thing that was checked.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct CheckView {
    /// `depth`, `clear`, `laboratory`, `season`, `cores`.
    pub what: String,
    /// `fits`, `differs` (compared all the same) or `refused`.
    pub outcome: String,
    /// In words.
    pub words: String,
}

fn check(what: &str, outcome: &str, words: String) -> CheckView {
    CheckView { what: what.to_owned(), outcome: outcome.to_owned(), words }
}

impl Notebook {
    pub(super) fn checks(
        &mut self,
        baseline: &Side,
        retest: &Side,
        entries: &[Entry],
    ) -> Result<Vec<CheckView>, Problem> {
        let mut checks = vec![depth(baseline, retest), laboratory(baseline, retest)];
        if let (Some(before), Some(after)) =
            (baseline.context.sample.date, retest.context.sample.date)
        {
            let season = season_match(before, after).value;
            checks.push(if season.same_season {
                check("season", "fits", "both were sampled in the same season".to_owned())
            } else {
                check(
                    "season",
                    "differs",
                    format!(
                        "the days of the year lie {:.0} days apart: part of a difference may be \
                         the season",
                        season.days_apart
                    ),
                )
            });
            for (side, day) in [(baseline, before), (retest, after)] {
                if let Some(check) = self.clear_on(day, entries, side)? {
                    checks.push(check);
                }
            }
        } else {
            checks.push(check(
                "season",
                "differs",
                "the day the cores were pulled is missing: season and waiting cannot be checked"
                    .to_owned(),
            ));
        }
        Ok(checks)
    }

    /// Says when a sample was pulled before the ground was clear.
    fn clear_on(
        &mut self,
        day: NaiveDate,
        entries: &[Entry],
        side: &Side,
    ) -> Result<Option<CheckView>, Problem> {
        let mut past: Vec<PastApplication> = Vec::new();
        for entry in entries {
            let Some(application) = entry.read::<Application>() else { continue };
            let Some(date) = application.date.filter(|date| *date < day) else { continue };
            let material = crate::notebook::material_key(&application);
            let (what, kind) = self.kind_of_material(&material);
            past.push(PastApplication::with_default_wait(&what, date, kind));
        }
        let clear = clear_date(&past)?.value;
        if clear.is_clear_on(day) {
            return Ok(None);
        }
        let ruled = clear.ruled_by.map_or_else(String::new, |at| past[at].what.clone());
        let reason = if side.context.sample.unclear_reason.is_empty() {
            String::new()
        } else {
            format!(" ({})", side.context.sample.unclear_reason)
        };
        Ok(Some(check(
            "clear",
            "differs",
            format!(
                "the sample of {day} was pulled before the ground was clear of {ruled}{reason}: \
                 it may read what was put on as well"
            ),
        )))
    }
}

fn depth(baseline: &Side, retest: &Side) -> CheckView {
    let layer = |side: &Side| (side.context.sample.from_mm, side.context.sample.to_mm);
    match (layer(baseline), layer(retest)) {
        ((Some(a), Some(b)), (Some(c), Some(d))) => {
            if (a - c).abs() < 0.5 && (b - d).abs() < 0.5 {
                check("depth", "fits", format!("both are of {a} to {b} mm"))
            } else {
                check(
                    "depth",
                    "refused",
                    format!(
                        "{a} to {b} mm against {c} to {d} mm: another depth is another soil; \
                         retest to the depth of the baseline"
                    ),
                )
            }
        }
        _ => check(
            "depth",
            "refused",
            "the depth of both samples must be recorded before they are compared".to_owned(),
        ),
    }
}

fn laboratory(baseline: &Side, retest: &Side) -> CheckView {
    match (baseline.context.panel.laboratory, retest.context.panel.laboratory) {
        (Some(a), Some(b)) if a == b => {
            check("laboratory", "fits", "both were read in one laboratory".to_owned())
        }
        (Some(_), Some(_)) => check(
            "laboratory",
            "differs",
            "another laboratory: the scatter between laboratories is added".to_owned(),
        ),
        _ => check(
            "laboratory",
            "differs",
            "the laboratory is not recorded for both: the scatter between laboratories is added"
                .to_owned(),
        ),
    }
}

/// Whether the scatter between laboratories has to be added.
pub(super) fn laboratory_changed(baseline: &Side, retest: &Side) -> bool {
    match (baseline.context.panel.laboratory, retest.context.panel.laboratory) {
        (Some(a), Some(b)) => a != b,
        _ => true,
    }
}
