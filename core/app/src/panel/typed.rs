//! Readings typed in by hand, and corrections of readings.

use std::collections::BTreeMap;

use serde::Deserialize;
use serde_json::Value as Json;
use swardbook_agronomy::analyte::{Analyte, Form, Method, NOT_STATED, find_analyte, find_method};
use swardbook_journal::records::{Panel, ReadingRecord, Sample};
use swardbook_units::{Id, Unit, parse_unit};
use ts_rs::TS;

use super::{
    stored::{stored_qualifier, understood},
    view::PanelView,
};
use crate::{
    Notebook, Problem,
    panel_file::{DecimalRule, read_typed},
};

/// One reading as typed.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct TypedReading {
    /// The analyte by id, name or symbol; a method or compound may stand in it, as in
    /// `K (Mehlich-3)` or `P2O5`.
    pub analyte: String,
    /// The method by id or name; may be left out where the analyte has only one.
    #[serde(default)]
    pub method: String,
    /// The value, with `<` or `>` and a unit where wanted: `<0.5`, `5,2`, `120 mg/kg`.
    #[ts(type = "string | number")]
    pub value: Json,
    /// The unit; may be left out where the value or the analyte says it.
    #[serde(default)]
    pub unit: String,
    /// Marks and footnotes.
    #[serde(default)]
    pub note: String,
}

/// A panel as typed.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct TypedPanel {
    /// The sample, by id.
    pub sample: String,
    /// The laboratory, by id or name; the sample's when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub laboratory: Option<String>,
    /// The laboratory's own number.
    #[serde(default)]
    pub report: String,
    /// The day of the report; today when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub date: Option<String>,
    /// The readings.
    pub readings: Vec<TypedReading>,
}

/// A correction of one reading.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct TypedReadingEdit {
    /// The panel.
    pub panel: String,
    /// The reading's key; a new reading when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub key: Option<String>,
    /// What it says; taken away when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<TypedReading>")]
    pub reading: Option<TypedReading>,
}

impl Notebook {
    /// Keeps a panel as typed.
    ///
    /// # Errors
    /// [`Problem`] naming the reading and its field.
    pub fn add_panel(&mut self, request: &TypedPanel) -> Result<PanelView, Problem> {
        let (document, sample) = self.typed::<Sample>("sample", &request.sample)?;
        let laboratory = match &request.laboratory {
            Some(name) => {
                self.find_record("laboratory", "laboratory", name, None)?.parse::<Id>().ok()
            }
            None => sample.laboratory,
        };
        let date = match &request.date {
            Some(text) => swardbook_units::parse_date(text)?,
            None => self.today(),
        };
        if let Some(pulled) = sample.date.filter(|pulled| *pulled > date) {
            return Err(Problem::bad(
                "date",
                format!("the report of {date} lies before the day the cores were pulled, {pulled}"),
            ));
        }
        let mut reading = BTreeMap::new();
        for (at, typed) in request.readings.iter().enumerate() {
            let record = record_of(typed).map_err(|problem| in_row(problem, at))?;
            reading.insert(format!("k{at:03}"), record);
        }
        let panel = Panel {
            sample: request.sample.parse().ok(),
            laboratory,
            report: request.report.trim().to_owned(),
            date: Some(date),
            reading,
            ..Panel::default()
        };
        let mut action = self.begin_action(format!("added the panel of {}", sample.label));
        let id = action.add(document, &panel)?.to_string();
        action.keep()?;
        self.panel(&id)
    }

