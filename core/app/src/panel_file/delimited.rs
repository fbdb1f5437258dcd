//! Tables in text files: which mark stands between cells, and the cells.

use super::{
    grid::{CellKind, Grid},
    limits,
    problem::PanelFileError,
};

/// The mark between the cells of a text table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Delimiter {
    /// `,`
    Comma,
    /// `;`
    Semicolon,
    /// A tab.
    Tab,
    /// `|`
    Pipe,
    /// Two or more spaces, as in a table copied from a document.
    Spaces,
}

impl Delimiter {
    /// The name shown to people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Comma => "comma",
            Self::Semicolon => "semicolon",
            Self::Tab => "tab",
            Self::Pipe => "vertical bar",
            Self::Spaces => "two or more spaces",
        }
    }

    const fn byte(self) -> u8 {
        match self {
            Self::Comma | Self::Spaces => b',',
            Self::Semicolon => b';',
            Self::Tab => b'\t',
            Self::Pipe => b'|',
        }
    }
}

/// Splits a text into rows and cells.
pub(super) fn read_delimited(file: &str, text: &str) -> Result<(Grid, Delimiter), PanelFileError> {
    let (delimiter, columns) = detect(text);
    let mark = delimiter.byte();
    let is_quoted = text.contains('"');
    let mut grid = match delimiter {
        Delimiter::Spaces => read_spaced(file, text)?,
        _ if is_quoted => read_marked(file, text, mark, columns)?,
        _ => read_unquoted(file, text, mark)?,
    };
    if !text.contains(',') || (delimiter == Delimiter::Comma && !is_quoted) {
        grid.is_without_commas();
    }
    Ok((grid, delimiter))
}

fn reader(text: &str, mark: u8) -> csv::Reader<&[u8]> {
    csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(mark)
        .buffer_capacity(1 << 16)
        .from_reader(text.as_bytes())
}

fn read_marked(file: &str, text: &str, mark: u8, columns: usize) -> Result<Grid, PanelFileError> {
    let bytes = text.as_bytes();
    let mut reader = reader(text, mark);
    let mut record = csv::StringRecord::new();
    let mut grid = Grid::new(None);
    let mut last_start = 0;
    while reader.read_record(&mut record).map_err(|error| unreadable(file, error))? {
        let from = record.position().map_or(0, csv::Position::byte);
        let from = usize::try_from(from).expect("the text is in memory");
        // The reader skips blank lines; a spreadsheet counts them, and so do the places we name.
        let (blank_lines, start) = skip_blank_lines(bytes, from);
        for _ in 0..blank_lines {
            grid.end_row();
        }
        let cells = record.as_slice();
        if cells.contains('\n') && swallows_rows(&record, char::from(mark), columns) {
            return Err(open_quote(file, &grid));
        }
        let ends = (0..record.len()).map(|i| record.range(i).map_or(0, |range| range.end));
        grid.push_row(cells, ends);
        limits::check_grid(file, &grid)?;
        last_start = start;
    }
    if ends_inside_quotes(&bytes[last_start..], mark) {
        return Err(PanelFileError::OpenQuote { file: file.to_owned(), row: grid.height() });
    }
    Ok(grid)
}

/// Rows without a quotation mark anywhere: every mark and every line end counts, so the cells lie
/// in the text as it is.
///
/// # Source
/// The same rows as by the `csv` crate, which a test compares: line ends are `\n`, `\r` or both.
fn read_unquoted(file: &str, text: &str, mark: u8) -> Result<Grid, PanelFileError> {
    let mut grid = Grid::new(None);
    grid.take_text(text);
    let bytes = text.as_bytes();
    let mut ends_cell = [false; 256];
    for byte in [mark, b'\n', b'\r'] {
        ends_cell[usize::from(byte)] = true;
    }
    // Blank lines count as rows once another row follows.
    let (mut start, mut blank_lines) = (0, 0);
    while let Some(length) = bytes[start..].iter().position(|&byte| ends_cell[usize::from(byte)]) {
        let at = start + length;
        let is_line_end = bytes[at] != mark;
        if is_line_end && length == 0 && grid.open_cells() == 0 {
            // The second half of a line end is no line.
            let is_half = bytes[at] == b'\n' && at > 0 && bytes[at - 1] == b'\r';
            blank_lines += usize::from(!is_half);
        } else {
            for _ in 0..std::mem::take(&mut blank_lines) {
                grid.end_row();
            }
            grid.push_range(start, at);
            if is_line_end {
                grid.end_row();
                limits::check_grid(file, &grid)?;
            }
        }
        start = at + 1;
    }
    if start < bytes.len() || grid.open_cells() > 0 {
        for _ in 0..blank_lines {
            grid.end_row();
        }
        grid.push_range(start, bytes.len());
        grid.end_row();
        limits::check_grid(file, &grid)?;
    }
    Ok(grid)
}

