//! Checks of a laboratory's panel as it is entered: what cannot be, what seldom is, what does not
//! add up, and the slip that would explain it.
//!
//! A check warns and asks; it never changes a laboratory's number.

mod pairs;
mod slips;
mod sums;

use swardbook_units::{Source, Unit, parse_unit};

pub use slips::{Fix, Suggestion};

use crate::{
    analyte::{Analyte, Form, NOT_STATED, analyte},
    reading::{Ground, Qualifier, Reading},
    source,
};

/// How bad a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Worth knowing; nothing need be done.
    Note,
    /// It can be, but seldom is: look at the laboratory's sheet again.
    Doubtful,
    /// It cannot be.
    Impossible,
}

/// What was found, about which readings, and what would explain it.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// Places of the readings in the panel as given.
    pub readings: Vec<usize>,
    /// What those readings measure.
    pub analytes: Vec<&'static Analyte>,
    /// How bad it is.
    pub severity: Severity,
    /// What was found, in words.
    pub message: String,
    /// The slips that would explain it, the likeliest first; empty where none does.
    pub suggestions: Vec<Suggestion>,
    /// On whose word.
    pub sources: Vec<Source>,
}

/// Checks the readings of one panel; what is known of the ground helps to convert them.
///
/// The findings come in the order of the readings, with what concerns several at the end.
/// # Source Each finding carries its own.
#[must_use]
pub fn check_panel(readings: &[Reading], ground: &Ground) -> Vec<Finding> {
    let panel = Panel { readings, ground };
    let mut findings = Vec::new();
    for at in 0..readings.len() {
        check_range(&panel, at, &mut findings);
        note_kind(&panel, at, &mut findings);
    }
    check_twice(&panel, &mut findings);
    sums::check_cations(&panel, &mut findings);
    sums::check_saturations(&panel, &mut findings);
    sums::check_texture(&panel, &mut findings);
    pairs::check_scales(&panel, &mut findings);
    pairs::check_carbon(&panel, &mut findings);
    pairs::check_nitrogen(&panel, &mut findings);
    pairs::check_ratios(&panel, &mut findings);
    pairs::check_acid_company(&panel, &mut findings);
    pairs::note_salts(&panel, &mut findings);
    findings
}

/// The readings under check.
struct Panel<'a> {
    readings: &'a [Reading],
    ground: &'a Ground,
}

impl Panel<'_> {
    /// Place and value, in the unit it is kept in, of the first exact reading of an analyte.
    fn exact(&self, id: &str) -> Option<(usize, f64)> {
        self.exact_by(id, |_| true)
    }

    /// As [`Self::exact`], by a method that the caller accepts.
    fn exact_by(&self, id: &str, accepts: impl Fn(&str) -> bool) -> Option<(usize, f64)> {
        self.readings.iter().enumerate().find_map(|(at, reading)| {
            let fits = reading.analyte().id == id
                && reading.qualifier() == Qualifier::Exact
                && accepts(&reading.method().id);
            let value = fits.then(|| reading.canonical(self.ground).ok()).flatten()?;
            Some((at, value.value))
        })
    }

    fn finding(&self, readings: &[usize], severity: Severity, message: String) -> Finding {
        Finding {
            readings: readings.to_vec(),
            analytes: readings.iter().map(|at| self.readings[*at].analyte()).collect(),
            severity,
            message,
            suggestions: Vec::new(),
            sources: Vec::new(),
        }
    }
}

impl Finding {
    fn on_the_word_of(mut self, keys: &[&str]) -> Self {
        self.sources.extend(keys.iter().map(|key| source(key)));
        self
    }
}

