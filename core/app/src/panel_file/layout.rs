//! Where the tables of a sheet lie, which way, and which lines are their headings.

use super::{
    grid::Grid,
    heading_words::LongColumn,
    mapping::Layout,
    sections::is_said_in_one_cell,
    view::View,
    vocabulary::{Vocabulary, is_value},
};

/// A table found on a sheet; lines are rows of the view.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Span {
    pub(super) layout: Layout,
    /// Heading lines from the top; empty for a table without headings.
    pub(super) headings: Vec<usize>,
    /// The heading line that holds the names.
    pub(super) base: usize,
    /// Lines of the data, the end not included.
    pub(super) data: (usize, usize),
    /// Cells across that belong to it, the end not included.
    pub(super) across: (usize, usize),
}

impl Span {
    /// The sheet as this table is to be read.
    pub(super) fn view<'a>(&self, grid: &'a Grid) -> View<'a> {
        View { grid, is_turned: self.layout == Layout::Turned }
    }
}

/// Lines looked at closely for the headings of the first table.
const CLOSE_LOOK: usize = 60;
/// Columns looked at for a list of analyte names.
const NAME_COLUMNS: usize = 12;

/// Finds the tables of one sheet.
pub(super) fn find_tables(grid: &Grid, words: &Vocabulary<'_>) -> Vec<Span> {
    let rows = View { grid, is_turned: false };
    let heading_rows = heading_lines(rows, words);
    let most_across = heading_rows.iter().map(|&(_, names)| names).max().unwrap_or(0);
    let list = name_list(rows, words);
    let most_down = list.as_ref().map_or(0, |list| list.names);
    if most_down > most_across && (most_down >= 2 || most_across == 0) {
        return list.and_then(|list| list_table(rows, words, &list)).into_iter().collect();
    }
    if most_across == 0 {
        return Vec::new();
    }
    let bases: Vec<usize> = heading_rows.iter().map(|&(row, _)| row).collect();
    wide_tables(rows, words, &bases)
}

/// Lines that hold names of analytes and no values, with the number of names.
fn heading_lines(view: View<'_>, words: &Vocabulary<'_>) -> Vec<(usize, usize)> {
    let mut found = Vec::new();
    for line in 0..view.height() {
        let close = line < CLOSE_LOOK;
        if !close && has_number(view, line) {
            continue;
        }
        let (mut names, mut attributes, mut values, mut filled) = (0, 0, 0, 0);
        for across in 0..view.width() {
            let text = view.text(line, across);
            if text.is_empty() {
                continue;
            }
            filled += 1;
            if is_value(text) {
                values += 1;
                if values > 2 {
                    break;
                }
                continue;
            }
            let look = words.look(text);
            names += usize::from(look.is_analyte);
            attributes += usize::from(look.is_attribute);
        }
        let is_heading = if close {
            values == 0 && (names >= 2 || (names == 1 && attributes >= 1))
        } else {
            values == 0 && names >= 2 && names * 2 >= filled
        };
        if is_heading {
            found.push((line, names));
        }
    }
    found
}

/// Whether a line further down is one of data, by the first sign of its cells; the last cells of a
/// line are the likeliest numbers.
fn has_number(view: View<'_>, line: usize) -> bool {
    (0..view.width()).rev().any(|across| {
        let first = view.text(line, across).as_bytes().first();
        first.is_some_and(|b| b.is_ascii_digit() || matches!(b, b'<' | b'>'))
    })
}

fn wide_tables(view: View<'_>, words: &Vocabulary<'_>, bases: &[usize]) -> Vec<Span> {
    let mut spans: Vec<Span> = Vec::new();
    for &base in bases {
        // A unit row that reads like names ("pH" as a unit) belongs to the headings above it.
        if spans.last().is_some_and(|span| span.headings.contains(&base)) {
            continue;
        }
        let headings = heading_block(view, words, base);
        let top = headings[0];
        // Names drawn over two heading lines stand in the upper one beside the groups of the lower.
        if spans.last().is_some_and(|span| headings.contains(&span.base)) {
            spans.pop();
        }
        if let Some(before) = spans.last_mut() {
            before.data.1 = before.data.1.min(top);
        }
        let data = (headings[headings.len() - 1] + 1, view.height());
        let across = (0, view.width());
        spans.push(Span { layout: Layout::Wide, headings, base, data, across });
    }
    spans
}

/// The table whose names stand where a person says: in the row of `cell`, or in its column when the
/// table is turned.
pub(super) fn table_at(
    grid: &Grid,
    words: &Vocabulary<'_>,
    (row, column): (usize, usize),
    layout: Layout,
) -> Span {
    let view = View { grid, is_turned: layout == Layout::Turned };
    let (headings, base, across) = match layout {
        Layout::Wide => (heading_block(view, words, row), row, (0, view.width())),
        Layout::Long => (vec![row], row, (0, view.width())),
        Layout::Turned => (vec![column], column, (row, view.width())),
    };
    let first = if layout == Layout::Turned { 0 } else { headings[headings.len() - 1] + 1 };
    Span { layout, base, data: (first, view.height()), across, headings }
}

