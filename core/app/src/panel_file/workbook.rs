//! Sheets of an XLSX workbook, cell by cell.

use std::io::Cursor;

use calamine::{DataRef, Reader, SheetType, SheetVisible, Xlsx, XlsxError, XlsxFormulaMetadata};
use swardbook_units::NaiveDate;

use super::{
    grid::{CellKind, Grid, Merged},
    limits,
    problem::PanelFileError,
};

/// Reads every worksheet; formulas give their stored result.
pub(super) fn read_workbook(file: &str, bytes: &[u8]) -> Result<Vec<Grid>, PanelFileError> {
    let damaged = |error: XlsxError| match error {
        XlsxError::Password => PanelFileError::Protected { file: file.to_owned() },
        other => {
            PanelFileError::DamagedWorkbook { file: file.to_owned(), cause: other.to_string() }
        }
    };
    check_unpacked_size(file, bytes)?;
    let mut workbook: Xlsx<_> =
        calamine::open_workbook_from_rs(Cursor::new(bytes)).map_err(damaged)?;
    let sheets: Vec<(String, SheetVisible)> = workbook
        .sheets_metadata()
        .iter()
        .filter(|sheet| sheet.typ == SheetType::WorkSheet)
        .map(|sheet| (sheet.name.clone(), sheet.visible))
        .collect();
    let mut grids = Vec::new();
    for (name, visible) in sheets {
        let mut grid = read_sheet(file, &mut workbook, &name, &damaged)?;
        if visible != SheetVisible::Visible {
            grid.hide();
        }
        for range in workbook.merge_cells_by_sheet_name(&name).map_err(damaged)? {
            let place = |n: u32| n as usize;
            grid.push_merged(Merged {
                top: place(range.start.0),
                left: place(range.start.1),
                bottom: place(range.end.0),
                right: place(range.end.1),
            });
        }
        grids.push(grid);
    }
    Ok(grids)
}

fn read_sheet(
    file: &str,
    workbook: &mut Xlsx<Cursor<&[u8]>>,
    name: &str,
    damaged: &impl Fn(XlsxError) -> PanelFileError,
) -> Result<Grid, PanelFileError> {
    let mut cells = workbook.worksheet_cells_reader(name).map_err(damaged)?;
    let mut grid = Grid::new(Some(name.to_owned()));
    let (mut row, mut column) = (0, 0);
    while let Some(cell) = cells.next_cell_with_formula_metadata().map_err(damaged)? {
        let (text, kind) = content(&cell.value, cell.formula.as_ref());
        // Formatted but empty cells reach to the last row of a sheet; they are not the table.
        if text.is_empty() {
            continue;
        }
        let place = (cell.pos.0 as usize, cell.pos.1 as usize);
        if place.0 < row || (place.0 == row && place.1 < column) {
            let cause = format!("the cells of sheet {name} are out of order");
            return Err(PanelFileError::DamagedWorkbook { file: file.to_owned(), cause });
        }
        if place.0 >= limits::MOST_ROWS || place.1 >= limits::MOST_COLUMNS {
            let (what, limit) = if place.0 >= limits::MOST_ROWS {
                ("rows", limits::MOST_ROWS)
            } else {
                ("columns", limits::MOST_COLUMNS)
            };
            let (file, sheet) = (file.to_owned(), format!("sheet {name}"));
            return Err(PanelFileError::TooMany { file, sheet, what, limit });
        }
        while row < place.0 {
            grid.end_row();
            (row, column) = (row + 1, 0);
        }
        while column < place.1 {
            grid.push_cell("", CellKind::Text);
            column += 1;
        }
        if cell.formula.is_some() && kind != CellKind::FormulaWithoutResult {
            grid.count_formula();
        }
        grid.push_cell(&text, kind);
        column += 1;
        limits::check_grid(file, &grid)?;
    }
    if column > 0 {
        grid.end_row();
    }
    Ok(grid)
}

/// A cell's text as a person would see it, and its kind.
fn content(value: &DataRef<'_>, formula: Option<&XlsxFormulaMetadata>) -> (String, CellKind) {
    let (text, kind) = match value {
        DataRef::Empty => (String::new(), CellKind::Text),
        #[allow(clippy::cast_precision_loss, reason = "a workbook stores every number as a double")]
        DataRef::Int(number) => (number.to_string(), CellKind::Number(*number as f64)),
        DataRef::Float(number) => (number.to_string(), CellKind::Number(*number)),
        DataRef::String(text) => (text.clone(), CellKind::Text),
        DataRef::SharedString(text) => ((*text).to_owned(), CellKind::Text),
        DataRef::Bool(answer) => {
            (if *answer { "TRUE" } else { "FALSE" }.to_owned(), CellKind::Text)
        }
        DataRef::DateTime(moment) if moment.is_datetime() => {
            let (year, month, day, ..) = moment.to_ymd_hms_milli();
            match NaiveDate::from_ymd_opt(year.into(), month.into(), day.into()) {
                Some(date) => (date.to_string(), CellKind::Date(date)),
                None => (moment.as_f64().to_string(), CellKind::Number(moment.as_f64())),
            }
        }
        DataRef::DateTime(span) => (span.as_f64().to_string(), CellKind::Number(span.as_f64())),
        DataRef::DateTimeIso(text) => {
            let day = text.get(..10).and_then(|day| swardbook_units::parse_date(day).ok());
            (text.clone(), day.map_or(CellKind::Text, CellKind::Date))
        }
        DataRef::DurationIso(text) => (text.clone(), CellKind::Text),
        DataRef::Error(error) => (error.to_string(), CellKind::Error),
    };
    if let Some(formula) = formula.filter(|_| text.trim().is_empty()) {
        let written = match formula {
            XlsxFormulaMetadata::Normal { formula }
            | XlsxFormulaMetadata::Shared { formula, .. } => format!("={formula}"),
            _ => "=formula".to_owned(),
        };
        return (written, CellKind::FormulaWithoutResult);
    }
    (text, kind)
}

/// Refuses a small file that unpacks into a huge one, by the sizes its directory declares.
///
/// # Source
/// ZIP application note 6.3, sections 4.3.12 (central directory header) and 4.3.16 (its end).
fn check_unpacked_size(file: &str, bytes: &[u8]) -> Result<(), PanelFileError> {
    const MOST_UNPACKED: u64 = 1 << 30;
    let four =
        |at: usize| bytes.get(at..at + 4).map(|b| u32::from_le_bytes([b[0], b[1], b[2], b[3]]));
    let two =
        |at: usize| bytes.get(at..at + 2).map(|b| usize::from(u16::from_le_bytes([b[0], b[1]])));
    let mut unpacked = 0_u64;
    let end = bytes.windows(4).rposition(|w| w == b"PK\x05\x06");
    let mut at = end.and_then(|end| four(end + 16)).map_or(bytes.len(), |start| start as usize);
    while bytes.get(at..at + 4) == Some(b"PK\x01\x02") {
        unpacked += u64::from(four(at + 24).unwrap_or(0));
        let lengths = [at + 28, at + 30, at + 32].map(|place| two(place).unwrap_or(0));
        at += 46 + lengths.iter().sum::<usize>();
    }
    if unpacked > MOST_UNPACKED {
        return Err(PanelFileError::TooLarge {
            file: file.to_owned(),
            megabytes: unpacked.div_ceil(1_000_000),
            limit: MOST_UNPACKED / 1_000_000,
        });
    }
    Ok(())
}