    /// Corrects, adds or takes away one reading of a panel.
    ///
    /// # Errors
    /// [`Problem`] naming the field.
    pub fn set_reading(&mut self, request: &TypedReadingEdit) -> Result<PanelView, Problem> {
        let (document, mut panel) = self.typed::<Panel>("panel", &request.panel)?;
        let key = match &request.key {
            Some(key) if panel.reading.contains_key(key) => key.clone(),
            Some(key) => {
                return Err(Problem::not_found("key", format!("there is no reading {key}")));
            }
            None => {
                // A random name, so that two devices that add a reading apart add two.
                format!("k{}", self.new_id())
            }
        };
        match &request.reading {
            Some(typed) => {
                let mut record = record_of(typed)?;
                if let Some(known) = panel.reading.get(&key) {
                    record.uncertainty = known.uncertainty;
                }
                panel.reading.insert(key.clone(), record);
            }
            None => {
                panel.reading.remove(&key);
            }
        }
        let mut action = self.begin_action("corrected a reading");
        action.put(document, &request.panel, &panel)?;
        action.keep()?;
        self.panel(&request.panel)
    }
}

fn in_row(problem: Problem, at: usize) -> Problem {
    let field = problem.field.clone().unwrap_or_default();
    Problem {
        message: format!("reading {}: {}", at + 1, problem.message),
        field: Some(format!("readings.{at}.{field}")),
        code: problem.code,
    }
}

/// What a typed name stands for.
struct Named {
    analyte: &'static Analyte,
    method: Option<&'static Method>,
    form: Option<&'static Form>,
    unit: Option<&'static Unit>,
}

fn named(text: &str) -> Result<Named, Problem> {
    if let Some(analyte) = swardbook_agronomy::analyte::analyte(text.trim()) {
        return Ok(Named { analyte, method: None, form: None, unit: None });
    }
    let found = find_analyte(text);
    match found.as_slice() {
        [one] => {
            Ok(Named { analyte: one.analyte, method: one.method, form: one.form, unit: one.unit })
        }
        [] => Err(Problem::bad(
            "analyte",
            format!("the analyte \"{text}\" is not known; `panel analytes` lists those that are"),
        )),
        several => {
            let names: Vec<&str> = several.iter().map(|m| m.analyte.id.as_str()).collect();
            Err(Problem::bad(
                "analyte",
                format!("\"{text}\" may be {}; write one of these", names.join(" or ")),
            ))
        }
    }
}

/// The method that a name carries behind the analyte, as in `pH (CaCl2)` and `pH, 1:1 water`; the
/// analyte's own plain name carries none, although `pH in water` has the word in it.
fn method_in_name(written: &str, analyte: &Analyte) -> Option<&'static Method> {
    let written = written.trim();
    if written.eq_ignore_ascii_case(&analyte.name) || written.eq_ignore_ascii_case(&analyte.id) {
        return None;
    }
    let words = written.trim_end_matches([')', ']']);
    let behind = words.find(['(', '[', ',', ' ']).map(|at| &words[at + 1..])?;
    let mut found = find_method(behind.trim());
    found.retain(|method| analyte.by(method).is_some());
    match found.as_slice() {
        [one] => Some(*one),
        _ => None,
    }
}

fn method_of(text: &str, written: &str, named: &Named) -> Result<&'static Method, Problem> {
    if text.trim().is_empty() {
        let only = || match named.analyte.by.as_slice() {
            [by] => Some(by.method),
            several => {
                let mut stated = several.iter().filter(|by| by.method.id != NOT_STATED);
                match (stated.next(), stated.next()) {
                    (Some(by), None) => Some(by.method),
                    _ => None,
                }
            }
        };
        let not_stated = || swardbook_agronomy::analyte::method(NOT_STATED);
        return named
            .method
            .or_else(|| method_in_name(written, named.analyte))
            .or_else(only)
            .or_else(not_stated)
            .ok_or_else(|| Problem::missing("method", "say how it was measured"));
    }
    if let Some(method) = swardbook_agronomy::analyte::method(text.trim()) {
        return Ok(method);
    }
    let mut found = find_method(text);
    found.retain(|method| named.analyte.by(method).is_some());
    match found.as_slice() {
        [one] => Ok(one),
        _ => {
            let known: Vec<&str> =
                named.analyte.by.iter().map(|by| by.method.id.as_str()).collect();
            Err(Problem::bad(
                "method",
                format!(
                    "\"{text}\" is no method for {}; there are {}",
                    named.analyte.name,
                    known.join(", ")
                ),
            ))
        }
    }
}