fn open_quote(file: &str, grid: &Grid) -> PanelFileError {
    PanelFileError::OpenQuote { file: file.to_owned(), row: grid.height() + 1 }
}

fn unreadable(file: &str, error: csv::Error) -> PanelFileError {
    PanelFileError::Unreadable { file: file.to_owned(), cause: error.into() }
}

/// Number of empty lines at `from`, and where the next record begins.
fn skip_blank_lines(bytes: &[u8], from: usize) -> (usize, usize) {
    let mut at = from;
    // The line feed that belongs to the record before.
    if at > 0 && bytes[at - 1] == b'\r' && bytes.get(at) == Some(&b'\n') {
        at += 1;
    }
    let mut lines = 0;
    loop {
        match bytes.get(at) {
            Some(b'\r') => at += if bytes.get(at + 1) == Some(&b'\n') { 2 } else { 1 },
            Some(b'\n') => at += 1,
            _ => return (lines, at),
        }
        lines += 1;
    }
}

/// Whether a quoted cell holds what looks like whole rows of the table: its closing mark is lost.
fn swallows_rows(record: &csv::StringRecord, mark: char, columns: usize) -> bool {
    let marks_of_a_row = columns.saturating_sub(1).max(2);
    record
        .iter()
        .filter(|cell| cell.contains('\n'))
        .any(|cell| cell.lines().skip(1).any(|line| line.matches(mark).count() >= marks_of_a_row))
}

/// Whether the last record's last cell opens a quotation mark and the text ends before it closes.
fn ends_inside_quotes(record: &[u8], mark: u8) -> bool {
    let mut quoted = false;
    let mut at_start = true;
    let mut bytes = record.iter().copied().peekable();
    while let Some(byte) = bytes.next() {
        if quoted {
            if byte == b'"' {
                if bytes.peek() == Some(&b'"') {
                    bytes.next();
                } else {
                    quoted = false;
                }
            }
        } else if byte == b'"' && at_start {
            quoted = true;
            at_start = false;
        } else {
            at_start = byte == mark || matches!(byte, b'\n' | b'\r');
        }
    }
    quoted
}

/// A table set with spaces; every run of two or more is one mark.
fn read_spaced(file: &str, text: &str) -> Result<Grid, PanelFileError> {
    let mut grid = Grid::new(None);
    for line in text.lines() {
        for cell in spaced_cells(line) {
            grid.push_cell(cell, CellKind::Text);
        }
        grid.end_row();
        limits::check_grid(file, &grid)?;
    }
    Ok(grid)
}

fn spaced_cells(line: &str) -> impl Iterator<Item = &str> {
    line.trim().split("  ").map(str::trim).filter(|cell| !cell.is_empty())
}

/// The mark between cells and the usual number of columns, judged on the first part of the text.
fn detect(text: &str) -> (Delimiter, usize) {
    let sample = sample(text);
    let shape = |delimiter: Delimiter| {
        let mut counts: Vec<usize> = Vec::new();
        if delimiter == Delimiter::Spaces {
            counts.extend(sample.lines().map(|line| spaced_cells(line).count()));
        } else {
            let mut reader = reader(sample, delimiter.byte());
            let mut record = csv::ByteRecord::new();
            while counts.len() < 400 && reader.read_byte_record(&mut record).unwrap_or(false) {
                counts.push(record.len());
            }
        }
        usual(&counts)
    };
    let (comma_columns, comma_share) = shape(Delimiter::Comma);
    for delimiter in [Delimiter::Tab, Delimiter::Semicolon, Delimiter::Pipe] {
        let (columns, share) = shape(delimiter);
        // A decimal comma gives each row about as many commas as columns; a row with far more
        // commas than that is separated by commas and merely mentions the other mark.
        let is_mentioned = comma_share >= 0.8 && comma_columns >= 3 * columns;
        if columns >= 2 && share >= 0.5 && !is_mentioned {
            return (delimiter, columns);
        }
    }
    if comma_columns >= 2 {
        return (Delimiter::Comma, comma_columns);
    }
    let (columns, share) = shape(Delimiter::Spaces);
    if columns >= 2 && share >= 0.5 {
        return (Delimiter::Spaces, columns);
    }
    (Delimiter::Comma, comma_columns.max(1))
}

