//! Before and after: whether two panels of one zone may be compared, and what changed.

mod change;
mod comparable;
mod conversion;
mod expected;
mod kept;
mod pair;
mod rows;
mod verdict;

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

pub use comparable::CheckView;
pub(crate) use kept::Retests;
pub use rows::{CompareRow, ExpectedView, IntervalView};

use crate::{Notebook, Problem, dto::day_text, notebook::zone_document, panel::PanelContext};

/// What to compare.
#[derive(Debug, Clone, Default, Deserialize, TS)]
pub struct CompareRequest {
    /// The zone, where no panels are named: its newest panel against the one that the last
    /// plan before it was made from; without a plan, against the one before it of the same depth and season.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub zone: Option<String>,
    /// The earlier panel.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub baseline: Option<String>,
    /// The later panel.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub retest: Option<String>,
    /// What the retest is asked about; every analyte that both panels have when left out.
    /// Fewer questions, decided on before looking, are answered more surely.
    #[serde(default)]
    pub analytes: Vec<String>,
    /// Margin by analyte within which a value counts as the same: pH units, or % of the reading.
    #[serde(default)]
    pub margins: BTreeMap<String, f64>,
    /// Analyte for whose low or high reading this zone was chosen, if it was.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub chosen_for: Option<String>,
    /// Confidence level; 0.9 when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<f64>")]
    pub level: Option<f64>,
}

/// One of the two panels.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct SideView {
    /// The panel.
    pub panel: String,
    /// The day the cores were pulled.
    pub sampled: Option<String>,
    /// Upper end of the layer, mm.
    pub from_mm: Option<f64>,
    /// Lower end, mm.
    pub to_mm: Option<f64>,
    /// Cores; none where nobody recorded them.
    pub cores: Option<u32>,
}

/// Two panels compared.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct CompareView {
    /// The zone.
    pub zone: String,
    /// Its name.
    pub zone_name: String,
    /// The earlier panel.
    pub baseline: SideView,
    /// The later panel.
    pub retest: SideView,
    /// What was checked before comparing.
    pub checks: Vec<CheckView>,
    /// Whether the comparison is refused.
    pub refused: bool,
    /// Confidence level of the intervals.
    pub level: f64,
    /// What changed, analyte by analyte.
    pub rows: Vec<CompareRow>,
    /// What was put on in between.
    pub applied: Vec<String>,
    /// The verdicts in few sentences: what changed, what stayed, what cannot be told.
    pub summary: Vec<String>,
    /// The verdicts in sentences, one for each row.
    pub sentences: Vec<String>,
    /// What to mind when reading them.
    pub notes: Vec<String>,
}

const USUAL_LEVEL: f64 = 0.9;

/// One side with what the checks need.
#[derive(Debug)]
pub(super) struct Side {
    pub(super) id: String,
    pub(super) context: PanelContext,
    pub(super) cores: Option<u32>,
}

impl Notebook {
    /// Compares two panels of one zone.
    ///
    /// # Errors
    /// [`Problem`] when there are not two, they are of different zones, or the later one was
    /// sampled first.
    pub fn compare(&mut self, request: &CompareRequest) -> Result<CompareView, Problem> {
        let level = request.level.unwrap_or(USUAL_LEVEL);
        if !(0.5..1.0).contains(&level) || level <= 0.5 {
            return Err(Problem::bad("level", format!("level is {level}; give one such as 0.9")));
        }
        let (baseline, retest) = self.sides(request)?;
        let zone = baseline.context.zone_id;
        let entries = self.document(zone_document(zone))?.entries();
        let mut checks = self.checks(&baseline, &retest, &entries)?;
        let measure = self.measure()?;
        for check in checks.iter_mut().filter(|check| check.what == "depth") {
            check.words = measure.reword(&check.words);
        }
        let refused = checks.iter().any(|check| check.outcome == "refused");
        let applied = self.applied_between(&baseline, &retest, &entries, measure);
        let mut view = CompareView {
            zone: zone.to_string(),
            zone_name: baseline.context.zone.name.clone(),
            baseline: side_view(&baseline),
            retest: side_view(&retest),
            checks,
            refused,
            level,
            rows: Vec::new(),
            applied: applied.iter().map(|put_on| put_on.words.clone()).collect(),
            summary: Vec::new(),
            sentences: Vec::new(),
            notes: Vec::new(),
        };
        if refused {
            view.sentences
                .push("These two panels are not compared: see what stands in the way.".to_owned());
            return Ok(view);
        }
        let population = match &request.chosen_for {
            Some(analyte) => self.population(analyte, &mut view.notes)?,
            None => None,
        };
        let own = self.own_scatter(zone)?;
        // What was known before this retest: what it shows itself is not used to judge it.
        let retests = self.retests_of(zone, baseline.context.sample.date)?;
        let mut kept = BTreeMap::new();
        for reading in baseline.context.usable().0 {
            let (analyte, method) = (reading.analyte(), reading.method());
            let share = retests.kept(analyte, &method.id)?;
            kept.insert((analyte.id.clone(), method.id.clone()), share);
        }
        let question = rows::Question {
            baseline: &baseline,
            retest: &retest,
            level,
            request,
            applied: &applied,
            population: population.as_ref(),
            own: &own,
            kept: &kept,
        };
        view.rows = rows::rows(&question)?;
        for (names, which) in
            rows::read_once(&question, &view.rows).into_iter().zip(["baseline", "retest"])
        {
            if !names.is_empty() {
                view.notes.push(format!(
                    "Read only in the {which}, so not compared: {}.",
                    names.join(", ")
                ));
            }
        }
        view.summary = summary(&view.rows);
        view.notes.extend(
            view.rows.iter().map(|row| row.conversion.clone()).filter(|words| !words.is_empty()),
        );
        view.sentences = view.rows.iter().map(|row| row.sentence.clone()).collect();
        view.notes.extend(notes(&view, &baseline, &retest));
        Ok(view)
    }

