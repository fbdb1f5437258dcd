//! The verdicts over all rows together, and their sentences.

use swardbook_agronomy::comparison::{Comparison, Verdict};
use swardbook_stats::multiplicity::benjamini_hochberg;

use super::rows::CompareRow;
use crate::Problem;

/// Verdicts with false discoveries kept under control over all rows.
pub(super) fn decide(
    level: f64,
    rows: &mut [CompareRow],
    changes: &[Option<Comparison>],
) -> Result<(), Problem> {
    let places: Vec<usize> = (0..rows.len()).filter(|at| changes[*at].is_some()).collect();
    let p: Vec<f64> =
        places.iter().filter_map(|at| changes[*at].as_ref().map(|found| found.change.p)).collect();
    if p.is_empty() {
        return Ok(());
    }
    let adjusted = benjamini_hochberg(&p).map_err(|e| Problem::refused(e.to_string()))?;
    for (place, adjusted) in places.into_iter().zip(adjusted) {
        let Some(found) = &changes[place] else { continue };
        let row = &mut rows[place];
        row.p = Some(adjusted);
        let claimed = adjusted <= 1.0 - level;
        let verdict = match found.verdict {
            Verdict::Rise | Verdict::Fall if !claimed => Verdict::CannotTell,
            verdict => verdict,
        };
        let alone = matches!(found.verdict, Verdict::Rise | Verdict::Fall) && !claimed;
        let (word, sentence) = words(row, verdict, alone, found.cores_to_settle);
        word.clone_into(&mut row.verdict);
        row.sentence = sentence;
    }
    Ok(())
}

fn words(
    row: &CompareRow,
    verdict: Verdict,
    alone: bool,
    cores: Option<u32>,
) -> (&'static str, String) {
    let places = if row.change_unit == "%" { 0 } else { 2 };
    let number = |value: Option<f64>| format!("{:+.places$}", value.unwrap_or_default());
    let unit = if row.change_unit == "pH" || row.change_unit.is_empty() {
        String::new()
    } else {
        format!(" {}", row.change_unit)
    };
    let range = row.change_interval.map_or_else(String::new, |interval| {
        format!("{:+.places$} to {:+.places$}{unit}", interval.low, interval.high)
    });
    let name = &row.name;
    match verdict {
        Verdict::Rise => ("rise", format!("{name} rose: {}{unit} ({range}).", number(row.change))),
        Verdict::Fall => ("fall", format!("{name} fell: {}{unit} ({range}).", number(row.change))),
        Verdict::SameWithinMargin => (
            "same",
            format!(
                "{name} stayed the same: no change bigger than {:.places$}{unit} ({range}).",
                row.margin.unwrap_or_default()
            ),
        ),
        Verdict::CannotTell if alone => (
            "cannot-tell",
            format!(
                "{name}: cannot tell among so many questions; alone it would have counted as a \
                 change ({range}). Ask fewer analytes, chosen before looking, or sample again."
            ),
        ),
        Verdict::CannotTell => {
            let settle = match cores {
                Some(cores) => format!("{cores} cores in each of two samples would settle it"),
                None => "more cores alone would not settle it".to_owned(),
            };
            let words = format!(
                "{name}: cannot tell ({range}); a change of {:.places$}{unit} or more would have \
                 shown. {}{}.",
                row.least_significant.unwrap_or_default(),
                settle[..1].to_uppercase(),
                &settle[1..]
            );
            ("cannot-tell", words)
        }
    }
}