fn check_range(panel: &Panel<'_>, at: usize, findings: &mut Vec<Finding>) {
    let reading = &panel.readings[at];
    let name = &reading.analyte().name;
    let by = reading.by();
    let value = match reading.canonical(panel.ground) {
        Ok(worked) => worked.value,
        Err(error) => {
            let message = format!("{error}; its range cannot be checked");
            findings.push(panel.finding(&[at], Severity::Note, message));
            return;
        }
    };
    let unit = by.unit.symbol;
    let shown = shown_reading(reading);
    let (low, high) = by.possible;
    let (severity, range, words) = if value < low || value > high {
        (Severity::Impossible, by.possible, "cannot be")
    } else {
        // A bound says nothing about the side it leaves open.
        let too_low = value < by.usual.0 && reading.qualifier() != Qualifier::Below;
        if too_low && value.abs() < f64::MIN_POSITIVE {
            let message = format!(
                "{name} is printed as zero: it was rounded, or is below what the laboratory can \
                 see; if its sheet says \"<\", enter it so"
            );
            findings.push(panel.finding(&[at], Severity::Note, message));
            return;
        }
        let too_high = value > by.usual.1 && reading.qualifier() != Qualifier::Above;
        if !(too_low || too_high) {
            return;
        }
        (Severity::Doubtful, by.usual, "is seldom seen")
    };
    let message = format!(
        "{name} of {shown} by {} {words}: {} to {} {unit} is the range",
        by.method.name, range.0, range.1
    );
    let mut finding = panel.finding(&[at], severity, message);
    finding.sources.push(source(&by.source));
    finding.suggestions = slips::into_usual_range(panel, at);
    findings.push(finding);
}

fn note_kind(panel: &Panel<'_>, at: usize, findings: &mut Vec<Finding>) {
    let reading = &panel.readings[at];
    let name = &reading.analyte().name;
    if reading.qualifier() != Qualifier::Exact {
        let (side, shows) = match reading.qualifier() {
            Qualifier::Above => ("above", "enough"),
            _ => ("below", "short"),
        };
        let message = format!(
            "{name} is only known to lie {side} {}: it can show {shows}, never an exact change",
            shown_number(reading)
        );
        findings
            .push(panel.finding(&[at], Severity::Note, message).on_the_word_of(&["definition"]));
    }
    if reading.method().id == NOT_STATED {
        let message = format!(
            "{name} has no method stated: no guideline is applied to it and it cannot be \
                     compared with another reading"
        );
        findings
            .push(panel.finding(&[at], Severity::Note, message).on_the_word_of(&["definition"]));
    }
}

fn check_twice(panel: &Panel<'_>, findings: &mut Vec<Finding>) {
    for (at, reading) in panel.readings.iter().enumerate() {
        for (later, other) in panel.readings.iter().enumerate().skip(at + 1) {
            if reading.analyte().id == other.analyte().id
                && reading.method().id == other.method().id
                && reading.qualifier() == Qualifier::Exact
                && other.qualifier() == Qualifier::Exact
            {
                let values = [reading, other].map(|r| r.canonical(panel.ground).ok());
                let [Some(a), Some(b)] = values else { continue };
                if !agree(a.value, b.value, 0.02, 0.0) {
                    let message = format!(
                        "{} by {} stands twice, as {} and as {}",
                        reading.analyte().name,
                        reading.method().name,
                        shown_reading(reading),
                        shown_reading(other)
                    );
                    let finding = panel.finding(&[at, later], Severity::Doubtful, message);
                    findings.push(finding.on_the_word_of(&["definition"]));
                }
            }
        }
    }
}

/// Whether two numbers agree within a share of the larger or an amount, whichever is wider.
fn agree(a: f64, b: f64, share: f64, amount: f64) -> bool {
    (a - b).abs() <= (share * a.abs().max(b.abs())).max(amount)
}

fn shown_number(reading: &Reading) -> String {
    format!("{} {}", reading.value(), reading.unit().symbol).trim_end().to_owned()
}

fn shown_reading(reading: &Reading) -> String {
    let form = reading.form().map_or(String::new(), |form: &Form| format!(" {}", form.formula));
    format!("{}{}{form}", reading.qualifier().sign(), shown_number(reading))
}

fn known_unit(symbol: &str) -> &'static Unit {
    parse_unit(symbol).expect("the units of the checks stand in the table of units")
}

fn known_analyte(id: &str) -> &'static Analyte {
    analyte(id).expect("the analytes of the checks stand in the table of analytes")
}

#[cfg(test)]
mod tests;