/// The heading lines around the line of names: groups above it, methods and units below it.
fn heading_block(view: View<'_>, words: &Vocabulary<'_>, base: usize) -> Vec<usize> {
    let is_name = |across: usize| words.look(view.text(base, across)).is_analyte;
    let mut block = vec![base];
    let mut above = base;
    while above > 0 && block.len() < 4 {
        above -= 1;
        // Groups stand over names; headings of attributes may stand higher than the names do.
        let (mut headings, mut others) = (0, 0);
        for across in 0..view.width() {
            let text = view.text(above, across);
            if text.is_empty() {
                continue;
            }
            let look = words.look(text);
            let is_over_nothing = view.text(base, across).is_empty();
            let is_heading = (look.is_detail && (is_over_nothing || is_name(across)))
                || (is_over_nothing && (look.is_attribute || look.long.is_some()));
            if is_heading && !is_value(text) {
                headings += 1;
            } else {
                others += 1;
            }
        }
        // A group row may also carry a title at its left end.
        if headings == 0 || others > headings.min(1) {
            break;
        }
        block.insert(0, above);
    }
    let mut below = base + 1;
    while below < view.height() && block.len() < 5 {
        let (mut details, mut values, mut others) = (0, 0, 0);
        for across in 0..view.width() {
            let text = view.text(below, across);
            let under = view.text_through_merges(base, across);
            if text.is_empty() {
                continue;
            }
            let look = words.look(text);
            let under_name = words.look(under).is_analyte || under.is_empty();
            if is_value(text) {
                values += 1;
            } else if look.is_detail && under_name {
                details += 1;
            } else if under_name && !super::naming::is_blank(text) {
                others += 1;
            }
        }
        if details == 0 || values > 0 || others > details {
            break;
        }
        block.push(below);
        below += 1;
    }
    block
}

/// A column of analyte names.
#[derive(Debug)]
struct NameList {
    column: usize,
    first: usize,
    last: usize,
    names: usize,
    different: usize,
}

fn name_list(view: View<'_>, words: &Vocabulary<'_>) -> Option<NameList> {
    let mut best: Option<NameList> = None;
    for column in 0..view.width().min(NAME_COLUMNS) {
        let mut list = NameList { column, first: 0, last: 0, names: 0, different: 0 };
        let mut seen: Vec<&str> = Vec::new();
        for row in 0..view.height().min(4 * CLOSE_LOOK) {
            let text = view.text(row, column);
            if text.is_empty() || is_value(text) || !words.look(text).is_analyte {
                continue;
            }
            if list.names == 0 {
                list.first = row;
            }
            list.last = row;
            list.names += 1;
            if !seen.contains(&text) {
                seen.push(text);
            }
        }
        list.different = seen.len();
        if list.names > best.as_ref().map_or(0, |best| best.names) {
            best = Some(list);
        }
    }
    best
}

/// What the columns beside a list of names hold.
#[derive(Debug, Default)]
struct Beside {
    /// Columns headed as results.
    headed_values: Vec<usize>,
    /// Columns of numbers that no known heading claims.
    numbers: Vec<usize>,
    /// Columns of units and methods.
    details: Vec<usize>,
}

fn list_table(view: View<'_>, words: &Vocabulary<'_>, list: &NameList) -> Option<Span> {
    let is_repeated = list.different * 10 < list.names * 7;
    // "Sample | Front verge" over a list that comes again names the sample of the first part.
    let heading = heading_over(view, words, list).filter(|&row| {
        let name = words.look(view.text(row, list.column));
        !(is_repeated && name.is_attribute && name.long.is_none())
    });
    let beside = beside(view, words, list, heading);
    let is_long = !beside.headed_values.is_empty()
        || heading.is_none()
        || (beside.numbers.len() == 1 && is_repeated);
    if beside.headed_values.is_empty() && beside.numbers.is_empty() {
        return None;
    }
    if is_long {
        let start = heading.map_or(list.first, |row| row + 1);
        return Some(Span {
            layout: Layout::Long,
            headings: heading.into_iter().collect(),
            base: heading.unwrap_or(0),
            data: (start, view.height()),
            across: (0, view.width()),
        });
    }
    // Turned: the list is the line of names, units and methods beside it are headings too.
    let mut headings = beside.details;
    headings.push(list.column);
    headings.sort_unstable();
    Some(Span {
        layout: Layout::Turned,
        headings,
        base: list.column,
        data: (0, view.width()),
        across: (first_row_of_turned(view, words, list, heading), view.height()),
    })
}