/// The commonest number of columns above one, and the share of rows with more than one column
/// within those that have any; a title row alone does not count against a mark.
fn usual(counts: &[usize]) -> (usize, f64) {
    let mut commonest = (1, 0);
    for &count in counts.iter().filter(|&&c| c > 1) {
        let times = counts.iter().filter(|&&c| c == count).count();
        if times > commonest.1 {
            commonest = (count, times);
        }
    }
    let several = counts.iter().filter(|&&c| c > 1).count();
    #[allow(clippy::cast_precision_loss, reason = "counts of at most a few hundred rows")]
    let share = several as f64 / counts.iter().filter(|&&c| c > 0).count().max(1) as f64;
    (commonest.0, share)
}

fn sample(text: &str) -> &str {
    const ENOUGH: usize = 1 << 14;
    if text.len() <= ENOUGH {
        return text;
    }
    let mut end = ENOUGH;
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let cut = &text[..end];
    cut.rfind('\n').map_or(cut, |line_end| &cut[..line_end])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, delimiter: Delimiter, rows: &[&[&str]]) {
        let (grid, found) = read_delimited("panel.csv", text).unwrap();
        assert_eq!(found, delimiter, "{text:?}");
        let cells: Vec<Vec<&str>> = (0..grid.height())
            .map(|row| (0..grid.row_width(row)).map(|column| grid.text(row, column)).collect())
            .collect();
        assert_eq!(cells, rows, "{text:?}");
    }

    #[test]
    fn marks_between_cells_are_found() {
        check("pH,P\n5.5,12\n", Delimiter::Comma, &[&["pH", "P"], &["5.5", "12"]]);
        check("pH;P\n5,5;12,1\n", Delimiter::Semicolon, &[&["pH", "P"], &["5,5", "12,1"]]);
        check("pH\tP\n5,5\t12\n", Delimiter::Tab, &[&["pH", "P"], &["5,5", "12"]]);
        check("pH|P\r\n5.5|12\r\n", Delimiter::Pipe, &[&["pH", "P"], &["5.5", "12"]]);
        check("pH   5.5\nP  12\n", Delimiter::Spaces, &[&["pH", "5.5"], &["P", "12"]]);
        check(
            "Panel of May\npH,P,K,Ca,Mg,Note\n5,1,2,3,4,dark; wet\n",
            Delimiter::Comma,
            &[
                &["Panel of May"],
                &["pH", "P", "K", "Ca", "Mg", "Note"],
                &["5", "1", "2", "3", "4", "dark; wet"],
            ],
        );
    }

    #[test]
    fn blank_lines_and_line_breaks_in_cells_keep_the_row_numbers_of_a_spreadsheet() {
        check("a,b\n\n\n1,2\n", Delimiter::Comma, &[&["a", "b"], &[], &[], &["1", "2"]]);
        check("\r\na,b\r\n\r\n1,2", Delimiter::Comma, &[&[], &["a", "b"], &[], &["1", "2"]]);
        check("a,\"b\nc\"\n1,2\n", Delimiter::Comma, &[&["a", "b\nc"], &["1", "2"]]);
        check("a,b\r1,2\r\r3,4", Delimiter::Comma, &[&["a", "b"], &["1", "2"], &[], &["3", "4"]]);
    }

    #[test]
    fn rows_without_quotation_marks_are_those_of_the_csv_crate() {
        let shown = |grid: &Grid| -> Vec<Vec<String>> {
            let cells = |row| (0..grid.row_width(row)).map(move |c| grid.text(row, c).to_owned());
            (0..grid.height()).map(|row| cells(row).collect()).collect()
        };
        // Every text of up to seven signs.
        let signs = ['a', ' ', ',', '\n', '\r'];
        let mut texts = vec![String::new()];
        for _ in 0..7 {
            let longer = |text: &String| signs.map(|sign| format!("{text}{sign}"));
            texts = texts.iter().flat_map(longer).collect();
            for text in &texts {
                let ours = read_unquoted("panel.csv", text, b',').unwrap();
                let theirs = read_marked("panel.csv", text, b',', 2).unwrap();
                assert_eq!(shown(&ours), shown(&theirs), "{text:?}");
                assert_eq!(ours.width(), theirs.width(), "{text:?}");
            }
        }
    }

    #[test]
    fn a_quotation_mark_that_swallows_rows_is_refused_with_its_row() {
        for text in ["a,b,c\n1,\"2,3\n4,5,6\n7,8,9\n", "a,b,c\n1,\"2,3\n4,5,6\n\"7\",8,9\n1,2,3\n"]
        {
            match read_delimited("panel.csv", text) {
                Err(PanelFileError::OpenQuote { row, .. }) => assert_eq!(row, 2, "{text:?}"),
                other => panic!("{text:?} gave {other:?}"),
            }
        }
        check("core\n5\" deep,1,2\n", Delimiter::Comma, &[&["core"], &["5\" deep", "1", "2"]]);
    }
}
