//! How one laboratory's layout is read; remembered and applied to its next file.

use swardbook_agronomy::analyte::{Analyte, Form, Method, analyte, method};
use swardbook_units::{Unit, parse_unit};

use super::{
    attribute::Attribute,
    decimal::DecimalRule,
    heading_words::fold_words,
    naming::{self, Meaning},
    outcome::{About, Answer, Ask, Question},
};

/// Which way round day and month are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DateRule {
    /// The dates of the same column show it, or else it is asked.
    #[default]
    Shown,
    /// Day, month, year.
    DayFirst,
    /// Month, day, year.
    MonthFirst,
}

/// Which way a table lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Layout {
    /// One row a reading.
    Long,
    /// One row a sample, one column an analyte.
    Wide,
    /// One column a sample, one row an analyte.
    Turned,
}

/// An analyte as a mapping names it, by keys and symbols.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct AnalyteRule {
    /// The analyte's key.
    pub analyte: String,
    /// The method's key; none while it is asked.
    pub method: Option<String>,
    /// The compound the numbers are of.
    pub form: Option<String>,
    /// The unit's symbol; none where each cell gives its own, or while it is asked.
    pub unit: Option<String>,
}

/// What a column holds; in a turned table, what a row holds.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case", tag = "holds")]
pub enum Role {
    /// Not known yet: its cells are listed as unread and a question is asked.
    Unknown,
    /// Left out on purpose.
    Ignore,
    /// Something about the sample.
    Attribute {
        /// What.
        attribute: Attribute,
        /// The unit its heading gives, for depths.
        unit: Option<String>,
    },
    /// Readings of one analyte.
    Analyte(AnalyteRule),
    /// Names of analytes, in a long table.
    Name,
    /// Readings, in a long table.
    Value {
        /// The unit its heading gives, for rows that give none.
        unit: Option<String>,
    },
    /// Units, in a long table.
    Unit,
    /// Methods, in a long table.
    Method,
    /// `<` and `>`, in a long table.
    Sign,
    /// Uncertainties, in a long table.
    Spread,
    /// Reporting limits, in a long table: a reading that was not detected is below its limit.
    Limit,
}

/// One column of a table.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct ColumnRule {
    /// Its heading, one entry for each heading row; matched without regard to letter case.
    pub heading: Vec<String>,
    /// What it holds.
    pub role: Role,
}

/// One table of the layout.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct TableMapping {
    /// Which way it lies.
    pub layout: Layout,
    /// Whether it has headings; without, columns are known by their order.
    pub has_headings: bool,
    /// Its columns in the order of the file it was made from.
    pub columns: Vec<ColumnRule>,
}

/// What a name in a long table means, where it is not plain from the name itself.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct NameRule {
    /// Name, method and unit as written, folded.
    pub written: String,
    /// What it means; none to leave its rows out.
    pub means: Option<AnalyteRule>,
}

/// How one laboratory's layout is read.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct Mapping {
    /// Version of this description.
    pub version: u32,
    /// How numbers are written.
    pub decimal: DecimalRule,
    /// How dates are written.
    pub dates: DateRule,
    /// Symbol of the unit of depths that give none.
    pub depth_unit: Option<String>,
    /// Its tables.
    pub tables: Vec<TableMapping>,
    /// Names in long tables that need a rule.
    pub names: Vec<NameRule>,
    /// Labels of rows (or columns) that stand among the samples and are none, folded.
    pub left_out: Vec<String>,
}

impl Default for Mapping {
    fn default() -> Self {
        Self {
            version: 1,
            decimal: DecimalRule::Shown,
            dates: DateRule::Shown,
            depth_unit: None,
            tables: Vec::new(),
            names: Vec::new(),
            left_out: Vec::new(),
        }
    }
}

impl Mapping {
    /// Takes a person's answer into the mapping; apply it again to read what was in question.
    ///
    /// An answer that does not fit its question changes nothing and returns `false`.
    pub fn answer(&mut self, question: &Question, answer: &Answer) -> bool {
        match (question.ask, *answer) {
            (Ask::Decimal, Answer::Decimal(rule)) => self.decimal = rule,
            (Ask::DateOrder, Answer::Dates(rule)) => self.dates = rule,
            (Ask::DepthUnit, Answer::DepthUnit(unit)) => {
                self.depth_unit = Some(unit.symbol.to_owned());
            }
            (_, answer) => {
                return match &question.about {
                    About::File => false,
                    About::Column { table, layout, key } => {
                        self.answer_about_a_column(*table, *layout, key, answer)
                    }
                    About::Name(key) => self.answer_about_a_name(key, answer),
                };
            }
        }
        true
    }

