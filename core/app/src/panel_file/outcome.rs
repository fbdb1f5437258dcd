//! What an import gives back: samples with readings, and every cell that was not read.

use swardbook_agronomy::{
    analyte::{Analyte, Form, Method},
    reading::Qualifier,
};
use swardbook_units::{NaiveDate, Unit};

use super::{
    attribute::Attribute,
    decimal::DecimalRule,
    mapping::{DateRule, Layout},
    reason::Reason,
};

/// Where a cell stands; rows and columns are counted from one, as a spreadsheet does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Place {
    /// Index into [`Imported::sheets`].
    pub sheet: u16,
    /// Row.
    pub row: u32,
    /// Column.
    pub column: u32,
}

impl Place {
    /// From a sheet and a cell whose row and column are counted from zero.
    pub(super) fn new(sheet: u16, (row, column): (usize, usize)) -> Self {
        let count = |n: usize| u32::try_from(n + 1).expect("limits keep rows and columns small");
        Self { sheet, row: count(row), column: count(column) }
    }

    /// The cell as a spreadsheet names it, such as `D3`.
    #[must_use]
    pub fn cell(self) -> String {
        let mut letters = Vec::new();
        let mut rest = self.column;
        while rest > 0 {
            rest -= 1;
            letters.push(char::from(b'A' + u8::try_from(rest % 26).expect("below 26")));
            rest /= 26;
        }
        letters.iter().rev().collect::<String>() + &self.row.to_string()
    }
}

/// One reading as it stands in the file; nothing is converted.
#[derive(Debug, Clone, PartialEq)]
pub struct ImportedReading {
    /// What was measured.
    pub analyte: &'static Analyte,
    /// How; the method that is not stated where the file does not say and a question is open.
    pub method: &'static Method,
    /// The compound the number is of, such as K2O, when it is not the element itself.
    pub form: Option<&'static Form>,
    /// The number.
    pub value: f64,
    /// The unit it was reported in.
    pub unit: &'static Unit,
    /// `<` or `>`.
    pub qualifier: Qualifier,
    /// What the laboratory printed beside the number; a file has many numbers and few of these.
    pub beside: Option<Box<Beside>>,
    /// The cell that holds the number.
    pub place: Place,
}

/// What a laboratory prints beside a number.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Beside {
    /// A mark on it, such as `*`.
    pub mark: Option<String>,
    /// The uncertainty printed behind `±`, in the number's unit.
    pub plus_minus: Option<f64>,
}

impl ImportedReading {
    /// The laboratory's mark on the number, such as `*`.
    #[must_use]
    pub fn mark(&self) -> Option<&str> {
        self.beside.as_ref()?.mark.as_deref()
    }

    /// The uncertainty printed behind `±`, in the same unit.
    #[must_use]
    pub fn plus_minus(&self) -> Option<f64> {
        self.beside.as_ref()?.plus_minus
    }
}

/// What the file says about a sample besides its readings.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SampleAttributes {
    /// The label on the bag.
    pub label: Option<String>,
    /// The laboratory's own number.
    pub laboratory_number: Option<String>,
    /// The laboratory's name.
    pub laboratory: Option<String>,
    /// The property or client.
    pub property: Option<String>,
    /// The zone.
    pub zone: Option<String>,
    /// The day the cores were pulled.
    pub sampled: Option<NaiveDate>,
    /// The day the laboratory received it.
    pub received: Option<NaiveDate>,
    /// The day the laboratory reported.
    pub reported: Option<NaiveDate>,
    /// Upper end of the depth interval, mm.
    pub depth_from_mm: Option<f64>,
    /// Lower end of the depth interval, mm.
    pub depth_to_mm: Option<f64>,
    /// Comments, one a line.
    pub remarks: Option<String>,
}

/// One sample with its readings, in the order of the file.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ImportedSample {
    /// What is said about the sample.
    pub attributes: SampleAttributes,
    /// Its readings.
    pub readings: Vec<ImportedReading>,
}

/// A cell that was not read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unread {
    /// Where it stands.
    pub place: Place,
    /// What it says.
    pub text: String,
    /// Why it was not read; [`Reason::remedy`] says what to do.
    pub reason: Reason,
}

/// Cells left out because the mapping says so.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ignored {
    /// The heading or the row's label that the mapping names.
    pub heading: String,
    /// The first of them.
    pub place: Place,
    /// How many cells.
    pub cells: usize,
}

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Ask {
    /// What a column, or in a turned table a row, holds.
    Heading,
    /// Which method an analyte was measured by.
    Method {
        /// The analyte.
        analyte: &'static Analyte,
    },
    /// Which unit an analyte is reported in.
    Unit {
        /// The analyte.
        analyte: &'static Analyte,
    },
    /// Which analyte a name means.
    Analyte,
    /// Which sign stands before the decimals.
    Decimal,
    /// Whether day or month comes first.
    DateOrder,
    /// The unit of depths.
    DepthUnit,
}