fn record_of(typed: &TypedReading) -> Result<ReadingRecord, Problem> {
    let named = named(&typed.analyte)?;
    let method = method_of(&typed.method, &typed.analyte, &named)?;
    let text = match &typed.value {
        Json::String(text) => text.trim().to_owned(),
        Json::Number(number) => number.to_string(),
        _ => String::new(),
    };
    if text.is_empty() {
        return Err(Problem::missing("value", "type the number the laboratory gives"));
    }
    let value = read_typed(&text, decimal_of(&text)).map_err(|reason| {
        Problem::bad("value", format!("\"{text}\": {}; {}", reason.text(), reason.remedy()))
    })?;
    let unit = if typed.unit.trim().is_empty() {
        value.unit.or(named.unit).or_else(|| only_unit(named.analyte)).ok_or_else(|| {
            Problem::missing("unit", &format!("say the unit of {}", named.analyte.name))
        })?
    } else {
        parse_unit(typed.unit.trim()).map_err(|e| Problem::bad("unit", e.to_string()))?
    };
    let record = ReadingRecord {
        analyte: named.analyte.id.clone(),
        method: method.id.clone(),
        value: Some(value.value),
        unit: unit.symbol.to_owned(),
        qualifier: stored_qualifier(value.qualifier),
        form: named.form.map_or_else(String::new, |form| form.formula.clone()),
        uncertainty: value.plus_minus.map(|half| half / 2.0),
        note: [value.mark.unwrap_or_default(), typed.note.trim().to_owned()]
            .iter()
            .filter(|part| !part.is_empty())
            .cloned()
            .collect::<Vec<_>>()
            .join(" "),
    };
    let reading = understood(&record).map_err(|why| Problem::bad("unit", why))?;
    let (least, most) = reading.by().possible;
    let ground = swardbook_agronomy::reading::Ground::UNKNOWN;
    if let Ok(worked) = reading.canonical(&ground)
        && !(least..=most).contains(&worked.value)
    {
        let kept_in = reading.by().unit.symbol;
        return Err(Problem::bad(
            "value",
            format!(
                "{} of {} {kept_in} cannot be: it goes from {least} to {most} {kept_in}",
                named.analyte.name, worked.value
            ),
        ));
    }
    Ok(record)
}

/// A single typed number with one comma and no point has a decimal comma.
fn decimal_of(text: &str) -> DecimalRule {
    match (text.matches(',').count(), text.contains('.')) {
        (1, false) => DecimalRule::Comma,
        _ => DecimalRule::Point,
    }
}

fn only_unit(analyte: &Analyte) -> Option<&'static Unit> {
    match analyte.only_units.as_slice() {
        [unit] => Some(unit),
        // Acidity is reported in pH and in nothing else, so nobody writes it out.
        _ => analyte.by.first().map(|by| by.unit).filter(|unit| unit.symbol == "pH"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn method(name: &str) -> &'static str {
        let named = named(name).expect("a known name");
        &method_of("", name, &named).expect("a method or that none is stated").id
    }

    #[test]
    fn a_name_carries_its_method_when_it_has_one() {
        for (name, id) in [
            ("pH (CaCl2)", "cacl2-1-5"),
            ("pH CaCl2", "cacl2-1-5"),
            ("pH (1:1 CaCl2)", "cacl2-1-1"),
            ("pH (1:5 water)", "water-1-5"),
            ("pH (water)", "water-1-5"),
            ("K (Mehlich-3)", "mehlich-3"),
            // The analyte by itself says nothing of the ratio, and neither does its symbol.
            ("pH in water", NOT_STATED),
            ("ph-cacl2", NOT_STATED),
            ("K", NOT_STATED),
        ] {
            assert_eq!(method(name), id, "{name}");
        }
    }
}