    fn sides(&mut self, request: &CompareRequest) -> Result<(Side, Side), Problem> {
        let (baseline, retest) = match (&request.baseline, &request.retest, &request.zone) {
            (Some(baseline), Some(retest), _) => (baseline.clone(), retest.clone()),
            (baseline, retest, zone) => {
                let zone = match (baseline, retest, zone) {
                    (Some(panel), ..) | (_, Some(panel), _) => {
                        self.panel_context("baseline", panel)?.zone_id
                    }
                    (_, _, Some(zone)) => self.find_zone("zone", zone)?,
                    _ => {
                        return Err(Problem::missing(
                            "zone",
                            "name a zone, or the baseline and the retest",
                        ));
                    }
                };
                self.usual_pair(zone, baseline.as_deref(), retest.as_deref())?
            }
        };
        let baseline = self.side("baseline", &baseline)?;
        let retest = self.side("retest", &retest)?;
        if baseline.context.zone_id != retest.context.zone_id {
            return Err(Problem::refused(
                "the two panels are of different zones; a comparison is of one zone",
            )
            .at("retest"));
        }
        if let (Some(before), Some(after)) =
            (baseline.context.sample.date, retest.context.sample.date)
            && after <= before
        {
            return Err(Problem::bad(
                "retest",
                format!(
                    "the retest was sampled on {after}, not after the baseline of {before}; name \
                     the earlier panel as baseline"
                ),
            ));
        }
        Ok((baseline, retest))
    }

    fn side(&mut self, field: &str, panel: &str) -> Result<Side, Problem> {
        let context = self.panel_context(field, panel)?;
        let cores = self.cores_of(context.zone_id, context.panel.sample, &context.sample)?;
        Ok(Side { id: panel.to_owned(), context, cores })
    }
}

/// What changed in full sentences, then what stayed and what cannot be told by name.
fn summary(rows: &[CompareRow]) -> Vec<String> {
    let of = |verdict: &'static str| rows.iter().filter(move |row| row.verdict == verdict);
    let mut summary: Vec<String> =
        of("rise").chain(of("fall")).map(|row| row.sentence.clone()).collect();
    for (verdict, words) in [
        ("same", "Stayed the same within the margin"),
        ("cannot-tell", "Cannot tell"),
        ("not-compared", "Not compared"),
    ] {
        let names: Vec<&str> = of(verdict).map(|row| row.name.as_str()).collect();
        if !names.is_empty() {
            summary.push(format!("{words}: {}.", names.join(", ")));
        }
    }
    summary
}

fn side_view(side: &Side) -> SideView {
    SideView {
        panel: side.id.clone(),
        sampled: side.context.sample.date.map(day_text),
        from_mm: side.context.sample.from_mm,
        to_mm: side.context.sample.to_mm,
        cores: side.cores,
    }
}

fn notes(view: &CompareView, baseline: &Side, retest: &Side) -> Vec<String> {
    let mut notes = Vec::new();
    if baseline.cores.is_none() || retest.cores.is_none() {
        notes.push(
            "The number of cores is not recorded for both: an unknown one counts as one core, \
             which makes the intervals as wide as they can be."
                .to_owned(),
        );
    }
    if view.rows.len() > 1 {
        notes.push(format!(
            "{} analytes are looked at together: a rise or fall is claimed only where it holds \
             with false discoveries kept to {:.0} in 100 (Benjamini-Hochberg).",
            view.rows.len(),
            (1.0 - view.level) * 100.0
        ));
    }
    notes.push(
        "There is no control strip here: the most that can be said is that the ground changed, \
         not what changed it."
            .to_owned(),
    );
    notes
}