/// One possible answer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Answer {
    /// Leave it out.
    Ignore,
    /// It says this about the sample.
    Attribute(Attribute),
    /// It is this analyte.
    Analyte(&'static Analyte),
    /// It was measured by this method.
    Method(&'static Method),
    /// It is reported in this unit.
    Unit(&'static Unit),
    /// Numbers are written so.
    Decimal(DecimalRule),
    /// Dates are written so.
    Dates(DateRule),
    /// Depths are in this unit.
    DepthUnit(&'static Unit),
}

/// The part of a mapping that an answer changes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum About {
    /// How the whole file is written.
    File,
    /// A column, by the key of its heading; the table is none while the mapping has no such table.
    Column { table: Option<usize>, layout: Layout, key: String },
    /// A name in a long table, by its key.
    Name(String),
}

/// Something only a person can decide; answered through [`Mapping::answer`](super::Mapping::answer).
#[derive(Debug, Clone, PartialEq)]
pub struct Question {
    /// The first cell that raises it.
    pub place: Place,
    /// The heading, name or cell in question, as written.
    pub written: String,
    /// What is asked.
    pub ask: Ask,
    /// The answers that make sense, most likely first only where something in the file says so.
    pub choices: Vec<Answer>,
    /// What the answer changes.
    pub(super) about: About,
}

/// Something a person may want to know and need not decide.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Note {
    /// Formulas were read by their stored results.
    Formulas {
        /// Index into [`Imported::sheets`].
        sheet: u16,
        /// How many.
        count: usize,
    },
    /// A sample has the same analyte by the same method more than once; all are kept.
    DeterminedAgain {
        /// The sample's index.
        sample: usize,
        /// The analyte.
        analyte: &'static Analyte,
        /// The later cell.
        place: Place,
    },
    /// A column that the remembered mapping does not name; it was read by its heading.
    NewColumn {
        /// Its heading.
        heading: String,
        /// Where.
        place: Place,
    },
    /// A column that the remembered mapping names and this file does not have.
    MissingColumn {
        /// Its heading.
        heading: String,
    },
    /// A cell gave another unit than its heading; the cell's was taken.
    UnitFromCell {
        /// The cell.
        place: Place,
    },
    /// A blank label was taken to continue the sample above.
    LabelContinues {
        /// The first such cell.
        place: Place,
        /// How many rows.
        rows: usize,
    },
    /// Samples without a label were named after their sheet.
    NamedAfterSheet {
        /// Index into [`Imported::sheets`].
        sheet: u16,
    },
    /// The method was taken from a heading that spans several columns.
    MethodFromGroup {
        /// The heading below it.
        heading: String,
        /// Where the group's heading stands.
        place: Place,
    },
    /// A reading that was not detected was taken as below the limit of its row.
    LimitFromColumn {
        /// The reading's cell.
        place: Place,
    },
    /// The text was not UTF-8 and was read as Windows-1252.
    OlderEncoding,
    /// `≤` or `≥` was read as `<` or `>`.
    InclusiveSign {
        /// The first such cell.
        place: Place,
    },
}

/// How many filled cells went where; the parts add up to `filled`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct CellCount {
    /// Cells that say anything.
    pub filled: usize,
    /// Read as headings, names, units and methods.
    pub headings: usize,
    /// Read as attributes of samples.
    pub attributes: usize,
    /// Read as readings.
    pub readings: usize,
    /// Listed as unread.
    pub unread: usize,
    /// Left out by a rule of the mapping.
    pub ignored: usize,
}

impl CellCount {
    /// Both together.
    pub(super) const fn plus(self, other: Self) -> Self {
        Self {
            filled: self.filled + other.filled,
            headings: self.headings + other.headings,
            attributes: self.attributes + other.attributes,
            readings: self.readings + other.readings,
            unread: self.unread + other.unread,
            ignored: self.ignored + other.ignored,
        }
    }
}

/// Everything an import found.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Imported {
    /// Names of the sheets; a text file has one without a name.
    pub sheets: Vec<String>,
    /// The samples with their readings.
    pub samples: Vec<ImportedSample>,
    /// Every filled cell that was not read.
    pub unread: Vec<Unread>,
    /// What the mapping leaves out.
    pub ignored: Vec<Ignored>,
    /// What only a person can decide.
    pub questions: Vec<Question>,
    /// What a person may want to know.
    pub notes: Vec<Note>,
    /// The account of all cells.
    pub count: CellCount,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_are_named_as_a_spreadsheet_names_them() {
        for (column, letters) in [(1, "A"), (26, "Z"), (27, "AA"), (52, "AZ"), (703, "AAA")] {
            let place = Place { sheet: 0, row: 3, column };
            assert_eq!(place.cell(), format!("{letters}3"), "column {column}");
        }
    }
}