    fn answer_about_a_column(
        &mut self,
        table: Option<usize>,
        layout: Layout,
        key: &str,
        answer: Answer,
    ) -> bool {
        let parts: Vec<&str> = key.split(" | ").collect();
        let change = |column: &mut ColumnRule| {
            let role = answered(&column.role, &naming::of_heading(&parts), answer);
            role.map(|role| column.role = role).is_some()
        };
        // The same heading means the same in every table of a laboratory.
        let mut known = self
            .tables
            .iter_mut()
            .flat_map(|table| &mut table.columns)
            .filter(|column| heading_key(&column.heading) == key);
        if !known.all(change) {
            return false;
        }
        let has_it = |table: &TableMapping| {
            table.columns.iter().any(|column| heading_key(&column.heading) == key)
        };
        if table.and_then(|at| self.tables.get(at)).is_some_and(has_it) {
            return true;
        }
        let heading = parts.iter().map(|&part| part.to_owned()).collect();
        let mut column = ColumnRule { heading, role: Role::Unknown };
        let fits = change(&mut column);
        if fits {
            match table.and_then(|at| self.tables.get_mut(at)) {
                Some(table) => table.columns.push(column),
                None => self.tables.push(TableMapping {
                    layout,
                    has_headings: true,
                    columns: vec![column],
                }),
            }
        }
        fits
    }

    fn answer_about_a_name(&mut self, key: &str, answer: Answer) -> bool {
        let at = self.names.iter().position(|rule| rule.written == key);
        let before = at.map_or(Role::Unknown, |at| {
            self.names[at].means.clone().map_or(Role::Ignore, Role::Analyte)
        });
        let Some(meaning) = naming::of_key(key) else { return false };
        let means = match answered(&before, &meaning, answer) {
            Some(Role::Analyte(rule)) => Some(rule),
            Some(Role::Ignore) => None,
            _ => return false,
        };
        match at {
            Some(at) => self.names[at].means = means,
            None => self.names.push(NameRule { written: key.to_owned(), means }),
        }
        true
    }

    /// The unit of depths that give none.
    pub(super) fn default_depth_unit(&self) -> Option<&'static Unit> {
        self.depth_unit.as_deref().and_then(|symbol| parse_unit(symbol).ok())
    }
}

/// The role after an answer; `None` when the answer does not fit.
fn answered(before: &Role, meaning: &Meaning, answer: Answer) -> Option<Role> {
    let rule = match before {
        Role::Analyte(rule) => Some(rule.clone()),
        _ => meaning.rule(),
    };
    match answer {
        Answer::Ignore => Some(Role::Ignore),
        Answer::Attribute(attribute) => Some(Role::Attribute { attribute, unit: None }),
        Answer::Analyte(chosen) => {
            let matched = meaning.matches.iter().find(|m| m.analyte.id == chosen.id);
            let unit = meaning.unit.filter(|unit| chosen.accepts(unit));
            Some(Role::Analyte(AnalyteRule {
                analyte: chosen.id.clone(),
                method: matched.and_then(|m| m.method).map(|m| m.id.clone()),
                form: matched.and_then(|m| m.form).map(|f| f.formula.clone()),
                unit: unit.map(|u| u.symbol.to_owned()),
            }))
        }
        Answer::Method(chosen) => {
            let rule = rule.filter(|rule| {
                analyte(&rule.analyte).is_some_and(|analyte| analyte.by(chosen).is_some())
            })?;
            Some(Role::Analyte(AnalyteRule { method: Some(chosen.id.clone()), ..rule }))
        }
        Answer::Unit(chosen) => {
            let rule =
                rule.filter(|rule| analyte(&rule.analyte).is_some_and(|a| a.accepts(chosen)))?;
            Some(Role::Analyte(AnalyteRule { unit: Some(chosen.symbol.to_owned()), ..rule }))
        }
        Answer::Decimal(_) | Answer::Dates(_) | Answer::DepthUnit(_) => None,
    }
}

/// A rule with its keys looked up.
#[derive(Debug, Clone, Copy)]
pub(super) struct Resolved {
    pub(super) analyte: &'static Analyte,
    pub(super) method: Option<&'static Method>,
    pub(super) form: Option<&'static Form>,
    pub(super) unit: Option<&'static Unit>,
}

impl AnalyteRule {
    /// Looks the keys up; `None` when the analyte is not one this version knows.
    pub(super) fn resolve(&self) -> Option<Resolved> {
        let analyte = analyte(&self.analyte)?;
        Some(Resolved {
            analyte,
            method: self.method.as_deref().and_then(method).filter(|m| analyte.by(m).is_some()),
            form: self
                .form
                .as_deref()
                .and_then(|formula| analyte.forms.iter().find(|form| form.formula == formula)),
            unit: self
                .unit
                .as_deref()
                .and_then(|symbol| parse_unit(symbol).ok())
                .filter(|unit| analyte.accepts(unit)),
        })
    }
}

/// The name a heading is remembered by.
pub(super) fn heading_key<T: AsRef<str>>(parts: &[T]) -> String {
    let mut key = String::new();
    for part in parts.iter().map(AsRef::as_ref).filter(|part| !part.trim().is_empty()) {
        if !key.is_empty() {
            key.push_str(" | ");
        }
        let folded = fold_words(part);
        key.push_str(if folded.is_empty() { part.trim() } else { &folded });
    }
    key
}
