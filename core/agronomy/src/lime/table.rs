//! The printed tables of lime need, and the reading of a cell between cells.

use std::sync::LazyLock;

use serde::Deserialize;
use swardbook_units::{Source, Working, parse_unit};

use crate::{AgronomyError, source};

/// One printed table.
#[derive(Debug)]
pub(super) struct Table {
    pub(super) id: String,
    /// What its rows are read by.
    pub(super) reading: String,
    /// Unit of its cells.
    pub(super) unit: &'static str,
    /// g/m2 in one of that unit.
    pub(super) to_dose: f64,
    /// What lime it means.
    pub(super) lime: String,
    /// Its columns, rising.
    pub(super) targets: Vec<f64>,
    /// Reading and cells, rising with the reading.
    pub(super) rows: Vec<(f64, Vec<f64>)>,
    pub(super) sources: Vec<Source>,
}

#[derive(Deserialize)]
#[serde(untagged)]
enum Keys {
    One(String),
    Several(Vec<String>),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    id: String,
    reading: String,
    unit: String,
    lime: String,
    source: Keys,
    targets: Vec<f64>,
    rows: Vec<Vec<f64>>,
}

#[derive(Deserialize)]
struct File {
    table: Vec<Row>,
}

static TABLES: LazyLock<Vec<Table>> = LazyLock::new(|| {
    let file: File = toml::from_str(include_str!("../../data/lime.toml"))
        .expect("the embedded tables of lime need parse; a test reads them");
    file.table.into_iter().map(built).collect()
});

fn built(row: Row) -> Table {
    let unit = parse_unit(&row.unit).expect("the embedded tables are in known units");
    let keys = match row.source {
        Keys::One(key) => vec![key],
        Keys::Several(keys) => keys,
    };
    Table {
        id: row.id,
        reading: row.reading,
        unit: unit.symbol,
        to_dose: unit.factor,
        lime: row.lime,
        targets: row.targets,
        rows: row.rows.into_iter().map(|cells| (cells[0], cells[1..].to_vec())).collect(),
        sources: keys.iter().map(|key| source(key)).collect(),
    }
}

/// A table by its key.
pub(super) fn table(id: &str) -> &'static Table {
    TABLES.iter().find(|t| t.id == id).expect("the methods name embedded tables; a test asks all")
}

/// How a reading outside the rows is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Outside {
    /// Higher readings need less: above the last row the last step is carried on, not below zero;
    /// below the first row the table is refused.
    LessAbove,
    /// Higher readings need more: below the first row the first row is the most it could be; above
    /// the last row the table is refused.
    MoreAbove,
}

impl Table {
    /// One column's dose for a reading, between rows by a straight line.
    pub(super) fn down(
        &self,
        column: usize,
        reading: f64,
        outside: Outside,
        argument: &'static str,
    ) -> Result<(f64, String), AgronomyError> {
        let cell = |row: usize| (self.rows[row].0, self.rows[row].1[column]);
        let last = self.rows.len() - 1;
        let (first_reading, first_cell) = cell(0);
        let (last_reading, last_cell) = cell(last);
        match outside {
            Outside::LessAbove if reading < first_reading => {
                return Err(self.refusal(reading, argument));
            }
            Outside::MoreAbove if reading > last_reading => {
                return Err(self.refusal(reading, argument));
            }
            Outside::LessAbove if reading > last_reading => {
                let (before_reading, before_cell) = cell(last - 1);
                let slope = (last_cell - before_cell) / (last_reading - before_reading);
                let dose = (last_cell + slope * (reading - last_reading)).max(0.0);
                let words = format!(
                    "above the last row ({last_reading}: {last_cell}), its last step carried on"
                );
                return Ok((dose, words));
            }
            Outside::MoreAbove if reading < first_reading => {
                return Ok((
                    first_cell,
                    format!("below the first row ({first_reading}): that row, the most it can be"),
                ));
            }
            _ => {}
        }
        let upper = self.rows.iter().position(|(at, _)| *at >= reading - 1e-9).unwrap_or(last);
        let (high, high_cell) = cell(upper);
        if (high - reading).abs() <= 1e-9 || upper == 0 {
            return Ok((high_cell, format!("row {high}: {high_cell}")));
        }
        let (low, low_cell) = cell(upper - 1);
        let share = (reading - low) / (high - low);
        let dose = low_cell + share * (high_cell - low_cell);
        Ok((dose, format!("between rows {low}: {low_cell} and {high}: {high_cell}")))
    }

    /// The dose for a reading and a target, between rows and columns by straight lines.
    pub(super) fn at(
        &self,
        reading: f64,
        target: f64,
        outside: Outside,
        argument: &'static str,
        working: Working,
    ) -> Result<(f64, Working), AgronomyError> {
        let column = self.targets.iter().position(|t| *t >= target - 1e-9).unwrap_or(0);
        let high = self.targets[column];
        let (dose, words) = self.down(column, reading, outside, argument)?;
        let mut working = working.step(
            &format!("{} at {reading}, column of target {high}", self.reading),
            words,
            dose,
            self.unit,
        );
        if (high - target).abs() <= 1e-9 || column == 0 {
            return Ok((dose, working));
        }
        let low = self.targets[column - 1];
        let (low_dose, words) = self.down(column - 1, reading, outside, argument)?;
        let share = (target - low) / (high - low);
        let between = low_dose + share * (dose - low_dose);
        working = working
            .step(
                &format!("{} at {reading}, column of target {low}", self.reading),
                words,
                low_dose,
                self.unit,
            )
            .step(
                &format!("between the columns, target {target}"),
                format!("{low_dose:.4} + {share:.4} x ({dose:.4} - {low_dose:.4})"),
                between,
                self.unit,
            );
        Ok((between, working))
    }

    fn refusal(&self, reading: f64, argument: &'static str) -> AgronomyError {
        let first = self.rows.first().map_or(0.0, |r| r.0);
        let last = self.rows.last().map_or(0.0, |r| r.0);
        AgronomyError::Refused {
            operation: super::LIME,
            argument,
            why: format!(
                "{reading} lies outside the printed rows of {} ({first} to {last}); ask the \
                 laboratory for its own lime recommendation",
                self.reading
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_table_is_whole_and_its_rows_rise() {
        assert_eq!(TABLES.len(), 5, "all are read");
        for table in TABLES.iter() {
            assert!(table.rows.len() >= 5, "{}", table.id);
            assert!(table.rows.is_sorted_by(|a, b| a.0 < b.0), "{}: rows rise", table.id);
            assert!(table.targets.is_sorted(), "{}: columns rise", table.id);
            for (reading, cells) in &table.rows {
                assert_eq!(cells.len(), table.targets.len(), "{} at {reading}", table.id);
                assert!(cells.iter().all(|c| *c >= 0.0), "{} at {reading}", table.id);
            }
        }
    }

    #[test]
    fn printed_cells_run_one_way() {
        for table in TABLES.iter() {
            let falls = table.reading.ends_with("buffer pH");
            for column in 0..table.targets.len() {
                let cells: Vec<f64> = table.rows.iter().map(|r| r.1[column]).collect();
                let in_order =
                    if falls { cells.is_sorted_by(|a, b| a >= b) } else { cells.is_sorted() };
                assert!(in_order, "{}, column {column}: {cells:?}", table.id);
            }
        }
    }
}
