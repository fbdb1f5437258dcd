//! Why a cell was not read, and what a person can do.

use std::fmt;

/// Why a cell was not read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum Reason {
    /// `-`, `n/a`, not requested.
    NotMeasured,
    /// `ND`, trace, `<LOD`: below a limit that the cell does not give.
    NotDetectedWithoutLimit,
    /// The result is still to come.
    Pending,
    /// `#N/A`, `#REF!`.
    SpreadsheetError,
    /// A formula saved without its result.
    FormulaWithoutResult,
    /// One value drawn over the cells of several samples or analytes.
    MergedOverSeveral,
    /// `1,234` with nothing to show which mark it is.
    TwoWays,
    /// `5-6`.
    Range,
    /// Words or a date where a number should be.
    NotANumber,
    /// A unit that is not known.
    UnknownUnit,
    /// A method that is not known, or not the one that the analyte's name says.
    UnknownMethod,
    /// The cell's unit measures something else than its heading's.
    UnitsDisagree,
    /// No unit in the cell, its heading or its row.
    NoUnit,
    /// The analyte is not known.
    UnknownAnalyte,
    /// The name means more than one analyte, as pH does.
    SeveralAnalytes,
    /// The column's heading is not known.
    UnknownHeading,
    /// A value in a column without a heading.
    NoHeading,
    /// An analyte without a value in its row.
    NoValue,
    /// A row with more cells than its table has columns, as unquoted decimal commas make.
    RowTooLong,
    /// Not a date.
    NotADate,
    /// `05/09/2026` with nothing to show which is the day.
    TwoWayDate,
    /// Not a depth.
    NotADepth,
    /// A depth without its unit.
    DepthWithoutUnit,
    /// Text above, below or beside the table.
    OutsideTheTable,
    /// The sheet is one that a spreadsheet program does not show.
    HiddenSheet,
    /// The sheet has no table of readings.
    NoTableOnSheet,
    /// The sample already has this attribute from another cell.
    SaidTwice,
}

impl Reason {
    /// Why, as a phrase.
    #[must_use]
    pub const fn text(self) -> &'static str {
        match self {
            Self::NotMeasured => "not measured",
            Self::NotDetectedWithoutLimit => "not detected, without a limit",
            Self::Pending => "the result is still to come",
            Self::SpreadsheetError => "a spreadsheet error",
            Self::FormulaWithoutResult => "a formula saved without its result",
            Self::MergedOverSeveral => "one value merged over several cells",
            Self::TwoWays => "can be read two ways",
            Self::Range => "a range, not one reading",
            Self::NotANumber => "not a number",
            Self::UnknownUnit => "the unit is not known",
            Self::UnknownMethod => "the method is not known for this analyte",
            Self::UnitsDisagree => "the cell's unit measures something else than its heading's",
            Self::NoUnit => "no unit is given",
            Self::UnknownAnalyte => "the analyte is not known",
            Self::SeveralAnalytes => "the name means more than one analyte",
            Self::UnknownHeading => "the heading of this column is not known",
            Self::NoHeading => "the column has no heading",
            Self::NoValue => "no value stands beside it",
            Self::RowTooLong => "its row has more cells than the table has columns",
            Self::NotADate => "not a date",
            Self::TwoWayDate => "day and month can be read two ways",
            Self::NotADepth => "not a depth",
            Self::DepthWithoutUnit => "the depth has no unit",
            Self::OutsideTheTable => "outside the table of readings",
            Self::HiddenSheet => "the sheet is hidden",
            Self::NoTableOnSheet => "no table of readings on this sheet",
            Self::SaidTwice => "the sample already has this from another cell",
        }
    }

    /// What a person can do.
    #[must_use]
    pub const fn remedy(self) -> &'static str {
        match self {
            Self::NotMeasured => "nothing, unless the laboratory was asked for it",
            Self::NotDetectedWithoutLimit => {
                "ask the laboratory for its reporting limit and enter it as < limit"
            }
            Self::Pending => "import the laboratory's final report when it comes",
            Self::SpreadsheetError => "correct the cell in the spreadsheet, or type the reading in",
            Self::FormulaWithoutResult => {
                "open the workbook in a spreadsheet program, save it and import it again"
            }
            Self::MergedOverSeveral => "unmerge the cells and write the value into each",
            Self::TwoWays => "say whether the decimal mark is a point or a comma",
            Self::Range => "type in the reading itself",
            Self::NotANumber => "type the reading in by hand if there is one",
            Self::UnknownUnit => "choose the unit",
            Self::UnknownMethod => "choose the method, if the name of the analyte does not say it",
            Self::UnitsDisagree => "ask the laboratory which unit it used, then choose it",
            Self::NoUnit => "choose the unit",
            Self::UnknownAnalyte => "choose the analyte, or leave it out",
            Self::SeveralAnalytes => "choose which of them it is",
            Self::UnknownHeading => "say what the column holds, or leave it out",
            Self::NoHeading => "give the column a heading, or type the readings in",
            Self::NoValue => "nothing, unless the laboratory was asked for it",
            Self::RowTooLong => {
                "export the table with semicolons or tabs between cells, or with numbers in quotes"
            }
            Self::NotADate => "write the date year-month-day, such as 2026-09-14",
            Self::TwoWayDate => "say whether the day or the month comes first",
            Self::NotADepth => "write the depth as from-to with its unit, such as 0-100 mm",
            Self::DepthWithoutUnit => "choose the unit of the depth",
            Self::OutsideTheTable => "nothing, unless it says something about a sample",
            Self::HiddenSheet => "if it holds readings, show the sheet, save and import again",
            Self::NoTableOnSheet => {
                "nothing, unless readings stand on it; then import them by paste"
            }
            Self::SaidTwice => "check which of the two is right",
        }
    }
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.text())
    }
}
