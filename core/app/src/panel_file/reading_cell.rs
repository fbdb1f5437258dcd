//! One cell of readings under a known analyte.

use swardbook_agronomy::{
    analyte::{Analyte, Form, Method},
    reading::Qualifier,
};
use swardbook_units::Unit;

use super::{
    cell_value::{CellValue, ColumnMark, read_value},
    grid::CellKind,
    mapping::Resolved,
    naming,
    outcome::{Beside, ImportedReading, Place},
    reason::Reason,
    view::View,
};

/// How the cells of one analyte are read.
#[derive(Debug, Clone, Copy)]
pub(super) struct ReadingColumn {
    pub(super) analyte: &'static Analyte,
    pub(super) method: &'static Method,
    /// The method is not stated and there are several: a person is asked.
    pub(super) is_method_open: bool,
    pub(super) form: Option<&'static Form>,
    pub(super) unit: Option<&'static Unit>,
    /// A unit is written and not known.
    pub(super) is_unit_strange: bool,
}

impl ReadingColumn {
    /// From a rule; what it leaves open is filled only where there is no choice.
    pub(super) fn new(resolved: Resolved) -> Self {
        let method = resolved.method.or_else(|| naming::only_method(resolved.analyte));
        Self {
            analyte: resolved.analyte,
            method: method.unwrap_or_else(naming::not_stated),
            is_method_open: method.is_none(),
            form: resolved.form,
            unit: resolved.unit.or_else(|| naming::only_unit(resolved.analyte)),
            is_unit_strange: false,
        }
    }

    /// A reading under this column, without a mark or an uncertainty.
    #[inline]
    pub(super) fn reading(
        &self,
        value: f64,
        qualifier: Qualifier,
        unit: &'static Unit,
        place: Place,
    ) -> ImportedReading {
        ImportedReading {
            analyte: self.analyte,
            method: self.method,
            form: self.form,
            value,
            unit,
            qualifier,
            beside: None,
            place,
        }
    }
}

/// What was unusual about a cell that was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Remarks {
    /// The cell's unit differs from its heading's and was taken.
    pub(super) unit_from_cell: bool,
    /// `≤` or `≥`.
    pub(super) inclusive: bool,
}

/// Reads the cell at `line` and `across` of a view.
pub(super) fn read_cell(
    view: View<'_>,
    (line, across): (usize, usize),
    text: &str,
    column: &ReadingColumn,
    mark: ColumnMark,
    place: Place,
) -> Result<(ImportedReading, Remarks), Reason> {
    let exact = |value| CellValue {
        value,
        qualifier: Qualifier::Exact,
        unit: None,
        mark: None,
        plus_minus: None,
    };
    let cell = match view.kind(line, across) {
        CellKind::Text => read_value(text, mark)?,
        CellKind::Number(value) if value.is_finite() => exact(value),
        CellKind::Number(_) | CellKind::Date(_) => return Err(Reason::NotANumber),
        CellKind::Error => return Err(Reason::SpreadsheetError),
        CellKind::FormulaWithoutResult => return Err(Reason::FormulaWithoutResult),
    };
    if !view.grid.merged().is_empty() && view.merged_size(line, across) != (1, 1) {
        return Err(Reason::MergedOverSeveral);
    }
    let mut remarks = Remarks::default();
    let unit = match (cell.unit, column.unit) {
        (None, Some(unit)) => unit,
        (None, None) if column.is_unit_strange => return Err(Reason::UnknownUnit),
        (None, None) => return Err(Reason::NoUnit),
        (Some(own), _) if !column.analyte.accepts(own) => return Err(Reason::UnitsDisagree),
        (Some(own), Some(unit)) if own.dimension != unit.dimension => {
            return Err(Reason::UnitsDisagree);
        }
        (Some(own), unit) => {
            remarks.unit_from_cell = unit.is_some_and(|unit| unit.symbol != own.symbol);
            own
        }
    };
    if cell.qualifier != Qualifier::Exact {
        remarks.inclusive =
            text.contains(['\u{2264}', '\u{2265}']) || text.contains("<=") || text.contains(">=");
    }
    let mut reading = column.reading(cell.value, cell.qualifier, unit, place);
    if cell.mark.is_some() || cell.plus_minus.is_some() {
        let mark = cell.mark.map(str::to_owned);
        reading.beside = Some(Box::new(Beside { mark, plus_minus: cell.plus_minus }));
    }
    Ok((reading, remarks))
}