/// The row of headings above a list: one that says so, or else the first of the rows that stand
/// directly above the list with something in its column or in several others.
fn heading_over(view: View<'_>, words: &Vocabulary<'_>, list: &NameList) -> Option<usize> {
    let filled = |row: usize| (0..view.width()).filter(move |&c| !view.text(row, c).is_empty());
    let has_values = |row: usize| filled(row).any(|c| is_value(view.text(row, c)));
    let name = |row: usize| words.look(view.text(row, list.column));
    let says_so = |row: usize| {
        let known = filled(row).filter(|&c| {
            let look = words.look(view.text(row, c));
            look.long.is_some() || look.is_attribute
        });
        let is_name = name(row).long == Some(LongColumn::Name) && filled(row).count() >= 2;
        is_name || (known.count() >= 2 && !has_values(row))
    };
    let above = list.first.saturating_sub(20)..list.first;
    if let Some(row) = above.rev().find(|&row| says_so(row)) {
        return Some(row);
    }
    let mut first = None;
    for row in (0..list.first).rev() {
        let several = filled(row).count() >= 2;
        let is_said = filled(row).any(|c| is_said_in_one_cell(view.text(row, c)));
        if !several || is_said || (has_values(row) && !name(row).is_attribute) {
            break;
        }
        first = Some(row);
        if !name(row).is_attribute {
            break;
        }
    }
    first
}

fn beside(
    view: View<'_>,
    words: &Vocabulary<'_>,
    list: &NameList,
    heading: Option<usize>,
) -> Beside {
    let mut beside = Beside::default();
    for column in (0..view.width()).filter(|&column| column != list.column) {
        let look = heading.map(|row| words.look(view.text(row, column))).unwrap_or_default();
        let (mut values, mut details, mut filled) = (0, 0, 0);
        for row in list.first..=list.last {
            let text = view.text(row, column);
            if text.is_empty() || !words.look(view.text(row, list.column)).is_analyte {
                continue;
            }
            filled += 1;
            if is_value(text) {
                values += 1;
            } else if words.look(text).is_detail || super::naming::is_blank(text) {
                details += 1;
            }
        }
        match look.long {
            Some(LongColumn::Value) => beside.headed_values.push(column),
            Some(LongColumn::Unit | LongColumn::Method) => beside.details.push(column),
            Some(_) => {}
            None if look.is_attribute && column < list.column => {}
            None if values > 0 && 2 * values >= filled => beside.numbers.push(column),
            None if filled > 0 && 10 * details >= 6 * filled && values == 0 => {
                beside.details.push(column);
            }
            None => {}
        }
    }
    beside
}

/// Rows of attributes may stand between the headings and the first analyte, or above both.
fn first_row_of_turned(
    view: View<'_>,
    words: &Vocabulary<'_>,
    list: &NameList,
    heading: Option<usize>,
) -> usize {
    let mut first = heading.unwrap_or(list.first);
    while first > 0 {
        let above = first - 1;
        let others = (0..view.width())
            .filter(|&c| c != list.column && !view.text(above, c).is_empty())
            .count();
        if others == 0 || !words.look(view.text(above, list.column)).is_attribute {
            break;
        }
        first = above;
    }
    first
}

/// Headings of every cell across, one part for each heading line.
///
/// A group's heading holds for the names to its right until the next group; a name drawn over
/// several columns holds for those whose own name is empty.
pub(super) fn headings(view: View<'_>, span: &Span, words: &Vocabulary<'_>) -> Vec<Vec<String>> {
    let mut all = vec![Vec::with_capacity(span.headings.len()); span.across.1];
    let has_name = |across: usize| {
        let name = view.text_through_merges(span.base, across);
        !name.is_empty() && words.look(name).is_analyte
    };
    for &line in &span.headings {
        let mut group = "";
        let mut name = "";
        for (across, parts) in all.iter_mut().enumerate().skip(span.across.0) {
            let own = view.text_through_merges(line, across);
            let text =
                if line < span.base && view.grid.merged().is_empty() && span.layout == Layout::Wide
                {
                    if !own.is_empty() {
                        group = own;
                    } else if !has_name(across) {
                        group = "";
                    }
                    if own.is_empty() && has_name(across) { group } else { own }
                } else if line == span.base && span.layout == Layout::Wide && own.is_empty() {
                    let detailed = span.headings.iter().any(|&below| {
                        below > line && words.look(view.text(below, across)).is_detail
                    });
                    if detailed { name } else { "" }
                } else {
                    own
                };
            if line == span.base {
                name = if text.is_empty() { "" } else { text };
            }
            parts.push(text.to_owned());
        }
    }
    all
}
